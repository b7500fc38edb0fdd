"""A drawing at full size over several sheets of paper: never shrunk, each overlapping the next, with marks to join.

Every sheet has a bar of 100 mm, one of 4 in, and a box for what was measured on it.
"""

from __future__ import annotations

import math
from dataclasses import replace

from fitment.frozen import dataclass
from fitment.sheets.drawing.model import FULL, ScaleDrawing, Shape, plain
from fitment.sheets.drawing.shapes import Path, Plain, Point, Stroke, Text, line, outline_of, rectangle
from fitment.sheets.drawing.svg import BAR_INCH, BAR_MM, bars, body, element, number

#: mm by which a sheet shows what the next one shows too
OVERLAP = 12.0
#: mm at the foot of a sheet for the bars and the box
FOOT = 20.0
#: mm of white round a window, in which its marks stand
_EDGE = 5.0


@dataclass(frozen=True)
class Tile:
    """One sheet of a drawing at full size.

    Attributes:
        name: ``A1`` at the upper left; the letter counts rows downwards, the number columns to the right.
        low, high: the corners of what it shows, true mm.
        right, below: name of the sheet that joins it there; "" where none does.
    """

    name: str
    low: Point
    high: Point
    right: str
    below: str


def tiles(drawing: ScaleDrawing, room: tuple[float, float]) -> tuple[Tile, ...]:
    """The sheets of a drawing at full size, from the upper left, row by row.

    Args:
        drawing: the drawing; its own scale does not matter.
        room: width and height of the paper inside its margins, mm.

    Raises:
        ValueError: the paper has no room for the bars.
    """
    wide, high = window(room)
    (left, bottom), (right, top) = ScaleDrawing(drawing.name, drawing.title, FULL, drawing.shapes).extent
    columns, rows = _count(right - left, wide), _count(top - bottom, high)
    # what is left over is shared out on both sides, so that the drawing stands in the middle
    spare_x = columns * wide - (columns - 1) * OVERLAP - (right - left)
    spare_y = rows * high - (rows - 1) * OVERLAP - (top - bottom)
    found = []
    for row in range(rows):
        for column in range(columns):
            x = left - spare_x / 2 + column * (wide - OVERLAP)
            y = top + spare_y / 2 - row * (high - OVERLAP)
            found.append(
                Tile(
                    _name(row, column),
                    (x, y - high),
                    (x + wide, y),
                    _name(row, column + 1) if column + 1 < columns else "",
                    _name(row + 1, column) if row + 1 < rows else "",
                )
            )
    return tuple(found)


def window(room: tuple[float, float]) -> tuple[float, float]:
    """Width and height of what a sheet of paper shows of a drawing, mm.

    Raises:
        ValueError: the paper has no room for the bars.
    """
    wide, high = room[0] - 2 * _EDGE, room[1] - 2 * _EDGE - FOOT
    if wide < 170.0 or high < BAR_MM[0]:
        raise ValueError(f"{room[0]:g} x {room[1]:g} mm has no room for a template")
    return wide, high


def _count(length: float, window_length: float) -> int:
    return max(1, math.ceil((length - OVERLAP) / (window_length - OVERLAP) - 1e-9))


def _name(row: int, column: int) -> str:
    return f"{chr(ord('A') + row)}{column + 1}"


def tile_svg(drawing: ScaleDrawing, tile: Tile, foot: str) -> str:
    """One sheet as an ``<svg>`` element in real mm.

    Args:
        drawing: the drawing.
        tile: which part of it.
        foot: one line about its data.
    """
    wide, high = tile.high[0] - tile.low[0], tile.high[1] - tile.low[1]
    width, height = wide + 2 * _EDGE, high + 2 * _EDGE + FOOT
    shown = tuple(found for one in plain(drawing.shapes, FULL) if (found := _uncut(one, tile)) is not None)
    inside = (
        f'<svg x="{number(_EDGE)}" y="{number(_EDGE)}" width="{number(wide)}" height="{number(high)}" '
        f'viewBox="0 0 {number(wide)} {number(high)}">{body(shown, 1.0, tile.low[0], tile.high[1])}</svg>'
    )
    marks = body(plain(_marks(tile, wide, high), FULL), 1.0, -_EDGE, high + _EDGE)
    below = body(plain(_foot(tile, foot), FULL), 1.0, -_EDGE, FOOT - 2.0)
    lower = f'<g transform="translate(0 {number(high + 2 * _EDGE)})">{below}</g>'
    return element(width, height, f"{drawing.title}, sheet {tile.name}", "", inside + marks + lower)


def _uncut(shape: Plain, tile: Tile) -> Plain | None:
    """A shape as a sheet shows it: words whole or not at all, since half a number is another number."""
    if not isinstance(shape, Text):
        return shape
    if not all(low <= at <= high for low, at, high in zip(tile.low, shape.at, tile.high, strict=True)):
        return None  # they stand on the sheet that holds their place
    spread = tuple(zip(*outline_of(shape, 1.0), strict=True))
    by = [
        max(0.0, low - min(along)) + min(0.0, high - max(along))
        for low, along, high in zip(tile.low, spread, tile.high, strict=True)
    ]
    return replace(shape, at=(shape.at[0] + by[0], shape.at[1] + by[1]))


def _marks(tile: Tile, wide: float, high: float) -> list[Shape]:
    """The window's edge, and the line on which the next sheet's edge is laid; from the window's lower left corner."""
    shapes: list[Shape] = [rectangle((0.0, 0.0), (wide, high), Stroke.HATCH)]
    # 100 mm up the page, in the white to the left of the window: a printer may stretch one way and not the other
    shapes += [line((-2.5, 0.0), (-2.5, BAR_MM[0]), Stroke.THIN), *_joins((-2.5, 0.0), (-2.5, BAR_MM[0]))]
    shapes.append(Text((-3.0, BAR_MM[0] / 2), "100 mm", height=1.6, align="middle", turn=90.0))
    if tile.right:
        x = wide - OVERLAP
        shapes += [line((x, 0.0), (x, high), Stroke.HIDDEN), *_joins((x, 0.0), (x, high))]
        shapes.append(Text((x + 3.5, high / 2), f"left edge of {tile.right} here", turn=90.0, align="middle"))
    if tile.below:
        shapes += [line((0.0, OVERLAP), (wide, OVERLAP), Stroke.HIDDEN), *_joins((0.0, OVERLAP), (wide, OVERLAP))]
        shapes.append(Text((wide / 2, OVERLAP - 3.5), f"upper edge of {tile.below} here", align="middle"))
    return shapes


def _joins(*points: Point) -> list[Path]:
    """A small cross at either end of a line to join on, outside the window where it can be seen when cut."""
    return [
        one
        for x, y in points
        for one in (line((x - 2.0, y), (x + 2.0, y), Stroke.THIN), line((x, y - 2.0), (x, y + 2.0), Stroke.THIN))
    ]


def _foot(tile: Tile, foot: str) -> list[Plain]:
    """Bars, box and words, from the lower left corner."""
    told = f"Sheet {tile.name}. Full size, 1:1: print at 100 %, never fitted to the page."
    return [
        *(_raised(shape, 6.0) for shape in bars(BAR_MM, BAR_INCH)),
        rectangle((112.0, 6.5), (142.0, 15.5), Stroke.THIN),
        Text((113.0, 13.2), "100 mm bar measured", height=1.6),
        Text((141.0, 7.5), "mm", align="end", height=1.6),
        rectangle((144.0, 6.5), (174.0, 15.5), Stroke.THIN),
        Text((145.0, 13.2), "100 mm up the page", height=1.6),
        Text((173.0, 7.5), "mm", align="end", height=1.6),
        Text((0.0, 2.6), f"{told} Not 100.0 and 101.6 mm: do not use it.", height=1.9),
        Text((0.0, -0.6), foot, height=1.6),
    ]


def _raised(shape: Plain, by: float) -> Plain:
    if isinstance(shape, Text):
        return Text((shape.at[0], shape.at[1] + by), shape.words, shape.height)
    assert isinstance(shape, Path)
    return Path(tuple((x, y + by) for x, y in shape.points), shape.stroke)
