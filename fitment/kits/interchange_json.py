"""What goes in a part's place as one object; ``fitment schema interchange`` prints its schema."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from fitment.kits.interchange import Interchange, Match
from fitment.kits.place_sizes import Change
from fitment.kits.report_json import finding_object, work_object
from fitment.kits.variants import Telling


def interchange_object(told: Interchange) -> dict[str, Any]:
    """The object of ``fitment.interchange/1``; every number in the unit that stands beside it."""
    return {
        "schema": "fitment.interchange/1",
        "part": {"reference": told.part.name, "kind": told.part.kind, "title": told.part.title},
        "fitted_to": [asdict(one) for one in told.carriers],
        "mates": [
            {"end": mate.place.feature, "with": mate.end.name, "join": mate.place.join.title} for mate in told.mates
        ],
        "without_mate": list(told.without_mate),
        "matches": [_match(one) for one in told.matches],
        "others": told.others,
        "looked_at": told.looked_at,
        "of_kind": told.of_kind,
        "unkeyed": [{"end": name, "parts": number} for name, number in told.unkeyed.items()],
        "which_one": [_telling(one) for one in told.variants],
    }


def _match(one: Match) -> dict[str, Any]:
    return {
        "reference": one.part.name,
        "title": one.part.title,
        "verdict": str(one.verdict),
        "fitted_to": [asdict(carrier) for carrier in one.carriers],
        "work": [work_object(work) for work in one.works],
        "changes": [_change(change) for change in one.changes],
        "findings": [finding_object(finding) for finding in one.findings],
    }


def _change(one: Change) -> dict[str, Any]:
    return {
        "feature": one.feature,
        "dimension": one.dimension,
        "before": one.before,
        "after": one.after,
        "u": one.u,
        "unit": one.unit,
        "sure": one.sure,
        "changes": one.changes,
        "taken_up": one.taken_up,
    }


def _telling(one: Telling) -> dict[str, Any]:
    return {
        "feature": one.feature,
        "dimension": one.dimension.dimension,
        "measure": one.dimension.title,
        "how": one.dimension.how,
        "tool": one.tool,
        "values": [{"reference": name, "value": use.value, "u": use.u, "unit": use.unit} for name, use in one.values],
        "separates": one.pairs,
        "of_pairs": one.of_pairs,
        "apart": one.apart,
    }
