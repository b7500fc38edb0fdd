"""What a drawing is made of. Points are (x, y) in true mm, x to the right and y up; text and arrows are mm of paper.

Lines follow the habits of ISO 128-2 (from memory): wide for what is seen, narrow for dimensions and hatching, narrow
dashes for what is hidden, narrow long dashes and dots for centre lines.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from enum import Enum

from fitment.frozen import dataclass

Point = tuple[float, float]

#: height of capital letters of ordinary text, mm of paper (ISO 3098 has 2.5; from memory)
TEXT = 2.5

#: width of a letter over the height of a capital; wider than the usual sans-serif founts, so that text has room
_LETTER = 0.92


class Stroke(Enum):
    """A kind of line: its layer, width in mm of paper, and dashes in mm of paper."""

    OUTLINE = ("OUTLINE", 0.5, ())
    CUT = ("CUT", 0.18, ())
    THIN = ("THIN", 0.25, ())
    HIDDEN = ("HIDDEN", 0.25, (3.0, 1.5))
    CENTRE = ("CENTRE", 0.25, (8.0, 1.5, 1.0, 1.5))
    HATCH = ("HATCH", 0.13, ())
    DIMENSION = ("DIMENSIONS", 0.25, ())

    def __init__(self, layer: str, width: float, dashes: tuple[float, ...]):
        self.layer = layer
        self.width = width
        self.dashes = dashes


@dataclass(frozen=True)
class Path:
    """A line through points; `closed` back to the first."""

    points: tuple[Point, ...]
    stroke: Stroke = Stroke.OUTLINE
    closed: bool = False


@dataclass(frozen=True)
class Circle:
    """A circle."""

    centre: Point
    radius: float
    stroke: Stroke = Stroke.OUTLINE


@dataclass(frozen=True)
class Arc:
    """An arc anticlockwise from `start` to `end`, degrees from the x axis."""

    centre: Point
    radius: float
    start: float
    end: float
    stroke: Stroke = Stroke.OUTLINE


@dataclass(frozen=True)
class Slot:
    """A slot round a straight middle line from `start` to `end`, as wide as twice the radius."""

    start: Point
    end: Point
    radius: float
    stroke: Stroke = Stroke.OUTLINE


@dataclass(frozen=True)
class Filled:
    """A filled shape, as an arrowhead is."""

    points: tuple[Point, ...]
    stroke: Stroke = Stroke.DIMENSION


@dataclass(frozen=True)
class Text:
    """Words at a point: the left end, middle or right end of their base line; `turn` degrees anticlockwise."""

    at: Point
    words: str
    height: float = TEXT
    align: str = "start"
    turn: float = 0.0
    bold: bool = False

    @property
    def length(self) -> float:
        """How long the words are, mm of paper; rather too much than too little."""
        return len(self.words) * self.height * _LETTER * (1.08 if self.bold else 1.0)


Plain = Path | Circle | Arc | Slot | Filled | Text


def line(start: Point, end: Point, stroke: Stroke = Stroke.OUTLINE) -> Path:
    """A straight line."""
    return Path((start, end), stroke)


def rectangle(low: Point, high: Point, stroke: Stroke = Stroke.OUTLINE) -> Path:
    """A rectangle by its lower left and its upper right corner."""
    return Path((low, (high[0], low[1]), high, (low[0], high[1])), stroke, closed=True)


def polar(centre: Point, radius: float, degrees: float) -> Point:
    """The point at a distance and an angle from another."""
    turn = math.radians(degrees)
    return centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)


def cross(centre: Point, reach: float) -> tuple[Path, Path]:
    """Centre lines that reach so far each way."""
    x, y = centre
    return (
        line((x - reach, y), (x + reach, y), Stroke.CENTRE),
        line((x, y - reach), (x, y + reach), Stroke.CENTRE),
    )


def slot_outline(slot: Slot, steps: int = 32) -> tuple[Point, ...]:
    """Points round a slot, anticlockwise, its ends in so many steps; a DXF has true arcs instead."""
    along = math.degrees(math.atan2(slot.end[1] - slot.start[1], slot.end[0] - slot.start[0]))
    ends = ((slot.end, along - 90), (slot.start, along + 90))
    return tuple(
        polar(centre, slot.radius, start + 180 * step / steps) for centre, start in ends for step in range(steps + 1)
    )


def outline_of(shape: Plain, scale: float) -> tuple[Point, ...]:
    """Points round which a shape lies, for the room that it takes; `scale` paper over true size."""
    if isinstance(shape, Circle):
        reach = shape.radius
        x, y = shape.centre
        return (x - reach, y - reach), (x + reach, y + reach)
    if isinstance(shape, Arc):
        swept = (shape.end - shape.start) % 360 or 360.0
        return tuple(polar(shape.centre, shape.radius, shape.start + swept * step / 32) for step in range(33))
    if isinstance(shape, Slot):
        return slot_outline(shape)
    if isinstance(shape, Text):
        return _box(shape, scale)
    return shape.points


def _box(text: Text, scale: float) -> tuple[Point, ...]:
    long, high = text.length / scale, text.height / scale
    start = {"start": 0.0, "middle": -long / 2, "end": -long}[text.align]
    turn = math.radians(text.turn)
    cos, sin = math.cos(turn), math.sin(turn)
    # a third of the height hangs below the base line
    corners = ((x, y) for x in (start, start + long) for y in (-high / 3, high * 1.15))
    return tuple((text.at[0] + x * cos - y * sin, text.at[1] + x * sin + y * cos) for x, y in corners)


def extent(shapes: Iterable[Plain], scale: float = 1.0) -> tuple[Point, Point]:
    """The lower left and upper right corner of the room that shapes take, true mm.

    Raises:
        ValueError: there are none.
    """
    points = [point for shape in shapes for point in outline_of(shape, scale)]
    return (min(x for x, _ in points), min(y for _, y in points)), (
        max(x for x, _ in points),
        max(y for _, y in points),
    )


def hatched(outline: Sequence[Point], apart: float, degrees: float = 45.0) -> list[Path]:
    """Hatching of a closed outline: parallel lines so far apart (true mm), cut where they meet it (even and odd)."""
    turn = math.radians(-degrees)
    cos, sin = math.cos(turn), math.sin(turn)
    turned = [(x * cos - y * sin, x * sin + y * cos) for x, y in outline]
    edges = list(zip(turned, [*turned[1:], turned[0]], strict=True))
    low, high = min(y for _, y in turned), max(y for _, y in turned)
    found = []
    for step in range(math.floor(low / apart) + 1, math.ceil(high / apart)):
        y = step * apart
        meets = sorted(
            a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1])
            for a, b in edges
            if min(a[1], b[1]) <= y < max(a[1], b[1])
        )
        for left, right in zip(meets[::2], meets[1::2], strict=True):
            ends = tuple((x * cos + y * sin, -x * sin + y * cos) for x in (left, right))
            found.append(Path(ends, Stroke.HATCH))
    return found
