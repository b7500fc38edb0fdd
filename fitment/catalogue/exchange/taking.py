"""Exchange files taken in: a union of sets, in one transaction, or nothing of any file.

What is on record stays; what is not is added; what was left open is filled in. Two records that claim one reference and
differ in what they are refuse the file; where two shops only described a part or a car differently both words are kept:
the one that sorts first in the field, the others as statements. So neither the order of files nor how often they come
changes the outcome.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from sqlalchemy.engine import Engine

from fitment.catalogue.exchange.files import Exchanged, read_file
from fitment.catalogue.exchange.form import FIELDS, THINGS, Line
from fitment.catalogue.exchange.said import take_said
from fitment.catalogue.exchange.things import take_header, take_links, take_things
from fitment.catalogue.exchange.union import Union
from fitment.catalogue.records import writing
from fitment.catalogue.register import Tell, quiet
from fitment.frozen import dataclass

_SAID = ("reading", "withdrawal", "decision", "statement", "join")


@dataclass(frozen=True)
class Taken:
    """What came in.

    Attributes:
        added: how many records of each sort.
        lines: a line for each thing and reading.
        notes: what people should look at.
        permissions: what each shop permits, a line for each.
    """

    added: Counter[str]
    lines: tuple[str, ...]
    notes: tuple[str, ...]
    permissions: tuple[str, ...]


def take_files(engine: Engine, paths: Sequence[Path], dry_run: bool = False, tell: Tell = quiet) -> Taken:
    """Takes exchange files in.

    Raises:
        FitmentError: a line is damaged, made up or contradicts what is on record; nothing was changed.
    """
    files = [read_file(path) for path in paths]
    with writing(engine, dry_run, tell) as pen:
        union = Union(pen)
        take(union, files)
    notes = [*union.notes]
    if union.strange:
        notes.append(f"{union.strange} readings are of sittings of your own shop and were not on record here")
    permissions = dict.fromkeys(f"{file.header.shop} permits: {file.header.permission}" for file in files)
    return Taken(pen.added, tuple(pen.lines), tuple(notes), tuple(permissions))


def take(union: Union, files: Sequence[Exchanged]) -> None:
    """Takes files in, in a transaction that somebody else ends."""
    by_sort: dict[str, dict[tuple[str, str], Line]] = {sort: {} for sort in FIELDS}
    for file in files:
        take_header(union, file.header, f"{file.path}:1")
        for line in file.lines:
            by_sort[line.sort].setdefault((line.uid, line.digest), line)
    for sort, found in by_sort.items():
        some = list(found.values())
        union.pen.tell(f"{sort} records", 0, len(some))
        if not some:
            continue
        if sort in THINGS:
            take_things(union, sort, some)
        elif sort in _SAID:
            take_said(union, sort, some)
        else:
            take_links(union, sort, some)
