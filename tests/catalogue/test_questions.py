"""Questions without SQLAlchemy: the same answers as with it, nothing written, faults in one line."""

from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy.engine import Engine

from fitment.catalogue import database
from fitment.catalogue.book import Book, open_catalogue
from fitment.catalogue.questions import asked
from fitment.catalogue.schema_number import SCHEMA
from fitment.errors import NotFoundFault, StorageFault
from tests.catalogue.conftest import Fill

SHEETS = (
    "vehicle,maker,model,years\nV-1,Invented,One,1961-66\n",
    "rod-end,name,fitted to,item,sitting,units,stud.large,stud.length\nRE-1,first,V-1,,T1,mm,15.00,20\n",
    "item,part,condition,price\nRE-1a,RE-1,worn,12 EUR\n",
)

LOADED = """
import json, sys
from fitment.catalogue.book import open_catalogue
with open_catalogue(sys.argv[1]) as book:
    found = book.find("RE-1").name
print(json.dumps([found, sorted({"sqlalchemy", "numpy"} & set(sys.modules))]))
"""


@pytest.fixture
def database_url(tmp_path: Path) -> str:
    """A file of SQLite alone: no other database is asked without SQLAlchemy."""
    return f"sqlite:///{(tmp_path / 'catalogue.db').as_posix()}"


@pytest.fixture
def filled(fill: Fill, engine: Engine) -> Path:
    for sheet in SHEETS:
        fill(sheet)
    return Path(str(engine.url.database))


def test_both_roads_answer_alike(filled: Path) -> None:
    with open_catalogue(filled) as light, database.connected(str(filled)) as connection:
        heavy = Book(connection)
        assert light.stamp() == heavy.stamp()
        for name in ("RE-1", "RE-1a"):
            assert light.find(name) == heavy.find(name)
        vehicle = light.find_vehicle("V-1")
        assert vehicle == heavy.find_vehicle("V-1")
        assert light.came_with(vehicle) == heavy.came_with(vehicle)
        assert light.came_with(vehicle).prices == {"OWN/RE-1a": "12 EUR"}
        for book in (light, heavy):
            with pytest.raises(NotFoundFault, match="no part RE-2") as caught:
                book.find("RE-2")
            assert "OWN/RE-1" in caught.value.mending


def test_a_file_is_asked_without_the_database_layer(filled: Path) -> None:
    done = subprocess.run([sys.executable, "-c", LOADED, str(filled)], text=True, capture_output=True)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == ["OWN/RE-1", []]


def test_an_answer_never_writes(filled: Path) -> None:
    with asked(str(filled)) as connection:
        assert isinstance(connection, sqlite3.Connection)
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            connection.execute("UPDATE catalogue SET revision = 99")


def test_what_one_question_sees_the_next_sees_too(filled: Path) -> None:
    with open_catalogue(filled) as book:
        before = book.stamp()
        with sqlite3.connect(filled) as other:
            other.execute("UPDATE part SET name = 'another'")
        other.close()
        assert book.find("RE-1").title == "first"
        assert book.stamp() == before


def test_a_driver_that_fails_is_a_fault_in_one_line(filled: Path) -> None:
    with sqlite3.connect(filled) as other:
        other.execute("DROP TABLE adopted")
    other.close()
    with (
        pytest.raises(StorageFault, match="did not answer as it should: no such table") as caught,
        open_catalogue(filled) as book,
    ):
        book.find("RE-1")
    assert (caught.value.place, caught.value.code) == (str(filled), "db-04")


@pytest.mark.parametrize(
    ("schema", "words"), [("9999", "newer than this program's"), (None, "but not a catalogue of parts")]
)
def test_what_is_amiss_with_a_file_is_said_as_everywhere(filled: Path, schema: str | None, words: str) -> None:
    with sqlite3.connect(filled) as other:
        if schema is None:
            other.execute("DROP TABLE alembic_version")
        else:
            assert other.execute("UPDATE alembic_version SET version_num = ?", (schema,)).rowcount == 1
    other.close()
    assert schema != SCHEMA
    with pytest.raises(StorageFault, match=words), open_catalogue(filled):
        pass
