"""Where the upright stands: its steering axis from the suspension, then turned about it until something holds it.

What holds it is the tie rod (`Rod`), or nothing but the wish that the wheel keep a toe (`HeldToe`: rods being set).
Shapes: every argument may be a number or an array, and all of them broadcast; so do the results. A pose that a link
does not reach is NaN there and False in `reached`; nothing is clipped.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from fitment.frozen import dataclass
from fitment.geometry.axis_pose import AxisPose, arm_angle_for_rise, axis_rates, axis_swung
from fitment.geometry.blocks import in_blocks
from fitment.geometry.frames import Vector, margin_of
from fitment.geometry.hold import HeldToe, Rod, Upright, known
from fitment.geometry.operations import NUMBERS, Keeps, Operations, for_arrays, mapped, plain
from fitment.geometry.suspension import Corner, FixedAxis, Strut
from fitment.geometry.wheel import camber, steer_angle, toe_in

__all__ = ["HeldToe", "Rod", "Upright", "WheelPose", "at_arm_angle", "at_travel"]

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

#: half the radians in a degree
_HALF = math.pi / 360

#: of the lower arm's length: nearer than this to the wanted height is there
_THERE = 1e-12


@dataclass(frozen=True, slots=True)
class WheelPose(Keeps):
    """One wheel where it stands, with its speeds.

    `arm_angle` in degrees, + raises the lower ball. `span` and `carried` are those of `axis_pose.AxisPose`.
    `upper_cos_square` and `cos_square` tell how near the upper closure and the hold are to dead centre, as in
    `frames.closed`; where a pose is not reached they are those of the link that gave out, or NaN where none did.
    """

    corner: Corner
    hold: Rod | HeldToe
    upright: Upright
    arm_angle: Values
    span: Values
    carried: Vector
    upper_cos_square: Values
    cos_square: Values

    @property
    def upper_margin(self) -> Values:
        """The upper closure's distance from dead centre, negative where it is what gave out."""
        return margin_of(self.upper_cos_square)

    @property
    def margin(self) -> Values:
        """The hold's distance from dead centre, negative where it is what gave out."""
        return margin_of(self.cos_square)

    @property
    def reached(self) -> Flags:
        """Whether the links reach this pose."""
        import numpy as np

        reached: Flags = np.isfinite(self.upright.space[1].x)
        return reached

    @property
    def lower_rate(self) -> Vector:
        """Speed of the lower ball per radian of arm angle (mm/rad), what holds the upright kept as it is."""
        return self.kept(_rates)[0]

    @property
    def turning(self) -> Vector:
        """Angular velocity of the upright per radian of arm angle (rad/rad), what holds it kept as it is."""
        return self.kept(_rates)[1]

    @property
    def spin(self) -> Vector:
        """Unit spin axis, outboard."""
        return self.upright.direction(known(self.corner).spin)

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
        turning, arm = self.turning, self.wheel_centre - self.upright.lower
        return self.lower_rate.z + turning.x * arm.y - turning.y * arm.x


def at_arm_angle(corner: Corner, hold: Rod | HeldToe, arm_angle: Values) -> WheelPose:
    """The wheel with the lower arm swung by an angle (deg, + raises the ball); closed form throughout."""
    if plain(arm_angle) and known(corner).plain and hold.is_plain():
        return _pose(corner, hold, arm_angle, NUMBERS)
    return in_blocks(_at_arm_angle, corner, hold, arm_angle)


def at_travel(corner: Corner, hold: Rod | HeldToe, travel: Values) -> WheelPose:
    """The wheel with its centre raised by `travel` mm against the body (+ bump).

    The height of the wheel centre has no closed inverse: Newton's steps with the exact speed, from the arm angle that
    would raise the lower ball as far. Only the road of the design pose counts, on which the centre rises with the arm.
    Beyond the reach: NaN, and the margins say which link gave out.

    A fixed steering axis knows no travel: it reaches 0 only.
    """
    return in_blocks(_at_travel, corner, hold, travel)


def _at_arm_angle(corner: Corner, hold: Rod | HeldToe, arm_angle: Values) -> WheelPose:
    ops = for_arrays()
    with ops.quiet():
        return _pose(corner, hold, arm_angle, ops)


def _pose(corner: Corner, hold: Rod | HeldToe, arm_angle: Values, ops: Operations) -> WheelPose:
    axis = axis_swung(corner.links, ops.tan(ops.number(arm_angle) * _HALF), ops)
    upright, cos_square = hold.hold(corner, axis, ops)
    return WheelPose(corner, hold, upright, arm_angle, axis.span, axis.carried, axis.cos_square, cos_square)


def _rates(pose: WheelPose) -> tuple[Vector, Vector]:
    """The lower ball's speed and the upright's angular velocity, per radian of arm angle."""
    upright, along = pose.upright, pose.upright.space[0]
    axis = AxisPose(upright.lower, along, pose.span, pose.carried, pose.upper_cos_square)
    lower_rate, upper_rate, carried_rate = axis_rates(pose.corner.links, axis)
    relative = upper_rate - lower_rate
    if isinstance(pose.corner.links, Strut):
        relative = relative - upright.direction(carried_rate)
    swing = along.cross(relative) / pose.span
    return lower_rate, swing + along * pose.hold.steering(pose.corner, upright, (lower_rate, swing))


def _at_travel(corner: Corner, hold: Rod | HeldToe, travel: Values) -> WheelPose:
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
    angle[beside], *near = _search(*few)
    found = at_arm_angle(corner, hold, np.degrees(angle))
    upper, own = (np.array(np.broadcast_to(one, beside.shape)) for one in (found.upper_cos_square, found.cos_square))
    upper[beside], own[beside] = near
    return replace(found, upper_cos_square=upper[()], cos_square=own[()])


def _step(pose: WheelPose, travel: Values) -> tuple[Flags, Any]:
    """Whether the wheel centre is where it should be, and Newton's step of the arm (radians) towards it."""
    import numpy as np

    links = pose.corner.links
    assert not isinstance(links, FixedAxis)  # which has no arm
    miss, rate = (
        np.asarray(pose.upright.height(pose.corner.wheel_centre) - pose.corner.wheel_centre.z - travel),
        np.asarray(pose.rise_rate),
    )
    there = _THERE * (links.lower_ball - links.lower_front).length()
    done = pose.reached & (np.abs(miss) <= there) & (rate > 0)
    return done, np.clip(-miss / np.where(rate == 0, np.nan, rate), -_STRIDE, _STRIDE)


def _search(corner: Any, hold: Any, travel: Any) -> tuple[Any, Any, Any]:
    """The arm angle (radians) beside a link's limit, NaN beyond it, and both cos² of `frames.closed`; shapes (poses,).

    Where the links do not close at the first guess, angles round it are tried until they do; a step beyond what they
    allow is halved. The latter are those of a pose that is reached, else what the link said when it gave out.
    """
    import numpy as np

    guess = angle = np.asarray(arm_angle_for_rise(corner.links, travel))
    closed: Any = np.nan
    upper: Any = np.nan
    own: Any = np.nan
    for turn in range(_STEPS):
        pose = at_arm_angle(corner, hold, np.degrees(angle))
        done, step = _step(pose, travel)
        reached = pose.reached
        speaks = done | ~reached
        upper = np.where(speaks, pose.upper_cos_square, upper)
        own = np.where(speaks, pose.cos_square, own)
        closed = np.where(reached, angle, closed)
        halved = (angle + closed) / 2
        back = np.where(np.isnan(closed), guess + _PROBES[turn], halved) if turn < len(_PROBES) else halved
        following = np.where(done, angle, np.where(reached, angle + step, back))
        given_up = ~(np.abs(following - angle) >= _STUCK) & ~reached
        if np.all(done | given_up):
            break
        # what is given up stays as it is, whatever else is still looked for
        angle = np.where(given_up, angle, following)
    return np.where(done, angle, np.nan), upper, own


def _only(thing: Any, chosen: Flags) -> Any:
    """A number, array, vector or corner with the chosen elements alone of every array in it."""
    import numpy as np

    return mapped(lambda value: np.broadcast_to(value, chosen.shape)[chosen] if np.ndim(value) else value, thing)
