"""Published check rows on threads, and the threads that they are about."""

from __future__ import annotations

import csv
import re
from pathlib import Path

from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import HALF_ANGLES, Thread

PUBLISHED = Path(__file__).parents[1] / "published"

_UNLISTED = {"M72x2", "M75x1.5", "M80x6", "M11x1.25"}


def published(name: str) -> list[dict[str, str]]:
    """The rows of ``tests/published/<name>.csv``."""
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def thread_and_class(designation: str) -> tuple[Thread, str | None]:
    """The thread of a check row, with its class; a few rows are about metric threads that are not listed."""
    name, _, tolerance_class = designation.partition("-")
    if name in _UNLISTED:
        nominal, pitch = re.findall(r"[0-9.]+", name)
        made = Thread(
            name, "M", "fine", float(nominal), float(pitch), HALF_ANGLES["M"], None, False, "none", "computed"
        )
        return made, tolerance_class or None
    read = parse_thread(designation)
    return read.thread, read.tolerance_class


def within(found: float, row: dict[str, str]) -> bool:
    """Whether a value agrees with a check row; the last doubt of binary fractions is let through."""
    wanted, tolerance = float(row["value"]), float(row["tolerance"])
    return abs(found - wanted) <= tolerance + 1e-9 * max(1.0, abs(wanted))
