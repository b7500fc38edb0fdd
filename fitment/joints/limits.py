"""The limits that joints hold their margins against; a kit may override any of them by name."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

from fitment.joints.registration import Limit

_TABLE = Path(__file__).with_name("limits.csv")


@cache
def _limits() -> tuple[Limit, ...]:
    with _TABLE.open(encoding="utf-8", newline="") as table:
        return tuple(
            Limit(row["name"], float(row["value"]), row["unit"], row["title"], row["source"])
            for row in csv.DictReader(table, strict=True)
        )


def default_limits() -> dict[str, Limit]:
    """Every limit by name, each with its unit and what it rests on; a fresh dict that a caller may change."""
    return {limit.name: limit for limit in _limits()}
