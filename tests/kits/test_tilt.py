"""Tilt of the ball joints over bump and lock; every part and car is invented.

The cars are the invented cases A (double wishbone) and C of the published poses: bump and rebound 60 mm, rack 70 mm
either way, their rack where its inner balls were surveyed.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.catalogue.found import FoundVehicle
from fitment.doubt import Draws
from fitment.finding import Basis, Finding, Use, Verdict
from fitment.geometry.suspension import upper_end
from fitment.joints.registration import Feature
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report import JointSummary, Report
from fitment.kits.tilt_grid import Linkage
from fitment.kits.tilt_rules import RULES
from tests.kits.fakes import Book, stud_kind, thread_kind
from tests.support.corners import hardpoints, published, steering_of
from tests.support.features import feature

DOES_NOT_FIT, NOT_KNOWN, _, FITS = Verdict

NAMES = {
    "lower_inner_front": "lower-front",
    "lower_inner_rear": "lower-rear",
    "lower_ball_joint": "lower-ball",
    "upper_inner_front": "upper-front",
    "upper_inner_rear": "upper-rear",
    "upper_ball_joint": "upper-ball",
    "strut_top_mount": "strut-top",
    "strut_axis_lower_point": "strut-lower",
    "tie_rod_outer": "arm-eye",
    "wheel_centre": "wheel-centre",
}
POSES = {row["id"]: row for row in published("kinematics_poses")}

SIDE = 'tie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\nknuckle = "NORTH/KN-1"\n'
SPHERICAL = SIDE.replace('rod_end = "NORTH/RE-3"', 'spherical_rod_end = "NORTH/SR-1"')
STATED = 'tilt_inner = "20 deg"\ntilt_outer = "18 deg"\n'


def car(case: str, without: tuple[str, ...] = (), u: float = 0.5) -> FoundVehicle:
    corners = {}
    for side in ("left", "right"):
        name = f"NORTH/V-1 corner.{side}"
        values = dict(feature(name, "corner", 0.3, bump=60.0, rebound=60.0).values)
        for point, at in hardpoints(case)[side].items():
            if point in NAMES:
                text = f"{at.x}, {at.y}, {at.z}"
                values[NAMES[point]] = Use(name, NAMES[point], text, u, "mm", Basis.MEASURED, source="survey")
        kept = {key: use for key, use in values.items() if key not in without}
        corners[f"corner.{side}"] = Feature(name, "corner", kept)
    return FoundVehicle("NORTH/V-1", "Kestrel 12 (invented)", corners)


class Shelf(Book):
    """A catalogue whose rack spans the car's inner balls, and joints of 30 deg inside and 35 deg outside."""

    def __init__(self, case: str = "A", without: tuple[str, ...] = (), u: float = 0.5) -> None:
        super().__init__()
        self.target = car(case, without, u)
        inner = hardpoints(case)["left"]["tie_rod_inner"]
        self.seat = f'position = {{x = "{inner.x} mm", y = "0 mm", z = "{inner.z} mm"}}'
        self.put("NORTH/RK-7", "body", "rack-body", bar_length=2 * float(inner.y) - 40.0, travel=140.0)
        self.put("NORTH/TR-2", "body", "rod-body", ball_offset=20.0, tilt=30.0)
        self.put("NORTH/RE-3", "stud", "stud", tilt=35.0)
        self.put("NORTH/KN-1", "eye", "eye", tilt=1.5)

    def put(self, reference: str, end: str, kind: str, **values: float | str) -> None:
        found = self.parts[reference]
        made = feature(f"{reference} {end}", kind, 0.2, 0.0, Basis.MEASURED, (), **values)
        self.parts[reference] = replace(found, features={**found.features, end: made})

    def find_vehicle(self, reference: str) -> FoundVehicle:
        super().find_vehicle(reference)
        return self.target


def run(book: Book, facts: str = "", seat: str | None = "", side: str = SIDE) -> Report:
    place = book.seat if seat == "" and isinstance(book, Shelf) else seat or ""
    head = f'name = "Tilt"\ntarget = "NORTH/V-1"\n[rack]\npart = "NORTH/RK-7"\n{place}\n'
    text = f"{head}[left]\n{side}{facts}[right]\n{side}{facts}"
    kinds = {kind.name: kind.kind for kind in (thread_kind(), stud_kind())}
    return check(read_kit(text.encode(), "kit.toml", None), book, Draws(400), kinds)


def tilts(report: Report) -> dict[str, JointSummary]:
    return {joint.side: joint for joint in report.joints if joint.id.endswith(".tilt")}


def tilt(report: Report, rule: str, side: str = "left") -> Finding:
    (found,) = [one for one in tilts(report)[side].findings if one.rule == rule]
    return found


def left_out(report: Report) -> str:
    (line,) = [line for line in report.not_checked if line.startswith("tilt of the ball joints")]
    return line


def test_the_pages_are_complete() -> None:
    assert [rule.code for rule in RULES] == ["tilt-01", "tilt-02"]


@pytest.mark.parametrize("case", ["A", "B", "C"])
def test_the_published_extremes_over_the_grid(case: str) -> None:
    steering = steering_of(case)
    corner, rack = steering.left, steering.rack
    axis = (upper_end(corner.links) - corner.links.lower_ball).unit()
    # the published stud stands upright: off the axis by the axis' own lean, the other way
    lean, azimuth = math.degrees(math.acos(float(axis.z))), math.degrees(math.atan2(-float(axis.y), -float(axis.x)))
    origin, bar = rack.origin, rack.direction
    place = (origin.x, origin.y, origin.z, bar.x, bar.y, bar.z, float(rack.spacing) / 2)
    linkage = Linkage(1)
    inner, outer = linkage(corner, *place, 60.0, 60.0, 70.0, 70.0, lean, azimuth)
    assert inner == pytest.approx(float(POSES[f"JNT-{case}-inner"]["value"]), abs=1e-6)
    assert outer == pytest.approx(float(POSES[f"JNT-{case}-outer"]["value"]), abs=1e-6)
    many = linkage(corner, *(np.full(3, value) for value in (*place, 60.0, 60.0, 70.0, 70.0, lean, azimuth)))
    assert many == pytest.approx(np.array([[inner] * 3, [outer] * 3]))


@pytest.mark.parametrize("case", ["A", "C"])
def test_both_joints_with_their_numbers(case: str) -> None:
    report = run(Shelf(case), 'eye_leans = "out"\n')
    expected = float(POSES[f"JNT-{case}-inner"]["value"])
    for side in ("left", "right"):
        found = tilt(report, "tilt-02", side)
        assert found.verdict is FITS
        assert found.figures["needed_tilt"].value == pytest.approx(expected, abs=1e-4)
        assert found.margin is not None
        assert found.margin.value == pytest.approx(30 - expected, abs=0.1)
        assert found.margin.u > 0.1
        assert tilt(report, "tilt-01", side).verdict is FITS


def test_the_sentence_says_where() -> None:
    assert tilt(run(Shelf()), "tilt-02").because == (
        "the left inner joint must tilt 15.9 deg (at 60.00 mm of bump with the bar 70.00 mm to the left); "
        "30.0 deg is its limit"
    )


def test_a_bar_that_stands_off_its_middle_goes_farther_one_way() -> None:
    book = Shelf()
    place = f'{book.seat}\nbar_offset = "10 mm"'
    found = tilt(run(book, seat=place), "tilt-02")
    assert "the bar 80.00 mm to the right" in found.because
    other = tilt(run(book, seat=place.replace('"10 mm"', '"-10 mm"')), "tilt-02", "right")
    assert "the bar 80.00 mm to the left" in other.because
    assert other.figures["needed_tilt"].value == pytest.approx(found.figures["needed_tilt"].value)


def test_seeded_failures() -> None:
    book = Shelf()
    book.put("NORTH/TR-2", "body", "rod-body", ball_offset=20.0, tilt=14.0)
    book.put("NORTH/RE-3", "stud", "stud", tilt=12.0)
    report = run(book)
    assert tilt(report, "tilt-02").verdict is DOES_NOT_FIT
    assert tilt(report, "tilt-01").verdict is DOES_NOT_FIT
    assert report.verdict is DOES_NOT_FIT


def test_an_eye_that_leans_an_unknown_way_may_do() -> None:
    book = Shelf()
    book.put("NORTH/KN-1", "eye", "eye", tilt=8.0)
    book.put("NORTH/RE-3", "stud", "stud", tilt=25.0)
    found = tilt(run(book), "tilt-01")
    # 22.3 deg along the axis: up to 30.3 or down to 14.3, as it leans
    assert found.verdict is NOT_KNOWN
    assert found.figures["needed_tilt"].value == pytest.approx(22.266 + 8, abs=0.01)
    assert found.figures["least_tilt"].value == pytest.approx(22.266 - 8, abs=0.01)
    assert "write eye_leans in [left]" in found.gaps[0].why
    said = {word: tilt(run(book, f'eye_leans = "{word}"\n'), "tilt-01") for word in ("in", "out")}
    assert said["in"].figures["needed_tilt"].value > 25.0 > said["out"].figures["needed_tilt"].value
    assert said["in"].verdict is DOES_NOT_FIT


def test_what_is_missing_is_named() -> None:
    found = tilt(run(Shelf(without=("upper-rear",))), "tilt-02")
    assert found.verdict is NOT_KNOWN
    assert [(gap.feature, gap.dimension) for gap in found.gaps] == [("NORTH/V-1 corner.left", "upper-rear")]
    for lacking in ("bump", "rebound", "wheel-centre"):
        assert lacking in [gap.dimension for gap in tilt(run(Shelf(without=(lacking,))), "tilt-01").gaps]
    book = Shelf()
    book.put("NORTH/RE-3", "stud", "stud")
    book.put("NORTH/KN-1", "eye", "eye")
    assert [gap.dimension for gap in tilt(run(book), "tilt-01").gaps] == ["tilt", "tilt"]


def test_a_rack_that_takes_the_linkage_past_its_reach_is_not_known() -> None:
    book = Shelf()
    book.put("NORTH/RK-7", "body", "rack-body", bar_length=560.0, travel=400.0)
    found = tilt(run(book), "tilt-02")
    assert found.verdict is NOT_KNOWN
    assert "the tie rod does not reach the arm" in found.because


def test_stated_extremes_stand_in_for_the_survey() -> None:
    book = Book()
    book.parts.update(Shelf().parts)
    report = run(book, STATED)
    assert tilt(report, "tilt-02").because == (
        "the left inner joint must tilt 20.0 deg (as the kit states); 30.0 deg is its limit"
    )
    assert {tilt(report, rule).verdict for rule in ("tilt-01", "tilt-02")} == {FITS}
    assert tilt(run(book, STATED.replace("20", "33")), "tilt-02").verdict is DOES_NOT_FIT
    only = tilt(run(book, 'tilt_inner = "20 deg"\n'), "tilt-01")
    assert [gap.why for gap in only.gaps] == ["is not surveyed"]


def test_the_larger_of_survey_and_kit_counts() -> None:
    found = tilt(run(Shelf(), STATED), "tilt-02")
    assert found.figures["needed_tilt"].value == pytest.approx(20.0)
    found = tilt(run(Shelf(), STATED.replace("20", "9")), "tilt-02")
    assert found.figures["needed_tilt"].value == pytest.approx(15.859, abs=0.01)


def test_a_spherical_rod_end_by_its_tilt_or_its_sizes() -> None:
    book = Shelf()
    book.put("NORTH/SR-1", "body", "spherical-body", ball_width=14.0, body_width=10.5, face_dia=12.9, head_dia=28.0)
    found = tilt(run(book, STATED, side=SPHERICAL), "tilt-01")
    assert found.verdict is DOES_NOT_FIT
    # DIN ISO 12240-4 series K, bore 10: RODK-M10-A1 and A2 of the published sizes
    assert found.figures["tilt_limit"].value == pytest.approx(7.359, abs=0.001)
    assert found.figures["tilt_to_ball_face"].value == pytest.approx(13.868, abs=0.001)
    book.put("NORTH/SR-1", "body", "spherical-body", tilt=35.0)
    assert tilt(run(book, STATED, side=SPHERICAL), "tilt-01").verdict is FITS


def test_where_nothing_tells_it_is_not_checked() -> None:
    assert "the suspension of NORTH/V-1 is not surveyed; state tilt_inner" in left_out(run(Book()))
    assert "the kit does not say where the rack sits" in left_out(run(Shelf(), seat=None))
    arm_only = Shelf(without=tuple(set(NAMES.values()) - {"arm-eye"} | {"bump", "rebound"}))
    assert not tilts(run(arm_only))


def test_points_in_one_place_are_told() -> None:
    book = Shelf()
    corner = book.target.features["corner.left"]
    ball = corner.values["lower-ball"]
    same = {**corner.values, "upper-ball": replace(corner.values["upper-ball"], value=ball.value)}
    book.target = replace(book.target, features={**book.target.features, "corner.left": replace(corner, values=same)})
    found = tilt(run(book), "tilt-02")
    assert found.verdict is NOT_KNOWN
    assert "fall together: measure them again" in found.because


@given(st.floats(0.0, 12.0), st.floats(-180.0, 180.0))
def test_an_eye_never_asks_for_more_than_its_own_lean(lean: float, azimuth: float) -> None:
    steering = steering_of("A")
    origin, bar = steering.rack.origin, steering.rack.direction
    place = (origin.x, origin.y, origin.z, bar.x, bar.y, bar.z, float(steering.rack.spacing) / 2)
    travel = (60.0, 60.0, 70.0, 70.0)
    straight = Linkage(1)(steering.left, *place, *travel, 0.0, 0.0)[1]
    leaning = Linkage(1)(steering.left, *place, *travel, lean, azimuth)[1]
    assert abs(leaning - straight) <= lean + 1e-9
