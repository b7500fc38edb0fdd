"""Lines of work that a page lists, from ``task_lines.csv``: fixed words, as far as the kit has such parts."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path

from fitment.frozen import dataclass
from fitment.sheets.blocks import Block, Bullets, Heading, Words
from fitment.sheets.context import SheetContext

_OWN = "common practice, no source"


@dataclass(frozen=True)
class TaskLine:
    """One line.

    Attributes:
        document, section: where it stands.
        on: addresses of parts, any of which asks for it; empty for a line that always stands.
        line: what to do.
        source: what it rests on.
    """

    document: str
    section: str
    on: tuple[str, ...]
    line: str
    source: str

    def touches(self, addresses: Iterable[str]) -> bool:
        """Whether it stands for a kit with parts at these addresses."""
        return not self.on or any(fnmatchcase(address, asked) for address in addresses for asked in self.on)


@cache
def task_lines() -> tuple[TaskLine, ...]:
    """Every line in the order of the table."""
    with Path(__file__).with_name("task_lines.csv").open(encoding="utf-8", newline="") as table:
        return tuple(
            TaskLine(row["document"], row["section"], tuple(row["on"].split()), row["line"], row["source"])
            for row in csv.DictReader(table, strict=True)
        )


def sections(context: SheetContext, document: str, ordered: bool = True) -> dict[str, tuple[Block, ...]]:
    """The lines of a document by section, each with a square to tick, and under them what they rest on."""
    lines: dict[str, list[TaskLine]] = {}
    for line in task_lines():
        if line.document == document and line.touches(context.parts):
            lines.setdefault(line.section, []).append(line)
    return {section: _blocks(section, found, ordered) for section, found in lines.items()}


def _blocks(section: str, lines: list[TaskLine], ordered: bool) -> tuple[Block, ...]:
    told = tuple(line.line if line.source == _OWN else f"{line.line} [{line.source}]" for line in lines)
    plain = any(line.source == _OWN for line in lines)
    note = (Words(f"Lines without a source in brackets: {_OWN}."),) if plain else ()
    return (Heading(section), Bullets(told, ordered=ordered, ticks=True), *note)
