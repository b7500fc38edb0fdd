"""Exact rates of toe, camber and steer at any pose, without differencing.

Rates in degrees per mm. Numbers or arrays; NaN where the pose is not reached. A fixed steering axis has no bump rates.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.geometry.frames import Vector
from fitment.geometry.suspension import FixedAxis
from fitment.geometry.upright import WheelPose
from fitment.geometry.wheel import camber_rate, toe_rate

if TYPE_CHECKING:
    from fitment.elementwise import Values


def bump_toe(pose: WheelPose) -> Values:
    """Bump steer: change of toe-in (deg) per mm of bump of the wheel centre, the bar held. Minus is toe-out in bump."""
    return toe_rate(pose.spin, pose.turning, pose.corner.side) / pose.rise_rate


def bump_camber(pose: WheelPose) -> Values:
    """Change of camber (deg) per mm of bump of the wheel centre, the bar held."""
    return camber_rate(pose.spin, pose.turning) / pose.rise_rate


def steer_per_bar(pose: WheelPose, bar_along: Vector, arm_held: bool = False) -> Values:
    """Change of the steer angle (deg, + to the left) per mm of the bar, + to the left.

    The wheel centre keeps its height unless the lower arm is held: turning about an inclined axis lifts or lowers it.

    Args:
        pose: of a wheel that a tie rod holds.
        bar_along: direction of the bar, towards the car's left.
        arm_held: hold the lower arm, not the wheel centre's height (so always with a fixed steering axis).
    """
    axis, from_ball, along = pose.upright.space[0], pose.arm_eye - pose.upright.lower, pose.rod_along
    turning = axis * (bar_along.dot(along) / axis.dot(from_ball.cross(along)))
    if not arm_held and not isinstance(pose.corner.links, FixedAxis):
        lifted = turning.cross(pose.wheel_centre - pose.upright.lower).z
        turning = turning - pose.turning * (lifted / pose.rise_rate)
    return -pose.corner.side * toe_rate(pose.spin, turning, pose.corner.side)
