"""Tables as text: to 80 columns and narrower, wrapped, never a figure cut.

Laid out here and not by Rich, which takes a twelfth of the time of a check to load and to lay one out. The tests hold
it to what Rich makes of the same rows.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from unicodedata import combining, east_asian_width

_WORD = re.compile(r"\S+\s*|\s+")
#: columns between two columns
_BETWEEN = 2


def table(headings: Sequence[str], rows: Iterable[Sequence[str]], width: int) -> str:
    """A plain table in `width` columns; below 60, one record after the other with its headings."""
    rows = list(rows)
    if width < 60:
        blocks = [
            "\n".join(f"{name}: {cell}" for name, cell in zip(headings, row, strict=True) if cell) for row in rows
        ]
        return "\n\n".join(blocks) + "\n"
    widths = _widths([headings, *rows], width)
    lines = []
    for row in (headings, *rows):
        cells = [_wrapped(cell, room) for cell, room in zip(row, widths, strict=True)]
        for place in range(max(map(len, cells))):
            parts = [cell[place] if place < len(cell) else "" for cell in cells]
            spread = (part + " " * (room - _length(part) + _BETWEEN) for part, room in zip(parts, widths, strict=True))
            lines.append("".join(spread).rstrip())
    return "\n".join(lines) + "\n"


def _widths(rows: Sequence[Sequence[str]], room: int) -> list[int]:
    """Widths of the columns: as their text asks, the widest cut down to the next until all go into `room`."""
    columns = list(zip(*rows, strict=True))
    between = [_BETWEEN] * (len(columns) - 1) + [0]
    asked = [max(_length(line) for cell in column for line in cell.split("\n")) for column in columns]
    widths = [min(one + gap, room) for one, gap in zip(asked, between, strict=True)]
    while (excess := sum(widths) - room) > 0:
        widest = [place for place, one in enumerate(widths) if one == max(widths)]
        most = min(excess, max(widths) - max((one for one in widths if one < max(widths)), default=0))
        for left, place in zip(range(len(widest), 0, -1), widest, strict=True):
            cut = min(most, round(excess / left))
            widths[place] -= cut
            excess -= cut
    return [max(one - gap, 1) for one, gap in zip(widths, between, strict=True)]


def _wrapped(text: str, room: int) -> list[str]:
    """The lines of a cell: broken between words, and a word only where it is wider than the column."""
    lines = []
    for paragraph in text.split("\n"):
        line = ""
        for word in _WORD.findall(paragraph):
            if line and _length(line) + _length(word.rstrip()) > room:
                lines.append(line.rstrip())
                line = ""
            while not line and _length(word.rstrip()) > room:
                cut = _fitting(word, room)
                lines.append(word[:cut])
                word = word[cut:]
            line += word
        lines.append(line.rstrip())
    return lines


def _fitting(word: str, room: int) -> int:
    """How many letters of a word go into `room`, at least one."""
    return next((cut for cut in range(len(word), 1, -1) if _length(word[:cut]) <= room), 1)


def _length(text: str) -> int:
    """Columns that a text takes on a terminal."""
    if text.isascii():
        return len(text)
    return sum(0 if combining(one) else 2 if east_asian_width(one) in "WF" else 1 for one in text)
