"""The scrapyard card of a rack from a target's survey; the car is case A of the published hardpoints, invented."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.found import FoundPart, FoundVehicle
from fitment.doubt import Draws
from fitment.finding import Basis, Use
from fitment.geometry.direction import BAR, SHAFT, bar_moves
from fitment.geometry.ideal_inner import ideal_inner
from fitment.geometry.rack import rack_between
from fitment.geometry.steering import set_rods, wheels
from fitment.joints.registration import Feature
from fitment.kits.card_row import CardRow
from fitment.kits.donor_card import Card, rack_card
from tests.support.corners import hardpoints, mirrored, steering_of
from tests.support.features import feature

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
DRAWS = Draws(count=2000)


def use(name: str, dimension: str, value: float | str, u: float | None = None, unit: str | None = None) -> Use:
    return Use(f"TEST/V-1 {name}", dimension, value, u, unit, Basis.MEASURED, source="survey")


def corner(case: str, side: str, u: float) -> Feature:
    name = f"corner.{side}"
    at = {
        POINTS[point]: use(name, POINTS[point], f"{v.x}, {v.y}, {v.z}", u, "mm")
        for point, v in hardpoints(case)[side].items()
    }
    toe, camber = steering_of(case).left.toe, steering_of(case).left.camber
    angles = {"toe": toe, "camber": camber, "lock-inner": 30.0}
    told = {angle: use(name, angle, float(value), 0.0, "deg") for angle, value in angles.items()}
    return Feature(f"TEST/V-1 {name}", "corner", at | told)


def car(case: str = "A", u: float = 0.1, **words: str) -> FoundVehicle:
    """A car surveyed all round; its points good to `u` mm in each coordinate."""
    said = {"arm_position": "front-steer" if case == "A" else "rear-steer", "drive_side": "RH"} | words
    body = {name.replace("_", "-"): use("body", name.replace("_", "-"), word) for name, word in said.items() if word}
    features = {
        "body": Feature("TEST/V-1 body", "vehicle-body", body),
        "corner.left": corner(case, "left", u),
        "corner.right": corner(case, "right", u),
    }
    return FoundVehicle("TEST/V-1", "invented", features, datums=("the ground",))


def without(vehicle: FoundVehicle, *names: str, sides: tuple[str, ...] = ("left", "right")) -> FoundVehicle:
    features = dict(vehicle.features)
    for side in sides:
        one = features[f"corner.{side}"]
        features[f"corner.{side}"] = replace(one, values={k: v for k, v in one.values.items() if k not in names})
    return replace(vehicle, features=features)


def card_of(
    vehicle: FoundVehicle, *fitted: FoundPart, toe: float = 0.06, turns: tuple[float, float] | None = None
) -> Card:
    return rack_card(vehicle, fitted, toe, turns, DRAWS)


def row(card: Card, what: str) -> CardRow:
    return next(one for one in card.rows if one.what.startswith(what))


@cache
def plain() -> Card:
    return card_of(car())


@pytest.mark.parametrize("case", ["A", "B"])
def test_the_best_spacing_and_height_are_those_of_the_linkage(case: str) -> None:
    steering = steering_of(case)
    ideal = ideal_inner(steering.left, steering.rack.inner_ball(1, 0.0).x, 25.0)
    card = card_of(car(case))
    spacing, height = row(card, "inner-joint spacing"), row(card, "height")
    assert spacing.ideal == pytest.approx(2 * float(ideal.y), abs=0.1)
    assert height.ideal == pytest.approx(float(ideal.z), abs=0.1)
    assert (spacing.low or 0.0) < (spacing.ideal or 0.0) < (spacing.high or 0.0)
    assert height.how.startswith("on the car, above the ground: ")


@pytest.mark.parametrize("case", ["A", "B"])
def test_the_travel_gives_the_lock_that_the_car_has_now(case: str) -> None:
    travel = row(card_of(car(case, u=0.01)), "rack travel")
    given = steering_of(case)
    ideal = ideal_inner(given.left, given.rack.inner_ball(1, 0.0).x, 25.0)
    steering = set_rods(rack_between(ideal, mirrored(ideal)), given.left, given.right)

    def lock(bar: float | None) -> float:
        """The inner wheel's lock with half this travel."""
        return max(abs(float(one.steer)) for one in wheels(steering, (bar or 0.0) / 2))

    assert lock(travel.ideal) == pytest.approx(30.0, abs=0.05)
    assert lock(travel.low) == pytest.approx(28.0, abs=0.1)
    assert lock(travel.high) == pytest.approx(32.0, abs=0.1)


def test_a_coarser_survey_narrows_the_window_and_at_last_shuts_it() -> None:
    widths = []
    for u in (0.1, 0.5, 1.0):
        spacing = row(card_of(car(u=u)), "inner-joint spacing")
        widths.append((spacing.high or 0.0) - (spacing.low or 0.0))
    assert widths == sorted(widths, reverse=True)
    shut = row(card_of(car(u=1.0)), "height")
    assert (shut.known, shut.low, shut.high) == (False, None, None)
    assert shut.rests_on.startswith("no window: the survey leaves more doubt than the limit; survey, u ")
    assert shut.shown("mm").startswith("not known, best 213")


def test_a_tighter_toe_limit_narrows_the_windows() -> None:
    wide, narrow = (row(card_of(car(), toe=limit), "inner-joint spacing") for limit in (0.1, 0.04))
    assert None not in (wide.low, wide.high, narrow.low, narrow.high)
    assert (wide.low or 0) < (narrow.low or 0) < (narrow.high or 0) < (wide.high or 0)
    endless = row(card_of(car(), toe=2.0), "inner-joint spacing")
    assert endless.low is None
    assert endless.shown("mm").endswith(" or less")


def test_one_corner_will_do_and_the_mirror_is_said() -> None:
    one = row(card_of(without(car(), "lower-front", sides=("right",))), "inner-joint spacing")
    assert one.ideal == pytest.approx(row(plain(), "inner-joint spacing").ideal, abs=0.1)
    assert one.rests_on.endswith("the other side is taken as the mirror of the one surveyed")
    assert "mirror" not in row(plain(), "inner-joint spacing").rests_on


def test_what_the_survey_lacks_is_named_and_the_rest_still_answered() -> None:
    card = card_of(without(car(), "upper-front", "upper-rear"))
    spacing = row(card, "inner-joint spacing")
    assert not spacing.known
    assert [gap.dimension for gap in spacing.gaps] == ["upper-front", "upper-rear"]
    assert row(card, "rack travel").known
    assert row(card, "steer type").word == "front-steer"
    nothing = card_of(
        FoundVehicle("TEST/V-2", "", {n: Feature(n, k) for n, k in part_kinds()["vehicle"].features.items()})
    )
    assert [one.what for one in nothing.rows if one.known] == ["rack speed", "bar-end threads", "spline of the pinion"]
    assert nothing.search == []


@pytest.mark.parametrize(("case", "side", "wrong"), [("A", "right", "left"), ("B", "left", "right")])
def test_direction_is_told_as_the_rule_has_it(case: str, side: str, wrong: str) -> None:
    card = card_of(car(case))
    bench = row(card, "which way")
    assert bench.word == f"to the car's {side}, the pinion turned clockwise"
    assert bench.stop.startswith(f"it moves to the {wrong}: the car would steer the wrong way.")
    # the rule's own example: a pinion pointing forward with the bar above it suits front-steer, below it rear-steer
    moves = bar_moves(SHAFT["from behind"], BAR["above" if case == "A" else "below"])
    assert (moves > 0) == (side == "left")


def test_points_settle_the_steer_type_and_a_conflict_is_not_known() -> None:
    assert row(card_of(car(arm_position="")), "steer type").word == "front-steer"
    card = card_of(car(arm_position="rear-steer"))
    for what in ("steer type", "which way"):
        assert not row(card, what).known
        assert row(card, what).gaps[0].why == "in conflict: rear-steer is recorded, the points say front-steer"
    assert not any("steer-type" in word for word in card.search)


def test_hand_and_speed() -> None:
    assert row(plain(), "hand").word == "RH"
    assert row(card_of(car(drive_side="LH")), "hand").stop.startswith("the pinion is not on the left: ")
    assert row(card_of(car(drive_side="")), "hand").gaps[0].dimension == "drive-side"
    speed = row(card_of(car(), turns=(3.0, 3.6)), "rack speed")
    travel = row(plain(), "rack travel").ideal
    assert travel is not None
    assert speed.low == pytest.approx(travel / 3.6)
    assert speed.high == pytest.approx(travel / 3.0)
    assert row(plain(), "rack speed").word == "free"


def test_the_box_less_its_doubt_is_the_room() -> None:
    vehicle = car()
    body = vehicle.features["body"]
    box = {
        "box-min": use("body", "box-min", "100, -400, 150", 1.0, "mm"),
        "box-max": use("body", "box-max", "220, 400, 260", 1.0, "mm"),
    }
    boxed = replace(vehicle, features={**vehicle.features, "body": replace(body, values={**body.values, **box})})
    rooms = {one.dimension: one.high for one in card_of(boxed).rows if one.what.startswith("room")}
    doubt = 2 * 2**0.5
    assert rooms == {
        "envelope-length": pytest.approx(800 - doubt),
        "envelope-height": pytest.approx(110 - doubt),
        "envelope-depth": pytest.approx(120 - doubt),
    }
    assert [gap.dimension for gap in row(plain(), "room").gaps] == ["box-min", "box-max"]


def test_parts_of_the_car_tell_threads_and_spline() -> None:
    joint = feature("TEST/IJ-1 bar-side", "thread-end", thread="M14x1.5", hand="RH")
    end = feature("TEST/CO-1 lower-end", "spline-end", spline=36, od=16.9)
    end = replace(end, values={name: replace(one, shown=f"{one.value:g}") for name, one in end.values.items()})
    card = card_of(
        car(),
        FoundPart("TEST/IJ-1", "inner-joint", False, "", {"bar-side": joint}),
        FoundPart("TEST/CO-1", "column", False, "", {"lower-end": end}),
    )
    assert row(card, "bar-end threads").word == "free; M14x1.5-RH keeps TEST/IJ-1"
    spline = row(card, "spline").word
    assert spline == "free; 36 x 16.9 is that of TEST/CO-1's lower end, the same joint bore at both ends"


def test_hearsay_in_the_survey_is_said_in_the_row() -> None:
    vehicle = car()
    left = vehicle.features["corner.left"]
    weak = replace(left.values["arm-eye"], hearsay=True)
    features = {**vehicle.features, "corner.left": replace(left, values={**left.values, "arm-eye": weak})}
    told = row(card_of(replace(vehicle, features=features)), "inner-joint spacing").rests_on
    assert told.endswith("on hearsay (TEST/V-1 corner.left arm-eye): measure the car first")
    assert "hearsay" not in row(plain(), "inner-joint spacing").rests_on
