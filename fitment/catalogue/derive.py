"""Derived data: adopted values and end summaries, made from readings in the same transaction, or all anew.

Dropping and rebuilding gives the same rows, whatever the order in which readings came. Parts are taken by the batch, so
that a statement answers for hundreds of them.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue import digest
from fitment.catalogue.adopt import Evidence
from fitment.catalogue.decisions import Decision
from fitment.catalogue.designs import Designs
from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.once_read import ADOPTED_COLUMNS, SUMMARY_COLUMNS, Entry, Maker, Read
from fitment.catalogue.plain_rows import insert_rows
from fitment.catalogue.schema import (
    Adopted,
    DecisionRow,
    EndSummary,
    Item,
    Part,
    Reading,
    Sitting,
    Source,
    Vehicle,
    Withdrawal,
    table_of,
)
from fitment.catalogue.turns import DECIDED

#: parts that one statement answers for
_BATCH = 400
_ADOPTED = table_of(Adopted)
_SUMMARY = table_of(EndSummary)
_SUBJECTS = ("vehicle_id", "part_id", "item_id")

#: every reading with what the rule needs to know of it, withdrawn ones too
READINGS = (
    sa.select(
        Reading.uid,
        Reading.part_id,
        Reading.item_id,
        Reading.vehicle_id,
        Reading.feature,
        Reading.dimension,
        Reading.number,
        Reading.u,
        Reading.word,
        Reading.tool,
        Reading.condition,
        Source.kind.label("source_kind"),
        Source.title,
        Source.shop.label("source_shop"),
        Source.ref.label("source_ref"),
        Source.origin,
        Sitting.shop,
        Sitting.ref,
        Sitting.datum,
        Sitting.axes,
    )
    .join(Sitting, Reading.sitting_id == Sitting.id)
    .join(Source, Sitting.source_id == Source.id)
    .outerjoin(Withdrawal, Withdrawal.reading_id == Reading.id)
)
_IN_FORCE = READINGS.where(Withdrawal.id.is_(None))

#: the same in parts for many things at once: what a reading itself says, and what its sitting and source say
_SAID = (Reading.uid, Reading.feature, Reading.dimension, Reading.number, Reading.u, Reading.word, Reading.tool)
_READ = (*_SAID, Reading.condition, Reading.sitting_id)
_SITTING = sa.select(
    Source.kind,
    Source.title,
    Source.shop,
    Source.ref,
    Source.origin,
    Sitting.shop,
    Sitting.ref,
    Sitting.datum,
    Sitting.axes,
).join(Source, Sitting.source_id == Source.id)


def decisions_of(connection: Connection, column: str, subject: int) -> list[Decision]:
    """What was decided of one thing, in order; `column` is ``part_id``, ``item_id`` or ``vehicle_id``.

    Parts that are joined are one thing.
    """
    design = Designs(connection if column == "part_id" else None)
    return _decisions(connection, column, design.members(subject), design).get(design.first(subject), [])


def _decisions(
    connection: Connection, column: str, subjects: Sequence[int], designs: Designs
) -> dict[int, list[Decision]]:
    """What was decided of several things, by the key of each or of the first part that it is joined with."""
    query = sa.select(table_of(DecisionRow)).where(getattr(DecisionRow, column).in_(subjects))
    found: dict[int, list[Decision]] = {}
    for row in connection.execute(query.order_by(*DECIDED)):
        decision = Decision(
            row.feature,
            row.dimension,
            tuple(json.loads(row.taken)),
            tuple(json.loads(row.over)),
            row.reason,
            row.who,
            row.dated,
            row.turn,
        )
        found.setdefault(designs.first(getattr(row, column)), []).append(decision)
    return found


def evidence_of(connection: Connection, column: str, subject: int) -> list[Evidence]:
    """The readings in force of one thing itself; `column` is ``part_id``, ``item_id`` or ``vehicle_id``.

    Parts that are joined are one thing.
    """
    members = Designs(connection if column == "part_id" else None).members(subject)
    return [evidence_from(row) for row in connection.execute(_IN_FORCE.where(getattr(Reading, column).in_(members)))]


def evidence_from(row: Any) -> Evidence:
    """What the rule needs to know of one row of `READINGS`."""
    values = row._mapping
    return Evidence(
        uid=values["uid"],
        feature=values["feature"],
        dimension=values["dimension"],
        number=values["number"],
        u=values["u"],
        word=values["word"],
        tool=values["tool"],
        condition=values["condition"],
        source_kind=values["source_kind"],
        source=values["title"] or f"{values['source_shop']}/{values['source_ref']}",
        origin=values["origin"],
        sitting=f"{values['shop']}/{values['ref']}",
        datum=values["datum"],
        axes=values["axes"],
    )


def _rows(entries: Mapping[str, list[Entry]], column: str, subject: int) -> list[tuple[Any, ...]]:
    """The rows of `adopted` of one thing."""
    keys = tuple(subject if name == column else None for name in _SUBJECTS)
    return [(*keys, *columns, uids) for made in entries.values() for _, _, columns, uids in made]


def derive_parts(
    connection: Connection, part_ids: Iterable[int], tell: Callable[[int, int], None] | None = None
) -> None:
    """Makes the derived rows of these parts, of those joined with them and of all their items anew.

    Args:
        tell: is told how many of how many are.
    """
    designs = Designs(connection)
    maker = Maker(Sittings(connection).evidence)
    ordered = sorted({member for part_id in part_ids for member in designs.members(part_id)})
    for start in range(0, len(ordered), _BATCH):
        if tell is not None:
            tell(start, len(ordered))
        _derive_batch(connection, ordered[start : start + _BATCH], designs, maker)


def _derive_batch(connection: Connection, part_ids: Sequence[int], designs: Designs, maker: Maker) -> None:
    parts = sa.select(Part.id, Part.kind).where(Part.id.in_(part_ids))
    kinds: dict[int, str] = {row.id: row.kind for row in connection.execute(parts)}
    pieces = sa.select(Item.id, Item.part_id).where(Item.part_id.in_(part_ids))
    of_items: dict[int, int] = {row.id: row.part_id for row in connection.execute(pieces)}
    connection.execute(sa.delete(_ADOPTED).where(_ADOPTED.c.part_id.in_(part_ids)))
    connection.execute(sa.delete(_SUMMARY).where(_SUMMARY.c.part_id.in_(part_ids)))
    everyone = sorted({member for part_id in part_ids for member in designs.members(part_id)})
    read = _read_by(connection, "part_id", everyone)
    decided = _decisions(connection, "part_id", everyone, designs)
    adopted: list[tuple[Any, ...]] = []
    summary: list[tuple[Any, ...]] = []
    for part_id in part_ids:
        kind = part_kinds()[kinds[part_id]]
        # an item may be worn, reamed or bent: what was read on it speaks for it alone
        own = [one for member in designs.members(part_id) for one in read.get(member, ())]
        entries = maker.entries(kind, own, decided.get(designs.first(part_id), ()))
        adopted += _rows(entries, "part_id", part_id)
        summary += maker.summaries(kind, part_id, entries)
    if of_items:
        items = sorted(of_items)
        connection.execute(sa.delete(_ADOPTED).where(_ADOPTED.c.item_id.in_(items)))
        decided = _decisions(connection, "item_id", items, Designs(None))
        for item, own in sorted(_read_by(connection, "item_id", items).items()):
            entries = maker.entries(part_kinds()[kinds[of_items[item]]], own, decided.get(item, ()))
            adopted += _rows(entries, "item_id", item)
    insert_rows(connection, _ADOPTED, (*_SUBJECTS, *ADOPTED_COLUMNS), adopted)
    insert_rows(connection, _SUMMARY, SUMMARY_COLUMNS, summary)


def _read_by(connection: Connection, column: str, subjects: Sequence[int]) -> dict[int, list[Read]]:
    """The readings in force of several things themselves, by their keys."""
    found: dict[int, list[Read]] = {}
    key = getattr(Reading, column)
    for row in connection.execute(
        sa.select(key, *_READ)
        .outerjoin(Withdrawal, Withdrawal.reading_id == Reading.id)
        .where(Withdrawal.id.is_(None), key.in_(subjects))
    ):
        found.setdefault(row[0], []).append(tuple(row))
    return found


class Sittings:
    """What the rule needs to know of a reading, by what stands in its row and what its sitting and source say."""

    def __init__(self, connection: Connection):
        self._connection = connection
        self._known: dict[int, tuple[str, ...]] = {}

    def evidence(self, read: Read) -> Evidence:
        """The evidence that a reading is."""
        _, uid, feature, dimension, number, u, word, tool, condition, sitting = read
        if sitting not in self._known:
            self._known[sitting] = tuple(self._connection.execute(_SITTING.where(Sitting.id == sitting)).one())
        kind, title, source_shop, source_ref, origin, shop, ref, datum, axes = self._known[sitting]
        source = title or f"{source_shop}/{source_ref}"
        said = (uid, feature, dimension, number, u, word, tool, condition, kind, source, origin)
        return Evidence(*said, f"{shop}/{ref}", datum, axes)


def derive_vehicles(connection: Connection, vehicle_ids: Iterable[int]) -> None:
    """Makes the adopted values of these vehicles anew."""
    kind = part_kinds()["vehicle"]
    maker = Maker(Sittings(connection).evidence)
    for vehicle_id in sorted(set(vehicle_ids)):
        connection.execute(sa.delete(_ADOPTED).where(_ADOPTED.c.vehicle_id == vehicle_id))
        own = _read_by(connection, "vehicle_id", [vehicle_id]).get(vehicle_id, ())
        entries = maker.entries(kind, own, decisions_of(connection, "vehicle_id", vehicle_id))
        insert_rows(connection, _ADOPTED, (*_SUBJECTS, *ADOPTED_COLUMNS), _rows(entries, "vehicle_id", vehicle_id))


def derive_all(connection: Connection) -> None:
    """Drops every derived row and makes it again from the readings."""
    connection.execute(sa.delete(_ADOPTED))
    connection.execute(sa.delete(_SUMMARY))
    derive_parts(connection, connection.execute(sa.select(Part.id)).scalars().all())
    derive_vehicles(connection, connection.execute(sa.select(Vehicle.id)).scalars().all())
    digest.store(connection, digest.recounted(connection))
