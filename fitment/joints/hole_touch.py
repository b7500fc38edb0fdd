"""The geometry under `hole_shift`: which boundaries may bind together, and where three of them are touched at once.

A point (the centre of a round hole, the end of a slot) binds on a circle about it: |t - a| = t* + s. The side of a slot
binds on a straight line: n·t - h = t* + s.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Indices = NDArray[np.intp]


def dot(one: Floats, other: Floats) -> Floats:
    """x x' + y y' of vectors whose last axis begins with x and y."""
    import numpy as np

    return np.asarray(one[..., 0] * other[..., 0] + one[..., 1] * other[..., 1])


def cross(one: Floats, other: Floats) -> Floats:
    """x y' - y x' of vectors whose last axis begins with x and y."""
    import numpy as np

    return np.asarray(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])


def _cross3(one: Floats, other: Floats) -> Floats:
    import numpy as np

    x = one[..., 1] * other[..., 2] - one[..., 2] * other[..., 1]
    y = one[..., 2] * other[..., 0] - one[..., 0] * other[..., 2]
    return np.stack((x, y, cross(one, other)), axis=-1)


def point_holes(holes: int, slotted: tuple[int, ...]) -> list[int]:
    """To which hole each point belongs: round holes have one, slots two."""
    return [hole for hole in range(holes) if hole not in slotted] + [*slotted, *slotted]


@cache
def triples(holes: int, slotted: tuple[int, ...]) -> tuple[tuple[Indices, Indices, Floats], ...]:
    """Points, holes of lines and signs of lines of all threes, by how many of the three are points."""
    import numpy as np

    owner = point_holes(holes, slotted)
    lines = [(hole, sign) for hole in slotted for sign in (1.0, -1.0)]
    found = []
    for count in (3, 2, 1, 0):
        threes = [
            (points, sides)
            for points in combinations(range(len(owner)), count)
            for sides in combinations(lines, 3 - count)
            if len({owner[point] for point in points} | {hole for hole, _ in sides}) > 1
        ]
        if threes:
            points = np.asarray([points for points, _ in threes], dtype=np.intp)
            sides = np.asarray([sides for _, sides in threes]).reshape(len(threes), 3 - count, 2)
            found.append(
                (points.reshape(len(threes), count), sides[..., 0].astype(np.intp), sides[..., 1].astype(float))
            )
    return tuple(found)


def linear(spots: Floats, slack: Floats, normals: Floats, heights: Floats) -> tuple[Floats, Floats]:
    """The linear equations (m, k, r, 3) in t and t* of three boundaries, and their right sides: 2, or 3 of lines.

    A point: |t - a| = t* + s, two of them subtracted are linear. A line: n·t - h = t* + s.
    """
    import numpy as np

    count = spots.shape[2]
    from_points = 2 * (spots[:, :, :1] - spots[:, :, 1:])
    steps = 2 * (slack[:, :, :1] - slack[:, :, 1:count])
    squares = dot(spots, spots) - slack[:, :, :count] ** 2
    rows = np.concatenate((from_points, steps[..., None]), axis=-1)
    sides = squares[:, :, :1] - squares[:, :, 1:]
    line_rows = np.concatenate((normals, np.full((*normals.shape[:-1], 1), -1.0)), axis=-1)
    line_sides = heights + slack[:, :, count:]
    return np.concatenate((rows, line_rows), axis=2), np.concatenate((sides, line_sides), axis=2)


def meeting(rows: Floats, sides: Floats, spots: Floats, slack: Floats) -> Floats:
    """The shifts (m, k, roots, 2) on three boundaries: two linear equations and one circle, or three lines."""
    import numpy as np

    one, two = rows[:, :, 0], rows[:, :, 1]
    free = _cross3(one, two)
    size = (dot(free, free) + free[..., 2] ** 2)[..., None]
    start = (sides[:, :, :1] * _cross3(two, free) + sides[:, :, 1:2] * _cross3(free, one)) / size
    free = free / np.sqrt(size)
    if not spots.shape[2]:
        three = rows[:, :, 2]
        along = (sides[:, :, 2] - np.sum(three * start, axis=-1)) / np.sum(three * free, axis=-1)
        return np.asarray((start + along[..., None] * free)[:, :, None, :2])
    apart, reach = start[..., :2] - spots[:, :, 0], start[..., 2] + slack[:, :, 0]
    square = dot(free, free) - free[..., 2] ** 2
    middle = dot(apart, free) - reach * free[..., 2]
    rest = dot(apart, apart) - reach**2
    root = np.sqrt(np.maximum(middle**2 - square * rest, 0.0))  # touching, but for rounding
    larger = -(middle + np.where(middle < 0, -root, root))
    along = np.stack((larger / square, rest / larger), axis=-1)
    return np.asarray(start[:, :, None, :2] + along[..., None] * free[:, :, None, :2])
