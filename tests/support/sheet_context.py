"""What documents are filled in from, of a demo kit, without the command line."""

from __future__ import annotations

from pathlib import Path

from fitment.catalogue.fitted import open_shelf
from fitment.kits.kit_file import load_kit
from fitment.sheets.context import SheetContext
from fitment.sheets.gathering import gather
from fitment.sheets.paper_size import paper_size


def context_of(db: str, kit: Path, paper: str = "A4") -> SheetContext:
    """The context of a kit file in a catalogue, made on a day of 2026."""
    with open_shelf(db) as shelf:
        return gather(load_kit(kit), shelf, paper_size(paper), "mm", "2026-11-30", "fitment 0", lambda report: "0" * 32)
