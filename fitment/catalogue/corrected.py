"""Corrections: a reading withdrawn or set aside, what holds instead, and the kept reports and builds that used it."""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session

from fitment.catalogue.database import open_engine
from fitment.catalogue.decisions import Decision, standing
from fitment.catalogue.derive import decisions_of, evidence_of
from fitment.catalogue.designs import Designs
from fitment.catalogue.dictionary import find_dimension
from fitment.catalogue.entering import Measured, enter, kind_of
from fitment.catalogue.kept import KeptText, kept_texts
from fitment.catalogue.listing import ReadingLine, readings
from fitment.catalogue.records import Pen, writing
from fitment.catalogue.register import subject_column
from fitment.catalogue.schema import (
    Build,
    BuildItem,
    Item,
    Part,
    Reading,
    ReportReading,
    Sitting,
    Vehicle,
    Withdrawal,
)
from fitment.errors import DataFault
from fitment.frozen import dataclass


@dataclass(frozen=True)
class Instead:
    """What takes the place of a reading withdrawn: one on record, or a new value of the same dimension.

    Attributes:
        reading: the first letters of its id, or None.
        value: the value as people write it, or None.
        sitting: of the new value; None for that of the reading withdrawn (a figure copied wrongly).
        system: "mm" or "inch" for a bare number; None refuses it.
    """

    reading: str | None = None
    value: str | None = None
    sitting: str | None = None
    system: str | None = None


@dataclass(frozen=True)
class Withdrawn:
    """A withdrawal as it was done.

    Attributes:
        uid: of the reading withdrawn.
        instead: uid of what takes its place, or None.
        lines: for the screen.
        reports, builds: how many kept reports used it, and how many builds it is of.
    """

    uid: str
    instead: str | None
    lines: tuple[str, ...]
    reports: int
    builds: int


@dataclass(frozen=True)
class Correction:
    """A reading and what became of it.

    Attributes:
        reading: the reading.
        reason, who, dated: of its withdrawal, or of the decision that sets it aside; "" while it is in force.
        instead: the readings that hold instead: what takes its place, or what the decision takes.
        decided: the dimension of the decision that sets it aside; "" where none does.
        things: what it speaks for: a part and its items, one item, or a vehicle.
        builds: builds that it is of, by their items or vehicle, whether or not a report of theirs used it.
        reports: kept reports that used it.
    """

    reading: ReadingLine
    reason: str
    who: str
    dated: str
    instead: tuple[ReadingLine, ...]
    decided: str
    things: tuple[str, ...]
    builds: tuple[str, ...]
    reports: tuple[KeptText, ...]

    @property
    def corrected(self) -> bool:
        """Whether the reading is out of force: withdrawn, or set aside by a decision that stands."""
        return bool(self.reading.withdrawn or self.decided)


def withdraw(
    place: str | None, uid: str, reason: str, who: str, instead: Instead | None = None, dry_run: bool = False
) -> Withdrawn:
    """Withdraws a reading, with a reason; another may take its place.

    Raises:
        NotFoundFault, DataFault: no such reading or sitting; withdrawn already; the value cannot be read.
    """
    instead = instead or Instead()
    engine = open_engine(place)
    try:
        with writing(engine, dry_run) as pen:
            found = pen.reading(uid)
            lines = [f"withdrew {found.uid[:8]}: {found.feature} {found.dimension} {found.entered}"]
            other = None
            if instead.value is not None:
                other, line = _new_value(pen, found, instead.value, instead)
                lines.append(f"instead {line}")
            elif instead.reading is not None:
                one = _on_record(pen, found, instead.reading)
                other = one.uid
                lines.append(f"instead {other[:8]}  {one.feature} {one.dimension} {one.entered}")
            pen.withdraw(found, reason, who, other)
            told = Withdrawn(found.uid, other, tuple(lines), *affected_by(pen.session.connection(), found))
    finally:
        engine.dispose()
    return told


def _on_record(pen: Pen, found: Reading, uid: str) -> Reading:
    """The reading on record that takes another's place.

    Raises:
        DataFault: it is the same, of another dimension, or withdrawn itself.
    """
    other = pen.reading(uid)
    if other.uid == found.uid or other.uid in pen.withdrawn():
        what = "the reading itself" if other.uid == found.uid else "withdrawn too"
        raise DataFault(f"reading {other.uid[:8]} is {what}", mending="name one that is in force", code="reading-04")
    if other.dimension != found.dimension:
        raise DataFault(
            f"reading {other.uid[:8]} is of {other.feature} {other.dimension}, not of {found.dimension}",
            mending="name a reading of the same dimension",
            code="reading-05",
        )
    return other


def _subject(pen: Pen, found: Reading) -> Measured:
    if found.vehicle_id is not None:
        return pen.session.get_one(Vehicle, found.vehicle_id)
    if found.part_id is not None:
        return pen.session.get_one(Part, found.part_id)
    return pen.session.get_one(Item, found.item_id)


def _new_value(pen: Pen, found: Reading, text: str, how: Instead) -> tuple[str, str]:
    """Enters the new value; its uid, and how it was understood."""
    thing = _subject(pen, found)
    sitting: Sitting = pen.need(Sitting, how.sitting) if how.sitting else pen.session.get_one(Sitting, found.sitting_id)
    dimension = find_dimension(kind_of(pen, thing), found.feature, found.dimension)
    entered = enter(pen, thing, found.feature, dimension, text, sitting, found.condition, how.system, again=True)
    if len(entered) != 1:
        raise DataFault(
            f'"{text}" is {len(entered)} values',
            mending="one reading takes the place of one; add the others with fitment reading add",
            code="reading-06",
        )
    return entered[0].uid, entered[0].line


def correction(connection: Connection, uid: str) -> Correction:
    """The reading whose id begins so, what became of it, and the kept reports and builds that used it.

    Raises:
        NotFoundFault: no reading begins so, or several do.
    """
    with Session(connection) as session:
        pen = Pen(session)
        found = pen.reading(uid)
        thing = _subject(pen, found)
        row = session.execute(sa.select(Withdrawal).where(Withdrawal.reading_id == found.id)).scalar_one_or_none()
        instead = [] if row is None or row.instead_uid is None else [row.instead_uid]
        decision = _set_aside_by(connection, thing, found) if row is None else None
        if decision is not None:
            instead = list(decision.taken)
        told = row if row is not None else decision
        things = [thing.reference]
        if isinstance(thing, Part):
            items = session.execute(sa.select(Item).where(Item.part_id == thing.id).order_by(Item.shop, Item.ref))
            things += [item.reference for item in items.scalars()]
        ids = _reports(connection, found)
        return Correction(
            reading=_line(connection, found.uid, thing.reference),
            reason=told.reason if told else "",
            who=told.who if told else "",
            dated=told.dated if told else "",
            instead=tuple(
                _line(connection, other.uid, _subject(pen, other).reference) for other in map(pen.reading, instead)
            ),
            decided=decision.dimension if decision else "",
            things=tuple(things),
            builds=tuple(_builds(connection, found)),
            reports=tuple(kept_texts(connection, ids)) if ids else (),
        )


def _set_aside_by(connection: Connection, thing: Measured, found: Reading) -> Decision | None:
    """The decision that sets a reading aside and stands; None where none does."""
    column = subject_column(thing)
    uids = {one.uid for one in evidence_of(connection, column, thing.id)}
    decided = standing(decisions_of(connection, column, thing.id), found.feature, uids)
    return next((one for _, one in sorted(decided.items()) if found.uid in one.aside), None)


def affected_by(connection: Connection, reading: Reading) -> tuple[int, int]:
    """How many kept reports used a reading, and how many builds it is of."""
    return len(_reports(connection, reading)), len(_builds(connection, reading))


def _line(connection: Connection, uid: str, reference: str) -> ReadingLine:
    return next(line for line in readings(connection, reference) if line.uid == uid)


def _reports(connection: Connection, found: Reading) -> list[int]:
    query = sa.select(ReportReading.report_id).where(ReportReading.reading_id == found.id)
    return sorted(connection.execute(query).scalars())


def _builds(connection: Connection, found: Reading) -> list[str]:
    """Builds that a reading is of: of an item that was fitted, of the part that one is of, or of the car."""
    fitted = sa.select(BuildItem.build_id).join(Item, BuildItem.item_id == Item.id)
    if found.vehicle_id is not None:
        where = Build.vehicle_id == found.vehicle_id
    elif found.item_id is not None:
        where = Build.id.in_(fitted.where(Item.id == found.item_id))
    else:
        members = Designs(connection).members(found.part_id) if found.part_id is not None else ()
        where = Build.id.in_(fitted.where(Item.part_id.in_(members)))
    query = sa.select(Build.shop, Build.ref).where(where).order_by(Build.shop, Build.ref)
    return [f"{row.shop}/{row.ref}" for row in connection.execute(query)]
