"""The steering of a car in plan and from the front, third-angle: the plan above, the car's front downwards.

In both views the car's left is on the right, as one stands before the car.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from fitment.joints.pattern_view import SeenPair
from fitment.kits.laid_out import ColumnLaidOut, LaidOut, Point, SideLaidOut
from fitment.sheets.drawing.dimensions import Linear, Note
from fitment.sheets.drawing.model import SCALES, Scale, ScaleDrawing, Shape, largest_scale
from fitment.sheets.drawing.shapes import Circle, Filled, Path, Stroke, Text, cross, extent, line
from fitment.sheets.drawing.shapes import Point as Flat
from fitment.sheets.pattern_plan import compass, hole_shapes, numbered, on_page, spans

#: between the two views, mm of paper, and how far the column is drawn beyond its lower end, mm
_BETWEEN, _COLUMN = 30.0, 80.0

View = Callable[[Point], Flat]


def _front(point: Point) -> Flat:
    return point[1], point[2]


def _plan(point: Point) -> Flat:
    return point[1], -point[0]


def layout_drawing(found: LaidOut, radius: float | None, room: tuple[float, float]) -> ScaleDrawing | None:
    """Both views at the largest scale that the room has; None where it has none.

    Args:
        found: the points.
        radius: rolling radius of the wheels, mm; None where not known.
        room: width and height, mm of paper.
    """
    for scale in SCALES:
        drawing = _at_scale(found, radius, scale)
        if drawing.size[0] <= room[0] and drawing.size[1] <= room[1]:
            return drawing
    return None


def _at_scale(found: LaidOut, radius: float | None, scale: Scale) -> ScaleDrawing:
    factor = scale.factor
    front = _view(found, radius, _front, factor)
    plan = _view(found, radius, _plan, factor)
    top = extent([shape for shape in front if isinstance(shape, Path | Circle)], factor)[1][1]
    foot = extent([shape for shape in plan if isinstance(shape, Path | Circle)], factor)[0][1]
    up = top - foot + _BETWEEN / factor

    def raised(point: Point) -> Flat:
        x, y = _plan(point)
        return x, y + up

    shapes = [
        *_view(found, radius, _front, factor),
        *_view(found, radius, raised, factor),
        *_front_sizes(found, factor),
        *_plan_sizes(found, raised, factor),
    ]
    return ScaleDrawing(
        "layout", "Steering in plan and from the front", scale, (*shapes, *_names(found, shapes, factor))
    )


def _view(found: LaidOut, radius: float | None, view: View, factor: float) -> list[Shape]:
    """What is seen the same way in either view."""
    ball = 1.1 / factor
    shapes: list[Shape] = []
    for side in found.sides.values():
        shapes += _side(side, radius, view, ball)
    left, right = (found.sides[name] for name in ("left", "right"))
    shapes.append(line(view(left.inner), view(right.inner)))
    shapes += [*cross(view(found.rack), 3.0 / factor)]
    shapes += [Circle(view(point), 0.7 / factor, Stroke.THIN) for point in found.crossmember.values()]
    shapes += [line(view(a), view(b), Stroke.THIN) for a, b in _round(found.crossmember, view)]
    if found.column is not None:
        shapes += _column(found.column, view, factor)
    return shapes


def _side(side: SideLaidOut, radius: float | None, view: View, ball: float) -> list[Shape]:
    shapes: list[Shape] = [
        line(view(side.inner), view(side.eye)),
        line(view(side.lower), view(side.upper), Stroke.THIN),
        line(view(_foot_on_axis(side)), view(side.eye)),
        *(Circle(view(point), ball) for point in (side.inner, side.eye)),
        *(Circle(view(point), ball, Stroke.THIN) for point in (side.lower, side.upper)),
    ]
    for front, rear, outer in side.pivots:
        shapes += [line(view(front), view(outer), Stroke.THIN), line(view(rear), view(outer), Stroke.THIN)]
    if side.centre is not None:
        x, y, z = side.centre
        shapes += cross(view(side.centre), 2 * ball)
        if radius is not None:  # the wheel as its middle plane, straight ahead
            shapes.append(line(view((x - radius, y, z)), view((x + radius, y, z)), Stroke.CENTRE))
            shapes.append(line(view((x, y, z - radius)), view((x, y, z + radius)), Stroke.CENTRE))
    return shapes


def _foot_on_axis(side: SideLaidOut) -> Point:
    """Where the arm meets the steering axis: the point of the axis nearest to the eye."""
    way = [b - a for a, b in zip(side.lower, side.upper, strict=True)]
    off = [b - a for a, b in zip(side.lower, side.eye, strict=True)]
    share = sum(a * b for a, b in zip(way, off, strict=True)) / sum(a * a for a in way)
    x, y, z = (a + share * b for a, b in zip(side.lower, way, strict=True))
    return x, y, z


def _round(holes: Mapping[int, Point], view: View) -> list[tuple[Point, Point]]:
    """Pairs of holes in the order round their middle, for lines between them."""
    points = list(holes.values())
    if len(points) < 2:
        return []
    flat = [view(point) for point in points]
    middle = (sum(x for x, _ in flat) / len(flat), sum(y for _, y in flat) / len(flat))
    order = sorted(
        range(len(points)), key=lambda place: math.atan2(flat[place][1] - middle[1], flat[place][0] - middle[0])
    )
    return [(points[a], points[b]) for a, b in zip(order, [*order[1:], order[0]], strict=True)]


def _column(column: ColumnLaidOut, view: View, factor: float) -> list[Shape]:
    end = column.points[0]
    above = (end[0] - _COLUMN * column.along[0], end[1] - _COLUMN * column.along[1], end[2] - _COLUMN * column.along[2])
    points = (above, *column.points)
    return [
        Path(tuple(view(point) for point in points), Stroke.THIN),
        *(Circle(view(point), 1.1 / factor, Stroke.THIN) for point in column.points[1:-1]),
    ]


def _front_sizes(found: LaidOut, factor: float) -> list[Shape]:
    """Heights of inner balls and eyes, angles of the column's joints."""
    shapes: list[Shape] = []
    for name, way in (("left", 1.0), ("right", -1.0)):
        side = found.sides[name]
        below = side.inner[2] - side.eye[2]
        eye = _front(side.eye)
        words = f"ball {abs(below):.2f} {'lower' if below >= 0 else 'higher'}"
        shapes.append(Note(eye, (eye[0] - way * 9.0 / factor, eye[1] - 14.0 / factor), words))
    if found.column is not None:
        for number, (point, angle) in enumerate(zip(found.column.points[1:-1], found.column.angles, strict=False), 1):
            at = _front(point)
            shapes.append(Note(at, (at[0] + 12.0 / factor, at[1] + 7.0 / factor), f"joint {number}: {angle:.1f}°"))
    return shapes


def _plan_sizes(found: LaidOut, raised: View, factor: float) -> list[Shape]:
    """Rack off the middle, the balls' distance, rods with their set lengths, how far eye and inner ball are apart."""
    left, right = (found.sides[name] for name in ("left", "right"))
    shapes: list[Shape] = []
    points = [raised(one) for one in (left.inner, right.inner, left.eye, right.eye)]
    rear = max(y for _, y in points) + 22.0 / factor
    front = min(y for _, y in points) - 14.0 / factor
    middle = (found.middle, 0.0, 0.0)
    x = raised(middle)[0]
    shapes.append(line((x, front - 6.0 / factor), (x, rear + 12.0 / factor), Stroke.CENTRE))
    inner_right, inner_left = raised(right.inner), raised(left.inner)
    shapes.append(Linear(inner_right, inner_left, (rear - inner_right[1]) * factor, "x", after=" between inner balls"))
    if abs(found.rack[1] - found.middle) > 0.005:
        rack = raised(found.rack)
        first, last = sorted(((x, rack[1]), rack))
        shapes.append(Linear(first, last, (front - rack[1]) * factor, "x", after=" rack off the middle"))
    for name, side, way in (("left", left, 1.0), ("right", right, -1.0)):
        a, b = raised(side.inner), raised(side.eye)
        at = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        words = f"{name} rod {side.rod:.2f}"
        shapes.append(Note(at, (at[0] - way * 6.0 / factor, rear - 9.0 / factor), words))
    return shapes


def _names(found: LaidOut, shapes: list[Shape], factor: float) -> list[Shape]:
    """Which view is which, and which side is left."""
    low, high = extent([shape for shape in shapes if isinstance(shape, Path | Circle)], factor)
    middle = (low[0] + high[0]) / 2
    row = low[1] - 6.0 / factor
    return [
        Text((middle, high[1] + 4.0 / factor), "PLAN, the front of the car downwards", align="middle", bold=True),
        Text((middle, row), "FROM THE FRONT", align="middle", bold=True),
        *(Text((found.sides[name].eye[1], row), name.upper(), align="middle", bold=True) for name in ("left", "right")),
    ]


def overlay_drawing(seen: SeenPair, room: tuple[float, float]) -> ScaleDrawing | None:
    """Both mounting patterns over each other with an arrow from each hole to where the rack's bolt comes to lie.

    The arrows are longer than the distance at true size, as many times as the title says; None without room.
    """
    points = [on_page(hole.at) for pattern in (seen.first, seen.second) for hole in pattern.holes]
    across = max(x for x, _ in points) - min(x for x, _ in points)
    up = max(y for _, y in points) - min(y for _, y in points)
    scale = largest_scale(across, up, (room[0] - 80.0, room[1] - 40.0))
    if scale is None:
        return None
    times = _magnified(max(seen.apart), scale)
    shapes: list[Shape] = []
    for there, rack, apart in zip(seen.second.holes, seen.first.holes, seen.apart, strict=True):
        shapes += hole_shapes(there, Stroke.OUTLINE, scale.factor)
        shapes += hole_shapes(rack, Stroke.HIDDEN, scale.factor)
        shapes.append(numbered(there, f"{there.number}: {apart:.2f} off", scale.factor))
        shapes += _arrow(on_page(there.at), on_page(rack.at), times, scale.factor)
    shapes += spans(seen.second.holes, scale.factor)
    low, high = ScaleDrawing("", "", scale, tuple(shapes)).extent
    shapes += compass((high[0] + 5.0 / scale.factor, (low[1] + high[1]) / 2), scale.factor, seen.ways)
    arrows = f"arrows {times} times the distance between the axes" if max(seen.apart) >= 0.005 else "axis on axis"
    title = f"{seen.first.name} on {seen.second.name}; {arrows}"
    return ScaleDrawing("layout-mounting", title, scale, tuple(shapes))


#: lengths of the longest arrow, mm of paper, and what an arrow may be magnified by
_LONGEST, _STEPS = 14.0, (1, 2, 5, 10, 20, 50, 100, 200, 500)


def _magnified(longest: float, scale: Scale) -> int:
    fitting = [times for times in _STEPS if longest * scale.factor * times <= _LONGEST]
    return fitting[-1] if fitting else 1


def _arrow(start: Flat, towards: Flat, times: int, factor: float) -> list[Shape]:
    x, y = (towards[0] - start[0]) * times, (towards[1] - start[1]) * times
    long = math.hypot(x, y)
    if long * factor < 0.2:
        return []
    tip = (start[0] + x, start[1] + y)
    way = (x / long, y / long)
    back, half = min(2.5 / factor, long), 0.7 / factor
    root = (tip[0] - way[0] * back, tip[1] - way[1] * back)
    head = (tip, (root[0] - way[1] * half, root[1] + way[0] * half), (root[0] + way[1] * half, root[1] - way[0] * half))
    return [line(start, tip), Filled(head, Stroke.OUTLINE)]
