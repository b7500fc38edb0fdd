"""Hole patterns in plan, as one looks at the face: one way of the plane is up the page, the other to the left."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from fitment.joints.pattern_view import Place, SeenHole, SeenPair, SeenPattern
from fitment.sheets.drawing.dimensions import Linear
from fitment.sheets.drawing.model import FULL, ScaleDrawing, Shape
from fitment.sheets.drawing.shapes import Circle, Path, Point, Slot, Stroke, Text, cross, line

#: how far a centre line reaches beyond its hole, and how large a hole of unknown size is marked, mm of paper
_BEYOND, _MARK = 3.0, 2.5


def on_page(place: Place) -> Point:
    """A place in the plane as it lies on the page (right, up)."""
    return -place[1], place[0]


def hole_shapes(hole: SeenHole, stroke: Stroke, factor: float) -> list[Shape]:
    """A hole with its centre lines; a cross alone where its size is not known."""
    at = on_page(hole.at)
    radius = (hole.diameter or 0.0) / 2
    half = on_page(hole.half_slot)
    reach = radius + math.hypot(*half) + _BEYOND / factor
    shapes: list[Shape] = [*cross(at, reach if radius else _MARK / factor)]
    if radius and hole.half_slot == (0.0, 0.0):
        shapes.append(Circle(at, radius, stroke))
    elif radius:
        shapes.append(Slot((at[0] - half[0], at[1] - half[1]), (at[0] + half[0], at[1] + half[1]), radius, stroke))
    return shapes


def numbered(hole: SeenHole, words: str, factor: float, second: bool = False, middle: float | None = None) -> Text:
    """Words beside a hole, up and to its right; of a `second` pattern below it, towards the middle of the page."""
    x, y = on_page(hole.at)
    aside = (hole.diameter or 0.0) / 2 * math.sqrt(0.5) + 1.5 / factor
    if not second:
        return Text((x + aside, y + aside), words)
    left = middle is not None and x > middle
    return Text((x - aside if left else x + aside, y - aside - 2.5 / factor), words, align="end" if left else "start")


def middle_of(holes: Sequence[SeenHole]) -> float:
    """Where the middle between the outermost holes lies across the page."""
    across = [on_page(hole.at)[0] for hole in holes]
    return (min(across) + max(across)) / 2


def spans(holes: Sequence[SeenHole], factor: float) -> list[Shape]:
    """How far the holes lie apart at the most, across and fore and aft, as dimensions outside them."""
    points = [on_page(hole.at) for hole in holes]
    # of several as far out, the upper and the left ones, on whose side the dimension stands
    left, right = min(points, key=lambda p: (p[0], -p[1])), max(points)
    low, high = min(points, key=lambda p: (p[1], p[0])), max(points, key=lambda p: (p[1], -p[0]))
    shapes: list[Shape] = []
    if right[0] - left[0] > 1e-6:
        shapes.append(Linear(left, right, (high[1] - left[1]) * factor + 12.0, "x"))
    if high[1] - low[1] > 1e-6:
        shapes.append(Linear(low, high, (low[0] - left[0]) * factor + 12.0, "y"))
    return shapes


def compass(corner: Point, factor: float, ways: tuple[str, str]) -> list[Shape]:
    """An arrow up the page beside a corner, and which way that is and which is left on the page."""
    x, y = corner
    long = 8.0 / factor
    return [
        line((x, y), (x, y + long), Stroke.THIN),
        Path(((x - 1 / factor, y + long * 0.7), (x, y + long), (x + 1 / factor, y + long * 0.7)), Stroke.THIN),
        Text((x + 1.5 / factor, y + long * 0.6), ways[0].upper()),
        Text((x + 1.5 / factor, y), f"{ways[1]} is left"),
    ]


def plate_cut(pair: SeenPair, name: str) -> ScaleDrawing:
    """What a laser cuts of an adapter plate: every hole of both patterns whose size is known, and nothing else."""
    shapes: list[Shape] = []
    for hole in every_hole(pair):
        at = on_page(hole.at)
        half = on_page(hole.half_slot)
        if hole.diameter is not None and hole.half_slot == (0.0, 0.0):
            shapes.append(Circle(at, hole.diameter / 2, Stroke.CUT))
        elif hole.diameter is not None:
            ends = (at[0] - half[0], at[1] - half[1]), (at[0] + half[0], at[1] + half[1])
            shapes.append(Slot(*ends, hole.diameter / 2, Stroke.CUT))
    return ScaleDrawing(name, f"holes of {pair.first.name} and {pair.second.name} as registered", FULL, tuple(shapes))


def every_hole(pair: SeenPair) -> tuple[SeenHole, ...]:
    """The holes of both patterns, the second's first."""
    return (*pair.second.holes, *pair.first.holes)


def least_outline(holes: Iterable[SeenHole], edge: float) -> tuple[Point, ...]:
    """The convex outline that leaves `edge` mm of metal round every hole; its corners in steps of 10 degrees."""
    points = []
    for hole in holes:
        x, y = on_page(hole.at)
        half = on_page(hole.half_slot)
        reach = (hole.diameter or 0.0) / 2 + edge
        for way in (-1.0, 1.0):
            points += [
                (
                    x + way * half[0] + reach * math.cos(math.radians(10 * step)),
                    y + way * half[1] + reach * math.sin(math.radians(10 * step)),
                )
                for step in range(36)
            ]
    return _hull(points)


def _hull(points: Iterable[Point]) -> tuple[Point, ...]:
    """Convex hull, anticlockwise (Andrew's monotone chain)."""
    ordered = sorted(set(points))
    ways: list[list[Point]] = []
    for run in (ordered, ordered[::-1]):
        chain: list[Point] = []
        for point in run:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0:
                chain.pop()
            chain.append(point)
        ways.append(chain[:-1])
    return tuple(ways[0] + ways[1])


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def from_first(pattern: SeenPattern, hole: SeenHole, ways: tuple[str, str]) -> str:
    """Where a hole lies from the pattern's first one: ``76.00 forward, 0.00 left``; mm."""
    origin = pattern.holes[0].at
    return ", ".join(f"{there - here + 0.0:.2f} {way}" for there, here, way in zip(hole.at, origin, ways, strict=True))
