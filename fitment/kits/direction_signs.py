"""Which way a rack moves its bar and on which side of the axis the arms lie, from every piece of evidence there is."""

from __future__ import annotations

from collections.abc import Sequence

from fitment.catalogue.found import FoundPart
from fitment.doubt import Draws
from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.geometry.direction import BAR, SHAFT, bar_moves, half_turned
from fitment.geometry.frames import Vector
from fitment.joints.answering import Size, mm, names, size_of, spread
from fitment.joints.registration import Feature
from fitment.kits.assembly import Assembly
from fitment.kits.chain import address_of
from fitment.kits.front_axle import wheel_of
from fitment.kits.kit import Kit
from fitment.kits.rack_turned import AXES, ends_swap
from fitment.kits.roles import SIDES

#: sign by word: of m, which way the bar goes, and of the arm, ahead of the axis or behind
_MOVES = {"left": 1, "right": -1}
_AHEAD = {"front-steer": 1, "rear-steer": -1}
#: words for both
TO = {1: "left", -1: "right"}
LIES = {1: "ahead of", -1: "behind"}


@dataclass(frozen=True)
class Sign:
    """What one piece of evidence says.

    Attributes:
        sign: of m (+ the bar goes to the car's left in a turn to the right), or of the arm (+ ahead).
        told: the evidence in a few words.
        uses: what it rests on.
    """

    sign: int
    told: str
    uses: tuple[Use, ...]

    @property
    def weak(self) -> bool:
        """Whether it rests on hearsay or on an assumption."""
        return any(use.hearsay or use.assumed for use in self.uses)


@dataclass(frozen=True)
class Settled:
    """What the evidence comes to: a sign, or why there is none.

    Attributes:
        sign: +1 or -1; 0 where it is not known.
        told: the evidence in words.
        uses: what it rests on.
        gaps: why it is not known.
    """

    sign: int
    told: str
    uses: tuple[Use, ...]
    gaps: tuple[Gap, ...] = ()


def settled(signs: Sequence[Sign], lacks: Sequence[Gap], about: tuple[str, str]) -> Settled:
    """What pieces of evidence come to together: all of one sign, the weak ones counting where there are no others.

    Args:
        lacks: what is missing where there is no evidence at all.
        about: feature and dimension to name where the evidence disagrees.
    """
    counted = [one for one in signs if not one.weak] or list(signs)
    uses = tuple(dict.fromkeys(use for one in counted for use in one.uses))
    told = "; ".join(one.told for one in counted)
    if not counted:
        return Settled(0, "", (), tuple(lacks))
    if len({one.sign for one in counted}) > 1:
        return Settled(0, told, uses, (Gap(*about, f"in conflict: {told}"),))
    return Settled(counted[0].sign, told, uses)


def turned_vector(direction: Vector, turned: str) -> Vector:
    """A direction of the rack as it sits in this kit; "" is as in its donor."""
    return half_turned(direction, AXES[turned]) if turned in AXES else direction


def comes_in(body: Feature, turned: str) -> str:
    """From where the shaft reaches the pinion as the rack sits in this kit; "" where that was not recorded."""
    use = body.get("input")
    if use is None:
        return ""
    wanted = turned_vector(SHAFT[use.word], turned)
    return next(word for word, shaft in SHAFT.items() if shaft == wanted)


def bar_goes(rack: FoundPart, turned: str) -> Settled:
    """Which way the bar goes in a turn to the right, with the rack as it sits in this kit."""
    body = rack.features["body"]
    reverses = -1 if ends_swap(turned) else 1
    signs = []
    for dimension, words, told in (
        ("bar-moves", {word: sign * reverses for word, sign in _MOVES.items()}, "on the bench to the {}"),
        ("steer-type", {word: -sign * reverses for word, sign in _AHEAD.items()}, "its donor is {}"),
    ):
        if (use := body.get(dimension)) is not None:
            signs.append(Sign(words[use.word], told.format(use.word), (use,)))
    shaft, side = body.get("input"), body.get("bar-side")
    on_shaft = False
    if shaft is not None and side is not None:
        moves = bar_moves(*(turned_vector(one, turned) for one in (SHAFT[shaft.word], BAR[side.word])))
        on_shaft = moves == 0
        if not on_shaft:
            told = f"input {shaft.word}, bar {side.word} the pinion"
            signs.insert(0, Sign(1 if moves > 0 else -1, told, (shaft, side)))
    lacks = [body.gap("bar-moves"), body.gap("steer-type"), *(body.gap(name) for name in ("input", "bar-side")
             if body.get(name) is None)]  # fmt: skip
    if on_shaft and side is not None:
        lacks.append(
            Gap(body.name, "bar-side", f"{side.word} lies along a shaft {shaft.word if shaft else ''}: undecided")
        )
    return settled(signs, lacks, (body.name, "bar-moves"))


def arms_lie(kit: Kit, assembly: Assembly, draws: Draws) -> Settled:
    """On which side of the steering axis the arms of the car lie."""
    target = assembly.target
    body = target.features.get("body", Feature(f"{target.name} body", "vehicle-body"))
    signs, lacks = [], [body.gap("arm-position")] if body.get("arm-position") is None else []
    if (use := body.get("arm-position")) is not None:
        signs.append(Sign(_AHEAD[use.word], f"{target.name} is recorded as {use.word}", (use,)))
    for side in SIDES:
        wheel = wheel_of(kit, assembly, side)
        if not wheel.upright:
            told = f"{target.name}'s {side} eye"
            _by_size(wheel.ahead, told, f"corner.{side}", "arm-eye", (signs, lacks), target.name, draws)
        knuckle = assembly.found.get(address_of("knuckle", side))
        if knuckle is not None:
            size = size_of(knuckle.features["body"], "arm-forward")
            _by_size(size, f"{knuckle.name}'s eye", "body", "arm-forward", (signs, lacks), knuckle.name, draws)
    return settled(signs, lacks, (target.name, "arm-position"))


def _by_size(
    size: Size,
    told: str,
    feature: str,
    dimension: str,
    into: tuple[list[Sign], list[Gap]],
    name: str,
    draws: Draws,
) -> None:
    """A sign from how far an eye lies ahead of the axis, where the doubt leaves one."""
    signs, lacks = into
    if not size.known:
        lacks.extend(gap for gap in size.gaps if gap not in lacks)
        return
    low, high = spread(size, draws)
    if low <= 0 <= high:
        lacks.append(Gap(f"{name} {feature}", dimension, "too coarse to tell ahead from behind"))
        return
    sign = 1 if low > 0 else -1
    signs.append(Sign(sign, f"{told} lies {mm(abs(size.central))} {LIES[sign]} the steering axis", size.uses))


def hand_of(body: Feature, turned: str) -> tuple[str, tuple[Use, ...]]:
    """Hand of the rack as it sits in this kit, and what it rests on; "" where it was not recorded."""
    use = body.get("hand")
    if use is None:
        return "", ()
    other = {"LH": "RH", "RH": "LH"}
    return (other[use.word] if ends_swap(turned) else use.word), names(body, ("hand",))
