"""Lock, Ackermann and turning circle in a check; the cars are the published cases A and B, invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitment.doubt import Draws
from fitment.finding import Finding, Verdict
from fitment.joints.limits import default_limits
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report import Report
from fitment.kits.rules import kit_rules
from fitment.kits.turn_rules import RULES
from tests.kits import fakes
from tests.kits.test_steer import CAR, FACTS, Car, at, compare, filled, text

DOES_NOT_FIT, NOT_KNOWN, _, FITS = Verdict
TITLE = "Ackermann, lock and turning circle"
KNUCKLES = '[left]\nknuckle = "NORTH/KN-1"\n[right]\nknuckle = "NORTH/KN-2"\n'


class Locks(Car):
    """The car with knuckles that have no stop."""

    def __init__(self, case: str = "A", u: float = 0.0, travel: float = 140.0):
        super().__init__(case, u, travel)
        self.knuckles = {"NORTH/KN-1", "NORTH/KN-2"}
        for number in (1, 2):
            self.stop(number, stop_position="none")

    def stop(self, number: int, **values: float | str) -> None:
        part = fakes.part(f"NORTH/KN-{number}", "knuckle")
        self.parts[part.name] = filled(part, "body", 0.1, **values)


def asks(lock: str = "", circle: str = "") -> str:
    told = [f'lock_least = "{lock}"' if lock else "", f'turning_circle = "{circle}"' if circle else ""]
    return "\n".join(["[limits]", *filter(None, told), ""])


def run(book: Car, limits: str = "", more: str = "", knuckles: str = KNUCKLES, place: str = at(125, 0, 213)) -> Report:
    kit = text(f"{place}\n{more}\n{knuckles}{limits}")
    return check(read_kit(kit.encode(), "kit.toml"), book, Draws(60), {})


def found(report: Report, rule: str) -> list[Finding]:
    return [one for joint in report.joints if joint.id == "ackermann" for one in joint.findings if one.rule == rule]


def lines(report: Report) -> list[str]:
    return [line.removeprefix(f"{TITLE}: ") for line in report.not_checked if line.startswith(TITLE)]


@pytest.mark.parametrize(
    ("case", "place", "travel", "inner", "outer", "percent"),
    [
        ("A", at(125, 0, 213), 140.0, "A-rack+70-steer-L", "A-rack+70-steer-R", "TRN-A-pct"),
        ("B", "", 120.0, "B-rack-60-steer-L", "B-rack-60-steer-R", "TRN-B-pct"),
    ],
)
def test_locks_are_as_published(case: str, place: str, travel: float, inner: str, outer: str, percent: str) -> None:
    book = Locks(case, travel=travel)
    balls = [book.features[f"corner.{side}"].values["inner-ball"].word.split(", ") for side in ("left", "right")]
    seat = place or at(float(balls[0][0]), 0, float(balls[0][2]))
    left, right = found(run(book, asks(lock="20 deg"), place=seat), "turn-01")
    for name, fact in (("inner_left", inner), ("outer_left", outer), ("ackermann_left", percent)):
        row = FACTS[fact]
        assert left.figures[name].value == pytest.approx(float(row["value"]), abs=float(row["tolerance"]), rel=0)
    assert right.figures["inner_right"].value == pytest.approx(left.figures["inner_left"].value, abs=1e-6)


@pytest.mark.parametrize(("lock", "verdict"), [("35 deg", FITS), ("36 deg", DOES_NOT_FIT)])
def test_a_least_lock_that_the_kit_states_is_a_limit(lock: str, verdict: Verdict) -> None:
    report = run(Locks(), asks(lock=lock))
    left, right = found(report, "turn-01")
    assert (left.verdict, right.verdict) == (verdict, verdict)
    told = f"the inner wheel stands at 35.3 deg and the outer at 34.7 deg, where the kit asks for {lock} of the inner"
    assert left.because == f"at left lock {told} wheel"
    assert left.joint == ("NORTH/RK-2", f"{CAR} left front wheel at left lock")
    assert found(report, "turn-02") == []
    assert lines(report)[-1].endswith('; turning_circle = "11000 mm" in [limits] would be one')


def test_a_bar_off_its_middle_has_its_published_circle_and_fails_to_one_side_only() -> None:
    book = Locks()
    circle = float(FACTS["TRN-A-D-78"]["value"]) * 1000 + 155.0
    report = run(book, asks("30 deg", "8500 mm"), 'bar_offset = "-8 mm"', place=at(125, 8, 213))
    left, right = found(report, "turn-02")
    assert left.figures["kerb_to_kerb_left"].value == pytest.approx(circle, abs=0.1)
    assert (left.verdict, right.verdict) == (FITS, DOES_NOT_FIT)
    assert (left.joint[1], right.joint[1]) == (
        f"{CAR} right front wheel at left lock",
        f"{CAR} left front wheel at right lock",
    )
    assert right.because == "the circle kerb to kerb to the right is 9676 mm, where the kit allows 8500 mm"
    assert {one.verdict for one in found(report, "turn-01")} == {FITS}
    assert lines(report) == []


def test_a_knuckle_that_stops_sooner_counts() -> None:
    book = Locks()
    book.stop(1, stop_in=30.0)
    book.stop(2, stop_in=33.0)
    left, right = found(run(book, asks(lock="32 deg")), "turn-01")
    # the stop is counted from straight ahead, and 0.125 deg of toe-in is part of where the wheel stands
    assert left.figures["inner_left"].value == pytest.approx(30.0, abs=0.3)
    assert right.figures["inner_right"].value == pytest.approx(33.0, abs=0.3)
    assert (left.verdict, right.verdict) == (DOES_NOT_FIT, FITS)
    book.stop(1, stop_in=50.0)
    assert found(run(book, asks(lock="35 deg")), "turn-01")[0].verdict is FITS


def test_a_stop_that_nobody_measured_lets_nothing_pass() -> None:
    book = Locks()
    book.stop(1)
    (left, _), (circle, _) = (found(run(book, asks("30 deg", "11 m")), rule) for rule in ("turn-01", "turn-02"))
    assert (left.verdict, circle.verdict) == (NOT_KNOWN, NOT_KNOWN)
    assert ("NORTH/KN-1 body", "stop-in") in [(gap.feature, gap.dimension) for gap in left.gaps]
    assert left.figures["inner_left"].value == pytest.approx(35.3, abs=0.1)
    assert {one.verdict for one in found(run(book, asks("36 deg", "5 m")), "turn-01")} == {DOES_NOT_FIT}
    assert {one.verdict for one in found(run(book, asks("36 deg", "5 m")), "turn-02")} == {DOES_NOT_FIT}
    assert "; not counted, for want of a reading: NORTH/KN-1 body stop-in" in lines(run(book))[0]


def test_steer_shows_what_check_shows_at_the_first_stop_and_says_which_it_is() -> None:
    book = Locks()
    book.stop(1, stop_in=30.0, side="left")
    book.stop(2, stop_in=33.0, side="right")
    limits = asks("32 deg", "11 m")
    checked: dict[str, float] = {}
    for rule in ("turn-01", "turn-02"):
        for one in found(run(book, limits), rule):
            checked |= {name: figure.value for name, figure in one.figures.items()}
    told = compare(book, text(f"{at(125, 0, 213)}\n{KNUCKLES}{limits}")).proposals[0].told
    for ours, theirs in (("lock-{}-inner", "inner_{}"), ("lock-{}-outer", "outer_{}"), ("kerb-{}", "kerb_to_kerb_{}")):
        for side in ("left", "right"):
            assert told.results[ours.format(side)].value == pytest.approx(checked[theirs.format(side)], abs=1e-6)
    # turns are those that the wheel has: the travel between the stops over the rack's speed
    turns, travel, speed = (told.results[name].value for name in ("turns", "travel", "speed"))
    assert turns == pytest.approx(travel / speed, abs=1e-9)
    assert 110.0 < travel < 135.0  # of the rack's own 140
    assert [note for note in told.notes if "a knuckle's stop acts before the rack's, with" in note]
    # the car as it came has the same knuckles, and the same stops
    book.own = {**book.own, **{name: book.parts[name] for name in book.knuckles}}
    came = compare(book).original.told
    assert came.results["lock-left-inner"].value == pytest.approx(30.0, abs=0.3)
    assert came.results["lock-right-inner"].value == pytest.approx(33.0, abs=0.3)


def test_steer_says_which_stops_it_does_not_count() -> None:
    book = Locks()
    book.stop(1)
    told = compare(book, text(f"{at(125, 0, 213)}\n{KNUCKLES}")).proposals[0].told
    assert told.results["lock-left-inner"].value == pytest.approx(35.3, abs=0.1)
    assert [note for note in told.notes if note.startswith("stops not counted")] == [
        "stops not counted, for want of a reading: NORTH/KN-1 body stop-in, NORTH/KN-1 body stop-out; a lock may end "
        "sooner"
    ]
    book.stop(1, stop_position="none")
    notes = compare(book, text(f"{at(125, 0, 213)}\n{KNUCKLES}")).proposals[0].told.notes
    assert not [note for note in notes if "stop" in note]


def test_without_a_limit_the_figures_stand_beside_the_original_and_no_verdict() -> None:
    book = Locks()
    book.say("body", turning_circle=8600.0)
    for side in ("left", "right"):
        book.say(f"corner.{side}", **{"lock-inner": 37.0, "lock-outer": 32.0})
    report = run(book)
    assert not [joint for joint in report.joints if joint.id == "ackermann"]
    told = (
        "lock the inner wheel stands at 35.3 deg and the outer at 34.7 deg (u 0.0 deg; as the car came 37.0 deg and "
        "32.0 deg), Ackermann 7 %, circle kerb to kerb 8604 mm (u 2 mm; as the car came 8600 mm)"
    )
    assert lines(report) == [
        f"at left {told}",
        f"at right {told}",
        'no verdict, as the kit states no limit and none has authority; lock_least = "30 deg" and turning_circle = '
        '"11000 mm" in [limits] would be one',
    ]


def test_what_is_missing_for_a_figure_is_named() -> None:
    book = Locks()
    kept = {name: use for name, use in book.features["body"].values.items() if name not in ("tyre", "rolling-radius")}
    book.features["body"] = replace(book.features["body"], values=kept)
    assert lines(run(book))[0].endswith(
        f"Ackermann not known: {CAR} body rolling-radius: no reading, circle kerb to kerb (not known: {CAR} body "
        "rolling-radius, tyre: no reading)"
    )
    (left, _) = found(run(book, asks(circle="11 m")), "turn-02")
    assert left.verdict is NOT_KNOWN
    assert {gap.dimension for gap in left.gaps} == {"rolling-radius", "tyre"}
    book.forget("arm-eye", sides=("right",))
    assert lines(run(book))[0].startswith(f"left lock not known: {CAR} corner.right arm-eye: no reading")


def test_a_lock_past_dead_centre_is_named() -> None:
    report = run(Locks(travel=240.0))
    assert (
        "the tie rod does not reach the arm beyond 113.4 mm of bar to the left; the stop is at 120.0 mm"
        in (lines(report)[0])
    )
    left, right = found(run(Locks(travel=240.0), asks(lock="20 deg")), "turn-01")
    assert (left.verdict, right.verdict) == (NOT_KNOWN, NOT_KNOWN)


def test_where_nothing_tells_it_is_not_checked_but_a_stated_limit_asks() -> None:
    bare = Locks()
    bare.features = {}
    assert lines(run(bare)) == [f"{CAR} has no surveyed points"]
    assert lines(run(Locks(), place=""))[0].startswith("the kit does not say where the rack sits: write position")
    for book, place in ((bare, at(125, 0, 213)), (Locks(), "")):
        (left, _) = found(run(book, asks(lock="30 deg"), place=place), "turn-01")
        assert left.verdict is NOT_KNOWN
        assert left.gaps


def test_the_rules_have_their_pages_and_limits() -> None:
    assert {rule.code for rule in RULES} <= {rule.code for rule in kit_rules()}
    assert {"lock_least", "turning_circle"} <= default_limits().keys()
