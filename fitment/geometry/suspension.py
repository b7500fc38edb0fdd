"""One corner of the car at the design pose: what carries the steering axis, and the wheel.

Each wheel stands on its own points; nothing is mirrored. Lengths in mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.geometry.frames import Vector
from fitment.geometry.operations import Keeps
from fitment.geometry.wheel import spin_axis

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: mm; what is shorter has no length
_NO_LENGTH = 1e-6


@dataclass(frozen=True, slots=True)
class Wishbones(Keeps):
    """Double wishbone: the lower and the upper arm's pivots and ball joints, at the design pose."""

    lower_front: Vector
    lower_rear: Vector
    lower_ball: Vector
    upper_front: Vector
    upper_rear: Vector
    upper_ball: Vector


@dataclass(frozen=True, slots=True)
class Strut(Keeps):
    """Strut: the lower arm, the top mount (fixed to the body) and a second point on the strut's sliding line."""

    lower_front: Vector
    lower_rear: Vector
    lower_ball: Vector
    top: Vector
    lower_on_line: Vector


@dataclass(frozen=True, slots=True)
class FixedAxis(Keeps):
    """A steering axis of which only its line is known: it answers for lock and ratio, never for bump."""

    lower_ball: Vector
    upper: Vector


Links = Wishbones | Strut | FixedAxis


@dataclass(frozen=True, slots=True)
class Corner(Keeps):
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


def upper_end(links: Links) -> Vector:
    """The upper end of the steering axis at the design pose: upper ball joint or top mount."""
    if isinstance(links, Wishbones):
        return links.upper_ball
    return links.top if isinstance(links, Strut) else links.upper


def eye_axis(links: Links, side: int, lean: Values, azimuth: Values) -> Vector:
    """Unit direction up the axis of a steering arm's eye at the design pose.

    Args:
        links: what carries the steering axis.
        side: `wheel.LEFT` or `wheel.RIGHT`.
        lean: how far its top leans off the steering axis, rad.
        azimuth: to which way, rad from straight ahead, + outboard.
    """
    import numpy as np

    axis = (upper_end(links) - links.lower_ball).unit()
    way = Vector(np.cos(azimuth), side * np.sin(azimuth), 0.0)
    square = (way - axis * axis.dot(way)).unit()
    return axis * np.cos(lean) + square * np.sin(lean)


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
