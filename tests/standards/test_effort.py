"""Figures of rules for effort and play: as the reference gives them, and never more than they are."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from fitment.standards.effort import REGULATED, ControlLimit, control_limits, effort_limits

PUBLISHED = Path(__file__).parents[1] / "published" / "effort_check.csv"
with PUBLISHED.open(encoding="utf-8", newline="") as table:
    ROWS = [row for row in csv.DictReader(table) if re.match("REG|ERG", row["id"])]


def held(row_id: str) -> tuple[ControlLimit, float | None]:
    """The figure of a published row, and the number in it that the row is about."""
    name = row_id.removeprefix("REG-").removeprefix("ERG-")
    if match := re.fullmatch(r"(R79-[MN]\d-\w+)-(effort|time|radius)", name):
        one = control_limits()[match[1]]
        return one, {"effort": one.value, "time": one.seconds, "radius": one.radius}[match[2]]
    one = control_limits()[name]
    return one, one.value


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_limits(row: dict[str, str]) -> None:
    one, value = held(row["id"])
    assert value == float(row["value"])
    assert (one.source, one.source_kind) == (row["source"], row["source_kind"])
    assert one.second_hand == ("second hand" in row["source"])
    if not row["id"].endswith(("-time", "-radius")):
        assert one.unit == row["unit"]


def test_every_figure_has_its_row() -> None:
    assert {held(row["id"])[0].id for row in ROWS} == set(control_limits())


def test_figures_are_told_as_what_they_are() -> None:
    told = {name: one.told for name, one in control_limits().items()}
    assert told["R79-M1-intact"] == (
        "UN Regulation No. 79, 01 series, M1, gear intact: 150 N within 4 s onto a radius of 12 m "
        "(from memory, unchecked)"
    )
    assert told["R79-range-failed-high"] == (
        "UN Regulation No. 79 and Directive 70/311/EEC, all categories, assistance failed, highest over the "
        "categories: 450 N (second hand; agrees with the ends of the from-memory table)"
    )
    assert told["393209-angle-power"] == (
        "49 CFR 393.209(b)(2), rims of other sizes, with assistance: 30 deg (49 CFR 393.209(b)(2))"
    )
    for name, one in control_limits().items():
        assert ("from memory, unchecked" in told[name]) == (one.source_kind == "memory")
        assert ("second hand" in told[name]) == one.second_hand
        assert not re.search(r"\bsafe|legal|will pass|strong", told[name])
    assert "upper bound" in REGULATED


def test_the_memory_table_agrees_with_the_second_hand_ends() -> None:
    limits = control_limits()
    for case in ("intact", "failed"):
        forces = [one.newtons for name, one in limits.items() if re.fullmatch(rf"R79-[MN]\d-{case}", name)]
        assert len(forces) == 6
        ends = [limits[f"R79-range-{case}-{end}"].newtons for end in ("low", "high")]
        assert [min(forces), max(forces)] == ends


def test_limits_of_a_category() -> None:
    assert [one.id for one in effort_limits(" n2 ")] == ["R79-N2-intact", "R79-N2-failed"]
    for unknown in ("", "vintage"):
        assert [one.id for one in effort_limits(unknown)] == [
            f"R79-range-{case}-{end}" for case in ("intact", "failed") for end in ("low", "high")
        ]
