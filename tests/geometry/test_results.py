"""Rack, turning, results, direction and the plan-view corner."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from fitment.errors import DataFault
from fitment.geometry import direction, results, slopes, turning
from fitment.geometry.frames import Vector
from fitment.geometry.plan import plan_corner
from fitment.geometry.rack import Rack, bar_direction, rack_between
from fitment.geometry.steering import set_rods, wheels
from fitment.geometry.upright import at_travel
from fitment.geometry.wheel import LEFT, RIGHT, contact_centre, spin_axis
from tests.support.corners import LOADED_RADIUS, mirrored, steering_of

SETS = ["A", "B", "C", "chrono_utility4x4_front_dw", "chrono_generic_strut"]


# -- rack ----------------------------------------------------------------------------------------------------


def test_a_housing_off_centre_leaves_the_locks_alike_and_a_bar_off_centre_does_not() -> None:
    steering = steering_of("A")
    housing = set_rods(steering.rack.moved(left=8.0), steering.left, steering.right)
    bar = dataclasses.replace(steering.rack, origin=steering.rack.origin + Vector(0.0, 8.0, 0.0), bar_offset=-8.0)
    off = dataclasses.replace(steering, rack=bar)
    locks = []
    for one in (housing, off):
        stops = one.rack.stops(70.0, 70.0)
        inner = [turning.inner_and_outer(*(wheel.steer for wheel in wheels(one, stop)))[0] for stop in stops]
        locks.append((stops, abs(float(inner[0] - inner[1]))))
    assert locks[0][0] == (70.0, -70.0)
    assert locks[0][1] < 0.1
    assert locks[1][0] == (78.0, -62.0)
    assert locks[1][1] == pytest.approx(9.0676, abs=1e-3)
    # with the wheels straight the inner balls are where they were
    assert off.rack.inner_ball(LEFT, 0.0) == steering.rack.inner_ball(LEFT, 0.0)


@given(st.floats(-20, 20), st.floats(-20, 20))
def test_bar_direction(tilt: float, skew: float) -> None:
    along = bar_direction(tilt, skew)
    assert float(along.length()) == pytest.approx(1.0)
    assert math.degrees(math.asin(float(along.z))) == pytest.approx(tilt)
    assert math.degrees(math.atan2(float(along.x), float(along.y))) == pytest.approx(skew)


def test_a_rack_between_two_balls() -> None:
    left, right = Vector(120.0, 340.0, 218.0), Vector(126.0, -332.0, 210.0)
    rack = rack_between(left, right)
    for side, ball in ((LEFT, left), (RIGHT, right)):
        assert_allclose(dataclasses.astuple(rack.inner_ball(side, 0.0)), dataclasses.astuple(ball), atol=1e-12)
    moved = rack.inner_ball(LEFT, 10.0) - left
    assert float(moved.length()) == pytest.approx(10.0)


# -- results -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SETS)
def test_at_the_null_height_there_is_no_bump_steer(name: str) -> None:
    steering = steering_of(name)
    inner = steering.rack.inner_ball(LEFT, 0.0)
    at = Vector(inner.x, inner.y, results.null_height(steering.left, inner))
    moved = set_rods(rack_between(at, mirrored(at)), steering.left, steering.right)
    assert_allclose(results.bump_steer(moved)[0], 0.0, atol=1e-12)


@pytest.mark.parametrize("name", SETS)
def test_bump_steer_per_mm_foretells_a_moved_rack(name: str) -> None:
    steering = steering_of(name)
    per_mm = results.bump_steer_per_mm(steering)
    rack = steering.rack
    for key, other in (
        ("height", rack.moved(up=0.3)),
        ("fore-aft", rack.moved(forward=0.3)),
        ("spacing", dataclasses.replace(rack, spacing=rack.spacing + 0.3)),
    ):
        moved = results.bump_steer(set_rods(other, steering.left, steering.right))
        for side in (0, 1):
            change = moved[side] - results.bump_steer(steering)[side]
            assert_allclose(per_mm[key][side] * 0.3, change, atol=2e-5 * 0.3 + 2e-2 * abs(change))


@pytest.mark.parametrize("name", SETS)
def test_roll_steer_is_what_the_wheels_do_as_the_body_rolls(name: str) -> None:
    steering = steering_of(name)
    half = (steering.left.wheel_centre.y - steering.right.wheel_centre.y) / 2
    roll = 0.01
    rise = half * math.tan(math.radians(roll))
    # the left side of the body rises, so the left wheel droops against it
    steers = [sum(one.steer for one in wheels(steering, 0.0, -sign * rise, sign * rise)) / 2 for sign in (1, -1)]
    assert_allclose(results.roll_steer(steering), (steers[0] - steers[1]) / (2 * roll), atol=1e-6)


def test_toe_out_in_bump_steers_out_of_the_bend() -> None:
    assert results.roll_steer(steering_of("chrono_sedan_front_dw")) < 0


def test_the_rule_for_rod_turns_is_near_the_exact_change() -> None:
    for name, arm, up, sign in (("A", 118.8826, 0.980174, -1), ("B", 131.1588, 0.978, 1)):
        exact = results.toe_per_lengthening(steering_of(name), 0.01)
        assert_allclose(exact, [sign * 0.01 * results.toe_per_mm(arm, up)] * 2, rtol=3e-3)


# -- turning -------------------------------------------------------------------------------------------------


def test_the_ideal_pair_meets_on_the_rear_axle() -> None:
    track, wheelbase, inner = 1308.4, 2400.0, 30.0
    outer = float(turning.ideal_outer(inner, wheelbase, track))
    # a turn to the left: both normals from the steering axes cut the rear axle's line at one y
    cuts = [half + wheelbase / math.tan(math.radians(a)) for half, a in ((track / 2, inner), (-track / 2, outer))]
    assert cuts[0] == pytest.approx(cuts[1])


def test_radius_of_the_contact_where_the_wheel_really_stands() -> None:
    """Against the normal of the wheel plane drawn from the contact centre to the rear axle's line."""
    right = wheels(steering_of("A"), 70.0)[1]
    contact = contact_centre(right.wheel_centre, right.spin, LOADED_RADIUS)
    ahead = contact.x + 2400.0
    radius = turning.turning_radius(ahead, abs(right.steer))
    along = ahead / right.spin.x
    assert_allclose(radius, np.hypot(ahead, along * right.spin.y), rtol=1e-12)
    assert_allclose(radius, 4280.84, atol=0.01)


def test_inner_and_outer_by_the_sense_of_the_turn() -> None:
    assert turning.inner_and_outer(30.0, 25.0) == (30.0, 25.0)
    assert turning.inner_and_outer(-25.0, -31.0) == (31.0, 25.0)
    inner, outer = turning.inner_and_outer(np.array([30.0, -25.0]), np.array([25.0, -31.0]))
    assert_allclose(inner, [30.0, 31.0])
    assert_allclose(outer, [25.0, 25.0])


def test_circles_across() -> None:
    assert turning.kerb_to_kerb(5000.0, 165.0) == 10165.0
    assert turning.wall_to_wall(5000.0, 400.0) == 10800.0


# -- direction -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("comes", "bar", "sign"),
    [
        ("from behind", "below", 1),
        ("from behind", "above", -1),
        ("from above", "ahead", -1),
        ("from above", "behind", 1),
    ],
)
def test_direction_of_the_bar(comes: str, bar: str, sign: int) -> None:
    """The four everyday layouts, derived from the right-hand rule: + suits arms behind the axle, - arms ahead."""
    shaft, to_bar = direction.SHAFT[comes], direction.BAR[bar]
    moves = direction.bar_moves(shaft, to_bar)
    assert np.sign(moves) == sign
    # the driver's clockwise turn about the shaft moves the bar along shaft x to_bar
    assert shaft.cross(to_bar).y == moves
    for name in ("A", "B"):
        steering = steering_of(name)
        rate = slopes.steer_per_bar(wheels(steering, 0.0)[0], steering.rack.direction)
        assert direction.steers_right_way(moves, rate) == (sign < 0 if name == "A" else sign > 0)


units = st.floats(-1, 1)


@given(units, units, units, units)
def test_half_turns_of_a_rack(sx: float, sz: float, rx: float, rz: float) -> None:
    """What swaps the ends of the bar reverses the direction; a turn about the bar keeps it, whatever its angle."""
    shaft, to_bar = Vector(sx, 0.0, sz), Vector(rx, 0.0, rz)
    moves = direction.bar_moves(shaft, to_bar)
    for about, sign in (("longitudinal", -1), ("vertical", -1), ("lateral", 1)):
        again = direction.bar_moves(direction.half_turned(shaft, about), direction.half_turned(to_bar, about))
        assert again == pytest.approx(sign * moves)


def test_a_bar_beside_the_shaft_decides_nothing() -> None:
    assert direction.bar_moves(direction.SHAFT["from behind"], direction.BAR["ahead"]) == 0
    assert not direction.steers_right_way(0.0, 1.0)


def test_an_unknown_axis_is_refused() -> None:
    with pytest.raises(DataFault) as caught:
        direction.half_turned(Vector(1.0, 0.0, 0.0), "latteral")
    assert caught.value.message == 'no axis "latteral"'
    assert caught.value.mending == "nearest: lateral, vertical"


# -- plan ----------------------------------------------------------------------------------------------------


def test_a_plan_corner_against_plane_trigonometry() -> None:
    """A rod square to its arm, and one so long that only its pull across counts: sin(steer) = bar/arm."""
    arm, track = 130.0, 1300.0
    left, right = (plan_corner(side, track, arm, 0.0) for side in (LEFT, RIGHT))
    rack = Rack(Vector(arm, 0.0, 0.0), Vector(0.0, 1.0, 0.0), 700.0)
    steering = set_rods(rack, left, right)
    rate = slopes.steer_per_bar(wheels(steering, 0.0)[0], rack.direction)
    assert float(rate) == pytest.approx(math.degrees(1 / arm))
    endless = dataclasses.replace(rack, spacing=track - 2e8)
    long = set_rods(endless, left, right)
    bar = np.array([-60.0, 20.0, 70.0])
    for wheel in wheels(long, bar):
        assert_allclose(wheel.steer, np.degrees(np.arcsin(bar / arm)), atol=1e-4)


def test_a_plan_corner_knows_no_bump() -> None:
    left, right = (plan_corner(side, 1300.0, -120.0, -20.0) for side in (LEFT, RIGHT))
    steering = set_rods(Rack(Vector(-120.0, 0.0, 0.0), Vector(0.0, 1.0, 0.0), 700.0), left, right)
    assert not at_travel(left, steering.rod(LEFT, 0.0), 5.0).reached
    # arms behind: the bar to the left steers to the right, and arms that lean in turn the inner wheel farther
    left_pose, right_pose = wheels(steering, 50.0)
    assert right_pose.steer < left_pose.steer < 0


def test_spin_axis_of_a_toed_in_cambered_wheel() -> None:
    spin = spin_axis(2.0, -1.0, RIGHT)
    assert_allclose(
        dataclasses.astuple(spin),
        [
            math.sin(math.radians(2)) * math.cos(math.radians(1)),
            -math.cos(math.radians(2)) * math.cos(math.radians(1)),
            math.sin(math.radians(1)),
        ],
    )
