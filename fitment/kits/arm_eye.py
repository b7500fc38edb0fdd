"""Where the ball of the joint in a steering arm lies in the car: as surveyed, or by what the kit has there instead.

A survey finds the ball of the joint that was in the arm. Another joint holds its ball higher or lower in the same eye;
another car's knuckle has its eye where its own arm puts it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from fitment.catalogue.found import FoundPart
from fitment.doubt import Draws
from fitment.finding import Gap
from fitment.frozen import dataclass
from fitment.joints.answering import Size, adopted, doubt_of, fixed, formula, lacking, mm, size_of
from fitment.kits.outer_ball import OuterBall

if TYPE_CHECKING:
    from fitment.geometry.frames import Vector

#: without these an eye cannot be placed on a steering axis
_PLACING = ("arm-forward", "arm-lateral", "arm-height")
#: arm and survey differ where they lie farther apart than so many standard uncertainties; own choice, no source
_DIFFER = 3.0
#: mm; a ball that is moved by less is not worth a word
_SHOWN = 0.005


@dataclass(frozen=True)
class Surveyed:
    """What a survey tells of one arm.

    Attributes:
        eye: ball centre of the joint in it, a `Vector` in car coordinates, mm.
        off: that ball centre off the middle of the eye along the eye's axis, mm, + up.
        links: what carries the steering axis, `geometry.suspension.Links`.
        sign: +1 left, -1 right.
    """

    eye: Size
    off: Size
    links: Size
    sign: int

    @property
    def axis(self) -> tuple[Size, Size]:
        """Lower point of the steering axis, and the direction up it."""
        return formula(_lower, self.links), formula(_up, self.links)


@dataclass(frozen=True)
class ArmEye:
    """The ball centre of the joint in a steering arm.

    Attributes:
        at: a `Vector` in car coordinates, mm.
        moved: whether the eye is taken as another knuckle's, not as surveyed.
        told: what that takes for granted; "" where there is nothing to tell.
        counted: whether it is counted how high the kit's joint holds its ball.
    """

    at: Size
    moved: bool = False
    told: str = ""
    counted: bool = False


def arm_eye(knuckle: FoundPart | None, came: bool | None, taken: Surveyed, ball: OuterBall | None) -> ArmEye:
    """The ball of one front wheel's arm.

    Args:
        knuckle: the knuckle on it, where one is named.
        came: whether that came with the car; None where nothing says.
        taken: the arm as surveyed.
        ball: the joint in it; None for that of the survey.
    """
    if knuckle is None or ball is None or came:
        return _held(taken, ball)
    if came is None:
        differs = _differs(knuckle, taken)
        if differs is None and taken.eye.known:
            told = (
                f"Nothing tells whether {knuckle.name} came with the car: the eye is taken as surveyed with the car's "
            )
            return _held(taken, ball, f"{told}own knuckle.")
        if not differs:
            return _held(taken, ball)
    told = (
        f"{knuckle.name} is another car's knuckle: its arm's eye is moved, and nothing else of it (ball joints, "
        "wheel centre, inclination) is counted"
    )
    return ArmEye(_moved(knuckle, taken, ball), True, told, True)


def _held(taken: Surveyed, ball: OuterBall | None, told: str = "") -> ArmEye:
    """The surveyed eye, its ball moved where the kit's joint is another and both places are known."""
    if ball is None or ball.end is None or ball.own or not taken.off.known:
        return ArmEye(taken.eye, told=told)
    rise = formula(lambda new, old: new - old, ball.off, taken.off)
    at = formula(_raised(taken.sign), taken.eye, taken.links, rise, *_lean(ball))
    if at.known:
        way, by = "up" if rise.central > 0 else "down", mm(abs(rise.central))
        if abs(rise.central) < _SHOWN:
            return ArmEye(at, told=told, counted=True)
        more = f"{ball.end.name} moves the {ball.side} outer ball {by} {way} along the eye's axis, and that is counted."
        return ArmEye(at, told=f"{told} {more}".strip(), counted=True)
    if not taken.eye.known:
        return ArmEye(at, told=told)
    lacks = "; ".join(f"{gap.feature} {gap.dimension}: {gap.why}" for gap in at.gaps)
    more = f"How high {ball.end.name} holds the {ball.side} outer ball in the eye is not counted ({lacks})."
    return ArmEye(taken.eye, told=f"{told} {more}".strip())


def _lean(ball: OuterBall) -> tuple[Size, Size]:
    """The lean of the eye's axis, rad; along the steering axis where it is not known which way it leans."""
    lean, azimuth = ball.lean
    if not (lean.known and azimuth.known):
        return fixed(0.0), fixed(0.0)
    return formula(_radians, lean), formula(_radians, azimuth)


def _radians(angle: Any) -> Any:
    return angle * (math.pi / 180)


def _raised(sign: int) -> Callable[..., Any]:
    def raised(at: Any, links: Any, rise: Any, lean: Any, azimuth: Any) -> Any:
        from fitment.geometry.suspension import eye_axis

        return at + eye_axis(links, sign, lean, azimuth) * rise

    return raised


def _lower(links: Any) -> Any:
    return links.lower_ball


def _up(links: Any) -> Any:
    from fitment.geometry.suspension import upper_end

    return upper_end(links) - links.lower_ball


def _moved(knuckle: FoundPart, taken: Surveyed, ball: OuterBall) -> Size:
    """The ball in another knuckle's eye on this car's steering axis, by the knuckle's own arm and the joint in it."""
    body, sign = knuckle.features["body"], taken.sign

    def middle(foot: Any, along: Any, forward: Any, lateral: Any, height: Any) -> Any:
        from fitment.geometry.frames import Vector

        return foot + along.unit() * height + Vector(forward, sign * lateral, 0.0)

    arm = [size_of(body, name) for name in _PLACING]
    told = [
        replace(gap, why=f"{gap.why}; the survey's eye is that of another knuckle") for one in arm for gap in one.gaps
    ]
    if told:
        return lacking(*told)
    eye = formula(middle, *taken.axis, *arm)
    if eye.known and not math.isfinite(float(eye.at(adopted).x)):
        return lacking(
            Gap("front corners", "points", "the points of a steering axis fall together: measure them again")
        )
    return formula(_raised(sign), eye, taken.links, ball.off, *_lean(ball))


def _differs(knuckle: FoundPart, taken: Surveyed) -> bool | None:
    """Whether the arm on record is another than the surveyed one; None where they cannot be compared."""
    body, draws = knuckle.features["body"], Draws()
    found = []
    for name, measure in _ARM.items():
        off = formula(_off(measure, taken.sign), taken.eye, *taken.axis, size_of(body, name))
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


#: the dimensions of an arm from the ball in it seen from the lower ball joint, the direction up the axis, and the side;
#: its height is that of the eye, off which the ball stands by as much as the joint has it
_ARM = {"arm-length": _square, "arm-forward": _forward, "arm-lateral": _lateral}
