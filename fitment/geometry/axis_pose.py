"""Where the steering axis goes as the lower arm swings.

It is found without the tie rod; the upright is then turned about it until something holds it (`hold`). Lengths in mm;
arm angle in radians, + raises the ball. What the links alone decide is worked out once and kept with them; the rest is
written out by coordinates, for a pose is little else than these lines, many times over.

Source: closed forms of spatial linkages, each one circle meeting one sphere; compared in the tests with a general root
finder on the lengths of the links.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fitment.frozen import dataclass
from fitment.geometry.frames import Vector, circle_of, closed, margin_of
from fitment.geometry.operations import Operations, for_arrays, settled
from fitment.geometry.suspension import FixedAxis, Links, Strut, Wishbones

if TYPE_CHECKING:
    from fitment.elementwise import Values

_STILL = Vector(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class AxisPose:
    """Where the steering axis stands at an arm angle.

    `lower` is its lower ball in space, `along` the unit vector up it, `span` how far its upper end (upper ball or top
    mount) is from the lower ball. `carried` is that upper end as the upright carries it, in the coordinates of the
    design pose: it slides along a strut. `cos_square` tells how near the upper closure is to dead centre, as in
    `frames.closed`.
    """

    lower: Vector
    along: Vector
    span: Values
    carried: Vector
    cos_square: Values

    @property
    def margin(self) -> Values:
        """The upper closure's distance from dead centre, negative where it cannot close."""
        return margin_of(self.cos_square)


@dataclass(frozen=True, slots=True)
class _LowerArm:
    """The lower ball's circle: with the arm at the angle t the ball is at centre + out cos t + up sin t."""

    centre: Vector
    axis: Vector
    out: Vector
    up: Vector


@dataclass(frozen=True, slots=True)
class _Wishbones:
    """Both arms' circles, and what closes the upper one.

    `ahead` and `beside` are square to each other in the upper circle's plane. Of the way from its centre to the lower
    ball, each row of `linear` makes the part along `ahead`, the part along `beside`, and |D| cos q of `frames.closed`,
    by a constant and the factors of cos t and sin t, t the lower arm's angle. `centre`, `ahead` and `beside` are over
    the axis' length `span`, the last two times the upper circle's radius.
    """

    lower: _LowerArm
    upper_centre: Vector
    upper_axis: Vector
    linear: tuple[tuple[Values, Values, Values], tuple[Values, Values, Values], tuple[Values, Values, Values]]
    span: Values
    per_span: Values
    centre: Vector
    ahead: Vector
    beside: Vector


@dataclass(frozen=True, slots=True)
class _Strut:
    """The lower arm's circle and the strut's sliding line.

    `line` is the unit vector up it, `forward` the part along it of the way from ball to mount at the design pose,
    `apart` the square of the ball's distance from it.
    """

    lower: _LowerArm
    line: Vector
    forward: Values
    apart: Values


def axis_at(links: Links, arm_angle: Values) -> AxisPose:
    """The steering axis with the lower arm swung by an angle (radians, + raises the ball); a fixed axis stays."""
    ops = for_arrays()
    with ops.quiet():
        return axis_swung(links, ops.tan(arm_angle * 0.5), ops)


def axis_swung(links: Links, tan: Values, ops: Operations) -> AxisPose:
    """The same by the tangent of half the arm angle and the operations that suit it and the links.

    In numpy a tangent takes an eighth or less of the time of a sine (measured), and this one makes sine and cosine.
    """
    if not isinstance(links, FixedAxis):
        per = ops.inverse(1 + tan * tan)
        doubled = per + per
        cos, sin = doubled - 1, doubled * tan
        return _of_wishbones(links, cos, sin, ops) if isinstance(links, Wishbones) else _of_strut(links, cos, sin, ops)
    still, at = tan * 0.0, links.lower_ball
    along, span = links.kept(_fixed)
    there = Vector(at.x + still, at.y + still, at.z + still)
    return AxisPose(there, Vector(along.x + still, along.y + still, along.z + still), span, links.upper, still)


def axis_rates(links: Links, axis: AxisPose) -> tuple[Vector, Vector, Vector]:
    """Speeds, mm per radian of arm angle: of the lower ball, of the upper end, and of the upper end as carried."""
    import numpy as np

    if isinstance(links, FixedAxis):
        return _STILL, _STILL, _STILL
    if isinstance(links, Strut):
        strut = links.kept(_strut)
        lower_rate = strut.lower.axis.cross(axis.lower - strut.lower.centre)
        ahead = strut.forward + strut.line.dot(axis.carried - links.top)
        return lower_rate, _STILL, strut.line * np.true_divide(-1 * axis.span * axis.along.dot(lower_rate), ahead)
    arms = links.kept(_wishbones)
    lower_rate = arms.lower.axis.cross(axis.lower - arms.lower.centre)
    swing = arms.upper_axis.cross(axis.lower + axis.along * axis.span - arms.upper_centre)
    return lower_rate, swing * np.true_divide(lower_rate.dot(axis.along), swing.dot(axis.along)), _STILL


def arm_angle_for_rise(links: Wishbones | Strut, rise: Values) -> Values:
    """Arm angle (radians) that raises the lower ball by `rise` mm; the end of its swing where it cannot rise so far."""
    import numpy as np

    arm = links.kept(_wishbones).lower if isinstance(links, Wishbones) else links.kept(_strut).lower
    # the ball's height over the circle's centre is out.z cos(angle) + up.z sin(angle)
    sine = np.clip((arm.out.z + rise) / np.hypot(arm.out.z, arm.up.z), -1, 1)
    angle: Values = np.arcsin(sine) - np.arctan2(arm.out.z, arm.up.z)
    return angle


def _fixed(links: FixedAxis) -> tuple[Vector, Values]:
    """The unit vector up the axis, and the distance of its points."""
    axis = links.upper - links.lower_ball
    return settled((axis.unit(), axis.length()))


def _lower_arm(links: Wishbones | Strut) -> _LowerArm:
    """The lower arm, its axis in the sense that raises the ball."""
    import numpy as np

    axis = (links.lower_rear - links.lower_front).unit()
    axis = axis * np.sign(axis.cross(links.lower_ball - links.lower_front).z)
    centre = circle_of(links.lower_ball, links.lower_front, axis).centre
    out = links.lower_ball - centre
    return _LowerArm(centre, axis, out, axis.cross(out))


def _wishbones(links: Wishbones) -> _Wishbones:
    lower = _lower_arm(links)
    circle = circle_of(links.upper_ball, links.upper_front, (links.upper_rear - links.upper_front).unit())
    span, radius = (links.upper_ball - links.lower_ball).length(), circle.radius
    away = lower.centre - circle.centre
    ahead = (links.upper_ball - circle.centre) / radius
    beside = circle.axis.cross(ahead)
    # so that the design pose, with the upper ball straight ahead, is on the branch that `closed` gives
    beside = beside * for_arrays().sign(-1 * beside.dot(away + lower.out))
    # r² + d² - span² over 2 r, where d² has no square of cos t or sin t, for `out` and `up` are square and alike
    constant = (radius**2 + away.dot(away) + lower.out.dot(lower.out) - span**2) / (2 * radius)
    linear = (
        (away.dot(ahead), lower.out.dot(ahead), lower.up.dot(ahead)),
        (away.dot(beside), lower.out.dot(beside), lower.up.dot(beside)),
        (constant, away.dot(lower.out) / radius, away.dot(lower.up) / radius),
    )
    centre, per, scale = circle.centre / span, 1 / span, radius / span
    arms = _Wishbones(lower, circle.centre, circle.axis, linear, span, per, centre, ahead * scale, beside * scale)
    return settled(arms)


def _of_wishbones(links: Wishbones, cos: Any, sin: Any, ops: Operations) -> AxisPose:
    """The upper ball stays on its circle and at its distance from the lower ball, on the side it has at design."""
    arms = links.kept(_wishbones)
    at, out, up = arms.lower.centre, arms.lower.out, arms.lower.up
    x, y, z = at.x + out.x * cos + up.x * sin, at.y + out.y * cos + up.y * sin, at.z + out.z * cos + up.z * sin
    (a0, a1, a2), (b0, b1, b2), (c0, c1, c2) = arms.linear
    a, b = a0 + a1 * cos + a2 * sin, b0 + b1 * cos + b2 * sin
    along, across, cos_square = closed(c0 + c1 * cos + c2 * sin, a * a + b * b, ops)
    one, two = along * a - across * b, along * b + across * a
    per, centre, ahead, beside = arms.per_span, arms.centre, arms.ahead, arms.beside
    unit = Vector(
        centre.x + ahead.x * one + beside.x * two - x * per,
        centre.y + ahead.y * one + beside.y * two - y * per,
        centre.z + ahead.z * one + beside.z * two - z * per,
    )
    return AxisPose(Vector(x, y, z), unit, arms.span, links.upper_ball, cos_square)


def _strut(links: Strut) -> _Strut:
    line, at_design = (links.top - links.lower_on_line).unit(), links.top - links.lower_ball
    forward = at_design.dot(line)
    return settled(_Strut(_lower_arm(links), line, forward, at_design.dot(at_design) - forward**2))


def _of_strut(links: Strut, cos: Any, sin: Any, ops: Operations) -> AxisPose:
    """The upright slides along its own line under the mount: the axis goes from ball to mount and moves in the upright.

    Of the two roots the one with the mount above the ball. The ball may be no farther from the sliding line than from
    the mount, which is the margin: 1 - (distance to the line / distance to the mount)².
    """
    strut, top = links.kept(_strut), links.top
    at, out, up = strut.lower.centre, strut.lower.out, strut.lower.up
    x, y, z = at.x + out.x * cos + up.x * sin, at.y + out.y * cos + up.y * sin, at.z + out.z * cos + up.z * sin
    dx, dy, dz = top.x - x, top.y - y, top.z - z
    square = dx * dx + dy * dy + dz * dz
    slid = ops.sqrt(square - strut.apart) - strut.forward
    line = strut.line
    carried = Vector(top.x + line.x * slid, top.y + line.y * slid, top.z + line.z * slid)
    span = ops.sqrt(square)
    per = ops.inverse(span)
    unit = Vector(dx * per, dy * per, dz * per)
    near = strut.apart * per * per
    return AxisPose(Vector(x, y, z), unit, span, carried, near * near)
