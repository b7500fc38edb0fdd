"""Where a point that is not surveyed might lie, and what surveying it is worth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.catalogue.dictionary import dimensions_of
from fitment.catalogue.found import CameWith, FoundVehicle
from fitment.finding import Basis, Use
from fitment.joints.registration import Feature
from fitment.kits.filled import FilledDraws
from fitment.kits.kit_file import read_kit
from fitment.kits.measure_next import measure_next
from fitment.kits.plausible import DRAWN, Plausible
from fitment.kits.plausible_points import _table, plausible_point
from fitment.kits.tasks import Thing, task_of
from fitment.kits.worlds import Worlds, worlds_of
from fitment.quantity.points import point_of, point_text
from tests.support.good_kit import CAR, Mix, good

CORNER = dimensions_of("corner")
LEFT, RIGHT = f"{CAR} corner.left", f"{CAR} corner.right"


def corner(name: str, **points: tuple[float, float, float]) -> Feature:
    uses = {
        key.replace("_", "-"): Use(
            name, key.replace("_", "-"), point_text(at), 1.0, "mm", Basis.MEASURED, source="own measurement"
        )
        for key, at in points.items()
    }
    return Feature(name, "corner", uses)


def might(feature: Feature, name: str, *others: Feature) -> Plausible | None:
    return plausible_point(feature, CORNER[name], {one.name: one for one in (feature, *others)})


def box_of(value: Plausible | None) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    assert value is not None
    assert value.box is not None
    return value.box


def test_a_point_lies_as_on_the_other_side_mirrored() -> None:
    there = corner(RIGHT, upper_ball=(3.0, -650.0, 480.0))
    value = might(corner(LEFT, lower_ball=(0.0, 690.0, 220.0)), "upper-ball", there)
    assert box_of(value) == ((-7.0, 640.0, 470.0), (13.0, 660.0, 490.0))
    assert value is not None
    assert value.told == "as on the right, up to 10 mm off in each coordinate"


@pytest.mark.parametrize(("name", "sign"), [(LEFT, 1), (RIGHT, -1)])
def test_else_in_a_box_beside_a_point_that_is_known(name: str, sign: int) -> None:
    low, high = box_of(might(corner(name, lower_ball=(0.0, sign * 700.0, 220.0)), "lower-front"))
    # a pivot lies nearer to the middle of the car than its ball, and ahead of it
    assert max(abs(low[1]), abs(high[1])) == 480.0
    assert min(abs(low[1]), abs(high[1])) == 280.0
    assert (low[0], high[0]) == (20.0, 220.0)
    assert low[1] < high[1]


def test_beside_nothing_nothing_bounds_it() -> None:
    assert might(corner(LEFT), "upper-ball") is None
    assert plausible_point(Feature("X mount", "pattern"), dimensions_of("pattern")["hole-1"], {}) is None


@given(st.tuples(*[st.floats(0, 1)] * 3))
def test_a_point_is_drawn_from_its_box_as_a_tool_would_read_it(where: tuple[float, float, float]) -> None:
    value = might(corner(LEFT, lower_ball=(0.0, 690.0, 220.0)), "upper-ball")
    low, high = box_of(value)
    assert value is not None
    use = value.point(where, True, 1.0)
    at = point_of(use)
    assert all(a - 1e-5 <= b <= c + 1e-5 for a, b, c in zip(low, at, high, strict=True))
    assert (use.source, use.u, use.hearsay) == (DRAWN, pytest.approx(1 / 3**0.5), False)


def test_what_was_only_said_lies_so_half_of_the_time() -> None:
    said = corner(LEFT, upper_ball=(0.0, 650.0, 480.0))
    uses = {name: replace(use, hearsay=True) for name, use in said.values.items()}
    value = might(replace(said, values=uses), "upper-ball")
    assert value is not None
    assert point_of(value.point((0.0, 0.0, 0.0), True, 1.0)) == (0.0, 650.0, 480.0)
    assert point_of(value.point((0.0, 0.0, 0.0), False, 1.0)) == (-30.0, 620.0, 450.0)


def test_what_was_read_too_coarsely_lies_within_that_reading() -> None:
    low, high = box_of(might(corner(LEFT, upper_ball=(0.0, 650.0, 480.0)), "upper-ball"))
    assert high[0] - low[0] == pytest.approx(2 * 3**0.5)


def test_every_point_of_a_corner_has_a_box() -> None:
    points = {name for name, dimension in CORNER.items() if dimension.value_kind == "point"}
    assert set(_table()) == points
    for row in _table().values():
        assert row.near in points
        assert all(low < high for low, high in (row.out, row.ahead, row.up))


def test_a_point_is_surveyed_on_the_car_with_the_error_of_its_tool() -> None:
    task = task_of(Thing(CAR, "vehicle", False, "corner.left", corner(LEFT)), CORNER["upper-ball"], None, ())
    assert (task.place, task.tool, task.error) == ("car", "laser", 1.0)


def test_samples_given_for_a_point_stand_for_it() -> None:
    value = might(corner(LEFT, lower_ball=(0.0, 690.0, 220.0)), "upper-ball")
    assert value is not None
    use = value.point((0.5, 0.5, 0.5), False, 1.0)
    given = np.zeros((3, 7))
    assert FilledDraws(7, 1, {value.key: given}).of_point(use) is given
    assert FilledDraws(7, 1, {}).of_point(use).shape == (3, 7)


class Shelf(Mix):
    """The mix as a catalogue that also tells what the car came with: nothing."""

    def came_with(self, vehicle: FoundVehicle) -> CameWith:
        return CameWith()


def surveyed(*taken: tuple[str, str]) -> Worlds:
    shelf = Shelf()
    for name, value in vars(good()).items():
        setattr(shelf, name, value)
    for feature, dimension in taken:
        shelf.take(feature, dimension)
    return worlds_of(read_kit(shelf.text().encode(), "good.toml"), shelf)


def test_points_of_a_survey_are_weighed_like_other_readings() -> None:
    worlds = surveyed((LEFT, "upper-ball"), (RIGHT, "upper-ball"))
    told = measure_next(worlds)
    assert {one.task.key for one in told.readings} == {(LEFT, "upper-ball"), (RIGHT, "upper-ball")}
    assert worlds.left_out == ()
    assert {(one.task.tool, one.task.place, one.task.minutes) for one in told.readings} == {("laser", "car", 8.0)}
    rules = {rule for need in worlds.needs for (rule, _), failed in need.rules.items() if failed and not need.already}
    assert "bump-01" in rules  # a point of the suspension decides how the toe changes
    assert 0 <= told.fits < 1
