"""The catalogue as a book of parts: what a kit asks for, answered in few statements. An answer never writes."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitment.catalogue.dictionary import dimensions_of, part_kinds
from fitment.catalogue.found import CameWith, CatalogueStamp, FoundPart, FoundVehicle, NoSuchPart
from fitment.catalogue.order import STATED_ORDER
from fitment.catalogue.questions import Questions, Row, asked
from fitment.catalogue.values import parse_trial
from fitment.errors import NotFoundFault, nearest
from fitment.finding import Basis, Use
from fitment.joints.registration import Feature, Trial
from fitment.quantity.axes import datum_of
from fitment.quantity.show import show_quantity

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection

_EMPTY = "the catalogue is empty: import sheets first"
ADOPTED_VALUES = (
    "SELECT part_id, item_id, feature, dimension, number, u, word, unit, basis, gap, hearsay, assumed, shape, shared,"
    " source, shown, readings FROM adopted WHERE"
)
_CATALOGUE = "SELECT uid, shop, revision, digest FROM catalogue"
_PART = "SELECT id, shop, ref, kind, maker, number, name FROM part WHERE ref = :ref AND shop = :shop"
_ITEM = (
    "SELECT item.id, item.shop, item.ref, item.part_id, part.kind, part.maker, part.number, part.name,"
    " part.shop AS part_shop, part.ref AS part_ref"
    " FROM item JOIN part ON part.id = item.part_id WHERE item.ref = :ref AND item.shop = :shop"
)
_VEHICLE = "SELECT id, shop, ref, maker, model, years FROM vehicle WHERE ref = :ref AND shop = :shop"
_VALUES = f"{ADOPTED_VALUES} part_id = :part_id"
# not an OR: where few items were measured by themselves, that reads every value there is
_ITEM_VALUES = f"{_VALUES} UNION ALL {ADOPTED_VALUES} item_id = :item_id"
_VEHICLE_VALUES = f"{ADOPTED_VALUES} vehicle_id = :vehicle_id"
_OWN = (
    "SELECT part.shop, part.ref, item.shop AS of_item, item.ref AS item FROM fitted_to"
    " JOIN part ON part.id = fitted_to.part_id LEFT JOIN item ON item.part_id = part.id"
    " WHERE fitted_to.vehicle_id = :vehicle_id"
)
_FITTED = (
    "SELECT DISTINCT part.shop, part.ref FROM part JOIN fitted_to ON fitted_to.part_id = part.id"
    " JOIN vehicle ON vehicle.id = fitted_to.vehicle_id WHERE vehicle.shop = :shop AND vehicle.ref = :ref"
    " ORDER BY part.shop, part.ref"
)
_PRICES = (
    "SELECT item.shop, item.ref, statement.text FROM item JOIN statement ON statement.item_id = item.id"
    f" WHERE statement.field = 'price' ORDER BY {STATED_ORDER}"
)
_SITTINGS = (
    "SELECT reading.uid, sitting.shop, sitting.ref, sitting.datum, sitting.axes FROM reading"
    " JOIN sitting ON sitting.id = reading.sitting_id WHERE reading.uid IN ({}) ORDER BY sitting.shop, sitting.ref"
)
_SAID = f"SELECT field, text FROM statement WHERE item_id = :item_id ORDER BY {STATED_ORDER}"
_KNOWN_PARTS = (
    "SELECT shop, ref, kind FROM part UNION ALL"
    " SELECT item.shop, item.ref, part.kind FROM item JOIN part ON part.id = item.part_id"
)
_KNOWN_VEHICLES = "SELECT shop, ref FROM vehicle"


def use_of(row: Any, feature: str, dimension: str) -> Use:
    """The adopted value of one row as evidence; a reading's id is the first eight letters of its uid."""
    return Use(
        feature=feature,
        dimension=dimension,
        value=row["number"] if row["number"] is not None else row["word"],
        u=row["u"],
        unit=None if row["number"] is None and not row["unit"] else row["unit"],
        basis=Basis(row["basis"]),
        readings=tuple(uid[:8] for uid in _listed(row["readings"])),
        source=row["source"],
        hearsay=bool(row["hearsay"]),
        assumed=bool(row["assumed"]),
        shape=row["shape"],
        shared=tuple((key, u) for key, u in _listed(row["shared"])),
        shown=row["shown"],
    )


def _listed(text: str) -> Any:
    """A list that is kept as JSON; most are empty."""
    return json.loads(text) if text != "[]" else ()


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


def state_cautions(name: str, stated: Mapping[str, str]) -> Iterator[str]:
    """What is stated of an item's state that no dimension shows."""
    if stated.get("condition") == "worn":
        yield f"{name} is recorded as worn: have it looked at before it is used."
    if stated.get("welds") not in (None, "none"):
        yield f"{name}: welds are recorded as {stated['welds']}. Ask the certifier before anything else."


class Book:
    """Answers what a kit asks, on one connection."""

    def __init__(self, connection: Connection | sqlite3.Connection):
        self._ask = Questions(connection)
        self._parts: dict[str, FoundPart] = {}

    @cached_property
    def _own(self) -> Row:
        return self._ask.rows(_CATALOGUE)[0]

    def stamp(self) -> CatalogueStamp:
        """Id, revision and the digest of the readings in force and of what was decided between them."""
        return CatalogueStamp(self._own["uid"], self._own["revision"], self._own["digest"])

    def _split(self, reference: str) -> dict[str, str]:
        shop, slash, ref = reference.rpartition("/")
        return {"shop": shop if slash else self._own["shop"], "ref": ref}

    def _no_part(self, reference: str) -> NoSuchPart:
        rows = self._ask.rows(_KNOWN_PARTS)
        fault = NoSuchPart(f"no part {reference} in the catalogue", code="ref-02")
        fault.known = {_name(row): row["kind"] for row in rows}
        fault.mending = nearest(reference, fault.known) if rows else _EMPTY
        return fault

    def _no_vehicle(self, reference: str) -> NotFoundFault:
        known = [_name(row) for row in self._ask.rows(_KNOWN_VEHICLES)]
        return NotFoundFault(
            f"no vehicle {reference} in the catalogue",
            mending=nearest(reference, known) if known else _EMPTY,
            code="ref-02",
        )

    def find(self, reference: str) -> FoundPart:
        """The part, or the item, of that reference; looked up once.

        Raises:
            NotFoundFault: with the nearest references.
        """
        if reference not in self._parts:
            self._parts[reference] = self._find(reference)
        return self._parts[reference]

    def _find(self, reference: str) -> FoundPart:
        key = self._split(reference)
        found = self._ask.row(_PART, **key)
        is_item = found is None
        if found is None:
            found = self._ask.row(_ITEM, **key)
        if found is None:
            raise self._no_part(reference)
        part_id, item_id = (found["part_id"], found["id"]) if is_item else (found["id"], None)
        if is_item:
            rows = self._ask.rows(_ITEM_VALUES, part_id=part_id, item_id=item_id)
        else:
            rows = self._ask.rows(_VALUES, part_id=part_id)
        name, kind = _name(found), found["kind"]
        title = found["name"] or " ".join(filter(None, (found["maker"], found["number"]))) or kind
        stated = self._stated(found["id"]) if is_item else {}
        cautions = tuple(state_cautions(name, stated))
        datums, open_points = self._datums(kind, name, rows)
        features = features_of(kind, name, is_item, rows)
        design = f"{found['part_shop']}/{found['part_ref']}" if is_item else ""
        return FoundPart(name, kind, is_item, title, features, (*cautions, *open_points), datums, stated, design)

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
        uids = {f"uid_{place}": uid for place, uid in enumerate(sorted(behind))}
        sittings = self._ask.rows(_SITTINGS.format(", ".join(f":{name}" for name in uids)), **uids)
        unstated = dict.fromkeys(_name(row) for row in sittings if not row["axes"])
        cautions = [f"{name}: sitting {one} states no axes, so that its points are not used." for one in unstated]
        datums: dict[str, str] = {}
        for row in sittings:
            if row["uid"] in sound:
                datums.setdefault(datum_of(row["datum"], _name(row)), _name(row))
        if len(datums) > 1:
            listed = "; ".join(f"{datum} ({sitting})" for datum, sitting in datums.items())
            cautions.append(f"{name}: its points are taken from different datums and do not go together: {listed}.")
        return tuple(datums), tuple(cautions)

    def _stated(self, item_id: int) -> dict[str, str]:
        """The statements on an item by field; the latest holds."""
        return {row["field"]: row["text"] for row in self._ask.rows(_SAID, item_id=item_id)}

    def find_vehicle(self, reference: str) -> FoundVehicle:
        """The vehicle of that reference.

        Raises:
            NotFoundFault: with the nearest references.
        """
        row = self._ask.row(_VEHICLE, **self._split(reference))
        if row is None:
            raise self._no_vehicle(reference)
        title = " ".join(filter(None, (row["maker"], row["model"], row["years"])))
        name = _name(row)
        rows = self._ask.rows(_VEHICLE_VALUES, vehicle_id=row["id"])
        datums, cautions = self._datums("vehicle", name, rows)
        features = features_of("vehicle", name, False, rows)
        return FoundVehicle(name, title, features, cautions, datums, self._own_of(row["id"]))

    def _own_of(self, vehicle_id: int) -> frozenset[str]:
        """The parts that were fitted to a vehicle, and their items."""
        fitted = self._ask.rows(_OWN, vehicle_id=vehicle_id)
        items = {f"{row['of_item']}/{row['item']}" for row in fitted if row["item"] is not None}
        return frozenset({_name(row) for row in fitted} | items)

    def fitted_to(self, vehicle: str) -> list[str]:
        """References of the parts that were fitted to a vehicle, in order.

        Args:
            vehicle: its full reference, ``NORTH/V-1``.
        """
        return [_name(row) for row in self._ask.rows(_FITTED, **self._split(vehicle))]

    def came_with(self, vehicle: FoundVehicle) -> CameWith:
        """What a vehicle came with: the parts that were fitted to it, their items, and what items were priced at."""
        prices = {_name(row): row["text"] for row in self._ask.rows(_PRICES)}
        parts = tuple(map(self.find, self.fitted_to(vehicle.name)))
        return CameWith(parts, vehicle.own or frozenset(), prices)


def _name(row: Row) -> str:
    """The reference of a row that has a shop and a ref."""
    return f"{row['shop']}/{row['ref']}"


@contextmanager
def open_catalogue(place: str | Path | None = None) -> Iterator[Book]:
    """The catalogue at a path or URL (None: FITMENT_DB, or the user's own), open for questions.

    Raises:
        NotFoundFault: a named file is not there.
        StorageFault: not a catalogue, newer than this program, or out of reach.
    """
    with asked(str(place) if place is not None else None) as connection:
        yield Book(connection)
