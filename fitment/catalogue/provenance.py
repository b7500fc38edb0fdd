"""What is on record of the parts of a kit besides their dimensions: donors, statements, sittings, papers, changes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.designs import joined_with
from fitment.catalogue.found import Carrier
from fitment.catalogue.kept import KeptLine, kept_lines
from fitment.catalogue.listing import ReadingLine, find_any, readings
from fitment.catalogue.papers import PaperLine, papers
from fitment.catalogue.schema import FittedTo, Part, Reading, Sitting, Source, Statement, Vehicle, Withdrawal, table_of
from fitment.catalogue.turns import STATED
from fitment.frozen import dataclass


@dataclass(frozen=True)
class Said:
    """A dated statement on a part or item, ``welds``: its field, its words, and when; `dated` "" where not recorded."""

    field: str
    text: str
    dated: str


@dataclass(frozen=True)
class Origin:
    """Where a part comes from.

    Attributes:
        reference: of the part, or of the item where the kit names one.
        part: the part that an item is one of; the same as `reference` for a part.
        maker, number: of the part; "" where not recorded.
        carriers: vehicles that it was fitted to.
        said: every statement, in the order of their keeping.
        readings: every reading of it, withdrawn ones too.
    """

    reference: str
    part: str = ""
    maker: str = ""
    number: str = ""
    carriers: tuple[Carrier, ...] = ()
    said: tuple[Said, ...] = ()
    readings: tuple[ReadingLine, ...] = ()

    def latest(self, name: str) -> str:
        """The last statement of that field; "" where there is none."""
        return next((one.text for one in reversed(self.said) if one.field == name), "")


@dataclass(frozen=True)
class SittingLine:
    """A sitting behind readings: who read, when, with what, from which source."""

    reference: str
    who: str
    dated: str
    tool: str
    source: str
    kind: str
    note: str


@dataclass(frozen=True)
class Change:
    """A reading taken out of force: which, why, by whom, when."""

    reading: ReadingLine
    reason: str
    who: str
    dated: str


@dataclass(frozen=True)
class Records:
    """What the catalogue has on record for a kit.

    Attributes:
        origins: by reference as the kit names them, the target's too.
        sittings: those behind the readings, by reference.
        papers: photographs and papers of those sittings and of builds to this kit.
        changes: withdrawals of readings of these things.
        kept: earlier reports of a kit of this name.
    """

    origins: Mapping[str, Origin] = field(default_factory=dict)
    sittings: tuple[SittingLine, ...] = ()
    papers: tuple[PaperLine, ...] = ()
    changes: tuple[Change, ...] = ()
    kept: tuple[KeptLine, ...] = ()


def records(connection: Connection, references: Iterable[str], kit: str) -> Records:
    """What is on record of these vehicles, parts and items.

    Args:
        connection: to the catalogue.
        references: as the kit names them.
        kit: its name, for earlier reports and their builds.

    Raises:
        NotFoundFault: one of them is not there.
    """
    origins = {reference: _origin(connection, reference) for reference in dict.fromkeys(references)}
    read = {line.uid: line for one in origins.values() for line in one.readings}
    names = dict.fromkeys(line.sitting for line in read.values())
    kept = tuple(line for line in kept_lines(connection) if line.kit == kit)
    owners = {f"sitting {name}" for name in names} | {f"build {name}" for line in kept for name in line.builds}
    return Records(
        origins,
        tuple(_sittings(connection, names)),
        tuple(paper for paper in papers(connection) if paper.of in owners),
        tuple(_changes(connection, read)),
        kept,
    )


def _origin(connection: Connection, reference: str) -> Origin:
    sort, row = find_any(connection, reference)
    lines = tuple(readings(connection, reference)) + (_joined(connection, row.id) if sort == "part" else ())
    if sort == "vehicle":
        return Origin(reference, reference, row.maker, row.model, said=_said(connection, sort, row.id), readings=lines)
    part = row if sort == "part" else connection.execute(_PART.where(Part.id == row.part_id)).one()
    name = f"{part.shop}/{part.ref}"
    said = _said(connection, "part", part.id)
    if sort == "item":
        lines += tuple(readings(connection, name)) + _joined(connection, part.id)
        said += _said(connection, sort, row.id)
    return Origin(reference, name, part.maker, part.number, _carriers(connection, part.id), said, lines)


def _joined(connection: Connection, part: int) -> tuple[ReadingLine, ...]:
    """Readings of the parts that a part is joined with."""
    others = joined_with(connection, part)
    return tuple(line for other in others for line in readings(connection, other))


_PART = sa.select(table_of(Part))


def _said(connection: Connection, sort: str, number: int) -> tuple[Said, ...]:
    column = {"vehicle": Statement.vehicle_id, "part": Statement.part_id, "item": Statement.item_id}[sort]
    query = sa.select(Statement.field, Statement.text, Statement.dated).where(column == number).order_by(STATED)
    return tuple(Said(row.field, row.text, row.dated) for row in connection.execute(query))


def _carriers(connection: Connection, part: int) -> tuple[Carrier, ...]:
    query = (
        sa.select(Vehicle.shop, Vehicle.ref, Vehicle.maker, Vehicle.model, Vehicle.years, FittedTo.position)
        .join(FittedTo, FittedTo.vehicle_id == Vehicle.id)
        .where(FittedTo.part_id == part)
        .order_by(Vehicle.shop, Vehicle.ref, FittedTo.position)
    )
    return tuple(
        Carrier(f"{row.shop}/{row.ref}", f"{row.maker} {row.model}".strip(), row.years, row.position)
        for row in connection.execute(query)
    )


def _sittings(connection: Connection, names: Iterable[str]) -> Iterable[SittingLine]:
    wanted = set(names)
    query = sa.select(table_of(Sitting), Source.title, Source.kind).join(Source, Sitting.source_id == Source.id)
    for row in connection.execute(query.order_by(Sitting.shop, Sitting.ref)):
        if f"{row.shop}/{row.ref}" in wanted:
            source = row.title or row.kind
            yield SittingLine(f"{row.shop}/{row.ref}", row.who, row.dated, row.tool, source, row.kind, row.note)


def _changes(connection: Connection, read: Mapping[str, ReadingLine]) -> Iterable[Change]:
    withdrawn: dict[str, Any] = {}
    for one in connection.execute(_WITHDRAWN):
        withdrawn[one.uid] = one
    for uid, row in withdrawn.items():
        if uid in read:
            yield Change(read[uid], row.reason, row.who, row.dated)


_WITHDRAWN = (
    sa.select(Reading.uid, Withdrawal.reason, Withdrawal.who, Withdrawal.dated)
    .join(Reading, Withdrawal.reading_id == Reading.id)
    .order_by(Withdrawal.id)
)
