"""Every published row on alignment, then what must hold whatever the car: mirror, units, strings that are parallel."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.geometry import alignment, results, steering_axis, wheel
from fitment.geometry.frames import Vector
from fitment.geometry.suspension import upper_end
from fitment.standards.splines import index_step
from tests.support.corners import published, steering_of

ROWS = published("alignment_check")
BASE = 364.0


def arm_a() -> float:
    left = steering_of("A").left
    up = upper_end(left.links) - left.links.lower_ball
    return float(steering_axis.moment_arm(left.links.lower_ball, up, left.arm_eye, steering_of("A").rod(1, 0.0).inner))


def equal_offset_error() -> float:
    """Yaw of strings that were set 60 mm from the hubs at both ends."""
    return float(alignment.string_yaw(alignment.rear_distance(60.0, 1500.0, 1440.0) - 60.0, 2400.0))


READERS: list[tuple[str, Callable[[re.Match[str]], float]]] = [
    (r"ALN-toe-1_16-D(?P<base>[\d.]+)", lambda match: float(alignment.toe_angle(25.4 / 16, float(match["base"])))),
    (r"ALN-toe-9_1_16", lambda match: float(alignment.toe_between(9.0, 9 + 1 / 16))),
    (r"ALN-mm-(?P<angle>[\d.]+)", lambda match: float(alignment.toe_length(float(match["angle"]), BASE))),
    (r"ALN-10min-364", lambda match: float(alignment.toe_length(10 / 60, BASE))),
    (r"ALN-string-offset", lambda match: float(alignment.rear_distance(60.0, 1500.0, 1440.0))),
    (r"ALN-string-L", lambda match: gap_difference(0.20, wheel.LEFT)),
    (r"ALN-string-equal-offset-error", lambda match: equal_offset_error()),
    (r"ALN-string-skew", lambda match: float(alignment.string_yaw(2.0, 2400.0))),
    (r"ALN-thrust", lambda match: float(alignment.mean_steer(0.30, -0.10))),
    (r"ALN-drag", lambda match: float(alignment.side_slip(3.0, 600.0))),
    (r"ALN-turn-simple", lambda match: float(alignment.length_per_turn(1.5) * results.toe_per_mm(arm_a()))),
    (
        r"ALN-turn-(?P<set>[AB])-exact",
        lambda match: float(results.toe_per_lengthening(steering_of(match["set"]), alignment.length_per_turn(1.5))[0]),
    ),
    (r"ALN-sleeve", lambda match: float(alignment.length_per_turn(1.5, sleeve=True))),
    (r"ALN-wheel-per-mm", lambda match: 1 / float(alignment.rod_length_for_wheel(1.0, 44.0))),
    (r"ALN-centre-10deg", lambda match: float(alignment.rod_length_for_wheel(10.0, 44.0)) / 1.5),
    (r"ALN-19to1", lambda match: float(alignment.rod_turns_per_wheel_turn(28.5, 1.5))),
    (r"ALN-spline-(?P<teeth>\d+)", lambda match: index_step(int(match["teeth"]))),
]


def gap(toe: float, side: int, along: float) -> float:
    """From a string 1000 mm to that side to a point of the rim this far forward of the spin axis, mm, in space."""
    spin = wheel.spin_axis(toe, 0.0, side)
    forward = Vector(spin.y, -1 * spin.x, 0.0) * float(side)
    return 1000.0 - float(side * (spin * 700.0 + forward * along).y)


def gap_difference(toe: float, side: int) -> float:
    return float(alignment.toe_from_string(gap(toe, side, BASE / 2), gap(toe, side, -BASE / 2)))


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_alignment(row: dict[str, str]) -> None:
    found = [read(match) for pattern, read in READERS if (match := re.fullmatch(pattern, row["id"]))]
    assert len(found) == 1
    assert found[0] == pytest.approx(float(row["value"]), abs=max(float(row["tolerance"]), 1e-9), rel=0)


def test_every_reader_has_its_row() -> None:
    assert len(ROWS) == 26
    for pattern, _ in READERS:
        assert any(re.fullmatch(pattern, row["id"]) for row in ROWS), pattern


def test_doubt_of_string_alignment() -> None:
    # 0.5 mm half-width on each reading at 380 mm is 0.06 deg per wheel (worked out in a table of common practice)
    u_reading = 0.5 / math.sqrt(3)
    u = float(alignment.toe_angle_u(0.0, math.hypot(u_reading, u_reading), 380.0))
    assert u == pytest.approx(0.06, abs=0.005)


def test_one_turn_of_one_and_a_half_on_an_arm_of_130() -> None:
    # 0.66 deg (worked out in a table of common practice)
    assert 1.5 * float(results.toe_per_mm(130.0)) == pytest.approx(0.66, abs=0.005)


def test_a_19_to_1_manual_means_28_mm_of_rack_per_turn_of_the_wheel() -> None:
    # an owner's manual, looked up: 19 deg of rod for 1 deg of steering wheel
    assert float(alignment.rod_turns_per_wheel_turn(28.35, 1.5)) == pytest.approx(18.9, abs=0.01)


@pytest.mark.parametrize(("name", "ahead"), [("A", True), ("B", False)])
@pytest.mark.parametrize("wanted", [-0.5, 0.25])
def test_rod_reckoned_by_the_rule_gives_the_toe_by_exact_geometry(name: str, ahead: bool, wanted: float) -> None:
    steering = steering_of(name)
    left = steering.left
    up = upper_end(left.links) - left.links.lower_ball
    arm = steering_axis.moment_arm(left.links.lower_ball, up, left.arm_eye, steering.rod(1, 0.0).inner)
    upright = alignment.axis_z(float(steering_axis.castor(up)), float(steering_axis.inclination(up, wheel.LEFT)))
    assert upright == pytest.approx(float(up.unit().z), abs=1e-12)
    lengthening = float(alignment.longer(alignment.rod_length_for_toe(wanted, arm, upright), ahead))
    changed = results.toe_per_lengthening(steering, lengthening)
    assert float(changed[0]) == pytest.approx(wanted, rel=0.01)
    assert float(changed[1]) == pytest.approx(wanted, rel=0.01)


toes = st.floats(-5, 5)
lengths = st.floats(200, 700)


@given(toes, lengths)
def test_length_and_angle_undo_each_other(toe: float, base: float) -> None:
    assert alignment.toe_angle(alignment.toe_length(toe, base), base) == pytest.approx(toe, abs=1e-9)


@given(toes, lengths, st.floats(0.1, 30))
def test_toe_as_an_angle_knows_no_unit(toe: float, base: float, unit: float) -> None:
    length = alignment.toe_length(toe, base)
    assert alignment.toe_angle(length / unit, base / unit) == pytest.approx(toe, abs=1e-9)
    assert alignment.toe_angle_u(length / unit, 0.4 / unit, base / unit, 1 / unit) == pytest.approx(
        alignment.toe_angle_u(length, 0.4, base, 1.0)
    )


@given(toes, st.sampled_from([wheel.LEFT, wheel.RIGHT]))
def test_gaps_to_a_string_give_back_the_wheels_own_toe(toe: float, side: int) -> None:
    assert alignment.toe_angle(gap_difference(toe, side), BASE) == pytest.approx(toe, abs=1e-9)


@given(toes, toes)
def test_a_mirrored_car_points_the_other_way(left: float, right: float) -> None:
    assert alignment.mean_steer(left, right) == -alignment.mean_steer(right, left)
    steer = (
        wheel.steer_angle(wheel.spin_axis(left, 0.0, 1), 1) + wheel.steer_angle(wheel.spin_axis(right, 0.0, -1), -1)
    ) / 2
    assert alignment.mean_steer(left, right) == pytest.approx(float(steer), abs=1e-9)


@given(toes, st.floats(-2, 2))
def test_toe_along_a_line_keeps_the_total_and_points_along_it(each: float, thrust: float) -> None:
    left, right = alignment.toe_along(each, thrust)
    assert left + right == pytest.approx(2 * each)
    assert alignment.mean_steer(left, right) == pytest.approx(thrust)


@given(st.floats(1200, 1700), st.floats(1200, 1700), st.floats(100, 300))
def test_strings_are_as_far_apart_at_both_ends(front: float, rear: float, at_front: float) -> None:
    at_rear = alignment.rear_distance(at_front, front, rear)
    assert front + 2 * at_front == pytest.approx(rear + 2 * at_rear)
    assert alignment.rear_distance(at_rear, rear, front) == pytest.approx(at_front)


def test_an_inset_wheel_widens_the_hubs_beyond_the_track() -> None:
    assert alignment.across_hubs(1400.0, 35.0) == 1470.0
    assert alignment.across_hubs(1360.0, -5.0) == 1350.0


@given(toes, lengths, st.floats(0.05, 1), st.floats(0, 2))
def test_doubt_of_an_angle_is_that_of_its_slopes(toe: float, base: float, u_length: float, u_base: float) -> None:
    length, step = float(alignment.toe_length(toe, base)), 1e-3
    by_length = (alignment.toe_angle(length + step, base) - alignment.toe_angle(length - step, base)) / (2 * step)
    by_base = (alignment.toe_angle(length, base + step) - alignment.toe_angle(length, base - step)) / (2 * step)
    assert alignment.toe_angle_u(length, u_length, base, u_base) == pytest.approx(
        math.hypot(by_length * u_length, by_base * u_base), rel=1e-5
    )


@given(toes, st.floats(80, 200), st.floats(20, 60))
def test_the_rack_turns_both_wheels_as_far_as_the_rods_would(steer: float, arm: float, speed: float) -> None:
    rate = results.toe_per_mm(arm)
    assert alignment.rod_length_for_wheel(alignment.wheel_angle(steer, rate, speed), speed) == pytest.approx(
        alignment.rod_length_for_toe(steer, arm), abs=1e-9
    )


def test_arrays_take_the_same_road_as_numbers() -> None:
    toe, base = np.array([-1.0, 0.0, 0.25]), np.array([364.0, 380.0, 400.0])
    length = alignment.toe_length(toe, base)
    for number in range(3):
        assert np.asarray(length)[number] == alignment.toe_length(float(toe[number]), float(base[number]))
    assert alignment.toe_angle(length, base) == pytest.approx(toe)
    assert alignment.string_yaw(np.array([30.0]), 2400.0) == pytest.approx([0.716159945])
    assert alignment.axis_z(np.array([5.256415]), np.array([10.203974])) == pytest.approx([0.980174], abs=1e-6)


@pytest.mark.parametrize(
    ("lengthens", "hand", "expected"),
    [(True, "RH", False), (False, "RH", True), (True, "LH", True), (False, "LH", False)],
)
def test_a_right_hand_thread_turned_clockwise_screws_in(lengthens: bool, hand: str, expected: bool) -> None:
    assert alignment.clockwise(lengthens, hand) is expected


def test_rods_turned_the_same_way_in_the_car_turn_the_steering_wheel_alone() -> None:
    # a workshop manual, looked up: both rods turned the same way by the same amount; one then is longer, one shorter
    left = alignment.top_goes_forward(alignment.clockwise(True, "RH"), left=True)
    right = alignment.top_goes_forward(alignment.clockwise(False, "RH"), left=False)
    assert left is right is False
