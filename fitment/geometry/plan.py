"""Ratio and lock where the suspension is not known: rack, arm and rod in plan, the steering axes upright.

It answers for the bar alone. Castor, inclination and bump are left out, and so is what they do to lock.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.geometry.frames import Vector
from fitment.geometry.suspension import Corner, FixedAxis

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: mm; any height will do for an upright axis
_UP = 100.0


def plan_corner(side: int, kingpin_track: Values, arm_forward: Values, arm_outboard: Values) -> Corner:
    """One wheel of which only its steering arm is known, its axis upright, straight ahead; x = 0 at the axes.

    Args:
        side: +1 left, -1 right.
        kingpin_track: distance of the two steering axes, mm; y = 0 is midway.
        arm_forward: eye ahead of the axis, mm; minus where it lies behind.
        arm_outboard: eye outboard of the axis, mm; minus where it lies inboard.

    Raises:
        DataFault: where the arm has no length.
    """
    foot = Vector(0.0, side * kingpin_track / 2, 0.0)
    eye = foot + Vector(arm_forward, side * arm_outboard, 0.0)
    return Corner(side, FixedAxis(foot, foot + Vector(0.0, 0.0, _UP)), eye, foot)
