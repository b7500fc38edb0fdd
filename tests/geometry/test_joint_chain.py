"""Universal joints in a chain: every published row, a simulation of the crosses, and what must hold of any chain."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable, Sequence
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.geometry.frames import Vector, vector
from fitment.geometry.joint_chain import (
    Chain,
    axis_direction,
    chain_between,
    fluctuation,
    highest_ratio,
    index_step,
    least_uneven,
    lines_apart,
    most_lag,
    nearest_error,
    output_turn,
    ratio_at,
    single_angle,
    tipped,
)
from tests.support.corners import turned

with (Path(__file__).parents[1] / "published" / "joint_chain_check.csv").open(encoding="utf-8", newline="") as table:
    ROWS = {row["id"]: row for row in csv.DictReader(table)}

# the case in space that the rows of kinematics call 3D case 1
COLUMN, PINION = Vector(0.88, 0.02, -0.475), Vector(0.62, -0.30, -0.725)
UPPER, LOWER = Vector(-420.0, 345.0, 560.0), Vector(-95.0, 215.0, 285.0)


def numbers(text: str) -> list[float]:
    return [math.radians(float(one)) for one in re.findall(r"-?\d+(?:\.\d+)?", text)]


def slid(slide: float) -> Chain:
    return chain_between(COLUMN, [UPPER + COLUMN.unit() * slide, LOWER], PINION)


SPACE = slid(0.0)


def equal_angles() -> float:
    """How far the upper joint must slide along the column for equal angles, by bisection."""
    low, high = -300.0, -150.0
    for _ in range(80):
        middle = (low + high) / 2
        first, second = slid(middle).angles
        low, high = (middle, high) if first < second else (low, middle)
    return low


def least(chain: Chain, degrees: float) -> float:
    """Lowest speed ratio with the phase so many degrees wrong."""
    return float(1 / highest_ratio(chain.angles, [math.radians(degrees)]))


def one_joint(row: dict[str, str]) -> float:
    match = re.fullmatch(r"(?:UJ1|CRD-single)-(\d+)-(\w+)", row["id"])
    assert match
    angle = math.radians(float(match[1]))
    ratio = float(highest_ratio([angle]))
    return {
        "max": ratio,
        "min": 1 / ratio,
        "u": float(fluctuation(ratio)),
        "lag": math.degrees(float(most_lag(angle))),
    }[match[2].lower()]


def chain_of(row: dict[str, str]) -> float:
    found = numbers(re.sub(r"b\d=", "", row["case"].replace("three joints", "")))
    joints = int(row["id"][2])
    ratio = highest_ratio(found[:joints], found[joints:])
    return float(ratio) if row["id"].endswith("MAX") else math.degrees(float(single_angle(ratio)))


def angle_of_swing(swing: float) -> float:
    """The angle of one joint of that fluctuation: its highest ratio r has r - 1/r = swing."""
    return math.degrees(float(single_angle((swing + math.sqrt(swing**2 + 4)) / 2)))


def acceleration() -> float:
    """Largest acceleration of the driven shaft at 20 degrees and 1500 rpm, from the slope of the speed ratio."""
    turn = np.linspace(0.0, math.pi, 200_001)
    ratio = ratio_at([math.radians(20.0)], [], turn)
    return float(np.abs(np.gradient(np.asarray(ratio), turn)).max()) * (1500 * math.pi / 30) ** 2


def text_rows() -> dict[str, Callable[[], float]]:
    ratio = float(highest_ratio([math.radians(16.42290793)]))
    return {
        "UJ-TEXT-1": lambda: angle_of_swing(100 / 1200),
        "UJ-TEXT-1-MAX": lambda: 1200 * ratio,
        "UJ-TEXT-1-MIN": lambda: 1200 / ratio,
        "UJ-TEXT-2": lambda: angle_of_swing(0.12),
        "UJ-TEXT-3": acceleration,
        "UJ-TEXT-3T": lambda: acceleration() * 12 * 0.1**2,
    }


def in_space() -> dict[str, Callable[[], float]]:
    even = slid(-223.125098403)
    twist = float(SPACE.twists[0])
    found: dict[str, Callable[[], float]] = {
        "CRD-3D-L": lambda: float(SPACE.lengths[0]),
        "CRD-3D-b1": lambda: math.degrees(float(SPACE.angles[0])),
        "CRD-3D-b2": lambda: math.degrees(float(SPACE.angles[1])),
        "CRD-3D-phase": lambda: math.degrees(twist),
        "CRD-3D-min": lambda: least(SPACE, 0.0),
        "CRD-3D-max": lambda: 1 / least(SPACE, 0.0),
        "CRD-3D-worst": lambda: least(SPACE, 90.0),
        "CRD-3D-zero": lambda: least(SPACE, -math.degrees(twist)),
        "CRD-eq-s": equal_angles,
        "CRD-eq-L": lambda: float(even.lengths[0]),
        "CRD-eq-b": lambda: math.degrees(float(even.angles[1])),
        "CRD-eq-phase": lambda: math.degrees(float(even.twists[0])),
        "CRD-eq-zero-min": lambda: least(even, -math.degrees(float(even.twists[0]))),
    }
    for degrees in (5, 10, 20, 45, 90):
        found[f"CRD-eq-err{degrees}"] = partial(least, even, float(degrees))
    return found


NAMED = {**text_rows(), **in_space()}


@pytest.mark.parametrize("name", [name for name in ROWS if name not in ("UJ2-1-BEQ", "UJ-ULIM")])
def test_published_row(name: str) -> None:
    row = ROWS[name]
    of_family = one_joint if re.match(r"UJ1|CRD-single", name) else chain_of
    value = NAMED[name]() if name in NAMED else of_family(row)
    assert value == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_equal_angles_in_phase_turn_evenly() -> None:
    # the row itself says that its angle is ill-conditioned: the ratio is held instead, and here the angle is nought
    assert float(ROWS["UJ2-1-BEQ"]["value"]) == chain_of(ROWS["UJ2-1-BEQ"]) == 0.0


def test_what_drive_lines_allow_is_three_degrees_of_one_joint() -> None:
    row = ROWS["UJ-ULIM"]
    assert row["note"].startswith("= 2.98 deg")
    assert angle_of_swing(float(row["value"])) == pytest.approx(2.98, abs=0.005)


def test_every_row_keeps_its_source() -> None:
    assert len(ROWS) == 85
    assert {row["source_kind"] for row in ROWS.values()} == {"computed", "library", "common-practice"}
    assert all(row["source"] for row in ROWS.values())


# --- the crosses simulated: pins square to their shafts and to each other, and nothing else


def at_angle(start: np.ndarray, angle: float, around: float) -> np.ndarray:
    """A direction at an angle to another, in the plane that `around` picks."""
    other = np.array([0.0, 0.0, 1.0]) if abs(start[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    side = np.cross(start, other)
    side /= np.linalg.norm(side)
    up = np.cross(start, side)
    return math.cos(angle) * start + math.sin(angle) * (math.cos(around) * side + math.sin(around) * up)


def spun(pin: np.ndarray, axis: np.ndarray, angle: float) -> np.ndarray:
    """A pin turned about the shaft that it is square to."""
    return math.cos(angle) * pin + math.sin(angle) * np.cross(axis, pin)


def simulated(shafts: Sequence[np.ndarray], phases: Sequence[float], pin: np.ndarray) -> tuple[float, np.ndarray]:
    """Speed of the last shaft over the first and its pin, with this pin on the first fork.

    The two pins of a cross stay square, w.u = 0, and each turns with its own shaft: the rates of both sides balance.
    """
    speed = 1.0
    for number, (before, after) in enumerate(pairwise(shafts)):
        driven = np.cross(after, pin)
        driven /= np.linalg.norm(driven)
        speed *= -driven.dot(np.cross(before, pin)) / pin.dot(np.cross(after, driven))
        pin = spun(driven, after, phases[number]) if number < len(phases) else driven
    return speed, pin


def extremes(shafts: Sequence[np.ndarray], phases: Sequence[float]) -> tuple[float, float]:
    """Highest and lowest speed over a turn, by looking closer and closer."""
    first = np.cross(shafts[0], shafts[1] + np.array([0.1, 0.2, 0.3]))
    first /= np.linalg.norm(first)

    def speed(turn: float) -> float:
        return simulated(shafts, phases, spun(first, shafts[0], turn))[0]

    found = []
    for sign in (1.0, -1.0):
        middle, width = 0.0, math.pi
        for _ in range(6):
            turns = np.linspace(middle - width, middle + width, 41)
            middle, width = float(max(turns, key=lambda turn: sign * speed(turn))), width / 10
        found.append(speed(middle))
    return found[0], found[1]


DEGREES = st.floats(0.5, 45.0)
AROUND = st.floats(-180.0, 180.0)
CHAINS = st.integers(1, 3).flatmap(
    lambda count: st.tuples(
        st.lists(DEGREES, min_size=count, max_size=count),
        st.lists(AROUND, min_size=count, max_size=count),
        st.lists(AROUND, min_size=count - 1, max_size=count - 1),
    )
)


def placed(angles: Sequence[float], around: Sequence[float]) -> tuple[list[np.ndarray], Chain]:
    """Shafts at these angles, and the chain through centres along them."""
    shafts = [np.array([0.8, 0.36, -0.48])]
    for angle, way in zip(angles, around, strict=True):
        shafts.append(at_angle(shafts[-1], math.radians(angle), math.radians(way)))
    centres = [np.array([-400.0, 300.0, 500.0])]
    for number, shaft in enumerate(shafts[1:-1]):
        centres.append(centres[-1] + shaft * (250.0 + 40 * number))
    return shafts, chain_between(vector(shafts[0]), [vector(one) for one in centres], vector(shafts[-1]))


@given(CHAINS)
def test_a_chain_is_what_its_crosses_do(drawn: tuple[list[float], list[float], list[float]]) -> None:
    degrees, around, turns = drawn
    phases = [math.radians(one) for one in turns]
    shafts, chain = placed(degrees, around)
    assert [math.degrees(one) for one in chain.angles] == pytest.approx(degrees, abs=1e-9)
    errors = [phase - twist for phase, twist in zip(phases, chain.twists, strict=True)]
    high, low = extremes(shafts, phases)
    assert float(highest_ratio(chain.angles, errors)) == pytest.approx(high, abs=1e-9)
    assert 1 / float(highest_ratio(chain.angles, errors)) == pytest.approx(low, abs=1e-9)


@given(CHAINS, st.floats(-3.0, 3.0))
def test_speed_at_every_turn_is_what_the_crosses_do(
    drawn: tuple[list[float], list[float], list[float]], turn: float
) -> None:
    degrees, around, turns = drawn
    phases = [math.radians(one) for one in turns]
    shafts, chain = placed(degrees, around)
    normal = np.cross(shafts[0], shafts[1])
    normal /= np.linalg.norm(normal)
    pin = spun(np.cross(normal, shafts[0]), shafts[0], turn)
    speed, last = simulated(shafts, phases, pin)
    errors = [phase - twist for phase, twist in zip(phases, chain.twists, strict=True)]
    assert float(ratio_at(chain.angles, errors, turn)) == pytest.approx(speed, abs=1e-9)
    if len(degrees) == 1:
        # the driven pin is a quarter turn ahead of the driving one
        within = np.cross(normal, shafts[1])
        ahead = math.atan2(last.dot(normal), last.dot(within)) - math.pi / 2
        apart = ahead - float(output_turn(chain.angles[0], turn))
        assert math.remainder(apart, 2 * math.pi) == pytest.approx(0.0, abs=1e-9)
        assert abs(float(output_turn(chain.angles[0], turn)) - turn) <= float(most_lag(chain.angles[0])) + 1e-12


# --- what must hold of any chain


def moved(one: np.ndarray, axis: Vector, angle: float, mirror: bool) -> np.ndarray:
    found = turned(vector(one * np.array([1.0, -1.0 if mirror else 1.0, 1.0])), axis, angle)
    return np.array([found.x, found.y, found.z], dtype=float)


@given(CHAINS, st.floats(-3.0, 3.0), st.booleans())
def test_carried_about_or_seen_in_a_mirror_a_chain_is_the_same(
    drawn: tuple[list[float], list[float], list[float]], angle: float, mirror: bool
) -> None:
    degrees, around, _ = drawn
    shafts, chain = placed(degrees, around)
    axis = Vector(1.0, 2.0, -2.0) / 3.0
    centres = [np.array([-400.0, 300.0, 500.0])]
    for shaft, length in zip(shafts[1:-1], chain.lengths, strict=True):
        centres.append(centres[-1] + shaft * float(length))
    shift = np.array([12.0, -700.0, 55.0])
    other = chain_between(
        vector(moved(shafts[0], axis, angle, mirror)),
        [vector(moved(one, axis, angle, mirror) + shift) for one in centres],
        vector(moved(shafts[-1], axis, angle, mirror)),
    )
    assert [float(one) for one in other.angles] == pytest.approx([float(one) for one in chain.angles], abs=1e-10)
    assert [float(one) for one in other.lengths] == pytest.approx([float(one) for one in chain.lengths], abs=1e-9)
    for twist, before in zip(other.twists, chain.twists, strict=True):
        # clockwise is anticlockwise in the mirror; planes turn by half a turn alike either way
        assert math.remainder(float(twist) - (-1 if mirror else 1) * float(before), 2 * math.pi) == pytest.approx(
            0.0, abs=1e-6
        )
    best = [
        float(highest_ratio(one.angles, least_uneven(one.angles)) if len(degrees) > 1 else 1) for one in (chain, other)
    ]
    assert best[0] == pytest.approx(best[1], abs=1e-7)


@given(DEGREES, DEGREES, AROUND)
def test_a_fork_is_the_same_after_half_a_turn(first: float, second: float, error: float) -> None:
    angles, off = (math.radians(first), math.radians(second)), math.radians(error)
    ratio = float(highest_ratio(angles, [off]))
    assert float(highest_ratio(angles, [off + math.pi])) == pytest.approx(ratio, abs=1e-12)
    assert float(highest_ratio(angles, [-off])) == pytest.approx(ratio, abs=1e-12)
    assert float(highest_ratio(angles, [math.pi])) == pytest.approx(float(highest_ratio(angles, [0.0])), abs=1e-12)


@given(DEGREES)
def test_two_equal_joints_in_phase_are_exactly_even(degrees: float) -> None:
    angle = math.radians(degrees)
    assert float(highest_ratio([angle, angle], [0.0])) == 1.0
    assert float(single_angle(1.0)) == 0.0


@given(st.lists(DEGREES, min_size=2, max_size=3), AROUND, AROUND)
def test_no_phase_is_better_than_the_best(degrees: list[float], one: float, other: float) -> None:
    angles = [math.radians(each) for each in degrees]
    errors = [math.radians(one), math.radians(other)][: len(angles) - 1]
    best = float(highest_ratio(angles, least_uneven(angles)))
    assert best <= float(highest_ratio(angles, errors)) + 1e-9


def test_three_joints_cancel_where_none_outweighs_the_others() -> None:
    three = [math.radians(20.0)] * 3
    # in their planes together they are as uneven as one (UJ3-2); turned by 30 degrees each way they are even
    assert float(highest_ratio(three, [0.0, 0.0])) == pytest.approx(1.064177772, abs=1e-9)
    errors = least_uneven(three)
    assert [math.degrees(float(one)) for one in errors] == pytest.approx([29.984, 29.984], abs=1e-3)
    assert float(highest_ratio(three, errors)) == pytest.approx(1.0, abs=1e-9)
    # 40 degrees outweigh 15 and 10: both stand against it, cos 15 cos 10/cos 40 is left
    uneven = [math.radians(one) for one in (40.0, 15.0, 10.0)]
    assert [math.degrees(float(one)) for one in least_uneven(uneven)] == pytest.approx([0.0, 90.0])
    left = math.cos(uneven[1]) * math.cos(uneven[2]) / math.cos(uneven[0])
    assert float(highest_ratio(uneven, least_uneven(uneven))) == pytest.approx(left, abs=1e-12)


def test_a_straight_joint_has_no_plane_and_takes_any_phase() -> None:
    along = Vector(1.0, 0.0, 0.0)
    chain = chain_between(along, [Vector(0.0, 0.0, 0.0), Vector(300.0, 0.0, 0.0)], Vector(0.9, 0.1, 0.0))
    assert (float(chain.angles[0]), float(chain.twists[0])) == (0.0, 0.0)
    ratios = [float(highest_ratio(chain.angles, [error])) for error in (0.0, 0.4, 1.5)]
    assert ratios == pytest.approx([1 / math.cos(float(chain.angles[1]))] * 3, abs=1e-12)
    assert [float(one) for one in least_uneven([0.0, 0.3, 0.3])][1] == pytest.approx(0.0, abs=1e-6)


def test_a_chain_of_samples_is_a_chain_for_each() -> None:
    across = np.array([345.0, 300.0, 250.0])
    many = chain_between(COLUMN, [Vector(-420.0, across, 560.0), LOWER], PINION)
    for number, y in enumerate(across):
        one = chain_between(COLUMN, [Vector(-420.0, float(y), 560.0), LOWER], PINION)
        for mine, theirs in ((many.angles[0], one.angles[0]), (many.twists[0], one.twists[0])):
            assert np.asarray(mine)[number] == pytest.approx(float(theirs), abs=1e-12)
        ratios = highest_ratio(many.angles, [0.1])
        assert np.asarray(ratios)[number] == pytest.approx(float(highest_ratio(one.angles, [0.1])), abs=1e-12)


@pytest.mark.parametrize(
    ("positions", "degrees"),
    [
        # kinematics, section 6: 36 teeth 10 degrees, 17 teeth 10.588 since a fork repeats at half a turn
        ((36, 36), 10.0),
        ((17, 17), 360 / 34),
        ((36, 30), 2.0),
        ((36, 1), 10.0),
        ((2, 1), 180.0),
        ((1, 1), 180.0),
        ((3, 1), 60.0),
    ],
)
def test_finest_step(positions: tuple[int, ...], degrees: float) -> None:
    assert math.degrees(index_step(positions)) == pytest.approx(degrees)


@given(st.floats(-400.0, 400.0), st.sampled_from([2.0, 10.0, 360 / 34, 180.0]))
def test_moved_by_whole_steps_the_error_is_half_a_step_at_most(error: float, step: float) -> None:
    left: Any = nearest_error(error, step)
    assert abs(left) <= step / 2 + 1e-9
    assert math.remainder(error - left, step) == pytest.approx(0.0, abs=1e-9)


def test_column_by_its_two_angles() -> None:
    left = axis_direction(math.radians(30.0), math.radians(10.0), 1.0)
    assert math.degrees(math.asin(-float(left.z))) == pytest.approx(30.0)
    assert math.degrees(math.atan2(float(left.y), float(left.x))) == pytest.approx(10.0)
    right = axis_direction(math.radians(30.0), math.radians(10.0), -1.0)
    assert (float(right.x), float(right.y), float(right.z)) == (float(left.x), -float(left.y), float(left.z))


@given(st.floats(5.0, 60.0), st.floats(-20.0, 20.0), st.floats(-4.0, 4.0))
def test_tipping_changes_the_slope_alone(slope: float, slant: float, by: float) -> None:
    before = axis_direction(math.radians(slope), math.radians(slant), 1.0)
    after = tipped(before, math.radians(by))
    expected = axis_direction(math.radians(slope - by), math.radians(slant), 1.0)
    for one, other in zip((after.x, after.y, after.z), (expected.x, expected.y, expected.z), strict=True):
        assert float(one) == pytest.approx(float(other), abs=1e-12)


def test_where_two_lines_pass() -> None:
    # along x at z = 0, and along y at z = 7 through x = 40: they pass at (40, 0)
    first, second = Vector(0.0, 0.0, 0.0), Vector(40.0, -25.0, 7.0)
    found = lines_apart(first, Vector(1.0, 0.0, 0.0), second, Vector(0.0, 1.0, 0.0))
    assert [float(one) for one in found] == pytest.approx([7.0, 40.0, 25.0])
    distance, above, below = lines_apart(first, Vector(1.0, 0.0, 0.0), Vector(90.0, 3.0, 4.0), Vector(-1.0, 0.0, 0.0))
    assert float(distance) == pytest.approx(5.0)
    assert math.isnan(float(above))
    assert math.isnan(float(below))
