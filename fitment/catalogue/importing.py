"""Taking sheets in: every fault of every file at once, or everything in one transaction."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from sqlalchemy.engine import Engine

from fitment.catalogue.collecting import Collector
from fitment.catalogue.dictionary import find_kind, part_kinds
from fitment.catalogue.records import writing
from fitment.catalogue.register import Tell, quiet
from fitment.catalogue.sheet_text import Sheet, read_sheets
from fitment.catalogue.taking_readings import take_readings
from fitment.catalogue.taking_things import PLAIN_SHEETS, take_things
from fitment.errors import DataFault, FitmentError, nearest
from fitment.frozen import dataclass

#: sheets in the order in which they depend on each other
_ORDER = ("vehicle", "source", "sitting", "part", "item", "withdrawal", "decision")
#: sheets that name readings
_AFTER_READINGS = ("withdrawal", "decision")


@dataclass(frozen=True)
class Imported:
    """What an import added: how many of each sort, a line for each thing and reading; and what was left out."""

    added: Counter[str]
    lines: tuple[str, ...]
    notes: tuple[str, ...] = ()


def sort_of(sheet: Sheet) -> str:
    """vehicle, source, sitting, item, withdrawal, decision, or part.

    Raises:
        DataFault: the first heading is none of these.
    """
    if sheet.kind in PLAIN_SHEETS:
        return sheet.kind
    try:
        kind = find_kind(sheet.kind)
    except DataFault:
        known = [*part_kinds(), *PLAIN_SHEETS]
        raise DataFault(
            f'the first heading is "{sheet.kind}", which is no kind of sheet',
            place=sheet.heading_place(),
            mending=nearest(sheet.kind, known),
            code="sheet-10",
        ) from None
    return "vehicle" if kind.kind == "vehicle" else "part"


def import_files(engine: Engine, paths: Sequence[Path], dry_run: bool = False, tell: Tell = quiet) -> Imported:
    """Takes the files in, CSV sheets and workbooks; returns what was added.

    Args:
        tell: is told how far it is.

    Raises:
        FitmentError: every fault of every file, or all that makes files unreadable; nothing was changed.
    """
    collector = Collector()
    sheets: list[Sheet] = []
    notes: list[str] = []
    for path in paths:
        try:
            found, left_out = read_sheets(path)
        except FitmentError as fault:
            collector.take(fault, str(path))
        else:
            sheets += found
            notes += left_out
    collector.end()
    return replace(import_sheets(engine, sheets, dry_run, tell), notes=tuple(notes))


def import_sheets(engine: Engine, sheets: Sequence[Sheet], dry_run: bool = False, tell: Tell = quiet) -> Imported:
    """As `import_files`, from sheets already read."""
    collector = Collector()
    ordered: list[tuple[str, Sheet]] = []
    for sheet in sheets:
        for one in sheet.faults:
            collector.take(one, sheet.path)
        try:
            ordered.append((sort_of(sheet), sheet))
        except FitmentError as fault:
            collector.take(fault, sheet.path)
    ordered.sort(key=lambda pair: _ORDER.index(pair[0]))
    with _nothing_collected(), writing(engine, dry_run, tell) as pen:
        # things first, their readings after: a trial may name a part of a later sheet
        for sort, sheet in ordered:
            if sort not in _AFTER_READINGS:
                take_things(pen, sort, sheet, collector)
        for sort, sheet in ordered:
            if sort in ("vehicle", "part"):
                take_readings(pen, sort, sheet, collector)
        for sort, sheet in ordered:
            if sort in _AFTER_READINGS:
                take_things(pen, sort, sheet, collector)
        collector.end()
    return Imported(pen.added, tuple(pen.lines))


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """All that an import makes lives to its end: looking through it for garbage would take a sixth of its time."""
    collected = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collected:
            gc.enable()
