"""The readings to take as one object of plain values, for ``--json``."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from fitment.kits.kit import Kit
from fitment.kits.measure_next import MeasureNext, Ranked, decides
from fitment.quantity.tools import tool_title

SCHEMA = "fitment.measure-next/1"


def measure_next_object(kit: Kit, told: MeasureNext) -> dict[str, Any]:
    """As the schema of `fitment.measure-next/1` describes it; minutes in minutes, worth in bits per minute."""
    return {
        "schema": SCHEMA,
        "kit": kit.name,
        "for_ranking_only": True,
        "worlds": told.worlds,
        "fits": told.fits,
        "entropy": told.entropy,
        "ruled_out": told.ruled_out,
        "readings": [_reading(one) for one in told.readings],
        "chosen": None if told.chosen is None else [list(key) for key in told.chosen],
        "left_out": [asdict(gap) for gap in told.left_out],
    }


def _reading(one: Ranked) -> dict[str, Any]:
    task = one.task
    return {
        "feature": task.thing.feature.name,
        "dimension": task.dimension.dimension,
        "tool": tool_title(task.tool),
        "place": task.place,
        "minutes": task.minutes,
        "worth": one.worth,
        "decides": decides(one),
        "rules_out": one.step.rules_out,
        "together_with": [list(key) for key in one.step.keys if key != task.key],
        "drawn": one.drawn,
        "how": task.dimension.how,
    }
