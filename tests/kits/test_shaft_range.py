"""Joint angles and ripple over the column's tilt and reach: every pair of extremes against a simulation of the crosses.

The line is that of the published case in space; where it is moved to is reckoned here by hand. The forks stay on their
shaft as they are while the column moves.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from fitment.finding import Verdict
from tests.kits.test_shaft_line import (
    COLUMN,
    KIT,
    LOWER,
    ONE,
    PINION,
    PIVOT,
    UPPER,
    Point,
    Shelf,
    along,
    apart,
    cautions,
    failing,
    found,
    gaps,
    line,
    notched,
    one,
    swung,
    tilting,
    told,
    way,
)

#: of the shaft's two forks, as recorded
PHASE = 60.0
#: degrees up of the direction towards the pinion: the wheel goes down with it
TILTS = {"": 0.0, "tilted up": -4.0, "tilted down": 3.0}
REACHES = {"": 0.0, "pushed in": 18.0, "pulled out": -12.0}


def adjustable() -> Shelf:
    """A column that tilts and reaches, and a shaft whose yokes go on in one place."""
    book = notched(tilting(4.0, 3.0))
    book.add("NORTH/CO-1 body", reach_in=18.0, reach_out=12.0)
    book.add("NORTH/IS-1 body", phase=PHASE)
    book.change("NORTH/IS-1 body", "length-short", value=380.0)
    book.change("NORTH/IS-1 body", "length-long", value=520.0)
    return book


def settings() -> dict[str, tuple[Point, Point]]:
    """Direction of the column and place of the upper joint at every pair of extremes, by hand."""
    made = {}
    for tilt, up in TILTS.items():
        for reach, far in REACHES.items():
            joint = swung(UPPER, PIVOT, up)
            column = way(joint, swung(along(UPPER, COLUMN, 100.0), PIVOT, up))
            made[", ".join(filter(None, (tilt, reach)))] = column, along(joint, column, far)
    return made


def cross(one_: Point, other: Point) -> Point:
    (a, b, c), (d, e, f) = one_, other
    return b * f - c * e, c * d - a * f, a * e - b * d


def scaled(at: Point) -> Point:
    size = math.hypot(*at)
    return at[0] / size, at[1] / size, at[2] / size


def dot(one_: Point, other: Point) -> float:
    return sum(x * y for x, y in zip(one_, other, strict=True))


def turned(at: Point, about: Point, by: float) -> Point:
    side, share = cross(about, at), dot(about, at) * (1 - math.cos(by))
    x, y, z = (p * math.cos(by) + s * math.sin(by) + w * share for p, s, w in zip(at, side, about, strict=True))
    return x, y, z


def swing(column: Point, shaft: Point, pinion: Point, phase: float) -> float:
    """Highest less lowest speed ratio of two crosses, each pin square to its shaft and to the other pin."""
    start = scaled(cross(column, (0.3, 0.9, 0.1)))

    def pin_of_pinion(turn: float) -> Point:
        first = scaled(cross(shaft, turned(start, column, turn)))
        return scaled(cross(pinion, turned(first, shaft, phase)))

    def speed(turn: float) -> float:
        before, after = pin_of_pinion(turn - 1e-4), pin_of_pinion(turn + 1e-4)
        return math.atan2(dot(cross(before, after), pinion), dot(before, after)) / 2e-4

    speeds = [speed(math.pi * step / 2000) for step in range(2000)]
    return max(speeds) - min(speeds)


def test_ripple_and_angles_at_every_setting_are_those_of_the_simulated_crosses() -> None:
    book = adjustable()
    even, (upper, lower) = one(book, "shaft-03").figures, found(book, "shaft-01")
    swings = {}
    for name, (column, joint) in settings().items():
        shaft = way(joint, LOWER)
        swings[name] = swing(column, shaft, PINION, math.radians(PHASE))
        key = f"_{name.replace(',', '').replace(' ', '_')}" if name else ""
        assert even[f"fluctuation{key}"].value == pytest.approx(swings[name], abs=2e-6), name
        assert (even[f"fluctuation{key}"].u or 0.0) > 0.0
        assert upper.figures[f"angle{key}"].value == pytest.approx(apart(column, shaft), abs=1e-6), name
        assert lower.figures[f"angle{key}"].value == pytest.approx(apart(shaft, PINION), abs=1e-6), name
    assert len(swings) == 9
    assert even["fluctuation_worst"].value == pytest.approx(max(swings.values()), abs=2e-6)
    # the range is worth asking for: it is not all the same
    assert max(swings.values()) > 1.2 * swings[""]
    others = sorted((round(100 * size, 1), name) for name, size in swings.items() if name)
    (least, where), (most, there) = others[0], others[-1]
    assert (
        f"over the column's range, the forks left as they are, {least:.1f} % ({where}) to {most:.1f} % ({there})"
    ) in one(book, "shaft-03").because


def test_without_a_limit_the_range_is_told_too() -> None:
    report = told(adjustable(), KIT)
    (said,) = [each for each in report.not_checked if each.startswith("angles, phase and slip")]
    assert "over the column's range, the forks left as they are, " in said
    assert said.endswith("shaft_ripple = 0.125 in [limits] would be one")


def test_a_single_joint_is_as_uneven_as_its_angle_at_each_setting() -> None:
    book = Shelf()
    book.add("NORTH/CO-1 body", tilt_up=4.0, tilt_down=3.0)
    (angle,), even = found(book, "shaft-01", ONE), one(book, "shaft-03", ONE)
    for name in ("angle", "angle_tilted_up", "angle_tilted_down"):
        bent = math.radians(angle.figures[name].value)
        figure = even.figures[name.replace("angle", "fluctuation")]
        assert figure.value == pytest.approx(math.sin(bent) * math.tan(bent), abs=1e-9)


def limited(book: Shelf, limit: float) -> Any:
    return one(book, "shaft-03", f"{KIT}[limits]\nshaft_ripple = {limit}\n")


def test_a_limit_of_the_kit_holds_over_the_range() -> None:
    book = adjustable()
    figures = one(book, "shaft-03").figures
    surveyed, worst = figures["fluctuation"].value, figures["fluctuation_worst"].value
    between = (surveyed + worst) / 2
    assert limited(book, worst + 0.02).verdict is Verdict.FITS
    assert limited(book, between).verdict is Verdict.DOES_NOT_FIT
    fails = limited(book, surveyed - 0.02)
    assert fails.verdict is Verdict.DOES_NOT_FIT
    assert fails.margin.value == pytest.approx(-0.02, abs=2e-4)
    summary = line(book, f"{KIT}[limits]\nshaft_ripple = {between}\n")
    assert any(
        f"by {100 * worst:.1f} % twice a turn at worst of the column's range" in caution
        for caution in cautions(summary)
    )


def test_where_in_its_range_the_survey_lies_must_be_known_for_a_failure_at_its_end() -> None:
    book = Shelf()
    book.change("NORTH/CO-1 body", "tilt-range", value=6.0)
    figures = one(book, "shaft-03").figures
    assert {"fluctuation_tilted_up_by_its_whole_range", "fluctuation_tilted_down_by_its_whole_range"} <= figures.keys()
    between = (figures["fluctuation"].value + figures["fluctuation_worst"].value) / 2
    open_ = limited(book, between)
    assert open_.verdict is Verdict.NOT_KNOWN
    assert [gap.dimension for gap in open_.gaps] == ["tilt-range"]
    # a column that does not tilt, and of which the reach is recorded way by way, has no such doubt
    book.change("NORTH/CO-1 body", "tilt-range", value=0.0)
    book.add("NORTH/CO-1 body", reach_in=40.0, reach_out=0.0)
    book.change("NORTH/IS-1 body", "length-short", value=380.0)
    worst = found(book, "shaft-01")[0].figures["angle_worst"].value
    book.change("NORTH/UJ-1 body", "angle-limit", value=(worst + 21.58) / 2)
    assert found(book, "shaft-01")[0].verdict is Verdict.DOES_NOT_FIT


def test_a_tilt_that_nobody_took_leaves_the_range_open() -> None:
    book = Shelf()
    book.take("NORTH/CO-1 body", "tilt-range")
    even = one(book, "shaft-03")
    assert (even.verdict, [gap.dimension for gap in even.gaps]) == (Verdict.NOT_KNOWN, ["tilt-range"])
    assert even.figures["fluctuation"].value == pytest.approx(0.122, abs=5e-4)
    assert limited(book, 0.05).verdict is Verdict.DOES_NOT_FIT
    said = next(each for each in told(book, KIT).not_checked if each.startswith("angles, phase and slip"))
    assert "what its tilt makes of that is not known (NORTH/CO-1 body tilt-range: no reading)" in said
    assert ("shaft-01", Verdict.NOT_KNOWN) in failing(line(book))
    assert gaps(line(book)) == ["NORTH/CO-1 body tilt-range: no reading"]
