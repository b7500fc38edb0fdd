"""What taking records in has in common: the pen, what lines name, and the one fault for what cannot be so."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

import sqlalchemy as sa

from fitment.catalogue.exchange.form import Line
from fitment.catalogue.exchange.rows import NAMED, Names, batches, lines
from fitment.catalogue.records import Pen
from fitment.catalogue.schema import CatalogueRow, Reading
from fitment.errors import DataFault, FitmentError

#: the code that a catalogue has whose owner gave it none
NO_CODE = "OWN"


class Union:
    """One transaction of taking records in.

    Attributes:
        pen: adds records.
        notes: what people should look at.
        strange: readings of our own sittings that were not on record here.
    """

    def __init__(self, pen: Pen):
        self.pen = pen
        self.notes: list[str] = []
        self.strange = 0
        self.own_uid: str = pen.session.execute(sa.select(CatalogueRow.uid)).scalar_one()

    @property
    def connection(self) -> Any:
        """The connection of the transaction."""
        return self.pen.session.connection()

    def on_record(self, sort: str, column: str, keys: Collection[Any]) -> dict[str, Line]:
        """Records of a sort by uid, by the values of a column."""
        self.pen.write_readings()
        return {line.uid: line for line in lines(self.connection, Names(self.connection), sort, column, keys)}

    def keys_of_readings(self, uids: Collection[str]) -> dict[str, Reading]:
        """Readings by uid, of those that are on record."""
        self.pen.write_readings()
        found: dict[str, Reading] = {}
        for some in batches(uids):
            query = sa.select(Reading).where(Reading.uid.in_(some))
            found |= {one.uid: one for one in self.pen.session.execute(query).scalars()}
        return found

    def look_ahead(self, sort: str, references: Collection[str]) -> None:
        """Looks references up at once."""
        self.pen.look_ahead(NAMED[sort], references)

    def need(self, line: Line, name: str, sort: str) -> Any:
        """The thing that a line names.

        Raises:
            DataFault: it is neither in a file nor on record.
        """
        reference = line.said[name]
        try:
            found = self.pen.find(NAMED[sort], reference)
        except FitmentError as fault:
            raise fault.at(line.place) from None
        if found is None:
            raise self.dangling(line, f"{sort} {reference}")
        if found.id is None:
            self.pen.settle()
        return found

    @staticmethod
    def dangling(line: Line, what: str) -> DataFault:
        """The fault of a line that names what there is not."""
        return DataFault(
            f"this {line.sort} names {what}, which is neither in the file nor on record here",
            place=line.place,
            mending="a file holds all that its lines name: it was damaged or made by hand; ask for it again",
            code="exchange-10",
        )

    @staticmethod
    def otherwise(line: Line, what: str) -> DataFault:
        """The fault of a line that contradicts what is on record."""
        return DataFault(
            f"{what}; nothing of the file was taken",
            place=line.place,
            mending="ask the shop that the record is of which is right; two shops must not use one code",
            code="exchange-11",
        )
