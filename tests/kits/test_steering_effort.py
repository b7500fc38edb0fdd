"""Effort on the spot through the whole chain, on a surveyed car of the published case A (invented)."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from fitment.geometry.effort import FRICTION, disc_moment
from fitment.kits.steering_effort import RESULTS, assumed
from fitment.kits.steering_results import SteeringResult, result_rows
from fitment.sheets.effort_text import effort_notes
from fitment.sheets.steer_text import steer_text
from fitment.standards.effort import REGULATED
from tests.kits.test_steer import CAR, Car, at, compare, rack, text, told, value
from tests.support.corners import published

ROWS = {row["id"]: row for table in ("effort_check", "kinematics_poses") for row in published(table)}
RACK = "NORTH/RK-2"
SIDES = ("left", "right")


def loaded(u: float = 0.0) -> Car:
    """The car of the reference's worked figures: 300 kg on each front wheel, a rim of 380 mm."""
    car = Car("A", u=u)
    car.say("body", wheel_dia=380.0)
    for side in SIDES:
        car.say(f"corner.{side}", load=300.0)
    return car


def scaled(result: SteeringResult, name: str) -> float:
    """A force at the rim for the moment and the efficiency of the published rows."""
    moment = float(ROWS["KPM-own-M"]["value"])
    return value(result, name) * moment / value(result, "kingpin-most-left") * 0.8 / 0.85


def test_the_rim_force_is_as_published() -> None:
    result = told(loaded())
    for name, bar in (("rim-most-centre", 0), ("rim-most-lock", 70)):
        row = ROWS[f"KPM-virtualwork-{bar}"]
        assert scaled(result, name) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]), rel=0)


def test_the_moment_has_trail_in_it_and_not_scrub_alone() -> None:
    result = told(loaded())
    scrub, trail = (float(ROWS[f"A-static-{name}"]["value"]) for name in ("scrub", "trail"))
    weight = 300 * 9.80665
    for end, friction, share in (("least", FRICTION[0], 0.8), ("most", FRICTION[1], 1.0)):
        moment = disc_moment(weight, friction, share * 155, math.hypot(scrub, trail))
        for side in SIDES:
            assert value(result, f"kingpin-{end}-{side}") == pytest.approx(moment, rel=1e-6)


def test_least_is_below_most_and_lock_is_heavier_than_centre() -> None:
    result = told(loaded())
    for place in ("centre", "lock"):
        assert value(result, f"rim-least-{place}") < value(result, f"rim-most-{place}")
    assert value(result, "rim-most-centre") < value(result, "rim-most-lock")


def test_the_curve_runs_from_lock_over_centre_to_lock() -> None:
    result = told(loaded(u=0.5), count=60)
    for end in ("least", "most"):
        curve = result.curves[f"rim-{end}"]
        assert curve.y[len(curve.y) // 2] == pytest.approx(value(result, f"rim-{end}-centre"))
        assert max(curve.y[0], curve.y[-1]) == pytest.approx(value(result, f"rim-{end}-lock"))
        assert all(low < y < high for low, y, high in zip(curve.low, curve.y, curve.high, strict=True))


def test_a_slower_rack_is_lighter_by_as_much() -> None:
    car = loaded()
    car.parts[RACK] = rack(RACK, 680.0, 140.0, speed=38.0)
    made = compare(car, text(at(125, 0, 213)))
    before, after = (value(one.told, "rim-most-centre") for one in made.steerings)
    assert after / before == pytest.approx(38 / 44, rel=1e-6)


def test_half_the_axle_load_where_the_wheels_were_not_weighed() -> None:
    car = loaded()
    weighed = told(car)
    car.forget("load")
    car.say("body", load_front=600.0)
    halved = told(car)
    for name in RESULTS:
        assert value(halved, name) == pytest.approx(value(weighed, name))


@pytest.mark.parametrize(
    ("lost", "gap", "kingpin_known"),
    [("load", "load", False), ("wheel-dia", "wheel-dia", True), ("tyre", "tyre", False)],
)
def test_what_is_missing_is_named(lost: str, gap: str, kingpin_known: bool) -> None:
    car = loaded()
    car.forget(lost)
    body = car.features["body"]
    car.features["body"] = replace(body, values={name: one for name, one in body.values.items() if name != lost})
    result = told(car)
    assert ("kingpin-most-left" in result.results) == kingpin_known
    for name in ("rim-most-centre", "rim-least-lock", "rim-most"):
        assert gap in {one.dimension for one in result.gaps[name]}


def test_every_result_has_its_row() -> None:
    rows = {row.name for row in result_rows().values() if row.group == "effort"}
    assert rows == {*RESULTS, "rim-force"}


def test_the_method_its_bias_and_the_rules_figures_are_said() -> None:
    car = loaded()
    without = effort_notes(compare(Car("A")))
    assert without == []
    notes = effort_notes(compare(car))
    assert notes[0].startswith("Effort: wheels turned on the spot, car standing: moment about the kingpin = friction x")
    assert "reads up to 10.1 % above" in notes[0]
    assert assumed() in notes[0]
    assert assumed().startswith(
        "friction 0.55 to 0.7, print 0.8 to 1 of the tyre's nominal width, efficiency 0.8 to 0.9"
    )
    assert notes[1] == f"The next 4 are figures of rules, {REGULATED}."
    assert all("second hand" in note for note in notes[2:])
    car.say("body", category="M1")
    notes = effort_notes(compare(car))
    assert notes[1].startswith("The next 2 are")
    assert notes[2:] == [
        "UN Regulation No. 79, 01 series, M1, gear intact: 150 N within 4 s onto a radius of 12 m "
        "(from memory, unchecked).",
        "UN Regulation No. 79, 01 series, M1, with a failure: 300 N within 4 s onto a radius of 20 m "
        "(from memory, unchecked).",
    ]


def test_the_table_shows_it_in_either_system() -> None:
    made = compare(loaded())
    metric, inch = (steer_text(made, 100, system, full=True) for system in ("mm", "inch"))
    result = made.original.told
    force = re.search(r"rim force standing, on centre, most, N +(\d+)", metric)
    assert force is not None
    assert float(force[1]) == pytest.approx(value(result, "rim-most-centre"), abs=0.5)
    pounds = re.search(r"rim force standing, on centre, most,\s+lbf +([\d.]+)", inch)
    assert pounds is not None
    # 1 lbf is 4.448 N, by definition of the pound and of standard gravity
    assert float(pounds[1]) == pytest.approx(value(result, "rim-most-centre") / 4.4482216, abs=0.5)
    torque = re.search(r"kingpin moment standing, left, most,\s+lbf·ft +([\d.]+)", inch)
    assert torque is not None
    assert float(torque[1]) == pytest.approx(value(result, "kingpin-most-left") / 1.355817948, abs=0.5)
    assert CAR in metric
