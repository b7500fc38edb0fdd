"""Where the steering lies in the car at ride height, wheels straight: the points that a drawing is made of.

Points are car coordinates at the adopted values: x forward, y to the car's left, z up; mm.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.geometry.joint_chain import chain_between
from fitment.joints.answering import Size, formula
from fitment.joints.pattern_holes import pattern_of
from fitment.joints.pattern_place import placement
from fitment.kits.assembly import Assembly
from fitment.kits.checked_car import CheckedCar, why_not_solved
from fitment.kits.kit import Kit
from fitment.kits.rack_place import CROSSMEMBER
from fitment.kits.roles import SIDES
from fitment.kits.shaft_parts import Line, line_of
from fitment.kits.shaft_place import placed

Point = tuple[float, float, float]

#: surveyed points without any of which nothing can be drawn
_NEEDED = frozenset({"arm-eye", "lower-ball", "upper-ball", "strut-top", "inner-ball", "wheel-centre"})


@dataclass(frozen=True)
class SideLaidOut:
    """One side.

    Attributes:
        inner, eye: centres of the inner joint's ball and of the outer one in the arm's eye.
        lower, upper: two points of the steering axis.
        centre: of the wheel; None where it was not surveyed.
        pivots: of the suspension's arms: (front pivot, rear pivot, ball).
        rod: length of the tie rod as it is set, ball to ball.
    """

    inner: Point
    eye: Point
    lower: Point
    upper: Point
    centre: Point | None
    pivots: tuple[tuple[Point, Point, Point], ...]
    rod: float


@dataclass(frozen=True)
class ColumnLaidOut:
    """The line from column to pinion: its points from the column's lower end to the pinion's, and angles of the joints.

    Attributes:
        points: lower end of the column, centres of the joints, end of the pinion.
        along: direction of the column, towards the pinion, of length 1.
        angles: of the joints, deg.
        lengths: joint centre to joint centre, mm.
    """

    points: tuple[Point, ...]
    along: Point
    angles: tuple[float, ...]
    lengths: tuple[float, ...]


@dataclass(frozen=True)
class LaidOut:
    """The steering in the car.

    Attributes:
        sides: by side.
        middle: y of the middle between the two eyes.
        rack: middle between the inner balls, bar centred on the housing's middle.
        column: None where it is not known.
        crossmember, rack_holes: by hole number, in the car; empty where they are not known.
        told: what is not drawn, and what it lacks.
        notes: what the car model takes for granted.
    """

    sides: Mapping[str, SideLaidOut]
    middle: float
    rack: Point
    column: ColumnLaidOut | None
    crossmember: Mapping[int, Point]
    rack_holes: Mapping[int, Point]
    told: tuple[str, ...]
    notes: tuple[str, ...]


def laid_out(kit: Kit, assembly: Assembly, car: CheckedCar) -> LaidOut | tuple[Gap, ...] | None:
    """The steering of a kit in its car.

    Returns:
        what is missing where rack, rods or wheels have no place; None where neither kit nor survey speaks of it.
    """
    if why_not_solved(kit, assembly, _NEEDED) is not None:
        return None
    model = car.model
    if not model.steering.known:
        return model.steering.gaps
    steering: Any = model.steering.at(_central)
    sides = {}
    for side, sign, corner, rod in (
        ("left", 1, steering.left, steering.rod_left),
        ("right", -1, steering.right, steering.rod_right),
    ):
        links, centre = corner.links, model.wheels[side].centre
        sides[side] = SideLaidOut(
            _point(steering.rack.inner_ball(sign, 0.0)),
            _point(corner.arm_eye),
            _point(links.lower_ball),
            _point(_upper(links)),
            _point(centre.at(_central)) if centre.known else None,
            _arms(links),
            float(rod),
        )
    left, right = (sides[side] for side in SIDES)
    middle = tuple((a + b) / 2 for a, b in zip(left.inner, right.inner, strict=True))
    column, wanting = _column(kit, assembly)
    crossmember, rack_holes, unplaced = _holes(assembly)
    return LaidOut(
        sides,
        (left.eye[1] + right.eye[1]) / 2,
        (middle[0], middle[1], middle[2]),
        column,
        crossmember,
        rack_holes,
        (*wanting, *unplaced),
        model.notes,
    )


def _central(use: Use) -> float:
    return use.number


def _point(vector: Any) -> Point:
    return float(vector.x), float(vector.y), float(vector.z)


def _upper(links: Any) -> Any:
    from fitment.geometry.suspension import upper_end

    return upper_end(links)


def _arms(links: Any) -> tuple[tuple[Point, Point, Point], ...]:
    from fitment.geometry.suspension import Strut, Wishbones

    arms = []
    if isinstance(links, Wishbones | Strut):
        arms.append((links.lower_front, links.lower_rear, links.lower_ball))
    if isinstance(links, Wishbones):
        arms.append((links.upper_front, links.upper_rear, links.upper_ball))
    return tuple((_point(front), _point(rear), _point(ball)) for front, rear, ball in arms)


def _column(kit: Kit, assembly: Assembly) -> tuple[ColumnLaidOut | None, tuple[str, ...]]:
    line = line_of(kit, assembly)
    if not isinstance(line, Line):
        return None, ("column line: " + "; ".join(f"{gap.feature} {gap.why}" for gap in line),)
    place = placed(line, kit, assembly)
    chain = formula(lambda down, out, *at: chain_between(down, at, out), place.column, place.pinion, *place.corners)
    wanted = (*place.ends, *place.centres, place.column, chain)
    gaps = tuple(dict.fromkeys(gap for size in wanted for gap in size.gaps))
    if gaps:
        return None, ("column line: " + "; ".join(f"{gap.feature} {gap.dimension}: {gap.why}" for gap in gaps),)
    import numpy as np

    found: Any = chain.at(_central)
    points = [place.ends[0], *place.centres, place.ends[1]]
    return (
        ColumnLaidOut(
            tuple(_at(size) for size in points),
            _at(place.column),
            tuple(float(np.degrees(angle)) for angle in found.angles),
            tuple(float(length) for length in found.lengths),
        ),
        (),
    )


def _at(size: Size) -> Point:
    return _point(size.at(_central))


def _holes(assembly: Assembly) -> tuple[dict[int, Point], dict[int, Point], tuple[str, ...]]:
    """Holes of crossmember and rack in the car, and why they are not drawn."""
    rack, crossmember = assembly.found.get("rack"), assembly.found.get(CROSSMEMBER)
    if rack is None or crossmember is None:
        return {}, {}, ("mounting holes: the kit names no crossmember",)
    first, second = rack.features["mount"], crossmember.features["mount"]
    where = placement(first, second)
    if isinstance(where, Gap):
        return {}, {}, (f"mounting holes: {where.feature} {where.dimension}: {where.why}",)
    own, there = pattern_of(first), pattern_of(second)
    laid = own.central @ where.rotation.T + where.shift
    return (
        {number: _triple(point) for number, point in zip(there.numbers, there.central, strict=True)},
        {number: _triple(point) for number, point in zip(own.numbers, laid, strict=True)},
        (),
    )


def _triple(point: Any) -> Point:
    return float(point[0]), float(point[1]), float(point[2])
