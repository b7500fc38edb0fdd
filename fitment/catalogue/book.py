"""The catalogue as a book of parts: what a kit asks for, answered in few statements.

Statements are built once; an answer never writes.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.database import open_engine, storage_faults
from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.found import CatalogueStamp, FoundPart, FoundVehicle
from fitment.catalogue.schema import Adopted, CatalogueRow, Item, Part, Reading, Vehicle, Withdrawal, table_of
from fitment.catalogue.values import parse_trial
from fitment.errors import NotFoundFault, nearest
from fitment.finding import Basis, Use
from fitment.joints.registration import Feature, Trial
from fitment.quantity.show import show_quantity

_PART = sa.select(Part.id, Part.shop, Part.ref, Part.kind, Part.maker, Part.number, Part.name).where(
    Part.ref == sa.bindparam("ref"), Part.shop == sa.bindparam("shop")
)
_ITEM = (
    sa.select(
        Item.id,
        Item.shop,
        Item.ref,
        Part.kind,
        Part.name,
        Part.maker,
        Part.number,
        Item.part_id,
        Part.shop.label("part_shop"),
        Part.ref.label("part_ref"),
    )
    .join(Part, Item.part_id == Part.id)
    .where(Item.ref == sa.bindparam("ref"), Item.shop == sa.bindparam("shop"))
)
_VEHICLE = sa.select(Vehicle.shop, Vehicle.ref, Vehicle.maker, Vehicle.model, Vehicle.years).where(
    Vehicle.ref == sa.bindparam("ref"), Vehicle.shop == sa.bindparam("shop")
)
_VALUES = sa.select(table_of(Adopted)).where(
    sa.or_(Adopted.part_id == sa.bindparam("part_id"), Adopted.item_id == sa.bindparam("item_id"))
)


def use_of(row: Any, feature: str, dimension: str) -> Use:
    """The adopted value of one row as evidence; a reading's id is the first eight letters of its uid."""
    return Use(
        feature=feature,
        dimension=dimension,
        value=row["number"] if row["number"] is not None else row["word"],
        u=row["u"],
        unit=row["unit"] if row["number"] is not None else None,
        basis=Basis(row["basis"]),
        readings=tuple(uid[:8] for uid in json.loads(row["readings"])),
        source=row["source"],
        hearsay=row["hearsay"],
        assumed=row["assumed"],
        shape=row["shape"],
        shared=tuple((key, u) for key, u in json.loads(row["shared"])),
        shown=row["shown"],
    )


def _trial(row: Any, feature: str) -> Trial:
    name = row["dimension"].partition(" ")[0]
    use = use_of(row, feature, name)
    record = parse_trial(row["word"])
    stand_off = None
    if record.stand_off is not None:
        stand_off = Use(
            feature,
            name,
            record.stand_off,
            record.stand_off_u,
            "mm",
            Basis.TRIAL,
            use.readings,
            use.source,
            use.hearsay,
            use.assumed,
            "rectangular",
            (),
            show_quantity(record.stand_off, "length", "mm", record.stand_off_u),
        )
    return Trial(name, record.passed, record.against, record.contact, stand_off, use)


def features_of(kind: str, name: str, also: str | None, rows: list[Any]) -> dict[str, Feature]:
    """Every feature that the kind of part has, with what is adopted for it (an item's own value before its part's)."""
    made = {}
    own_first = sorted(rows, key=lambda row: row["item_id"] is None)
    for feature, feature_kind in part_kinds()[kind].features.items():
        values: dict[str, Use] = {}
        gaps: dict[str, str] = {}
        trials: list[Trial] = []
        full = f"{name} {feature}"
        seen: set[str] = set()
        for row in own_first:
            if row["feature"] != feature or row["dimension"] in seen:
                continue
            seen.add(row["dimension"])
            if row["gap"]:
                gaps[row["dimension"]] = row["gap"]
            elif "trial" in row["dimension"] or row["dimension"].startswith(("assembled-with", "reamed-to")):
                trials.append(_trial(row, full))
            else:
                values[row["dimension"]] = use_of(row, full, row["dimension"])
        made[feature] = Feature(full, feature_kind, (f"{also} {feature}",) if also else (), values, gaps, tuple(trials))
    return made


class Book:
    """Answers what a kit asks, on one connection."""

    def __init__(self, connection: Connection):
        self._connection = connection

    @cached_property
    def _own(self) -> Any:
        return self._connection.execute(sa.select(CatalogueRow.uid, CatalogueRow.shop, CatalogueRow.revision)).one()

    def stamp(self) -> CatalogueStamp:
        """Id, revision and the SHA-256 of the readings in force."""
        uids = self._connection.execute(
            sa.select(Reading.uid)
            .outerjoin(Withdrawal, Withdrawal.reading_id == Reading.id)
            .where(Withdrawal.id.is_(None))
            .order_by(Reading.uid)
        ).scalars()
        digest = hashlib.sha256("\n".join(uids).encode()).hexdigest()
        return CatalogueStamp(self._own.uid, self._own.revision, digest)

    def _split(self, reference: str) -> dict[str, str]:
        shop, slash, ref = reference.rpartition("/")
        return {"shop": shop if slash else self._own.shop, "ref": ref}

    def _not_found(self, what: str, reference: str, tables: tuple[Any, ...]) -> NotFoundFault:
        known = [
            f"{shop}/{ref}"
            for table in tables
            for shop, ref in self._connection.execute(sa.select(table.shop, table.ref))
        ]
        return NotFoundFault(
            f"no {what} {reference} in the catalogue",
            mending=nearest(reference, known) if known else "the catalogue is empty: import sheets first",
            code="ref-02",
        )

    def find(self, reference: str) -> FoundPart:
        """The part, or the item, of that reference.

        Raises:
            NotFoundFault: with the nearest references.
        """
        key = self._split(reference)
        found: Any = self._connection.execute(_PART, key).one_or_none()
        is_item = found is None
        if is_item:
            found = self._connection.execute(_ITEM, key).one_or_none()
        if found is None:
            raise self._not_found("part", reference, (Part, Item))
        ids = {"part_id": found.part_id if is_item else found.id, "item_id": found.id if is_item else None}
        rows = [row._mapping for row in self._connection.execute(_VALUES, ids)]
        name = f"{found.shop}/{found.ref}"
        also = f"{found.part_shop}/{found.part_ref}" if is_item else None
        title = found.name or " ".join(filter(None, (found.maker, found.number))) or found.kind
        return FoundPart(name, found.kind, is_item, title, features_of(found.kind, name, also, rows))

    def find_vehicle(self, reference: str) -> FoundVehicle:
        """The vehicle of that reference.

        Raises:
            NotFoundFault: with the nearest references.
        """
        row = self._connection.execute(_VEHICLE, self._split(reference)).one_or_none()
        if row is None:
            raise self._not_found("vehicle", reference, (Vehicle,))
        title = " ".join(filter(None, (row.maker, row.model, row.years)))
        return FoundVehicle(f"{row.shop}/{row.ref}", title)


@contextmanager
def open_catalogue(place: str | Path | None = None) -> Iterator[Book]:
    """The catalogue at a path or URL (None: FITMENT_DB, or the user's own), open for questions.

    Raises:
        NotFoundFault: a named file is not there.
        StorageFault: not a catalogue, newer than this program, or out of reach.
    """
    engine = open_engine(str(place) if place is not None else None)
    try:
        with storage_faults(engine.url.render_as_string(hide_password=False)), engine.connect() as connection:
            yield Book(connection)
    finally:
        engine.dispose()
