"""Whether the parts of either side are recorded as made for that side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from fitment.catalogue.found import FoundPart
from fitment.finding import Finding, Verdict, held_back
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
        if finding := _finding(joint, ref, part):
            made[places[-1]] = replace(joint, findings=(*joint.findings, finding))
    return made


def _finding(joint: Joint, ref: PartRef, part: FoundPart) -> Finding | None:
    body = part.features.get("body")
    if body is None:
        return None
    if "side" in body.gaps:
        return missing(OTHER_SIDE, joint.names, [body.gap("side")])
    use = body.get("side")
    if use is None or use.word == ref.section:
        return None
    because = f"{part.name} is for the {use.word} side, and the kit names it as the {ref.role.spoken(ref.section)}"
    return held_back(Finding(OTHER_SIDE, joint.names, Verdict.DOES_NOT_FIT, because, uses=(use,)))
