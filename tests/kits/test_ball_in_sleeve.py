"""A reamed eye and a taper sleeve: the ball is moved by where the cones seat. Case A's axle, the rest invented.

The eye is 16 mm thick, its cone 14.85 mm at 1:10; the stud 15.00 mm at 1:10, its ball 18 mm below that: as surveyed the
ball hangs 8 + 1.5 + 18 = 27.5 mm below the middle of the eye. What is expected here follows from that by hand.
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
from fitment.kits.outer_ball import OuterBall, outer_ball
from fitment.kits.steer import steer
from fitment.kits.steering_doubt import FromAdopted
from tests.kits.front import text
from tests.kits.test_arm_eye import EYE, OFF, UP, Shop
from tests.kits.test_outer_ball import ball, kit_of, shop, upwards
from tests.kits.test_rod_length import rod, rods, run
from tests.support.features import feature, trial
from tests.support.good_kit import good, with_sleeve
from tests.support.mix import CAR

SLEEVES = "".join(
    f'[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["{side}.rod_end", "{side}.knuckle"]\nends = ["bore", "body"]\n'
    for side in ("left", "right")
)
LEFT = text(more=SLEEVES[: SLEEVES.index("[[adapter]]", 1)])


def eye(book: Shop, **values: float | str) -> None:
    """The eye machined to these sizes, 40 mm round."""
    sizes = {"thick": 16.0, "opens": "down", "boss_large": 60.0, "boss_small": 60.0, **values}
    book.put("NORTH/KN-1", feature("NORTH/KN-1 eye", "eye", 0.01, **sizes))


def sleeved(large: float = 14.85, opens: str = "down", **body: float | str) -> Shop:
    """A straight sleeve of 22.025 mm in an eye bored to 22.000 mm, a cone of 1:10 in it."""
    book = shop()
    eye(book, large=22.0, profile="parallel", opens=opens)
    return _sleeve(book, large, opens, {"od": 22.025, **body})


def tapered(large: float = 14.85, outside: float = 24.3, flange: float = 3.0) -> Shop:
    """A sleeve of 1:10 outside in an eye of 24 mm at 1:10."""
    book = shop()
    eye(book, large=24.0, taper=0.1, profile="tapered")
    sizes = {"outside_taper": 0.1, "outside_large": outside, "length": 18.0 + flange, "flange": flange}
    _sleeve(book, large, "down", sizes)
    book.change("NORTH/AD-1 body", "outside-taper", u=0.0001)
    return book


def _sleeve(book: Shop, large: float, opens: str, body: dict[str, Any]) -> Shop:
    cone = {"taper": 0.1, "large": large, "thick": 16.0, "opens": opens, "profile": "tapered"}
    book.put("NORTH/AD-1", feature("NORTH/AD-1 bore", "eye", 0.01, **cone))
    book.put("NORTH/AD-1", feature("NORTH/AD-1 body", "adapter-body", 0.01, **{"wall_small": 2.5, **body}))
    return book


def outer(book: Shop, words: str = LEFT, side: str = "left") -> OuterBall:
    kit = kit_of(words)
    return outer_ball(kit, assemble(kit, book, joint_kinds()), side)


def off(book: Shop, words: str = LEFT, side: str = "left") -> float:
    return outer(book, words, side).off.central


def lacks(book: Shop, words: str = LEFT) -> list[str]:
    return [f"{gap.feature} {gap.dimension}: {gap.why}" for gap in outer(book, words).off.gaps]


@given(st.floats(0.0, 1.5), st.sampled_from(["down", "up"]), st.sampled_from(["left", "right"]))
@settings(max_examples=40)
def test_reaming_deeper_by_d_moves_the_ball_by_d_towards_the_arm(d: float, opens: str, side: str) -> None:
    before, after = shop(opens=opens), shop(opens=opens)
    eye(after, large=14.85 + 0.1 * d, taper=0.1, profile="tapered", opens=opens)
    way = 1.0 if opens == "down" else -1.0
    assert off(after, text(), side) - off(before, text(), side) == pytest.approx(way * d, abs=1e-9)
    moved = [new - old for new, old in zip(ball(after, side=side), ball(before, side=side), strict=True)]
    lean = [UP[0], UP[1] if side == "left" else -UP[1], UP[2]]
    assert moved == pytest.approx([way * d * one / math.hypot(*UP) for one in lean], abs=1e-9)


@given(st.floats(0.0, 6.0), st.floats(0.0, 3.0), st.sampled_from(["down", "up"]))
@settings(max_examples=40)
def test_a_flange_lifts_the_seat_and_a_wider_cone_lets_it_in(flange: float, deeper: float, opens: str) -> None:
    # 0.3 mm above zero: a sleeve without a flange may be anywhere
    book = sleeved(large=14.7 + 0.1 * deeper, opens=opens, flange=flange + 0.3)
    side = -1.0 if opens == "down" else 1.0
    assert off(book) == pytest.approx(side * (8.0 + flange + 0.3 + 3.0 - deeper + 18.0), abs=1e-9)


@given(st.floats(0.1, 1.5), st.floats(0.0, 1.0))
@settings(max_examples=40)
def test_a_sleeve_that_keeps_the_seat_where_it_was_moves_nothing(flange: float, proud: float) -> None:
    # the cone is wider by as much as lets the stud sink by what the sleeve stands over the arm
    assert ball(sleeved(14.85 + 0.1 * flange, flange=flange), LEFT) == pytest.approx(EYE, abs=1e-9)
    wider = 14.85 + 0.1 * (proud + 0.3)
    assert ball(tapered(wider, 24.0 + 0.1 * proud, 0.3), LEFT) == pytest.approx(EYE, abs=1e-8)


@given(st.floats(24.0, 24.6), st.floats(0.0, 5.0), st.floats(0.0, 1.2))
@settings(max_examples=40)
def test_a_tapered_sleeve_stands_by_its_own_seat(outside: float, flange: float, proud: float) -> None:
    book = tapered(15.0 - 0.1 * proud, outside, flange)
    assert off(book) == pytest.approx(-(8.0 + (outside - 24.0) / 0.1 + flange + proud + 18.0), abs=1e-8)


def test_the_face_as_measured_in_place_goes_before_what_the_sizes_say() -> None:
    assert off(sleeved(flange=3.0, proud=-0.5)) == pytest.approx(OFF + 0.5, abs=1e-9)
    book = tapered()
    book.add("NORTH/AD-1 body", proud=2.0)
    assert off(book) == pytest.approx(OFF - 2.0, abs=1e-9)


def test_a_trial_in_the_sleeve_tells_the_stand_off() -> None:
    book = sleeved(flange=2.0)
    found = book.parts["NORTH/RE-3"].features["stud"]
    tried = trial("seat-trial", "NORTH/AD-1 bore", contact=0.85, stand_off=2.5)
    book.put("NORTH/RE-3", type(found)(found.name, found.kind, found.values, found.gaps, (tried,)))
    assert off(book) == pytest.approx(OFF - 2.0 - 1.0, abs=1e-9)


def test_the_car_s_own_rod_end_in_a_sleeve_is_no_longer_where_it_was_surveyed() -> None:
    book = sleeved(flange=2.0)
    book.own = frozenset({"NORTH/KN-1", "NORTH/RE-3"})
    book.renew()
    assert ball(book, LEFT) == pytest.approx(upwards(UP, -2.0), abs=1e-9)


@pytest.mark.parametrize(
    ("book", "gap"),
    [
        (sleeved(), "NORTH/AD-1 body flange: no reading"),
        (sleeved(flange=0.0), "NORTH/AD-1 body proud: no reading, and without a flange nothing tells how far it is"),
        (sleeved(flange=2.0, od=21.9), "NORTH/AD-1 body proud: does not seat (sleeve-02)"),
        (sleeved(large=18.0, flange=2.0), "NORTH/AD-1 bore stand-off: no reading: the stud does not seat as it is"),
        (tapered(outside=23.5), "NORTH/AD-1 body proud: does not seat (sleeve-02)"),
    ],
)
def test_a_sleeve_whose_place_is_not_known_moves_nothing_and_says_so(book: Shop, gap: str) -> None:
    report = run(book, LEFT)
    assert ball(book, LEFT) == pytest.approx(EYE, abs=1e-12)
    assert any(gap in one for one in rods(report)["left"].findings[-1].cautions)
    assert report.verdict is not Verdict.FITS


def test_an_eye_that_wants_a_sleeve_or_has_no_wall_for_a_reamer_places_no_ball() -> None:
    # 1:8 and 16 mm wide: a stud of 15 mm falls through whatever a reamer does
    wide, thin = shop(), shop()
    eye(wide, large=16.5, taper=0.125, profile="tapered")
    assert lacks(wide, text())[0].startswith("NORTH/KN-1 eye stand-off: no reading: the stud does not seat as it is")
    # as in the test of reaming, but hardly any metal round the eye
    eye(thin, large=14.0, taper=0.1, profile="tapered", boss_large=17.0, boss_small=17.0)
    assert lacks(thin, text())[0].startswith("NORTH/KN-1 eye stand-off: no reading: the stud does not seat as it is")
    eye(thin, large=14.0, taper=0.1, profile="tapered", boss_large=40.0, boss_small=40.0)
    assert lacks(thin, text()) == []


def test_a_tapered_sleeve_put_in_from_the_other_side_is_not_known() -> None:
    book = tapered()
    eye(book, large=24.0, taper=0.1, profile="tapered", opens="up")
    assert lacks(book) == ["NORTH/AD-1 body proud: no reading, and its large end lies away from the stud"]
    book.take("NORTH/KN-1 eye", "opens")
    assert lacks(book) == ["NORTH/KN-1 eye opens: no reading"]


def test_a_part_between_with_its_ends_the_wrong_way_is_not_known() -> None:
    words = LEFT.replace('["bore", "body"]', '["body", "bore"]')
    assert lacks(sleeved(flange=2.0), words) == [
        "NORTH/AD-1 place in the eye: is not recorded: the ball's follows from it"
    ]


def test_a_sleeve_under_a_spherical_rod_end_is_not_known() -> None:
    book = sleeved(flange=2.0)
    book.put("NORTH/SR-1", feature("NORTH/SR-1 body", "spherical-body", 0.05, ball_width=16.0, spacer_length=6.0))
    words = LEFT.replace("rod_end =", "spherical_rod_end =").replace("NORTH/RE-3", "NORTH/SR-1")
    words = words.replace("left.rod_end", "left.spherical_rod_end").replace("[left]", '[left]\nstud_enters = "below"')
    assert lacks(book, words) == ["NORTH/AD-1 place in the eye: is not recorded: the ball's follows from it"]


def test_mirrored_sleeves_move_both_balls_alike() -> None:
    book = sleeved(flange=2.0)
    words = text(more=SLEEVES)
    (x, y, z), right = ball(book, words), ball(book, words, "right")
    assert (x, y, z) == pytest.approx(upwards(UP, -2.0), abs=1e-9)
    assert right == pytest.approx((x, -y, z), abs=1e-9)


def test_rods_and_steer_follow_a_sleeve_and_name_what_it_rests_on() -> None:
    book = sleeved(flange=2.0)
    report = run(book, LEFT)
    expected = math.dist(upwards(UP, -2.0), (125.0, 340.0, 213.0))
    assert rod(report).figures["needed_length"].value == pytest.approx(expected, abs=1e-9)
    uses = {(use.feature, use.dimension) for use in rod(report).uses}
    assert {("NORTH/AD-1 body", "flange"), ("NORTH/AD-1 bore", "large"), ("NORTH/RE-3 stud", "height")} <= uses
    found = steer([kit_of(LEFT)], book, 0.06, FromAdopted(20)).proposals[0].told
    assert found.results["rod-left"].value == pytest.approx(expected, abs=1e-6)
    assert any("moves the left outer ball 2.00 mm down along the eye's axis" in note for note in found.notes)


def test_the_doubt_of_the_cones_is_that_of_the_ball() -> None:
    # 0.01 mm on stud and on eye over 1:10, and 0.01 mm on thickness/2, flange and height
    found = outer(sleeved(flange=2.0)).off.at(Draws(20_000))
    expected = math.hypot(0.01 / 0.1, 0.01 / 0.1, 0.005, 0.01, 0.01)
    assert float(found.std()) == pytest.approx(expected, rel=0.03)


def test_bump_steer_and_tilt_are_those_of_a_survey_with_the_ball_down_there() -> None:
    found = []
    for counted in (True, False):
        mix = with_sleeve()
        mix.set("NORTH/KN-1 eye", 0.0, tilt=0.0, opens="down")
        if counted:
            mix.set("NORTH/AD-2 body", 0.0, flange=3.0).set(f"{CAR} corner.left", 0.0, ball_off_eye=OFF)
        else:
            mix.adapters.clear()
            mix = good().set("NORTH/KN-1 eye", 0.0, tilt=0.0)
            mix.set(f"{CAR} corner.left", arm_eye=upwards(UP, -3.0))
        report = mix.report(Draws(200))
        found.append({one.rule: one.figures for one in report.findings if one.rule in ("bump-01", "tilt-02")})
    ours, surveyed = found
    assert ours
    for rule, figures in ours.items():
        for name, figure in figures.items():
            if "right" not in name:
                assert figure.value == pytest.approx(surveyed[rule][name].value, abs=1e-6), (rule, name)
