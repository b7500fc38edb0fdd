"""Checks a kit: every joint by the rules of its kind, then the kit as a whole; the worst answer for the whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fitment.catalogue.found import PartsBook
from fitment.doubt import Draws
from fitment.finding import Finding, Gap, Verdict, held_back
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import JointKind, Setting, missing
from fitment.kits.adapters import with_adapters
from fitment.kits.assembly import assemble
from fitment.kits.joint import Joint
from fitment.kits.jurisdiction import certifier_facts
from fitment.kits.kit import Kit
from fitment.kits.look_at import look_at
from fitment.kits.report import JointSummary, Options, Report
from fitment.kits.rules import NO_CHECK, PART_NOT_NAMED
from fitment.kits.whole_checks import Looking, look_at_whole, looked


def check(
    kit: Kit,
    book: PartsBook,
    draws: Draws | None = None,
    kinds: Mapping[str, JointKind] | None = None,
    looking: Looking = looked,
) -> Report:
    """Whether a kit fits.

    Args:
        kit: as its file states it.
        book: the catalogue.
        draws: samples for the doubt; None for the usual number and seed.
        kinds: joint kinds by name; None for all that are registered.
        looking: how a check of the whole kit is asked.

    Raises:
        NotFoundFault, DataFault, Faults: the kit names what is not there, or in the wrong role (`assemble`).
    """
    draws = draws or Draws()
    assembly = assemble(kit, book, joint_kinds() if kinds is None else kinds)
    joints = tuple(
        JointSummary(joint.id, joint.side, joint.title, joint.names, (*_findings(joint, kit, draws), *joint.findings))
        for joint in assembly.joints
    )
    joints = with_adapters(joints, assembly, Setting(kit.limits, draws))
    whole = look_at_whole(kit, assembly, Setting(kit.limits, draws), looking)
    whole_joints = tuple(replace(one, findings=tuple(map(weighed, one.findings))) for one in whole.summaries)
    works = [work for joint in (*joints, *whole_joints) for finding in joint.findings for work in finding.work]
    return Report(
        kit=kit.name,
        kit_file=kit.path,
        kit_digest=kit.digest,
        author=kit.author,
        note=kit.note,
        jurisdiction=kit.jurisdiction,
        target=assembly.target,
        wanted=kit.wanted,
        catalogue=book.stamp(),
        parts=assembly.parts,
        joints=(*joints, *whole_joints),
        not_checked=whole.not_checked,
        options=Options(
            tuple(limit for limit in kit.limits.values() if limit.overridden), samples=draws.count, seed=draws.seed
        ),
        look_at=look_at(assembly.found),
        certifier_facts=certifier_facts(kit, assembly, works),
    )


def _findings(joint: Joint, kit: Kit, draws: Draws) -> tuple[Finding, ...]:
    """What the rules say of one joint, after the rules on weak evidence; never nothing."""
    if joint.gaps:
        names = " and no ".join(gap.feature for gap in joint.gaps)
        because = f"the kit names no {names}"
        return (Finding(PART_NOT_NAMED, joint.names, Verdict.NOT_KNOWN, because, gaps=joint.gaps),)
    found: list[Finding] = []
    if joint.kind and joint.ends:
        found = joint.kind.check(*joint.ends, Setting(kit.limits, draws, joint.facts))
    if not found:
        gap = Gap(joint.names[0], f"check against {joint.names[1]}", "no rule answers for this pair of ends yet")
        return (missing(NO_CHECK, joint.names, [gap]),)
    return tuple(weighed(finding) for finding in found)


def weighed(finding: Finding) -> Finding:
    """The finding after the rules on weak evidence: a check that forgot them still yields no pass on hearsay."""
    return finding if finding.verdict is Verdict.DOES_NOT_FIT else held_back(finding)
