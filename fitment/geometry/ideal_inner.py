"""Where a tie rod's inner joint would have to be for no bump steer, and what a stated toe change leaves for it. Pure.

The wheel is taken through its travel with its toe held; what the steering arm's eye does then, a rod must be able to
follow. Three poses (down, ride height, up) fix the inner joint in the plane of its x: toe is the same in all three.

Lengths in mm, angles in degrees; every argument may be a number or an array of samples.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from fitment.geometry.frames import Vector
from fitment.geometry.suspension import Corner
from fitment.geometry.upright import HeldToe, at_travel

if TYPE_CHECKING:
    from fitment.elementwise import Values


def ideal_inner(corner: Corner, x: Values, travel: Values) -> Vector:
    """The inner ball centre at `x` for which toe at `travel` mm of bump and of droop is that at ride height.

    With r from the eye at ride height to the inner joint and d from there to the eye in another pose, an unchanged
    length asks |r - d| = |r|, so d · r = |d|²/2: two equations for y and z (computed).

    Args:
        corner: the wheel, its suspension's points known.
        x: where the inner joint lies along the car.
        travel: of the wheel centre, up and down, above zero.

    Returns:
        The point; NaN where the suspension does not reach so far.
    """
    hold = HeldToe(corner.toe)
    up, down = (at_travel(corner, hold, rise).arm_eye - corner.arm_eye for rise in (travel, -1 * travel))
    along = x - corner.arm_eye.x
    right_up, right_down = (d.dot(d) / 2 - d.x * along for d in (up, down))
    size = up.y * down.z - up.z * down.y
    y = (right_up * down.z - right_down * up.z) / size
    z = (up.y * right_down - down.y * right_up) / size
    return Vector(x, corner.arm_eye.y + y, corner.arm_eye.z + z)


def height_tolerance(toe_limit: float, travel: float, rod: Values, arm: Values) -> Values:
    """How far the inner joint may be off in height, mm: toe · L · a / travel.

    The slope of toe is dh/(L a) rad per mm of travel (within 4 % of the full solution, computed).

    Args:
        toe_limit: toe change of one wheel, degrees.
        travel: wheel travel over which it is allowed.
        rod: length of the tie rod.
        arm: its moment arm about the steering axis.
    """
    return math.radians(toe_limit) * rod * arm / travel


def rod_tolerance(toe_limit: float, travel: float, rod: Values, arm: Values) -> tuple[Values, Values]:
    """Shortest and longest tie rod, mm, the inner joint on the ideal rod's line.

    The curvature of toe is (1/L_ideal - 1/L)/a rad per mm squared (within 2 % of the full solution, computed), and the
    toe change half of it times the travel squared.

    Args:
        toe_limit: toe change of one wheel, degrees.
        travel: wheel travel up and down over which it is allowed.
        rod: ideal length of the tie rod.
        arm: its moment arm about the steering axis.

    Returns:
        Shortest and longest; a longest below the shortest means that any longer rod will do.
    """
    bend = 2 * math.radians(toe_limit) * arm / travel**2
    return 1 / (1 / rod + bend), 1 / (1 / rod - bend)


def inner_moved(corner: Corner, inner: Vector, steer: Values) -> Values:
    """How far the bar moves to the left (mm) for a steer angle at ride height, the rod's length kept.

    Args:
        corner: the wheel; a fixed steering axis will do.
        inner: the inner ball centre with the wheels straight; it moves across the car.
        steer: wanted steer angle of this wheel, + to the left.

    Returns:
        The displacement; NaN where the rod is too short to reach the arm at that angle.
    """
    import numpy as np

    length = (corner.arm_eye - inner).length()
    eye = at_travel(corner, HeldToe(-corner.side * steer), 0.0).arm_eye
    with np.errstate(invalid="ignore"):  # NaN is meant
        across = np.sqrt(length**2 - (eye.x - inner.x) ** 2 - (eye.z - inner.z) ** 2)
    moved: Values = eye.y - corner.side * across - inner.y
    return moved
