"""Rack travel against knuckle stop, tyre and dead centre; every part is invented, the axle is published case A.

At 70 mm of bar the inner wheel of this axle stands at 35.48 deg from straight ahead and the outer one at 34.50.
"""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.finding import Verdict
from fitment.joints.registration import Feature
from fitment.kits.rules import kit_rules
from fitment.kits.stroke_rules import RULES
from tests.kits.front import SEAT, Front, findings, gaps, only, run, text
from tests.support.corners import published
from tests.support.features import trial

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict
LOCKS = ("left.stroke", "right.stroke")
SOLVED = {row["id"]: float(row["value"]) for name in ("kinematics_swap", "kinematics_poses") for row in published(name)}


def figures(book: Front, row: str, kit: str = "") -> dict[str, float]:
    """What is figured of a lock; a stop that nothing is held against has its figures with the tyre's."""
    return {name: one.value for name, one in only(run(book, kit or text()), row, "stop-01").figures.items()}


def told(book: Front) -> list[str]:
    """What is told of the stops without a verdict."""
    title = "rack travel against the stops, left and right: "
    return [line.removeprefix(title) for line in run(book, text()).not_checked if line.startswith(title)]


def test_a_kit_whose_knuckle_stops_first_with_the_tyre_clear() -> None:
    report = run(Front(), text())
    for row, side in zip(LOCKS, ("left", "right"), strict=True):
        assert [(one.rule, one.verdict) for one in findings(report, row)] == [
            ("stop-01", FITS),
            ("stop-03", FITS),
        ]
        assert only(report, row, "stop-01").because == (
            f"the first stop acts at 63.80 mm of bar to the {side}, 10.58 mm before the angle where something touches "
            "(74.38 mm of bar)"
        )
        assert only(report, row, "stop-03").because == (
            f"at the rack's stop, 70.00 mm of bar to the {side}, the nearer rod's margin to dead centre is 0.251 "
            "(0 in line with its arm, 1 square to it), where 0.1 is asked"
        )
    assert told(Front()) == [
        f"at {side} lock the knuckle's stop acts first, at 63.80 mm of bar to the {side}, with 6.20 mm left at the "
        "rack (70.00 mm of travel); no verdict, as the kit states no limit and none has authority; "
        'rack_reserve = "3.2 mm" in [limits] would be one'
        for side in ("left", "right")
    ]


@pytest.mark.parametrize(
    ("travel", "row", "inner", "outer"),
    [
        ((70.0, 70.0), "right.stroke", "A-rack-70-steer-R", "A-rack-70-steer-L"),
        ((78.0, 62.0), "right.stroke", "RCK-lock-A--62-R", "RCK-lock-A--62-L"),
        ((78.0, 62.0), "left.stroke", "RCK-lock-A-+78-L", "RCK-lock-A-+78-R"),
    ],
)
def test_published_locks_of_a_centred_bar_and_of_one_8_mm_off(
    travel: tuple[float, float], row: str, inner: str, outer: str
) -> None:
    book = Front()
    book.add("NORTH/RK-7 body", travel_left=travel[0], travel_right=travel[1])
    found = figures(book, row)
    # published with 0.125 deg of toe-in a wheel and camber, the wheel centre kept at its height; here from straight
    # ahead with the axis held: the inner wheel has the toe farther to go, the outer one less
    assert found["inner_at_rack_stop"] == pytest.approx(abs(SOLVED[inner]) + 0.125, abs=0.1)
    assert found["outer_at_rack_stop"] == pytest.approx(abs(SOLVED[outer]) - 0.125, abs=0.1)


def test_a_bar_off_its_middle_makes_one_lock_longer() -> None:
    book = Front()
    book.add("NORTH/RK-7 body", travel_left=78.0)  # of 140: 62 are left to the other side
    left, right = (figures(book, row)["inner_at_rack_stop"] for row in LOCKS)
    published_difference = abs(SOLVED["RCK-lock-A-+78-L"]) - abs(SOLVED["RCK-lock-A--62-R"])
    assert left - right == pytest.approx(published_difference, abs=0.06)


def test_a_rack_that_stops_first_is_told_and_fails_where_it_has_no_stop_of_its_own() -> None:
    book = Front()
    book.add("NORTH/KN-1 body", stop_in=36.5, stop_out=36.5)
    assert findings(run(book, text()), "left.stroke", "stop-02") == []
    assert told(book)[0].startswith(
        "at left lock the rack's stop acts first, at 70.00 mm of bar to the left, 1.79 mm before the knuckle's"
    )
    assert (
        only(run(book, text()), "left.stroke", "stop-01")
        .cautions[0]
        .startswith("The rack takes the blow at full lock. One off-road maker's manual asks for 3.2 mm")
    )
    book.say(stop="external")
    found = only(run(book, text()), "left.stroke", "stop-02")
    assert found.verdict is DOES_NOT_FIT
    assert found.because.endswith("; the rack has no stop of its own")
    book.add("NORTH/KN-1 body", stop_in=32.0, stop_out=32.0)
    assert only(run(book, text()), "left.stroke", "stop-02").verdict is FITS


def test_a_reserve_at_the_rack_is_held_where_the_kit_asks_for_it() -> None:
    asks = "[limits]\nrack_reserve = 7\n"
    found = only(run(Front(), text(more=asks)), "left.stroke", "stop-02")
    assert found.verdict is DOES_NOT_FIT
    assert found.because.endswith(
        "with 6.20 mm left at the rack (70.00 mm of travel); 7.00 mm left at the rack is asked"
    )
    assert only(run(Front(), text(more=asks.replace("7", "5"))), "left.stroke", "stop-02").verdict is FITS


def test_the_nearer_of_both_knuckles_stops_counts() -> None:
    book = Front()
    book.add("NORTH/KN-1 body", stop_out=28.0)
    # the outer wheel of the published sweep stands at 29.27 deg at 60 mm and at 24.13 at 50, from toe 0.125
    assert 55.0 < 70.0 - figures(book, "left.stroke")["left_at_rack_when_knuckle_stops"] < 60.0
    book.take("NORTH/KN-1 body", "stop-out")
    assert figures(book, "left.stroke")["left_at_rack_when_knuckle_stops"] == pytest.approx(6.2, abs=0.01)


def test_knuckles_without_a_stop_or_of_which_none_was_taken() -> None:
    book = Front()
    book.take("NORTH/KN-1 body", "stop-in", "stop-out")
    found = only(run(book, text()), "left.stroke", "stop-02")
    assert (found.verdict, gaps(found)) == (NOT_KNOWN, ["NORTH/KN-1 body stop-in: no reading"])
    book.add("NORTH/KN-1 body", stop_position="none")
    found = only(run(book, text()), "left.stroke", "stop-02")
    assert (found.verdict, found.because) == (
        FITS,
        "the knuckles are recorded as having no stop: the rack's own is the only one",
    )
    book.say(stop="external")
    found = only(run(book, text()), "left.stroke", "stop-02")
    assert found.verdict is DOES_NOT_FIT
    assert found.because.endswith("nothing stops the bar")
    book.body_without("stop")
    found = only(run(book, text()), "left.stroke", "stop-02")
    assert (found.verdict, gaps(found)) == (NOT_KNOWN, ["NORTH/RK-7 body stop: no reading"])


def test_stops_within_the_doubt_of_each_other_and_an_unknown_end_are_cautions() -> None:
    book = Front()
    book.add("NORTH/KN-1 body", stop_in=35.48, stop_out=40.0)
    book.body_without("stop")
    found = only(run(book, text()), "left.stroke", "stop-02")
    # a rack without a stop of its own must not come first
    assert (found.verdict, gaps(found)) == (NOT_KNOWN, ["NORTH/RK-7 body stop: no reading"])
    cautions = found.cautions
    assert cautions[0].startswith("What ends the rack's travel is not recorded")
    assert cautions[1].startswith("Rack and knuckle stop within the doubt of each other")


def rubbing() -> Front:
    """Nothing but the rack stops the wheels at 35.48 deg, and the tyre touches at 33 on the inside of the turn."""
    book = Front()
    book.add("NORTH/KN-1 body", stop_in=45.0, stop_out=45.0)
    for angles in book.angles.values():
        angles["clear-inner"] = 33.0
    book.renew()
    return book


def test_a_tyre_that_touches_asks_for_a_spacer_of_a_thickness_that_mends_it() -> None:
    book = rubbing()
    report = run(book, text())
    found = only(report, "left.stroke", "stop-01")
    assert found.verdict is WITH_WORK
    assert found.because == (
        "the first stop acts at 70.00 mm of bar to the left, 4.40 mm beyond the angle where something touches "
        "(65.60 mm of bar)"
    )
    (work,) = found.work
    assert (work.operation, work.before, work.after) == ("lock spacer", 70.0, 65.0)
    # the bar moves to the left: its right end goes in
    assert work.part == "NORTH/RK-7 bar, right end"
    assert work.detail.startswith("a spacer 5.00 mm thick between the right inner joint and the end of the housing")
    assert only(report, "right.stroke", "stop-01").work[0].part == "NORTH/RK-7 bar, left end"
    book.add("NORTH/RK-7 body", travel=130.0)
    assert only(run(book, text()), "left.stroke", "stop-01").verdict is FITS
    # a knuckle that stops before it mends it too
    book = rubbing()
    book.add("NORTH/KN-1 body", stop_in=32.0)
    assert only(run(book, text()), "left.stroke", "stop-01").verdict is FITS


def test_beyond_the_present_lock_nothing_is_known_of_the_tyre() -> None:
    book = Front()
    for angles in book.angles.values():
        angles.clear()
        angles.update({"lock-inner": 36.0, "lock-outer": 35.0})
    book.renew()
    assert only(run(book, text()), "left.stroke", "stop-01").verdict is FITS  # the knuckle stops at 32
    book.add("NORTH/KN-1 body", stop_in=45.0, stop_out=45.0)
    assert only(run(book, text()), "left.stroke", "stop-01").verdict is FITS  # the rack stops at 35.48 and 34.50
    for angles in book.angles.values():
        angles["lock-inner"] = 34.0
    book.renew()
    found = only(run(book, text()), "left.stroke", "stop-01")
    assert (found.verdict, gaps(found)) == (
        NOT_KNOWN,
        ["NORTH/V-1 corner.left clear-inner: no reading, and the stop lies beyond the lock that the car has now"],
    )
    for angles in book.angles.values():
        angles.update({"lock-inner": 36.0, "lock-outer": 33.0})
    book.renew()
    found = only(run(book, text()), "left.stroke", "stop-01")
    assert gaps(found)[0].startswith("NORTH/V-1 corner.right clear-outer: no reading")


def test_what_is_missing_for_the_tyre_is_named() -> None:
    book = Front()
    del book.angles["left"]["clear-inner"]
    book.renew()
    report = run(book, text())
    assert gaps(only(report, "left.stroke", "stop-01")) == ["NORTH/V-1 corner.left clear-inner: no reading"]
    assert only(report, "right.stroke", "stop-01").verdict is FITS


def test_the_spacer_for_a_wanted_lock() -> None:
    kit = text(more='[wanted]\nlock = "30 deg"\n')
    spacer = figures(Front(), "left.stroke", kit)["spacer_for_wanted_lock"]
    # shortened by that, the inner wheel stands at the wanted angle
    book = Front()
    book.add("NORTH/RK-7 body", travel=2 * (70.0 - spacer))
    assert figures(book, "left.stroke")["inner_at_rack_stop"] == pytest.approx(30.0, abs=1e-6)
    with pytest.raises(DataFault, match="measures a length, not an angle") as caught:
        run(Front(), text(more='[wanted]\nlock = "30 mm"\n'))
    assert caught.value.place == "kit.toml [wanted] lock"


def test_travel_that_takes_the_arm_towards_dead_centre_and_beyond() -> None:
    book = Front()
    book.add("NORTH/RK-7 body", travel=200.0)
    found = only(run(book, text()), "left.stroke", "stop-03")
    assert found.verdict is DOES_NOT_FIT
    assert re.search(
        r"100\.00 mm of bar to the left, the nearer rod's margin to dead centre is 0\.0\d\d .*, where 0\.1",
        found.because,
    )
    assert only(run(book, text(more="[limits]\ntoggle_margin = 0.01\n")), "left.stroke", "stop-03").verdict is FITS
    book.add("NORTH/RK-7 body", travel=260.0)
    report = run(book, text())
    assert only(report, "left.stroke", "stop-03").verdict is DOES_NOT_FIT
    for rule in ("stop-01", "stop-02"):
        assert gaps(only(report, "left.stroke", rule)) == [
            "NORTH/RK-7 bar travel: takes a tie rod past dead centre: the wheels have no angle there"
        ]


def test_another_inner_joint_where_its_shoulder_is_the_stop() -> None:
    book = Front()
    book.say(stop="inner-joint shoulder")
    inner = Feature("NORTH/TR-2 inner", "thread-end")
    book.put("NORTH/TR-2", inner)
    book.add("NORTH/TR-2 inner", shoulder_length=8.5)
    found = only(run(book, text()), "left.stroke", "stop-04")
    assert found.verdict is NOT_KNOWN
    assert gaps(found) == [
        "NORTH/RK-7 body travel: was taken with the rack's own joints, whose shoulder is its stop; NORTH/TR-2 on the "
        "left is another: measure the travel with it on"
    ]
    assert found.figures["shoulder_length"].value == 8.5
    book.put(
        "NORTH/TR-2",
        Feature("NORTH/TR-2 inner", "thread-end", trials=(trial("assembled-with", "NORTH/RK-7 bar-end.left"),)),
    )
    report = run(book, text())
    assert (only(report, "left.stroke", "stop-04").verdict, only(report, "right.stroke", "stop-04").verdict) == (
        FITS,
        NOT_KNOWN,
    )


def test_what_is_missing_is_named_be_it_the_racks_place_or_a_point() -> None:
    report = run(Front(), text(""))
    for row in LOCKS:
        (found,) = findings(report, row)
        assert found.verdict is NOT_KNOWN
        assert gaps(found)[0].startswith("rack place in the car: the kit does not say where it sits")
    book = Front()
    for points in book.points.values():
        del points["upper-ball"]
    book.renew()
    (found,) = findings(run(book, text()), "left.stroke")
    assert gaps(found) == [
        "NORTH/V-1 corner.left upper-ball: no reading",
        "NORTH/V-1 corner.right upper-ball: no reading",
    ]


def test_points_that_fall_together_are_a_gap_not_a_crash() -> None:
    book = Front()
    book.points["left"]["upper-ball"] = book.points["left"]["lower-ball"]
    book.renew()
    report = run(book, text())
    told = {gap for row in LOCKS for one in findings(report, row) for gap in gaps(one)}
    assert told == {"NORTH/V-1 corner.left upper-ball: lies no higher than lower-ball: measure both again"}
    book = Front()
    x, y, z = book.points["left"]["lower-ball"]
    book.points["left"].update({"upper-ball": (x, y, z + 250.0), "arm-eye": (x, y, z + 20.0)})
    book.renew()
    report = run(book, text())
    told = {gap for row in LOCKS for one in findings(report, row) for gap in gaps(one)}
    assert any("the arm eye lies on the steering axis" in gap for gap in told)


def test_hearsay_never_passes() -> None:
    book = Front()
    book.change("NORTH/RK-7 body", "travel", hearsay=True)
    report = run(book, text())
    assert all("; on hearsay or assumption: NORTH/RK-7 body travel; no verdict" in one for one in told(book))
    for rule in ("stop-01", "stop-03"):
        assert only(report, "left.stroke", rule).verdict is NOT_KNOWN


def test_a_rack_behind_the_axle_moves_its_bar_the_other_way() -> None:
    book = Front()
    for points in book.points.values():
        x, y, z = points["arm-eye"]
        points["arm-eye"] = (-x, y, z)
    book.renew()
    book.add("NORTH/RK-7 body", travel_left=60.0, travel_right=50.0)
    kit = text(SEAT.replace("125 mm", "-125 mm"))
    assert figures(book, "left.stroke", kit)["rack_travel"] == 50.0
    assert "mm of bar to the right" in only(run(book, kit), "left.stroke", "stop-03").because


near = st.floats(-8.0, 8.0).map(lambda value: round(value, 2))


@settings(max_examples=15)
@given(st.tuples(near, near, near), st.floats(60.0, 72.0).map(lambda value: round(value, 2)))
def test_the_mirrored_car_exchanges_the_locks(by: tuple[float, float, float], left: float) -> None:
    def checked(mirrored: bool) -> list[dict[str, float]]:
        book = Front()
        x, y, z = book.points["left"]["arm-eye"]
        book.points["left"]["arm-eye"] = (x + by[0], y + by[1], z + by[2])
        book.renew()
        book.add("NORTH/RK-7 body", travel_left=66.0 if mirrored else left, travel_right=left if mirrored else 66.0)
        if mirrored:
            book.mirror()
        report = run(book, text())
        rows = LOCKS[::-1] if mirrored else LOCKS
        return [{name: one.value for name, one in only(report, row, "stop-01").figures.items()} for row in rows]

    for here, there in zip(checked(False), checked(True), strict=True):
        assert there == pytest.approx(here, abs=1e-6)


def test_every_rule_has_its_page() -> None:
    assert [rule.code for rule in RULES] == ["stop-01", "stop-02", "stop-03", "stop-04"]
    assert set(RULES) <= set(kit_rules())
    assert all(text for rule in RULES for text in vars(rule).values())
