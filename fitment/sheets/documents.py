"""The documents that ``fitment sheet`` hands over, from ``documents.csv``. A document is a row there and a module here
in ``sheets/`` with a function ``sheet(context)`` that gives a `Sheet`, or None where the kit has nothing for it."""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from fitment.errors import UsageFault, nearest
from fitment.frozen import dataclass

if TYPE_CHECKING:
    from fitment.sheets.blocks import Sheet
    from fitment.sheets.context import SheetContext


@dataclass(frozen=True)
class Document:
    """A row of ``documents.csv``; its file is ``NAME.html``."""

    name: str
    title: str
    module: str
    reader: str

    def sheet(self, context: SheetContext) -> Sheet | None:
        """The document filled in; None where the kit has nothing for it."""
        make: Callable[[SheetContext], Sheet | None] = import_module(f"fitment.sheets.{self.module}").sheet
        return make(context)


@cache
def documents() -> dict[str, Document]:
    """Every document by name, in the order of handing over."""
    with Path(__file__).with_name("documents.csv").open(encoding="utf-8", newline="") as table:
        return {
            row["name"]: Document(row["name"], row["title"], row["module"], row["for"])
            for row in csv.DictReader(table, strict=True)
        }


def chosen(only: Sequence[str]) -> list[Document]:
    """The documents of these names in the order of handing over; all where none is named.

    Raises:
        UsageFault: there is no such document.
    """
    known = documents()
    for name in only:
        if name not in known:
            raise UsageFault(f'no document "{name}"', mending=nearest(name, known), code="sheet-02")
    return [document for document in known.values() if not only or document.name in only]


def asks_for_readings(wanted: Sequence[Document]) -> bool:
    """Whether any of these documents lists the readings to take."""
    return any(document.module == "measurement_request" for document in wanted)
