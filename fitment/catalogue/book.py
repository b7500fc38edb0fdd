"""The catalogue as a book of parts: what a kit asks for, answered in few statements.

Statements are built once; an answer never writes.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.database import open_engine, storage_faults
from fitment.catalogue.dictionary import dimensions_of, part_kinds
from fitment.catalogue.found import CatalogueStamp, FoundPart, FoundVehicle, NoSuchPart
from fitment.catalogue.values import parse_trial
from fitment.errors import NotFoundFault, nearest
from fitment.finding import Basis, Use
from fitment.joints.registration import Feature, Trial
from fitment.quantity.axes import datum_of
from fitment.quantity.show import show_quantity

_EMPTY = "the catalogue is empty: import sheets first"
# Light table clauses instead of the models: a look-up need not load the ORM. A test holds them to the models.
PART = sa.table("part", *map(sa.column, ("id", "shop", "ref", "kind", "maker", "number", "name")))
ITEM = sa.table("item", *map(sa.column, ("id", "shop", "ref", "part_id")))
VEHICLE = sa.table("vehicle", *map(sa.column, ("id", "shop", "ref", "maker", "model", "years")))
FITTED = sa.table("fitted_to", *map(sa.column, ("part_id", "vehicle_id", "position")))
CATALOGUE = sa.table("catalogue", *map(sa.column, ("uid", "shop", "revision", "digest")))
READING = sa.table("reading", *map(sa.column, ("id", "uid", "sitting_id")))
SITTING = sa.table("sitting", *map(sa.column, ("id", "shop", "ref", "datum", "axes")))
STATEMENT = sa.table("statement", *map(sa.column, ("id", "item_id", "field", "text")))
ADOPTED = sa.table(
    "adopted",
    *map(sa.column, ("vehicle_id", "part_id", "item_id", "feature", "dimension")),
    *map(sa.column, ("number", "u", "word", "unit", "basis", "gap")),
    sa.column("hearsay", sa.Boolean),
    sa.column("assumed", sa.Boolean),
    *map(sa.column, ("shape", "shared", "source", "shown", "readings")),
)

_PART = sa.select(PART).where(PART.c.ref == sa.bindparam("ref"), PART.c.shop == sa.bindparam("shop"))
_ITEM = (
    sa.select(
        ITEM,
        PART.c.kind,
        PART.c.name,
        PART.c.maker,
        PART.c.number,
    )
    .join(PART, ITEM.c.part_id == PART.c.id)
    .where(ITEM.c.ref == sa.bindparam("ref"), ITEM.c.shop == sa.bindparam("shop"))
)
_VEHICLE = sa.select(VEHICLE).where(VEHICLE.c.ref == sa.bindparam("ref"), VEHICLE.c.shop == sa.bindparam("shop"))
_VALUES = sa.select(ADOPTED).where(
    sa.or_(ADOPTED.c.part_id == sa.bindparam("part_id"), ADOPTED.c.item_id == sa.bindparam("item_id"))
)
_VEHICLE_VALUES = sa.select(ADOPTED).where(ADOPTED.c.vehicle_id == sa.bindparam("vehicle_id"))
_OWN = (
    sa.select(PART.c.shop, PART.c.ref, ITEM.c.shop.label("of_item"), ITEM.c.ref.label("item"))
    .select_from(FITTED)
    .join(PART, FITTED.c.part_id == PART.c.id)
    .outerjoin(ITEM, ITEM.c.part_id == PART.c.id)
    .where(FITTED.c.vehicle_id == sa.bindparam("vehicle_id"))
)
_SITTINGS = (
    sa.select(READING.c.uid, SITTING.c.shop, SITTING.c.ref, SITTING.c.datum, SITTING.c.axes)
    .join(SITTING, READING.c.sitting_id == SITTING.c.id)
    .where(READING.c.uid.in_(sa.bindparam("uids", expanding=True)))
    .order_by(SITTING.c.shop, SITTING.c.ref)
)
_SAID = (
    sa.select(STATEMENT.c.field, STATEMENT.c.text)
    .where(STATEMENT.c.item_id == sa.bindparam("item_id"))
    .order_by(STATEMENT.c.id)
)


def use_of(row: Any, feature: str, dimension: str) -> Use:
    """The adopted value of one row as evidence; a reading's id is the first eight letters of its uid."""
    return Use(
        feature=feature,
        dimension=dimension,
        value=row["number"] if row["number"] is not None else row["word"],
        u=row["u"],
        unit=None if row["number"] is None and not row["unit"] else row["unit"],
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


def _is_trial(row: Any) -> bool:
    return "trial" in row["dimension"] or row["dimension"].startswith(("assembled-with", "reamed-to"))


def _is_point(kind: str, row: Any) -> bool:
    dimension = dimensions_of(part_kinds()[kind].features[row["feature"]]).get(row["dimension"])
    return dimension is not None and dimension.value_kind == "point"


def _of_another(row: Any) -> bool:
    """Whether a row is a trial of the design with a mate: it says nothing of this item."""
    return row["item_id"] is None and _is_trial(row) and parse_trial(row["word"]).with_mate


def features_of(kind: str, name: str, is_item: bool, rows: list[Any]) -> dict[str, Feature]:
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
            if row["feature"] != feature or row["dimension"] in seen or (is_item and _of_another(row)):
                continue
            seen.add(row["dimension"])
            if row["gap"]:
                gaps[row["dimension"]] = row["gap"]
            elif _is_trial(row):
                trials.append(_trial(row, full))
            else:
                values[row["dimension"]] = use_of(row, full, row["dimension"])
        made[feature] = Feature(full, feature_kind, values, gaps, tuple(trials))
    return made


def _cautions(name: str, stated: Mapping[str, str]) -> Iterator[str]:
    """What is stated of an item's state that no dimension shows."""
    if stated.get("condition") == "worn":
        yield f"{name} is recorded as worn: have it looked at before it is used."
    if stated.get("welds") not in (None, "none"):
        yield f"{name}: welds are recorded as {stated['welds']}. Ask the certifier before anything else."


class Book:
    """Answers what a kit asks, on one connection."""

    def __init__(self, connection: Connection):
        self._connection = connection

    @cached_property
    def _own(self) -> Any:
        return self._connection.execute(sa.select(CATALOGUE)).one()

    def stamp(self) -> CatalogueStamp:
        """Id, revision and the digest of the readings in force and of what was decided between them."""
        return CatalogueStamp(self._own.uid, self._own.revision, self._own.digest)

    def _split(self, reference: str) -> dict[str, str]:
        shop, slash, ref = reference.rpartition("/")
        return {"shop": shop if slash else self._own.shop, "ref": ref}

    def _no_part(self, reference: str) -> NoSuchPart:
        parts = sa.select(PART.c.shop, PART.c.ref, PART.c.kind)
        items = sa.select(ITEM.c.shop, ITEM.c.ref, PART.c.kind).join(PART, PART.c.id == ITEM.c.part_id)
        rows = [row for query in (parts, items) for row in self._connection.execute(query)]
        fault = NoSuchPart(f"no part {reference} in the catalogue", code="ref-02")
        fault.known = {f"{shop}/{ref}": kind for shop, ref, kind in rows}
        fault.mending = nearest(reference, fault.known) if rows else _EMPTY
        return fault

    def _no_vehicle(self, reference: str) -> NotFoundFault:
        rows = self._connection.execute(sa.select(VEHICLE.c.shop, VEHICLE.c.ref))
        known = [f"{shop}/{ref}" for shop, ref in rows]
        return NotFoundFault(
            f"no vehicle {reference} in the catalogue",
            mending=nearest(reference, known) if known else _EMPTY,
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
            raise self._no_part(reference)
        ids = {"part_id": found.part_id if is_item else found.id, "item_id": found.id if is_item else None}
        rows = [row._mapping for row in self._connection.execute(_VALUES, ids)]
        name = f"{found.shop}/{found.ref}"
        title = found.name or " ".join(filter(None, (found.maker, found.number))) or found.kind
        stated = self._stated(found.id) if is_item else {}
        cautions = tuple(_cautions(name, stated))
        datums, open_points = self._datums(found.kind, name, rows)
        features = features_of(found.kind, name, is_item, rows)
        return FoundPart(name, found.kind, is_item, title, features, (*cautions, *open_points), datums, stated)

    def _datums(self, kind: str, name: str, rows: list[Any]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The datums that points in force are taken from, and cautions where they are several or axes are missing."""
        in_use: dict[tuple[str, str], Any] = {}
        for row in sorted(rows, key=lambda row: row["item_id"] is None):
            if _is_point(kind, row):
                in_use.setdefault((row["feature"], row["dimension"]), row)
        sound = {uid for row in in_use.values() if not row["gap"] for uid in json.loads(row["readings"])}
        behind = sound.union(*(json.loads(row["readings"]) for row in in_use.values()))
        if not behind:
            return (), ()
        sittings = self._connection.execute(_SITTINGS, {"uids": sorted(behind)}).all()
        unstated = dict.fromkeys(f"{row.shop}/{row.ref}" for row in sittings if not row.axes)
        cautions = [f"{name}: sitting {one} states no axes, so that its points are not used." for one in unstated]
        datums: dict[str, str] = {}
        for row in sittings:
            if row.uid in sound:
                sitting = f"{row.shop}/{row.ref}"
                datums.setdefault(datum_of(row.datum, sitting), sitting)
        if len(datums) > 1:
            listed = "; ".join(f"{datum} ({sitting})" for datum, sitting in datums.items())
            cautions.append(f"{name}: its points are taken from different datums and do not go together: {listed}.")
        return tuple(datums), tuple(cautions)

    def _stated(self, item_id: int) -> dict[str, str]:
        """The statements on an item by field; the latest holds."""
        return {row.field: row.text for row in self._connection.execute(_SAID, {"item_id": item_id})}

    def find_vehicle(self, reference: str) -> FoundVehicle:
        """The vehicle of that reference.

        Raises:
            NotFoundFault: with the nearest references.
        """
        row = self._connection.execute(_VEHICLE, self._split(reference)).one_or_none()
        if row is None:
            raise self._no_vehicle(reference)
        title = " ".join(filter(None, (row.maker, row.model, row.years)))
        name = f"{row.shop}/{row.ref}"
        rows = [found._mapping for found in self._connection.execute(_VEHICLE_VALUES, {"vehicle_id": row.id})]
        datums, cautions = self._datums("vehicle", name, rows)
        features = features_of("vehicle", name, False, rows)
        return FoundVehicle(name, title, features, cautions, datums, self._came_with(row.id))

    def _came_with(self, vehicle_id: int) -> frozenset[str]:
        """The parts that were fitted to a vehicle, and their items."""
        fitted = self._connection.execute(_OWN, {"vehicle_id": vehicle_id}).all()
        parts = {f"{row.shop}/{row.ref}" for row in fitted}
        return frozenset(parts | {f"{row.of_item}/{row.item}" for row in fitted if row.item is not None})


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
