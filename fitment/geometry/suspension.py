"""One corner of the car: what carries the steering axis, and where that axis goes as the lower arm swings.

Each wheel stands on its own points; nothing is mirrored. The steering axis is found without the tie rod; the upright
is then turned about it until something holds it (`upright`). Lengths in mm; arm angle in radians, + raises the ball.

Source: closed forms of spatial linkages, each one circle meeting one sphere; compared in the tests with a general root
finder on the lengths of the links.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from fitment.errors import DataFault
from fitment.geometry.frames import Vector, circle_of, meet, side_of, turned
from fitment.geometry.wheel import spin_axis

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: mm; what is shorter has no length
_NO_LENGTH = 1e-6


@dataclass(frozen=True, slots=True)
class Wishbones:
    """Double wishbone: the lower and the upper arm's pivots and ball joints, at the design pose."""

    lower_front: Vector
    lower_rear: Vector
    lower_ball: Vector
    upper_front: Vector
    upper_rear: Vector
    upper_ball: Vector


@dataclass(frozen=True, slots=True)
class Strut:
    """Strut: the lower arm, the top mount (fixed to the body) and a second point on the strut's sliding line."""

    lower_front: Vector
    lower_rear: Vector
    lower_ball: Vector
    top: Vector
    lower_on_line: Vector


@dataclass(frozen=True, slots=True)
class FixedAxis:
    """A steering axis of which only its line is known: it answers for lock and ratio, never for bump."""

    lower_ball: Vector
    upper: Vector


Links = Wishbones | Strut | FixedAxis


@dataclass(frozen=True, slots=True)
class Corner:
    """One steered wheel at the design pose: ride height, wheels straight.

    Args:
        side: `wheel.LEFT` or `wheel.RIGHT`.
        links: what carries the steering axis.
        arm_eye: ball centre of the joint in the steering arm.
        wheel_centre: wheel centre.
        toe: toe-in of this wheel as the points were taken, deg.
        camber: camber of this wheel as the points were taken, deg.

    Raises:
        DataFault: where two points that must lie apart fall together.
    """

    side: int
    links: Links
    arm_eye: Vector
    wheel_centre: Vector
    toe: Values = 0.0
    camber: Values = 0.0

    def __post_init__(self) -> None:
        _refuse_nothing(self)

    @property
    def spin(self) -> Vector:
        """Unit spin axis at the design pose, outboard."""
        return spin_axis(self.toe, self.camber, self.side)


@dataclass(frozen=True, slots=True)
class AxisPose:
    """Where the steering axis stands at an arm angle.

    `lower` and `upper` are its ends in space (lower ball; upper ball or top mount). `carried` is its upper end as the
    upright carries it, in the coordinates of the design pose: it slides along a strut. The rates are those of the
    three, mm per radian of arm angle. `margin` is the upper closure's distance from dead centre, negative where it
    cannot close.
    """

    lower: Vector
    upper: Vector
    carried: Vector
    lower_rate: Vector
    upper_rate: Vector
    carried_rate: Vector
    margin: Values


def axis_at(links: Links, arm_angle: Values) -> AxisPose:
    """The steering axis with the lower arm swung by an angle (radians, + raises the ball); a fixed axis stays."""
    if isinstance(links, Wishbones):
        return _of_wishbones(links, arm_angle)
    if isinstance(links, Strut):
        return _of_strut(links, arm_angle)
    still = Vector(0.0, 0.0, 0.0) * arm_angle
    return AxisPose(links.lower_ball + still, links.upper + still, links.upper, still, still, still, 1 + still.x)


def upper_end(links: Links) -> Vector:
    """The upper end of the steering axis at the design pose: upper ball joint or top mount."""
    if isinstance(links, Wishbones):
        return links.upper_ball
    return links.top if isinstance(links, Strut) else links.upper


def lower_axis(links: Wishbones | Strut) -> Vector:
    """Unit axis of the lower arm, in the sense that raises its ball."""
    import numpy as np

    axis = (links.lower_rear - links.lower_front).unit()
    return axis * np.sign(axis.cross(links.lower_ball - links.lower_front).z)


def arm_angle_for_rise(links: Wishbones | Strut, rise: Values) -> Values:
    """Arm angle (radians) that raises the lower ball by `rise` mm; the end of its swing where it cannot rise so far."""
    import numpy as np

    circle = circle_of(links.lower_ball, links.lower_front, lower_axis(links))
    out = links.lower_ball - circle.centre
    up = circle.axis.cross(out)
    # the ball's height over the circle's centre is out.z cos(angle) + up.z sin(angle)
    sine = np.clip((out.z + rise) / np.hypot(out.z, up.z), -1, 1)
    angle: Values = np.arcsin(sine) - np.arctan2(out.z, up.z)
    return angle


def _lower_ball(links: Wishbones | Strut, arm_angle: Values) -> tuple[Vector, Vector]:
    """The lower ball and its speed per radian of arm angle."""
    axis = lower_axis(links)
    arm = turned(links.lower_ball - links.lower_front, axis, arm_angle)
    return links.lower_front + arm, axis.cross(arm)


def _of_wishbones(links: Wishbones, arm_angle: Values) -> AxisPose:
    """The upper ball stays on its circle and at its distance from the lower ball, on the side it has at design."""
    lower, lower_rate = _lower_ball(links, arm_angle)
    circle = circle_of(links.upper_ball, links.upper_front, (links.upper_rear - links.upper_front).unit())
    apart = (links.upper_ball - links.lower_ball).length()
    upper, margin = meet(circle, lower, apart, side_of(circle, links.upper_ball, links.lower_ball))
    along = upper - lower
    swing = circle.axis.cross(upper - circle.centre)
    upper_rate = swing * (lower_rate.dot(along) / swing.dot(along))
    return AxisPose(lower, upper, links.upper_ball, lower_rate, upper_rate, Vector(0.0, 0.0, 0.0), margin)


def _of_strut(links: Strut, arm_angle: Values) -> AxisPose:
    """The upright slides along its own line under the mount: the axis goes from ball to mount and moves in the upright.

    Of the two roots the one with the mount above the ball. The ball may be no farther from the sliding line than from
    the mount, which is the margin: 1 - (distance to the line / distance to the mount)² as it closes.
    """
    import numpy as np

    lower, lower_rate = _lower_ball(links, arm_angle)
    line = (links.top - links.lower_on_line).unit()
    at_design = links.top - links.lower_ball
    along = links.top - lower
    forward = at_design.dot(line)
    square = np.asarray(forward**2 - at_design.dot(at_design) + along.dot(along))
    ahead = np.sqrt(np.where(square > 0, square, np.nan))
    slide = line * (ahead - forward)
    slide_rate = line * (-along.dot(lower_rate) / ahead)
    still = Vector(0.0, 0.0, 0.0)
    margin = (square / along.dot(along))[()]
    return AxisPose(lower, links.top, links.top + slide, lower_rate, still, slide_rate, margin)


def _refuse_nothing(corner: Corner) -> None:
    """A fault for points that fall together where a link, an axis or an arm needs length."""
    import numpy as np

    links, upper = corner.links, upper_end(corner.links)
    axis = upper - links.lower_ball
    lengths = [("the steering axis' lower and upper points fall together", axis.length())]
    if isinstance(links, Wishbones):
        lengths += _arm("upper", links.upper_front, links.upper_rear, links.upper_ball)
    if isinstance(links, Strut):
        lengths.append(("the two points on the strut's line fall together", (links.top - links.lower_on_line).length()))
    if not isinstance(links, FixedAxis):
        lengths += _arm("lower", links.lower_front, links.lower_rear, links.lower_ball)
    lengths.append(("the arm eye lies on the steering axis", _off_line(corner.arm_eye, links.lower_ball, upper)))
    for what, length in lengths:
        if not np.all(np.asarray(length) > _NO_LENGTH):
            side = "left" if corner.side > 0 else "right"
            raise DataFault(f"{side} corner: {what}", mending="measure these points again", code="geometry-02")


def _arm(which: str, front: Vector, rear: Vector, ball: Vector) -> list[tuple[str, Values]]:
    return [
        (f"the {which} arm's front and rear pivots fall together", (rear - front).length()),
        (f"the {which} ball lies on the {which} arm's pivot axis", _off_line(ball, front, rear)),
    ]


def _off_line(point: Vector, first: Vector, second: Vector) -> Values:
    """Distance of a point from the line through two others; NaN where these fall together."""
    return (second - first).unit().cross(point - first).length()
