"""A report as one object of plain values, for ``--json``: keys in fixed order, numbers unrounded."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from fitment.finding import Figure, Finding, Gap, Margin, Use, Work
from fitment.kits.jurisdiction import CertifierFacts
from fitment.kits.report import JointSummary, Report

if TYPE_CHECKING:
    from fitment.kits.odds import KitOdds

SCHEMA = "fitment.check/1"


def report_object(report: Report) -> dict[str, Any]:
    """The report as the schema of `fitment.check/1` describes it, in mm, degrees, N, N·m and kg."""
    return {
        "schema": SCHEMA,
        "verdict": str(report.verdict),
        "first_line": report.first_line,
        "kit": report.kit,
        "kit_file": {"path": report.kit_file, "sha256": report.kit_digest},
        "author": report.author,
        "note": report.note,
        "jurisdiction": report.jurisdiction,
        "target": {"reference": report.target.name, "title": report.target.title},
        "wanted": dict(report.wanted),
        "catalogue": {
            "id": report.catalogue.id,
            "revision": report.catalogue.revision,
            "digest": report.catalogue.digest,
        },
        "counts": {str(verdict): count for verdict, count in report.counts.items()},
        "parts": [
            {
                "address": part.address,
                "role": part.role,
                "reference": part.name,
                "kind": part.kind,
                "title": part.title,
                "is_item": part.is_item,
            }
            for part in report.parts
        ],
        "findings": [_finding(joint, finding) for joint, finding in report.answers],
        "joints": [
            {
                "id": joint.id,
                "side": joint.side,
                "title": joint.title,
                "features": list(joint.features),
                "verdict": str(joint.verdict),
                "rule": joint.worst_finding.rule,
                "margin": _margin(joint.margin),
            }
            for joint in report.joints
        ],
        "unknowns": {part: [gap_object(gap) for gap in gaps] for part, gaps in report.unknowns.items()},
        "not_checked": list(report.not_checked),
        "cautions": list(report.cautions),
        "look_at": [{"key": one.key, "line": one.line, "source": one.source} for one in report.look_at],
        "certifier_facts": _certifier_facts(report.certifier_facts),
        "odds": _odds(report.odds),
        "options": {
            "limits": [
                {"name": limit.name, "value": limit.value, "unit": limit.unit, "source": limit.source}
                for limit in report.options.limits
            ],
            "samples": report.options.samples,
            "seed": report.options.seed,
        },
    }


def _odds(odds: KitOdds | None) -> dict[str, Any] | None:
    if odds is None:
        return None
    from fitment.kits.odds_json import odds_object

    return odds_object(odds)


def _certifier_facts(facts: CertifierFacts | None) -> dict[str, Any] | None:
    if facts is None:
        return None
    return {
        "jurisdiction": facts.jurisdiction,
        "note": facts.note,
        "rules": [
            {
                "id": one.rule.id,
                "jurisdiction": one.rule.jurisdiction,
                "document": one.rule.document,
                "paragraph": one.rule.paragraph,
                "substance": one.rule.substance,
                "read": one.rule.read,
                "second_hand": one.rule.second_hand,
                "source": one.rule.source,
                "touched_by": list(one.touched_by),
            }
            for one in facts.rules
        ],
    }


def finding_object(finding: Finding) -> dict[str, Any]:
    """One finding; `basis` is null where it used no value, `margin` where its rule has no number."""
    return {
        "rule": finding.rule,
        "joint": list(finding.joint),
        "verdict": str(finding.verdict),
        "basis": None if finding.basis is None else str(finding.basis),
        "margin": _margin(finding.margin),
        "because": finding.because,
        "uses": [_use(use) for use in finding.uses],
        "work": [work_object(work) for work in finding.work],
        "figures": {name: _figure(figure) for name, figure in finding.figures.items()},
        "cautions": list(finding.cautions),
        "gaps": [gap_object(gap) for gap in finding.gaps],
    }


def _finding(joint: JointSummary, finding: Finding) -> dict[str, Any]:
    return finding_object(finding) | {"joint_id": joint.id, "side": joint.side, "title": joint.title}


def gap_object(gap: Gap) -> dict[str, Any]:
    """What was missing, and why."""
    return {"feature": gap.feature, "dimension": gap.dimension, "why": gap.why}


def _number(value: float | None) -> float | None:
    """A plain number; null for what JSON has no number for."""
    return None if value is None or not math.isfinite(value) else float(value)


def _margin(margin: Margin | None) -> dict[str, Any] | None:
    if margin is None:
        return None
    return {
        "value": _number(margin.value),
        "u": _number(margin.u),
        "low": _number(margin.low),
        "high": _number(margin.high),
        "unit": margin.unit,
        "samples": margin.samples,
    }


def _use(use: Use) -> dict[str, Any]:
    return {
        "feature": use.feature,
        "dimension": use.dimension,
        "value": use.value if isinstance(use.value, str) else _number(use.value),
        "u": _number(use.u),
        "unit": use.unit,
        "basis": str(use.basis),
        "readings": list(use.readings),
        "source": use.source,
        "hearsay": use.hearsay,
        "assumed": use.assumed,
        "shown": use.shown,
    }


def work_object(work: Work) -> dict[str, Any]:
    """One work with what it leaves and the sizes that a machinist needs."""
    return {
        "operation": work.operation,
        "part": work.part,
        "from": _number(work.before),
        "to": _number(work.after),
        "unit": work.unit,
        "remaining": _number(work.remaining),
        "detail": work.detail,
        "sizes": {name: size if isinstance(size, str) else _figure(size) for name, size in work.sizes.items()},
    }


def _figure(figure: Figure) -> dict[str, Any]:
    return {"value": _number(figure.value), "u": _number(figure.u), "unit": figure.unit}
