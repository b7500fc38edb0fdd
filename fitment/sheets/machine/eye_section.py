"""An eye in section at scale: its axis upright, the face from which the tool enters above."""

from __future__ import annotations

from fitment.frozen import dataclass
from fitment.sheets.drawing.dimensions import Linear, Note
from fitment.sheets.drawing.model import ScaleDrawing, Shape, largest_scale
from fitment.sheets.drawing.shapes import Path, Point, Stroke, hatched, line

#: room for the section on its page, mm of paper, dimensions left out
ROOM = (95.0, 48.0)
#: how far the faces of an eye are drawn where its outside is not known, mm of paper
_STUB = 7.0
_CLEAR = 6.0


@dataclass(frozen=True)
class Eye:
    """An eye before and after: diameters at the upper and the lower face, mm.

    Attributes:
        thick: between the faces.
        hole: after the work.
        old: before; None where not known.
        boss: outside; None where not known.
        sleeve: the inside of a sleeve in it; None without one.
        stud: large end and length of the cone of the stud at its stop, and how far it stands proud of the upper face;
            None where none seats in it.
    """

    thick: float
    hole: tuple[float, float]
    old: tuple[float, float] | None
    boss: tuple[float, float] | None
    sleeve: tuple[float, float] | None = None
    stud: tuple[float, float, float] | None = None


def eye_drawing(name: str, title: str, eye: Eye, tolerance: str) -> ScaleDrawing | None:
    """The section with its dimensions, its upper face at 0; None where it has no thickness or no scale takes it.

    `tolerance` stands behind the diameters that are made.
    """
    widest = max(*(eye.boss or eye.hole), *eye.hole) + (0 if eye.boss else 10.0)
    proud = max(eye.stud[2], 0.0) if eye.stud else 0.0
    scale = largest_scale(widest, eye.thick + proud, ROOM)
    if scale is None or eye.thick <= 0:
        return None
    factor = scale.factor
    low, (top, bottom) = -eye.thick, eye.hole
    shapes: list[Shape] = [line((0.0, low - 3 / factor), (0.0, proud + 3 / factor), Stroke.CENTRE)]
    for side in (-1.0, 1.0):
        shapes += _metal(eye, side, factor)
        if eye.sleeve is not None:
            inside = (eye.sleeve[0] / 2, eye.sleeve[1] / 2)
            shapes += _ring(side, inside, (top / 2, bottom / 2), low, (1.2 / factor, -45.0))
    inner = eye.sleeve or eye.hole
    shapes += [line((-inner[0] / 2, 0.0), (inner[0] / 2, 0.0)), line((-inner[1] / 2, low), (inner[1] / 2, low))]
    if eye.old is not None:
        shapes += [
            line((side * eye.old[0] / 2, 0.0), (side * eye.old[1] / 2, low), Stroke.HIDDEN) for side in (-1.0, 1.0)
        ]
    shapes += [*_stud(eye, factor), *_measured(eye, inner, tolerance, factor), *_named(eye, factor)]
    return ScaleDrawing(name, title, scale, tuple(shapes))


def _metal(eye: Eye, side: float, factor: float) -> list[Shape]:
    low = -eye.thick
    holes = (eye.hole[0] / 2, eye.hole[1] / 2)
    if eye.boss is not None:
        return _ring(side, holes, (eye.boss[0] / 2, eye.boss[1] / 2), low, (1.8 / factor, 45.0))
    stub = _STUB / factor
    return [
        line((side * holes[0], 0.0), (side * (holes[0] + stub), 0.0)),
        line((side * holes[1], low), (side * (holes[1] + stub), low)),
        line((side * holes[0], 0.0), (side * holes[1], low)),
    ]


def _ring(side: float, inside: Point, outside: Point, low: float, hatching: tuple[float, float]) -> list[Shape]:
    """One side of a ring in section: radii at the upper and lower face, hatched so far apart and at that angle."""
    corners = tuple(
        (side * r, y) for r, y in ((inside[0], 0.0), (outside[0], 0.0), (outside[1], low), (inside[1], low))
    )
    return [Path(corners, closed=True), *hatched(corners, *hatching)]


def _stud(eye: Eye, factor: float) -> list[Shape]:
    """The stud's cone at its stop, in narrow dashes, with its gauge plane."""
    if eye.stud is None:
        return []
    large, long, proud = eye.stud
    inner = eye.sleeve or eye.hole
    small = large - (inner[0] - inner[1]) / eye.thick * long
    half, end, plane = large / 2, small / 2, large / 2 + 5 / factor
    return [
        Path(((-end, proud - long), (-half, proud), (half, proud), (end, proud - long)), Stroke.HIDDEN, closed=True),
        line((-plane, proud), (plane, proud), Stroke.THIN),
    ]


def _outside(eye: Eye, factor: float) -> float:
    """Half of what is drawn of the eye across."""
    return max(eye.boss or (max(eye.hole) + 2 * _STUB / factor,)) / 2


def _measured(eye: Eye, inner: Point, tolerance: str, factor: float) -> list[Shape]:
    low, outside = -eye.thick, _outside(eye, factor)
    up = 5.0 + max(eye.stud[2], 0.0) * factor if eye.stud else _CLEAR
    shapes: list[Shape] = [
        Linear((-inner[0] / 2, 0.0), (inner[0] / 2, 0.0), up, "x", before="Ø", after=tolerance),
        Linear((-inner[1] / 2, low), (inner[1] / 2, low), -_CLEAR, "x", before="Ø", after=tolerance),
        Linear((outside, low), (outside, 0.0), -_CLEAR, "y"),
    ]
    rows = 2
    if eye.sleeve is not None:
        shapes.append(Linear((-eye.hole[1] / 2, low), (eye.hole[1] / 2, low), -rows * _CLEAR, "x", before="Ø"))
        rows += 1
    if eye.boss is not None:
        above, below = (size / 2 for size in eye.boss)
        shapes.append(Linear((-above, 0.0), (above, 0.0), up + _CLEAR, "x", before="Ø"))
        if f"{above:.3f}" != f"{below:.3f}":
            shapes.append(Linear((-below, low), (below, low), -rows * _CLEAR, "x", before="Ø"))
    if eye.stud is not None and abs(eye.stud[2]) > 1e-9:
        at = -(eye.stud[0] / 2 + 4 / factor)
        shapes.append(Linear((at, 0.0), (at, eye.stud[2]), (outside + at) * factor + _CLEAR, "y"))
    return shapes


def _named(eye: Eye, factor: float) -> list[Shape]:
    """What the narrow lines are, with leaders."""
    shapes: list[Shape] = []
    outside = _outside(eye, factor)
    if eye.stud is not None:
        large, _, proud = eye.stud
        there = (outside + 6 / factor, max(proud, 0.0) + 9 / factor)
        shapes.append(Note((large / 2 + 4 / factor, proud), there, "gauge plane of the stud"))
    if eye.old is not None:
        middle = -(eye.old[0] + eye.old[1]) / 4
        shapes.append(Note((middle, -eye.thick / 2), (-outside - 6 / factor, -eye.thick * 0.7), "as it is now"))
    return shapes
