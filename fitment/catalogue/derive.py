"""Derived data: adopted values and end summaries, made from readings in the same transaction, or all anew.

Dropping and rebuilding gives the same rows, whatever the order in which readings came.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.adopt import AdoptedValue, Evidence
from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.decisions import Decision
from fitment.catalogue.dictionary import part_kinds
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

_ADOPTED = table_of(Adopted)
_SUMMARY = table_of(EndSummary)

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


def decisions_of(connection: Connection, column: str, subject: int) -> list[Decision]:
    """What was decided of one thing, in order; `column` is ``part_id``, ``item_id`` or ``vehicle_id``."""
    query = sa.select(table_of(DecisionRow)).where(getattr(DecisionRow, column) == subject)
    rows = connection.execute(query.order_by(DecisionRow.dated, DecisionRow.id))
    return [
        Decision(
            row.feature,
            row.dimension,
            tuple(json.loads(row.taken)),
            tuple(json.loads(row.over)),
            row.reason,
            row.who,
            row.dated,
        )
        for row in rows
    ]


def evidence_of(connection: Connection, column: str, subject: int) -> list[Evidence]:
    """The readings in force of one thing itself; `column` is ``part_id``, ``item_id`` or ``vehicle_id``."""
    return [evidence_from(row) for row in connection.execute(_IN_FORCE.where(getattr(Reading, column) == subject))]


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


def _row(value: AdoptedValue, column: str, subject: int) -> dict[str, object]:
    row: dict[str, object] = dict.fromkeys(("vehicle_id", "part_id", "item_id"))
    row[column] = subject
    return row | {
        "feature": value.feature,
        "dimension": value.dimension,
        "number": value.number,
        "u": value.u,
        "word": value.word,
        "unit": value.unit,
        "basis": value.basis.value,
        "gap": value.gap,
        "hearsay": value.hearsay,
        "assumed": value.assumed,
        "shape": value.shape,
        "shared": json.dumps(value.shared),
        "source": value.source,
        "shown": value.shown,
        "readings": json.dumps(value.readings),
    }


def derive_parts(connection: Connection, part_ids: Iterable[int]) -> None:
    """Makes the derived rows of these parts and of all their items anew."""
    for part_id in sorted(set(part_ids)):
        kind = part_kinds()[connection.execute(sa.select(Part.kind).where(Part.id == part_id)).scalar_one()]
        items = list(connection.execute(sa.select(Item.id).where(Item.part_id == part_id).order_by(Item.id)).scalars())
        rows = connection.execute(_IN_FORCE.where(sa.or_(Reading.part_id == part_id, Reading.item_id.in_(items)))).all()
        connection.execute(
            sa.delete(_ADOPTED).where(sa.or_(_ADOPTED.c.part_id == part_id, _ADOPTED.c.item_id.in_(items)))
        )
        connection.execute(sa.delete(_SUMMARY).where(_SUMMARY.c.part_id == part_id))
        features = dict(kind.features)
        # an item may be worn, reamed or bent: what was read on it speaks for it alone
        whole = [evidence_from(row) for row in rows if row.part_id is not None]
        values = adopted_values(features, whole, decisions_of(connection, "part_id", part_id))
        out = [_row(value, "part_id", part_id) for value in values]
        for item in items:
            own = [evidence_from(row) for row in rows if row.item_id == item]
            if own:
                decided = decisions_of(connection, "item_id", item)
                out += [_row(value, "item_id", item) for value in adopted_values(features, own, decided)]
        if out:
            connection.execute(sa.insert(_ADOPTED), out)
        if summary := _summaries(kind.kind, part_id, values):
            connection.execute(sa.insert(_SUMMARY), summary)


def _summaries(kind: str, part_id: int, values: list[AdoptedValue]) -> list[dict[str, object]]:
    """One row per end that has anything to search by."""
    ends: dict[str, dict[str, AdoptedValue]] = {}
    for value in values:
        if not value.gap:
            ends.setdefault(value.feature, {})[value.dimension] = value
    rows = []
    for feature, end in sorted(ends.items()):
        word = {name: value.word for name, value in end.items()}
        number = {name: value.number for name, value in end.items()}
        count = number.get("spline")
        row: dict[str, object] = {
            "thread": word.get("thread"),
            "hand": word.get("hand") if word.get("hand") in ("LH", "RH") else None,
            "sex": word.get("sex"),
            "taper": number.get("taper"),
            "large": number.get("large"),
            "spline_count": int(count) if count is not None else None,
            "spline_od": number.get("od") if count is not None else None,
            "pattern_x": number.get("centres"),
            "hole_count": None,
        }
        if any(cell is not None for cell in row.values()):
            rows.append({"part_id": part_id, "feature": feature, "kind": kind} | row)
    return rows


def derive_vehicles(connection: Connection, vehicle_ids: Iterable[int]) -> None:
    """Makes the adopted values of these vehicles anew."""
    features = dict(part_kinds()["vehicle"].features)
    for vehicle_id in sorted(set(vehicle_ids)):
        connection.execute(sa.delete(_ADOPTED).where(_ADOPTED.c.vehicle_id == vehicle_id))
        own = evidence_of(connection, "vehicle_id", vehicle_id)
        decided = decisions_of(connection, "vehicle_id", vehicle_id)
        out = [_row(value, "vehicle_id", vehicle_id) for value in adopted_values(features, own, decided)]
        if out:
            connection.execute(sa.insert(_ADOPTED), out)


def derive_all(connection: Connection) -> None:
    """Drops every derived row and makes it again from the readings."""
    connection.execute(sa.delete(_ADOPTED))
    connection.execute(sa.delete(_SUMMARY))
    derive_parts(connection, connection.execute(sa.select(Part.id)).scalars().all())
    derive_vehicles(connection, connection.execute(sa.select(Vehicle.id)).scalars().all())
