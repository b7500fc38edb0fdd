"""Where the eye of a steering arm lies in the car: as surveyed, or by the arm of a knuckle that is not the car's own.

A survey finds the eye of the knuckle that was on the car. Another car's knuckle has its eye where its own arm puts it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from fitment.catalogue.found import FoundPart
from fitment.doubt import Draws
from fitment.finding import Gap
from fitment.joints.answering import Size, doubt_of, formula, lacking, size_of

if TYPE_CHECKING:
    from fitment.geometry.frames import Vector

#: without these an eye cannot be placed on a steering axis
_PLACING = ("arm-forward", "arm-lateral", "arm-height")
#: arm and survey differ where they lie farther apart than so many standard uncertainties; own choice, no source
_DIFFER = 3.0


@dataclass(frozen=True)
class ArmEye:
    """The ball centre in a steering arm's eye.

    Attributes:
        at: a `Vector` in car coordinates, mm.
        moved: whether it is taken as another knuckle's, not as surveyed.
        told: what that takes for granted; "" where there is nothing to tell.
    """

    at: Size
    moved: bool = False
    told: str = ""


def arm_eye(knuckle: FoundPart | None, came: bool | None, surveyed: Size, lower: Size, up: Size, sign: int) -> ArmEye:
    """The eye of one front wheel.

    Args:
        knuckle: the knuckle on it, where one is named.
        came: whether that came with the car; None where nothing says.
        surveyed: the eye as surveyed.
        lower: lower point of the surveyed steering axis.
        up: direction up it.
        sign: +1 left, -1 right.
    """
    if knuckle is None or came:
        return ArmEye(surveyed)
    if came is None:
        differs = _differs(knuckle, surveyed, lower, up, sign)
        if differs is None and surveyed.known:
            told = (
                f"Nothing tells whether {knuckle.name} came with the car: the eye is taken as surveyed with the car's "
            )
            return ArmEye(surveyed, told=f"{told}own knuckle.")
        if not differs:
            return ArmEye(surveyed)
    told = (
        f"{knuckle.name} is another car's knuckle: its arm's eye is moved, and nothing else of it (ball joints, "
        "wheel centre, inclination) is counted"
    )
    return ArmEye(_moved(knuckle, lower, up, sign), True, told)


def _moved(knuckle: FoundPart, lower: Size, up: Size, sign: int) -> Size:
    """The eye of another knuckle on this car's steering axis, by the knuckle's own arm."""
    body = knuckle.features["body"]

    def place(foot: Any, along: Any, forward: Any, lateral: Any, height: Any) -> Any:
        from fitment.geometry.frames import Vector

        return foot + along.unit() * height + Vector(forward, sign * lateral, 0.0)

    arm = [size_of(body, name) for name in _PLACING]
    told = [
        replace(gap, why=f"{gap.why}; the survey's eye is that of another knuckle") for one in arm for gap in one.gaps
    ]
    if told:
        return lacking(*told)
    at = formula(place, lower, up, *arm)
    if at.known and not math.isfinite(float(at.at(lambda use: use.number).x)):
        return lacking(
            Gap("front corners", "points", "the points of a steering axis fall together: measure them again")
        )
    return at


def _differs(knuckle: FoundPart, surveyed: Size, lower: Size, up: Size, sign: int) -> bool | None:
    """Whether the arm on record is another than the surveyed one; None where they cannot be compared."""
    body, draws = knuckle.features["body"], Draws()
    found = []
    for name, measure in _ARM.items():
        off = formula(_off(measure, sign), surveyed, lower, up, size_of(body, name))
        if off.known:
            doubt = doubt_of(off, draws)
            found.append(abs(off.central) > max(_DIFFER * doubt, 1e-6))
    return any(found) if found else None


def _off(measure: Callable[[Vector, Vector, int], Any], sign: int) -> Callable[..., Any]:
    def off(eye: Vector, lower: Vector, up: Vector, recorded: Any) -> Any:
        return measure(eye - lower, up, sign) - recorded

    return off


def _square(eye: Vector, up: Vector, sign: int) -> Any:
    way = up.unit()
    return (eye - way * eye.dot(way)).length()


def _forward(eye: Vector, up: Vector, sign: int) -> Any:
    return eye.x - up.x / up.z * eye.z


def _lateral(eye: Vector, up: Vector, sign: int) -> Any:
    return sign * (eye.y - up.y / up.z * eye.z)


def _height(eye: Vector, up: Vector, sign: int) -> Any:
    return up.length() / up.z * eye.z


#: the dimensions of an arm from its eye seen from the lower ball joint, the direction up the axis, and the side
_ARM = {"arm-length": _square, "arm-forward": _forward, "arm-lateral": _lateral, "arm-height": _height}
