"""What a mix of parts does to the steering, in the numbers that are compared with the original. Pure.

Lengths in mm, angles in degrees; numbers or arrays. Every change is recomputed exactly, the rods set anew.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from fitment.geometry.slopes import bump_toe
from fitment.geometry.steering import Steering, set_rods, wheels
from fitment.geometry.upright import HeldToe, at_arm_angle

if TYPE_CHECKING:
    from fitment.elementwise import Values
    from fitment.geometry.frames import Vector
    from fitment.geometry.rack import Rack
    from fitment.geometry.suspension import Corner


def rack_speed(teeth: Values, normal_module: Values, tooth_angle: Values = 0.0) -> Values:
    """Travel of the bar per turn of the pinion (mm): pi z m / cos(angle of the bar's teeth from square across it)."""
    import numpy as np

    speed: Values = math.pi * teeth * normal_module / np.cos(np.radians(tooth_angle))
    return speed


def turns(travel: Values, speed: Values) -> Values:
    """Turns of the pinion for a travel of the bar (mm) at a rack speed (mm per turn)."""
    return travel / speed


def steering_ratio(steer_per_mm: Values, speed: Values) -> Values:
    """Steering-wheel angle over road-wheel angle where the road wheel turns at this rate (deg per mm of the bar)."""
    import numpy as np

    ratio: Values = 360 / speed / np.abs(steer_per_mm)
    return ratio


def mean_ratio(bar: Values, speed: Values, steer_left: Values, steer_right: Values) -> Values:
    """The same from straight ahead to a displacement of the bar (mm), by the mean of both steer angles there (deg)."""
    import numpy as np

    ratio: Values = np.abs(turns(bar, speed) * 360 / ((steer_left + steer_right) / 2))
    return ratio


def bump_steer(steering: Steering) -> tuple[Values, Values]:
    """Bump steer of the left and the right wheel at the design pose: toe-in, deg per mm of bump."""
    left, right = wheels(steering, 0.0)
    return bump_toe(left), bump_toe(right)


def bump_steer_per_mm(steering: Steering) -> dict[str, tuple[Values, Values]]:
    """Change of bump steer (deg per mm of bump) of both wheels per mm of the rack, by recomputing 1 mm either way.

    Returns:
        `height` (rack up), `fore-aft` (rack forward) and `spacing` (inner ball centres farther apart, half a mm each).
    """
    rack = steering.rack

    def reset(other: Rack) -> Steering:
        return set_rods(other, steering.left, steering.right)

    def change(plus: Rack, minus: Rack) -> tuple[Values, Values]:
        more, less = bump_steer(reset(plus)), bump_steer(reset(minus))
        return (more[0] - less[0]) / 2, (more[1] - less[1]) / 2

    return {
        "height": change(rack.moved(up=1.0), rack.moved(up=-1.0)),
        "fore-aft": change(rack.moved(forward=1.0), rack.moved(forward=-1.0)),
        "spacing": change(replace(rack, spacing=rack.spacing + 1), replace(rack, spacing=rack.spacing - 1)),
    }


def null_height(corner: Corner, inner: Vector) -> Values:
    """Height (mm) of the inner ball, its x and y kept, at which bump steer on centre is nil; the rod is set anew.

    With toe held the eye moves in one direction, and a rod square to that direction asks for no steering: the inner
    balls without bump steer on centre lie in the plane through the eye square to it (computed from the condition that
    the rate of toe is nil).
    """
    held = at_arm_angle(corner, HeldToe(corner.toe), 0.0)
    moves = held.lower_rate + held.turning.cross(corner.arm_eye - held.upright.lower)
    away = corner.arm_eye - inner
    return corner.arm_eye.z + (moves.x * away.x + moves.y * away.y) / moves.z


def roll_steer(steering: Steering) -> Values:
    """Mean steer of both wheels (deg, + to the left) per degree that the body rolls, + to its right.

    In a left-hand bend the body rolls to the right: minus steers out of the bend. The wheels rise and fall by half the
    distance of their centres times the roll.
    """
    half = (steering.left.wheel_centre.y - steering.right.wheel_centre.y) / 2
    left, right = bump_steer(steering)
    return (left + right) / 2 * half * (math.pi / 180)


def toe_per_lengthening(steering: Steering, lengthening: Values) -> tuple[Values, Values]:
    """Exact change of toe-in (deg) of the left and the right wheel when its rod grows by this, mm.

    One turn lengthens a rod by its pitch, one with a right-hand and a left-hand thread by both. The height of the wheel
    centre is held.
    """
    longer = replace(steering, rod_left=steering.rod_left + lengthening, rod_right=steering.rod_right + lengthening)
    before, after = wheels(steering, 0.0), wheels(longer, 0.0)
    return after[0].toe_in - before[0].toe_in, after[1].toe_in - before[1].toe_in


def toe_per_mm(moment_arm: Values, axis_z: Values = 1.0) -> Values:
    """Rule for the same (deg per mm of rod): 1/arm, times the upright part of the steering axis' unit vector.

    Args:
        moment_arm: of the rod about the steering axis, mm.
        axis_z: 1 for an upright axis.
    """
    return axis_z / moment_arm * (180 / math.pi)
