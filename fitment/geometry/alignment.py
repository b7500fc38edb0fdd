"""Alignment by strings or tape: toe out of readings, where parallel strings stand, what a turn of the rod does. Pure.

Lengths in mm, angles in degrees; numbers or arrays, and numpy is not loaded for numbers. Toe is + where toed in. Steer
and thrust angles are + to the car's left. The base is the distance of the two points at which one rim is read, front
and rear: the edge of its flange, which is about a tenth more than the rim's nominal size.

Source: definitions of toe in the sense of ISO 8855 (from memory); the rest is geometry, worked out here.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from fitment.elementwise import is_array, sqrt
from fitment.geometry.results import toe_per_mm

if TYPE_CHECKING:
    from fitment.elementwise import Values


def _library(*values: Any) -> Any:
    """Where sin, tan and radians are for these: numpy for arrays, else math."""
    if is_array(*values):
        import numpy as np

        return np
    return math


def _arcsine(sine: Any) -> Any:
    """Angle (deg) of a sine."""
    if is_array(sine):
        import numpy as np

        return np.degrees(np.arcsin(sine))
    return math.degrees(math.asin(sine))


def toe_between(front: Values, rear: Values) -> Values:
    """Toe as a length (mm) from readings between the rims, or outwards to one rim from a datum inside: rear - front.

    Between the rims it is the total of both wheels, from a datum inside it is that wheel's.
    """
    return rear - front


def toe_from_string(front: Values, rear: Values) -> Values:
    """Toe of one wheel as a length (mm) from its gaps to a string outside it: front - rear."""
    return front - rear


def toe_angle(length: Values, base: Values) -> Values:
    """Toe of one wheel (deg) from its length over the base, both mm."""
    angle: Values = _arcsine(length / base)
    return angle


def toe_length(angle: Values, base: Values) -> Values:
    """Toe of one wheel (mm over the base) from its angle, deg."""
    library = _library(angle, base)
    length: Values = base * library.sin(library.radians(angle))
    return length


def toe_angle_u(length: Values, u_length: Values, base: Values, u_base: Values = 0.0) -> Values:
    """Standard uncertainty (deg) of `toe_angle`, to first order; arguments in mm."""
    u: Values = sqrt(u_length**2 + (length / base * u_base) ** 2) / sqrt(base**2 - length**2) * (180 / math.pi)
    return u


def side_slip(length: Values, base: Values) -> Values:
    """How far a wheel with this toe (mm over the base) drags its tyre sideways, m per km.

    Source: figure of a training slide, looked up (5 m per km for 3 mm; it leaves out the base, 600 mm makes it true).
    """
    return 1000 * length / base


def mean_steer(left: Values, right: Values) -> Values:
    """Where two wheels with these toes point together (deg, + to the left); of a rear axle it is the thrust angle."""
    return (right - left) / 2


def toe_along(each: Values, direction: Values) -> tuple[Values, Values]:
    """Toe of the left and of the right wheel to the car's middle, where each has this toe to another direction (deg).

    Args:
        each: toe-in of each wheel to that direction.
        direction: deg, + to the left; the thrust angle, where the front wheels are set to the thrust line.
    """
    return each - direction, each + direction


def across_hubs(track: Values, offset: Values) -> Values:
    """Distance across the two mounting faces of the hubs (mm).

    Args:
        track: between the middles of the wheels, mm.
        offset: of the wheel, mm; + where its mounting face lies outboard of its middle.
    """
    return track + 2 * offset


def rear_distance(front_distance: Values, across_front: Values, across_rear: Values) -> Values:
    """From the rear hub's face to a string that runs along the car (mm).

    Args:
        front_distance: from the front hub's face to that string, mm.
        across_front: across both front hubs, from measuring face to measuring face, mm.
        across_rear: the same at the rear, mm.
    """
    return front_distance + (across_front - across_rear) / 2


def string_yaw(out: Values, length: Values) -> Values:
    """How far a string is turned (deg) that stands out by this at one end of a length, both mm."""
    yaw: Values = _arcsine(out / sqrt(out**2 + length**2))
    return yaw


def axis_z(castor: Values, inclination: Values) -> Values:
    """Upright part of the steering axis' unit vector, from castor and steering-axis inclination (deg).

    Both angles are as seen from the side and from the front (`steering_axis`).
    """
    library = _library(castor, inclination)
    back, inward = library.tan(library.radians(castor)), library.tan(library.radians(inclination))
    upright: Values = 1 / sqrt(1 + back**2 + inward**2)
    return upright


def length_per_turn(pitch: Values, sleeve: bool = False) -> Values:
    """What one turn adds to a rod (mm): its pitch, or twice that for a sleeve with a right- and a left-hand thread."""
    return 2 * pitch if sleeve else pitch


def rod_length_for_toe(change: Values, moment_arm: Values, axis_upright: Values = 1.0) -> Values:
    """Change of a rod's length (mm, towards toe-in) that changes its wheel's toe by this (deg), by the rule."""
    return change / toe_per_mm(moment_arm, axis_upright)


def longer(towards_toe_in: Values, ahead: bool) -> Values:
    """Change of a rod's length, + longer (mm): a longer rod gives toe-out ahead of the steering axis, toe-in behind."""
    return -1 * towards_toe_in if ahead else towards_toe_in


def rod_length_for_wheel(angle: Values, speed: Values) -> Values:
    """What one rod must gain and the other lose (mm) to turn the steering wheel by this (deg) with toe kept.

    Args:
        speed: of the rack, mm of travel per turn of the steering wheel.
    """
    return speed * angle / 360


def wheel_angle(steer: Values, toe_rate: Values, speed: Values) -> Values:
    """How far the steering wheel turns (deg) while the road wheels steer by this (deg), near straight ahead.

    Args:
        toe_rate: what a rod does to its wheel, `toe_per_mm`; the rack does the same.
        speed: of the rack, mm of travel per turn of the steering wheel.
    """
    return steer / toe_rate / speed * 360


def rod_turns_per_wheel_turn(speed: Values, per_turn: Values) -> Values:
    """Turns of each rod for one turn of the steering wheel; the same in degrees.

    Args:
        speed: of the rack, mm of travel per turn of the steering wheel.
        per_turn: what one turn adds to a rod, mm.
    """
    return speed / per_turn


def clockwise(lengthens: bool, hand: str) -> bool:
    """Whether a rod or sleeve turns clockwise, seen from the middle of the car towards its wheel.

    Args:
        lengthens: whether the rod is to be longer.
        hand: of the thread at its outer end, "RH" or "LH"; a right-hand thread turned clockwise from there screws in.
    """
    return lengthens == (hand == "LH")


def top_goes_forward(turns_clockwise: bool, left: bool) -> bool:
    """The same sense as it is seen from any side: whether the top of that rod moves towards the front of the car."""
    return turns_clockwise == left
