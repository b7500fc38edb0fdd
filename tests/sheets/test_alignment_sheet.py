"""The numbers of the alignment sheet against worked examples, and what stands there where nobody has said."""

from __future__ import annotations

import csv
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.finding import Basis, Use
from fitment.joints.registration import Feature
from fitment.kits.steering_results import Curve
from fitment.sheets.alignment_sheet import length_row, wanted_toe
from fitment.sheets.alignment_steps import rear_less_front
from fitment.sheets.curve_rows import at, toe_rows

INCH = 25.4
with (Path(__file__).parents[1] / "published" / "alignment_check.csv").open(encoding="utf-8", newline="") as table:
    PUBLISHED = {row["id"]: float(row["value"]) for row in csv.DictReader(table)}


def car(wanted: dict[str, str] | None = None, **body: float) -> Any:
    """What the sheet asks of a context: a car with these recorded, mm or deg, and what the kit wants."""
    values = {
        name.replace("_", "-"): Use("V-1 body", name.replace("_", "-"), value, 0.5, "mm", Basis.MEASURED)
        for name, value in body.items()
    }
    target = SimpleNamespace(name="V-1", features={"body": Feature("V-1 body", "vehicle-body", values)})
    return SimpleNamespace(assembly=SimpleNamespace(target=target), kit=SimpleNamespace(wanted=wanted or {}))


def test_the_string_stands_as_much_farther_as_the_worked_example_has_it() -> None:
    assert rear_less_front(car(track_front=1500.0, track_rear=1440.0)) == PUBLISHED["ALN-string-offset"] - 60.0


def test_front_track_wider_by_1_1_inch_puts_the_rear_string_0_55_inch_farther_out() -> None:
    """Common practice, no source; the arithmetic is geometry."""
    apart = rear_less_front(car(track_front=1400.0 + 1.1 * INCH, track_rear=1400.0))
    assert apart is not None
    assert apart / INCH == pytest.approx(0.55, abs=1e-12)


@pytest.mark.parametrize("known", [{}, {"track_front": 1500.0}, {"track_rear": 1440.0}])
def test_with_a_track_unknown_no_distance_is_told(known: dict[str, float]) -> None:
    assert rear_less_front(car(**known)) is None


@pytest.mark.parametrize("angle", ["0.1", "0.25", "0.5"])
def test_toe_as_a_length_is_that_of_the_worked_examples(angle: str) -> None:
    row = length_row(float(angle), 364.0)
    length = PUBLISHED[f"ALN-mm-{angle}"]
    assert row[0] == "364.0 mm (14.33 in)"
    assert [float(str(cell).split()[0]) for cell in row[1:]] == pytest.approx(
        [length, length / INCH, 2 * length, 2 * length / INCH], abs=0.0051
    )


def test_the_toe_to_set_is_the_kits_then_the_cars_then_nobodys() -> None:
    assert wanted_toe(car({"toe": "0.15 deg"}, toe_total=0.2)) == (0.15, "as the kit wants it")
    assert wanted_toe(car(toe_total=0.2))[0] == pytest.approx(0.1)
    assert wanted_toe(car()) == (None, "nobody has said: the car's manual")


CURVE = Curve("toe", (-45.0, 0.0, 20.0), (0.3, 0.0, -0.1), (0.2, 0.0, -0.2), (0.4, 0.0, 0.0), "travel", "mm", "deg")


@given(share=st.floats(0.0, 1.0))
def test_between_its_points_a_curve_is_straight(share: float) -> None:
    found = at(CURVE, -45.0 + 45.0 * share)
    assert found is not None
    assert found == pytest.approx((0.3 - 0.3 * share, 0.2 - 0.2 * share, 0.4 - 0.4 * share), abs=1e-12)


def test_where_the_wheel_does_not_go_nothing_is_computed() -> None:
    rows = {str(row[0]): row[1] for row in toe_rows(CURVE, None, "mm")}
    assert rows["-50 mm"] == rows["30 mm"] == "not reached"
    assert rows["20 mm"] == "-0.10 deg (-0.20 to +0.00)"
    assert rows["0 mm"] == "+0.00 deg (+0.00 to +0.00)"
    assert [row[3] for row in toe_rows(CURVE, None, "mm")] == ["not known"] * 11
