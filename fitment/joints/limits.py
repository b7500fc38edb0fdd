"""The limits that joints hold their margins against; a kit may override any of them by name."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

from fitment.errors import DataFault, nearest
from fitment.joints.registration import Limit

_TABLE = Path(__file__).with_name("limits.csv")


@cache
def _rows() -> tuple[dict[str, str], ...]:
    with _TABLE.open(encoding="utf-8", newline="") as table:
        return tuple(csv.DictReader(table, strict=True))


def default_limits() -> dict[str, Limit]:
    """Every limit by name, each with its unit and what it rests on; a fresh dict that a caller may change."""
    return {
        row["name"]: Limit(row["name"], float(row["value"]), row["unit"], row["title"], row["source"])
        for row in _rows()
    }


def limit_range(name: str) -> tuple[float, float]:
    """The lowest and the highest value that a kit may give a limit, in its unit; both are allowed.

    Beyond them a limit no longer asks what its title says (own reasoning, no source).

    Raises:
        DataFault: there is no such limit.
    """
    for row in _rows():
        if row["name"] == name:
            return float(row["low"]), float(row["high"])
    known = {row["name"] for row in _rows()}
    raise DataFault(f"there is no limit '{name}'", mending=nearest(name, known), code="limit-01")
