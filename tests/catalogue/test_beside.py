"""Writing in a second thread: the catalogue must not show whether anything was written so."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from fitment.catalogue import records, staged
from fitment.catalogue.beside import Beside
from fitment.catalogue.once_read import ADOPTED_COLUMNS
from fitment.catalogue.plain_rows import insert_rows
from fitment.catalogue.schema import Adopted, Base, Item, Part, Reading, Vehicle, table_of
from fitment.catalogue.verifying import verify
from fitment.errors import DataFault, StorageFault
from tests.catalogue.conftest import HEAD, Fill

#: parts of which some are read again by somebody else, worn, and some by an item
SHEET = HEAD + "stud.large,stud.length,shank.thread\n"
SHEET += "".join(f"P-{n},,,T1,mm,,{14 + n / 50:.2f},{15 + n / 10:.1f},M14x1.5\n" for n in range(40))
AGAIN = (
    HEAD + "stud.large,shank.thread\n" + "".join(f"P-{n},,,T2,mm,worn,{14 + n / 50:.2f},\n" for n in range(0, 40, 3))
)
ITEMS = HEAD + "stud.large\n" + "".join(f"P-{n},,I-{n},T1,mm,,{13.9 + n / 50:.2f}\n" for n in range(0, 40, 5))


def count_of(engine: Engine, *tables: type[Base]) -> list[int]:
    with engine.connect() as connection:
        return [
            connection.execute(sa.select(sa.func.count()).select_from(table_of(table))).scalar_one() for table in tables
        ]


def told(engine: Engine) -> tuple[list[Any], list[Any]]:
    """All readings by what they were read on, in their order; all values by part or item."""
    of = (Part.ref, Item.ref.label("item"))
    things = [sa.outerjoin(table_of(table), table_of(Part)).outerjoin(table_of(Item)) for table in (Reading, Adopted)]
    read = sa.select(*of, Reading.uid, Reading.number, Reading.word, Reading.condition).select_from(things[0])
    values = sa.select(*of, *(table_of(Adopted).c[name] for name in ADOPTED_COLUMNS)).select_from(things[1])
    with engine.connect() as connection:
        readings = connection.execute(read.order_by(Part.ref, Item.ref, Reading.id)).all()
        return readings, sorted(map(tuple, connection.execute(values)), key=repr)


@pytest.fixture
def threads(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the threads that write rows, where batches are of nine readings."""
    found: list[str] = []

    def watched(connection: Connection, *said: Any) -> None:
        found.append(threading.current_thread().name)
        insert_rows(connection, *said)

    monkeypatch.setattr(records, "_MOST_WAITING", 9)
    monkeypatch.setattr("fitment.catalogue.staged.insert_rows", watched)
    monkeypatch.setattr(records, "insert_rows", watched)
    return found


def test_a_catalogue_does_not_show_in_how_many_batches_it_was_written(
    engine: Engine, fill: Fill, threads: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(SHEET, AGAIN, ITEMS)
    assert "writing" in threads
    assert verify(engine) == []
    in_batches = told(engine)
    with engine.begin() as connection:
        for table in ("adopted", "end_summary", "reading", "item", "part"):
            connection.execute(sa.text(f"DELETE FROM {table}"))
        connection.execute(sa.text("UPDATE catalogue SET digest = :none"), {"none": "0" * 64})
    threads.clear()
    monkeypatch.setattr(records, "_MOST_WAITING", 10_000)
    fill(SHEET, AGAIN, ITEMS)
    assert "writing" not in threads
    assert verify(engine) == []
    assert told(engine) == in_batches
    assert len(in_batches[0]) == 40 * 3 + 14 + 8


@pytest.mark.parametrize("sheet", [SHEET, SHEET.replace("15.9,M14", "x,M14")])
def test_nothing_is_left_when_a_batch_cannot_be_written(
    engine: Engine, fill: Fill, threads: list[str], monkeypatch: pytest.MonkeyPatch, sheet: str
) -> None:
    written = 0

    def full(connection: Connection, table: sa.Table, *said: Any) -> None:
        nonlocal written
        written += 1
        if written == 8:
            raise sa.exc.OperationalError("INSERT", {}, Exception("database or disk is full"))
        insert_rows(connection, table, *said)

    monkeypatch.setattr("fitment.catalogue.staged.insert_rows", full)
    with pytest.raises(StorageFault, match="full"):
        fill(sheet)
    assert written == 8
    assert count_of(engine, Reading, Adopted, Part) == [0, 0, 0]
    with engine.connect() as connection:  # nor any table of the work
        assert not [name for name in sa.inspect(connection).get_temp_table_names() if name.startswith("staged")]


def test_nothing_is_left_of_a_sheet_with_a_fault(engine: Engine, fill: Fill, threads: list[str]) -> None:
    with pytest.raises(DataFault) as raised:
        fill(SHEET.replace("18.9,M14", "x,M14"))
    assert "row 41" in str(raised.value.place)
    assert "writing" in threads
    assert count_of(engine, Reading, Adopted, Part) == [0, 0, 0]
    fill(SHEET)
    assert verify(engine) == []


@pytest.mark.parametrize("parts", [8, 9, 10, 18, 19])
def test_a_sheet_of_one_batch_and_a_little_goes_in(
    engine: Engine, fill: Fill, threads: list[str], monkeypatch: pytest.MonkeyPatch, parts: int
) -> None:
    make = staged._TABLES.create_all

    def slowly(connection: Connection, checkfirst: bool) -> None:
        threading.Event().wait(0.2)
        make(connection, checkfirst=checkfirst)

    monkeypatch.setattr(staged._TABLES, "create_all", slowly)
    fill(HEAD + "stud.large\n" + "".join(f"P-{n},,,T1,mm,,{14 + n / 50:.2f}\n" for n in range(parts)))
    assert count_of(engine, Reading, Adopted, Part) == [parts] * 3
    assert verify(engine) == []


def waiting(connection: Connection, began: threading.Event) -> Callable[[], None]:
    """Work that inserts a vehicle only after the other thread had time to come first."""

    def work() -> None:
        began.set()
        threading.Event().wait(0.2)
        connection.execute(sa.insert(Vehicle).values(uid="u", shop="OWN", ref="V-1"))

    return work


MANY = sa.text("SELECT count(*) FROM vehicle")


def test_a_statement_waits_for_the_work(engine: Engine) -> None:
    with engine.connect() as connection:
        beside, began = Beside(connection), threading.Event()
        beside.do(waiting(connection, began))
        began.wait()
        assert connection.execute(MANY).scalar_one() == 1


def test_a_rollback_waits_for_the_work(engine: Engine) -> None:
    with engine.connect() as connection:
        beside, began = Beside(connection), threading.Event()
        connection.execute(MANY)
        beside.do(waiting(connection, began))
        began.wait()
        connection.rollback()
    with engine.connect() as other:
        assert other.execute(MANY).scalar_one() == 0


@pytest.mark.parametrize("then", ["do", "wait", "execute"])
def test_what_the_work_raised_is_raised_by_whatever_comes_next(engine: Engine, then: str) -> None:
    def fails() -> None:
        raise ZeroDivisionError("in the work")

    with engine.connect() as connection:
        beside = Beside(connection)
        connection.execute(MANY)
        beside.do(fails)
        comes = {"do": lambda: beside.do(fails), "wait": beside.wait, "execute": lambda: connection.execute(MANY)}[then]
        with pytest.raises(ZeroDivisionError, match="in the work"):
            comes()
        connection.rollback()
        assert connection.execute(MANY).scalar_one() == 0


def test_a_rollback_does_not_raise_what_the_work_raised(engine: Engine) -> None:
    def fails() -> None:
        raise ZeroDivisionError("in the work")

    with engine.connect() as connection:
        beside = Beside(connection)
        connection.execute(MANY)
        beside.do(fails)
        connection.rollback()


def test_where_no_thread_is_to_be_had_the_work_is_done_at_once(engine: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(_thread: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr(threading.Thread, "start", none)
    with engine.connect() as connection:
        beside = Beside(connection)
        beside.do(waiting(connection, threading.Event()))
        assert connection.execute(MANY).scalar_one() == 1


@pytest.mark.parametrize("before", [True, False])
def test_who_is_interrupted_as_the_work_begins_leaves_nothing(
    engine: Engine, monkeypatch: pytest.MonkeyPatch, before: bool
) -> None:
    start = threading.Thread.start

    def interrupted(thread: threading.Thread) -> None:
        if not before:
            start(thread)
        raise KeyboardInterrupt

    began = threading.Event()
    with engine.connect() as connection:
        beside = Beside(connection)
        connection.execute(MANY)
        monkeypatch.setattr(threading.Thread, "start", interrupted)
        with pytest.raises(KeyboardInterrupt):
            beside.do(waiting(connection, began))
        connection.rollback()
        assert not began.is_set()
    with engine.begin() as other:
        other.execute(sa.insert(Vehicle).values(uid="u", shop="OWN", ref="V-1"))
