"""The demo's catalogue without the checks of its kits, and the same with names that are meant to break a page."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

from fitment.catalogue.database import create
from fitment.catalogue.importing import import_files
from fitment.shipped import shipped

Change = Callable[[str, str, str], str]


def demo_catalogue(folder: Path, change: Change | None = None) -> str:
    """Makes a catalogue of the demo's sheets in a folder and returns its path.

    Args:
        folder: an empty one.
        change: what becomes of a cell, given the name of the sheet, of the column, and the cell.
    """
    sheets = folder / "sheets"
    sheets.mkdir()
    for sheet in sorted(shipped("demo").glob("*.csv")):
        with sheet.open(encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
        headings = rows[0]
        for row in rows[1:]:
            if change is not None and not row[0].startswith("#"):
                row[: len(headings)] = [change(sheet.stem, *pair) for pair in zip(headings, row, strict=False)]
        with (sheets / sheet.name).open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    place = folder / "catalogue.sqlite"
    engine = create(f"sqlite:///{place}", shop="NORTH", uid="5f1c1d0a-0000-4000-8000-000000000001")
    import_files(engine, sorted(sheets.glob("*.csv")))
    engine.dispose()
    return str(place)


def demo_kit(stem: str) -> Path:
    """A kit of the demo."""
    return shipped("demo") / "kits" / f"{stem}.toml"
