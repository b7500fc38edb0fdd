"""What a dialogue keeps: one thing in one sitting, each answer in a transaction of its own.

A battery that dies loses nothing that was told as kept. An answer given again takes the earlier one of the same sitting
out of force, with the reason on record.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import sqlalchemy as sa
from sqlalchemy.engine import Engine

from fitment.catalogue.dictionary import Dimension, PartKind
from fitment.catalogue.dictionary.lines import line_name
from fitment.catalogue.entering import Measured, SittingWords, enter, put_sitting
from fitment.catalogue.records import Pen, writing
from fitment.catalogue.schema import Part, Reading, Sitting, Source, Vehicle, Withdrawal

Key = tuple[str, str]


@dataclass
class Entry:
    """A part or vehicle that is being entered.

    Attributes:
        kind: its kind.
        reference: as the user writes it.
        fields: name, maker and the like, where given.
        system: unit system of bare numbers.
        dry_run: do everything, keep nothing.
        answered: (feature, dimension) -> what was understood, of this sitting, earlier answers included.
        fresh: how many answers were kept in this dialogue.
    """

    engine: Engine
    kind: PartKind
    reference: str
    fields: dict[str, str | None]
    system: str
    dry_run: bool
    answered: dict[Key, str] = field(default_factory=dict)
    fresh: int = 0
    _sitting: SittingWords = field(default_factory=lambda: SittingWords(""))

    def sitting_there(self, name: str) -> SittingWords | None:
        """What is on record of a sitting of that name; None where there is none.

        Raises:
            DataFault: not a reference.
        """
        with writing(self.engine, dry_run=True) as pen:
            found = pen.find(Sitting, name)
            if not isinstance(found, Sitting):
                return None
            return SittingWords(name, datum=found.datum, axes=found.axes, ride_height=found.ride_height)

    def begin(self, sitting: SittingWords) -> str:
        """Adds the thing and the sitting where they are not there yet, and learns what was answered before.

        Returns the line that tells the sitting.

        Raises:
            DataFault: one of them is there and says something else.
        """
        self._sitting = sitting
        with writing(self.engine, self.dry_run) as pen:
            thing, where = self._put(pen)
            for reading in _in_force(pen, thing, where):
                entered = f"{reading.entered} {reading.bare_unit}".rstrip()
                key = (reading.feature, reading.dimension)
                self.answered[key] = f"{self.answered[key]}; {entered}" if key in self.answered else entered
            source = pen.session.get_one(Source, where.source_id).kind
            told = (f"sitting {where.reference}", where.who, where.dated, source, where.tool, where.axes)
            return ", ".join(filter(None, told))

    def keep(self, feature: str, dimension: Dimension, text: str) -> str:
        """Keeps an answer and returns it as understood, with unit, doubt and tool.

        Raises:
            DataFault: what is wrong with it; nothing was kept.
        """
        with writing(self.engine, self.dry_run) as pen:
            thing, sitting = self._put(pen)
            old = [
                reading
                for reading in _in_force(pen, thing, sitting)
                if (reading.feature, reading.dimension) == (feature, dimension.dimension)
            ]
            entered = enter(pen, thing, feature, dimension, text, sitting, "", self.system, again=True)
            for reading in old:
                pen.withdraw(reading, "answered again in the same sitting", sitting.who, entered[0].uid)
        told = "; ".join(one.understood for one in entered)
        self.answered[(feature, dimension.dimension)] = told
        self.fresh += 1
        return f"{line_name(feature, dimension.dimension)} = {told}"

    def _put(self, pen: Pen) -> tuple[Measured, Sitting]:
        if self.kind.kind == "vehicle":
            vehicle: Vehicle = pen.put(Vehicle, self.reference, **self.fields)
            return vehicle, put_sitting(pen, self._sitting, vehicle)
        part: Part = pen.put(Part, self.reference, kind=self.kind.kind, **self.fields)
        return part, put_sitting(pen, self._sitting)


def _in_force(pen: Pen, thing: Measured, sitting: Sitting) -> list[Reading]:
    """Readings of the thing in the sitting that were not withdrawn, in the order of their taking in."""
    column = Reading.vehicle_id if isinstance(thing, Vehicle) else Reading.part_id
    query = (
        sa.select(Reading)
        .outerjoin(Withdrawal, Withdrawal.reading_id == Reading.id)
        .where(column == thing.id, Reading.sitting_id == sitting.id, Withdrawal.id.is_(None))
        .order_by(Reading.id)
    )
    return list(pen.session.execute(query).scalars())
