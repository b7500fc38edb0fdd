"""The recorded state of the parts: repair welds, marks of heat, wear, play and bends never pass without a word."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fitment.catalogue.found import FoundPart
from fitment.elementwise import maximum
from fitment.finding import Finding, Gap, Use, Verdict, held_back
from fitment.joints.answering import answer, fixed, formula, mm, reading
from fitment.joints.registration import Feature, Rule, Setting, missing
from fitment.kits import state_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.kits.report import JointSummary
from fitment.kits.roles import SIDES
from fitment.kits.whole import Looked, WholeKitCheck

#: the dimensions that tell of a part's state, and the rule that each belongs to
_STATE: dict[str, Rule] = {
    "welds": pages.WELDS,
    "heat-marks": pages.WELDS,
    "condition": pages.WEAR,
    "play-axial": pages.WEAR,
    "play-radial": pages.WEAR,
    "play": pages.WEAR,
    "bend": pages.WEAR,
}

_FOR_THE_CERTIFIER = "whether it may be used is for the certifier; fitment explain weld"
_NEW_JOINTS = "new joints are recommended"

#: why a part of which this word is recorded is not known
_FAULTS = {
    ("welds", "repair"): f"a repair weld is recorded: {_FOR_THE_CERTIFIER}",
    ("heat-marks", "seen"): f"marks of heat are recorded: {_FOR_THE_CERTIFIER}",
    ("condition", "worn"): f"it is recorded as worn: {_NEW_JOINTS}",
}
_BENT = "bent since it was made, and not for use"
_SLACK = f"more play is recorded than is allowed: {_NEW_JOINTS}"

#: reasons of gaps that no reading closes: what is wrong with the part is recorded already
RECORDED_FAULTS = frozenset({*_FAULTS.values(), _BENT, _SLACK})

#: what is told of a part of which nobody knows
_UNKNOWN = {
    "welds": "Welds of {} are not known: clean it, look, file or dye test.",
    "heat-marks": "Whether {} was ever heated is not known: look for blue or straw colours, scale and burnt paint.",
}

_PLAYS = {"play-axial": "axial play", "play-radial": "radial play", "play": "radial play"}


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """What is recorded of each part that the kit names, adapters included."""
    adapters = {f"adapter.{number}": part for number, (_, part) in enumerate(assembly.adapters, 1)}
    roles = {named.address: named.role for named in assembly.parts}
    summaries, recorded = [], False
    for address, part in (*assembly.found.items(), *adapters.items()):
        told = state_findings(part, assembly.target.name, setting)
        recorded = recorded or any(True for _ in _recorded(part)) or any(True for _ in _stated_faults(part))
        if told:
            section = address.partition(".")[0]
            side = section if section in SIDES else ""
            title = f"{roles[address]}, recorded state"
            names = (part.name, assembly.target.name)
            summaries.append(JointSummary(f"{address}.{CHECK.row}", side, title, names, tuple(told)))
    return Looked(tuple(summaries), () if recorded else ("nothing is recorded of welds, heat, wear, play and bends",))


CHECK = WholeKitCheck("state", look)


def state_findings(part: FoundPart, place: str, setting: Setting) -> list[Finding]:
    """What is recorded of the state of one part.

    Args:
        part: the part.
        place: what it is to be part of, as the findings name it: the target, or the part whose place it takes.
        setting: limits and samples.
    """
    told = [_finding(feature, dimension, (feature.name, place), setting) for feature, dimension in _recorded(part)]
    stated = [missing(code, (part.name, place), [gap]) for code, gap in _stated_faults(part)]
    return [*(held_back(finding) for finding in told if finding is not None), *stated]


def _stated_faults(part: FoundPart) -> Iterator[tuple[str, Gap]]:
    """What is stated of an item in words of one's own; of welds, whatever is not known to be sound is a fault."""
    welds = part.stated.get("welds", "none")
    if welds not in ("none", "maker's", "unknown"):
        yield pages.WELDS.code, Gap(part.name, "welds", f"stated as {welds}: {_FOR_THE_CERTIFIER}")
    if part.stated.get("condition") == "worn":
        yield pages.WEAR.code, Gap(part.name, "condition", f"stated as worn: {_NEW_JOINTS}")


def _recorded(part: FoundPart) -> Iterator[tuple[Feature, str]]:
    """The features and dimensions that something is recorded of."""
    for feature in part.features.values():
        for dimension in _STATE:
            # of an adapter it is how its material was treated
            if dimension == "condition" and feature.kind == "adapter-body":
                continue
            if dimension in feature.values or dimension in feature.gaps:
                yield feature, dimension


def _finding(feature: Feature, dimension: str, joint: tuple[str, str], setting: Setting) -> Finding | None:
    code, use = _STATE[dimension].code, feature.get(dimension)
    if use is None:
        return missing(code, joint, [feature.gap(dimension)])
    if why := _FAULTS.get((dimension, str(use.value))):
        found = missing(code, joint, [Gap(feature.name, dimension, why)], (use,))
        return replace(found, cautions=(f"{feature.name}: {why}.",))
    if isinstance(use.value, str):
        if use.word != "unknown" or dimension not in _UNKNOWN:
            return None
        because = f"{feature.name} {dimension}: recorded as not known"
        told = _UNKNOWN[dimension].format(feature.name.rpartition(" ")[0])
        return Finding(code, joint, Verdict.FITS, because, uses=(use,), cautions=(told,))
    if use.number == 0:
        return None
    return _bend(feature, use, joint, setting) if dimension == "bend" else _play(feature, use, joint, setting)


def _bend(feature: Feature, use: Use, joint: tuple[str, str], setting: Setting) -> Finding:
    told = f"{feature.name}: a bend or offset of {mm(use.number)} is recorded"
    caution = f"{told}: look whether it was made so. A part that was bent since is not for use."
    made = feature.get("made-offset")
    if made is None:
        why = f"{feature.gap('made-offset').why}: whether the bend of {mm(use.number)} was made so is not on record"
        found = missing(pages.WEAR.code, joint, [Gap(feature.name, "made-offset", why)], (use,))
        return replace(found, cautions=(caution,))
    most = setting.limits["bend_unlike"].value
    margin = formula(
        lambda limit, bend, offset: limit - maximum(bend - offset, offset - bend),
        fixed(most),
        reading(use),
        reading(made),
    )
    asked = f"{told}, and {mm(made.number)} as it was made, where {mm(most)} of difference at most is allowed"
    finding = answer(pages.WEAR.code, joint, margin, "mm", setting, lambda: asked)
    if finding.verdict is Verdict.DOES_NOT_FIT:
        gap = Gap(feature.name, "bend", _BENT)
        finding = replace(
            finding, verdict=Verdict.NOT_KNOWN, margin=None, because=f"{finding.because}: {_BENT}", gaps=(gap,)
        )
    return replace(finding, cautions=(*finding.cautions, caution))


def _play(feature: Feature, use: Use, joint: tuple[str, str], setting: Setting) -> Finding:
    most = setting.limits["joint_play"].value
    title = "play at a 100 mm lever" if feature.kind == "joint-body" else _PLAYS[use.dimension]
    told = f"{feature.name}: {title} of {mm(use.number)} is recorded"
    margin = formula(lambda limit, play: limit - play, fixed(most), reading(use))
    asked = f"{told} where {mm(most)} at most is allowed"
    finding = answer(pages.WEAR.code, joint, margin, "mm", setting, lambda: asked)
    if finding.verdict is Verdict.DOES_NOT_FIT:
        gap = Gap(feature.name, use.dimension, _SLACK)
        because = f"{finding.because}: {_NEW_JOINTS}"
        return replace(
            finding, verdict=Verdict.NOT_KNOWN, margin=None, because=because, gaps=(gap,), cautions=(f"{because}.",)
        )
    caution = f"{told}: have it looked at under load before it is used."
    return replace(finding, cautions=(*finding.cautions, caution))
