"""What holds the upright about its steering axis: a tie rod (`Rod`), or the wish that the wheel keep a toe (`HeldToe`).

What the corner alone decides is worked out once and kept with it. Lengths in mm, angles in degrees.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.frozen import dataclass
from fitment.geometry.axis_pose import AxisPose
from fitment.geometry.frames import Circle, Vector, closed
from fitment.geometry.operations import Operations, leaves, plain, settled
from fitment.geometry.suspension import Corner, Strut, upper_end
from fitment.geometry.wheel import toe_rate

if TYPE_CHECKING:
    from fitment.elementwise import Values

Triad = tuple[Vector, Vector, Vector]


@dataclass(frozen=True, slots=True)
class Upright:
    """The upright as a rigid body: the same three directions at design and in space, and the lower ball of both."""

    design: Triad
    space: Triad
    design_lower: Vector
    lower: Vector

    def direction(self, at_design: Vector) -> Vector:
        """A direction fixed in the upright, as it points now."""
        a, b, c = (at_design.dot(one) for one in self.design)
        first, second, third = self.space
        return Vector(
            first.x * a + second.x * b + third.x * c,
            first.y * a + second.y * b + third.y * c,
            first.z * a + second.z * b + third.z * c,
        )

    def point(self, at_design: Vector) -> Vector:
        """A point fixed in the upright, where it is now (mm)."""
        return self.lower + self.direction(at_design - self.design_lower)

    def height(self, at_design: Vector) -> Values:
        """The height of such a point alone (mm)."""
        a, b, c = ((at_design - self.design_lower).dot(one) for one in self.design)
        first, second, third = self.space
        return self.lower.z + first.z * a + second.z * b + third.z * c


@dataclass(frozen=True, slots=True)
class _Arm:
    """The steering arm as the upright carries it about its steering axis, in the coordinates of the design pose.

    `triad`: up the axis, from the axis square to the eye, and square to both. The eye's circle has this `radius`, its
    centre is so much (`rise`) along the axis from the lower ball. The rest makes |D| cos q of `frames.closed`.
    """

    triad: Triad
    rise: Values
    radius: Values
    squares: Values
    half: Values
    lift: Values


@dataclass(frozen=True, slots=True)
class Known:
    """What a corner's points alone decide: whether they are numbers, the spin axis, the arm at the design pose."""

    plain: bool
    spin: Vector
    arm: _Arm


def known(corner: Corner) -> Known:
    """That of this corner, worked out once."""
    return corner.kept(_known)


def _known(corner: Corner) -> Known:
    arm: _Arm = settled(_arm(corner, upper_end(corner.links)))
    return Known(plain(*leaves(corner)), settled(corner.spin), arm)


def _arm(corner: Corner, carried: Vector) -> _Arm:
    """The arm about an axis from the lower ball to a point that the upright carries."""
    lower = corner.links.lower_ball
    axis, eye = (carried - lower).unit(), corner.arm_eye - lower
    rise = axis.dot(eye)
    square = eye - axis * rise
    radius = square.length()
    out = square / radius
    squares = (radius**2 + rise**2) / (2 * radius)
    return _Arm((axis, out, axis.cross(out)), rise, radius, squares, 1 / (2 * radius), rise / radius)


def eye_circle(corner: Corner, axis: AxisPose) -> Circle:
    """The circle of the arm's eye about the steering axis where it stands."""
    carried = _arm(corner, axis.carried)
    return Circle(axis.lower + axis.along * carried.rise, axis.along, carried.radius)


@dataclass(frozen=True, slots=True)
class Rod:
    """The tie rod: inner ball centre, length between ball centres (mm), and the inner ball as the rod was set.

    The last names the side of the steering axis on which the rod holds the arm, for every position of the bar.
    """

    inner: Vector
    length: Values
    set_from: Vector

    def is_plain(self) -> bool:
        """Whether it is given by numbers."""
        inner, at = self.inner, self.set_from
        return plain(inner.x, inner.y, inner.z, self.length, at.x, at.y, at.z)

    def hold(self, corner: Corner, axis: AxisPose, ops: Operations) -> tuple[Upright, Values]:
        """The upright that the rod allows, on the side it has at design, and cos² q of the rod's `frames.closed`."""
        arm, lower, number = known(corner).arm, corner.links.lower_ball, ops.number
        inner, at, square = self.inner, self.set_from, arm.triad[2]
        side = ops.sign(square.x * (lower.x - at.x) + square.y * (lower.y - at.y) + square.z * (lower.z - at.z))
        if isinstance(corner.links, Strut):
            arm = _arm(corner, axis.carried)
        along, start = axis.along, axis.lower
        kx, ky, kz = along.x, along.y, along.z
        # from the lower ball to the inner one: so far along the axis, so far at all
        x, y, z = number(inner.x) - start.x, number(inner.y) - start.y, number(inner.z) - start.z
        height, square_length = x * kx + y * ky + z * kz, x * x + y * y + z * z
        length = number(self.length)
        cosine = (arm.squares - length * length * arm.half) + square_length * arm.half - height * arm.lift
        one, across, cos_square = closed(cosine, square_length - height * height, ops)
        two = across * side
        px, py, pz = x - kx * height, y - ky * height, z - kz * height
        qx, qy, qz = ky * z - kz * y, kz * x - kx * z, kx * y - ky * x
        out = Vector(px * one + qx * two, py * one + qy * two, pz * one + qz * two)
        third = Vector(qx * one - px * two, qy * one - py * two, qz * one - pz * two)
        return Upright(arm.triad, (along, out, third), lower, start), cos_square

    def steering(self, corner: Corner, upright: Upright, rates: tuple[Vector, Vector]) -> Values:
        """Turning about the steering axis (rad per rad of arm angle) that keeps the rod's length."""
        import numpy as np

        lower_rate, turning = rates
        eye = upright.point(corner.arm_eye)
        from_ball, rod, along = eye - upright.lower, eye - self.inner, upright.space[0]
        moved = (lower_rate + turning.cross(from_ball)).dot(rod)
        steering: Values = np.true_divide(-1 * moved, along.dot(from_ball.cross(rod)))
        return steering


@dataclass(frozen=True, slots=True)
class HeldToe:
    """No rod, but a toe-in (deg) that the wheel keeps: how it stands on the alignment bay when the rod is set."""

    toe: Values

    def is_plain(self) -> bool:
        """Whether it is to be had by plain numbers: numpy works it out."""
        return False

    def hold(self, corner: Corner, axis: AxisPose, ops: Operations) -> tuple[Upright, Values]:
        """The upright with this toe, the wheel's outboard side outboard, and a cos² q as of a link."""
        import numpy as np

        t = np.radians(self.toe)
        lower, spin = corner.links.lower_ball, known(corner).spin
        along_design, along = (axis.carried - lower).unit(), axis.along
        # the spin axis has no part along `level`, and points towards `outboard`
        level = Vector(np.cos(t), -corner.side * np.sin(t), 0.0)
        outboard = Vector(np.sin(t), corner.side * np.cos(t), 0.0)
        fixed = along_design.dot(spin)
        free = np.sqrt(1 - fixed**2)
        first = (level - along * along.dot(level)).unit()
        second = along.cross(first)
        cos = -fixed * along.dot(level) / (free * first.dot(level))
        sin = np.sign(second.dot(outboard)) * ops.sqrt(1 - cos * cos)
        square = (spin - along_design * fixed) / free
        design, now = (along_design, square, along_design.cross(square)), first * cos + second * sin
        return Upright(design, (along, now, along.cross(now)), lower, axis.lower), cos * cos

    def steering(self, corner: Corner, upright: Upright, rates: tuple[Vector, Vector]) -> Values:
        """Turning about the steering axis (rad per rad of arm angle) that keeps the toe."""
        spin = upright.direction(known(corner).spin)
        return -1 * toe_rate(spin, rates[1], corner.side) / toe_rate(spin, upright.space[0], corner.side)
