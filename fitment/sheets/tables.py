"""Tables as text: to 80 columns and narrower, wrapped, never a figure cut."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence


def table(headings: Sequence[str], rows: Iterable[Sequence[str]], width: int) -> str:
    """A plain table in `width` columns; below 60, one record after the other with its headings."""
    rows = list(rows)
    if width < 60:
        blocks = [
            "\n".join(f"{name}: {cell}" for name, cell in zip(headings, row, strict=True) if cell) for row in rows
        ]
        return "\n\n".join(blocks) + "\n"
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    made = Table(box=None, pad_edge=False, header_style="", show_edge=False, padding=(0, 2, 0, 0))
    for heading in headings:
        made.add_column(heading, overflow="fold")
    for row in rows:
        made.add_row(*(Text(cell) for cell in row))
    out = io.StringIO()
    Console(file=out, width=width, no_color=True, color_system=None, highlight=False, emoji=False).print(made)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"
