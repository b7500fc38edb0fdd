"""What deserves a second look, and what does not."""

from __future__ import annotations

import pytest
import sqlalchemy as sa
from sqlalchemy.engine import Engine

from fitment.catalogue.audit import SORTS, Trouble, audit
from fitment.catalogue.deciding import decide
from fitment.catalogue.records import writing
from fitment.catalogue.schema import Item
from tests.catalogue.conftest import HEAD, Fill


def troubles(engine: Engine, sort: str = "") -> list[Trouble]:
    with engine.connect() as connection:
        return [one for one in audit(connection) if sort in ("", one.sort)]


def told(engine: Engine, sort: str) -> list[str]:
    return [f"{one.of} {one.feature} {one.dimension}: {one.told}".replace("  ", "") for one in troubles(engine, sort)]


def test_a_clean_catalogue(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nRE-1,,,T1,mm,,15.00\n", "item,part,welds\nRE-1a,RE-1,none\n")
    assert troubles(engine) == []


def test_a_conflict_until_it_is_decided(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nRE-1,,,T1,mm,,15.00\nRE-1,,,T3,mm,,15.60\n")
    (found,) = troubles(engine)
    assert (found.sort, found.of, found.feature, found.dimension) == ("conflict", "OWN/RE-1", "stud", "large")
    assert found.told.startswith("in conflict: ")
    assert len(found.readings) == 2
    with writing(engine) as pen:
        decide(pen, "RE-1", "stud", "large", [found.readings[0]], "measured again", "AB")
    assert troubles(engine) == []


def test_a_point_from_two_datums_is_a_conflict(engine: Engine, fill: Fill) -> None:
    axes = '"x forward, y left, z up"'
    fill(
        f"sitting,who,date,source,datum,axes\nA1,AB,2026-03-01,S-own,axle,{axes}\nA2,AB,2026-03-02,S-own,sill,{axes}\n",
        'vehicle,sitting,units,corner.left.arm-eye\nV-1,A1,mm,"-118, 505, 231"\nV-1,A2,mm,"20, 505, 31"\n',
    )
    assert [one.told.partition(":")[0] for one in troubles(engine, "conflict")] == ["read from different datums"]


@pytest.mark.parametrize(
    ("rows", "weak"),
    [
        ("RE-1,,,T4,mm,,15.0", True),
        ("RE-1,,,T5,mm,,15.0\nRE-1,,,T6,mm,,15.0", True),
        ("RE-1,,,T5,mm,,15.0\nRE-1,,,T4,mm,,15.0", False),
        ("RE-1,,,P1,mm,,15.0", True),
        ("RE-1,,,T3,mm,,15.0", False),
        ("RE-1,,,T4,mm,,15.0\nRE-1,,,T1,mm,,15.0", False),
    ],
)
def test_one_weak_source(engine: Engine, fill: Fill, rows: str, weak: bool) -> None:
    fill(
        "source,kind,title\nS-page,catalogue-page,page 14\n",
        "sitting,who,date,source\nP1,AB,2026-03-01,S-page\n",
        HEAD + "stud.large\n" + rows + "\n",
    )
    assert [one.dimension for one in troubles(engine, "weak-source")] == ["large"] * weak


def test_a_weak_source_is_named(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.nut\nRE-1,,,T4,mm,,castle nut\n")
    assert told(engine, "weak-source") == ["OWN/RE-1 stud nut: castle nut, from an advert"]


def test_values_outside_the_usual_range(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large,stud.taper\nRE-1,,,T1,mm,,25.40 !,\nRE-2,,,T1,mm,,15.00,1:3 !\n")
    assert told(engine, "implausible") == [
        "OWN/RE-1 stud large: 25.400 mm where 12 mm to 20 mm is usual (bench), entered as meant",
        "OWN/RE-2 stud taper: 1:3 where 1:11.24 to 1:5.38 is usual (bench), entered as meant",
    ]


@pytest.mark.parametrize(
    ("entered", "why"),
    [
        ("15.00", ""),
        ("15.003", "read to the last digit"),
        ("15.00 ±0.01", "stated with u = 0.00577"),
        ("15.00 u=0.01 mm", "stated with u = 0.01"),
        ("15.00 ±0.05", ""),
        ("15.003 @micrometer", ""),
        ("0.5905 in", ""),
        ("0.59055 in", "read to the last digit"),
    ],
)
def test_readings_better_than_their_tool_could_give(engine: Engine, fill: Fill, entered: str, why: str) -> None:
    fill(HEAD + f"stud.large\nRE-1,,,T1,mm,,{entered}\n")
    expected = f"OWN/RE-1 stud large: {entered}: {why}, but calliper leaves ±0.05 mm"
    assert told(engine, "finer-than-tool") == ([expected] if why else [])


def test_items_whose_welds_nobody_told(engine: Engine, fill: Fill) -> None:
    fill(
        "rod-end\nRE-1\n",
        "boot\nBO-1\n",
        "item,part,welds\nRE-1a,RE-1,\nRE-1b,RE-1,unknown\nRE-1c,RE-1,none\nRE-1d,RE-1,repair\nBO-1a,BO-1,\n",
    )
    assert told(engine, "welds") == ["OWN/RE-1a: welds are not known", "OWN/RE-1b: welds are not known"]
    with writing(engine) as pen:
        pen.state(pen.need(Item, "RE-1a"), "welds", "none", "")
    assert told(engine, "welds") == ["OWN/RE-1b: welds are not known"]


def test_what_is_withdrawn_is_no_trouble(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nRE-1,,,T1,mm,,25.40 !\n")
    with engine.connect() as connection:
        (uid,) = connection.execute(sa.text("SELECT uid FROM reading")).scalars()
    with writing(engine) as pen:
        pen.withdraw(pen.reading(uid), "read in inches", "AB")
    assert troubles(engine) == []


def test_the_gravest_first(engine: Engine, fill: Fill) -> None:
    fill(
        HEAD + "stud.large,stud.small\nRE-1,,,T1,mm,,15.00,13.1234\nRE-1,,,T3,mm,,15.60,\nRE-1,,,T4,mm,,,\n"
        "RE-2,,RE-2a,T4,mm,,25 !,\n"
    )
    assert [one.sort for one in troubles(engine)] == list(SORTS)
