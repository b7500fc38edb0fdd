"""Points, distances between holes and the axes of a survey: as people write them, as they are kept, as they are drawn.

Check values are geometry and the inch of 25.4 mm (standard, exact); figures of tools come from tools.csv.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.doubt import Draws
from fitment.errors import DataFault
from fitment.finding import Basis, Use
from fitment.quantity.axes import OWN_AXES, parse_axes
from fitment.quantity.points import (
    DISTANCE_KINDS,
    distances_of,
    distances_text,
    parse_distance,
    parse_point,
    point_of,
    point_text,
    show_distances,
    show_point,
)


@dataclass(frozen=True)
class Kept:
    """What has an adopted value, and nothing else."""

    value: float | str


def told(fault: pytest.ExceptionInfo[DataFault]) -> tuple[str, str | None, str]:
    return fault.value.message, fault.value.mending, fault.value.code


@pytest.mark.parametrize(
    ("text", "bare", "mm"),
    [
        ("12, -350.5, 88", "mm", (12.0, -350.5, 88.0)),
        ("-118,505,231", "mm", (-118.0, 505.0, 231.0)),
        ("12 mm, -350.5 mm, 88 mm", None, (12.0, -350.5, 88.0)),
        ("12,5 mm, -350,5 mm, 88 mm", None, (12.5, -350.5, 88.0)),
        ("12,5 mm,-350,5 mm,88 mm", "in", (12.5, -350.5, 88.0)),
        ("12, -350.5, 88 mm", "in", (12.0, -350.5, 88.0)),
        ("12, -350.5, 88 ±2 mm", "in", (12.0, -350.5, 88.0)),
        ("x=12 y=-350 z=88", "mm", (12.0, -350.0, 88.0)),
        ("X: 12,5, Y: -350,5, Z: 88", "mm", (12.5, -350.5, 88.0)),
        ("1 1/2, -3 1/4, 9/16", "in", (38.1, -82.55, 14.2875)),
        ('12", -3", 4"', None, (304.8, -76.2, 101.6)),
        ("\u221212, \u2013350, 88", "mm", (-12.0, -350.0, 88.0)),
    ],
)
def test_a_point_is_read_as_it_is_meant(text: str, bare: str | None, mm: tuple[float, float, float]) -> None:
    assert parse_point(text, bare).mm == mm


@pytest.mark.parametrize(
    ("text", "u"),
    [
        ("12, -350, 88", 2 / math.sqrt(3)),
        ("12, -350, 88 ±3", 3 / math.sqrt(3)),
        ("12 ±1, -350 ±4, 88 ±1", 4 / math.sqrt(3)),
        ("12, -350, 88 u=0.4", 0.4),
    ],
)
def test_the_doubt_of_a_point_is_the_tools_unless_its_own_is_written(text: str, u: float) -> None:
    assert parse_point(text, "mm").u(2.0) == pytest.approx(u)


@pytest.mark.parametrize(
    ("text", "message", "mending", "code"),
    [
        (
            "12, -350",
            '"12, -350" is not three coordinates',
            "write x, y and z like 12, -350.5, 88 or 12 mm, -350.5 mm, 88 mm",
            "point-01",
        ),
        (
            "12, up, 3",
            '"12, up, 3" is not three coordinates',
            "write x, y and z like 12, -350.5, 88 or 12 mm, -350.5 mm, 88 mm",
            "point-01",
        ),
        (
            "z=1 y=2 x=3",
            '"z=1 y=2 x=3" does not name x, y and z in turn',
            "write it like x=12 y=-350.5 z=88",
            "point-01",
        ),
        (
            "12,5, 88",
            '"12,5, 88" may mean two things: a comma stands close between digits as in a decimal',
            "write a space behind the commas that part coordinates, and decimal points",
            "point-02",
        ),
        (
            "12,5, -350,5, 88,0",
            '"12,5, -350,5, 88,0" has more commas than part three coordinates',
            "write decimal points, or a unit behind every coordinate",
            "point-02",
        ),
        (
            "12 mm, -350, 88",
            '"12 mm, -350, 88" has a unit behind some coordinates only',
            "write a unit behind all three, or once at the end",
            "point-03",
        ),
        (
            "1, 2, 4 ft 6 in",
            '"1, 2, 4 ft 6 in" has a unit behind some coordinates only',
            "write a unit behind all three, or once at the end",
            "point-03",
        ),
        (
            "12 ±1, -350, 88",
            '"12 ±1, -350, 88" has ± behind some coordinates only',
            "write ± behind all three, or once at the end",
            "point-03",
        ),
        ("12 kg, 3 kg, 4 kg", '"12 kg": "kg" measures a mass, not a length',
         "expected one of mm, cm, m, in, ft, thou", "quantity-05"),
    ],
)  # fmt: skip
def test_a_point_that_may_mean_two_things_is_refused(text: str, message: str, mending: str, code: str) -> None:
    with pytest.raises(DataFault) as fault:
        parse_point(text, "mm")
    assert told(fault) == (message, mending, code)


def test_a_point_without_a_unit_is_refused_where_none_is_said() -> None:
    with pytest.raises(DataFault) as fault:
        parse_point("12, -350, 88")
    assert told(fault) == ('"12": 12 has no unit', "write 12 mm or 12 in", "quantity-04")


def test_a_page_pasted_into_a_point_is_refused_before_it_is_searched() -> None:
    with pytest.raises(DataFault) as fault:
        parse_point("1, " * 200, "mm")
    assert fault.value.message.endswith(" is too long for a point (599 characters)")


thousandths = st.integers(-999_999, 999_999)


@given(thousandths, thousandths, thousandths)
def test_millimetres_and_inches_are_the_same_point(x: int, y: int, z: int) -> None:
    """Whole thousandths of an inch are whole ten-thousandths of a millimetre, 254 each."""
    inches = ", ".join(f"{value / 1000:.3f}" for value in (x, y, z))
    millimetres = ", ".join(f"{value * 254 / 10_000:.4f}" for value in (x, y, z))
    assert parse_point(inches, "in").mm == parse_point(millimetres, "mm").mm


coordinate = st.floats(-5000, 5000).map(lambda value: round(value, 6))


@given(coordinate, coordinate, coordinate)
def test_a_point_comes_back_out_of_the_text_it_is_kept_in(x: float, y: float, z: float) -> None:
    assert point_of(Kept(point_text((x, y, z)))) == (x, y, z)
    assert "e" not in point_text((x, y, z))


@given(coordinate, coordinate, coordinate, st.sampled_from(["mm", "inch"]))
def test_a_point_as_shown_may_be_typed_again(x: float, y: float, z: float, system: str) -> None:
    again = parse_point(show_point((x, y, z), system, 0.001)).mm
    assert again == pytest.approx((x, y, z), abs=0.0002)


def test_a_point_is_shown_with_its_axes_and_units() -> None:
    assert show_point((12.0, -350.5, 88.0), "mm", 2.0) == "x 12.0 mm, y -350.5 mm, z 88.0 mm"
    assert show_point((25.4, -50.8, 0.0), "inch", 2.54) == "x 1.00 in, y -2.00 in, z 0.00 in"


@pytest.mark.parametrize(
    ("text", "bare", "read"),
    [
        ("1-2 centre 352", "mm", (1, 2, "centre", 352.0)),
        ("1-3 outside 80.5 mm", None, (1, 3, "outside", 80.5)),
        ("1-2 Edge 3 1/8 in", "mm", (1, 2, "edge", 79.375)),
        ("2 \u2013 1 inside 12,5", "mm", (2, 1, "inside", 12.5)),
    ],
)
def test_a_distance_names_two_holes_a_kind_and_a_length(
    text: str, bare: str | None, read: tuple[int, int, str, float]
) -> None:
    found = parse_distance(text, bare)
    assert (found.first, found.second, found.kind, found.length.value) == read


KINDS_ALLOWED = "allowed: centre, inside (near edges), outside (far edges), edge (same side of both holes)"


@pytest.mark.parametrize(
    ("text", "message", "mending", "code"),
    [
        ("1-2 352", '"1-2 352" does not say how it was taken', KINDS_ALLOWED, "distances-02"),
        (
            "1-2 over 352",
            '"1-2 over 352" says "over", which is no way to take a distance',
            KINDS_ALLOWED,
            "distances-02",
        ),
        ("1-1 centre 352", '"1-1 centre 352" does not name two holes', "number the holes from 1", "distances-01"),
        ("0-1 centre 352", '"0-1 centre 352" does not name two holes', "number the holes from 1", "distances-01"),
        ("1-2 centre -3", '"1-2 centre -3" is not above zero', "write what the tool reads", "distances-01"),
        (
            "352 mm",
            '"352 mm" is no distance between two holes',
            "write it like 1-2 centre 352 or 1-3 outside 80.5 mm",
            "distances-01",
        ),
    ],
)
def test_a_distance_that_leaves_something_open_is_refused(text: str, message: str, mending: str, code: str) -> None:
    with pytest.raises(DataFault) as fault:
        parse_distance(text, "mm")
    assert told(fault) == (message, mending, code)


holes = st.integers(1, 99)
length = st.floats(0.001, 5000).map(lambda value: round(value, 6))


@given(st.lists(st.tuples(holes, holes, st.sampled_from(DISTANCE_KINDS), length, length), min_size=1, max_size=6))
def test_distances_come_back_out_of_the_text_they_are_kept_in(
    distances: list[tuple[int, int, str, float, float]],
) -> None:
    found = distances_of(Kept(distances_text(distances)))
    assert [one[:4] for one in found] == [one[:4] for one in distances]
    assert [one[4] for one in found] == pytest.approx([one[4] for one in distances], rel=1e-5)


def test_distances_are_kept_and_shown_piece_by_piece() -> None:
    pieces = [(1, 2, "centre", 352.0, 0.57735), (1, 3, "outside", 80.5, 0.046188)]
    assert distances_text(pieces) == "1-2 centre 352 0.57735; 1-3 outside 80.5 0.046188"
    assert show_distances(pieces) == "1-2 centre 352.00 mm; 1-3 outside 80.500 mm"


ALONG = {
    "forward": (1, 0, 0), "rearward": (-1, 0, 0), "left": (0, 1, 0), "right": (0, -1, 0), "up": (0, 0, 1),
    "down": (0, 0, -1),
}  # fmt: skip
SETS = [
    words
    for order in permutations([("forward", "rearward"), ("left", "right"), ("up", "down")])
    for words in product(*order)
]


@pytest.mark.parametrize("words", SETS, ids=" ".join)
@given(point=st.tuples(coordinate, coordinate, coordinate))
def test_every_set_of_axes_there_and_back(words: tuple[str, str, str], point: tuple[float, float, float]) -> None:
    """A point of the car, read along three stated directions, is that point again."""
    read = [float(np.dot(ALONG[word], point)) for word in words]
    axes = parse_axes(", ".join(f"{axis} {word}" for axis, word in zip("xyz", words, strict=True)))
    assert axes.into_own((read[0], read[1], read[2])) == point


def test_there_are_forty_eight_sets_of_axes_and_the_usual_one_changes_nothing() -> None:
    assert len(set(SETS)) == 48
    assert parse_axes(OWN_AXES).into_own((1.0, 2.0, 3.0)) == (1.0, 2.0, 3.0)
    assert parse_axes("Z up,  X Forward, y left") == parse_axes(OWN_AXES)


AXES_MENDING = 'write it like "x forward, y left, z up": forward or rearward, left or right, up or down, each once'


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("x forward, y left", '"x forward, y left" does not say which way x, y and z point'),
        ("x in, y left, z up", '"x in, y left, z up" does not say which way x, y and z point'),
        ("x forward, x left, z up", '"x forward, x left, z up" does not say which way x, y and z point'),
        ("x forward, y rearward, z up", '"x forward, y rearward, z up" has two axes along one line'),
    ],
)
def test_axes_that_leave_something_open_are_refused(text: str, message: str) -> None:
    with pytest.raises(DataFault) as fault:
        parse_axes(text)
    assert told(fault) == (message, AXES_MENDING, "axes-01")


def point_use(word: str, u: float, shape: str = "normal", name: str = "NORTH/V-1 corner.left") -> Use:
    return Use(name, "arm-eye", word, u, "mm", Basis.MEASURED, shape=shape)


def test_a_point_is_drawn_coordinate_by_coordinate() -> None:
    sample = Draws(20_000).of_point(point_use("12, -350.5, 88", 0.6))
    assert sample.shape == (3, 20_000)
    assert sample.mean(axis=1) == pytest.approx([12, -350.5, 88], abs=0.03)
    assert sample.std(axis=1) == pytest.approx([0.6] * 3, rel=0.03)
    assert np.abs(np.corrcoef(sample) - np.eye(3)).max() < 0.03


def test_a_point_read_once_keeps_within_its_tool_and_another_point_has_samples_of_its_own() -> None:
    draws = Draws(20_000)
    one = draws.of_point(point_use("0, 0, 0", 2 / math.sqrt(3), "rectangular"))
    other = draws.of_point(point_use("0, 0, 0", 2 / math.sqrt(3), "rectangular", "NORTH/V-1 corner.right"))
    assert 1.99 < np.abs(one).max() <= 2
    assert abs(np.corrcoef(one[0], other[0])[0, 1]) < 0.03
    assert (draws.of_point(point_use("1, 2, 3", 0.0)) == [[1.0], [2.0], [3.0]]).all()


def test_the_point_that_a_margin_rests_on_most_is_named() -> None:
    draws = Draws(20_000)
    rough, fine = point_use("0, 0, 0", 2.0), point_use("3, 4, 0", 0.1, name="NORTH/V-1 corner.right")
    length = np.linalg.norm(draws.of_point(rough) - draws.of_point(fine), axis=0)
    assert draws.leading(length, [fine, rough]) is rough
