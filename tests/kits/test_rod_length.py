"""Length of the tie rods as placed: what the car asks, what the threads give, and what is said where either is missing.

Every part is invented. The car of these tests has its outer balls at (-120, +-560, 230) and its rack at (-120, 0, 230),
so that both rods lie straight across: half the inner-joint spacing is 480/2 + 20 = 260, and each rod must be
560 - 260 = 300 mm. Rod 280 and rod end 42 make 322 with nothing engaged. M14x1.5 asks 14 mm of full thread (1 d, more
than the 12.17 mm computed) and two pitches more, 17 mm: 305 at the longest. The rod end bottoms at 30 mm: 292 at the
shortest. With 3 mm for toe either way 305 - 303 = 2 mm are left to lengthen, 297 - 292 = 5 mm to shorten.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from fitment.catalogue.found import FoundPart, FoundVehicle
from fitment.doubt import Draws
from fitment.finding import Basis, Finding, Use, Verdict
from fitment.geometry import rod_length as geometry
from fitment.joints.registration import Feature
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report import JointSummary, Report
from fitment.kits.report_json import report_object
from fitment.kits.rod_rules import RULES
from fitment.sheets.report_text import report_text
from tests.kits.fakes import Book, part, stud_kind, thread_kind
from tests.kits.test_report import closed, schema
from tests.support.features import changed, feature, trial, without

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict

SEAT = 'position = {x = "-120 mm", y = "0 mm", z = "230 mm"}'
HEAD = f'name = "Rods"\ntarget = "NORTH/V-1"\n[rack]\npart = "NORTH/RK-7"\n{SEAT}\n'
SIDE = 'tie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\nknuckle = "NORTH/KN-1"\n'
RIGHT = SIDE.replace("KN-1", "KN-2")
BOTH = f"{HEAD}[left]\n{SIDE}[right]\n{RIGHT}"
MOUNTED = '[mounting]\ncrossmember = "NORTH/CM-1"'

#: standard uncertainty of a coordinate that a kit states: half a millimetre either way, as a steel rule has it
PLACED = 0.5 / 3**0.5

OUTER = {"left": (-120.0, 560.0, 230.0), "right": (-120.0, -560.0, 230.0)}

Point = tuple[float, float, float]
Points = dict[str, Point]


def point(name: str, dimension: str, at: tuple[float, float, float], u: float = 0.1, hearsay: bool = False) -> Use:
    text = ", ".join(f"{value:.6f}" for value in at)
    return Use(name, dimension, text, u, "mm", Basis.MEASURED, source="survey", hearsay=hearsay)


def vehicle(outer: Points, u: float = 0.1, hearsay: bool = False, datums: tuple[str, ...] = ()) -> FoundVehicle:
    corners = {}
    for side in ("left", "right"):
        name = f"NORTH/V-1 corner.{side}"
        values = {"arm-eye": point(name, "arm-eye", outer[side], u, hearsay)} if side in outer else {}
        corners[f"corner.{side}"] = Feature(name, "corner", values)
    return FoundVehicle("NORTH/V-1", "Kestrel 12 (invented)", corners, (), datums)


class Shelf(Book):
    """A catalogue with the rack, rod and rod end of these tests, each length good to u = 0.05 mm."""

    def __init__(self, target: FoundVehicle | None = None, u: float = 0.05) -> None:
        super().__init__()
        self.target = vehicle(OUTER) if target is None else target
        self.put("NORTH/RK-7", feature("NORTH/RK-7 body", "rack-body", u, bar_length=480.0))
        self.put("NORTH/TR-2", feature("NORTH/TR-2 body", "rod-body", u, length=280.0, ball_offset=20.0))
        for name, sex, depth in (("NORTH/TR-2 outer", "male", 50.0), ("NORTH/RE-3 shank", "female", 30.0)):
            end = feature(name, "thread-end", u, thread="M14x1.5", hand="RH", sex=sex, depth=depth)
            self.put(name.partition(" ")[0], end)
        self.put("NORTH/RE-3", feature("NORTH/RE-3 body", "ball-body", u, centre=42.0))

    def feature(self, name: str) -> Feature:
        reference, _, end = name.partition(" ")
        return self.parts[reference].features[end]

    def put(self, reference: str, one: Feature) -> None:
        found = self.parts[reference]
        end = one.name.removeprefix(f"{reference} ")
        self.parts[reference] = replace(found, features={**found.features, end: one})

    def change(self, name: str, dimension: str, **changes: object) -> None:
        self.put(name.partition(" ")[0], changed(self.feature(name), dimension, **changes))

    def add(self, name: str, **values: float | str) -> None:
        old = self.feature(name)
        more = feature(name, old.kind, 0.05, 0.0, Basis.MEASURED, (), **values)
        self.put(name.partition(" ")[0], replace(old, values={**old.values, **more.values}))

    def take(self, name: str, *dimensions: str) -> None:
        self.put(name.partition(" ")[0], without(self.feature(name), *dimensions))

    def find_vehicle(self, reference: str) -> FoundVehicle:
        super().find_vehicle(reference)
        return self.target


def run(book: Book, text: str = BOTH) -> Report:
    kinds = {kind.name: kind.kind for kind in (thread_kind(), stud_kind())}
    return check(read_kit(text.encode(), "kit.toml", None), book, Draws(2000), kinds)


def rods(report: Report) -> dict[str, JointSummary]:
    return {joint.side: joint for joint in report.joints if joint.id.endswith(".rod-length")}


def rod(report: Report, side: str = "left", rule: str = "rod-03") -> Finding:
    (found,) = [one for one in rods(report)[side].findings if one.rule == rule]
    return found


def gaps(report: Report, side: str = "left") -> list[str]:
    return [f"{gap.feature} {gap.dimension}: {gap.why}" for one in rods(report)[side].findings for gap in one.gaps]


def figure(found: Finding, name: str) -> float:
    return found.figures[name].value


def test_a_rod_of_the_right_length_with_its_numbers() -> None:
    report = run(Shelf())
    found = rod(report)
    assert found.verdict is FITS
    assert found.because == (
        "the left rod must be 300.00 mm ball to ball; set so, 19.00 mm of full thread is engaged and 28.00 mm is out, "
        "at the longest toe setting 16.00 mm where 14.00 mm is asked (1 d); "
        "2.00 mm is left to lengthen and 5.00 mm to shorten"
    )
    assert found.margin is not None
    assert found.margin.value == pytest.approx(2.0, abs=0.02)
    # the doubt: rod, rod end and ball offset 0.05 each, half of the bar's 0.05, y of the outer ball 0.1, and the place
    # that the kit states to 0.5 mm either way
    assert found.margin.u == pytest.approx((3 * 0.05**2 + 0.025**2 + 0.1**2 + PLACED**2) ** 0.5, rel=0.06)
    placed = [use for use in found.uses if use.feature == "kit rack"]
    assert [(use.dimension, use.basis, use.source) for use in placed] == [
        (f"position {axis}", Basis.STATED, "the kit file") for axis in "xyz"
    ]
    told = {name: round(one.value, 6) for name, one in found.figures.items()}
    assert told == {
        "needed_length": 300.0,
        "set_engagement": 22.0,
        "exposed_thread": 28.0,
        "exposed_at_longest": 31.0,
        "exposed_at_shortest": 25.0,
        "full_thread_at_longest": 16.0,
        "range_left_out": 2.0,
        "range_left_in": 5.0,
        "range_total": 13.0,
        "longest": 305.0,
        "shortest": 292.0,
        "length_per_mm_raised": 0.0,
        "full_thread_needed": 14.0,
        "length_per_turn": 1.5,
        "length_per_half_turn": 0.75,
        "left_less_right": 0.0,
        "rack_offset": 0.0,
    }
    assert rods(report)["left"].features == ("NORTH/RK-7 left inner ball", "NORTH/V-1 left outer ball")
    assert [joint.title for joint in rods(report).values()] == ["left tie-rod length", "right tie-rod length"]
    assert not [line for line in report.not_checked if line.startswith("tie-rod length")]


def test_the_rod_that_rises_is_longer() -> None:
    # 40 mm ahead and 75 mm up over 300 mm across: sqrt(300^2 + 75^2 + 40^2) = 311.81; 1 mm more of rise is 75/311.81
    outer = {"left": (-80.0, 560.0, 305.0), "right": OUTER["right"]}
    found = rod(run(Shelf(vehicle(outer))))
    assert figure(found, "needed_length") == pytest.approx(311.8092, abs=1e-4)
    assert figure(found, "length_per_mm_raised") == pytest.approx(0.240532, abs=1e-6)
    assert any(
        "changes the needed length by about 0.24 mm left and 0.00 mm right" in caution for caution in found.cautions
    )


def test_too_short_on_one_side_and_too_long_on_the_other_because_the_rack_sits_off_centre() -> None:
    # 12 mm to the left: the left rod needs 288 and stops at 292, the right one 312 and reaches 305
    report = run(Shelf(), BOTH.replace('y = "0 mm"', 'y = "12 mm"'))
    assert report.verdict is DOES_NOT_FIT
    left, right = rod(report, "left"), rod(report, "right")
    assert left.because == (
        "the left rod must be 288.00 mm ball to ball; with 285.00 mm at the shortest toe setting it stops at "
        "292.00 mm, 30.00 mm engaged: too long by 7.00 mm"
    )
    assert right.because == (
        "the right rod must be 312.00 mm ball to ball; with 315.00 mm at the longest toe setting and 17.00 mm of "
        "thread engaged (14.00 mm of it full, 1 d) it reaches 305.00 mm: too short by 10.00 mm"
    )
    assert figure(right, "left_less_right") == pytest.approx(-24.0)
    assert figure(right, "rack_offset") == pytest.approx(12.0)
    assert any(
        "unequal, 288.00 mm left and 312.00 mm right, with the rack's middle 12.00 mm to the left" in caution
        for caution in report.cautions
    )
    assert report.ruling == "ruled out by left tie-rod length, right tie-rod length"


def test_short_on_one_side_alone() -> None:
    # 3.5 mm to the left: 303.5 + 3 = 306.5 on the right, 1.5 mm more than the thread gives; 296.5 on the left is within
    report = run(Shelf(), BOTH.replace('y = "0 mm"', 'y = "3.5 mm"'))
    assert (rod(report, "left").verdict, rod(report, "right").verdict) == (FITS, DOES_NOT_FIT)
    margin = rod(report, "right").margin
    assert margin is not None
    assert margin.value == pytest.approx(-1.5, abs=0.02)
    # half a millimetre is as much as the place that the kit states may be off
    assert rod(run(Shelf(), BOTH.replace('y = "0 mm"', 'y = "2.5 mm"')), "right").verdict is NOT_KNOWN


def test_the_thread_at_the_longest_is_what_the_limit_asks() -> None:
    # 1.2 d is 16.8 mm of full thread, 19.8 mm in all: 302.2 at the longest, 0.8 mm short of 303
    found = rod(run(Shelf(), f"{BOTH}[limits]\nengagement_factor = 1.2\n"))
    assert found.verdict is DOES_NOT_FIT
    assert "19.80 mm of thread engaged (16.80 mm of it full, 1.2 d) it reaches 302.20 mm: too short" in found.because
    # with 1 mm for toe instead of 3 it is long enough
    assert rod(run(Shelf(), f"{BOTH}[limits]\nengagement_factor = 1.2\ntoe_range = 1\n")).verdict is FITS


def test_a_mark_for_the_least_insertion_counts_where_it_is_deeper() -> None:
    book = Shelf()
    book.add("NORTH/RE-3 shank", witness=18.5)
    assert figure(rod(run(book)), "longest") == pytest.approx(303.5)  # 322 - 18.5
    book.add("NORTH/RE-3 shank", witness=10.0)
    assert figure(rod(run(book)), "longest") == pytest.approx(305.0)


def test_the_jam_nut_takes_its_share_of_a_short_male_thread() -> None:
    book = Shelf()
    book.change("NORTH/TR-2 outer", "depth", value=32.0)
    # none is recorded: half of 14 mm; 32 - 7 = 25 mm can go in, 322 - 25 = 297
    assert figure(rod(run(book)), "shortest") == pytest.approx(297.0)
    book.add("NORTH/TR-2 outer", jam_nut=9.5)
    assert figure(rod(run(book)), "shortest") == pytest.approx(299.5)
    assert rod(run(book)).verdict is DOES_NOT_FIT


def test_the_thread_that_both_ends_differ_in_or_neither_has() -> None:
    book = Shelf()
    book.change("NORTH/RE-3 shank", "thread", value="M14x2")
    assert gaps(run(book)) == [
        "NORTH/RE-3 shank thread: is M14x2, and the rod's is M14x1.5: they have no length together"
    ]
    book.take("NORTH/RE-3 shank", "thread")
    assert rod(run(book)).verdict is FITS  # one that is known tells the other: whether they mate is another rule's
    book.take("NORTH/TR-2 outer", "thread", "sex")
    book.take("NORTH/RE-3 shank", "sex")
    assert gaps(run(book)) == [
        "NORTH/TR-2 outer thread: no reading",
        "NORTH/RE-3 shank thread: no reading",
        "NORTH/TR-2 outer sex: no reading",
        "NORTH/RE-3 shank sex: no reading",
    ]


def test_two_male_ends_have_no_length() -> None:
    book = Shelf()
    book.change("NORTH/RE-3 shank", "sex", value="male")
    assert gaps(run(book)) == ["NORTH/RE-3 shank sex: is male as the rod's is: they have no length together"]


def test_a_male_shank_in_a_female_rod() -> None:
    book = Shelf()
    book.change("NORTH/RE-3 shank", "sex", value="male")
    book.change("NORTH/TR-2 outer", "sex", value="female")
    # now 30 mm is the male thread: 30 - 7 = 23 mm can go in
    assert figure(rod(run(book)), "shortest") == pytest.approx(299.0)


@pytest.mark.parametrize(
    ("name", "dimension"),
    [
        ("NORTH/TR-2 body", "length"),
        ("NORTH/RE-3 body", "centre"),
        ("NORTH/TR-2 outer", "depth"),
        ("NORTH/RE-3 shank", "depth"),
        ("NORTH/RK-7 body", "bar-length"),
        ("NORTH/TR-2 body", "ball-offset"),
    ],
)
def test_what_is_missing_is_named_and_nothing_passes(name: str, dimension: str) -> None:
    book = Shelf()
    book.take(name, dimension)
    report = run(book)
    assert report.verdict is NOT_KNOWN
    for side in ("left", "right"):
        assert f"{name} {dimension}: no reading" in gaps(report, side)


def test_a_side_that_was_not_surveyed_is_not_known_and_the_other_is_told() -> None:
    report = run(Shelf(vehicle({"left": OUTER["left"]})))
    assert rod(report, "left").verdict is FITS
    assert [(one.rule, one.verdict) for one in rods(report)["right"].findings] == [("rod-02", NOT_KNOWN)]
    assert gaps(report, "right") == ["NORTH/V-1 corner.right arm-eye: no reading"]
    # what the assembly reaches is told all the same
    reach = rods(report)["right"].findings[0].figures
    assert (round(reach["longest"].value, 6), round(reach["shortest"].value, 6)) == (305.0, 292.0)


def test_points_of_several_datums_do_not_go_together() -> None:
    report = run(Shelf(vehicle(OUTER, datums=("floor under the left hub", "crossmember hole 1"))))
    assert gaps(report) == [
        "NORTH/V-1 datum: its points are taken from several: floor under the left hub; crossmember hole 1"
    ]


@pytest.mark.parametrize("name", ["NORTH/TR-2 body", "NORTH/V-1"])
def test_hearsay_never_passes(name: str) -> None:
    book = Shelf(vehicle(OUTER, hearsay=name == "NORTH/V-1"))
    if name != "NORTH/V-1":
        book.change(name, "length", hearsay=True)
    report = run(book)
    assert rod(report).verdict is NOT_KNOWN
    assert rod(report).because.startswith("would be 'fits', but NORTH/")
    short = run(book, BOTH.replace('y = "0 mm"', 'y = "12 mm"'))
    assert rod(short).verdict is DOES_NOT_FIT
    assert rod(short).because.endswith("; on hearsay: measure before discarding")
    assert short.ruled_out_by == ()


def test_a_survey_too_coarse_for_the_margin_is_named() -> None:
    report = run(Shelf(vehicle(OUTER, u=1.5)))
    assert rod(report).verdict is NOT_KNOWN
    assert gaps(report) == ["NORTH/V-1 corner.left arm-eye: too coarse for this margin"]


def test_nothing_is_asked_of_a_target_without_points() -> None:
    bare = FoundVehicle("NORTH/V-1", "Kestrel 12 (invented)")
    text = BOTH.replace(f"{SEAT}\n", "")
    report = run(Shelf(bare), text)
    assert report.verdict is FITS
    assert rods(report) == {}
    assert "tie-rod length, left and right: NORTH/V-1 has no surveyed points" in report.not_checked
    # a kit that states where its rack sits asks for the lengths
    assert gaps(run(Shelf(bare))) == ["NORTH/V-1 corner.left arm-eye: no reading"]
    # a point in conflict is a survey too
    corner = Feature("NORTH/V-1 corner.left", "corner", gaps={"arm-eye": "in conflict: two sittings"})
    crossmember = f'{text}[mounting]\ncrossmember = "NORTH/CM-1"\n'
    assert rods(run(Shelf(bare), crossmember)) == {}
    assert rods(run(Shelf(replace(bare, features={"corner.left": corner})), crossmember)) != {}


def test_a_kit_that_says_nothing_of_where_its_rack_sits_is_told_what_to_write() -> None:
    report = run(Shelf(), BOTH.replace(f"{SEAT}\n", ""))
    assert report.verdict is NOT_KNOWN
    assert [one.rule for one in rods(report)["left"].findings] == ["rod-01"]
    assert gaps(report)[0] == (
        "rack place in the car: the kit does not say where it sits: write "
        'position = {x = "0 mm", y = "0 mm", z = "0 mm"} in [rack], or name the crossmember in [mounting]'
    )


def test_a_rack_free_in_a_box_has_no_length_yet() -> None:
    box = 'sits = "free"\nbox = {x = ["0 mm", "1 mm"], y = ["0 mm", "1 mm"], z = ["0 mm", "1 mm"]}'
    report = run(Shelf(), BOTH.replace(SEAT, box))
    assert [one.rule for one in rods(report)["left"].findings] == ["rod-01"]
    assert gaps(report) == [
        "NORTH/RK-7 place in the car: is free in a box, and no place is chosen: "
        'write position = {x = "0 mm", y = "0 mm", z = "0 mm"} in [rack]'
    ]


HOLES = ((-40.0, -176.0, -18.0), (40.0, -176.0, -18.0), (-40.0, 176.0, -18.0), (40.0, 176.0, -18.0))


def mounted(rack: Iterable[Point], crossmember: Iterable[Point], u: float = 0.05) -> Shelf:
    """The shelf with holes in the rack (own coordinates) and in the crossmember (car coordinates)."""
    book = Shelf()
    for name, holes in (("NORTH/RK-7", rack), ("NORTH/CM-1", crossmember)):
        one = Feature(f"{name} mount", "pattern")
        points = {f"hole-{number}": point(one.name, f"hole-{number}", at, u) for number, at in enumerate(holes, 1)}
        book.put(name, replace(one, values=points))
    return book


def seated(at: Point, turn: float = 0.0) -> list[Point]:
    """The holes in the car: where the rack's origin lies, and by how many radians it is turned to the left."""
    c, s = math.cos(turn), math.sin(turn)
    return [(at[0] + c * x - s * y, at[1] + s * x + c * y, at[2] + z) for x, y, z in HOLES]


IN_MOUNT = BOTH.replace(SEAT, MOUNTED)


def test_by_mounting_the_holes_tell_where_the_rack_sits() -> None:
    report = run(mounted(HOLES, seated((-120.0, 2.5, 230.0))), IN_MOUNT)
    # 560 - 2.5 - 260 left, 560 + 2.5 - 260 right
    assert figure(rod(report, "left"), "needed_length") == pytest.approx(297.5, abs=1e-5)
    assert figure(rod(report, "right"), "needed_length") == pytest.approx(302.5, abs=1e-5)
    assert figure(rod(report, "left"), "rack_offset") == pytest.approx(2.5, abs=1e-5)
    assert (rod(report, "left").verdict, rod(report, "right").verdict) == (FITS, DOES_NOT_FIT)
    used = {(use.feature, use.dimension) for use in rod(report).uses}
    assert {("NORTH/RK-7 mount", "hole-1"), ("NORTH/CM-1 mount", "hole-4")} <= used


def test_a_rack_turned_on_its_mounting_takes_its_inner_balls_along() -> None:
    # 0.02 rad to the left: the left inner ball lies at (-120 - 260 sin, 260 cos), 5.1997 back and 259.9480 out; the
    # outer ball 20 mm ahead of the rack is then 25.1997 ahead of it, and would be 14.8003 with the turn the other way
    book = mounted(HOLES, seated((-120.0, 0.0, 230.0), 0.02))
    book.target = vehicle({**OUTER, "left": (-100.0, 560.0, 230.0)})
    found = rod(run(book, IN_MOUNT))
    assert figure(found, "needed_length") == pytest.approx(math.hypot(25.199653, 300.051998), abs=1e-5)


def test_the_doubt_of_the_holes_reaches_the_length() -> None:
    # the middle of four holes is good to half of one: rack and crossmember each 0.4/2, beside what the parts leave
    found = rod(run(mounted(HOLES, seated((-120.0, 0.0, 230.0)), 0.4), IN_MOUNT))
    of_parts = rod(run(Shelf())).margin
    assert found.margin is not None
    assert of_parts is not None
    assert found.margin.u == pytest.approx((of_parts.u**2 - PLACED**2 + 2 * 0.2**2) ** 0.5, rel=0.06)


def test_a_mounting_that_does_not_tell_where_the_rack_sits() -> None:
    assert gaps(run(mounted((), seated((0.0, 0.0, 0.0))), IN_MOUNT))[0].startswith("NORTH/RK-7 mount ")
    assert [one.rule for one in rods(run(Shelf(), IN_MOUNT))["left"].findings] == ["rod-01"]
    adapter = '[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["rack", "mounting.crossmember"]\nends = ["a", "b"]\n'
    report = run(mounted(HOLES, seated((-120.0, 0.0, 230.0))), IN_MOUNT + adapter)
    assert gaps(report)[0].startswith("NORTH/RK-7 place in the car: an adapter stands between rack and crossmember")


def test_crossmember_and_car_from_different_datums() -> None:
    book = mounted(HOLES, seated((-120.0, 0.0, 230.0)))
    book.target = vehicle(OUTER, datums=("left hub",))
    book.parts["NORTH/CM-1"] = replace(book.parts["NORTH/CM-1"], datums=("hole 1",))
    assert gaps(run(book, IN_MOUNT)) == [
        "NORTH/CM-1 datum: its points are taken from hole 1, and the points of NORTH/V-1 from left hub"
    ]
    book.parts["NORTH/CM-1"] = replace(book.parts["NORTH/CM-1"], datums=("left hub",))
    assert rod(run(book, IN_MOUNT)).verdict is FITS


def test_parts_that_are_not_named() -> None:
    report = run(Shelf(), HEAD)
    assert gaps(report) == [
        "left tie rod part: is not named in the kit",
        "left rod end part: is not named in the kit",
    ]
    assert [one.rule for one in rods(report)["left"].findings] == ["rod-03"]


def test_the_spacing_with_joints_of_another_donor() -> None:
    book = Shelf()
    book.take("NORTH/RK-7 body", "bar-length")
    book.add("NORTH/RK-7 body", inner_spacing=520.0, joint_offset=18.5)
    # 520/2 + 20 - 18.5 = 261.5, so that 298.5 is needed
    assert figure(rod(run(book)), "needed_length") == pytest.approx(298.5)
    # the rack's own joint stays where it was measured
    together = trial("assembled-with", "NORTH/RK-7 bar-end.left")
    book.put("NORTH/TR-2", Feature("NORTH/TR-2 inner", "thread-end", trials=(together,)))
    report = run(book)
    assert figure(rod(report, "left"), "needed_length") == pytest.approx(300.0)
    assert figure(rod(report, "right"), "needed_length") == pytest.approx(298.5)
    assert together.use in rod(report, "left").uses


def test_bar_and_spacing_in_conflict() -> None:
    book = Shelf()
    book.add("NORTH/RK-7 body", inner_spacing=524.0, joint_offset=20.0)
    assert gaps(run(book)) == [
        "NORTH/RK-7 body inner-spacing: in conflict: 524.00 mm, but bar-length and twice joint-offset make 520.00 mm"
    ]
    book.add("NORTH/RK-7 body", inner_spacing=520.2)
    assert rod(run(book)).verdict is FITS


WITH_JOINT = BOTH.replace("tie_rod =", 'inner_joint = "NORTH/IJ-1"\ntie_rod =')


def jointed() -> Shelf:
    book = Shelf()
    book.take("NORTH/TR-2 body", "ball-offset")
    book.put("NORTH/IJ-1", feature("NORTH/IJ-1 body", "ball-body", 0.05, ball_offset=20.0))
    book.put("NORTH/TR-2", feature("NORTH/TR-2 inner", "thread-end", 0.05, thread="M14x1.5", sex="male", hand="RH"))
    return book


def test_a_rod_measured_with_another_inner_joint_is_not_known_until_the_kit_says() -> None:
    report = run(jointed(), WITH_JOINT)
    assert gaps(report) == [
        "NORTH/TR-2 body length: is not known with NORTH/IJ-1 on it: write rod_length in [left], "
        "ball centre to thread end with that joint on"
    ]
    stated = WITH_JOINT.replace("inner_joint", 'rod_length = "282 mm"\ninner_joint')
    found = rod(run(jointed(), f"{stated}[limits]\ntoe_range = 1\n"))
    assert figure(found, "longest") == pytest.approx(307.0)  # 282 + 42 - 17
    (use,) = [one for one in found.uses if one.dimension == "rod_length"]
    assert (use.basis, use.source, use.shown) == (Basis.STATED, "the kit file", "282 mm")
    assert use.u == pytest.approx(1 / 3**0.5)  # a steel tape, +-1 mm: common practice, no source


def test_a_rod_taken_together_with_its_inner_joint_keeps_its_length() -> None:
    book = jointed()
    together = trial("assembled-with", "NORTH/TR-2 inner")
    book.put("NORTH/IJ-1", Feature("NORTH/IJ-1 rod-side", "thread-end", trials=(together,)))
    report = run(book, WITH_JOINT)
    assert rod(report).verdict is FITS
    assert together.use in rod(report).uses
    heard = trial("assembled-with", "NORTH/TR-2 inner", hearsay=True)
    book.put("NORTH/IJ-1", Feature("NORTH/IJ-1 rod-side", "thread-end", trials=(heard,)))
    assert rod(run(book, WITH_JOINT)).verdict is NOT_KNOWN


@pytest.mark.parametrize(
    ("thread", "hand", "told"),
    [
        ("M14x1.5", "RH", "are right hand: turned between both jam nuts it changes the length not at all. Keep"),
        ("M12x1.25", "RH", "by 0.25 mm a turn only. Keep the inner jam nut tight, and it changes by 1.50 mm"),
        ("M14x1.5", "LH", "is left hand inside and right hand outside: turned between both jam nuts it changes the "
                          "length by 3.00 mm a turn."),
    ],
)  # fmt: skip
def test_what_turning_the_rod_does(thread: str, hand: str, told: str) -> None:
    book = jointed()
    book.add("NORTH/TR-2 inner", thread=thread, hand=hand)
    stated = WITH_JOINT.replace("inner_joint", 'rod_length = "280 mm"\ninner_joint')
    assert any(told in caution for caution in rod(run(book, stated)).cautions)


AT_END = '[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["left.rod_end", "left.tie_rod"]\nends = ["b", "a"]\n'
AT_JOINT = AT_END.replace("left.rod_end", "left.inner_joint").replace('["b", "a"]', '["a", "b"]')
AT_BAR = AT_JOINT.replace("left.tie_rod", "rack").replace('["a", "b"]', '["b", "a"]')


def adapted(book: Shelf, length: float = 58.0, male: float = 30.0) -> Shelf:
    """The book with an adapter that takes the rod 25 mm deep and goes `male` mm deep into the rod end."""
    book.put("NORTH/AD-1", feature("NORTH/AD-1 body", "adapter-body", 0.05, length=length))
    for end, sex, depth in (("a", "female", 25.0), ("b", "male", male)):
        book.put(
            "NORTH/AD-1",
            feature(f"NORTH/AD-1 {end}", "thread-end", 0.05, thread="M14x1.5", hand="RH", sex=sex, depth=depth),
        )
    return book


#: the left outer ball 40 mm farther out, for the adapter's length less what it takes of two threads
FARTHER = {"left": (-120.0, 600.0, 230.0), "right": OUTER["right"]}


def test_an_adapter_in_the_rod_adds_its_length_less_both_engagements() -> None:
    # 280 + 58 + 42 = 380 with nothing engaged; 17 mm in either end: 346. The rod goes 25 mm in, the rod end takes 30
    # mm home and 30 - 7 = 23 mm with a jam nut. Locked to the rod end and adjusting on the rod: 380 - 30 - 25 = 325 and
    # 25 - 17 - 6 = 2 mm more than toe asks; the other way round 23 - 17 - 6 = 0 mm.
    report = run(adapted(Shelf(vehicle(FARTHER))), BOTH + AT_END)
    found = rod(report)
    assert found.verdict is FITS
    assert found.because == (
        "the left rod must be 340.00 mm ball to ball; set so with NORTH/AD-1 and NORTH/RE-3 screwed together 20.00 mm "
        "deep and locked, 17.00 mm of full thread is engaged and 30.00 mm is out, at the longest toe setting 14.00 mm "
        "where 14.00 mm is asked (1 d); 3.00 mm is left to lengthen and 12.00 mm to shorten"
    )
    assert found.margin is not None
    assert found.margin.value == pytest.approx(2.0, abs=0.02)
    told = {name: figure(found, name) for name in ("longest", "shortest", "set_engagement", "adapter_engagement")}
    assert told == pytest.approx(
        {"longest": 346.0, "shortest": 325.0, "set_engagement": 20.0, "adapter_engagement": 20.0}
    )
    assert any("Of NORTH/AD-1 one end is locked and the other adjusts" in caution for caution in found.cautions)
    assert "NORTH/AD-1 body" in {use.feature for use in found.uses}
    assert rod(report, "right").verdict is FITS
    assert "adapter_engagement" not in rod(report, "right").figures


@pytest.mark.parametrize(
    ("changes", "because"),
    [
        ({"length": 50.0}, "too short by 5.00 mm"),  # 338 at the longest, 343 asked
        ({"length": 72.0}, "too long by 2.00 mm"),  # 339 at the shortest, 337 asked
        # at least 17 mm in the rod end, 12 mm there; 10 mm less at the shortest; 8 mm to adjust with on the rod
        ({"male": 12.0}, "NORTH/AD-1 goes 12.00 mm together with NORTH/RE-3, and 17.00 mm is asked"),
    ],
)
def test_an_adapter_that_does_not_reach(changes: dict[str, float], because: str) -> None:
    found = rod(run(adapted(Shelf(vehicle(FARTHER)), **changes), BOTH + AT_END))
    assert found.verdict is DOES_NOT_FIT
    assert because in found.because


def test_an_adapter_without_thread_to_adjust_with() -> None:
    book = adapted(Shelf(vehicle(FARTHER)))
    book.change("NORTH/AD-1 a", "depth", value=19.0)
    book.change("NORTH/RE-3 shank", "depth", value=20.0)
    found = rod(run(book, BOTH + AT_END))
    assert found.verdict is DOES_NOT_FIT
    assert "3.00 mm of thread to adjust with, where the toe range asks for 6.00 mm" in found.because


@pytest.mark.parametrize("name", ["NORTH/AD-1 body length", "NORTH/AD-1 a depth", "NORTH/AD-1 b depth"])
def test_an_adapter_that_nobody_measured_is_not_known(name: str) -> None:
    book = adapted(Shelf(vehicle(FARTHER)))
    book.take(*name.rsplit(" ", 1))
    report = run(book, BOTH + AT_END)
    assert rod(report).verdict is NOT_KNOWN
    assert f"{name}: no reading" in gaps(report)


def test_an_adapter_of_another_thread_has_no_length_with_the_rod_end() -> None:
    book = adapted(Shelf(vehicle(FARTHER)))
    book.change("NORTH/AD-1 b", "thread", value="M16x1.5")
    assert gaps(run(book, BOTH + AT_END)) == [
        "NORTH/RE-3 shank thread: is M14x1.5, and the adapter's is M16x1.5: they have no length together"
    ]


@given(st.floats(40.0, 90.0), st.floats(18.0, 40.0))
@settings(max_examples=30)
def test_each_mm_of_an_adapter_is_a_mm_of_reach_and_the_split_adds_up(length: float, male: float) -> None:
    found = rod(run(adapted(Shelf(vehicle(FARTHER)), length, male), BOTH + AT_END))
    assert figure(found, "longest") == pytest.approx(280.0 + length + 42.0 - 34.0)
    both = figure(found, "set_engagement") + figure(found, "adapter_engagement")
    assert both == pytest.approx(280.0 + length + 42.0 - 340.0)


def test_an_adapter_behind_the_rod_counts_as_it_is_screwed_together() -> None:
    book = adapted(jointed())
    report = run(book, WITH_JOINT + AT_JOINT)
    assert gaps(report) == [
        "NORTH/TR-2 body length: is not known with NORTH/IJ-1 and NORTH/AD-1 on it: write rod_length in [left], "
        "ball centre to thread end with both on"
    ]
    # taken with the joint 26 mm deep; now 24 and 25 mm of the adapter's 58: 280 + 26 + 58 - 24 - 25 = 315
    together = trial("assembled-with", "NORTH/TR-2 inner")
    book.put("NORTH/IJ-1", Feature("NORTH/IJ-1 rod-side", "thread-end", trials=(together,)))
    assert len(gaps(run(book, WITH_JOINT + AT_JOINT))) == 1
    book.add("NORTH/TR-2 inner", engaged=26.0)
    book.add("NORTH/AD-1 a", engaged=24.0)
    book.add("NORTH/AD-1 b", engaged=25.0)
    found = rod(run(book, WITH_JOINT + AT_JOINT))
    assert figure(found, "longest") == pytest.approx(315.0 + 42.0 - 17.0)
    assert "A rod_length in [left] is taken as measured with NORTH/AD-1 on." in found.cautions
    # without the adapter the rod is as it was taken
    assert figure(rod(run(book, WITH_JOINT)), "longest") == pytest.approx(305.0)


def test_an_adapter_on_the_bar_moves_the_inner_ball() -> None:
    book = adapted(jointed())
    stated = WITH_JOINT.replace("inner_joint", 'rod_length = "270 mm"\ninner_joint', 1)
    assert gaps(run(book, stated + AT_BAR)) == ["NORTH/AD-1 body shoulder-length: no reading"]
    book.add("NORTH/AD-1 body", shoulder_length=12.0)
    found = rod(run(book, stated + AT_BAR))
    assert figure(found, "needed_length") == pytest.approx(288.0)
    assert "NORTH/AD-1 moves the inner ball outwards by its shoulder-length, and is counted so." in found.cautions


def test_a_spherical_rod_end_has_a_centre_too() -> None:
    book = Shelf()
    book.put("NORTH/SR-1", feature("NORTH/SR-1 body", "spherical-body", 0.05, centre=43.0))
    book.put("NORTH/SR-1", replace(book.feature("NORTH/RE-3 shank"), name="NORTH/SR-1 shank"))
    report = run(book, BOTH.replace('rod_end = "NORTH/RE-3"', 'spherical_rod_end = "NORTH/SR-1"', 1))
    assert figure(rod(report), "longest") == pytest.approx(306.0)
    assert any(
        "The rod ends differ, left NORTH/SR-1 and right NORTH/RE-3: ball centre to thread end 43.00 mm and 42.00 mm."
        in caution
        for caution in report.cautions
    )


def test_rod_ends_of_two_kinds_and_a_bar_out_of_the_middle_are_cautions() -> None:
    book = Shelf()
    book.parts["NORTH/RE-4"] = other(book.parts["NORTH/RE-3"], "NORTH/RE-4")
    book.add("NORTH/RE-3 stud", height=17.5)
    book.add("NORTH/RK-7 body", out_left_centre=46.0, out_right_centre=42.0)
    text = BOTH.rpartition("NORTH/RE-3")
    report = run(book, f"{text[0]}NORTH/RE-4{text[2]}")
    assert "The rod ends differ, left NORTH/RE-3 and right NORTH/RE-4: stud height 17.50 mm and not known." in (
        report.cautions
    )
    assert any("stands 46.00 mm out of its housing on the left and 42.00 mm on the right, 2.00 mm off" in caution
               for caution in report.cautions)  # fmt: skip
    assert figure(rod(report), "needed_length") == pytest.approx(300.0)  # the bar's place in its housing moves no ball


def other(found: FoundPart, name: str) -> FoundPart:
    """The same part under another name."""
    features = {end: replace(one, name=f"{name} {end}") for end, one in found.features.items()}
    return replace(part(name, found.kind), features=features)


def test_millimetres_and_inches_are_one_place() -> None:
    inches = SEAT.replace('"-120 mm"', '"-4.724409449 in"').replace('"230 mm"', '"9.055118110 in"')
    one, two = rod(run(Shelf())), rod(run(Shelf(), BOTH.replace(SEAT, inches)))
    assert figure(two, "needed_length") == pytest.approx(figure(one, "needed_length"), abs=1e-6)
    assert two.because == one.because


def lengths(outer: Points, seat: tuple[float, float, float], book: Shelf | None = None) -> dict[str, Finding]:
    shelf = Shelf(u=0.0) if book is None else book
    shelf.target = vehicle(outer, u=0.0)
    x, y, z = (f'"{value:.6f} mm"' for value in seat)
    report = run(shelf, BOTH.replace(SEAT, f"position = {{x = {x}, y = {y}, z = {z}}}"))
    return {side: rod(report, side) for side in ("left", "right")}


near = st.floats(-40.0, 40.0).map(lambda value: round(value, 3))
PLACES = st.tuples(near, near, near)


def moved(at: tuple[float, float, float], by: tuple[float, float, float]) -> tuple[float, float, float]:
    return at[0] + by[0], at[1] + by[1], at[2] + by[2]


@given(shift=PLACES, rack=PLACES)
def test_rack_and_car_moved_together_change_nothing(
    shift: tuple[float, float, float], rack: tuple[float, float, float]
) -> None:
    seat = moved((-120.0, 0.0, 230.0), rack)
    here = lengths(OUTER, seat)
    there = lengths({side: moved(at, shift) for side, at in OUTER.items()}, moved(seat, shift))
    for side in ("left", "right"):
        assert figure(here[side], "needed_length") == pytest.approx(figure(there[side], "needed_length"), abs=1e-5)


@given(left=PLACES, right=PLACES, y=near)
def test_the_mirrored_car_exchanges_the_sides(
    left: tuple[float, float, float], right: tuple[float, float, float], y: float
) -> None:
    outer = {"left": moved(OUTER["left"], left), "right": moved(OUTER["right"], right)}
    turned = {
        "left": (outer["right"][0], -outer["right"][1], outer["right"][2]),
        "right": (outer["left"][0], -outer["left"][1], outer["left"][2]),
    }
    here, there = lengths(outer, (-120.0, y, 230.0)), lengths(turned, (-120.0, -y, 230.0))
    for side, across in (("left", "right"), ("right", "left")):
        assert here[side].verdict is there[across].verdict
        assert figure(here[side], "needed_length") == pytest.approx(figure(there[across], "needed_length"), abs=1e-5)
        assert figure(here[side], "left_less_right") == pytest.approx(
            -figure(there[across], "left_less_right"), abs=1e-5
        )


depths = st.floats(5.0, 80.0)


@given(male=depths, female=depths, more_male=st.floats(0.0, 30.0), more_female=st.floats(0.0, 30.0))
def test_more_thread_never_makes_it_worse(male: float, female: float, more_male: float, more_female: float) -> None:
    def margin(long: float, deep: float) -> float:
        book = Shelf(u=0.0)
        book.change("NORTH/TR-2 outer", "depth", value=long)
        book.change("NORTH/RE-3 shank", "depth", value=deep)
        found = lengths(OUTER, (-120.0, 0.0, 230.0), book)["left"].margin
        assert found is not None
        return found.value

    assert margin(male + more_male, female + more_female) >= margin(male, female) - 1e-9


@given(rod=st.floats(180, 320), end=st.floats(25, 60), engaged=st.floats(5, 60))
def test_engaged_and_length_undo_each_other(rod: float, end: float, engaged: float) -> None:
    assert geometry.engaged_at(rod, end, geometry.assembled_length(rod, end, engaged)) == pytest.approx(engaged)


@pytest.mark.parametrize("text", [BOTH, BOTH.replace('y = "0 mm"', 'y = "12 mm"'), IN_MOUNT])
def test_both_views_show_the_rods_as_they_show_joints(text: str) -> None:
    report = run(Shelf(), text)
    told = json.loads(json.dumps(report_object(report), allow_nan=False))
    Draft202012Validator(closed(schema("check"))).validate(told)
    ids = [joint["id"] for joint in told["joints"]]
    assert [one for one in ids if one.endswith(".rod-length")] == ["left.rod-length", "right.rod-length"]
    printed = " ".join(report_text(report, 80, "mm", True).split())
    found = rods(report)["right"].findings[-1]
    assert f"right tie-rod length: {found.because} [{found.rule}]" in printed


def test_every_rule_can_be_given() -> None:
    given_by = {
        one.rule
        for report in (run(Shelf()), run(Shelf(vehicle({}))), run(Shelf(), BOTH.replace(SEAT, MOUNTED)))
        for joint in rods(report).values()
        for one in joint.findings
    }
    assert given_by == {rule.code for rule in RULES}
