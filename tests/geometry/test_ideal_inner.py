"""The ideal inner joint against published cases, and against the whole linkage with a rod put where it says."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fitment.geometry.frames import Vector
from fitment.geometry.ideal_inner import height_tolerance, ideal_inner, inner_moved, rod_tolerance
from fitment.geometry.results import null_height
from fitment.geometry.steering_axis import moment_arm
from fitment.geometry.suspension import Corner, Wishbones
from fitment.geometry.upright import Rod, at_travel
from tests.support.corners import published, steering_of

SWAP = {row["id"]: row for row in published("kinematics_swap")}


def inner_of(name: str) -> Vector:
    return steering_of(name).rack.inner_ball(1, 0.0)


def toe_change(corner: Corner, inner: Vector, travel: float) -> float:
    """Toe-in at a travel less that at ride height, the rod set there."""
    rod = Rod(inner, (inner - corner.arm_eye).length(), inner)
    return float(at_travel(corner, rod, travel).toe_in) - float(corner.toe)


@pytest.mark.parametrize("name", ["A", "B"])
@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("travel", [5.0, 25.0, 60.0])
def test_a_rod_from_there_keeps_toe_up_and_down(name: str, side: int, travel: float) -> None:
    steering = steering_of(name)
    corner = steering.left if side > 0 else steering.right
    inner = ideal_inner(corner, steering.rack.inner_ball(side, 0.0).x, travel)
    assert toe_change(corner, inner, travel) == pytest.approx(0.0, abs=1e-9)
    assert toe_change(corner, inner, -travel) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("name", "row"), [("A", "RCK-zero-A"), ("B", "RCK-zero-B")])
def test_for_little_travel_it_lies_on_the_published_line_without_slope(name: str, row: str) -> None:
    corner, came = steering_of(name).left, inner_of(name)
    published_height = float(SWAP[row]["value"])
    inner = ideal_inner(corner, came.x, 0.1)
    assert float(null_height(corner, inner)) == pytest.approx(float(inner.z), abs=1e-5)
    # the line goes through the published point: two heights without slope, y apart, and the ideal one between or beyond
    per_y = (float(null_height(corner, Vector(came.x, 300.0, 0.0))) - published_height) / (300.0 - came.y)
    assert float(inner.z) == pytest.approx(published_height + per_y * (float(inner.y) - came.y), abs=1e-4)


def test_its_rod_is_where_the_published_curvatures_cross_nought() -> None:
    # curvature is linear in 1/L by the rule (kinematics, inner-joint spacing); 0.5 mm of 291 mm is what is asked of it
    rows = {L: float(SWAP[f"RCK-len{L}-curv"]["value"]) for L in (262, 322)}
    length = {L: float(re.findall(r"L=([\d.]+)", SWAP[f"RCK-len{L}-curv"]["case"])[0]) for L in rows}
    share = rows[262] / (rows[262] - rows[322])
    crossing = 1 / (1 / length[262] + share * (1 / length[322] - 1 / length[262]))
    corner = steering_of("A").left
    rod = (ideal_inner(corner, 125.0, 10.0) - corner.arm_eye).length()
    assert float(rod) == pytest.approx(crossing, abs=0.5)


@pytest.mark.parametrize(("limit", "travel"), [(0.03, 25.0), (0.2, 25.0), (0.2, 60.0)])
def test_at_the_ends_of_the_tolerance_toe_changes_by_the_limit(limit: float, travel: float) -> None:
    corner = steering_of("A").left
    inner = ideal_inner(corner, 125.0, travel)
    assert isinstance(corner.links, Wishbones)
    lower = corner.links.lower_ball
    rod = float((inner - corner.arm_eye).length())
    arm = float(moment_arm(lower, corner.links.upper_ball - lower, corner.arm_eye, inner))
    along = (inner - corner.arm_eye).unit()
    off = height_tolerance(limit, travel, rod, arm)
    for where in (inner + Vector(0.0, 0.0, off), inner + Vector(0.0, 0.0, -off)):
        worst = max(abs(toe_change(corner, where, rise)) for rise in (travel, -travel))
        assert worst == pytest.approx(limit, rel=0.15)
    for length in rod_tolerance(limit, travel, rod, arm):
        worst = max(abs(toe_change(corner, corner.arm_eye + along * length, rise)) for rise in (travel, -travel))
        assert worst == pytest.approx(limit, rel=0.15)


SWEEP = [row for row in published("kinematics_poses") if re.fullmatch(r"[AB]-rack-?\d+-steer-L", row["id"])]


@pytest.mark.parametrize("row", SWEEP, ids=[row["id"] for row in SWEEP])
def test_the_published_steer_angles_ask_for_the_published_travel(row: dict[str, str]) -> None:
    name = row["id"][0]
    travel = float(re.findall(r"rack=([-+\d]+)", row["case"])[0])
    moved = inner_moved(steering_of(name).left, inner_of(name), float(row["value"]))
    assert float(moved) == pytest.approx(travel, abs=1e-5)


@given(travel=st.floats(-60, 60))
def test_the_bar_moves_as_far_as_steers_the_wheel(travel: float) -> None:
    assume(abs(travel) > 1)
    steering = steering_of("A")
    for corner in (steering.left, steering.right):
        steer = at_travel(corner, steering.rod(corner.side, travel), 0.0).steer
        moved = inner_moved(corner, steering.rack.inner_ball(corner.side, 0.0), steer)
        assert float(moved) == pytest.approx(travel, abs=1e-6)


def test_a_toe_limit_that_any_longer_rod_keeps_has_no_longest() -> None:
    shortest, longest = rod_tolerance(5.0, 25.0, 292.0, 119.0)
    assert longest < shortest
    assert rod_tolerance(0.03, 25.0, 292.0, 119.0)[0] < 292.0 < rod_tolerance(0.03, 25.0, 292.0, 119.0)[1]


def test_an_angle_that_the_rod_does_not_reach_is_nan_without_a_warning() -> None:
    # a rod along the car to an inner ball far ahead of the arm: turning the wheel draws the eye back, out of its reach
    corner, inner = steering_of("A").left, Vector(2000.0, 632.0, 208.0)
    moved = [float(inner_moved(corner, inner, steer)) for steer in (20.0, -20.0)]
    assert [math.isnan(one) for one in moved] == [True, True]
