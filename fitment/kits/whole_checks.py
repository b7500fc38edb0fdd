"""Every check of a whole kit that is built; a new one is one module and its row in ``whole_kit_checks.csv``."""

from __future__ import annotations

from collections.abc import Callable
from fnmatch import fnmatchcase
from importlib import import_module

from fitment.joints.registration import Setting
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.kits.roles import WholeKitRow, whole_kit_checks
from fitment.kits.whole import Looked, WholeKitCheck


def looked(row: WholeKitRow, kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """What one check found."""
    check: WholeKitCheck = import_module(f"fitment.kits.{row.module}").CHECK
    return check.look(kit, assembly, setting)


#: how one check of the whole kit is asked; a search asks through a memory
Looking = Callable[[WholeKitRow, Kit, Assembly, Setting], Looked]


def look_at_whole(kit: Kit, assembly: Assembly, setting: Setting, looking: Looking = looked) -> Looked:
    """What every check of the whole kit found, and all that was not checked, joints included.

    A check that did not look stays listed, with its reason behind its title.
    """
    found = {
        row.title: looking(row, kit, assembly, setting)
        if _called_for(row, assembly)
        else Looked(not_checked=(row.otherwise,))
        for row in whole_kit_checks().values()
        if row.module
    }
    not_checked: list[str] = []
    for line in assembly.not_checked:
        not_checked += [f"{line}: {why}" for why in found[line].not_checked] if line in found else [line]
    return Looked(tuple(one for each in found.values() for one in each.summaries), tuple(not_checked))


def _called_for(row: WholeKitRow, assembly: Assembly) -> bool:
    """Whether a check can say something of the kit; its module is loaded only then."""
    return not row.when or any(fnmatchcase(address, asked) for asked in row.when for address in assembly.found)
