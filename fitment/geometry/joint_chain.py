"""Universal joints in a chain, from the column to the pinion: angles, planes, phase, and how uneven the turning is.

Angles in radians, lengths in mm; every number may be an array of a shape that broadcasts with the others. A joint has
two forks and a cross between them. q is the turn of its driving fork, nought when the fork's pin lies in the plane of
the two shafts. The phase of a shaft is the turn about it from the pin of its first fork to the pin of its second,
right-handed looking down the chain: clockwise as seen from the column. It repeats after half a turn.

Source: the one-joint formulas are those of any machine-element text; the chain is the product of the joints' own
maps (derived here, and held in the tests against a simulation of the crosses that shares no formula with it).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from fitment.frozen import dataclass
from fitment.geometry.frames import Vector

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: a map of two coordinates of a fork's pin, in the plane of a joint and across it: (a, b; c, d)
Map = tuple[Any, Any, Any, Any]


def output_turn(angle: Values, turn: Values) -> Values:
    """Turn of the driven fork, nought where the driving fork's is: tan q2 = tan q/cos b, without a jump."""
    import numpy as np

    sin, cos = np.sin(turn), np.cos(turn)
    lag: Values = np.arctan2(sin * cos * (1 - np.cos(angle)), np.cos(angle) * cos**2 + sin**2)
    return turn + lag


def most_lag(angle: Values) -> Values:
    """The largest difference of the two turns of one joint: asin tan²(b/2)."""
    import numpy as np

    lag: Values = np.arcsin(np.tan(angle / 2) ** 2)
    return lag


def fluctuation(ratio: Values) -> Values:
    """Highest less lowest speed ratio of a chain whose highest is `ratio`; of one joint sin b tan b.

    The torque ratio without friction is the speed ratio upside down, so that it swings as widely.
    """
    return ratio - 1 / ratio


def single_angle(ratio: Values) -> Values:
    """The angle of the one joint that would be as uneven as a chain whose highest speed ratio is `ratio`."""
    import numpy as np

    # acos(1/ratio) loses half of the digits near 1
    angle: Values = np.arctan(np.sqrt(np.maximum((ratio - 1) * (ratio + 1), 0.0)))
    return angle


def highest_ratio(angles: Sequence[Values], errors: Sequence[Values] = ()) -> Values:
    """The highest speed ratio over a turn, last shaft over first; the lowest is 1 over it.

    It is the ratio of the singular values of the product of the joints' maps: each maps the pin (in plane, across) by
    diag(cos b, 1) and a quarter turn, and each shaft adds the turn by which its phase is wrong.

    Args:
        angles: of the joints, from the column on; at least one.
        errors: phase less the right phase of each shaft between two joints, one fewer than angles.
    """
    import numpy as np

    a, b, c, d = _chain(angles, errors)
    # twice the mean and half the difference of the singular values, without the loss of digits near equality
    total, apart = np.hypot(a + d, c - b), np.hypot(a - d, b + c)
    ratio: Values = (total + apart) / abs(total - apart)
    return ratio


def ratio_at(angles: Sequence[Values], errors: Sequence[Values], turn: Values) -> Values:
    """Speed of the last shaft over that of the first, at a turn q of the first joint's driving fork."""
    import numpy as np

    a, b, c, d = _chain(angles, errors)
    cos, sin = np.cos(turn), np.sin(turn)
    ratio: Values = (a * d - b * c) / ((a * cos + b * sin) ** 2 + (c * cos + d * sin) ** 2)
    return ratio


def _chain(angles: Sequence[Values], errors: Sequence[Values]) -> Map:
    import numpy as np

    whole = _joint(angles[0])
    for angle, error in zip(angles[1:], errors, strict=True):
        cos, sin = np.cos(error), np.sin(error)
        whole = _product(_joint(angle), _product((cos, -sin, sin, cos), whole))
    return whole


def _joint(angle: Values) -> Map:
    import numpy as np

    return 0.0, -1.0, np.cos(angle), 0.0


def _product(second: Map, first: Map) -> Map:
    a, b, c, d = second
    e, f, g, h = first
    return a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h


@dataclass(frozen=True, slots=True)
class Chain:
    """A chain of joints in the car.

    Attributes:
        shafts: unit directions of all shafts, column and pinion included, each pointing down the chain.
        lengths: joint centre to joint centre of each shaft between two joints.
        angles: of the joints, 0 to pi.
        twists: of each shaft between two joints: the turn about it from the plane of its first joint to that of its
            second, which is its right phase. Nought where a joint is straight and has no plane: any phase does there.
    """

    shafts: tuple[Vector, ...]
    lengths: tuple[Values, ...]
    angles: tuple[Values, ...]
    twists: tuple[Values, ...]


def chain_between(column: Vector, centres: Sequence[Vector], pinion: Vector) -> Chain:
    """The chain of joints at these centres.

    Args:
        column: direction of the column, towards the pinion; of any length.
        centres: joint centres from the column on; one or more.
        pinion: direction of the pinion, away from the column; of any length.
    """
    import numpy as np

    gaps = [after - before for before, after in pairwise(centres)]
    shafts = tuple(one.unit() for one in (column, *gaps, pinion))
    normals = [before.cross(after) for before, after in pairwise(shafts)]
    # not acos, which loses digits near a straight joint
    angles = tuple(
        np.arctan2(normal.length(), before.dot(after))
        for normal, before, after in zip(normals, shafts[:-1], shafts[1:], strict=True)
    )
    twists = tuple(
        np.arctan2(first.cross(second).dot(along), first.dot(second))
        for first, second, along in zip(normals[:-1], normals[1:], shafts[1:-1], strict=True)
    )
    return Chain(shafts, tuple(gap.length() for gap in gaps), angles, twists)


def axis_direction(slope: Values, slant: Values, outboard: float) -> Vector:
    """Direction of a column towards the front.

    Args:
        slope: how steeply it falls towards the front.
        slant: how far it turns outboard towards the front, seen from above.
        outboard: 1 where outboard is the car's left, -1 where it is the right.
    """
    import numpy as np

    level = np.cos(slope)
    return Vector(level * np.cos(slant), outboard * level * np.sin(slant), -1 * np.sin(slope))


def tipped(direction: Vector, angle: Values) -> Vector:
    """A direction tipped up by an angle, in the upright plane that it lies in."""
    import numpy as np

    level = np.hypot(direction.x, direction.y)
    cos, sin = np.cos(angle), np.sin(angle)
    side = (cos * level - sin * direction.z) / level
    return Vector(direction.x * side, direction.y * side, sin * level + cos * direction.z)


def tipped_about(point: Vector, pivot: Vector, direction: Vector, angle: Values) -> Vector:
    """A point carried along as a direction is tipped up by an angle about a pivot, in the direction's upright plane."""
    import numpy as np

    level = np.hypot(direction.x, direction.y)
    out = Vector(direction.x / level, direction.y / level, 0.0)
    arm = point - pivot
    along, cos, sin = arm.dot(out), np.cos(angle), np.sin(angle)
    ahead = cos * along - sin * arm.z - along
    return Vector(point.x + ahead * out.x, point.y + ahead * out.y, pivot.z + sin * along + cos * arm.z)


def lines_apart(first: Vector, along: Vector, second: Vector, beside: Vector) -> tuple[Values, Values, Values]:
    """How far two lines pass each other, and where.

    Args:
        first, along: a point of the one and its unit direction.
        second, beside: a point of the other and its unit direction.

    Returns:
        The shortest distance, and how far from either point it lies along its direction. Of parallel lines the
        distance is exact and the place is NaN.
    """
    import numpy as np

    gap, normal = second - first, along.cross(beside)
    square = np.asarray(normal.dot(normal))
    skew = np.where(square > 1e-18, square, np.nan)
    distance = np.where(square > 1e-18, abs(gap.dot(normal)) / np.sqrt(skew), gap.cross(along).length())
    return distance[()], (gap.cross(beside).dot(normal) / skew)[()], (gap.cross(along).dot(normal) / skew)[()]


def least_uneven(angles: Sequence[Values]) -> tuple[Values, ...]:
    """Phase errors at which two or three joints turn most evenly, one for each shaft between them.

    Two joints: nought. Three: the maps are translations of the hyperbolic plane by -ln cos b, each shaft turning the
    next by twice its error; they cancel where they close a triangle (law of cosines of that plane), and where the
    longest is longer than the other two together those stand against it.

    Source: derived here.
    """
    import numpy as np

    if len(angles) == 2:
        return (0.0,)
    first, second, third = (1 / np.cos(angle) for angle in angles)

    def corner(one: Values, other: Values, opposite: Values) -> Values:
        # cosh and sinh of -ln cos b, of which 1/cos b is the exponential
        cosh = [(ratio + 1 / ratio) / 2 for ratio in (one, other, opposite)]
        sinh = (one - 1 / one) * (other - 1 / other) / 4
        bent = sinh > 1e-12  # a straight joint leaves every phase alike
        cos = (cosh[0] * cosh[1] - cosh[2]) / np.where(bent, sinh, 1.0)
        half: Values = np.where(bent, np.arccos(np.clip(cos, -1.0, 1.0)) / 2, 0.0)[()]
        return half

    return corner(first, second, third), corner(second, third, first)


def index_step(positions: Sequence[int]) -> float:
    """Finest step of a shaft's phase that its ends allow, radians.

    A yoke goes on a spline of N teeth in N positions, on a double-D in two, over a notch in one; moving both ends
    reaches every multiple of a turn over their least common multiple. A fork looks the same after half a turn, so
    that an odd count steps half as far as it seems.

    Args:
        positions: in how many places the yoke goes on, of each end.
    """
    return 2 * math.pi / math.lcm(2, *positions)


def nearest_error(error: Values, step: float) -> Values:
    """What remains of a phase error when the yokes are moved by whole steps, from -step/2 to step/2."""
    return error - step * _rounded(error / step)


def _rounded(value: Values) -> Values:
    import numpy as np

    rounded: Values = np.floor(value + 0.5)
    return rounded
