"""One pose, and a great many: the same formulas by the road of plain numbers, by arrays, and by blocks of arrays."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from fitment.geometry import blocks
from fitment.geometry.axis_pose import axis_at
from fitment.geometry.frames import Vector
from fitment.geometry.hold import HeldToe, Rod
from fitment.geometry.operations import NUMBERS, for_arrays, leaves
from fitment.geometry.steering import Steering
from fitment.geometry.suspension import Corner, FixedAxis, Wishbones, upper_end
from fitment.geometry.upright import WheelPose, at_arm_angle, at_travel
from fitment.geometry.wheel import LEFT
from tests.support.corners import steering_of

names = st.sampled_from(["A", "B", "C", "chrono_sedan_front_dw", "chrono_generic_strut"])


def told(pose: WheelPose) -> list[Any]:
    """Everything that a pose says, in numbers that broadcast."""
    vectors = [pose.upright.lower, *pose.upright.space, pose.spin, pose.wheel_centre, pose.lower_rate, pose.turning]
    values = [pose.upper_margin, pose.margin, pose.reached, pose.arm_angle, pose.rise_rate]
    return [np.asarray(one, dtype=float) for one in (*leaves(tuple(vectors)), *values)]


def shaken(corner: Corner, count: int) -> Corner:
    """The corner with its lower ball and its arm's eye as samples."""
    noise = np.random.default_rng(3).normal(size=(6, count))
    ball = corner.links.lower_ball + Vector(*noise[:3])
    links = dataclasses.replace(corner.links, lower_ball=ball)
    return dataclasses.replace(corner, links=links, arm_eye=corner.arm_eye + Vector(*noise[3:]))


def fixed(corner: Corner) -> Corner:
    return dataclasses.replace(corner, links=FixedAxis(corner.links.lower_ball, upper_end(corner.links)))


# the bar goes far enough for the rod to give out, the arm for the upper arm to
@given(names, st.booleans(), st.floats(-220, 220), st.floats(-80, 80))
def test_a_number_says_what_an_array_of_one_says(name: str, axis_alone: bool, bar: float, arm: float) -> None:
    steering = steering_of(name)
    corner = fixed(steering.left) if axis_alone else steering.left
    alone = at_arm_angle(corner, steering.rod(LEFT, bar), arm)
    many = at_arm_angle(corner, steering.rod(LEFT, bar), np.array([arm]))
    for one, few in zip(told(alone), told(many), strict=True):
        assert_allclose(one, few.reshape(()), atol=1e-9, rtol=1e-9)


def test_a_number_takes_the_road_without_numpy() -> None:
    steering = steering_of("A")
    pose = at_arm_angle(steering.left, steering.rod(LEFT, 20.0), 5.0)
    assert {type(one) for one in leaves(pose.upright)} == {float}
    assert {type(one) for one in (pose.upper_margin, pose.margin)} == {float}


@pytest.mark.parametrize("links", ["wishbones", "strut", "axis"])
@pytest.mark.parametrize("shapes", [((), (7, 1), (5,)), ((), (11,), (11,)), ((4,), (3, 1, 1), (5, 1)), ((9,), (), ())])
@pytest.mark.parametrize("held", [False, True])
def test_blocks_say_what_the_whole_says(
    links: str, shapes: tuple[tuple[int, ...], ...], held: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    samples, arms, bars = shapes
    steering = steering_of("B" if links == "strut" else "A")
    corner = shaken(steering.left, *samples) if samples else steering.left
    corner = fixed(corner) if links == "axis" else corner
    draw = np.random.default_rng(5)
    arm, travel, bar = draw.uniform(-70, 70, arms), draw.uniform(-150, 150, arms), draw.uniform(-180, 180, bars)
    hold = HeldToe(bar / 50) if held else steering.rod(LEFT, bar)
    whole = [told(at_arm_angle(corner, hold, arm)), told(at_travel(corner, hold, travel))]
    monkeypatch.setattr(blocks, "BLOCK", 4)
    parts = [at_arm_angle(corner, hold, arm), at_travel(corner, hold, travel)]
    assert all(one.corner is corner and one.hold is hold for one in parts)
    for ones, others in zip(whole, map(told, parts), strict=True):
        for one, other in zip(ones, others, strict=True):
            assert_allclose(*np.broadcast_arrays(one, other), atol=1e-9, rtol=1e-9)


@pytest.mark.parametrize("shape", [(1,), (4,), (5,), (9, 1), (1, 9), (2, 3, 4), (3, 9, 2)])
def test_blocks_cover_everything_once(shape: tuple[int, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blocks, "BLOCK", 4)
    seen = np.zeros(shape, dtype=int)
    for place in blocks._places(shape):
        assert seen[place].size <= 4
        seen[place] += 1
    assert_array_equal(seen, 1)


@pytest.mark.parametrize("name", ["A", "C", "chrono_sedan_front_dw"])
def test_links_keep_their_lengths_over_a_sweep(name: str) -> None:
    """Arms, axis and rod over 20,000 poses."""
    steering = steering_of(name)
    links = steering.left.links
    assert isinstance(links, Wishbones)
    draw = np.random.default_rng(9)
    rod = steering.rod(LEFT, draw.uniform(-60, 60, 20_000))
    pose = at_travel(steering.left, rod, draw.uniform(-60, 60, 20_000))
    lower, upper, eye = pose.upright.lower, pose.upright.point(links.upper_ball), pose.arm_eye
    lengths = [
        (lower - links.lower_front).length() - (links.lower_ball - links.lower_front).length(),
        (lower - links.lower_rear).length() - (links.lower_ball - links.lower_rear).length(),
        (upper - links.upper_front).length() - (links.upper_ball - links.upper_front).length(),
        (upper - links.upper_rear).length() - (links.upper_ball - links.upper_rear).length(),
        (upper - lower).length() - (links.upper_ball - links.lower_ball).length(),
        (eye - rod.inner).length() - steering.rod_left,
        (eye - upper).length() - (steering.left.arm_eye - links.upper_ball).length(),
    ]
    assert pose.reached.all()
    assert_allclose(lengths, 0.0, atol=1e-9)


def test_at_dead_centre_and_beyond_numbers_and_arrays_agree() -> None:
    """A rod that just reaches, one that does not, and an inner ball on the steering axis; nothing is a fault."""
    corner = Corner(
        LEFT, FixedAxis(Vector(0.0, 0.0, 0.0), Vector(0.0, 0.0, 2.0)), Vector(3.0, 0.0, 0.0), Vector(0.0, 1.0, 0.0)
    )
    inner = [-4.0, -4.5, 0.0]
    set_from = Vector(2.0, -4.0, 0.0)
    many = at_arm_angle(corner, Rod(Vector(0.0, np.array(inner), 0.0), 7.0, set_from), 0.0)
    assert_array_equal(many.reached, [True, True, False])
    for index, y in enumerate(inner):
        one = at_arm_angle(corner, Rod(Vector(0.0, y, 0.0), 7.0, set_from), 0.0)
        assert bool(one.reached) is bool(many.reached[index])
        assert one.margin == pytest.approx(many.margin[index], nan_ok=True)


def test_the_operations_answer_alike() -> None:
    arrays = for_arrays()
    for name, values in {
        "sqrt": [4.0, 0.0, -1.0],
        "inverse": [4.0, 0.0],
        "sign": [3.0, -2.0, 0.0],
        "tan": [0.3],
    }.items():
        with arrays.quiet():
            many = getattr(arrays, name)(np.array(values))
        assert_allclose([getattr(NUMBERS, name)(value) for value in values], many, rtol=1e-15)


def test_an_axis_pose_of_its_own() -> None:
    """Beyond the upper arm's reach: NaN and a negative margin, and no warning."""
    steering: Steering = steering_of("A")
    axis = axis_at(steering.left.links, np.radians(np.array([0.0, -80.0])))
    assert axis.margin[0] > 0 > axis.margin[1]
    assert_array_equal(np.isnan(axis.along.x), [False, True])
