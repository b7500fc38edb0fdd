"""Whether the parts of either side are recorded as made for that side; knuckles are handed, recorded or not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from fitment.catalogue.found import FoundPart
from fitment.finding import Finding, Gap, Verdict, held_back
from fitment.joints.registration import missing
from fitment.kits.joint import Joint
from fitment.kits.kit import PartRef
from fitment.kits.roles import SIDES
from fitment.kits.rules import OTHER_SIDE


def with_sides(joints: Sequence[Joint], refs: Sequence[PartRef], found: Mapping[str, FoundPart]) -> list[Joint]:
    """The joints, the outermost one of a part of the other side saying so.

    Args:
        joints: in the order of the chain.
        refs: the parts as the kit names them.
        found: the same by address, found.
    """
    made = list(joints)
    on_both = _on_both_sides(refs, found)
    for ref in refs:
        part = found[ref.address]
        places = [
            place
            for place, joint in enumerate(made)
            if joint.side == ref.section and any(name.startswith(f"{part.name} ") for name in joint.names)
        ]
        if ref.section not in SIDES or not places:
            continue
        joint = made[places[-1]]
        if finding := _finding(joint, ref, part, _design(part) in on_both):
            made[places[-1]] = replace(joint, findings=(*joint.findings, finding))
    return made


def side_cautions(refs: Sequence[PartRef], found: Mapping[str, FoundPart]) -> dict[str, tuple[str, ...]]:
    """What is to be looked at on knuckles of which no side is recorded, by address."""
    on_both = _on_both_sides(refs, found)
    told: dict[str, tuple[str, ...]] = {}
    for ref in refs:
        part = found[ref.address]
        if _side_unrecorded(ref, part) and _design(part) not in on_both:
            look = f"No side is recorded of {part.name}: knuckles are handed, look that it is the {ref.section} one."
            told[ref.address] = (look,)
    return told


def _side_unrecorded(ref: PartRef, part: FoundPart) -> bool:
    body = part.features.get("body")
    return (
        part.kind == "knuckle"
        and ref.section in SIDES
        and body is not None
        and not ("side" in body.values or "side" in body.gaps)
    )


def _on_both_sides(refs: Sequence[PartRef], found: Mapping[str, FoundPart]) -> frozenset[str]:
    """The designs that the kit names on the left and on the right, be it by two items."""
    left, right = ({_design(found[ref.address]) for ref in refs if ref.section == side} for side in SIDES)
    return frozenset(left & right)


def _design(part: FoundPart) -> str:
    return part.design or part.name


def _finding(joint: Joint, ref: PartRef, part: FoundPart, on_both: bool) -> Finding | None:
    body = part.features.get("body")
    if body is None:
        return None
    if "side" in body.gaps:
        return missing(OTHER_SIDE, joint.names, [body.gap("side")])
    if on_both and _side_unrecorded(ref, part):
        why = "knuckles are handed: no side is recorded, and the kit names its design on both"
        found = missing(OTHER_SIDE, joint.names, [Gap(body.name, "side", why)])
        return replace(found, cautions=(f"{part.name}: {why}.",))
    use = body.get("side")
    if use is None or use.word == ref.section:
        return None
    because = f"{part.name} is for the {use.word} side, and the kit names it as the {ref.role.spoken(ref.section)}"
    return held_back(Finding(OTHER_SIDE, joint.names, Verdict.DOES_NOT_FIT, because, uses=(use,)))
