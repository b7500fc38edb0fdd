"""Every check of a whole kit that is built; a new one is one module and its row in ``whole_kit_checks.csv``."""

from __future__ import annotations

from fnmatch import fnmatchcase
from importlib import import_module

from fitment.joints.registration import Setting
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.kits.roles import WholeKitRow, whole_kit_checks
from fitment.kits.whole import Looked, WholeKitCheck


def look_at_whole(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """What every check of the whole kit found, and all that was not checked, joints included.

    A check that did not look stays listed, with its reason behind its title.
    """
    found = {row.title: _looked(row, kit, assembly, setting) for row in whole_kit_checks().values() if row.module}
    not_checked: list[str] = []
    for line in assembly.not_checked:
        not_checked += [f"{line}: {why}" for why in found[line].not_checked] if line in found else [line]
    return Looked(tuple(one for looked in found.values() for one in looked.summaries), tuple(not_checked))


def _looked(row: WholeKitRow, kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """What one check found; its module is loaded only for a kit that it can say something of."""
    if row.when and not any(fnmatchcase(address, asked) for asked in row.when for address in assembly.found):
        return Looked(not_checked=(row.otherwise,))
    check: WholeKitCheck = import_module(f"fitment.kits.{row.module}").CHECK
    return check.look(kit, assembly, setting)
