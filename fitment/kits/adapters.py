"""Made parts as made: what must be recorded of an adapter, bought or made, beside its two joints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fitment.catalogue.found import FoundPart
from fitment.finding import Finding, Gap, Verdict, held_back
from fitment.joints.answering import answer, formula, mm, names, size_of
from fitment.joints.registration import Feature, Setting, missing
from fitment.joints.thread_adapter import CERTIFY
from fitment.kits import adapter_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.kit import AdapterRef
from fitment.kits.report import JointSummary
from fitment.kits.roles import SIDES

Pair = tuple[str, str]

#: what the words of an electroplated coating have in them
_PLATED = ("plat", "chrom", "zinc", "nickel", "cadmium", "galvan")

_NONE = frozenset({"none", "no", "-"})


def with_adapters(joints: Sequence[JointSummary], assembly: Assembly, setting: Setting) -> tuple[JointSummary, ...]:
    """The joints, the outer one of either adapter saying what is recorded of the adapter as made.

    An adapter none of whose joints has a check stands in a line of its own.
    """
    made = list(joints)
    for number, (ref, part) in enumerate(assembly.adapters, 1):
        side = next((at.partition(".")[0] for at in ref.between if at.startswith(SIDES)), "")
        place = next((place for place, joint in enumerate(made) if _outer(joint, part, side)), None)
        pair = (
            made[place].features if place is not None else (f"{part.name} {ref.ends[0]}", f"{part.name} {ref.ends[1]}")
        )
        findings = tuple(held_back(finding) for finding in _findings(ref, part, pair, setting))
        if place is None:
            made.append(JointSummary(f"adapter.{number}", side, f"adapter {part.name}", pair, findings))
        else:
            made[place] = replace(made[place], findings=(*made[place].findings, *findings))
    return tuple(made)


def _outer(joint: JointSummary, part: FoundPart, side: str) -> bool:
    return joint.id.endswith(".2") and joint.side == side and joint.features[0].startswith(f"{part.name} ")


def _findings(ref: AdapterRef, part: FoundPart, pair: Pair, setting: Setting) -> list[Finding]:
    body, ends = part.features["body"], [part.features[end] for end in ref.ends]
    threads = [end for end in ends if end.kind == "thread-end"]
    findings = [_room(body, threads, pair, setting)] if len(threads) == 2 else []
    findings += [_true(body, pair, setting), _marking(body, pair), _material(body, pair), _coating(body, pair)]
    return [replace(findings[0], cautions=(*findings[0].cautions, CERTIFY)), *findings[1:]]


def _room(body: Feature, threads: list[Feature], pair: Pair, setting: Setting) -> Finding:
    length, depths = size_of(body, "length"), [size_of(end, "depth") for end in threads]
    left = formula(lambda over, one, other: over - one - other, length, *depths)

    def words() -> str:
        one, other = (depth.central for depth in depths)
        over = f"{mm(left.central)} is left" if left.central >= 0 else f"{mm(-left.central)} is missing"
        return f"threads of {mm(one)} and {mm(other)} in an adapter of {mm(length.central)}: {over}"

    return answer(pages.ROOM.code, pair, left, "mm", setting, words)


def _true(body: Feature, pair: Pair, setting: Setting) -> Finding:
    run_out = size_of(body, "concentricity")
    margin = formula(lambda found: setting.limits["adapter_runout"].value - found, run_out)

    def words() -> str:
        asked = setting.limits["adapter_runout"].value
        return f"one end runs out {mm(run_out.central)} to the other, up to {mm(asked)} is asked"

    return answer(pages.TRUE.code, pair, margin, "mm", setting, words)


def _recorded(code: str, body: Feature, pair: Pair, wanted: Sequence[str], gaps: Sequence[Gap] = ()) -> Finding:
    """Fits where each is recorded with a word that says something, else not known."""
    uses, lacks = names(body, wanted), [gap for name in wanted if (gap := _lack(body, name)) is not None]
    if lacks or gaps:
        return missing(code, pair, [*lacks, *gaps], uses)
    told = ", ".join(f"{use.dimension} {use.word}" for use in uses)
    return Finding(code, pair, Verdict.FITS, f"recorded: {told}", uses=uses)


def _lack(body: Feature, name: str) -> Gap | None:
    use = body.get(name)
    if use is None:
        return body.gap(name)
    return Gap(body.name, name, "recorded as none") if use.word.strip().lower() in _NONE else None


def _marking(body: Feature, pair: Pair) -> Finding:
    told = [name for name in ("lot", "serial") if _lack(body, name) is None]
    gaps = [] if told else [Gap(body.name, "lot or serial", "neither is recorded")]
    return _recorded(pages.MARKING.code, body, pair, ("drawing", "revision", *told), gaps)


def _material(body: Feature, pair: Pair) -> Finding:
    return _recorded(pages.MATERIAL.code, body, pair, ("material", "condition", "certificate"))


def _coating(body: Feature, pair: Pair) -> Finding:
    coating = body.get("coating")
    if coating is None:
        return missing(pages.COATING.code, pair, [body.gap("coating")])
    if any(word in coating.word.lower() for word in _PLATED):
        return _recorded(pages.COATING.code, body, pair, ("coating", "baking"))
    return Finding(pages.COATING.code, pair, Verdict.FITS, f"coating as recorded: {coating.word}", uses=(coating,))
