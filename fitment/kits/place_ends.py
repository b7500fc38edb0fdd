"""An end whose mate is not on record, held against the end in whose place it is to come."""

from __future__ import annotations

from dataclasses import replace

from fitment.catalogue.end_keys import end_key
from fitment.doubt import Draws
from fitment.finding import Finding, Gap, Verdict, held_back
from fitment.joints.kinds import joint_kinds
from fitment.joints.limits import default_limits
from fitment.joints.registration import Feature, Setting, missing
from fitment.kits.place_rules import NO_MATE

_OPPOSITE = {"male": "female", "female": "male"}
_THREADED = ("bar-end", "thread-end")
#: what is known of the mate of a threaded end by the end itself
_MIRRORED = ("thread", "hand", "depth")


def stand_in_findings(old: Feature, new: Feature, draws: Draws) -> list[Finding]:
    """What the new end shows where only the old one is known.

    Args:
        old: the end of the part that is to be replaced.
        new: the end of the part that is to come in its place.
        draws: samples for the doubt.
    """
    if old.kind in _THREADED and (mate := _mirrored(old)) is not None:
        found = joint_kinds()["thread"].check(new, mate, Setting(default_limits(), draws))
        return [one if one.verdict is Verdict.DOES_NOT_FIT else held_back(one) for one in found]
    joint = (new.name, old.name)
    before, after = end_key(old).near_key, end_key(new).near_key
    if before is not None and after is not None and before != after:
        because = f"it is {after}, and the old end is {before}"
        return [Finding(NO_MATE.code, joint, Verdict.DOES_NOT_FIT, because)]
    return [missing(NO_MATE.code, joint, [Gap(old.name, "mate", "no part that mates with this end is on record")])]


def _mirrored(old: Feature) -> Feature | None:
    """What screws on a threaded end, as far as the end itself tells; None where its thread or sex is not known."""
    sex = old.get("sex")
    if old.get("thread") is None or sex is None or sex.word not in _OPPOSITE:
        return None
    name = f"mate of {old.name}"
    values = {dimension: replace(use, feature=name) for dimension in _MIRRORED if (use := old.get(dimension))}
    values["sex"] = replace(sex, feature=name, value=_OPPOSITE[sex.word], shown=_OPPOSITE[sex.word])
    return Feature(name, old.kind, values)
