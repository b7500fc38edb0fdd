"""Another joint in the same eye: its ball is moved along the eye's axis by what it stands higher, for check and steer.

The axle is case A of the published hardpoints; studs, eyes and spacers are invented. Lengths and angles expected here
are computed from its points with `math` alone.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitment.doubt import Draws
from fitment.finding import Verdict
from fitment.joints.kinds import joint_kinds
from fitment.kits.assembly import assemble
from fitment.kits.car_corner import wheel_on_car
from fitment.kits.kit import Kit
from fitment.kits.kit_file import read_kit
from fitment.kits.outer_ball import LEANS, outer_ball
from fitment.kits.report import Report
from fitment.kits.steer import steer
from fitment.kits.steering_doubt import FromAdopted
from tests.kits.front import text
from tests.kits.test_arm_eye import EYE, LOWER, OFF, UP, Shop, of_rule, seated
from tests.kits.test_rod_length import rod, rods, run
from tests.support.features import feature, trial
from tests.support.good_kit import good
from tests.support.mix import CAR

Point = tuple[float, float, float]

BOLTED = text().replace("rod_end =", "spherical_rod_end =").replace("NORTH/RE-3", "NORTH/SR-1")
BELOW = BOLTED.replace("[left]", '[left]\nstud_enters = "below"').replace("[right]", '[right]\nstud_enters = "below"')


def shop(old: float | None = OFF, own: tuple[str, ...] = ("NORTH/KN-1",), **stud: float) -> Shop:
    """The axle with a stud in its own knuckle's eye, and how far the surveyed ball stood off that."""
    book = Shop(frozenset(own))
    if old is not None:
        book.angles = {side: {**book.angles[side], "ball-off-eye": old} for side in book.angles}
        book.renew()
    seated(book, **stud)
    return book


def bolted(spacer: float | None = 6.0, **values: Any) -> Shop:
    """A spherical rod end on the same arm, bored parallel."""
    book = shop()
    sizes = {"ball_width": 16.0, "centre": 42.0, "captive_washer": "yes", **values}
    sizes |= {} if spacer is None else {"spacer_length": spacer}
    book.put("NORTH/SR-1", feature("NORTH/SR-1 body", "spherical-body", 0.05, **sizes))
    book.put(
        "NORTH/SR-1",
        feature("NORTH/SR-1 shank", "thread-end", 0.05, thread="M14x1.5", hand="RH", sex="female", depth=30.0),
    )
    return book


def kit_of(words: str) -> Kit:
    return read_kit(words.encode(), "kit.toml")


def ball(book: Shop, words: str = text(), side: str = "left") -> Point:
    """Where the ball of one side is taken to lie."""
    kit = kit_of(words)
    eye = wheel_on_car(kit, assemble(kit, book, joint_kinds()), side).eye.at(lambda use: use.number)
    return float(eye.x), float(eye.y), float(eye.z)


def upwards(way: Point, by: float) -> Point:
    x, y, z = (at + by * one / math.hypot(*way) for at, one in zip(EYE, way, strict=True))
    return x, y, z


def told(report: Report) -> list[str]:
    return [one for one in rods(report)["left"].findings[-1].cautions if "outer ball" in one and "moves" in one]


def test_a_stud_that_is_3_mm_higher_holds_the_ball_3_mm_lower_along_the_steering_axis() -> None:
    # the eye's lean is not on record: its axis is taken as the steering axis
    book = shop(height=21.0)
    assert ball(book) == pytest.approx(upwards(UP, -3.0), abs=1e-9)
    report = run(book, text())
    needed = rod(report).figures["needed_length"].value
    assert needed == pytest.approx(math.dist(upwards(UP, -3.0), (125.0, 340.0, 213.0)), abs=1e-9)
    assert told(report) == [
        "NORTH/RE-3 moves the left outer ball 3.00 mm down along the eye's axis, and that is counted."
    ]
    uses = {(use.feature, use.dimension) for use in rod(report).uses}
    assert {("NORTH/RE-3 stud", "height"), ("NORTH/V-1 corner.left", "ball-off-eye")} <= uses


def test_steer_shows_it() -> None:
    found = steer([kit_of(text())], shop(height=21.0), 0.06, FromAdopted(20)).proposals[0].told
    assert found.results["rod-left"].value == pytest.approx(
        math.dist(upwards(UP, -3.0), (125.0, 340.0, 213.0)), abs=1e-6
    )
    assert any("moves the left outer ball 3.00 mm down" in note for note in found.notes)


def test_bump_steer_is_that_of_a_survey_with_the_ball_down_there() -> None:
    found = []
    for counted in (True, False):
        mix = good()
        for number, (side, sign) in enumerate((("left", 1.0), ("right", -1.0)), 1):
            mix.set(f"NORTH/KN-{number} eye", 0.0, tilt=0.0)
            if counted:
                mix.set(f"NORTH/RE-{number} stud", 0.0, height=21.0).set(f"{CAR} corner.{side}", 0.0, ball_off_eye=OFF)
            else:
                x, y, z = upwards(UP, -3.0)
                mix.set(f"{CAR} corner.{side}", arm_eye=(x, sign * y, z))
        found.append(next(one for one in mix.report(Draws(200)).findings if one.rule == "bump-01"))
    told = [{name: figure.value for name, figure in one.figures.items()} for one in found]
    assert told[0] == pytest.approx(told[1], abs=1e-7)
    as_surveyed = next(one for one in good().report(Draws(200)).findings if one.rule == "bump-01").figures
    assert all(abs(as_surveyed[name].value - value) > 0.02 for name, value in told[0].items())  # deg


def test_the_lean_of_the_eye_is_the_way_that_the_ball_goes() -> None:
    book = shop(height=23.0)
    book.add("NORTH/KN-1 eye", tilt=8.0)
    leaning = text().replace("[left]", '[left]\neye_leans = "out"')
    x, y, z = (at / math.hypot(*UP) for at in UP)
    # square to the axis, outboard: the unit y less its share along the axis
    square = [one - y * along for one, along in zip((0.0, 1.0, 0.0), (x, y, z), strict=True)]
    long = math.hypot(*square)
    c, s = math.cos(math.radians(8.0)), math.sin(math.radians(8.0))
    way = tuple(c * along + s * one / long for along, one in zip((x, y, z), square, strict=True))
    assert ball(book, leaning) == pytest.approx(upwards((way[0], way[1], way[2]), -5.0), abs=1e-9)


def test_a_stud_from_above_holds_its_ball_above_the_arm() -> None:
    book = shop(height=18.0, opens="up")
    assert ball(book) == pytest.approx(upwards(UP, -2 * OFF), abs=1e-9)
    # the kit's own word tells where the eye's does not
    book.take("NORTH/KN-1 eye", "opens")
    assert ball(book, text().replace("[left]", '[left]\nstud_enters = "below"')) == pytest.approx(EYE, abs=1e-9)


def test_the_stand_off_of_a_trial_and_of_an_eye_to_be_reamed_counts() -> None:
    book = shop()
    book.put("NORTH/KN-1", feature("NORTH/KN-1 eye", "eye", 0.01, large=14.0, thick=16.0, opens="down",
                                   profile="tapered", taper=0.1, boss_large=40.0, boss_small=40.0))  # fmt: skip
    kit = kit_of(text())
    off = outer_ball(kit, assemble(kit, book, joint_kinds()), "left").off
    # as it is the stud stands 10 mm proud; reamed it may stand 17 - 0.75 x 16 = 5 mm proud at most
    assert off.known
    assert -(8.0 + 5.0 + 18.0) <= off.central < -(8.0 + 18.0)
    assert off.at(Draws(500)).std() > 0.2  # the reamer's tolerance over the taper: 0.5/sqrt(3)


def test_the_car_s_own_joint_is_where_it_was_surveyed_whatever_its_sizes() -> None:
    assert ball(shop(own=("NORTH/KN-1", "NORTH/RE-3"), height=25.0)) == pytest.approx(EYE, abs=1e-12)


@pytest.mark.parametrize("lacks", ["old", "height", "large"])
def test_without_the_sizes_the_ball_stays_where_it_was_surveyed(lacks: str) -> None:
    book = shop(None if lacks == "old" else OFF, height=25.0)
    if lacks != "old":
        book.take("NORTH/RE-3 stud", lacks)
    report = run(book, text())
    assert ball(book) == pytest.approx(EYE, abs=1e-12)
    assert report.verdict is run(shop(own=("NORTH/KN-1", "NORTH/RE-3")), text()).verdict
    cautions = " ".join(rods(report)["left"].findings[-1].cautions)
    assert ("is not counted (NORTH/RE-3 stud" in cautions) == (lacks != "old")
    assert "a stud that holds its ball 1 mm higher" in cautions


@given(st.floats(0.0, 40.0), st.sampled_from(["below", "above"]), st.sampled_from(["left", "right"]))
@settings(max_examples=40)
def test_a_spacer_of_t_mm_moves_the_ball_by_t_along_the_eye_s_axis(t: float, enters: str, side: str) -> None:
    words = BELOW.replace("below", enters)
    without, spaced = ball(bolted(0.0), words, side), ball(bolted(t), words, side)
    moved = [new - old for new, old in zip(spaced, without, strict=True)]
    assert math.hypot(*moved) == pytest.approx(t, abs=1e-9)
    way = (1.0 if enters == "above" else -1.0) * t / math.hypot(*UP)
    lean = [UP[0], UP[1] if side == "left" else -UP[1], UP[2]]
    assert moved == pytest.approx([way * one for one in lean], abs=1e-9)


def test_a_bolted_joint_stands_off_by_half_the_eye_the_spacer_and_half_the_ball() -> None:
    # 8 + 6 + 8 = 22 mm below the middle of the eye, where the surveyed stud had it 27.5 mm below
    assert ball(bolted(), BELOW) == pytest.approx(upwards(UP, 5.5), abs=1e-9)


@pytest.mark.parametrize(
    ("book", "words", "lacks"),
    [
        (bolted(), BOLTED, "kit left stud_enters: is not said: write stud_enters, below or above"),
        (bolted(None), BELOW, "NORTH/SR-1 body spacer-length: no reading"),
        (bolted(captive_washer="double shear"), BELOW, "NORTH/SR-1 body captive-washer: is double shear"),
    ],
)
def test_a_bolted_joint_of_which_something_is_missing_is_told(book: Shop, words: str, lacks: str) -> None:
    assert ball(book, words) == pytest.approx(EYE, abs=1e-12)
    assert any(lacks in one for one in rods(run(book, words))["left"].findings[-1].cautions)


def test_the_four_ways_that_an_eye_may_lean() -> None:
    assert LEANS == {"ahead": 0.0, "out": 90.0, "behind": 180.0, "in": -90.0}


def test_the_doubt_of_the_stud_s_height_reaches_the_length_of_the_rod() -> None:
    sharp, blunt = shop(height=30.0), shop(height=30.0)
    blunt.change("NORTH/RE-3 stud", "height", u=4.0)
    us = []
    for book in (sharp, blunt):
        margin = rod(run(book, text())).margin
        assert margin is not None
        us.append(margin.u)
    assert us[1] > us[0] + 0.1
    assert of_rule(run(blunt, text()), "rod-03")[0].verdict in set(Verdict)


def test_a_trial_tells_the_stand_off() -> None:
    book = shop()
    blued = trial("seat-trial", "NORTH/KN-1 eye", contact=0.85, stand_off=2.5)
    found = book.parts["NORTH/RE-3"].features["stud"]
    book.put("NORTH/RE-3", type(found)(found.name, found.kind, found.values, found.gaps, (blued,)))
    assert ball(book) == pytest.approx(upwards(UP, -1.0), abs=1e-9)
    assert LOWER[2] < ball(book)[2]
