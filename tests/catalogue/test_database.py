"""Opening, making and migrating the database; its constraints hold; no drift between models and migrations."""

from __future__ import annotations

import sqlite3
from functools import partial
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from sqlalchemy.engine import Engine

from fitment.catalogue import database, tables
from fitment.catalogue.schema import Base
from fitment.catalogue.schema_number import SCHEMA
from fitment.catalogue.verifying import verify
from fitment.errors import NotFoundFault, StorageFault, UsageFault, nearest
from fitment.shipped import shipped

UPGRADE = command.upgrade


def test_migrations_give_just_the_models(engine: Engine) -> None:
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), Base.metadata) == []


def test_the_newest_migration_is_the_one_the_program_expects() -> None:
    newest = max(path.name[:4] for path in (shipped("migrations") / "versions").glob("0*.py"))
    assert newest == SCHEMA


def test_a_subject_is_needed_and_only_one(engine: Engine) -> None:
    statement = sa.text(
        "INSERT INTO statement (uid, field, text, dated, part_id, item_id) VALUES ('u', 'note', 'x', '', NULL, NULL)"
    )
    with pytest.raises(sa.exc.IntegrityError), engine.begin() as connection:
        connection.execute(statement)


def test_foreign_keys_hold(engine: Engine) -> None:
    statement = sa.text("INSERT INTO item (uid, shop, ref, part_id) VALUES ('u', 'OWN', 'X', 77)")
    with pytest.raises(sa.exc.IntegrityError), engine.begin() as connection:
        connection.execute(statement)


def test_a_named_file_that_is_not_there_is_never_made(tmp_path: Path) -> None:
    path = tmp_path / "none.sqlite"
    with pytest.raises(NotFoundFault, match="no catalogue there"):
        database.open_engine(str(path))
    assert not path.exists()


def test_a_file_that_is_no_database(tmp_path: Path) -> None:
    path = tmp_path / "x.sqlite"
    path.write_text("not a database, but long enough to be looked at as one " * 40)
    with pytest.raises(StorageFault, match="this file is not a database, so not a catalogue of parts") as caught:
        database.open_engine(str(path))
    assert caught.value.mending == "name another with --db, or make one: fitment catalogue create"


def test_a_database_that_is_no_catalogue(tmp_path: Path) -> None:
    path = tmp_path / "x.sqlite"
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE other (x)")
    connection.close()
    with pytest.raises(StorageFault, match="this is a database, but not a catalogue of parts"):
        database.open_engine(str(path))


def test_opening_what_is_no_catalogue_changes_no_byte_of_it(tmp_path: Path) -> None:
    empty, other = tmp_path / "empty.sqlite", tmp_path / "other.sqlite"
    empty.touch()
    with sqlite3.connect(other) as connection:
        connection.execute("CREATE TABLE other (x)")
    connection.close()
    before = other.read_bytes()
    with pytest.raises(StorageFault, match="this file is empty, so not a catalogue of parts"):
        database.open_engine(str(empty))
    with pytest.raises(StorageFault, match="not a catalogue of parts"):
        database.open_engine(str(other))
    assert (empty.read_bytes(), other.read_bytes()) == (b"", before)
    assert sorted(tmp_path.iterdir()) == [empty, other]


def test_a_new_file_keeps_its_journal_ahead_and_remembers_it(tmp_path: Path) -> None:
    path = tmp_path / "x.sqlite"
    database.create(f"sqlite:///{path}").dispose()
    engine = database.open_engine(str(path))
    with engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar_one() == "wal"
    engine.dispose()


def test_a_newer_schema_than_the_program(database_url: str) -> None:
    engine = database.create(database_url)
    with engine.begin() as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    engine.dispose()
    with pytest.raises(StorageFault, match="the catalogue has schema 9999, newer than this program's"):
        database.open_engine(database_url)


def test_an_older_catalogue_is_brought_up_with_all_that_it_holds(
    database_url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(command, "upgrade", partial(_upgrade_to, "0001"))
        engine = database.create(database_url, "NORTH")
    said = {
        "part": "(id, uid, shop, ref, kind, maker, number, name)"
        " VALUES (1, 'p', 'NORTH', 'RE-1', 'rod-end', '', '', '')",
        "source": "(id, uid, shop, ref, kind, title, origin, dated, note)"
        " VALUES (1, 's', 'NORTH', 'S-1', 'own-measurement', 'bench', '', '', '')",
        "sitting": "(id, uid, shop, ref, who, dated, source_id, tool, datum, axes, ride_height, note)"
        " VALUES (1, 't', 'NORTH', 'T-1', 'AB', '2026-01-02', 1, '', '', '', '', '')",
        "reading": "(id, uid, part_id, sitting_id, feature, dimension, entered, bare_unit, number, u, tool, condition,"
        " note, occurrence) VALUES (1, 'r', 1, 1, 'stud', 'large', '15.00', 'mm', 15.0, 0.0289, 'calliper', '', '', 0)",
    }
    with engine.begin() as connection:
        for table, values in said.items():
            connection.execute(sa.text(f"INSERT INTO {table} {values}"))
    engine.dispose()
    opened = database.open_engine(database_url)
    assert capsys.readouterr().err.endswith(f"\nfitment: brought the catalogue from schema 0001 to {SCHEMA}\n")
    with opened.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), Base.metadata) == []
        assert connection.execute(sa.text("SELECT number FROM adopted")).scalar_one() == 15.0
        assert connection.execute(sa.text("SELECT shop FROM catalogue")).scalar_one() == "NORTH"
    assert verify(opened) == []
    opened.dispose()


def _upgrade_to(revision: str, config: Config, _head: str) -> None:
    UPGRADE(config, revision)


def test_the_newest_migration_goes_down_again_and_up(database_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    engine = database.create(database_url)
    with monkeypatch.context() as patch:
        patch.setattr(command, "upgrade", lambda config, _head: command.downgrade(config, "0003"))
        with engine.begin() as connection:
            database.migrate(connection)
            assert "size" not in {one["name"] for one in sa.inspect(connection).get_columns("end_summary")}
    with engine.begin() as connection:
        database.migrate(connection)
        assert compare_metadata(MigrationContext.configure(connection), Base.metadata) == []
    engine.dispose()


def test_a_catalogue_is_not_made_over_another(database_url: str) -> None:
    database.create(database_url).dispose()
    with pytest.raises(StorageFault, match="a catalogue is there already"):
        database.create(database_url)
    with pytest.raises(StorageFault, match="a catalogue is there already"):
        database.free_place(database_url)


def test_the_users_own_catalogue_is_made_on_first_use_and_said(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(database, "default_url", lambda: f"sqlite:///{tmp_path / 'own.sqlite'}")
    database.open_engine(None).dispose()
    assert capsys.readouterr().err == f"fitment: made an empty catalogue at {tmp_path / 'own.sqlite'}\n"
    database.open_engine(None).dispose()
    assert capsys.readouterr().err == ""


def test_the_light_clauses_name_columns_that_the_models_have() -> None:
    for clause in (tables.PART, tables.ITEM, tables.VEHICLE, tables.FITTED, tables.STATEMENT, tables.ADOPTED):
        assert set(clause.c.keys()) <= set(Base.metadata.tables[clause.name].c.keys())


@pytest.mark.parametrize("url", ["foo://bar", "mysql://host/name", "sqlite+nothing:///x"])
def test_a_database_of_another_kind_is_refused(url: str) -> None:
    with pytest.raises(UsageFault) as caught:
        database.open_engine(url)
    assert caught.value.code == "db-06"


def test_of_very_many_names_those_beside_it_in_the_alphabet_are_offered() -> None:
    names = [f"OWN/P-{number:06d}" for number in range(0, 400_000, 2)]
    told = nearest("OWN/P-123457", names)
    assert told.startswith("nearest: OWN/P-12")
