"""What goes with the length of the tie rods and decides nothing: hands of the threads, left against right, the stud."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.catalogue.found import FoundPart
from fitment.finding import Figure
from fitment.joints.answering import Size, figures_of, formula, mm, size_of
from fitment.joints.registration import Setting
from fitment.joints.thread_ends import thread_of
from fitment.kits.rod_sizes import RodParts

if TYPE_CHECKING:
    from fitment.kits.rod_length import Rod

#: what a pair of rods should have alike
_ALIKE = (("body", "centre", "ball centre to thread end"), ("stud", "height", "stud height"))
_HANDS = {"RH": "right hand", "LH": "left hand"}


def on_turning(parts: RodParts) -> tuple[str, ...]:
    """What turning the rod does where it has a thread at both ends."""
    if parts.joint is None or parts.rod is None:
        return ()
    ends = [parts.rod.features[name] for name in ("inner", "outer")]
    threads, hands = [thread_of(end) for end in ends], [end.get("hand") for end in ends]
    if threads[0] is None or threads[1] is None or hands[0] is None or hands[1] is None:
        return ()
    inner, outer = threads[0].pitch, threads[1].pitch
    first, second = (_HANDS.get(hand.word, hand.word) for hand in hands if hand is not None)
    if first != second:
        change = f"turned between both jam nuts it changes the length by {mm(inner + outer)} a turn"
        return (f"{parts.rod.name} is {first} inside and {second} outside: {change}.",)
    change = f"by {mm(abs(inner - outer))} a turn only" if inner != outer else "not at all"
    return (
        f"Both ends of {parts.rod.name} are {first}: turned between both jam nuts it changes the length {change}. "
        f"Keep the inner jam nut tight, and it changes by {mm(outer)} a turn.",
    )


def on_adapters(parts: RodParts) -> tuple[str, ...]:
    """How adapters in the chain are counted."""
    told = []
    if parts.at_bar is not None:
        told.append(
            f"{parts.at_bar.part.name} moves the inner ball outwards by its shoulder-length, and is counted so."
        )
    if parts.at_joint is not None:
        told.append(f"A rod_length in [{parts.side}] is taken as measured with {parts.at_joint.part.name} on.")
    if parts.at_end is not None:
        told.append(
            f"Of {parts.at_end.part.name} one end is locked and the other adjusts, with a jam nut on it. "
            "Screw both in as told: neither shows from outside how deep it is."
        )
    return tuple(told)


def _on_raising(rods: tuple[Rod, Rod]) -> list[str]:
    """What another stud height than the surveyed joint's does."""
    told = [f"{mm(abs(rod.raised.central))} {rod.parts.side}" for rod in rods if rod.raised.known and not rod.counted]
    if not told:
        return []
    return [
        "The survey's outer balls are those of the joints that were in the eyes: a stud that holds its ball 1 mm "
        f"higher or lower changes the needed length by about {' and '.join(told)}, and the slope of the rod with it."
    ]


def between_sides(
    left: Rod, right: Rod, origin: Size | None, setting: Setting
) -> tuple[tuple[str, ...], dict[str, Figure]]:
    """What left and right have unlike, as cautions and figures.

    Args:
        origin: y of the rack's middle in the car; None where it is not known.
    """
    cautions = [*_on_raising((left, right)), *_unlike(left.parts.end, right.parts.end), *_bar(left.parts.rack)]
    if not (left.needed.known and right.needed.known) or origin is None:
        return tuple(cautions), {}
    difference = formula(lambda one, other: one - other, left.needed, right.needed)
    offset = formula(lambda y, one, other: y - (one + other) / 2, origin, left.outer[1], right.outer[1])
    figures = figures_of({"left_less_right": (difference, "mm"), "rack_offset": (offset, "mm")}, setting.draws)
    if abs(difference.central) > 2 * (figures["left_less_right"].u or 0.0) + 1e-9:
        way = "left" if offset.central > 0 else "right"
        cautions.append(
            f"The rods are unequal, {mm(left.needed.central)} left and {mm(right.needed.central)} right, with the "
            f"rack's middle {mm(abs(offset.central))} to the {way} of the middle between the outer balls: "
            "toe over bump differs left and right."
        )
    return tuple(cautions), figures


def _unlike(left: FoundPart | None, right: FoundPart | None) -> list[str]:
    """Rod ends of two kinds, with what they differ in."""
    if left is None or right is None or left.name == right.name:
        return []
    told = []
    for feature, dimension, title in _ALIKE:
        if feature not in left.features or feature not in right.features:
            continue
        sizes = [size_of(part.features[feature], dimension) for part in (left, right)]
        texts = [mm(size.central) if size.known else "not known" for size in sizes]
        if texts[0] != texts[1] or not sizes[0].known:
            told.append(f"{title} {texts[0]} and {texts[1]}")
    if not told:
        return []
    return [f"The rod ends differ, left {left.name} and right {right.name}: {'; '.join(told)}."]


def _bar(rack: FoundPart | None) -> list[str]:
    """A bar that does not stand in the middle of its housing when the rack is centred."""
    if rack is None:
        return []
    out = [size_of(rack.features["body"], f"out-{side}-centre") for side in ("left", "right")]
    if not (out[0].known and out[1].known) or out[0].central == out[1].central:
        return []
    off = abs(out[0].central - out[1].central) / 2
    return [
        f"Centred, the bar of {rack.name} stands {mm(out[0].central)} out of its housing on the left and "
        f"{mm(out[1].central)} on the right, {mm(off)} off its middle: the lengths hold for a rack centred by turns."
    ]
