"""Dimensions: what they say is what they measure, so that words and picture cannot part. Lengths in true mm."""

from __future__ import annotations

import math

from fitment.frozen import dataclass
from fitment.sheets.drawing.shapes import TEXT, Arc, Filled, Path, Plain, Point, Stroke, Text, line, polar

#: mm of paper: arrowhead long and half wide, gap before and overrun of an extension line, text over its line
_HEAD, _HALF, _GAP, _OVER, _LIFT = 3.0, 0.5, 0.8, 1.5, 0.9


@dataclass(frozen=True)
class Linear:
    """A distance between two points, along x, along y, or straight.

    Attributes:
        start, end: the points.
        offset: mm of paper from `start` to the dimension line, to the left of the way that is measured.
        along: "x", "y", or "" for straight from start to end.
        before: what stands before the number, "Ø" for a diameter seen from the side.
        after: what stands behind it: a tolerance, or a letter that a table explains.
        decimals: digits behind the point.
    """

    start: Point
    end: Point
    offset: float
    along: str = ""
    before: str = ""
    after: str = ""
    decimals: int = 2

    @property
    def way(self) -> Point:
        """Unit direction that is measured, from start to end."""
        x, y = self.end[0] - self.start[0], self.end[1] - self.start[1]
        if self.along == "x":
            return math.copysign(1.0, x), 0.0
        if self.along == "y":
            return 0.0, math.copysign(1.0, y)
        length = math.hypot(x, y)
        return x / length, y / length

    @property
    def value(self) -> float:
        """What it measures, mm."""
        way = self.way
        return (self.end[0] - self.start[0]) * way[0] + (self.end[1] - self.start[1]) * way[1]

    @property
    def words(self) -> str:
        """What stands at it."""
        return f"{self.before}{self.value:.{self.decimals}f}{self.after}"


@dataclass(frozen=True)
class Diameter:
    """The diameter of a circle, told by a leader that leaves it at an angle."""

    centre: Point
    radius: float
    degrees: float = 45.0
    reach: float = 8.0
    after: str = ""
    decimals: int = 2

    @property
    def value(self) -> float:
        """What it measures, mm."""
        return 2 * self.radius

    @property
    def words(self) -> str:
        """What stands at it."""
        return f"Ø{self.value:.{self.decimals}f}{self.after}"


@dataclass(frozen=True)
class Angle:
    """The angle from one direction to another about a point, anticlockwise, degrees; the arc at a true radius."""

    vertex: Point
    start: float
    end: float
    radius: float
    after: str = ""
    decimals: int = 1

    @property
    def value(self) -> float:
        """What it measures, degrees."""
        return (self.end - self.start) % 360

    @property
    def words(self) -> str:
        """What stands at it."""
        return f"{self.value:.{self.decimals}f}°{self.after}"


@dataclass(frozen=True)
class Note:
    """Words with a leader to a point; the words end where the leader begins, on the side away from the point."""

    point: Point
    at: Point
    words: str


Dimension = Linear | Diameter | Angle | Note


def drawn(dimension: Dimension, scale: float) -> list[Plain]:
    """A dimension as plain shapes; `scale` paper over true size."""
    if isinstance(dimension, Linear):
        return _linear(dimension, scale)
    if isinstance(dimension, Diameter):
        edge = polar(dimension.centre, dimension.radius, dimension.degrees)
        out = polar(dimension.centre, dimension.radius + dimension.reach / scale, dimension.degrees)
        return _leader(edge, out, dimension.words, scale)
    if isinstance(dimension, Angle):
        return _angle(dimension, scale)
    return _leader(dimension.point, dimension.at, dimension.words, scale)


def _head(tip: Point, way: Point, scale: float) -> Filled:
    """An arrowhead whose tip points along `way`."""
    long, half = _HEAD / scale, _HALF / scale
    root = (tip[0] - way[0] * long, tip[1] - way[1] * long)
    side = (-way[1] * half, way[0] * half)
    return Filled((tip, (root[0] + side[0], root[1] + side[1]), (root[0] - side[0], root[1] - side[1])))


def _moved(point: Point, way: Point, by: float) -> Point:
    return point[0] + way[0] * by, point[1] + way[1] * by


def _upright(way: Point) -> float:
    """The angle at which words along a direction are read from below or from the right."""
    turn = math.degrees(math.atan2(way[1], way[0]))
    while turn > 90.0 + 1e-9:
        turn -= 180.0
    while turn <= -90.0 + 1e-9:
        turn += 180.0
    return turn


def _linear(one: Linear, scale: float) -> list[Plain]:
    way = one.way
    normal = (-way[1], way[0])
    off = one.offset / scale
    start = _moved(one.start, normal, off)
    end = _moved(start, way, one.value)
    shapes: list[Plain] = []
    for point, at in ((one.start, start), (one.end, end)):
        away = (at[0] - point[0]) * normal[0] + (at[1] - point[1]) * normal[1]
        if abs(away) * scale > _GAP:
            sign = math.copysign(1.0, away)
            shapes.append(
                line(
                    _moved(point, normal, sign * _GAP / scale),
                    _moved(at, normal, sign * _OVER / scale),
                    Stroke.DIMENSION,
                )
            )
    words = Text((0.0, 0.0), one.words)
    paper = one.value * scale
    turn = _upright(way)
    up = polar((0.0, 0.0), 1.0, turn + 90)
    if paper >= 3 * _HEAD:
        shapes += [
            line(start, end, Stroke.DIMENSION),
            _head(start, (-way[0], -way[1]), scale),
            _head(end, way, scale),
        ]
    else:  # arrows from outside
        out = 2.2 * _HEAD / scale
        shapes += [
            line(_moved(start, way, -out), _moved(end, way, out), Stroke.DIMENSION),
            _head(start, way, scale),
            _head(end, (-way[0], -way[1]), scale),
        ]
    if words.length <= paper - 1.0:
        middle = _moved(_moved(start, way, one.value / 2), up, _LIFT / scale)
        return [*shapes, Text(middle, one.words, align="middle", turn=turn)]
    # no room between: the words stand beyond the end, on a line drawn out under them
    begin, stop = 2.2 * _HEAD / scale, (2.2 * _HEAD + words.length) / scale
    shapes.append(line(_moved(end, way, begin if paper < 3 * _HEAD else 0.0), _moved(end, way, stop), Stroke.DIMENSION))
    middle = _moved(_moved(end, way, (begin + stop) / 2), up, _LIFT / scale)
    return [*shapes, Text(middle, one.words, align="middle", turn=turn)]


def _leader(point: Point, at: Point, words: str, scale: float) -> list[Plain]:
    x, y = at[0] - point[0], at[1] - point[1]
    length = math.hypot(x, y)
    rightward = x >= 0
    text = Text((0.0, 0.0), words)
    shelf = (at[0] + (1 if rightward else -1) * text.length / scale, at[1])
    return [
        _head(point, (-x / length, -y / length), scale),
        Path((point, at, shelf), Stroke.DIMENSION),
        Text((min(at[0], shelf[0]), at[1] + _LIFT / scale), words),
    ]


def _angle(one: Angle, scale: float) -> list[Plain]:
    middle = one.start + one.value / 2
    label = polar(one.vertex, one.radius + 2.0 / scale, middle)
    align = "start" if math.cos(math.radians(middle)) >= 0 else "end"
    return [
        Arc(one.vertex, one.radius, one.start, one.start + one.value, Stroke.DIMENSION),
        Text((label[0], label[1] - TEXT / scale / 2), one.words, align=align),
    ]
