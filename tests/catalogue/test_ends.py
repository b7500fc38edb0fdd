"""Ends by key and size: the summary of real readings, the queries against looking through every row, the generator."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy.engine import Engine

from fitment.catalogue.book import Book
from fitment.catalogue.database import create, open_engine
from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.end_keys import end_key, far_end
from fitment.catalogue.ends import EndWanted, ends_within, nearest_ends, of_kind, parts_alike, parts_named, unkeyed
from fitment.catalogue.importing import import_files
from fitment.catalogue.places import PlacesBook
from fitment.catalogue.questions import Questions
from fitment.catalogue.verifying import verify
from tests.catalogue.conftest import HEAD, Fill

ROWS = HEAD + "shank.thread,shank.sex,shank.hand,stud.gauge-trial,stud.large\n"
ROWS += "RE-1,,,T1,mm,new,M14x1.5,female,RH,pass gauge 1:10,15.00\n"
ROWS += "RE-2,,,T1,mm,new,M14x1.5,female,RH,pass gauge 1:10,15.20\n"
ROWS += "RE-3,,,T1,mm,new,M14x1.5,female,RH,pass gauge 1:8,15.10\n"
ROWS += "RE-4,,,T1,mm,new,M14x1.5,female,LH,pass gauge 1:10,15.05\n"
ROWS += "RE-5,,,T1,mm,new,M14x1.5,female,,pass gauge 1:10,15.05\n"
ROWS += "RE-6,,,T1,mm,new,,,,,\n"
#: crests of the two ends of some shafts, mm
OD = ((17.4, 17.4), (17.4, 18.2), (18.2, 17.4))
SHANK = "M 14.0000x1.5000 RH female"


def names(connection: sa.Connection, keys: Any) -> set[str]:
    return {row["ref"] for row in parts_named(Questions(connection), keys).values()}


def test_what_is_asked_is_found_and_what_nobody_knows_is_counted(engine: Engine, fill: Fill) -> None:
    fill(ROWS)
    with engine.connect() as connection:
        ask = Questions(connection)
        cone = EndWanted("stud", "stud", SHANK, (14.9, 15.2), (0.0987, 0.1013))
        assert names(connection, (row["part_id"] for row in ends_within(ask, "rod-end", cone))) == {"RE-1", "RE-2"}
        both = [EndWanted("shank", SHANK), EndWanted("stud", "stud", None, (14.9, 15.15))]
        assert names(connection, parts_alike(ask, "rod-end", both)) == {"RE-1", "RE-3"}
        keyed = [EndWanted("stud", "stud", SHANK, (14.9, 15.15)), EndWanted("shank", SHANK, "stud")]
        assert names(connection, parts_alike(ask, "rod-end", keyed)) == {"RE-1", "RE-3"}
        near = nearest_ends(ask, "rod-end", EndWanted("stud", "stud"), 15.08, 3)
        assert [round(off, 2) for off, _ in near] == [0.02, 0.03, 0.03]
        assert (of_kind(ask, "rod-end"), unkeyed(ask, "rod-end", "shank"), unkeyed(ask, "rod-end", "stud")) == (6, 2, 1)


def test_both_ends_of_a_part_are_asked_for_their_sizes(engine: Engine, fill: Fill) -> None:
    head = "intermediate-shaft,sitting,units,upper.spline,upper.sex,upper.od,lower.spline,lower.sex,lower.od\n"
    teeth = "36 @count-ticked,male"
    rows = [f"SH-{number},T1,mm,{teeth},{one},{teeth},{other}" for number, (one, other) in enumerate(OD, 1)]
    fill(head + "\n".join(rows) + "\n")
    key = "teeth 36 male"
    with engine.connect() as connection:
        both = [EndWanted(name, key, key, (17.3, 17.5)) for name in ("upper", "lower")]
        found = parts_alike(Questions(connection), "intermediate-shaft", both)
        assert names(connection, found) == {"SH-1"}
        assert len(parts_alike(Questions(connection), "intermediate-shaft", both[:1], 1)) == 1


def test_the_summary_follows_a_withdrawal(engine: Engine, fill: Fill) -> None:
    fill(ROWS)
    from fitment.catalogue.records import writing

    with engine.connect() as connection:
        query = (
            "SELECT r.uid FROM reading r JOIN part p ON p.id = r.part_id WHERE p.ref = 'RE-1' AND r.dimension = 'hand'"
        )
        uid = connection.execute(sa.text(query)).scalar_one()
    with writing(engine) as pen:
        pen.withdraw(pen.reading(uid), "not looked at", "AB")
    with engine.connect() as connection:
        found = parts_alike(Questions(connection), "rod-end", [EndWanted("shank", SHANK)])
        assert names(connection, found) == {"RE-2", "RE-3"}
        assert unkeyed(Questions(connection), "rod-end", "shank") == 3
    assert verify(engine) == []


def test_far_ends() -> None:
    kinds = part_kinds()
    assert [far_end(kinds["rod-end"], name) for name in ("shank", "stud", "body")] == ["stud", "shank", None]
    assert far_end(kinds["rack"], "pinion") is None
    assert far_end(kinds["knuckle"], "eye") is None


# --- the generator of the benchmarks: what it writes past the program is what the program would have written


@pytest.fixture(scope="module")
def generator() -> ModuleType:
    path = Path(__file__).parents[2] / "benchmarks" / "invented_catalogue.py"
    spec = importlib.util.spec_from_file_location("invented_catalogue", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["invented_catalogue"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def pair(generator: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> tuple[Engine, Engine]:
    """One invented catalogue twice: by import of its sheets, and straight into the tables."""
    folder = tmp_path_factory.mktemp("invented")
    imported = create(f"sqlite:///{folder / 'imported.sqlite'}")
    added = import_files(imported, generator.write_sheets(150, folder / "sheets", seed=3)).added
    create(f"sqlite:///{folder / 'filled.sqlite'}").dispose()
    assert generator.fill(folder / "filled.sqlite", 150, seed=3, batch=40) == added["reading"]
    return imported, open_engine(str(folder / "filled.sqlite"))


def summary(engine: Engine) -> set[tuple[Any, ...]]:
    columns = "e.feature, e.kind, e.near_key, e.far_key, round(e.size, 6), round(e.taper, 6), e.thread, e.hand, e.sex"
    query = f"SELECT p.ref, {columns}, e.spline_count FROM end_summary e JOIN part p ON p.id = e.part_id"
    with engine.connect() as connection:
        return {tuple(row) for row in connection.execute(sa.text(query))}


def test_the_generator_writes_the_summary_that_import_makes(pair: tuple[Engine, Engine]) -> None:
    imported, filled = map(summary, pair)
    assert len(imported) > 300
    assert filled == imported


def test_the_generator_writes_the_values_that_import_adopts(pair: tuple[Engine, Engine]) -> None:
    query = "SELECT p.ref, a.feature, a.dimension, round(a.number, 6), a.word"
    query += " FROM adopted a JOIN part p ON p.id = a.part_id"
    told = []
    for engine in pair:
        with engine.connect() as connection:
            told.append({tuple(row) for row in connection.execute(sa.text(query))})
    assert told[0] == told[1]


def test_the_keys_are_those_of_the_joints(pair: tuple[Engine, Engine]) -> None:
    with pair[0].connect() as connection:
        book = Book(connection)
        rows = connection.execute(
            sa.text("SELECT p.ref, e.* FROM end_summary e JOIN part p ON p.id = e.part_id")
        ).mappings()
        for row in list(rows)[:60]:
            key = end_key(book.find(row["ref"]).features[row["feature"]])
            assert (row["near_key"], row["size"], row["taper"]) == (key.near_key, key.size, key.taper)


def test_candidates_of_a_large_kind_are_chosen_and_the_rest_told(pair: tuple[Engine, Engine]) -> None:
    with pair[0].connect() as connection:
        book = PlacesBook(connection)
        query = "SELECT ref FROM part WHERE kind = 'rod-end' ORDER BY id"
        refs = list(connection.execute(sa.text(query)).scalars())
        assert len(refs) > 20
        own = book.find(refs[0])
        everything = book.candidates(own, 1000)
        assert {one.reference for one in everything.found} == {f"OWN/{ref}" for ref in refs[1:]}
        few = book.candidates(own, 5)
        assert len(few.found) == 5
        assert few.of_kind == everything.of_kind == len(refs) - 1
        assert {one.reference for one in few.found} <= {one.reference for one in everything.found}
        assert all(carrier.vehicle.startswith("OWN/V-") for one in few.found for carrier in one.carriers)
