"""What keeps the rack from sliding sideways in its clamps: a solid stop both ways, at one clamp or at both together."""

from __future__ import annotations

from fitment.catalogue.found import FoundPart
from fitment.finding import Finding, Gap, Use, Verdict, held_back
from fitment.joints.answering import names
from fitment.joints.clamp_rules import LATERAL
from fitment.joints.registration import Feature, Setting, missing
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.kits.report import JointSummary
from fitment.kits.roles import SIDES, addresses
from fitment.kits.whole import Looked, WholeKitCheck

_WAYS = {"both": frozenset(SIDES), "left only": frozenset({"left"}), "right only": frozenset({"right"})}
_ASKED = ("lateral-stop", "stop-kind", "stop-ways")


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """Whether the clamps stop the rack both ways."""
    at = {side: f"mounting.mount_{side}" for side in SIDES}
    mounts = {side: assembly.found[address] for side, address in at.items() if address in assembly.found}
    spoken = {address: role.spoken(section) for address, (role, section) in addresses().items()}
    lacks = [Gap(spoken[at[side]], "part", "is not named in the kit") for side in SIDES if side not in mounts]
    found = held_back(_held([mount.features["body"] for mount in mounts.values()], lacks))
    return Looked((JointSummary(CHECK.row, "", "rack held sideways", _names(mounts, spoken, at), (found,)),))


CHECK = WholeKitCheck("rack-hold", look)


def _names(mounts: dict[str, FoundPart], spoken: dict[str, str], at: dict[str, str]) -> tuple[str, str]:
    left, right = (mounts[side].name if side in mounts else spoken[at[side]] for side in SIDES)
    return left, right


def _held(mounts: list[Feature], lacks: list[Gap]) -> Finding:
    joint = (mounts[0].name, mounts[-1].name)
    uses: list[Use] = []
    ways: frozenset[str] = frozenset()
    for mount in mounts:
        stopped = _stopped(mount)
        if isinstance(stopped, Gap):
            lacks.append(stopped)
            continue
        if stopped:
            uses = uses if ways >= stopped else [*uses, *names(mount, _ASKED)]
        ways |= stopped
    if ways == frozenset(SIDES):
        told = "; ".join(_told(mount) for mount in mounts if _stopped(mount))
        because = f"something solid stops the rack both ways: {told}"
        return Finding(LATERAL.code, joint, Verdict.FITS, because, uses=tuple(uses))
    every = tuple(use for mount in mounts for use in names(mount, _ASKED))
    if lacks:
        return missing(LATERAL.code, joint, lacks, every)
    because = "nothing solid stops the rack sideways: friction alone would hold it"
    if ways:
        (way,) = ways
        because = f"the rack is stopped to the {way} only: friction alone holds it the other way"
    return Finding(LATERAL.code, joint, Verdict.DOES_NOT_FIT, because, uses=every)


def _told(mount: Feature) -> str:
    kind, ways = mount.get("stop-kind"), mount.get("stop-ways")
    thing = "a stop" if kind is None else f"a {kind.word}"
    return f"{thing} at {mount.name}, {ways.word if ways is not None else ''}"


def _stopped(mount: Feature) -> frozenset[str] | Gap:
    """The ways in which a clamp stops the housing, or why they are not known."""
    stop, kind, ways = (None if (use := mount.get(name)) is None else use.word for name in _ASKED)
    for name in _ASKED:
        if name in mount.gaps:
            return mount.gap(name)
    if stop is None:
        return mount.gap("lateral-stop")
    nothing = kind == "none" or ways == "neither"
    if (stop == "yes" and nothing) or (stop == "no" and (ways in _WAYS or kind not in (None, "none"))):
        told = ", ".join(f"{name} {word}" for name, word in zip(_ASKED, (stop, kind, ways), strict=True) if word)
        return Gap(mount.name, "lateral-stop", f"in conflict: {told}")
    if stop == "no":
        return frozenset()
    return mount.gap("stop-ways") if ways is None else _WAYS[ways]
