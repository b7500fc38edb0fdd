"""The readings to take as a page with boxes, part by part; typed back it is what ``reading add --from`` reads."""

from __future__ import annotations

from collections.abc import Sequence

from fitment.catalogue.dictionary.lines import line_name
from fitment.frozen import dataclass
from fitment.kits.kit import Kit
from fitment.kits.measure_next import Ranked
from fitment.kits.tasks import Task, Thing
from fitment.sheets.paper import CAUTIONS, PaperRow, paper_row
from fitment.sheets.paper_html import SITTING_BOXES, yard_html
from fitment.sheets.paper_text import BACK, SITTING, comment, row_lines


@dataclass(frozen=True)
class MeasureSheet:
    """The page: its title, the unit system of bare numbers, and the rows of each thing in the order of their worth."""

    title: str
    system: str
    blocks: tuple[tuple[Thing, tuple[PaperRow, ...]], ...]


def measure_sheet(kit: Kit, readings: Sequence[Ranked], system: str) -> MeasureSheet:
    """The page of these readings."""
    by_thing: dict[str, list[tuple[int, Task]]] = {}
    for number, one in enumerate(readings, 1):
        by_thing.setdefault(one.task.thing.reference, []).append((number, one.task))
    blocks = tuple(
        (tasks[0][1].thing, tuple(_row(number, task, system) for number, task in tasks)) for tasks in by_thing.values()
    )
    minutes = sum(one.task.minutes for one in readings if not one.step.spare)
    return MeasureSheet(f"readings for {kit.name}, {minutes:g} min", system, blocks)


def _row(number: int, task: Task, system: str) -> PaperRow:
    name = line_name(task.thing.feature_name, task.dimension.dimension)
    return paper_row(number, name, task.dimension, task.tool, system)


def _first_line(thing: Thing) -> str:
    word = "vehicle" if thing.kind == "vehicle" else "item" if thing.is_item else "part"
    return f"{word} {thing.reference}"


def sheet_text(sheet: MeasureSheet) -> str:
    """The page as plain text, 80 columns."""
    lines = comment(f"fitment: {sheet.title}")
    for sentence in (*CAUTIONS, BACK, "The numbers are the order of worth."):
        lines += comment(sentence)
    lines += ["", SITTING, f"units {sheet.system}"]
    for thing, rows in sheet.blocks:
        lines += ["", _first_line(thing)]
        for row in rows:
            lines += row_lines(row)
    return "\n".join(lines) + "\n"


def sheet_html(sheet: MeasureSheet) -> str:
    """The page as one HTML document."""
    tables = [(_first_line(thing), rows) for thing, rows in sheet.blocks]
    closing = f"{BACK} The numbers are the order of worth."
    return yard_html(sheet.title, sheet.system, SITTING_BOXES, tables, closing=closing)
