"""Derived rows of new parts, made as their rows come in: the same as the rule makes of their readings, or none."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.engine import Connection, Engine

from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.cells import Cell, cell_of
from fitment.catalogue.database import make_engine
from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.first_rows import FirstRows
from fitment.catalogue.new_parts import NewPart
from fitment.catalogue.once_read import ADOPTED_COLUMNS, SUMMARY_COLUMNS, Maker, Read
from fitment.catalogue.schema import Adopted, Base, EndSummary, Part, Reading, table_of
from fitment.catalogue.staged import Stage
from fitment.catalogue.values import StoredValue
from fitment.catalogue.verifying import verify
from fitment.errors import DataFault
from tests.catalogue.conftest import HEAD, Fill
from tests.catalogue.test_once_read import columns, evidence, parts


@pytest.fixture(scope="module")
def empty() -> Iterator[Connection]:
    """The tables that are filled, with nothing in them and nothing that they point to."""
    engine = make_engine("sqlite://")
    sa.event.listen(engine, "connect", lambda connection, _: connection.execute("PRAGMA foreign_keys=OFF"))
    Base.metadata.create_all(engine)
    with engine.connect() as connection:
        yield connection
    engine.dispose()


class Taken:
    """First rows of parts numbered from 1, and what the database holds of each."""

    def __init__(self, connection: Connection):
        self._connection = connection
        connection.rollback()
        self.rows, self._stage = FirstRows(evidence), Stage()
        self.parts = 0

    def take(self, kind: str, cells: list[Cell], uids: list[str], condition: str = "", sitting: int = 0) -> bool:
        self.parts += 1
        return self.rows.take(NewPart("OWN/P-1", kind, self.parts), cells, uids, condition, sitting)

    def held(self, table: type[Base], names: Sequence[str]) -> list[tuple[Any, ...]]:
        """Rows of the last part."""
        self._stage.write(self._connection, self.rows.handed_over())
        of = table_of(table)
        found = self._connection.execute(
            sa.select(*(of.c[name] for name in names)).where(of.c.part_id == self.parts).order_by(of.c.id)
        )
        return [tuple(row) for row in found]


SAID = ("uid", "feature", "dimension", "number", "u", "word", "tool", "condition", "sitting_id")


def row_of(reads: list[Read], turn: int) -> tuple[list[Cell], list[Read]]:
    """Cells that say what readings do; and the readings as of one condition and sitting, with uids of this turn."""
    cells = [cell_of(feature, dimension, StoredValue("", "", *said)) for _, _, feature, dimension, *said, _, _ in reads]
    return cells, [(0, f"{one[1]}-{turn}", *one[2:8], *reads[0][8:]) for one in reads]


def by_the_rule(kind: str, reads: list[Read], part: int) -> tuple[list[tuple[Any, ...]], list[tuple[Any, ...]]]:
    """Rows of `adopted` without their subject, and of `end_summary`."""
    values = adopted_values(part_kinds()[kind].features, map(evidence, reads))
    maker = Maker(evidence)
    return columns(values), maker.summaries(part_kinds()[kind], part, maker.entries(part_kinds()[kind], reads))


def in_order(rows: list[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    return sorted(rows, key=lambda row: row[:2])


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(some=st.lists(parts().filter(lambda part: part[1]), min_size=1, max_size=3))
def test_a_row_gives_what_the_rule_gives(empty: Connection, some: list[tuple[str, list[Read]]]) -> None:
    taken = Taken(empty)
    for turn, (kind, reads) in enumerate([*some, *some]):  # the second time by what was kept of the first
        cells, reads = row_of(reads, turn)
        derived = taken.take(kind, cells, [one[1] for one in reads], *reads[0][8:])
        assert taken.held(Reading, SAID) == [one[1:] for one in reads]
        held = taken.held(Adopted, ADOPTED_COLUMNS), taken.held(EndSummary, SUMMARY_COLUMNS)
        try:
            adopted, ends = by_the_rule(kind, reads, taken.parts)
        except DataFault:
            assert not derived
            assert held == ([], [])
            continue
        told = [value[:2] for value in adopted]
        twice = len({cell.of for cell in cells}) < len(cells)
        if twice or any(cell.dimension == "as-left" for cell in cells):
            assert not derived
        if derived:
            assert (in_order(held[0]), held[1]) == (in_order(adopted), ends)
        else:
            assert held == ([], [])
            # the hand that a thread tells may stand beside the hand's own reading
            assert twice or len(told) < len(cells) or any(cell.dimension in ("as-left", "thread") for cell in cells)


def test_most_rows_take_this_way(empty: Connection) -> None:
    taken = Taken(empty)
    said = [("stud", "gauge-trial", "pass gauge 1:10"), ("shank", "thread", "M14x1.5-LH"), ("shank", "sex", "female")]
    cells = [cell_of(feature, name, StoredValue("", "", None, None, word, "")) for feature, name, word in said]
    assert taken.take("rod-end", cells, ["a", "b", "c"])
    found = taken.held(Adopted, ("feature", "dimension", "readings"))
    assert [(*row[:2], json.loads(row[2])) for row in in_order(found)] == [
        ("shank", "hand", ["b"]),
        ("shank", "sex", ["c"]),
        ("shank", "thread", ["b"]),
        ("stud", "gauge-trial 1:10", ["a"]),
        ("stud", "taper", ["a"]),
    ]
    assert taken.held(EndSummary, ("feature", "kind", "near_key", "far_key")) == [
        ("shank", "rod-end", "M 14.0000x1.5000 LH female", "stud"),
        ("stud", "rod-end", "stud", "M 14.0000x1.5000 LH female"),
    ]


@pytest.mark.parametrize("other", ["sex", "hand", "thread", "spline"])
def test_an_end_is_looked_up_by_all_that_tells_it(empty: Connection, other: str) -> None:
    kind, feature = ("universal-joint", "upper") if other == "spline" else ("tie-rod", "inner")
    said: dict[str, list[Any]] = {"sex": ["male", "female"], "hand": ["LH", "RH"], "thread": ["M14x1.5", "M16x1.5"]}
    said |= {"spline": [36.0, 40.0], "depth": [25.0]}

    def cell(name: str, one: Any) -> Cell:
        number, word = (one, None) if isinstance(one, float) else (None, one)
        return cell_of(feature, name, StoredValue("", "", number, None if word else 0.0, word, ""))

    names = ("spline", "sex") if other == "spline" else ("thread", "sex", "hand", "depth")
    same = {name: cell(name, said[name][0]) for name in names}
    taken = Taken(empty)
    keys = set()
    for one in said[other]:
        cells = [same[name] if name != other else cell(name, one) for name in names]
        assert taken.take(kind, cells, [f"{one} {name}" for name in names])
        keys |= {row[0] for row in taken.held(EndSummary, ("near_key",))}
    assert len(keys) == 2


def test_what_was_said_is_forgotten_and_said_again(empty: Connection, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fitment.catalogue.first_rows.KEPT", 3)
    taken = Taken(empty)
    for turn in range(4):
        names = ("large", "length") if turn % 2 else ("large", "small")
        cells = [cell_of("stud", name, StoredValue("", "mm", 14.0 + turn, 0.1, None, "")) for name in names]
        uids = [f"{turn} {name}" for name in names]
        assert taken.take("rod-end", cells, uids)
        assert taken.held(Reading, ("uid", "number")) == [(uid, 14.0 + turn) for uid in uids]
        assert sorted(row[0] for row in taken.held(Adopted, ("readings",))) == sorted(f'["{uid}"]' for uid in uids)
        for table in ("staged_said", "staged_piece"):
            assert empty.execute(sa.text(f"SELECT count(*) FROM {table}")).scalar_one() <= 4


AGAIN = "rod-end,maker,name,sitting,units,condition,"


@pytest.mark.parametrize(
    "sheets",
    [
        # read once; repeats in one cell; a worn part; nothing read
        [
            HEAD
            + "stud.large,shank.thread\nA,,,T1,mm,,15,M14x1.5\nB,,,T1,mm,,15; 15.02,\nC,,,T4,mm,worn,14,\nD,,,,,,,\n"
        ],
        # read in two rows of one sheet, in two sheets, and by another sitting
        [HEAD + "stud.large\nA,one,,T1,mm,,15.00\nA,,,T1,mm,,15.00\n", HEAD + "stud.large\nA,,,T2,mm,,16.5\n"],
        # what was left open is filled in by a later sheet
        [HEAD + "stud.large\nA,,,T1,mm,,15.00\n", AGAIN + "stud.length\nA,Fadrell,one,T1,mm,,17.0\n"],
        # an item's readings are its own
        [HEAD + "stud.large\nA,,,T1,mm,,15.00\nA,,A-1,T1,mm,worn,14.2\n"],
        # a trial with another new part, and the other side
        [
            HEAD + "stud.gauge-trial,stud.seat-trial\nA,,,T1,mm,,pass gauge 1:10,pass with K eye\n",
            "knuckle,name\nK,one\n",
        ],
        ["rack,sitting,bar-end.left.thread,bar-end.left.hand,bar-end.right.as-left\nR,T1,M14x1.5,RH,yes\n"],
    ],
)
def test_the_catalogue_is_whole_however_often_a_part_is_read(engine: Engine, fill: Fill, sheets: list[str]) -> None:
    added = fill(*sheets)
    assert verify(engine) == []
    with engine.connect() as connection:
        assert connection.execute(sa.select(sa.func.count(Adopted.id))).scalar_one() > 0
        assert connection.execute(sa.select(sa.func.count(Part.id))).scalar_one() == added["part"]
    assert fill(*sheets) == {}
    assert verify(engine) == []


def test_what_a_later_sheet_fills_in_is_kept(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nA,,,T1,mm,,15.00\n", AGAIN + "stud.length\nA,Fadrell,one,T1,mm,,17.0\n")
    with engine.connect() as connection:
        assert connection.execute(sa.select(Part.maker, Part.name)).all() == [("Fadrell", "one")]


def test_new_parts_get_their_own_keys(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nA,,,T1,mm,,15.00\n")
    fill(HEAD + "stud.large\n" + "".join(f"P-{n},,,T1,mm,,{14 + n / 100:.2f}\n" for n in range(1, 41)))
    with engine.connect() as connection:
        found = connection.execute(
            sa.select(Part.ref, Adopted.number).join(Adopted, Adopted.part_id == Part.id).where(Part.ref != "A")
        ).all()
    assert {row.ref: row.number for row in found} == {f"P-{n}": pytest.approx(14 + n / 100) for n in range(1, 41)}
