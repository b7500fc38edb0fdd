"""A drawing: shapes and dimensions in true mm, and the scale at which they stand on paper."""

from __future__ import annotations

from collections.abc import Iterable

from fitment.frozen import dataclass
from fitment.sheets.drawing.dimensions import Angle, Diameter, Dimension, Linear, Note, drawn
from fitment.sheets.drawing.shapes import Plain, Point, extent

Shape = Plain | Dimension


@dataclass(frozen=True)
class Scale:
    """Paper to true size, 1:2 and the like."""

    paper: int
    true: int

    @property
    def factor(self) -> float:
        """Length on paper over true length."""
        return self.paper / self.true

    def __str__(self) -> str:
        return f"{self.paper}:{self.true}"


#: scales of drawings, largest first (ISO 5455, from memory)
SCALES = tuple(
    Scale(*pair) for pair in ((10, 1), (5, 1), (2, 1), (1, 1), (1, 2), (1, 5), (1, 10), (1, 20), (1, 50), (1, 100))
)
FULL = Scale(1, 1)


@dataclass(frozen=True)
class ScaleDrawing:
    """A drawing.

    Attributes:
        name: for files: letters, digits and hyphens.
        title: what it shows.
        scale: of the paper.
        shapes: in true mm.
    """

    name: str
    title: str
    scale: Scale
    shapes: tuple[Shape, ...]

    @property
    def plain(self) -> tuple[Plain, ...]:
        """Its shapes with the dimensions drawn out."""
        return plain(self.shapes, self.scale)

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        """Its dimensions."""
        return tuple(shape for shape in self.shapes if isinstance(shape, Linear | Diameter | Angle | Note))

    @property
    def extent(self) -> tuple[Point, Point]:
        """The room that it takes, true mm: lower left and upper right corner."""
        return extent(self.plain, self.scale.factor)

    @property
    def size(self) -> tuple[float, float]:
        """Width and height on paper, mm, without a margin."""
        low, high = self.extent
        return (high[0] - low[0]) * self.scale.factor, (high[1] - low[1]) * self.scale.factor


def plain(shapes: Iterable[Shape], scale: Scale) -> tuple[Plain, ...]:
    """Shapes with the dimensions among them drawn out."""
    out: list[Plain] = []
    for shape in shapes:
        out += drawn(shape, scale.factor) if isinstance(shape, Linear | Diameter | Angle | Note) else [shape]
    return tuple(out)


def largest_scale(width: float, height: float, room: tuple[float, float], most: Scale = SCALES[0]) -> Scale | None:
    """The largest of `SCALES` up to `most` at which this true size (mm) goes into the room (mm of paper); or None."""
    fitting = (one for one in SCALES if width * one.factor <= room[0] and height * one.factor <= room[1])
    return next((one for one in fitting if one.factor <= most.factor), None)
