"""Which way the kit steers, as placed; every part is invented. The rule is that of the published table."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitment.finding import Finding, Verdict
from fitment.kits.direction_rules import RULES
from fitment.kits.rack_turned import AXES, ends_swap
from fitment.kits.rules import kit_rules
from tests.kits.front import Front, findings, gaps, only, run, text, turned
from tests.support.corners import published

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict

TABLE = [row for row in published("direction_rule") if row["quantity"] == "sign of m"]
HALF_TURNS = {row["id"].removeprefix("WAY-turn-"): int(row["value"]) for row in published("direction_rule")
              if row["id"].startswith("WAY-turn-")}  # fmt: skip
INPUT = {"forward": "from behind", "down": "from above"}
CROSSED = '[column]\nintermediate_shaft = "NORTH/IS-1"\n'


def front(arms: str = "front-steer") -> Front:
    """A kit of which only words tell the direction: no points, no knuckle's arm."""
    book = Front()
    book.vehicle["arm-position"] = arms
    book.points = {"left": {}, "right": {}}
    book.renew()
    return book


@pytest.mark.parametrize("arms", ["front-steer", "rear-steer"])
@pytest.mark.parametrize("word", ["", "as in its donor", *AXES])
@pytest.mark.parametrize("row", TABLE, ids=lambda row: row["id"])
def test_all_four_rows_of_the_table_as_placed(row: dict[str, str], word: str, arms: str) -> None:
    _, shaft, bar = row["id"].split("-")
    moves = int(row["value"]) * (HALF_TURNS[AXES[word]] if word in AXES else 1)
    suits = {1: "rear-steer", -1: "front-steer"}[moves]
    if word not in AXES:
        assert row["note"] == f"suits {suits}"
    book = front(arms)
    book.say(input=INPUT[shaft], bar_side=bar)
    found = only(run(book, turned(word) if word else text("")), "direction", "way-01")
    assert found.verdict is (FITS if suits == arms else DOES_NOT_FIT)
    assert f"goes to the car's {'left' if moves > 0 else 'right'} (input {INPUT[shaft]}, bar {bar}" in found.because
    assert found.because.endswith(": the car would steer the wrong way") is (suits != arms)


@pytest.mark.parametrize("word", ["", *AXES])
@pytest.mark.parametrize(
    ("dimension", "said", "moves"),
    [
        ("bar_moves", "left", 1),
        ("bar_moves", "right", -1),
        ("steer_type", "rear-steer", 1),
        ("steer_type", "front-steer", -1),
    ],
)
def test_the_bench_and_the_donor_tell_it_too(dimension: str, said: str, moves: int, word: str) -> None:
    book = front()
    book.say(**{dimension: said})
    moves *= HALF_TURNS[AXES[word]] if word else 1
    found = only(run(book, turned(word) if word else text("")), "direction", "way-01")
    assert found.verdict is (FITS if moves < 0 else DOES_NOT_FIT)


def test_opposite_does_not_fit_whatever_else_holds_and_says_what_to_do_on_the_bench() -> None:
    book = Front()
    book.say(bar_moves="right")
    good = run(book, text())
    assert only(good, "direction", "way-01").verdict is FITS
    book.say(bar_moves="left")
    report = run(book, text())
    found = only(report, "direction", "way-01")
    assert (report.verdict, found.verdict) == (DOES_NOT_FIT, DOES_NOT_FIT)
    assert "which way it steers" in report.ruling
    assert found.because == (
        "in a turn to the right the bar of NORTH/RK-7, as it sat in its donor, goes to the car's left (on the bench to "
        "the left); the arms lie ahead of the steering axis (NORTH/V-1 is recorded as front-steer; NORTH/V-1's left "
        "eye lies 121.66 mm ahead of the steering axis; NORTH/V-1's right eye lies 121.66 mm ahead of the steering "
        "axis), so it must go to the right: the car would steer the wrong way"
    )
    for one in (only(good, "direction", "way-01"), found):
        assert one.cautions[0] == (
            "Confirm on the bench: hold the rack as it will sit, look along the pinion shaft as the driver would, turn "
            "it clockwise: the bar must go to the car's right."
        )
    assert "takes the pinion to the other side of the car" in found.cautions[-1]


def test_a_kit_that_does_not_say_how_the_rack_is_turned_is_told_what_was_taken() -> None:
    book = front()
    book.say(bar_moves="right")
    assert any(
        "taken to sit as it sat in its donor" in one
        for one in only(run(book, text("")), "direction", "way-01").cautions
    )
    said = only(run(book, turned("as in its donor")), "direction", "way-01")
    assert len(said.cautions) == 1


@pytest.mark.parametrize(
    ("word", "comes", "lands"),
    [
        ("upside down", "from behind", "from behind"),
        ("upside down", "from above", "from below"),
        ("back to front", "from behind", "from in front"),
        ("back to front", "from above", "from above"),
        ("end over end", "from behind", "from in front"),
        ("end over end", "from above", "from below"),
    ],
)
def test_where_the_input_lands(word: str, comes: str, lands: str) -> None:
    book = front()
    book.say(input=comes, bar_moves="right")
    cautions = only(run(book, turned(word)), "direction", "way-01").cautions
    assert f"Turned {word}, the shaft comes in {lands}." in cautions
    assert any("the ends of the rack change sides" in one for one in cautions) is ends_swap(word)


def test_evidence_that_disagrees_is_not_known() -> None:
    book = front()
    book.say(bar_moves="right", input="from above", bar_side="behind")
    found = only(run(book, text("")), "direction", "way-01")
    assert found.verdict is NOT_KNOWN
    assert gaps(found) == [
        "NORTH/RK-7 body bar-moves: in conflict: input from above, bar behind the pinion; on the bench to the right"
    ]
    book = Front()
    book.say(bar_moves="right")
    book.vehicle["arm-position"] = "rear-steer"
    book.renew()
    (gap,) = gaps(only(run(book, text()), "direction", "way-01"))
    assert gap.startswith(
        "NORTH/V-1 arm-position: in conflict: NORTH/V-1 is recorded as rear-steer; NORTH/V-1's left eye"
    )


def test_the_knuckles_named_count_too() -> None:
    book = front()
    book.say(bar_moves="right")
    book.add("NORTH/KN-1 body", arm_forward=-118.0)
    (gap,) = gaps(only(run(book, text("")), "direction", "way-01"))
    assert "NORTH/KN-1's eye lies 118.00 mm behind the steering axis" in gap
    del book.vehicle["arm-position"]
    book.renew()
    assert only(run(book, text("")), "direction", "way-01").verdict is DOES_NOT_FIT


def test_hearsay_counts_only_where_there_is_nothing_better_and_never_passes() -> None:
    book = front()
    book.say(steer_type="front-steer")
    book.change("NORTH/RK-7 body", "steer-type", hearsay=True)
    found = only(run(book, text("")), "direction", "way-01")
    assert found.verdict is NOT_KNOWN
    assert found.because.startswith("would be 'fits', but NORTH/RK-7 body steer-type is only hearsay")
    book.say(bar_moves="left")
    assert only(run(book, text("")), "direction", "way-01").verdict is DOES_NOT_FIT
    book.body_without("bar-moves")
    book.change("NORTH/RK-7 body", "steer-type", value="rear-steer")
    found = only(run(book, text("")), "direction", "way-01")
    assert found.verdict is DOES_NOT_FIT
    assert found.because.endswith("; on hearsay: measure before discarding")


def test_what_is_missing_is_named() -> None:
    book = front()
    assert gaps(only(run(book, text("")), "direction", "way-01")) == [
        "NORTH/RK-7 body bar-moves: no reading",
        "NORTH/RK-7 body steer-type: no reading",
        "NORTH/RK-7 body input: no reading",
        "NORTH/RK-7 body bar-side: no reading",
    ]
    book.say(input="from above", bar_side="below")
    assert gaps(only(run(book, text("")), "direction", "way-01"))[-1] == (
        "NORTH/RK-7 body bar-side: below lies along a shaft from above: undecided"
    )
    del book.vehicle["arm-position"]
    book.renew()
    book.say(bar_moves="right")
    assert "NORTH/V-1 body arm-position: no reading" in gaps(only(run(book, text("")), "direction", "way-01"))


def test_an_eye_within_the_doubt_of_the_axis_tells_nothing() -> None:
    book = Front()
    book.say(bar_moves="right")
    del book.vehicle["arm-position"]
    for side in ("left", "right"):
        x, y, z = book.points[side]["arm-eye"]
        book.points[side]["arm-eye"] = (x - 121.6, y + (40.0 if y > 0 else -40.0), z)
    book.renew()
    found = only(run(book, text()), "direction", "way-01")
    assert found.verdict is NOT_KNOWN
    assert "NORTH/V-1 corner.left arm-eye: too coarse to tell ahead from behind" in gaps(found)


def test_nothing_is_asked_where_nothing_is_told() -> None:
    book = Front()
    book.bare()
    book.body_without("hand")
    report = run(book, text(""))
    assert findings(report, "direction") == []
    assert (
        "which way it steers: nothing tells which way NORTH/RK-7 moves its bar, nor where the arms lie"
        in report.not_checked
    )
    assert "which way it steers: neither hand of NORTH/RK-7 nor drive-side of NORTH/V-1 is known" in report.not_checked
    assert "which way it steers: the kit names no rack" in run(book, 'name = "F"\ntarget = "NORTH/V-1"\n').not_checked


@pytest.mark.parametrize(
    ("word", "hand"), [("", "LH"), ("end over end", "LH"), ("upside down", "RH"), ("back to front", "RH")]
)
def test_the_pinion_on_the_drivers_side_after_the_turn(word: str, hand: str) -> None:
    book = front()
    book.say(bar_moves="right", hand=hand)
    report = run(book, turned(word) if word else text(""))
    assert only(report, "direction", "way-02").verdict is FITS
    book.vehicle["drive-side"] = "RH"
    book.renew()
    found = only(run(book, turned(word) if word else text("")), "direction", "way-02")
    assert found.verdict is NOT_KNOWN
    assert gaps(found) == [
        "NORTH/RK-7 shaft to the pinion: the pinion lies on the left, the driver sits on the right, and the kit names "
        "no intermediate shaft that crosses to it"
    ]
    # a shaft that is named has a check of its own: the crossing is a caution
    book.add("NORTH/RK-7 body", pinion_offset=180.0)
    report = run(book, (turned(word) if word else text("")) + CROSSED)
    assert findings(report, "direction", "way-02") == []
    assert any(
        "lies on the left, 180 mm from the middle of the rack, and the driver sits on the right" in caution
        for caution in only(report, "direction", "way-01").cautions
    )


def test_a_hand_or_a_drive_side_that_is_missing() -> None:
    book = front()
    book.say(bar_moves="right")
    book.body_without("hand")
    assert gaps(only(run(book, text("")), "direction", "way-02")) == ["NORTH/RK-7 body hand: no reading"]
    book.say(hand="LH")
    del book.vehicle["drive-side"]
    book.renew()
    assert gaps(only(run(book, text("")), "direction", "way-02")) == ["NORTH/V-1 body drive-side: no reading"]


def test_reversed_ackermann_by_arms_as_of_the_other_side_of_the_axle() -> None:
    book = Front()
    book.say(bar_moves="right")
    good = only(run(book, text()), "direction", "way-03")
    assert good.verdict is FITS
    assert good.margin is not None
    # case A with its rods straight: 35.48 and 34.50 deg, the published 35.31 and 34.70 less and plus the toe of 0.125
    assert good.figures["inner_less_outer_bar_left"].value == pytest.approx(0.975, abs=0.002)
    for side, sign in (("left", 1.0), ("right", -1.0)):
        book.points[side]["arm-eye"] = (125.0, sign * 610.0, 208.0)
    book.renew()
    report = run(book, text())
    found = only(report, "direction", "way-03")
    assert (found.verdict, report.verdict) == (DOES_NOT_FIT, DOES_NOT_FIT)
    assert found.because.endswith(": the Ackermann is reversed")
    assert only(report, "direction", "way-01").verdict is FITS
    # who wants it so says so
    allowed = run(book, text(more="[limits]\nackermann_least = -8\n"))
    assert only(allowed, "direction", "way-03").verdict is FITS


def test_arms_as_if_mirrored_where_no_rack_is_placed() -> None:
    book = Front()
    book.say(bar_moves="right")
    unplaced = only(run(book, text("")), "direction", "way-03")
    assert unplaced.verdict is NOT_KNOWN
    assert gaps(unplaced)[0].startswith("rack place in the car: the kit does not say where it sits: write position")
    x, _, z = book.points["left"]["arm-eye"]
    book.points["left"]["arm-eye"] = (x, 590.0, z)
    book.renew()
    found = only(run(book, text("")), "direction", "way-03")
    assert found.verdict is NOT_KNOWN
    assert gaps(found)[0].startswith(
        "NORTH/V-1 left steering arm: the left eye lies 26.8 mm inboard of the steering axis and ahead of it"
    )


def test_an_axis_that_was_not_surveyed_is_upright_by_the_knuckles_arm() -> None:
    book = Front()
    book.say(bar_moves="right")
    for points in book.points.values():
        x, y, z = points["lower-ball"]
        points["upper-ball"] = (x, y, z + 250.0)
    book.renew()
    surveyed = only(run(book, text()), "direction", "way-03")
    assert surveyed.cautions == ()
    # the eye lies 120 ahead of the lower ball and 12 outboard of it
    book.add("NORTH/KN-1 body", arm_forward=120.0, arm_lateral=12.0)
    for points in book.points.values():
        del points["upper-ball"], points["lower-ball"]
    book.renew()
    found = only(run(book, text()), "direction", "way-03")
    assert any("taken as upright by the knuckle's arm, left and right" in one for one in found.cautions)
    for name, figure in surveyed.figures.items():
        assert found.figures[name].value == pytest.approx(figure.value, abs=1e-5)


def test_the_travel_that_is_missing_and_a_rod_past_dead_centre() -> None:
    book = Front()
    book.say(bar_moves="right")
    book.body_without("travel")
    assert gaps(only(run(book, text()), "direction", "way-03")) == ["NORTH/RK-7 body travel: no reading"]
    book.add("NORTH/RK-7 body", travel=260.0)
    assert gaps(only(run(book, text()), "direction", "way-03")) == [
        "NORTH/RK-7 travel: takes a tie rod past dead centre: the wheels have no angle there"
    ]


near = st.floats(-15.0, 15.0).map(lambda value: round(value, 2))


@settings(max_examples=20)
@given(st.tuples(near, near, near), st.tuples(near, near, near), st.sampled_from(["left", "right"]))
def test_the_mirrored_car_steers_alike_with_the_sides_exchanged(
    left: tuple[float, float, float], right: tuple[float, float, float], moves: str
) -> None:
    def checked(mirrored: bool) -> dict[str, Finding]:
        book = Front()
        book.say(bar_moves=moves)
        for side, by in (("left", left), ("right", right)):
            x, y, z = book.points[side]["arm-eye"]
            book.points[side]["arm-eye"] = (x + by[0], y + by[1], z + by[2])
        book.renew()
        if mirrored:
            book.say(hand="RH")
            book.vehicle["drive-side"] = "RH"
            book.mirror()
        return {one.rule: one for one in findings(run(book, text()), "direction")}

    here, there = checked(False), checked(True)
    assert here["way-01"].verdict is (FITS if moves == "right" else DOES_NOT_FIT)
    for rule in ("way-01", "way-02"):
        assert there[rule].verdict is here[rule].verdict
    for side, other in (("left", "right"), ("right", "left")):
        more = there["way-03"].figures[f"inner_less_outer_bar_{other}"].value
        assert more == pytest.approx(here["way-03"].figures[f"inner_less_outer_bar_{side}"].value, abs=1e-6)


def test_every_rule_has_its_page() -> None:
    assert [rule.code for rule in RULES] == ["way-01", "way-02", "way-03"]
    assert set(RULES) <= set(kit_rules())
    assert all(text for rule in RULES for text in vars(rule).values())


def test_the_body_of_the_rack_is_that_of_the_donor() -> None:
    # what the rule rests on is shown as it was read
    book = front()
    book.say(bar_moves="left")
    found = only(run(book, turned("upside down")), "direction", "way-01")
    assert (found.verdict, [use.word for use in found.uses if use.dimension == "bar-moves"]) == (FITS, ["left"])
