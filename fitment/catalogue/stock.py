"""Every part and item of some kinds, as a search over donors sees them: few statements, whatever their number."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from fitment.catalogue.book import _cautions, features_of
from fitment.catalogue.database import open_engine, storage_faults
from fitment.catalogue.fitted import Shelf
from fitment.catalogue.found import FoundPart
from fitment.catalogue.tables import ADOPTED, FITTED, ITEM, PART, STATEMENT, VEHICLE

#: ids that one statement takes: every database allows so many parameters
_BATCH = 400

_VEHICLES = sa.select(FITTED.c.part_id, FITTED.c.position, VEHICLE.c.shop, VEHICLE.c.ref).join(
    VEHICLE, FITTED.c.vehicle_id == VEHICLE.c.id
)


@dataclass(frozen=True)
class Stocked:
    """A part or an item that may take a role.

    Attributes:
        part: as a kit finds it.
        design: the part that it is one of; its own name for a part.
        own_readings: whether readings were taken of it itself; always of a part.
        price: what it was priced at, as stated last; "" for a part and where nothing is stated.
        fitted: the vehicles that its part was fitted to, each with its position there ("" where none was recorded).
    """

    part: FoundPart
    design: str
    own_readings: bool
    price: str
    fitted: tuple[tuple[str, str], ...]


class Stock(Shelf):
    """The book that also lists all that it has of some kinds."""

    def of_kinds(self, kinds: Collection[str]) -> tuple[Stocked, ...]:
        """Every part of these kinds and every item of them, by name."""
        parts = {row.id: row for row in self._connection.execute(sa.select(PART).where(PART.c.kind.in_(kinds)))}
        items = [
            row
            for ids in _batches(parts)
            for row in self._connection.execute(sa.select(ITEM).where(ITEM.c.part_id.in_(ids)))
        ]
        of_part = self._adopted(ADOPTED.c.part_id, parts)
        of_item = self._adopted(ADOPTED.c.item_id, [row.id for row in items])
        stated = self._all_stated([row.id for row in items])
        fitted = self._fitted(parts)
        found = [self._stocked(row, row, of_part.get(row.id, []), {}, fitted, True) for row in parts.values()]
        for row in items:
            part, own = parts[row.part_id], of_item.get(row.id, [])
            rows = [*of_part.get(part.id, []), *own]
            found.append(self._stocked(row, part, rows, stated.get(row.id, {}), fitted, bool(own)))
        return tuple(sorted(found, key=lambda one: one.part.name))

    def _stocked(
        self,
        row: Any,
        part: Any,
        rows: list[Any],
        stated: Mapping[str, str],
        fitted: Mapping[int, tuple[tuple[str, str], ...]],
        own_readings: bool,
    ) -> Stocked:
        name, design, is_item = f"{row.shop}/{row.ref}", f"{part.shop}/{part.ref}", row is not part
        title = part.name or " ".join(filter(None, (part.maker, part.number))) or part.kind
        datums, open_points = self._datums(part.kind, name, rows)
        features = features_of(part.kind, name, is_item, rows)
        cautions = (*_cautions(name, stated), *open_points)
        made = FoundPart(name, part.kind, is_item, title, features, cautions, datums, dict(stated))
        return Stocked(made, design, own_readings, stated.get("price", ""), fitted.get(part.id, ()))

    def _adopted(self, column: Any, ids: Collection[int]) -> dict[int, list[Any]]:
        found: dict[int, list[Any]] = {}
        for some in _batches(ids):
            for row in self._connection.execute(sa.select(ADOPTED).where(column.in_(some))):
                found.setdefault(row._mapping[column.name], []).append(row._mapping)
        return found

    def _all_stated(self, ids: Collection[int]) -> dict[int, dict[str, str]]:
        """The latest statements by item and field."""
        found: dict[int, dict[str, str]] = {}
        for some in _batches(ids):
            said = sa.select(STATEMENT).where(STATEMENT.c.item_id.in_(some)).order_by(STATEMENT.c.id)
            for row in self._connection.execute(said):
                found.setdefault(row.item_id, {})[row.field] = row.text
        return found

    def _fitted(self, ids: Collection[int]) -> dict[int, tuple[tuple[str, str], ...]]:
        found: dict[int, list[tuple[str, str]]] = {}
        for some in _batches(ids):
            for row in self._connection.execute(_VEHICLES.where(FITTED.c.part_id.in_(some))):
                found.setdefault(row.part_id, []).append((f"{row.shop}/{row.ref}", row.position))
        return {part: tuple(sorted(where)) for part, where in found.items()}


def _batches(ids: Collection[int]) -> Iterator[list[int]]:
    rest = iter(sorted(ids))
    while some := list(islice(rest, _BATCH)):
        yield some


@contextmanager
def open_stock(place: str | Path | None = None) -> Iterator[Stock]:
    """The catalogue, open for a search; place and faults as for `open_catalogue`."""
    engine = open_engine(str(place) if place is not None else None)
    try:
        with storage_faults(engine.url.render_as_string(hide_password=False)), engine.connect() as connection:
            yield Stock(connection)
    finally:
        engine.dispose()
