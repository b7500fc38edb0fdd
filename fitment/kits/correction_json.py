"""A correction as one object; ``fitment schema reading-affected`` prints its schema."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from fitment.catalogue.listing import ReadingLine
from fitment.finding import Margin
from fitment.kits.correction import Notice, Rechecked, RuleThenNow


def correction_object(notice: Notice) -> dict[str, Any]:
    """The reading, what became of it, and what used it; margins in mm, degrees, N, N·m and kg."""
    one = notice.correction
    by = {"reason": one.reason, "who": one.who, "dated": one.dated}
    held = [_reading(line) for line in one.instead]
    return {
        "schema": "fitment.reading-affected/1",
        "reading": _reading(one.reading),
        "withdrawal": by if one.reading.withdrawn else None,
        "instead": held[0] if held and not one.decided else None,
        "decision": by | {"dimension": one.decided, "taken": held} if one.decided else None,
        "parts": list(one.things),
        "builds": list(notice.builds),
        "reports": [_report(kept) for kept in notice.reports],
        "catalogue": asdict(notice.catalogue),
        "program": notice.program,
        "dated": notice.dated,
    }


def _reading(line: ReadingLine) -> dict[str, Any]:
    told = asdict(line)
    del told["withdrawn"]  # said beside it, with who and when
    return told


def _report(one: Rechecked) -> dict[str, Any]:
    return {
        "id": one.kept.uid,
        "made": one.kept.made,
        "kit": one.kept.kit,
        "target": one.target,
        "builds": list(one.kept.builds),
        "revision": one.kept.revision,
        "program": one.kept.program,
        "then": str(one.then),
        "now": str(one.now) if one.now else None,
        "why_not_now": one.why or None,
        "value_then": one.value_then or None,
        "value_now": one.value_now or None,
        "rules": [_rule(rule) for rule in one.rules],
        "missing_now": list(one.asks),
    }


def _rule(rule: RuleThenNow) -> dict[str, Any]:
    return {
        "joint": rule.joint,
        "rule": rule.rule,
        "used_the_reading": rule.used,
        "then": str(rule.then) if rule.then else None,
        "now": str(rule.now) if rule.now else None,
        "margin_then": _margin(rule.margin_then),
        "margin_now": _margin(rule.margin_now),
        "because": rule.because,
    }


def _margin(margin: Margin | None) -> dict[str, Any] | None:
    return None if margin is None else asdict(margin)
