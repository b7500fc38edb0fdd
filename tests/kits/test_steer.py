"""What the car will do: cars of the published hardpoints (invented), surveyed and driven by racks that fakes hold."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import fitment
from fitment.catalogue.found import CameWith, FoundPart, FoundVehicle
from fitment.errors import DataFault, UsageFault
from fitment.finding import Basis, Gap, Use
from fitment.joints.registration import Feature
from fitment.kits.kit_file import read_kit
from fitment.kits.steer import Comparison, steer
from fitment.kits.steer_json import steer_object
from fitment.kits.steering_doubt import FromAdopted
from fitment.kits.steering_results import SteeringResult, result_rows
from fitment.sheets.steer_csv import steer_csv
from fitment.sheets.steer_text import steer_text
from tests.kits import fakes
from tests.support.corners import STATIC, hardpoints, published

POINTS = {
    "lower_inner_front": "lower-front",
    "lower_inner_rear": "lower-rear",
    "lower_ball_joint": "lower-ball",
    "upper_inner_front": "upper-front",
    "upper_inner_rear": "upper-rear",
    "upper_ball_joint": "upper-ball",
    "strut_top_mount": "strut-top",
    "strut_axis_lower_point": "strut-lower",
    "tie_rod_inner": "inner-ball",
    "tie_rod_outer": "arm-eye",
    "wheel_centre": "wheel-centre",
}
FACTS = {row["id"]: row for table in ("kinematics_poses", "kinematics_swap") for row in published(table)}
CAR = "NORTH/V-1"


def use(name: str, dimension: str, value: float | str, u: float = 0.0, unit: str = "mm") -> Use:
    return Use(name, dimension, value, u, unit, Basis.MEASURED, source="survey")


def filled(part: FoundPart, feature: str, u: float = 0.0, **values: float | str) -> FoundPart:
    one = part.features[feature]
    uses = {(d := name.replace("_", "-")): use(one.name, d, value, u) for name, value in values.items()}
    return replace(part, features={**part.features, feature: replace(one, values={**one.values, **uses})})


def rack(name: str, spacing: float, travel: float, u: float = 0.0, speed: float = 44.0) -> FoundPart:
    part = fakes.part(name, "rack")
    return filled(part, "body", u, inner_spacing=spacing, travel=travel, speed=speed, joint_offset=20.0, mass=7.5)


class Car(fakes.Book):
    """A catalogue with a surveyed car of a published case, its own rack and another."""

    def __init__(self, case: str = "A", u: float = 0.0, travel: float = 140.0, bump: float = 60.0):
        super().__init__()
        self.case, self.bump = case, bump
        points = hardpoints(case)
        apart = points["left"]["tie_rod_inner"].y - points["right"]["tie_rod_inner"].y
        rod = filled(fakes.part("NORTH/TR-9", "tie-rod"), "outer", thread="M14x1.5")
        own = [rack("NORTH/RK-1", float(apart), travel, u), filled(rod, "body", ball_offset=20.0, length=250.0)]
        self.own = {part.name: part for part in own}
        self.parts |= self.own
        self.parts["NORTH/RK-2"] = rack("NORTH/RK-2", float(apart), travel, u)
        self.features = {
            "body": Feature(f"{CAR} body", "vehicle-body"),
            **{f"corner.{side}": self.corner(side, u) for side in ("left", "right")},
        }
        self.datums: tuple[str, ...] = ("the ground",)
        self.prices: dict[str, str] = {}
        self.knuckles = {"NORTH/KN-1"}
        self.say("body", wheelbase=2400.0, rolling_radius=290.0, tyre="155 R 13", gear="rack", overhang=300.0)

    def corner(self, side: str, u: float) -> Feature:
        name = f"{CAR} corner.{side}"
        at = {
            POINTS[point]: use(name, POINTS[point], f"{v.x}, {v.y}, {v.z}", u)
            for point, v in hardpoints(self.case)[side].items()
        }
        toe, camber = STATIC[self.case]
        told = {"toe": toe, "camber": camber, "bump": self.bump, "rebound": self.bump}
        return Feature(name, "corner", at | {key: use(name, key, value) for key, value in told.items()})

    def say(self, feature: str, **values: float | str) -> None:
        one = self.features[feature]
        uses = {(d := name.replace("_", "-")): use(one.name, d, value) for name, value in values.items()}
        self.features[feature] = replace(one, values={**one.values, **uses})

    def forget(self, *dimensions: str, sides: tuple[str, ...] = ("left", "right")) -> None:
        for side in sides:
            one = self.features[f"corner.{side}"]
            kept = {name: value for name, value in one.values.items() if name not in dimensions}
            self.features[f"corner.{side}"] = replace(one, values=kept)

    def find_vehicle(self, reference: str) -> FoundVehicle:
        own = frozenset((*self.own, *self.knuckles))
        return replace(super().find_vehicle(reference), features=self.features, datums=self.datums, own=own)

    def came_with(self, vehicle: FoundVehicle) -> CameWith:
        assert vehicle.name == CAR
        return CameWith(tuple(self.own.values()), vehicle.own or frozenset(), self.prices)


def text(rest: str = "", part: str = "NORTH/RK-2", name: str = "test") -> str:
    return f'name = "{name}"\ntarget = "{CAR}"\n[rack]\npart = "{part}"\n{rest}\n'


def at(x: float, y: float, z: float) -> str:
    return f'position = {{x = "{x} mm", y = "{y} mm", z = "{z} mm"}}'


def compare(book: Car, *kits: str, count: int = 40) -> Comparison:
    read = [read_kit(kit.encode(), f"{number}.toml") for number, kit in enumerate(kits, 1)]
    return steer(read or [read_kit(text(at(125, 0, 213)).encode(), "1.toml")], book, 0.06, FromAdopted(count))


def told(book: Car, *kits: str, count: int = 40) -> SteeringResult:
    """The original's result, or that of the one kit."""
    made = compare(book, *kits, count=count)
    return made.proposals[0].told if kits else made.original.told


@cache
def as_it_came(case: str, travel: float = 140.0) -> SteeringResult:
    return told(Car(case, travel=travel))


def value(result: SteeringResult, name: str) -> float:
    return result.results[name].value


#: published figure -> what tells it of the car as it came; a case's travel is twice the bar's displacement
CAME = {
    ("A", 140.0): {
        "A-static-caster": "castor-left",
        "A-static-kpi": "inclination-left",
        "A-static-scrub": "scrub-left",
        "A-static-trail": "trail-left",
        "A-rate0": "steer-per-mm",
        "A-tierod-L": "rod-left",
        "A-tierod-R": "rod-right",
        "A-slope-L": "bump-steer-left",
        "A-slope-R": "bump-steer-right",
        "A-rack+70-steer-L": "lock-left-inner",
        "A-rack+70-steer-R": "lock-left-outer",
        "ALN-wheel-per-mm": "wheel-per-mm",
        "RCK-ratio-A": "ratio-centre",
        "RCK-zero-A": "null-height-left",
        "TRN-A-err": "ackermann-error-left",
        "TRN-A-pct": "ackermann-percent-left",
    },
    ("B", 120.0): {
        "B-static-caster": "castor-left",
        "B-static-kpi": "inclination-left",
        "B-static-scrub": "scrub-left",
        "B-static-trail": "trail-left",
        "B-tierod-L": "rod-left",
        "B-slope-L": "bump-steer-left",
        "B-rack-60-steer-L": "lock-left-inner",
        "B-rack-60-steer-R": "lock-left-outer",
        "RCK-ratio-B": "ratio-centre",
        "RCK-zero-B": "null-height-left",
        "TRN-B-pct": "ackermann-percent-left",
    },
    ("C", 140.0): {
        "C-tierod-L": "rod-left",
        "C-tierod-R": "rod-right",
        "C-slope-L": "bump-steer-left",
        "C-slope-R": "bump-steer-right",
        "C-rack+70-steer-L": "lock-left-inner",
        "C-rack+70-steer-R": "lock-left-outer",
    },
}


@pytest.mark.parametrize(
    ("case", "fact", "name"), [(case, fact, name) for case, facts in CAME.items() for fact, name in facts.items()]
)
def test_the_original_is_as_published(case: tuple[str, float], fact: str, name: str) -> None:
    row = FACTS[fact]
    assert value(as_it_came(*case), name) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]), rel=0)


@pytest.mark.parametrize("case", ["A", "B", "C"])
@pytest.mark.parametrize("what", ["toe", "camber"])
def test_toe_and_camber_over_bump_are_as_published(case: str, what: str) -> None:
    # 7 points either way put the published 60 mm at the ends; the rest stands between
    curve = as_it_came(case).curves[f"{what}-left"]
    straight = STATIC[case][what == "camber"]
    for travel, place in ((-60, 0), (60, -1)):
        row = FACTS[f"{case}-bump{travel:+d}-{what}-L"]
        assert curve.x[place] == travel
        assert curve.y[place] + straight == pytest.approx(float(row["value"]), abs=2e-6)
        way = "bump" if travel > 0 else "rebound"
        assert value(as_it_came(case), f"{what}-{way}-left") == pytest.approx(curve.y[place], abs=1e-9)
    assert curve.y[len(curve.y) // 2] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("up", [-10, -5, 5, 10])
def test_a_rack_higher_or_lower_bumps_as_published(up: int) -> None:
    result = told(Car(bump=25.0), text(at(125, 0, 213 + up)))
    slope, toe = FACTS[f"RCK-height{up:+d}-slope"], FACTS[f"RCK-height{up:+d}-25"]
    assert value(result, "bump-steer-left") == pytest.approx(float(slope["value"]), abs=1e-7)
    assert value(result, "toe-bump-left") == pytest.approx(float(toe["value"]), abs=1e-6)
    # what would null it does not depend on how high the rack sits now: packing makes up for the height
    assert value(result, "packing-left") + up == pytest.approx(float(FACTS["RCK-zero-A"]["value"]) - 213, abs=1e-6)
    middle = (value(told(Car(), text(at(125, 0, 213 + h))), "bump-steer-left") for h in (up + 1, up - 1))
    assert value(result, "per-height-left") == pytest.approx(-(-next(middle) + next(middle)) / 2, rel=1e-6)


@pytest.mark.parametrize("ahead", [-20, 20])
def test_a_rack_farther_ahead_locks_as_published(ahead: int) -> None:
    result = told(Car(travel=120.0), text(at(125 + ahead, 0, 213)))
    for name in ("inner", "outer"):
        row = FACTS[f"RCK-foreaft{ahead:+d}-{name}"]
        assert value(result, f"lock-left-{name}") == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_an_off_centre_bar_makes_locks_unlike_and_an_off_centre_housing_alone_hardly_does() -> None:
    bar = told(Car(), text(f'{at(125, 8, 213)}\nbar_offset = "-8 mm"'))
    for fact, name in (
        ("RCK-lock-A-+78-L", "lock-left-inner"),
        ("RCK-lock-A-+78-R", "lock-left-outer"),
        ("RCK-lock-A--62-R", "lock-right-inner"),
        ("RCK-lock-A--62-L", "lock-right-outer"),
    ):
        assert abs(value(bar, name)) == pytest.approx(abs(float(FACTS[fact]["value"])), abs=1e-6)
    circle = value(bar, "kerb-left") - 155.0
    assert circle / 1000 == pytest.approx(float(FACTS["TRN-A-D-78"]["value"]), abs=1e-4)
    assert value(bar, "wall-left") == pytest.approx(circle + 600.0, abs=1e-6)
    housing = told(Car(), text(at(125, 8, 213)))
    assert abs(value(housing, "lock-left-inner") - value(housing, "lock-right-inner")) < 0.5
    assert value(housing, "rod-left") != pytest.approx(value(housing, "rod-right"), abs=5.0)
    assert value(bar, "rod-left") == pytest.approx(value(bar, "rod-right"), abs=1e-6)


def test_a_tilted_rack_bumps_unlike_on_its_two_sides() -> None:
    tilted = told(Car(), text(f'{at(125, 0, 213)}\ntilt = "1 deg"'))
    # 340 mm from the middle, 1 deg is 5.9 mm: higher on the left, lower on the right
    shift = 340 * math.sin(math.radians(1))
    assert value(tilted, "packing-left") == pytest.approx(value(as_it_came("A"), "packing-left") - shift, abs=0.2)
    assert value(tilted, "packing-right") == pytest.approx(value(as_it_came("A"), "packing-right") + shift, abs=0.2)
    skewed = told(Car(), text(f'{at(125, 0, 213)}\nskew = "1 deg"'))
    # left end forward: both inner balls turn about the middle, 125 mm ahead and 5 mm above the eyes
    along = math.radians(1)
    dx, dy = 340 * math.sin(along), 632 - 340 * math.cos(along)
    assert value(skewed, "rod-left") == pytest.approx(math.hypot(dx, dy, 5.0), abs=1e-9)
    assert value(skewed, "rod-right") == pytest.approx(math.hypot(dx, dy, 5.0), abs=1e-9)
    assert value(skewed, "steer-per-mm") != pytest.approx(value(as_it_came("A"), "steer-per-mm"), rel=1e-6)


def test_rods_are_set_to_the_wanted_toe_and_a_turn_of_one_is_as_published() -> None:
    rods = f'{at(125, 0, 213)}\n[left]\ntie_rod = "NORTH/TR-9"\n[right]\ntie_rod = "NORTH/TR-9"'
    result = told(Car(), text(rods))
    row = FACTS["ALN-turn-A-exact"]
    assert value(result, "toe-per-turn-left") == pytest.approx(abs(float(row["value"])), abs=1e-6)
    assert value(result, "rod-left") == pytest.approx(value(as_it_came("A"), "rod-left"), abs=1e-9)
    more = told(Car(), text(f'{rods}\n[wanted]\ntoe = "0.625 deg"'))
    # rack ahead: half a degree more toe-in asks for a shorter rod
    asked = (value(result, "rod-left") - value(more, "rod-left")) / 1.5 * value(result, "toe-per-turn-left")
    assert asked == pytest.approx(0.5, rel=0.02)


def test_a_wanted_toe_that_is_no_angle_is_refused() -> None:
    with pytest.raises(DataFault) as fault:
        told(Car(), text(f'{at(125, 0, 213)}\n[wanted]\ntoe = "3 mm"'))
    assert (fault.value.place, fault.value.code) == ("1.toml [wanted] toe", "steer-02")


def test_a_pose_out_of_reach_is_refused_with_the_link_and_the_place() -> None:
    result = told(Car(travel=240.0))
    assert "lock-left-outer" not in result.results
    link = "the tie rod does not reach the arm beyond 113.4 mm of bar"
    assert result.gaps["lock-left-outer"] == (
        Gap("right wheel", "lock", f"{link} to the left; the stop is at 120.0 mm"),
        Gap("left wheel", "lock", f"{link} to the right; the stop is at 120.0 mm"),
    )
    assert value(result, "toggle-left") == pytest.approx(113.24 - 120, abs=0.01)
    assert value(result, "bump-steer-left") == value(as_it_came("A"), "bump-steer-left")
    steer_curve = result.curves["steer-left"]
    assert [math.isnan(y) for y in (steer_curve.y[0], steer_curve.y[7])] == [True, False]


def test_a_lock_that_no_bar_gives_and_one_that_only_some_samples_reach() -> None:
    book = Car()
    book.own = {}
    for side, y in (("left", 560), ("right", -560)):
        # a rod of 72 mm on an arm of 119 mm
        book.say(f"corner.{side}", **{"lock-inner": 90.0, "inner-ball": f"125, {y}, 213"})
    assert told(book).gaps["travel"][0].why == "no place of the bar gives the lock that was measured"
    loose = told(Car(u=1.0, travel=226.0), count=200)
    assert [caution for caution in loose.cautions if caution.startswith("left lock, outer (right) wheel: out of reach")]
    assert loose.results["lock-left-outer"].u


def test_travel_beyond_the_links_is_refused_with_the_link_and_the_place() -> None:
    result = told(Car(bump=250.0))
    assert [(gap.feature, gap.why) for gap in result.gaps["toe-rebound-left"]] == [
        ("left wheel", "the upper arm does not reach its ball joint beyond 210.7 mm of rebound; 250 mm is asked"),
    ]
    assert [gap.dimension for gap in result.gaps["camber-bump-right"]] == ["bump"]
    assert value(result, "lock-left-inner") == value(as_it_came("A"), "lock-left-inner")


def test_what_is_certain_has_no_band_and_twice_the_doubt_widens_it() -> None:
    sure = as_it_came("A")
    assert {result.u for result in sure.results.values()} == {0.0}
    assert all(curve.low == curve.y == curve.high for name, curve in sure.curves.items() if name != "ackermann-error")
    once, twice = (told(Car(u=u), count=400) for u in (0.1, 0.2))
    assert [name for name in result_rows() if name in once.results] == [*once.results]
    for name, result in once.results.items():
        # results of the adopted values do not move with the doubt; the mass has doubt of its own
        assert result.value == pytest.approx(value(sure, name), rel=1e-9, abs=1e-12)
        assert (twice.results[name].u or 0.0) == pytest.approx(2 * (result.u or 0.0), rel=0.05, abs=1e-12)
    bump = (once.curves["toe-left"], twice.curves["toe-left"])
    narrow, wide = (curve.high[0] - curve.low[0] for curve in bump)
    assert 0 < narrow < wide == pytest.approx(2 * narrow, rel=0.1)


def test_the_value_that_the_doubt_comes_from_is_named() -> None:
    book = Car(u=0.01)
    corner = book.features["corner.left"]
    coarse = {**corner.values, "inner-ball": replace(corner.values["inner-ball"], u=2.0)}
    book.features["corner.left"] = replace(corner, values=coarse)
    result = told(book, count=300)
    for leading in (result.results["bump-steer-left"], result.curves["toe-left"]):
        assert leading.leading is not None
        assert (leading.leading.feature, leading.leading.dimension) == (f"{CAR} corner.left", "inner-ball")
        assert leading.share > 0.95
    other = result.results["bump-steer-right"].leading
    assert other is not None
    assert other.feature == f"{CAR} corner.right"


def mirrored(book: Car) -> Car:
    for side, feature in ((s, book.features[f"corner.{o}"]) for s, o in (("left", "right"), ("right", "left"))):
        made = {}
        for name, one in feature.values.items():
            if isinstance(one.value, str):
                x, y, z = map(float, one.value.split(","))
                one = replace(one, value=f"{x}, {-y}, {z}")
            made[name] = one
        book.features[f"new.{side}"] = replace(feature, values=made)
    for side in ("left", "right"):
        book.features[f"corner.{side}"] = book.features.pop(f"new.{side}")
    return book


def test_a_car_seen_in_a_mirror_gives_mirrored_results() -> None:
    one, other = told(Car("C")), told(mirrored(Car("C")))
    swap = {"left": "right", "right": "left"}
    for name, result in one.results.items():
        mirror = "-".join(swap.get(word, word) for word in name.split("-"))
        assert value(other, mirror) == pytest.approx(result.value, rel=1e-9, abs=1e-9), name
    assert value(one, "bump-steer-left") != pytest.approx(value(one, "bump-steer-right"), rel=0.01)


def test_an_unknown_suspension_still_answers_for_ratio_and_lock() -> None:
    book = Car()
    book.forget("lower-front", "lower-rear", "upper-front", "upper-rear", "bump", "rebound")
    result = told(book)
    row = FACTS["A-rate0-armfixed"]
    assert value(result, "steer-per-mm") == pytest.approx(float(row["value"]), abs=1e-6)
    assert value(result, "lock-left-inner") == pytest.approx(float(FACTS["A-rack+70-steer-L"]["value"]), abs=0.1)
    assert result.gaps["bump-steer-left"] == tuple(
        Gap(f"{CAR} corner.left", name, "no reading")
        for name in ("lower-front", "lower-rear", "upper-front", "upper-rear")
    )
    assert not [name for name in result.results if "bump" in name or "tilt" in name or "packing" in name]


def test_castor_and_inclination_stand_for_the_upper_ball() -> None:
    book = Car()
    book.forget("lower-front", "lower-rear", "upper-front", "upper-rear", "upper-ball")
    for side in ("left", "right"):
        angles = {name: value(as_it_came("A"), f"{name}-{side}") for name in ("castor", "inclination")}
        book.say(f"corner.{side}", **angles)
    result = told(book)
    assert value(result, "steer-per-mm") == pytest.approx(float(FACTS["A-rate0-armfixed"]["value"]), abs=1e-6)


def test_an_arm_alone_is_taken_upright_and_said_to_be() -> None:
    book = Car()
    book.forget("lower-front", "lower-rear", "lower-ball", "upper-front", "upper-rear", "upper-ball")
    book.parts["NORTH/KN-1"] = filled(book.parts["NORTH/KN-1"], "body", arm_forward=118.0, arm_lateral=15.0)
    sides = "".join(f'\n[{side}]\nknuckle = "NORTH/KN-1"' for side in ("left", "right"))
    result = told(book, text(at(125, 0, 213) + sides))
    assert value(result, "ratio-centre") == pytest.approx(value(as_it_came("A"), "ratio-centre"), rel=0.05)
    assert "castor-left" in result.gaps
    assert result.notes[0].startswith("left steering axis taken as upright, by the arm of NORTH/KN-1")


def test_another_car_s_knuckle_moves_the_eye_by_its_own_arm_or_is_a_gap() -> None:
    sides = "".join(f'\n[{side}]\nknuckle = "NORTH/KN-2"' for side in ("left", "right"))
    book = Car()
    book.parts["NORTH/KN-2"] = fakes.part("NORTH/KN-2", "knuckle")
    unknown = told(book, text(at(125, 0, 213) + sides))
    assert [gap.dimension for gap in unknown.gaps["bump-steer-left"]] == ["arm-forward", "arm-lateral", "arm-height"]
    # the eye of case A on its own axis: 18 mm up, and ahead and outboard of the axis at that height
    k = (-23.0, -45.0, 250.0)
    length = math.sqrt(sum(x * x for x in k))
    foot = [at_ + 18.0 * x / length for at_, x in zip((5.0, 620.0, 190.0), k, strict=True)]
    arm = {"arm_forward": 125 - foot[0], "arm_lateral": 632 - foot[1], "arm_height": 18.0}
    book.parts["NORTH/KN-2"] = filled(book.parts["NORTH/KN-2"], "body", **arm)
    # the middle of the eye is there; its joint hangs below it, and no rod end is named
    unknown = told(book, text(at(125, 0, 213) + sides))
    assert unknown.gaps["bump-steer-left"][0] == Gap("left rod end", "part", "is not named in the kit")
    off = 16 / 2 + 1.5 + 18.0  # half the eye, 15.00 less 14.85 over 1:10, the stud's height
    arm["arm_height"] += off
    eye = {"taper": 0.1, "large": 14.85, "thick": 16.0, "opens": "down", "profile": "tapered"}
    book.parts["NORTH/KN-2"] = filled(filled(book.parts["NORTH/KN-2"], "body", **arm), "eye", **eye)
    stud = {"taper": 0.1, "large": 15.0, "length": 17.0, "height": 18.0}
    book.parts["NORTH/RE-2"] = filled(fakes.part("NORTH/RE-2", "rod-end"), "stud", **stud)
    sides = sides.replace("knuckle", 'rod_end = "NORTH/RE-2"\nknuckle')
    known = told(book, text(at(125, 0, 213) + sides))
    assert value(known, "rod-left") == pytest.approx(value(as_it_came("A"), "rod-left"), abs=0.05)
    assert known.notes[0].startswith("NORTH/KN-2 is another car's knuckle")


def test_an_original_that_is_no_rack_shows_what_was_measured() -> None:
    book = Car()
    book.say("body", gear="box", turns=4.2, rim_force=180.0, rim_play=25.0)
    for side in ("left", "right"):
        angles = {"lock-inner": 36.0, "lock-outer": 30.0, "toe-bump": -0.3, "toe-rebound": 0.2}
        halves = {"half-left": 17.0 if side == "left" else 15.5, "half-right": 15.5 if side == "left" else 17.0}
        book.say(f"corner.{side}", **(angles | halves))
    made = compare(book)
    result = made.original.told
    for name, wanted in (("turns", 4.2), ("lock-left-inner", 36.0), ("lock-left-outer", 30.0), ("rim-force", 180.0)):
        assert (value(result, name), result.results[name].measured) == (wanted, True)
    assert result.gaps["ratio-centre"] == (
        Gap(f"{CAR} body", "gear", "is no rack: lock and ratio are those measured on the car"),
    )
    # the linkage's inner balls stand still in bump: toe over bump follows from the points
    assert value(result, "bump-steer-left") == value(as_it_came("A"), "bump-steer-left")
    curve = result.curves["steer-right"]
    assert (curve.measured, curve.x) == (True, (-2.1, -1.05, 0.0, 1.05, 2.1))
    assert curve.y == pytest.approx((-36.0, -17.0, 0.125, 15.5, 30.0))
    assert {gap.dimension for gap in result.gaps["speed"]} == {"gear"}
    # a measured point is as doubtful as its reading: two standard uncertainties either way
    corner = book.features["corner.right"]
    blunt = replace(corner.values["lock-outer"], u=0.6)
    book.features["corner.right"] = replace(corner, values={**corner.values, "lock-outer": blunt})
    band = compare(book).original.told.curves["steer-right"]
    assert band.high[-1] - band.y[-1] == band.y[-1] - band.low[-1] == pytest.approx(1.2)
    assert band.low[:-1] == band.y[:-1] == band.high[:-1]
    proposal = made.proposals[0].told
    assert value(proposal, "lock-left-inner") == value(as_it_came("A"), "lock-left-inner")
    assert "180*" in steer_text(made, 80, "mm", full=True)


def test_a_measured_lock_that_the_points_do_not_make_is_said() -> None:
    book = Car()
    book.say("corner.left", **{"lock-inner": 30.0})
    assert told(book).cautions == (
        "left lock, inner (left) wheel: 35.3 deg by the points, 30.0 deg as measured",
    )  # fmt: skip


def test_an_original_without_a_rack_on_record_goes_as_far_as_its_measured_locks() -> None:
    book = Car()
    book.own = {}
    for side in ("left", "right"):
        book.say(f"corner.{side}", **{"lock-inner": 35.0})
    result = told(book)
    assert value(result, "lock-left-inner") == pytest.approx(35.0, abs=0.2)
    assert result.gaps["turns"] == (Gap(CAR, "rack", "no rack on record was fitted to it"),)
    assert result.curves["steer-left"].x_unit == "mm"


def test_the_car_s_own_rack_sits_where_it_sat() -> None:
    result = told(Car(), text(part="NORTH/RK-1"))
    assert value(result, "rod-left") == pytest.approx(value(as_it_came("A"), "rod-left"), abs=1e-9)
    assert "NORTH/RK-1 is the car's own rack: it is taken to sit where it sat" in result.notes
    other = told(Car(), text())
    assert "rod-left" not in other.results


def test_a_kit_of_a_target_alone_is_told_what_to_look_for() -> None:
    made = compare(Car(u=0.05), f'name = "wish"\ntarget = "{CAR}"\n')
    asked = made.proposals[0].asked
    assert asked is not None
    assert asked.spacing is not None
    assert asked.height is not None
    assert (asked.spacing.low or 0.0) < asked.spacing.value < asked.spacing.high
    assert "fitment donors rack --wanted NORTH/V-1" in steer_text(made, 80, "mm", full=True)
    assert made.anything


def test_points_of_several_datums_do_not_go_together() -> None:
    book = Car()
    book.datums = ("the ground", "the sill")
    result = told(book)
    assert result.gaps["rod-left"] == (
        Gap(CAR, "datum", "its points are taken from several: the ground; the sill"),
    )  # fmt: skip


def test_nothing_surveyed_nothing_told() -> None:
    book = Car()
    book.own = {}
    book.features = {name: replace(one, values={}) for name, one in book.features.items()}
    made = compare(book, text(part="NORTH/RK-7"))
    assert not made.anything
    assert Gap(f"{CAR} corner.left", "inner-ball", "no reading") in made.original.told.missing


def test_mass_price_and_work_stand_in_the_same_table() -> None:
    book = Car()
    book.prices = {"NORTH/RK-2": "40"}
    result = told(book, text(f'{at(125, 0, 213)}\n[left]\ntie_rod = "NORTH/TR-2"'))
    assert (value(result, "mass"), value(result, "price"), value(result, "work")) == (7.5, 40.0, 0.0)
    assert result.gaps["mass"] == (Gap("NORTH/TR-2 body", "mass", "no reading"),)
    assert result.gaps["price"] == (Gap("NORTH/TR-2", "price", "none on record"),)
    # a knuckle that comes with the kit has no counterpart among what is counted of the original
    book.parts["NORTH/KN-9"] = filled(fakes.part("NORTH/KN-9", "knuckle"), "body", mass=3.0)
    more = told(book, text(f'{at(125, 0, 213)}\n[left]\nknuckle = "NORTH/KN-9"'))
    assert value(more, "mass") == 7.5


def test_kits_for_two_cars_are_not_compared(monkeypatch: pytest.MonkeyPatch) -> None:
    book = Car()
    other = text(at(0, 0, 0)).replace(CAR, "NORTH/V-2")
    first = book.find_vehicle(CAR)
    monkeypatch.setattr(book, "find_vehicle", lambda reference: replace(first, name=reference))
    with pytest.raises(UsageFault) as fault:
        compare(book, text(at(0, 0, 0)), other)
    assert fault.value.message == "2.toml is for NORTH/V-2, and 1.toml for NORTH/V-1"


@cache
def four() -> Comparison:
    kits = [text(at(125, 0, 213 + up), name=f"up {up}") for up in (0, 5, 10)]
    return compare(Car(u=0.3), *kits)


def test_json_is_what_its_schema_says() -> None:
    path = Path(fitment.__file__).parent / "cli" / "schemas" / "steer.schema.json"
    schema = json.loads(path.read_text(encoding="utf-8"))
    for made in (four(), compare(Car(travel=240.0), f'name = "wish"\ntarget = "{CAR}"\n')):
        thing: dict[str, Any] = json.loads(json.dumps(steer_object(made), allow_nan=False))
        Draft202012Validator(schema).validate(thing)
    assert thing["original"]["results"]["bump-steer-left"]["unit"] == "deg/mm"
    assert {"x", "y", "low", "high"} <= thing["original"]["curves"]["toe-left"].keys()


def test_the_table_fits_80_columns_and_holds_every_result() -> None:
    made = four()
    shown = steer_text(made, 80, "mm", full=True)
    assert max(map(len, shown.splitlines())) <= 80
    flat = " ".join(shown.split())
    rows: Mapping[str, Any] = result_rows()
    for name in made.original.told.results:
        assert rows[name].title in flat, name
    # three proposals do not fit beside the original at once: the original stands beside each block
    assert [line.split() for line in shown.splitlines() if line.split()[:1] == ["original"]] == [
        ["original", "A", "B"],
        ["original", "C"],
    ]
    assert f"Doubt by {made.samples} samples of the survey." in shown


def test_inches_are_inches() -> None:
    shown = steer_text(four(), 80, "inch", full=True)
    line = next(line for line in shown.splitlines() if "bar travel" in line)
    assert line.split()[:6] == ["bar", "travel,", "lock", "to", "lock,", "in"]
    assert line.split()[6::2] == ["5.51"] * 3


def test_the_curves_as_a_table() -> None:
    lines = steer_csv(four()).splitlines()
    assert lines[0] == "steering,curve,x,x unit,y,low,high,y unit"
    assert {line.split(",")[0] for line in lines[1:]} == {"original", "up 0", "up 5", "up 10"}
    first = lines[1].split(",")
    assert (first[1], float(first[2]), first[3], first[7]) == ("toe-left", -60.0, "mm", "deg")
    assert float(first[5]) < float(first[4]) < float(first[6])
