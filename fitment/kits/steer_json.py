"""A comparison of steerings as one object; ``fitment schema steer`` prints its schema."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from fitment.finding import Use
from fitment.kits.card_geometry import TRAVEL, Reach
from fitment.kits.steer import Asked, Comparison, Steered
from fitment.kits.steering_results import Curve, Result, result_rows

SCHEMA = "fitment.steer/1"


def steer_object(comparison: Comparison) -> dict[str, Any]:
    """The object of ``fitment.steer/1``; numbers unrounded, each in the unit that stands beside it."""
    return {
        "schema": SCHEMA,
        "target": {"reference": comparison.vehicle.name, "title": comparison.vehicle.title},
        "original": _steered(comparison.original),
        "proposals": [_steered(one) for one in comparison.proposals],
        "cautions": list(comparison.cautions),
        "options": {"samples": comparison.samples, "seed": comparison.seed},
    }


def _steered(one: Steered) -> dict[str, Any]:
    return {
        "name": one.name,
        "kit_file": {"path": one.kit_file, "sha256": one.kit_digest} if one.kit_file else None,
        "verdict": one.verdict or None,
        "results": {name: _result(name, result) for name, result in one.told.results.items()},
        "curves": {name: _curve(curve) for name, curve in one.told.curves.items()},
        "not_known": {name: [asdict(gap) for gap in gaps] for name, gaps in one.told.gaps.items()},
        "asked": _asked(one.asked) if one.asked else None,
        "work": [{"operation": work.operation, "part": work.part, "detail": work.detail} for work in one.work],
        "notes": list(one.told.notes),
        "cautions": list(one.told.cautions),
    }


def _leading(use: Use | None, share: float) -> dict[str, Any] | None:
    return None if use is None else {"feature": use.feature, "dimension": use.dimension, "share": share}


def _result(name: str, result: Result) -> dict[str, Any]:
    row = result_rows()[name]
    return {
        "value": result.value,
        "u": result.u,
        "unit": row.unit,
        "title": row.title,
        "measured": result.measured,
        "leading": _leading(result.leading, result.share),
    }


def _numbers(values: Sequence[float]) -> list[float | None]:
    return [value if math.isfinite(value) else None for value in values]


def _curve(curve: Curve) -> dict[str, Any]:
    return {
        "title": curve.title,
        "x": list(curve.x),
        "y": _numbers(curve.y),
        "low": _numbers(curve.low),
        "high": _numbers(curve.high),
        "x_title": curve.x_title,
        "x_unit": curve.x_unit,
        "y_unit": curve.y_unit,
        "measured": curve.measured,
        "leading": _leading(curve.leading, curve.share),
    }


def _reach(reach: Reach | None) -> dict[str, Any] | None:
    if reach is None:
        return None
    use = reach.leading
    return {
        "value": reach.value,
        "u": reach.u,
        "low": reach.low,
        "high": reach.high,
        "unit": "mm",
        "leading": None if use is None else {"feature": use.feature, "dimension": use.dimension},
        "notes": list(reach.notes),
    }


def _asked(asked: Asked) -> dict[str, Any]:
    return {
        "toe_limit": asked.toe_limit,
        "toe_limit_unit": "deg",
        "travel": TRAVEL,
        "travel_unit": "mm",
        "inner_spacing": _reach(asked.spacing),
        "inner_height": _reach(asked.height),
        "not_known": [asdict(gap) for gap in asked.gaps],
    }
