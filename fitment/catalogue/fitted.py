"""The book with all that is on record besides dimensions, for documents to hand over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from fitment.catalogue.book import Book
from fitment.catalogue.database import connected

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection

    from fitment.catalogue.provenance import Records


class Shelf(Book):
    """The book that also tells what is on record of its parts."""

    def __init__(self, connection: Connection):
        super().__init__(connection)
        self._connection = connection

    def records(self, references: Iterable[str], kit: str) -> Records:
        """What is on record of these vehicles, parts and items, and of earlier reports of a kit of that name."""
        from fitment.catalogue.provenance import records

        return records(self._connection, references, kit)


@contextmanager
def open_shelf(place: str | Path | None = None) -> Iterator[Shelf]:
    """The catalogue, open for questions; place and faults as for `open_catalogue`."""
    with connected(str(place) if place is not None else None) as connection:
        yield Shelf(connection)
