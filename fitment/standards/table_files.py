"""Reads the tables of this folder: CSV, UTF-8, a unit in each heading that needs one, a source in every row."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

_FOLDER = Path(__file__).with_name("tables")


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of ``tables/<name>.csv``, in order, every cell as text.

    Args:
        name: file name without its ending; ours, never a user's.
    """
    with (_FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as table:
        return tuple(csv.DictReader(table, strict=True))
