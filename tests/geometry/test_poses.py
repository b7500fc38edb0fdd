"""Poses: a general root finder, link lengths, mirror image, rigid motion, scale, exact slopes, dead centre, reach."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import fsolve
from scipy.spatial.transform import Rotation

from fitment.errors import DataFault
from fitment.geometry import slopes, steering_axis
from fitment.geometry.frames import Vector, vector
from fitment.geometry.plan import plan_corner
from fitment.geometry.rack import Rack, bar_direction
from fitment.geometry.steering import (
    Steering,
    dead_centres,
    inner_joint_angle,
    outer_joint_angle,
    rod_angles,
    set_rods,
    wheels,
    why_not_reached,
)
from fitment.geometry.suspension import Corner, FixedAxis, Strut, Wishbones
from fitment.geometry.upright import HeldToe, WheelPose, at_arm_angle, at_travel
from fitment.geometry.wheel import LEFT, RIGHT, spin_axis
from tests.support.corners import Points, corner_of, hardpoints, mirrored, steering_of, turned

WISHBONES, STRUT = "A", "B"
bars = st.floats(-55, 55)
travels = st.floats(-55, 55)
names = st.sampled_from(["A", "B", "C", "chrono_sedan_front_dw", "chrono_generic_strut"])


def mapped(steering: Steering, change: Callable[[Vector], Vector]) -> Steering:
    """The steering with every point put elsewhere and the bar's direction turned with them; the rods stay."""

    def corner(old: Corner) -> Corner:
        links = type(old.links)(*(change(getattr(old.links, f.name)) for f in dataclasses.fields(old.links)))
        return dataclasses.replace(old, links=links, arm_eye=change(old.arm_eye), wheel_centre=change(old.wheel_centre))

    rack = steering.rack
    tip = change(rack.origin + rack.direction) - change(rack.origin)
    moved = dataclasses.replace(rack, origin=change(rack.origin), direction=tip.unit())
    return dataclasses.replace(steering, rack=moved, left=corner(steering.left), right=corner(steering.right))


@st.composite
def steerings(draw: st.DrawFn) -> Steering:
    """Case A or B with every left point shaken by up to 8 mm, and a rack that lies askew."""
    name = draw(st.sampled_from([WISHBONES, STRUT]))
    shake = st.floats(-8, 8)
    points: Points = {
        point: at + Vector(draw(shake), draw(shake), draw(shake)) for point, at in hardpoints(name)["left"].items()
    }
    left = corner_of(points, LEFT, draw(st.floats(-1, 1)), draw(st.floats(-2, 2)))
    right = corner_of(hardpoints(name)["right"], RIGHT)
    middle = steering_of(name).rack
    direction = bar_direction(draw(st.floats(-3, 3)), draw(st.floats(-3, 3)))
    rack = Rack(middle.origin + Vector(0.0, draw(shake), draw(shake)), direction, middle.spacing)
    return set_rods(rack, left, right)


def numbers(point: Vector) -> Any:
    return np.array([point.x, point.y, point.z], dtype=float)


# -- a general root finder on the links' lengths -------------------------------------------------------------


def found_by_lengths(pose_of: Steering, bar: float, travel: float) -> tuple[float, float]:
    """Toe-in and camber (deg) of the left wheel by six residuals on a free upright: no formula of the package in it."""
    left, links = pose_of.left, pose_of.left.links
    rod = pose_of.rod(LEFT, bar)
    ball, eye, centre = numbers(links.lower_ball), numbers(left.arm_eye), numbers(left.wheel_centre)
    inner, length = numbers(rod.inner), float(rod.length)

    def distance(first: Any, second: Any) -> float:
        return float(np.linalg.norm(first - second))

    def residuals(unknown: Any) -> list[float]:
        turn, shift = Rotation.from_rotvec(unknown[3:] / 100), unknown[:3]

        def now(point: Any) -> Any:
            return centre + shift + turn.apply(point - centre)

        out = [unknown[2] - travel, distance(now(eye), inner) - length]
        assert isinstance(links, Wishbones | Strut)
        pairs = [(links.lower_front, ball), (links.lower_rear, ball)]
        if isinstance(links, Wishbones):
            pairs += [(links.upper_front, numbers(links.upper_ball)), (links.upper_rear, numbers(links.upper_ball))]
        else:
            top, line = numbers(links.top), numbers(links.lower_on_line)
            # what lies across the moved line between the mount and a point on it
            across = np.cross(now(top) - now(line), top - now(line)) / distance(top, line)
            out += [across[0], across[1]]
        return out + [distance(now(point), numbers(pivot)) - distance(point, numbers(pivot)) for pivot, point in pairs]

    start = np.array([0.0, 0.0, travel, 0.0, 0.0, 0.0])
    unknown, found, _, message = fsolve(residuals, start, xtol=1e-13, full_output=True)
    assert np.max(np.abs(found["fvec"])) < 1e-9, message
    x, y, z = Rotation.from_rotvec(unknown[3:] / 100).apply(numbers(spin_axis(left.toe, left.camber, LEFT)))
    return math.degrees(math.atan2(x, y)), math.degrees(math.asin(-z))


@given(steerings(), st.integers(-40, 40), st.integers(-40, 40))
def test_a_general_root_finder_finds_the_same_pose(steering: Steering, bar: int, travel: int) -> None:
    left, _ = wheels(steering, bar, travel)
    toe, camber = found_by_lengths(steering, bar, travel)
    assert_allclose([left.toe_in, left.camber], [toe, camber], atol=1e-7, rtol=0)


# -- what must hold in every pose ----------------------------------------------------------------------------


def link_lengths(pose: WheelPose) -> list[Any]:
    """Lengths that no pose may change: of the arms, the rod, and within the upright."""
    links = pose.corner.links
    lower = pose.upright.lower
    lengths = [pose.rod_along.length(), (pose.wheel_centre - pose.arm_eye).length()]
    if isinstance(links, FixedAxis):
        return lengths
    lengths += [(lower - links.lower_front).length(), (lower - links.lower_rear).length()]
    if isinstance(links, Wishbones):
        upper = pose.upright.point(links.upper_ball)
        return [*lengths, (upper - links.upper_front).length(), (upper - links.upper_rear).length()]
    # the mount stays on the strut's line as the upright carries it
    line = (pose.upright.point(links.top) - pose.upright.point(links.lower_on_line)).unit()
    return [*lengths, line.cross(links.top - pose.upright.point(links.lower_on_line)).length()]


@given(steerings(), bars, travels)
def test_link_lengths_are_kept(steering: Steering, bar: float, travel: float) -> None:
    at_design = link_lengths(wheels(steering, 0.0)[0])
    assert_allclose(link_lengths(wheels(steering, bar, travel)[0]), at_design, atol=1e-9, rtol=0)


@given(steerings(), travels)
def test_the_wheel_centre_rises_by_the_travel(steering: Steering, travel: float) -> None:
    pose = wheels(steering, 30.0, travel)[0]
    assert_allclose(pose.wheel_centre.z - steering.left.wheel_centre.z, travel, atol=1e-9)


@given(names, bars, travels, travels)
def test_a_mirrored_car_does_the_mirrored_thing(name: str, bar: float, left: float, right: float) -> None:
    steering = steering_of(name)
    other = mapped(steering, mirrored)
    other = Steering(
        dataclasses.replace(other.rack, direction=other.rack.direction * -1.0),
        dataclasses.replace(other.right, side=LEFT),
        dataclasses.replace(other.left, side=RIGHT),
        other.rod_right,
        other.rod_left,
    )
    here, there = wheels(steering, bar, left, right), wheels(other, -bar, right, left)
    for one, mirror in zip(here, reversed(there), strict=True):
        assert_allclose([one.steer, one.camber], [-1 * mirror.steer, mirror.camber], atol=1e-9)


@given(names, bars, travels, st.floats(-500, 500), st.floats(-500, 500), st.floats(-500, 500))
def test_a_moved_datum_changes_nothing(name: str, bar: float, travel: float, x: float, y: float, z: float) -> None:
    steering = steering_of(name)
    moved = mapped(steering, lambda point: point + Vector(x, y, z))
    for here, there in zip(wheels(steering, bar, travel), wheels(moved, bar, travel), strict=True):
        assert_allclose([here.toe_in, here.camber], [there.toe_in, there.camber], atol=1e-8)


@given(names, bars, st.floats(-10, 10), st.floats(-180, 180), st.floats(-20, 20))
def test_turning_the_car_turns_the_pose(name: str, bar: float, arm: float, yaw: float, lean: float) -> None:
    steering = steering_of(name)

    def turn(point: Vector) -> Vector:
        leant = turned(point, Vector(1.0, 0.0, 0.0), math.radians(lean))
        return turned(leant, Vector(0.0, 0.0, 1.0), math.radians(yaw))

    here = at_arm_angle(steering.left, steering.rod(LEFT, bar), arm)
    round_ = mapped(steering, turn)
    there = at_arm_angle(round_.left, round_.rod(LEFT, bar), arm)
    assert_allclose(numbers(turn(here.arm_eye)), numbers(there.arm_eye), atol=1e-8)
    assert_allclose(numbers(turn(here.wheel_centre)), numbers(there.wheel_centre), atol=1e-8)
    assert_allclose(
        inner_joint_angle(here, steering.rack.direction), inner_joint_angle(there, round_.rack.direction), atol=1e-7
    )
    stud = Vector(0.1, -0.2, 1.0)
    assert_allclose(outer_joint_angle(here, stud), outer_joint_angle(there, turn(stud)), atol=1e-9)


@given(names, bars, travels, st.sampled_from([0.001, 1 / 25.4, 10.0]))
def test_another_unit_of_length_changes_no_angle(name: str, bar: float, travel: float, scale: float) -> None:
    steering = steering_of(name)
    scaled = mapped(steering, lambda point: point * scale)
    scaled = dataclasses.replace(
        scaled,
        rack=dataclasses.replace(scaled.rack, spacing=steering.rack.spacing * scale),
        rod_left=steering.rod_left * scale,
        rod_right=steering.rod_right * scale,
    )
    here, there = wheels(steering, bar, travel)[0], wheels(scaled, bar * scale, travel * scale)[0]
    assert_allclose([here.toe_in, here.camber], [there.toe_in, there.camber], atol=1e-8)


def test_arrays_say_what_numbers_say() -> None:
    steering = steering_of("C")
    travel, bar = np.array([-60.0, 0.0, 45.0])[:, None], np.array([-70.0, 10.0])
    together = wheels(steering, bar, travel, -1 * travel)
    for i, z in enumerate([-60.0, 0.0, 45.0]):
        for j, x in enumerate([-70.0, 10.0]):
            alone = wheels(steering, x, z, -z)
            for many, one in zip(together, alone, strict=True):
                assert np.shape(many.steer) == (3, 2)
                assert_allclose(many.steer[i, j], one.steer, atol=1e-10)


def test_points_may_be_samples() -> None:
    noise = np.random.default_rng(1).normal(size=(3, 50))
    points = dict(hardpoints("B")["left"])
    exact = [
        at_travel(
            corner_of(points | {"lower_ball_joint": points["lower_ball_joint"] + vector(shift)}, LEFT),
            HeldToe(0.0),
            20.0,
        )
        for shift in noise.T
    ]
    shaken = points | {"lower_ball_joint": points["lower_ball_joint"] + vector(noise)}
    together = at_travel(corner_of(shaken, LEFT), HeldToe(0.0), 20.0)
    assert_allclose(together.arm_eye.y, [one.arm_eye.y for one in exact], atol=1e-9)


# -- slopes, toe and dead centre -----------------------------------------------------------------------------


@given(steerings(), bars, travels)
def test_slopes_are_those_of_the_curves(steering: Steering, bar: float, travel: float) -> None:
    pose = wheels(steering, bar, travel)[0]
    step = 1e-3
    up, down = (wheels(steering, bar, travel + one)[0] for one in (step, -step))
    assert_allclose(slopes.bump_toe(pose), (up.toe_in - down.toe_in) / (2 * step), atol=1e-7)
    assert_allclose(slopes.bump_camber(pose), (up.camber - down.camber) / (2 * step), atol=1e-7)
    direction = steering.rack.direction
    more, less = (wheels(steering, bar + one, travel)[0] for one in (step, -step))
    assert_allclose(slopes.steer_per_bar(pose, direction), (more.steer - less.steer) / (2 * step), atol=1e-6)
    more, less = (at_arm_angle(steering.left, steering.rod(LEFT, bar + one), pose.arm_angle) for one in (step, -step))
    held = slopes.steer_per_bar(pose, direction, arm_held=True)
    assert_allclose(held, (more.steer - less.steer) / (2 * step), atol=1e-6)


@given(names, st.floats(-3, 3), st.floats(-3, 3))
def test_rods_are_set_for_the_wanted_toe(name: str, toe_left: float, toe_right: float) -> None:
    old = steering_of(name)
    new = set_rods(old.rack, old.left, old.right, toe_left, toe_right)
    left = at_arm_angle(new.left, new.rod(LEFT, 0.0), 0.0)
    right = at_arm_angle(new.right, new.rod(RIGHT, 0.0), 0.0)
    assert_allclose([left.toe_in, right.toe_in], [toe_left, toe_right], atol=1e-8)


@given(names, travels, st.floats(-2, 2))
def test_held_toe_is_held(name: str, travel: float, toe: float) -> None:
    corner = steering_of(name).right
    pose = at_travel(corner, HeldToe(toe), travel)
    assert_allclose([pose.toe_in, pose.wheel_centre.z - corner.wheel_centre.z], [toe, travel], atol=1e-8)
    assert_allclose(slopes.bump_toe(pose), 0.0, atol=1e-9)


@given(steerings())
def test_dead_centre_is_where_the_rod_stops_reaching(steering: Steering) -> None:
    for limit, sign in zip(dead_centres(steering, LEFT), (1, -1), strict=True):
        assert sign * limit > 0
        inside, outside = (
            at_arm_angle(steering.left, steering.rod(LEFT, limit - sign * step), 0.0) for step in (1e-4, -1e-4)
        )
        assert inside.reached
        assert not outside.reached
        upright = inside.upright
        arm = steering_axis.moment_arm(upright.lower, upright.space[0], inside.arm_eye, inside.hold.inner)
        assert arm < 1.0 < steering_axis.arm_radius(upright.lower, upright.space[0], inside.arm_eye)


def test_dead_centre_on_the_right_is_the_mirror() -> None:
    steering = steering_of("A")
    left, right = dead_centres(steering, LEFT), dead_centres(steering, RIGHT)
    assert_allclose(left, [-1 * right[1], -1 * right[0]])


def test_the_moment_arm_is_the_arm_where_the_rod_is_square() -> None:
    up, lower = Vector(0.0, 0.0, 3.0), Vector(0.0, 600.0, 100.0)
    eye = Vector(120.0, 600.0, 150.0)
    assert steering_axis.arm_radius(lower, up, eye) == pytest.approx(120.0)
    assert steering_axis.moment_arm(lower, up, eye, Vector(120.0, 300.0, 150.0)) == pytest.approx(120.0)
    assert steering_axis.moment_arm(lower, up, eye, Vector(420.0, 300.0, 150.0)) == pytest.approx(
        120.0 * math.sqrt(0.5)
    )


def test_rod_angles() -> None:
    pose = wheels(steering_of("A"), 0.0)[1]
    # the rod falls 5 mm over 292 mm outboard and lies square across the car
    assert_allclose(rod_angles(pose), [math.degrees(math.atan(-5 / 292)), 0.0], atol=1e-9)


# -- out of reach, and points that cannot be -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "bar", "travel", "text"),
    [
        ("A", [0.0, 200.0, 250.0], 0.0, "left wheel: the tie rod does not reach the arm in 2 of 3 poses"),
        ("A", 0.0, [0.0, -250.0], "left wheel: the upper arm does not reach its ball joint in 1 of 2 poses"),
        ("A", 0.0, 2000.0, "left wheel: the wheel centre does not rise or fall so far in 1 of 1 poses"),
        ("B", [0.0, -200.0], 0.0, "left wheel: the tie rod does not reach the arm in 1 of 2 poses"),
    ],
)
def test_what_does_not_reach_is_said_and_not_clipped(name: str, bar: Any, travel: Any, text: str) -> None:
    left = wheels(steering_of(name), np.array(bar), np.array(travel))[0]
    assert why_not_reached(left) == text
    assert np.all(np.isnan(left.toe_in) == ~left.reached)


def test_a_pose_past_the_lowest_point_of_the_wheel_is_not_on_the_road() -> None:
    """The links close at this droop, but only where the wheel centre already rises as the arm falls."""
    steering = steering_of("chrono_generic_dw")
    past = at_arm_angle(steering.left, steering.rod(LEFT, -145.0), -44.967)
    assert past.reached
    assert past.rise_rate < 0
    assert not wheels(steering, -145.0, past.wheel_centre.z - steering.left.wheel_centre.z)[0].reached


def test_all_reached_says_nothing() -> None:
    assert why_not_reached(wheels(steering_of("A"), np.linspace(-70, 70, 5), 10.0)[0]) is None


@pytest.mark.parametrize("name", ["A", "B", "C", "chrono_sedan_front_dw", "chrono_utility4x4_front_dw"])
def test_every_pose_that_the_links_allow_is_found_by_its_travel(name: str) -> None:
    """Far beyond any real stroke and travel, up to dead centre of rod and upper arm."""
    steering = steering_of(name)
    arm, bar = np.linspace(-60, 60, 41)[:, None], np.linspace(-240, 240, 49)
    pose = at_arm_angle(steering.left, steering.rod(LEFT, bar), arm)
    allowed = pose.reached & (np.asarray(pose.rise_rate) > 1)
    travel = np.where(allowed, pose.wheel_centre.z - steering.left.wheel_centre.z, 0.0)
    found = at_travel(steering.left, steering.rod(LEFT, bar), travel)
    assert np.count_nonzero(allowed) > 700
    assert_allclose(np.where(allowed, found.arm_angle - arm, 0.0), 0.0, atol=1e-5)
    assert np.all(np.where(found.reached, found.margin, 0.0) >= 0)


def test_a_short_rod_stays_on_its_side_as_the_bar_passes_the_arm() -> None:
    """Rod 60 mm, arm 130 mm: from a bar 60 mm to the left on, the inner ball lies beyond where the eye was as set."""
    left, right = (plan_corner(side, 1300.0, 130.0, 0.0) for side in (LEFT, RIGHT))
    steering = set_rods(Rack(Vector(130.0, 0.0, 0.0), Vector(0.0, 1.0, 0.0), 1180.0), left, right)
    steer = wheels(steering, np.arange(0.0, 150.0, 2.0))[0].steer
    assert np.all(np.diff(steer) > 0)
    assert steer[-1] > 50


@pytest.mark.parametrize(
    ("changed", "at", "text"),
    [
        ("lower_inner_rear", "lower_inner_front", "the lower arm's front and rear pivots fall together"),
        ("upper_ball_joint", "upper_inner_rear", "the upper ball lies on the upper arm's pivot axis"),
        ("upper_ball_joint", "lower_ball_joint", "the steering axis' lower and upper points fall together"),
        ("tie_rod_outer", "upper_ball_joint", "the arm eye lies on the steering axis"),
    ],
)
def test_points_that_fall_together_are_refused(changed: str, at: str, text: str) -> None:
    points = hardpoints("A")["left"]
    with pytest.raises(DataFault) as caught:
        corner_of(points | {changed: points[at]}, LEFT)
    assert caught.value.message == f"left corner: {text}"
    assert caught.value.mending == "measure these points again"


def test_a_strut_without_a_line_is_refused() -> None:
    points = hardpoints("B")["right"]
    with pytest.raises(DataFault, match="right corner: the two points on the strut's line fall together"):
        corner_of(points | {"strut_axis_lower_point": points["strut_top_mount"]}, RIGHT)


def test_a_fixed_axis_answers_for_the_bar_alone() -> None:
    steering = steering_of("A")
    links = steering.left.links
    assert isinstance(links, Wishbones)
    fixed = dataclasses.replace(steering.left, links=FixedAxis(links.lower_ball, links.upper_ball))
    pose = at_travel(fixed, steering.rod(LEFT, 30.0), np.array([0.0, 10.0]))
    assert list(pose.reached) == [True, False]
    held = at_arm_angle(steering.left, steering.rod(LEFT, 30.0), 0.0)
    assert pose.steer[0] == pytest.approx(float(held.steer), abs=1e-12)
    direction = steering.rack.direction
    rate = slopes.steer_per_bar(pose, direction)[0]
    assert rate == pytest.approx(float(slopes.steer_per_bar(held, direction, arm_held=True)), abs=1e-12)
