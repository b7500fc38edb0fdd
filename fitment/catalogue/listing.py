"""Looking at the catalogue: things, their adopted values, their readings. Reads only."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.adopt import TRUST
from fitment.catalogue.designs import joined_with
from fitment.catalogue.schema import (
    Adopted,
    Base,
    CatalogueRow,
    FittedTo,
    Item,
    Part,
    Reading,
    Sitting,
    Source,
    Statement,
    Vehicle,
    Withdrawal,
    table_of,
)
from fitment.catalogue.turns import STATED
from fitment.errors import NotFoundFault, nearest
from fitment.frozen import dataclass

TABLES: dict[str, Any] = {"vehicle": Vehicle, "part": Part, "item": Item}


@dataclass(frozen=True)
class Thing:
    """A vehicle, part or item as a list shows it."""

    reference: str
    sort: str
    kind: str
    title: str


@dataclass(frozen=True)
class ValueLine:
    """One adopted value; `gap` says why it is not in force.

    `value` is a number in `unit`, a word (then `unit` is None) or None; `u` is its standard uncertainty; `shown` is the
    value as a page shows it.
    """

    feature: str
    dimension: str
    value: float | str | None
    u: float | None
    unit: str | None
    shown: str
    basis: str
    source: str
    gap: str
    hearsay: bool
    assumed: bool


@dataclass(frozen=True)
class ReadingLine:
    """One reading as a list shows it; `withdrawn` holds the reason."""

    uid: str
    of: str
    feature: str
    dimension: str
    entered: str
    bare_unit: str
    tool: str
    condition: str
    sitting: str
    who: str
    dated: str
    source: str
    hearsay: bool
    withdrawn: str


def things(connection: Connection, sort: str, kind: str | None = None) -> list[Thing]:
    """All vehicles, parts (of a kind) or items, by reference."""
    if sort == "vehicle":
        rows = connection.execute(sa.select(Vehicle.shop, Vehicle.ref, Vehicle.maker, Vehicle.model, Vehicle.years))
        found = [
            Thing(f"{r.shop}/{r.ref}", sort, sort, " ".join(filter(None, (r.maker, r.model, r.years)))) for r in rows
        ]
    elif sort == "part":
        query = sa.select(Part.shop, Part.ref, Part.kind, Part.name, Part.maker, Part.number)
        rows = connection.execute(query.where(Part.kind == kind) if kind else query)
        found = [Thing(f"{r.shop}/{r.ref}", sort, r.kind, r.name or f"{r.maker} {r.number}".strip()) for r in rows]
    else:
        of = sa.select(Item.shop, Item.ref, Part.kind, Part.shop.label("ps"), Part.ref.label("pr")).join(Part)
        found = [Thing(f"{r.shop}/{r.ref}", sort, r.kind, f"of {r.ps}/{r.pr}") for r in connection.execute(of)]
    return sorted(found, key=lambda thing: thing.reference)


def one(connection: Connection, sort: str, reference: str) -> Any:
    """The row of that reference.

    Raises:
        NotFoundFault: with the nearest references.
    """
    table = TABLES[sort]
    own = connection.execute(sa.select(CatalogueRow.shop)).scalar_one()
    shop, slash, ref = reference.rpartition("/")
    query = sa.select(table_of(table)).where(table.ref == ref, table.shop == (shop if slash else own))
    row = connection.execute(query).one_or_none()
    if row is None:
        known = [thing.reference for thing in things(connection, sort)]
        raise NotFoundFault(
            f"no {sort} {reference}",
            mending=nearest(reference, known) if known else "the catalogue has none yet",
            code="ref-02",
        )
    return row


def find_any(connection: Connection, reference: str) -> tuple[str, Any]:
    """The sort ("vehicle", "part", "item") and the row of that reference.

    Raises:
        NotFoundFault: with the nearest references.
    """
    for sort in TABLES:
        try:
            return sort, one(connection, sort, reference)
        except NotFoundFault:
            continue
    known = [thing.reference for sort in TABLES for thing in things(connection, sort)]
    raise NotFoundFault(
        f"no part, item or vehicle {reference}",
        mending=nearest(reference, known) if known else "the catalogue has none yet",
        code="ref-02",
    )


def values_of(connection: Connection, sort: str, row: Any) -> list[ValueLine]:
    """Every adopted value of one thing, by feature and dimension."""
    column = {"vehicle": Adopted.vehicle_id, "part": Adopted.part_id, "item": Adopted.item_id}[sort]
    query = sa.select(table_of(Adopted)).where(column == row.id).order_by(Adopted.feature, Adopted.dimension)
    return [
        ValueLine(
            feature=r.feature,
            dimension=r.dimension,
            value=r.word if r.number is None else r.number,
            u=r.u,
            unit=None if r.number is None and not r.unit else r.unit,
            shown=r.shown,
            basis=r.basis,
            source=r.source,
            gap=r.gap,
            hearsay=r.hearsay,
            assumed=r.assumed,
        )
        for r in connection.execute(query)
    ]


def described(connection: Connection, sort: str, row: Any) -> list[tuple[str, str]]:
    """What is said of a thing besides its dimensions: name and text pairs."""
    if sort == "vehicle":
        return [(n, getattr(row, n)) for n in ("maker", "model", "years", "note") if getattr(row, n)]
    said: list[tuple[str, str]] = []
    if sort == "part":
        said = [(name, getattr(row, name)) for name in ("kind", "name", "maker", "number") if getattr(row, name)]
        query = (
            sa.select(Vehicle.shop, Vehicle.ref, Vehicle.maker, Vehicle.model, FittedTo.position)
            .join(FittedTo, FittedTo.vehicle_id == Vehicle.id)
            .where(FittedTo.part_id == row.id)
            .order_by(Vehicle.shop, Vehicle.ref, FittedTo.position)
        )
        for v in connection.execute(query):
            said.append(("was fitted to", " ".join(filter(None, (f"{v.shop}/{v.ref}", v.maker, v.model, v.position)))))
        said += [("joined with", name) for name in joined_with(connection, row.id)]
    else:
        part = connection.execute(
            sa.select(Part.shop, Part.ref, Part.name, Part.kind).where(Part.id == row.part_id)
        ).one()
        said.append(("of part", f"{part.shop}/{part.ref} {part.name or part.kind}"))
    column = Statement.part_id if sort == "part" else Statement.item_id
    for r in connection.execute(sa.select(Statement.field, Statement.text).where(column == row.id).order_by(STATED)):
        said.append((r.field, r.text))
    return said


def readings(connection: Connection, reference: str | None = None) -> list[ReadingLine]:
    """Every reading, of one thing or of all, withdrawn ones too, in the order of their taking in."""
    query = (
        sa.select(
            table_of(Reading),
            Sitting.shop,
            Sitting.ref,
            Sitting.who,
            Sitting.dated,
            Source.kind.label("source_kind"),
            Source.title,
            Withdrawal.reason,
        )
        .join(Sitting, Reading.sitting_id == Sitting.id)
        .join(Source, Sitting.source_id == Source.id)
        .outerjoin(Withdrawal, Withdrawal.reading_id == Reading.id)
        .order_by(Reading.id)
    )
    if reference is not None:
        sort, row = find_any(connection, reference)
        query = query.where(getattr(Reading, f"{sort}_id") == row.id)
        names = {sort: {row.id: f"{row.shop}/{row.ref}"}}
    else:
        names = {
            sort: {r.id: f"{r.shop}/{r.ref}" for r in connection.execute(sa.select(table.id, table.shop, table.ref))}
            for sort, table in TABLES.items()
        }
    return [
        ReadingLine(
            uid=r.uid,
            of=next(of[key] for sort, of in names.items() if (key := getattr(r, f"{sort}_id")) in of),
            feature=r.feature,
            dimension=r.dimension,
            entered=r.entered,
            bare_unit=r.bare_unit,
            tool=r.tool,
            condition=r.condition,
            sitting=f"{r.shop}/{r.ref}",
            who=r.who,
            dated=r.dated,
            source=r.title or r.source_kind,
            hearsay=TRUST[r.source_kind][0] == TRUST["memory"][0],
            withdrawn=r.reason or "",
        )
        for r in connection.execute(query)
    ]


def counts(connection: Connection) -> dict[str, Any]:
    """Id, shop, revision, and how many there are of each."""
    row = connection.execute(sa.select(table_of(CatalogueRow))).one()
    tables: tuple[tuple[str, type[Base]], ...] = (
        ("vehicles", Vehicle),
        ("parts", Part),
        ("items", Item),
        ("sources", Source),
        ("sittings", Sitting),
        ("readings", Reading),
        ("withdrawn", Withdrawal),
    )
    number = {
        name: connection.execute(sa.select(sa.func.count()).select_from(table_of(table))).scalar_one()
        for name, table in tables
    }
    conflicts = connection.execute(
        sa.select(sa.func.count()).select_from(Adopted).where(Adopted.gap.startswith("in conflict"))
    ).scalar_one()
    return {"id": row.uid, "shop": row.shop, "revision": row.revision, **number, "in_conflict": conflicts}
