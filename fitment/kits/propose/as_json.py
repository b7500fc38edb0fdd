"""A proposal as one object of plain values, for ``--json``."""

from __future__ import annotations

from typing import Any

from fitment.kits.propose.ledger import STEP
from fitment.kits.propose.proposal import Opens, Proposal, ProposedKit, WhyNone
from fitment.kits.report import STANDING_CAUTIONS

SCHEMA = "fitment.propose/1"


def proposal_object(proposal: Proposal) -> dict[str, Any]:
    """As the schema of `fitment.propose/1` describes it; costs in points, lengths in mm, masses in kg, times in min."""
    asked, stamp = proposal.asked, proposal.catalogue
    least = proposal.least
    return {
        "schema": SCHEMA,
        "vehicle": proposal.vehicle.name,
        "title": proposal.vehicle.title,
        "asked": {
            "turns": None if asked.wants.turns is None else list(asked.wants.turns),
            "no_machining": asked.wants.no_work,
            "keep": list(asked.keep),
            "without": list(asked.without),
            "adapters": asked.adapters,
            "unknown": asked.unknown,
            "top": asked.top,
        },
        "catalogue": {"id": stamp.id, "revision": stamp.revision, "digest": stamp.digest},
        "kits": [_kit(kit) for kit in proposal.kits],
        "proven": proposal.proven,
        "gap": proposal.gap,
        "bound": None if least is None else {"verdict": str(least.verdict), "cost": least.cost},
        "stopped": proposal.stopped,
        "tests": proposal.tests,
        "left_out": list(proposal.left_out),
        "unkeyed": [
            {"kind": one.kind, "feature": one.feature, "dimension": one.dimension, "parts": list(one.parts)}
            for one in proposal.unkeyed
        ],
        "candidates": [{"role": role, "count": count} for role, count in proposal.candidates],
        "why_none": [] if proposal.why_none is None else why_object(proposal.why_none),
        "cautions": list(STANDING_CAUTIONS),
    }


def _kit(kit: ProposedKit) -> dict[str, Any]:
    return {
        "name": kit.name,
        "verdict": str(kit.verdict),
        "cost": kit.cost,
        "ledger": [
            {
                "line": entry.weight.line,
                "title": entry.weight.title,
                "amount": entry.amount,
                "unit": entry.weight.unit,
                "weight": entry.weight.weight,
                "cost": entry.cost / STEP,
                "of": list(entry.of),
                "source": entry.weight.source,
            }
            for entry in kit.ledger
        ],
        "parts": [
            {
                "address": part.address,
                "role": part.role,
                "part": part.stocked.part.name,
                "design": part.stocked.design,
                "title": part.stocked.part.title,
                "own": part.own,
                "donors": list(dict.fromkeys(vehicle for vehicle, _ in part.stocked.fitted)),
            }
            for part in kit.parts
        ],
        "lacks": [list(gap) for gap in kit.lacks],
        "not_checked": list(kit.report.not_checked),
        "kit_file": kit.text,
    }


def why_object(why: WhyNone) -> list[dict[str, Any]]:
    """The reasons in the order in which they are told, each with its sort."""
    told: list[dict[str, Any]] = [{"sort": "lacking", "what": what} for what in why.lacks]
    told += [
        {
            "sort": "bottleneck",
            "where": one.where,
            "arriving": [{"key": key, "count": count} for key, count in one.arriving],
            "accepted": [{"key": key, "count": count} for key, count in one.accepted],
        }
        for one in why.bottlenecks
    ]
    if why.out_of_reach is not None:
        told.append({"sort": "out-of-reach", "racks": why.out_of_reach.racks, "of": why.out_of_reach.of})
    told += [{"sort": "refused", "what": one.title, "count": one.count, "pairs": one.pairs} for one in why.refusals]
    return [*told, *(_opens(one) for one in why.openings)]


def _opens(one: Opens) -> dict[str, Any]:
    return {
        "sort": "opens",
        "change": one.sort,
        "what": list(one.changes),
        "count": one.count,
        "at_least": one.capped,
        "cost": one.cost,
        "minutes": one.minutes,
        "checked": one.sort != "join",
        "example": list(one.example),
    }
