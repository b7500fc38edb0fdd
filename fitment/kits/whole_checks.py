"""Every check of a whole kit that is built; a new one is one module and one line here."""

from __future__ import annotations

from fitment.joints.registration import Setting
from fitment.kits import (
    boot_travel,
    centring,
    direction,
    net_section,
    pairs,
    rack_hold,
    rod_length,
    shaft_line,
    stroke,
    tilt,
)
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.kits.roles import whole_kit_checks
from fitment.kits.whole import Looked, WholeKitCheck

_CHECKS: tuple[WholeKitCheck, ...] = (
    direction.CHECK,
    rod_length.CHECK,
    stroke.CHECK,
    shaft_line.CHECK,
    centring.CHECK,
    net_section.CHECK,
    pairs.CHECK,
    rack_hold.CHECK,
    boot_travel.CHECK,
    tilt.CHECK,
)


def look_at_whole(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """What every check of the whole kit found, and all that was not checked, joints included.

    A check that did not look stays listed, with its reason behind its title.
    """
    titles = whole_kit_checks()
    found = {titles[check.row]: check.look(kit, assembly, setting) for check in _CHECKS}
    not_checked: list[str] = []
    for line in assembly.not_checked:
        not_checked += [f"{line}: {why}" for why in found[line].not_checked] if line in found else [line]
    return Looked(tuple(one for looked in found.values() for one in looked.summaries), tuple(not_checked))
