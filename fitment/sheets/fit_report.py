"""The fit report."""

from __future__ import annotations

from fitment.sheets.blocks import Heading, Sheet, Words
from fitment.sheets.context import SheetContext


def sheet(context: SheetContext) -> Sheet | None:
    """The document."""
    return Sheet((Heading("Verdict"), Words(context.report.first_line)))
