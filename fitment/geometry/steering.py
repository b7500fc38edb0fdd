"""Rack, rods and both wheels together: how the wheels stand for the bar and the travel, and what the joints see.

Shapes: `bar` and travel may be arrays that broadcast with each other and with the points, for example travel
(13, 1, 1), bar (15, 1) and points of (samples,). Lengths in mm, angles in degrees, travel + in bump, bar + to the left.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.frozen import dataclass
from fitment.geometry.axis_pose import axis_at
from fitment.geometry.hold import eye_circle
from fitment.geometry.rack import Rack
from fitment.geometry.suspension import Corner, Strut
from fitment.geometry.upright import HeldToe, Rod, WheelPose, at_arm_angle, at_travel
from fitment.geometry.wheel import LEFT, RIGHT

if TYPE_CHECKING:
    from fitment.elementwise import Values
    from fitment.geometry.frames import Vector


@dataclass(frozen=True, slots=True)
class Steering:
    """A rack, the two corners, and the tie rods' lengths between ball centres (mm)."""

    rack: Rack
    left: Corner
    right: Corner
    rod_left: Values
    rod_right: Values

    def rod(self, side: int, bar: Values) -> Rod:
        """The tie rod of one side (+1 left, -1 right), its inner ball moved by the bar."""
        length = self.rod_left if side > 0 else self.rod_right
        return Rod(self.rack.inner_ball(side, bar), length, self.rack.inner_ball(side, 0.0))


def rod_length(corner: Corner, inner: Vector, toe: Values | None = None) -> Values:
    """Length of a tie rod (mm) that gives this toe-in (deg; None: as surveyed) at the design pose.

    Closed form: the wheel is turned about its steering axis until it has the toe, and the distance taken. The lower arm
    stays where it is.
    """
    eye = corner.arm_eye if toe is None else at_arm_angle(corner, HeldToe(toe), 0.0).arm_eye
    return (eye - inner).length()


def set_rods(
    rack: Rack, left: Corner, right: Corner, toe_left: Values | None = None, toe_right: Values | None = None
) -> Steering:
    """The steering with both rods set for the wanted toe-in, bar straight, at the design pose."""
    lengths = (
        rod_length(corner, rack.inner_ball(corner.side, 0.0), toe)
        for corner, toe in ((left, toe_left), (right, toe_right))
    )
    return Steering(rack, left, right, *lengths)


def wheels(
    steering: Steering, bar: Values, travel_left: Values = 0.0, travel_right: Values = 0.0
) -> tuple[WheelPose, WheelPose]:
    """The left and the right wheel with the bar displaced and the wheel centres raised."""
    return (
        at_travel(steering.left, steering.rod(LEFT, bar), travel_left),
        at_travel(steering.right, steering.rod(RIGHT, bar), travel_right),
    )


def why_not_reached(pose: WheelPose) -> str | None:
    """Which link does not reach, and in how many of the poses; None where all are reached."""
    import numpy as np

    if np.all(pose.reached):
        return None
    shape = np.shape(pose.reached)
    upper, hold = (np.broadcast_to(margin, shape) < 0 for margin in (pose.upper_margin, pose.margin))
    strut = isinstance(pose.corner.links, Strut)
    causes = {
        "the strut does not reach its mount" if strut else "the upper arm does not reach its ball joint": upper,
        "the tie rod does not reach the arm" if isinstance(pose.hold, Rod) else "the toe cannot be had": hold & ~upper,
        "the wheel centre does not rise or fall so far": ~(pose.reached | upper | hold),
    }
    side = "left" if pose.corner.side > 0 else "right"
    counted = [(what, int(np.count_nonzero(where & ~pose.reached))) for what, where in causes.items()]
    return f"{side} wheel: " + "; ".join(
        f"{what} in {count} of {np.size(pose.reached)} poses" for what, count in counted if count
    )


def inner_joint_angle(pose: WheelPose, bar_along: Vector) -> Values:
    """Angle (deg) between the tie rod and the bar's line outboard: what the inner joint must swing.

    Args:
        pose: of a wheel that a tie rod holds.
        bar_along: direction of the bar, towards the car's left.
    """
    import numpy as np

    along, out = pose.rod_along, bar_along * pose.corner.side
    angle: Values = np.degrees(np.arctan2(along.cross(out).length(), along.dot(out)))
    return angle


def outer_joint_angle(pose: WheelPose, stud: Vector) -> Values:
    """Angle (deg) by which the rod end's stud leans from square to the tie rod: what the outer joint must swing.

    Args:
        pose: of a wheel that a tie rod holds.
        stud: direction of the stud at the design pose; it is fixed in the steering arm.
    """
    import numpy as np

    lean = pose.rod_along.unit().dot(pose.upright.direction(stud.unit()))
    angle: Values = np.degrees(np.abs(np.arcsin(lean)))
    return angle


def rod_angles(pose: WheelPose) -> tuple[Values, Values]:
    """Angles (deg) of the tie rod to level, + outer end higher, and in plan to square across, + outer end ahead."""
    import numpy as np

    along = pose.rod_along
    level: Values = np.degrees(np.arctan2(along.z, np.hypot(along.x, along.y)))
    plan: Values = np.degrees(np.arctan2(along.x, pose.corner.side * along.y))
    return level, plan


def dead_centres(steering: Steering, side: int, arm_angle: Values = 0.0) -> tuple[Values, Values]:
    """Displacement of the bar, mm, at which one side's tie rod reaches dead centre, to the left and to the right.

    The lower arm is held. The rod is at dead centre where (r² + d² - L²)² = 4 r² D², with r the arm's radius, L the
    rod, d from the arm's circle to the inner ball and D its part square to the steering axis: a quartic in the bar's
    displacement, solved as the eigenvalues of its companion matrix. Infinite where there is none on that side, which
    cannot be while the rod reaches with the bar straight.
    """
    import numpy as np

    corner = steering.left if side > 0 else steering.right
    rod, along = steering.rod(side, 0.0), steering.rack.direction
    circle = eye_circle(corner, axis_at(corner.links, np.radians(arm_angle)))
    # in units of the arm's radius
    away = (rod.inner - circle.centre) / circle.radius
    on_axis, slope = away.dot(circle.axis), along.dot(circle.axis)
    a0 = 1 + away.dot(away) - (rod.length / circle.radius) ** 2
    a1 = 2 * away.dot(along)
    b0, b1, b2 = away.dot(away) - on_axis**2, a1 - 2 * on_axis * slope, 1 - slope**2
    coefficients = np.broadcast_arrays(2 * a1, a1**2 + 2 * a0 - 4 * b2, 2 * a0 * a1 - 4 * b1, a0**2 - 4 * b0)
    companion = np.zeros((*coefficients[0].shape, 4, 4))
    companion[..., [1, 2, 3], [0, 1, 2]] = 1.0
    companion[..., 0, :] = -np.stack(coefficients, axis=-1)
    roots = np.linalg.eigvals(companion)
    real = np.where(np.abs(np.imag(roots)) < 1e-7, np.real(roots), np.nan)
    left = np.min(np.where(real > 0, real, np.inf), axis=-1) * circle.radius
    right = np.max(np.where(real < 0, real, -np.inf), axis=-1) * circle.radius
    return left, right
