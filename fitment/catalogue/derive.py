"""Derived data: adopted values and end summaries, made from readings in the same transaction, or all anew.

Dropping and rebuilding gives the same rows, whatever the order in which readings came. Parts are taken by the batch, so
that a statement answers for hundreds of them.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue import digest
from fitment.catalogue.adopt import AdoptedValue, Evidence
from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.decisions import Decision
from fitment.catalogue.dictionary import PartKind, part_kinds
from fitment.catalogue.end_keys import end_key, far_end
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
from fitment.finding import Use
from fitment.joints.registration import Feature

#: parts that one statement answers for
_BATCH = 400
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
    return _decisions(connection, column, [subject]).get(subject, [])


def _decisions(connection: Connection, column: str, subjects: Sequence[int]) -> dict[int, list[Decision]]:
    """What was decided of several things, by their keys."""
    query = sa.select(table_of(DecisionRow)).where(getattr(DecisionRow, column).in_(subjects))
    found: dict[int, list[Decision]] = {}
    for row in connection.execute(query.order_by(DecisionRow.dated, DecisionRow.id)):
        decision = Decision(
            row.feature,
            row.dimension,
            tuple(json.loads(row.taken)),
            tuple(json.loads(row.over)),
            row.reason,
            row.who,
            row.dated,
        )
        found.setdefault(getattr(row, column), []).append(decision)
    return found


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


def derive_parts(
    connection: Connection, part_ids: Iterable[int], tell: Callable[[int, int], None] | None = None
) -> None:
    """Makes the derived rows of these parts and of all their items anew; `tell` is told how many of how many are."""
    ordered = sorted(set(part_ids))
    for start in range(0, len(ordered), _BATCH):
        if tell is not None:
            tell(start, len(ordered))
        _derive_batch(connection, ordered[start : start + _BATCH])


def _derive_batch(connection: Connection, part_ids: Sequence[int]) -> None:
    parts = sa.select(Part.id, Part.kind).where(Part.id.in_(part_ids))
    kinds: dict[int, str] = {row.id: row.kind for row in connection.execute(parts)}
    pieces = sa.select(Item.id, Item.part_id).where(Item.part_id.in_(part_ids))
    of_items: dict[int, int] = {row.id: row.part_id for row in connection.execute(pieces)}
    connection.execute(sa.delete(_ADOPTED).where(_ADOPTED.c.part_id.in_(part_ids)))
    connection.execute(sa.delete(_SUMMARY).where(_SUMMARY.c.part_id.in_(part_ids)))
    evidence = _evidence_by(connection, "part_id", part_ids)
    decided = _decisions(connection, "part_id", part_ids)
    adopted: list[dict[str, object]] = []
    summary: list[dict[str, object]] = []
    for part_id in part_ids:
        kind = part_kinds()[kinds[part_id]]
        # an item may be worn, reamed or bent: what was read on it speaks for it alone
        values = adopted_values(kind.features, evidence.get(part_id, ()), decided.get(part_id, ()))
        adopted += [_row(value, "part_id", part_id) for value in values]
        summary += _summaries(kind, part_id, values)
    if of_items:
        items = sorted(of_items)
        connection.execute(sa.delete(_ADOPTED).where(_ADOPTED.c.item_id.in_(items)))
        decided = _decisions(connection, "item_id", items)
        for item, own in sorted(_evidence_by(connection, "item_id", items).items()):
            features = part_kinds()[kinds[of_items[item]]].features
            adopted += [_row(value, "item_id", item) for value in adopted_values(features, own, decided.get(item, ()))]
    if adopted:
        connection.execute(sa.insert(_ADOPTED), adopted)
    if summary:
        connection.execute(sa.insert(_SUMMARY), summary)


def _evidence_by(connection: Connection, column: str, subjects: Sequence[int]) -> dict[int, list[Evidence]]:
    """The readings in force of several things themselves, by their keys."""
    found: dict[int, list[Evidence]] = {}
    for row in connection.execute(_IN_FORCE.where(getattr(Reading, column).in_(subjects))):
        found.setdefault(getattr(row, column), []).append(evidence_from(row))
    return found


def _summaries(kind: PartKind, part_id: int, values: list[AdoptedValue]) -> list[dict[str, object]]:
    """One row per end that has anything to search by."""
    ends: dict[str, dict[str, AdoptedValue]] = {}
    for value in values:
        if not value.gap:
            ends.setdefault(value.feature, {})[value.dimension] = value
    keys = {feature: end_key(_feature(kind.features[feature], end)) for feature, end in sorted(ends.items())}
    rows = []
    for feature, key in keys.items():
        other = keys.get(far_end(kind, feature) or "")
        end = ends[feature]
        word = {name: value.word for name, value in end.items()}
        count = end["spline"].number if "spline" in end else None
        holes = sum(1 for name in end if re.fullmatch(r"hole-\d+", name))
        row: dict[str, object] = {
            "near_key": key.near_key,
            "far_key": other.near_key if other else None,
            "size": key.size,
            "size_u": key.size_u,
            "taper": key.taper,
            "thread": word.get("thread"),
            "hand": word.get("hand") if word.get("hand") in ("LH", "RH") else None,
            "sex": word.get("sex"),
            "spline_count": int(count) if count is not None else None,
            "hole_count": holes or None,
        }
        if any(cell is not None for cell in row.values()):
            rows.append({"part_id": part_id, "feature": feature, "kind": kind.kind} | row)
    return rows


def _feature(kind: str, end: dict[str, AdoptedValue]) -> Feature:
    """An end as a joint's registration sees it."""
    uses = {name: _use(value) for name, value in end.items()}
    return Feature("", kind, {name: use for name, use in uses.items() if use is not None})


def _use(value: AdoptedValue) -> Use | None:
    said = value.number if value.number is not None else value.word
    return None if said is None else Use("", value.dimension, said, value.u, value.unit, value.basis)


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
    digest.store(connection, digest.recounted(connection))
