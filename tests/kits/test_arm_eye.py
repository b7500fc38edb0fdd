"""The eye of a knuckle that did not come with the car: where its own arm puts it, for every check and for steer."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from fitment.catalogue.found import CameWith, FoundVehicle
from fitment.finding import Finding, Verdict
from fitment.kits.kit_file import read_kit
from fitment.kits.report import Report
from fitment.kits.steer import steer
from fitment.kits.steering_doubt import FromAdopted
from tests.kits.front import Front, text
from tests.kits.test_rod_length import gaps, rod, rods, run
from tests.support.features import feature

KNUCKLE = "NORTH/KN-1 body"
_DIMENSIONS = ("arm-forward", "arm-lateral", "arm-height")
LACKS = [f"{KNUCKLE} {name}: no reading; the survey's eye is that of another knuckle" for name in _DIMENSIONS]
AS_SURVEYED = (
    "Nothing tells whether NORTH/KN-1 came with the car: the eye is taken as surveyed with the car's own knuckle."
)
#: of case A, computed from its published points: lower ball joint, direction up the axis, eye
LOWER, UP, EYE = (5.0, 620.0, 190.0), (-23.0, -45.0, 250.0), (125.0, 632.0, 208.0)


def arm(forward: float = 0.0) -> dict[str, float]:
    """The arm of case A, its eye farther forward by so much."""
    rise = EYE[2] - LOWER[2]
    foot = [at + way * rise / UP[2] for at, way in zip(LOWER, UP, strict=True)]
    height = rise * math.sqrt(sum(way * way for way in UP)) / UP[2]
    # the middle of the eye lies as far above the ball as the ball hangs below it
    return {"arm_forward": EYE[0] - foot[0] + forward, "arm_lateral": EYE[1] - foot[1], "arm_height": height - OFF}


#: half the eye, 1.5 mm of stand-off (15.00 less 14.85 over 1:10), the stud's height: the ball lies below the arm
OFF = -(16.0 / 2 + 1.5 + 18.0)


def seated(book: Front, height: float = 18.0, opens: str = "down") -> None:
    """A stud in the eye of which every size is on record."""
    stud = {"taper": 0.1, "large": 15.0, "length": 17.0, "height": height}
    book.put("NORTH/RE-3", feature("NORTH/RE-3 stud", "stud", 0.01, **stud))
    eye = {"taper": 0.1, "large": 14.85, "thick": 16.0, "opens": opens, "profile": "tapered"}
    book.put("NORTH/KN-1", feature("NORTH/KN-1 eye", "eye", 0.01, **eye))


class Shop(Front):
    """The front axle in a catalogue that says what came with the car, or cannot say (None)."""

    def __init__(self, own: frozenset[str] | None, **values: float) -> None:
        self.own = own
        super().__init__()
        if values:
            self.add(KNUCKLE, **values)

    def renew(self) -> None:
        super().renew()
        self.target = replace(self.target, own=self.own)

    def came_with(self, vehicle: FoundVehicle) -> CameWith:
        return CameWith((), vehicle.own or frozenset())


def needed(report: Report) -> float:
    return rod(report).figures["needed_length"].value


def length_from(forward: float) -> float:
    """Outer to inner ball centre with the eye farther forward by so much, mm."""
    return math.dist((EYE[0] + forward, *EYE[1:]), (125.0, 340.0, 213.0))


def of_rule(report: Report, rule: str) -> list[Finding]:
    return [one for one in report.findings if one.rule == rule]


def cautions(report: Report) -> tuple[str, ...]:
    return rods(report)["left"].findings[-1].cautions


@pytest.mark.parametrize(("own", "values"), [(frozenset({"NORTH/KN-1"}), {}), (None, arm())])
def test_the_car_s_own_knuckle_has_its_eye_where_it_was_surveyed(
    own: frozenset[str] | None, values: dict[str, float]
) -> None:
    report = run(Shop(own, **values), text())
    assert needed(report) == pytest.approx(length_from(0.0), abs=1e-6)
    assert not [one for one in cautions(report) if "knuckle" in one]


def test_a_knuckle_that_is_recorded_as_the_car_s_own_is_not_compared() -> None:
    report = run(Shop(frozenset({"NORTH/KN-1"}), **arm(20.0)), text())
    assert needed(report) == pytest.approx(length_from(0.0), abs=1e-6)


@pytest.mark.parametrize("own", [frozenset({"NORTH/KN-9"}), None])
def test_another_car_s_knuckle_has_its_own_eye_in_check_and_in_steer(own: frozenset[str] | None) -> None:
    book = Shop(own, **arm(20.0))
    seated(book)
    report = run(book, text())
    assert needed(report) == pytest.approx(length_from(20.0), abs=1e-6)
    assert needed(report) - length_from(0.0) > 0.5
    assert any(
        one.startswith("NORTH/KN-1 is another car's knuckle: its arm's eye is moved") for one in cautions(report)
    )
    kit = read_kit(text().encode(), "kit.toml")
    steered = steer([kit], book, 0.06, FromAdopted(20)).proposals[0].told
    assert steered.results["rod-left"].value == pytest.approx(needed(report), abs=1e-6)
    # the arm is longer by so much, and every angle at the stop smaller
    found = []
    for who in ("NORTH/KN-1", "NORTH/KN-9"):
        shop = Shop(frozenset({who}), **arm(20.0))
        seated(shop)
        found.append(of_rule(run(shop, text()), "stop-01")[0])
    ours, other = found
    assert ours.margin is not None
    assert other.margin is not None
    assert other.margin.value != pytest.approx(ours.margin.value, abs=0.5)


@pytest.mark.parametrize("left_out", _DIMENSIONS)
def test_an_arm_that_is_not_all_on_record_is_not_known(left_out: str) -> None:
    values = {name: value for name, value in arm(20.0).items() if name != left_out.replace("-", "_")}
    book = Shop(frozenset(), **values)
    seated(book)
    report = run(book, text())
    assert report.verdict is not Verdict.FITS
    assert gaps(report) == [one for one in LACKS if left_out in one]


def test_without_any_arm_on_record_every_check_of_the_eye_is_not_known() -> None:
    report = run(Shop(frozenset()), text())
    assert gaps(report) == LACKS
    for rule in ("rod-02", "stop-02", "tilt-01", "way-03"):
        found = of_rule(report, rule)
        assert found, rule
        assert {one.verdict for one in found} == {Verdict.NOT_KNOWN}, rule


@pytest.mark.parametrize(
    ("lacks", "gap"),
    [("height", "NORTH/RE-3 stud height: no reading"), ("opens", "kit left stud_enters: is not said")],
)
def test_where_another_knuckle_holds_the_ball_off_its_eye_must_be_known(lacks: str, gap: str) -> None:
    book = Shop(frozenset(), **arm(20.0))
    seated(book)
    book.take("NORTH/RE-3 stud" if lacks == "height" else "NORTH/KN-1 eye", lacks)
    assert gaps(run(book, text())) == [gap]


def test_where_nothing_tells_and_no_arm_is_on_record_the_survey_holds_and_a_caution_says_so() -> None:
    report = run(Shop(None), text())
    assert needed(report) == pytest.approx(length_from(0.0), abs=1e-6)
    assert AS_SURVEYED in cautions(report)


def test_a_doubt_as_large_as_the_difference_is_no_other_knuckle() -> None:
    book = Shop(None, **arm(0.3))  # 0.3 mm, with u = 0.05 mm of arm and 0.1 mm of the points
    assert needed(run(book, text())) == pytest.approx(length_from(0.0), abs=1e-6)


def test_an_arm_length_alone_tells_another_knuckle() -> None:
    report = run(Shop(None, arm_length=140.0), text())
    assert gaps(report) == LACKS


@pytest.mark.parametrize(("side", "other"), [("left", "right"), ("right", "left")])
def test_a_corner_on_the_wrong_side_of_the_car_is_a_gap(side: str, other: str) -> None:
    book = Shop(frozenset({"NORTH/KN-1"}))
    book.points[side] = {name: (x, -y, z) for name, (x, y, z) in book.points[side].items()}
    book.renew()
    report = run(book, text())
    told = f"NORTH/V-1 corner.{side}: lies {other} of the middle: check the sitting's axes"
    assert gaps(report, side) == [told]
    assert {one.verdict for one in of_rule(report, "stop-02")} == {Verdict.NOT_KNOWN}
    kit = read_kit(text().encode(), "kit.toml")
    lacking = steer([kit], book, 0.06, FromAdopted(20)).proposals[0].told.gaps["ratio-centre"]
    assert told in [f"{gap.feature} {gap.dimension}: {gap.why}" for gap in lacking]


def test_a_steering_axis_without_length_is_a_gap() -> None:
    book = Shop(frozenset(), **arm())
    book.points["left"]["upper-ball"] = book.points["left"]["lower-ball"]
    book.renew()
    assert gaps(run(book, text())) == [
        "front corners points: the points of a steering axis fall together: measure them again"
    ]
