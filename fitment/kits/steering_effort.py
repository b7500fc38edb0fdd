"""What turning the wheels on the spot takes: moment at the kingpins, torque and force at the steering wheel's rim.

Given as least and most over friction, print of the tyre and efficiency; the doubt of the survey comes on top.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from fitment.joints.answering import Size, formula, size_of
from fitment.kits.car_corner import surveyed_corner
from fitment.kits.roles import SIDES
from fitment.kits.steering_measured import tyre_width
from fitment.kits.steering_solved import Solved

#: the ends of every range, by their place in an interval of `geometry.effort`
ENDS = ("least", "most")

#: width of the tyre's print over the tyre's nominal width, own choice, no source: the sizing catalogue that prints the
#: formula takes the whole, and the print of the reference's wheel by its pressure has 0.87 of it
_PRINT = (0.8, 1.0)

#: standard gravity, exact
_NEWTONS_PER_KG = 9.80665

ASSUMED = (
    "friction {0:g} to {1:g}, print {2:g} to {3:g} of the tyre's nominal width, efficiency {4:g} to {5:g} from rim to "
    "bar, no assistance, brakes on"
)


#: the results of this group
RESULTS = tuple(
    name
    for end in ENDS
    for name in (*(f"kingpin-{end}-{side}" for side in SIDES), f"rim-{end}-centre", f"rim-{end}-lock")
)


def assumed() -> str:
    """What the range is taken over, for people."""
    from fitment.geometry.effort import EFFICIENCY, FRICTION

    return ASSUMED.format(*FRICTION, *_PRINT, *EFFICIENCY)


def effort_sizes(solved: Solved) -> Iterator[tuple[str, Size]]:
    """Moment of each wheel, and force at the rim on centre and on the worse lock."""
    moments = kingpin_moments(solved)
    for index, end in enumerate(ENDS):
        for side in SIDES:
            yield f"kingpin-{end}-{side}", formula(_picked(index), moments[side])
        yield f"rim-{end}-centre", rim_force(solved, moments, solved.straight, index)
        locks = [rim_force(solved, moments, solved.locks[side], index) for side in SIDES]
        yield f"rim-{end}-lock", formula(_larger, *locks)


def kingpin_moments(solved: Solved) -> dict[str, Size]:
    """The moment of each wheel about the vertical as an interval, N·m."""
    wide = tyre_width(solved.model)
    return {
        side: formula(_moment, _load(solved, side), solved.foot[side], solved.contact[side], wide) for side in SIDES
    }


def rim_force(solved: Solved, moments: Mapping[str, Size], poses: Size, end: int) -> Size:
    """Force at the rim, N.

    Args:
        solved: the car.
        moments: of each wheel.
        poses: of both wheels.
        end: which end of the range, its place in `ENDS`.
    """
    sizes = (*(moments[side] for side in SIDES), solved.model.speed, size_of(solved.model.body, "wheel-dia"))
    return formula(_rim(end), solved.racked, poses, *sizes)


def _load(solved: Solved, side: str) -> Size:
    """Load on one front wheel, N: as weighed there, else half of the axle's."""
    own = size_of(surveyed_corner(solved.model.vehicle, side), "load")
    axle = size_of(solved.model.body, "load-front")
    if own.known or not axle.known:
        return formula(lambda mass: mass * _NEWTONS_PER_KG, own)
    return formula(lambda mass: mass / 2 * _NEWTONS_PER_KG, axle)


def _moment(load: Any, foot: Any, contact: Any, wide: Any) -> Any:
    from fitment.geometry import effort

    offset = effort.contact_offset(contact.x - foot.x, contact.y - foot.y)
    return effort.moment_range(load, offset, effort.FRICTION, (wide * _PRINT[0], wide * _PRINT[1]))


def _rim(end: int) -> Callable[..., Any]:
    def force(steering: Any, poses: Any, left: Any, right: Any, speed: Any, diameter: Any) -> Any:
        from fitment.geometry import effort
        from fitment.geometry.slopes import steer_per_bar

        rates = [steer_per_bar(pose, steering.rack.direction) for pose in poses]
        return effort.rim_force_range([left, right], rates, speed, diameter, effort.EFFICIENCY)[end]

    return force


def _picked(end: int) -> Callable[[Any], Any]:
    return lambda interval: interval[end]


def _larger(left: Any, right: Any) -> Any:
    import numpy as np

    return np.maximum(left, right)
