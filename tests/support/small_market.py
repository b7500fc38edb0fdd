"""A few parts of the demo, of which a kit for NORTH/V-1 is made and of which some cells are otherwise: all invented."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path

from fitment.shipped import shipped
from tests.support.shop import Shop

#: what one kit takes
PARTS = frozenset(
    f"NORTH/{name}"
    for name in ("RK-2", "IJ-1", "TR-1", "RE-1", "KN-1", "KN-2", "BO-1", "UJ-1", "SH-1", "CO-1", "XM-1", "MT-1", "MT-2")
)
#: sheets of which every row is taken
_WHOLE = frozenset({"vehicle", "source", "sitting"})

Cells = Mapping[tuple[str, str], str]


def small_market(folder: Path, cells: Cells, more: frozenset[str] = frozenset()) -> Shop:
    """A catalogue of these parts in a folder of its own.

    Args:
        folder: not there yet.
        cells: what is written, by reference and column: in the first row of a part, and wherever it has something.
        more: references of parts beside those of one kit.
    """
    folder.mkdir()
    shop = Shop(f"sqlite:///{folder / 'catalogue.sqlite'}", folder)
    shop.done("catalogue", "create", "--shop", "NORTH")
    sheets = []
    for sheet in sorted(shipped("demo").glob("*.csv")):
        if sheet.stem == "item":
            continue
        text = sheet.read_text("utf-8")
        separator = ";" if text.splitlines()[0].count(";") > text.splitlines()[0].count(",") else ","
        headings, *rows = csv.reader(text.splitlines(), delimiter=separator)
        there = PARTS | more
        item = headings.index("item") if "item" in headings else 0
        kept = [row for row in rows if sheet.stem in _WHOLE or (row[0] in there and (not item or not row[item]))]
        seen: set[str] = set()
        for row in kept:
            for at, heading in enumerate(headings[: len(row)]):
                own = cells.get((row[0], heading))
                if own is not None and (row[at] or row[0] not in seen):
                    row[at] = own
                elif row[at]:
                    row[at] = _with_these(heading, row[at], there)
            seen.add(row[0])
        if kept:
            sheets.append(folder / sheet.name)
            with sheets[-1].open("w", encoding="utf-8", newline="") as file:
                csv.writer(file, delimiter=separator).writerows([headings, *kept])
    shop.done("import", *sheets)
    return shop


def _with_these(heading: str, cell: str, there: frozenset[str]) -> str:
    """Of a cell of trials, those with parts that are there, or with gauges."""
    if not heading.endswith(("-trial", "assembled-with")):
        return cell
    told = cell.split("; ")
    return "; ".join(one for one in told if "/" not in one or any(f"{name} " in f"{one} " for name in there))
