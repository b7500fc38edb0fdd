"""Whether a few parts of a tie rod leave its length open, whatever else is in a kit: what `rod_length` says of them."""

from __future__ import annotations

from collections.abc import Mapping

from fitment.catalogue.found import FoundPart
from fitment.joints.answering import size_of
from fitment.joints.registration import Setting
from fitment.kits.kit import Kit
from fitment.kits.rod_reach import Adjuster, adjuster
from fitment.kits.rod_sizes import RodParts, half_spacing, rod_size
from fitment.kits.roles import SIDES


def is_open(kit: Kit, found: Mapping[str, FoundPart], setting: Setting) -> bool:
    """Whether the length of a tie rod is not known with these parts, which meet in the kit without an adapter.

    Args:
        kit: that names them.
        found: two parts, or those of two places on both sides, by address.
        setting: for its samples and limits.
    """
    return any(_is_open(kit, found, side, setting) for side in SIDES)


def _is_open(kit: Kit, found: Mapping[str, FoundPart], side: str, setting: Setting) -> bool:
    rack = found.get("rack")
    joint, rod = (found.get(f"{side}.{role}") for role in ("inner_joint", "tie_rod"))
    end = found.get(f"{side}.rod_end") or found.get(f"{side}.spherical_rod_end")
    holder = joint or rod
    if rack is not None and holder is not None:
        return not half_spacing(RodParts(side, rack, joint, holder, None, ()), setting.draws).known
    if joint is not None and rod is not None:
        return not rod_size(RodParts(side, None, joint, rod, None, ()), kit).known
    if rod is not None and end is not None:
        thread = adjuster((rod.features["outer"], end.features["shank"]), setting)
        known = isinstance(thread, Adjuster) and thread.least.known and thread.most.known
        return not known or not size_of(end.features["body"], "centre").known
    return False
