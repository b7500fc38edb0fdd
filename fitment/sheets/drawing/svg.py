"""A drawing as SVG in real millimetres: text as text, all of it escaped, numbers to 0.001 mm."""

from __future__ import annotations

from html import escape

from fitment.sheets.drawing.model import FULL, ScaleDrawing, plain
from fitment.sheets.drawing.shapes import (
    TEXT,
    Arc,
    Circle,
    Filled,
    Plain,
    Point,
    Slot,
    Stroke,
    Text,
    line,
    polar,
    slot_outline,
)

#: mm of paper round a drawing, and for the bars at its foot
MARGIN, FOOT = 2.0, 7.0

#: size of letters over the height of their capitals, as usual sans-serif founts have it
_FOUNT = 1 / 0.72


def number(value: float) -> str:
    """A number as short as it can be at 0.001."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


class _Paper:
    """True mm to mm of paper, y down."""

    def __init__(self, scale: float, left: float, top: float):
        self.scale, self._left, self._top = scale, left, top

    def at(self, point: Point) -> str:
        return f"{number((point[0] - self._left) * self.scale)} {number((self._top - point[1]) * self.scale)}"

    def shape(self, shape: Plain) -> str:
        if isinstance(shape, Text):
            return self._text(shape)
        if isinstance(shape, Filled):
            return f'<path d="{self._path(shape.points, True)}" fill="black" stroke="none"/>'
        looks = _looks(shape.stroke)
        if isinstance(shape, Circle):
            x, y = self.at(shape.centre).split()
            return f'<circle cx="{x}" cy="{y}" r="{number(shape.radius * self.scale)}"{looks}/>'
        if isinstance(shape, Arc):
            radius = number(shape.radius * self.scale)
            ends = [polar(shape.centre, shape.radius, turn) for turn in (shape.start, shape.end)]
            large = 1 if (shape.end - shape.start) % 360 > 180 else 0
            path = f"M{self.at(ends[0])}A{radius} {radius} 0 {large} 0 {self.at(ends[1])}"
            return f'<path d="{path}"{looks}/>'
        points = slot_outline(shape) if isinstance(shape, Slot) else shape.points
        return f'<path d="{self._path(points, isinstance(shape, Slot) or shape.closed)}"{looks}/>'

    def _path(self, points: tuple[Point, ...], closed: bool) -> str:
        return "M" + "L".join(map(self.at, points)) + ("Z" if closed else "")

    def _text(self, text: Text) -> str:
        x, y = self.at(text.at).split()
        turn = f' transform="rotate({number(-text.turn)} {x} {y})"' if text.turn else ""
        anchor = "" if text.align == "start" else f' text-anchor="{text.align}"'
        bold = ' font-weight="bold"' if text.bold else ""
        size = "" if text.height == TEXT else f' font-size="{number(text.height * _FOUNT)}"'
        return f'<text x="{x}" y="{y}"{size}{anchor}{bold}{turn}>{escape(text.words, quote=False)}</text>'


def _looks(stroke: Stroke) -> str:
    dashes = f' stroke-dasharray="{" ".join(map(number, stroke.dashes))}"' if stroke.dashes else ""
    return f' stroke-width="{number(stroke.width)}"{dashes}'


def body(shapes: tuple[Plain, ...], scale: float, left: float, top: float) -> str:
    """Shapes as elements, in mm of paper from a point at the upper left (true mm)."""
    paper = _Paper(scale, left, top)
    lines = "".join(paper.shape(shape) for shape in shapes if not isinstance(shape, Text))
    words = "".join(paper.shape(shape) for shape in shapes if isinstance(shape, Text))
    fount = f'font-family="Arial, Helvetica, sans-serif" font-size="{number(TEXT * _FOUNT)}"'
    return f'<g fill="none" stroke="black" stroke-linejoin="round">{lines}</g><g {fount} fill="black">{words}</g>'


#: bars to check a print by: length in mm, and what stands on it
BAR_MM, BAR_INCH = (100.0, "100 mm"), (101.6, "4 in")


def bars(*asked: tuple[float, str]) -> tuple[Plain, ...]:
    """Bars, one above the other, mm of paper from 0, 0 up."""
    shapes: list[Plain] = []
    for row, (length, words) in enumerate(asked):
        y = 1.5 + 5.0 * row
        ends = [line((x, y - 1.25), (x, y + 1.25), Stroke.THIN) for x in (0.0, length)]
        shapes += [line((0.0, y), (length, y), Stroke.THIN), *ends]
        # the words stand on their bar, near its left end
        shapes.append(Text((2.0, y + 0.7), words))
    return tuple(shapes)


def svg(drawing: ScaleDrawing, description: str = "", foot: str = "", bar: tuple[float, str] = BAR_MM) -> str:
    """A drawing as one ``<svg>`` element, with its scale and a bar to check a print by at its foot.

    Args:
        drawing: the drawing.
        description: for those who cannot see it.
        foot: one line under it, such as what it is a drawing of and from which data.
        bar: the bar at its foot.
    """
    low, high = drawing.extent
    scale = drawing.scale.factor
    across, up = drawing.size
    told = f"Scale {drawing.scale}, dimensions in mm. Print at 100 % and measure the bar before you trust the picture."
    lines = [line for line in (told, foot) if line]
    words = [Text((0.0, -3.5 * (row + 1)), text, height=2.0) for row, text in enumerate(lines)]
    wide = max(across, bar[0], *(text.length for text in words))
    below = plain((*bars(bar), *words), FULL)
    drop = FOOT + 3.5 * len(lines)
    width, height = wide + 2 * MARGIN, up + drop + 2 * MARGIN
    upper = body(drawing.plain, scale, low[0] - (MARGIN + (wide - across) / 2) / scale, high[1] + MARGIN / scale)
    lower = body(below, 1.0, -MARGIN, height - MARGIN - 3.5 * len(lines) - 1.0)
    return element(width, height, drawing.title, description, upper + lower)


def element(width: float, height: float, title: str, description: str, inside: str) -> str:
    """An ``<svg>`` element of this size in mm, white underneath."""
    told = f"<desc>{escape(description, quote=False)}</desc>" if description else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm" '
        f'viewBox="0 0 {number(width)} {number(height)}" role="img">'
        f"<title>{escape(title, quote=False)}</title>{told}"
        f'<rect width="{number(width)}" height="{number(height)}" fill="white"/>{inside}</svg>'
    )
