"""What a vehicle came with: the parts that were fitted to it, their items, and what items were priced at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa

from fitment.catalogue.book import ITEM, STATEMENT, Book
from fitment.catalogue.database import open_engine, storage_faults
from fitment.catalogue.donors import fitted_to
from fitment.catalogue.found import CameWith, FoundVehicle

if TYPE_CHECKING:
    from fitment.catalogue.provenance import Records

_PRICES = (
    sa.select(ITEM.c.shop, ITEM.c.ref, STATEMENT.c.text)
    .join(STATEMENT, STATEMENT.c.item_id == ITEM.c.id)
    .where(STATEMENT.c.field == "price")
    .order_by(STATEMENT.c.id)
)


class Shelf(Book):
    """The book that also tells what a vehicle came with."""

    def came_with(self, vehicle: FoundVehicle) -> CameWith:
        """Its parts, their items, and prices."""
        references = fitted_to(self._connection, vehicle.name)
        prices = {f"{row.shop}/{row.ref}": row.text for row in self._connection.execute(_PRICES)}
        return CameWith(tuple(map(self.find, references)), vehicle.own or frozenset(), prices)

    def records(self, references: Iterable[str], kit: str) -> Records:
        """What is on record of these vehicles, parts and items, and of earlier reports of a kit of that name."""
        from fitment.catalogue.provenance import records

        return records(self._connection, references, kit)


@contextmanager
def open_shelf(place: str | Path | None = None) -> Iterator[Shelf]:
    """The catalogue, open for questions; place and faults as for `open_catalogue`."""
    engine = open_engine(str(place) if place is not None else None)
    try:
        with storage_faults(engine.url.render_as_string(hide_password=False)), engine.connect() as connection:
            yield Shelf(connection)
    finally:
        engine.dispose()
