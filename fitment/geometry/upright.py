"""Where the upright stands: its steering axis from the suspension, then turned about it until something holds it.

What holds it is the tie rod (`Rod`), or nothing but the wish that the wheel keep a toe (`HeldToe`: rods being set).
Shapes: every argument may be a number or an array, and all of them broadcast; so do the results. A pose that a link
does not reach is NaN there and False in `reached`; nothing is clipped.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any

from fitment.geometry.frames import Circle, Vector, circle_of, meet, side_of
from fitment.geometry.suspension import AxisPose, Corner, FixedAxis, arm_angle_for_rise, axis_at, upper_end
from fitment.geometry.wheel import camber, steer_angle, toe_in, toe_rate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from fitment.elementwise import Values

    Flags = NDArray[np.bool_]

#: steps of Newton's at most: for the many poses, where four are usual, and for those beside a link's limit
_QUICK, _STEPS = 7, 60

#: radians: one step at most, and how near to a link's limit the search goes
_STRIDE, _STUCK = 0.3, 1e-7

#: radians from the first guess: where a pose that closes is looked for when the guess does not
_PROBES = tuple(sign * 0.04 * step for step in range(1, 16) for sign in (1, -1))

#: of the lower arm's length: nearer than this to the wanted height is there
_THERE = 1e-12


@dataclass(frozen=True, slots=True)
class Upright:
    """The upright as a rigid body: the same three directions at design and in space, and the lower ball of both."""

    design: tuple[Vector, Vector, Vector]
    space: tuple[Vector, Vector, Vector]
    design_lower: Vector
    lower: Vector

    def direction(self, at_design: Vector) -> Vector:
        """A direction fixed in the upright, as it points now."""
        a, b, c = (at_design.dot(one) for one in self.design)
        first, second, third = self.space
        return first * a + second * b + third * c

    def point(self, at_design: Vector) -> Vector:
        """A point fixed in the upright, where it is now (mm)."""
        return self.lower + self.direction(at_design - self.design_lower)


def _upright(corner: Corner, axis: AxisPose, reference: Vector, now: Vector) -> Upright:
    """The upright from its steering axis and one more direction fixed in it, at design and now."""
    design_lower = corner.links.lower_ball

    def triad(along: Vector, other: Vector) -> tuple[Vector, Vector, Vector]:
        unit = along.unit()
        square = (other - unit * unit.dot(other)).unit()
        return unit, square, unit.cross(square)

    design = triad(axis.carried - design_lower, reference)
    return Upright(design, triad(axis.upper - axis.lower, now), design_lower, axis.lower)


def eye_circle(corner: Corner, axis: AxisPose) -> Circle:
    """The circle of the arm's eye about the steering axis where it stands."""
    lower = corner.links.lower_ball
    carried = circle_of(corner.arm_eye, lower, (axis.carried - lower).unit())
    along = (axis.upper - axis.lower).unit()
    return Circle(axis.lower + along * carried.axis.dot(carried.centre - lower), along, carried.radius)


@dataclass(frozen=True, slots=True)
class Rod:
    """The tie rod: inner ball centre, length between ball centres (mm), and the inner ball as the rod was set.

    The last names the side of the steering axis on which the rod holds the arm, for every position of the bar.
    """

    inner: Vector
    length: Values
    set_from: Vector

    def hold(self, corner: Corner, axis: AxisPose) -> tuple[Upright, Values]:
        """The upright that the rod allows, on the side it has at design, and the rod's margin to dead centre."""
        lower = corner.links.lower_ball
        at_design = circle_of(corner.arm_eye, lower, (upper_end(corner.links) - lower).unit())
        circle = eye_circle(corner, axis)
        eye, margin = meet(circle, self.inner, self.length, side_of(at_design, corner.arm_eye, self.set_from))
        carried = circle_of(corner.arm_eye, lower, (axis.carried - lower).unit())
        return _upright(corner, axis, corner.arm_eye - carried.centre, eye - circle.centre), margin

    def steering(self, corner: Corner, upright: Upright, rates: tuple[Vector, Vector]) -> Values:
        """Turning about the steering axis (rad per rad of arm angle) that keeps the rod's length."""
        lower_rate, turning = rates
        eye = upright.point(corner.arm_eye)
        from_ball, rod, along = eye - upright.lower, eye - self.inner, upright.space[0]
        return -1 * (lower_rate + turning.cross(from_ball)).dot(rod) / along.dot(from_ball.cross(rod))


@dataclass(frozen=True, slots=True)
class HeldToe:
    """No rod, but a toe-in (deg) that the wheel keeps: how it stands on the alignment bay when the rod is set."""

    toe: Values

    def hold(self, corner: Corner, axis: AxisPose) -> tuple[Upright, Values]:
        """The upright with this toe, the wheel's outboard side outboard."""
        import numpy as np

        t = np.radians(self.toe)
        lower = corner.links.lower_ball
        along_design, along = (axis.carried - lower).unit(), (axis.upper - axis.lower).unit()
        # the spin axis has no part along `level`, and points towards `outboard`
        level = Vector(np.cos(t), -corner.side * np.sin(t), 0.0)
        outboard = Vector(np.sin(t), corner.side * np.cos(t), 0.0)
        fixed = along_design.dot(corner.spin)
        free = np.sqrt(1 - fixed**2)
        first = (level - along * along.dot(level)).unit()
        second = along.cross(first)
        cos = np.asarray(-fixed * along.dot(level) / (free * first.dot(level)))
        cos_in_reach = np.where(np.abs(cos) <= 1, cos, np.nan)
        sin = np.sign(second.dot(outboard)) * np.sqrt(1 - cos_in_reach**2)
        return _upright(corner, axis, corner.spin, first * cos_in_reach + second * sin), (1 - np.abs(cos))[()]

    def steering(self, corner: Corner, upright: Upright, rates: tuple[Vector, Vector]) -> Values:
        """Turning about the steering axis (rad per rad of arm angle) that keeps the toe."""
        spin = upright.direction(corner.spin)
        return -1 * toe_rate(spin, rates[1], corner.side) / toe_rate(spin, upright.space[0], corner.side)


@dataclass(frozen=True, slots=True)
class WheelPose:
    """One wheel where it stands, with its speeds.

    `arm_angle` in degrees, + raises the lower ball. `lower_rate` (mm/rad) and `turning` (rad/rad) are the speed of the
    lower ball and the angular velocity of the upright per radian of arm angle, what holds it kept as it is.
    `upper_margin` and `margin` are the distances of the upper closure and of the hold from dead centre; where a pose is
    not reached they are those of the link that gave out (negative), or NaN where none did.
    """

    corner: Corner
    hold: Rod | HeldToe
    upright: Upright
    arm_angle: Values
    lower_rate: Vector
    turning: Vector
    upper_margin: Values
    margin: Values
    reached: Flags

    @property
    def spin(self) -> Vector:
        """Unit spin axis, outboard."""
        return self.upright.direction(self.corner.spin)

    @property
    def toe_in(self) -> Values:
        """Toe-in of this wheel, deg."""
        return toe_in(self.spin, self.corner.side)

    @property
    def steer(self) -> Values:
        """Steer angle, deg, + to the left."""
        return steer_angle(self.spin, self.corner.side)

    @property
    def camber(self) -> Values:
        """Camber as inclination, deg, + top outboard."""
        return camber(self.spin)

    @property
    def wheel_centre(self) -> Vector:
        """Wheel centre, mm."""
        return self.upright.point(self.corner.wheel_centre)

    @property
    def arm_eye(self) -> Vector:
        """Ball centre of the joint in the steering arm, mm."""
        return self.upright.point(self.corner.arm_eye)

    @property
    def rod_along(self) -> Vector:
        """From the inner ball to the arm's eye along the tie rod that holds this pose, mm."""
        assert isinstance(self.hold, Rod)  # who asks has put a rod there
        return self.arm_eye - self.hold.inner

    @property
    def rise_rate(self) -> Values:
        """Rise of the wheel centre per radian of arm angle, mm/rad."""
        return (self.lower_rate + self.turning.cross(self.wheel_centre - self.upright.lower)).z


def at_arm_angle(corner: Corner, hold: Rod | HeldToe, arm_angle: Values) -> WheelPose:
    """The wheel with the lower arm swung by an angle (deg, + raises the ball); closed form throughout."""
    import numpy as np

    axis = axis_at(corner.links, np.radians(arm_angle))
    upright, margin = hold.hold(corner, axis)
    along = axis.upper - axis.lower
    relative = axis.upper_rate - upright.direction(axis.carried_rate) - axis.lower_rate
    swing = along.cross(relative) / along.dot(along)
    steering = hold.steering(corner, upright, (axis.lower_rate, swing))
    turning = swing + upright.space[0] * steering
    reached = np.isfinite(upright.point(corner.wheel_centre).z) & (np.asarray(axis.margin) >= 0)
    return WheelPose(corner, hold, upright, arm_angle, axis.lower_rate, turning, axis.margin, margin, reached)


def at_travel(corner: Corner, hold: Rod | HeldToe, travel: Values) -> WheelPose:
    """The wheel with its centre raised by `travel` mm against the body (+ bump).

    The height of the wheel centre has no closed inverse: Newton's steps with the exact speed, from the arm angle that
    would raise the lower ball as far. Only the road of the design pose counts, on which the centre rises with the arm.
    Beyond the reach: NaN, and the margins say which link gave out.

    A fixed steering axis knows no travel: it reaches 0 only.
    """
    import numpy as np

    if isinstance(corner.links, FixedAxis):
        return at_arm_angle(corner, hold, np.where(np.asarray(travel) == 0, 0.0, np.nan)[()])
    angle = arm_angle_for_rise(corner.links, travel)
    for _ in range(_QUICK):
        pose = at_arm_angle(corner, hold, np.degrees(angle))
        done, step = _step(pose, travel)
        if np.all(done):
            return pose
        angle = np.where(done, angle, angle + step)
    beside = ~done
    few = [_only(one, beside) for one in (corner, hold, travel)]
    angle = np.array(angle)
    angle[beside], upper_margin, margin = _search(*few)
    found = at_arm_angle(corner, hold, np.degrees(angle))
    margins = [np.array(np.broadcast_to(one, beside.shape)) for one in (found.upper_margin, found.margin)]
    margins[0][beside], margins[1][beside] = upper_margin, margin
    return replace(found, upper_margin=margins[0][()], margin=margins[1][()])


def _step(pose: WheelPose, travel: Values) -> tuple[Flags, Any]:
    """Whether the wheel centre is where it should be, and Newton's step of the arm (radians) towards it."""
    import numpy as np

    links = pose.corner.links
    assert not isinstance(links, FixedAxis)  # which has no arm
    miss, rate = np.asarray(pose.wheel_centre.z - pose.corner.wheel_centre.z - travel), np.asarray(pose.rise_rate)
    there = _THERE * (links.lower_ball - links.lower_front).length()
    done = pose.reached & (np.abs(miss) <= there) & (rate > 0)
    return done, np.clip(-miss / np.where(rate == 0, np.nan, rate), -_STRIDE, _STRIDE)


def _search(corner: Any, hold: Any, travel: Any) -> tuple[Any, Any, Any]:
    """The arm angle (radians) beside a link's limit, NaN beyond it, and both margins; shapes (poses,).

    Where the links do not close at the first guess, angles round it are tried until they do; a step beyond what they
    allow is halved. The margins are those of a pose that is reached, else what the link said when it gave out.
    """
    import numpy as np

    guess = angle = np.asarray(arm_angle_for_rise(corner.links, travel))
    closed: Any = np.nan
    upper_margin: Any = np.nan
    margin: Any = np.nan
    for turn in range(_STEPS):
        pose = at_arm_angle(corner, hold, np.degrees(angle))
        done, step = _step(pose, travel)
        speaks = done | ~pose.reached
        upper_margin = np.where(speaks, pose.upper_margin, upper_margin)
        margin = np.where(speaks, pose.margin, margin)
        closed = np.where(pose.reached, angle, closed)
        halved = (angle + closed) / 2
        back = np.where(np.isnan(closed), guess + _PROBES[turn], halved) if turn < len(_PROBES) else halved
        following = np.where(done, angle, np.where(pose.reached, angle + step, back))
        given_up = ~(np.abs(following - angle) >= _STUCK) & ~pose.reached
        if np.all(done | given_up):
            break
        angle = following
    return np.where(done, angle, np.nan), upper_margin, margin


def _only(thing: Any, chosen: Flags) -> Any:
    """A number, array, vector or corner with the chosen elements alone of every array in it."""
    import numpy as np

    if is_dataclass(thing) and not isinstance(thing, type):
        return replace(thing, **{field.name: _only(getattr(thing, field.name), chosen) for field in fields(thing)})
    return np.broadcast_to(thing, chosen.shape)[chosen] if np.ndim(thing) else thing
