"""What it takes to turn the front wheels of a standing car: moment about the kingpin, force in the bar and at the rim.

Pure. Loads and forces in N, lengths in mm, angles in degrees, moments and torques in N·m, pressures in kPa. Numbers or
arrays, and numpy is not loaded for numbers. An interval is a pair, low and high.

The model: the tyre's print is a disc under even pressure that slips everywhere, the wheel held by its brake, friction
the same all over. The same moment taken for a wheel that is free to roll, or a car that rolls, is an upper bound.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from fitment.elementwise import is_array, sqrt

if TYPE_CHECKING:
    from fitment.elementwise import Values

    Interval = tuple[Values, Values]

#: friction of tyre on dry ground: the least of two worked examples (Barton and Fieldhouse, Automotive Chassis
#: Engineering, p. 90, read as scanned text), and the most that a steering unit's sizing catalogue of 2006 takes (rubber
#: on dry concrete, looked up)
FRICTION = (0.55, 0.7)

#: efficiency of a manual rack with two joints in its column (from memory and common practice, no source)
EFFICIENCY = (0.8, 0.9)

#: how the rim force is found, and how far its formula reads high, in words for people
METHOD = (
    "wheels turned on the spot, car standing: moment about the kingpin = friction x load x root(width²/8 + offset²), "
    "the offset from the axis' ground point to the middle of the print; then by virtual work through rods, rack and "
    "column"
)
BIAS = (
    "the formula reads up to 10.1 % above the exact integral of its own model (6.1 % without offset, 2.8 % with an "
    "offset of one width); friction and print width count for more, hence the range; a wheel free to roll takes less"
)

#: points on half the edge of the print; good to 1e-7 of the moment where its edge lies on the axis, to 1e-14 elsewhere
_POINTS = 64


def contact_offset(scrub: Values, trail: Values) -> Values:
    """Distance on the ground from the steering axis to the middle of the print, mm, from scrub radius and trail."""
    offset: Values = sqrt(scrub**2 + trail**2)
    return offset


def contact_width(load: Values, pressure: Values) -> Values:
    """Diameter (mm) of the print that carries a load at an inflation pressure, the tyre's walls taken as limp.

    Source: contact radius root(W/(pi p)), as the notation of Sharp and Granger, On car steering torques at parking
    speeds, lists it (looked up in part).
    """
    # kPa is 1e-3 N/mm²
    width: Values = 2 * sqrt(load / (math.pi * pressure / 1000))
    return width


def disc_moment(load: Values, friction: Values, width: Values, offset: Values) -> Values:
    """Moment about the kingpin, N·m, all friction taken to act at the disc's radius of gyration about the axis.

    Never below `locked_disc_moment`, and at most 10.13 % above it, at an offset of a third of the width.

    Source: friction times load times root(b²/8 + e²), as a steering unit's sizing catalogue of July 2006 prints it, p.
    90 (looked up); credited to Gough and to Taborek, Mechanics of Vehicles, 1957 (from memory).

    Args:
        load: on this wheel.
        friction: between tyre and ground, a plain number.
        width: of the tyre's print.
        offset: `contact_offset`. Scrub radius alone, which is often put here, reads low where there is trail.
    """
    moment: Values = friction * load * sqrt(width**2 / 8 + offset**2) / 1000
    return moment


def thirds_moment(load: Values, friction: Values, width: Values, offset: Values) -> Values:
    """The same with (b/3)² in place of b²/8: exact without offset, at most 7.1 % high.

    Source: Barton and Fieldhouse, Automotive Chassis Engineering, p. 82 (read as scanned text).
    """
    moment: Values = friction * load * sqrt((width / 3) ** 2 + offset**2) / 1000
    return moment


def locked_disc_moment(load: Values, friction: Values, width: Values, offset: Values) -> Values:
    """Moment about the kingpin, N·m: the exact integral of the disc model, arguments as for `disc_moment`.

    Friction times load times the mean distance of the disc's points from the axis. By the divergence theorem that mean
    is an integral along the disc's edge of a smooth periodic function, for which equal steps are as good as any rule.
    """
    radius = width / 2
    total: Any = 0.0
    for point in range(_POINTS):
        inward = offset * math.cos((point + 0.5) * math.pi / _POINTS)
        total = total + sqrt(radius**2 + offset**2 - 2 * radius * inward) * (radius - inward)
    mean: Values = total * 2 / (3 * radius * _POINTS)
    return friction * load * mean / 1000


def disc_bias(offset_share: Values) -> Values:
    """How far `disc_moment` reads above `locked_disc_moment`, as a fraction.

    Args:
        offset_share: offset over width of the print.
    """
    return disc_moment(1.0, 1.0, 1.0, offset_share) / locked_disc_moment(1.0, 1.0, 1.0, offset_share) - 1


def jacking_moment(load: Values, offset: Values, inclination: Values, steer: Values) -> Values:
    """Moment by which the car's weight turns a steered wheel back, N·m; small beside friction on the spot.

    Source: W d sin cos of the inclination times sin of the steer angle, Barton and Fieldhouse, p. 82 and 90.

    Args:
        load: on this wheel.
        offset: of the kingpin (mm), measured square to it.
        inclination: of the steering axis.
        steer: angle of the wheel.
    """
    library: Any = math
    if is_array(inclination, steer):
        import numpy as np

        library = np
    lean = library.radians(inclination)
    moment: Values = load * offset * library.sin(lean) * library.cos(lean) * library.sin(library.radians(steer)) / 1000
    return moment


def bar_force(moments: Sequence[Values], arms: Sequence[Values], along_bar: Sequence[Values]) -> Values:
    """Force along the bar (N) that the rods need, by their arms: the sum of (M/a) t over the wheels.

    Args:
        moments: about each steering axis, N·m; of a friction moment about the vertical the part along the axis.
        arms: `steering_axis.moment_arm` of each rod at this lock.
        along_bar: cosine of the angle between each rod and the bar.
    """
    force: Values = 0.0
    for moment, arm, along in zip(moments, arms, along_bar, strict=True):
        force = force + moment * 1000 / arm * along
    return force


def bar_force_by_work(moments: Sequence[Values], rates: Sequence[Values]) -> Values:
    """The same without arms, by virtual work.

    Args:
        moments: of each wheel about the vertical, N·m.
        rates: `slopes.steer_per_bar` of each wheel at this lock, deg/mm; which way it turns does not matter.
    """
    force: Values = 0.0
    for moment, rate in zip(moments, rates, strict=True):
        turning: Any = abs(rate)
        force = force + moment * 1000 * turning * (math.pi / 180)
    return force


def pinion_torque(force: Values, speed: Values, efficiency: Values) -> Values:
    """Torque at the steering wheel (N·m) for a force in the bar.

    Args:
        force: along the bar.
        speed: of the rack, mm of travel per turn.
        efficiency: from the steering wheel to the bar, 0 to 1.
    """
    return force * speed / (2 * math.pi * efficiency) / 1000


def rim_force(torque: Values, diameter: Values) -> Values:
    """Force at the steering wheel's rim (N) for a torque, by the diameter of the rim."""
    return torque * 2000 / diameter


def swapped_torque(
    torque: Values, turns_before: Values, efficiency_before: Values, turns_after: Values, efficiency_after: Values
) -> Values:
    """Torque (N·m) after a gear with other turns for the same lock replaces one that took this torque.

    Source: energy kept; worked so in Barton and Fieldhouse, p. 87 (a box by a rack).
    """
    return torque * turns_before * efficiency_before / (turns_after * efficiency_after)


def moment_range(load: Values, offset: Values, friction: Interval, width: Interval) -> Interval:
    """Moment about the kingpin, N·m, by `disc_moment` over intervals of friction and of the print's width.

    It grows with both, so that the ends of the one are the ends of the other.
    """
    return disc_moment(load, friction[0], width[0], offset), disc_moment(load, friction[1], width[1], offset)


def rim_force_range(
    moments: Sequence[Interval], rates: Sequence[Values], speed: Values, diameter: Values, efficiency: Interval
) -> Interval:
    """Force at the rim, N, over intervals of each wheel's moment and of the efficiency.

    Args:
        moments: about the vertical, N·m, of each wheel.
        rates: of each wheel at this lock, as for `bar_force_by_work`.
        speed: of the rack, mm of travel per turn.
        diameter: of the rim.
        efficiency: from the steering wheel to the bar; the lower one belongs to the higher force.
    """
    low, high = (
        rim_force(
            pinion_torque(bar_force_by_work([one[end] for one in moments], rates), speed, efficiency[1 - end]), diameter
        )
        for end in (0, 1)
    )
    return low, high
