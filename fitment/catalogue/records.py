"""Writing to the catalogue: readings by content, in one transaction around all that is added.

A reading's uid follows from its content (whose, what, the text, the sitting, which repeat), so that the same sheet
taken in twice, here or elsewhere, is the same readings.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Engine
from sqlalchemy.orm import Session

from fitment.catalogue import digest
from fitment.catalogue.beside import Beside
from fitment.catalogue.cells import MATE, Cell, cell_of, listed, named_uid
from fitment.catalogue.database import WRITES, storage_faults
from fitment.catalogue.dates import today
from fitment.catalogue.derive import Sittings, derive_parts, derive_vehicles
from fitment.catalogue.dictionary import find_feature, part_kinds
from fitment.catalogue.first_rows import FirstRows
from fitment.catalogue.new_parts import NewPart
from fitment.catalogue.plain_rows import insert_rows
from fitment.catalogue.register import Register, Subject, Tell, quiet, sort_of, subject_column
from fitment.catalogue.schema import CatalogueRow, Item, Part, Reading, Sitting, Source, Vehicle, Withdrawal, table_of
from fitment.catalogue.staged import SAID_COLUMNS, Stage
from fitment.catalogue.values import StoredValue
from fitment.errors import DataFault, NotFoundFault

#: columns of `reading` as rows wait to be written, after the one that names their subject
_READING_COLUMNS = ("sitting_id", "uid", *SAID_COLUMNS[1:], "note", "occurrence")
#: readings that wait before they are written
_MOST_WAITING = 20_000


class Pen(Register):
    """Adds records inside one transaction; what it touched is derived anew at the end."""

    def __init__(self, session: Session, tell: Tell = quiet, listing: bool = False):
        super().__init__(session, tell, listing)
        self._touched: dict[str, set[int]] = {"part": set(), "vehicle": set()}
        self._seen: Counter[str] = Counter()
        self._uids: dict[tuple[str, int], set[str]] = {}
        self._first: dict[tuple[str, int], set[str]] = {}
        self._waiting: list[tuple[str, list[tuple[Any, ...]]]] = []
        self._many_waiting = 0
        self._first_rows = FirstRows(Sittings(session.connection()).evidence)
        self._stage = Stage()
        self._beside = Beside(session.connection())
        self._digest = 0

    def with_known_mate(self, value: StoredValue) -> StoredValue:
        """A trial with its mate by full reference.

        Raises:
            NotFoundFault, DataFault: there is no such part or item, or it has no such feature.
        """
        match = MATE.search(value.word or "")
        if match is None:
            return value
        thing = self.find(Item, match["ref"]) or self.need(Part, match["ref"])
        part = self.session.get_one(Part, thing.part_id) if isinstance(thing, Item) else thing
        feature = find_feature(part_kinds()[part.kind], match["feature"])
        word = (
            f"{(value.word or '')[: match.start()]}with {thing.reference} {feature}{(value.word or '')[match.end() :]}"
        )
        return replace(value, word=word)

    def known_mate(self, word: str) -> bool:
        """Whether the part or item that a trial names is on record, by its full reference; true where it names none."""
        match = MATE.search(word)
        if match is None:
            return True
        ref = match["ref"]
        return "/" in ref and (self.find(Item, ref) is not None or self.find(Part, ref) is not None)

    def read(
        self,
        thing: Vehicle | Part | Item,
        feature: str,
        dimension: str,
        value: StoredValue,
        sitting: Sitting,
        condition: str = "",
        again: bool = False,
    ) -> str:
        """Adds one reading and returns its uid.

        Args:
            again: a repeat even if just that reading is on record (typed at a terminal, not taken from a sheet).
        """
        value = self.with_known_mate(value) if value.number is None else value
        return self._keep(thing, [cell_of(feature, dimension, value)], sitting, condition, again)

    def read_row(self, thing: Subject, cells: Sequence[Cell], sitting: Sitting, condition: str = "") -> None:
        """Adds the readings of a row, a trial with its mate by full reference (`with_known_mate`)."""
        if not (isinstance(thing, NewPart) and self._keep_first(thing, cells, sitting, condition)):
            self._keep(thing, cells, sitting, condition, again=False)

    def _keep_first(self, part: NewPart, cells: Sequence[Cell], sitting: Sitting, condition: str) -> bool:
        """Adds the first readings of a new part, and makes its derived rows; False where they are not so simple."""
        key = (subject_column(part), part.id)
        if key in self._uids or not cells:
            return False
        head, foot = _around(part, sitting, condition)
        uids = [named_uid(f"{head}{cell.name}{foot}0") for cell in cells]
        known = set(uids)
        if len(known) < len(uids):
            return False
        self._uids[key] = self._first[key] = known
        self._digest += sum([digest.term("reading", uid) for uid in uids])
        if self.listing:
            where = sitting.reference
            self.lines += [f"+ reading {part.reference} {cell.told} ({where})" for cell in cells]
        if not self._first_rows.take(part, cells, uids, condition, sitting.id):
            self.touch(part)
        self._counted(len(uids))
        return True

    def _keep(self, thing: Subject, cells: Sequence[Cell], sitting: Sitting, condition: str, again: bool) -> str:
        """Adds those readings that are not on record, or, `again`, all; returns the uid of the last."""
        whose, where = thing.reference, sitting.reference
        head, foot = _around(thing, sitting, condition)
        known, seen, uid, new = self._uids_of(thing), self._seen, "", 0
        seen.update(self._first.pop((subject_column(thing), thing.id), ()))
        waiting, added = self._rows_of(thing), 0
        keys = (thing.id, sitting.id)
        for cell in cells:
            name = f"{head}{cell.name}{foot}"
            uid = first = named_uid(f"{name}0")
            occurrence = seen.get(first, 0)
            seen[first] = occurrence + 1
            if occurrence:
                uid = named_uid(f"{name}{occurrence}")
            while again and uid in known:
                occurrence += 1
                uid = named_uid(f"{name}{occurrence}")
            if uid in known:
                continue
            known.add(uid)
            new += 1
            added += digest.term("reading", uid)
            waiting.append((*keys, uid, *cell.columns, condition, "", occurrence))
            if self.listing:
                self.lines.append(f"+ reading {whose} {cell.told} ({where})")
        self._digest += added
        if new:
            self.touch(thing)
        self._counted(new)
        return uid

    def _counted(self, new: int) -> None:
        if new:
            self.added["reading"] += new
        self._many_waiting += new
        if self._many_waiting >= _MOST_WAITING:
            self._beside.do(self._handed_over())

    def keep_reading(self, thing: Vehicle | Part | Item, sitting: Sitting, row: dict[str, Any]) -> None:
        """Adds a reading that is not on record yet.

        Args:
            row: its uid and all that it says, by column.
        """
        uid = row["uid"]
        self._uids_of(thing).add(uid)
        self._digest += digest.term("reading", uid)
        said = row | {"sitting_id": sitting.id}
        self._rows_of(thing).append((thing.id, *(said.get(name) for name in _READING_COLUMNS)))
        entered = f"{row['entered']} {row['bare_unit']}".rstrip()
        what = f"{thing.reference} {row['feature']} {row['dimension']}"
        self.line(f"+ reading {what} = {entered} ({sitting.reference})")
        self.touch(thing)
        self._counted(1)

    def _uids_of(self, thing: Subject) -> set[str]:
        """Uids of the readings of a thing, those that wait to be written too; asked once per thing."""
        column = subject_column(thing)
        key = (column, thing.id)
        if key not in self._uids and (isinstance(thing, NewPart) or thing in self.new):
            self._uids[key] = set()
        if key not in self._uids:
            rows = self.session.execute(sa.select(Reading.uid).where(getattr(Reading, column) == thing.id))
            self._uids[key] = set(rows.scalars())
        return self._uids[key]

    def _rows_of(self, thing: Subject) -> list[tuple[Any, ...]]:
        """The rows that wait, to which those of a thing are added; they are written in the order in which they came."""
        column = subject_column(thing)
        if not self._waiting or self._waiting[-1][0] != column:
            self._waiting.append((column, []))
        return self._waiting[-1][1]

    def write_readings(self) -> None:
        """Writes the readings that wait, and what was derived from them."""
        self._beside.wait()
        self._handed_over()()

    def _handed_over(self) -> Callable[[], None]:
        """The writing of what waits now; whoever does it later does it before anything else is written."""
        connection = self.session.connection()
        batch, waiting = self._first_rows.handed_over(), self._waiting
        self._waiting, self._many_waiting = [], 0

        def write() -> None:
            self._stage.write(connection, batch)  # of a thing that is read again these are the first
            for column, rows in waiting:
                insert_rows(connection, table_of(Reading), (column, *_READING_COLUMNS), rows)

        return write

    def decided(self, uid: str) -> None:
        """Counts a decision that was added."""
        self._digest += digest.term("decision", uid)
        self.added["decision"] += 1

    def filled_in(self, record: Any) -> None:
        """Counts a record of which something was filled in."""
        super().filled_in(record)
        self._touch_read_in(record)

    def joined(self, uid: str) -> None:
        """Counts somebody's word on whether two parts are one design."""
        self._digest += digest.term("join", uid)
        self.added["join"] += 1

    def touch(self, thing: Subject) -> None:
        """Marks a thing whose derived values must be made anew."""
        if isinstance(thing, Item):
            self._touched["part"].add(thing.part_id)
        else:
            self._touched["vehicle" if isinstance(thing, Vehicle) else "part"].add(thing.id)

    def _touch_read_in(self, record: Any) -> None:
        """Marks what was read in a sitting, or from a source, that now says more (its axes, its title)."""
        if not isinstance(record, Sitting | Source):
            return
        self.write_readings()
        read = sa.select(Reading.vehicle_id, Reading.part_id, Item.part_id.label("of")).distinct()
        read = read.join(Sitting, Reading.sitting_id == Sitting.id).outerjoin(Item, Reading.item_id == Item.id)
        wanted = Sitting.id == record.id if isinstance(record, Sitting) else Sitting.source_id == record.id
        for row in self.session.execute(read.where(wanted)):
            key = "part" if row.vehicle_id is None else "vehicle"
            self._touched[key].add(row.vehicle_id or row.part_id or row.of)

    def reading(self, uid: str) -> Reading:
        """The reading whose uid begins so.

        Raises:
            NotFoundFault: none does, or several do.
        """
        self.write_readings()
        found = (
            self.session.execute(sa.select(Reading).where(Reading.uid.startswith(uid, autoescape=True)).limit(2))
            .scalars()
            .all()
        )
        if len(found) != 1 or len(uid) < 4:
            several = f"several readings begin with {uid}" if found else f"no reading {uid}"
            raise NotFoundFault(several, mending="fitment reading list shows them", code="reading-01")
        return found[0]

    def withdrawn(self) -> set[str]:
        """Uids of withdrawn readings."""
        return set(
            self.session.execute(sa.select(Reading.uid).join(Withdrawal, Withdrawal.reading_id == Reading.id)).scalars()
        )

    def withdraw(
        self, reading: Reading, reason: str, who: str, instead_uid: str | None = None, dated: str | None = None
    ) -> None:
        """Withdraws a reading, with a reason.

        Raises:
            DataFault: it is withdrawn already.
        """
        if self.session.execute(sa.select(Withdrawal.id).where(Withdrawal.reading_id == reading.id)).first():
            raise DataFault(
                f"reading {reading.uid[:8]} is withdrawn already", mending="nothing to do", code="reading-02"
            )
        self.session.add(
            Withdrawal(reading_id=reading.id, reason=reason, who=who, dated=dated or today(), instead_uid=instead_uid)
        )
        self._digest -= digest.term("reading", reading.uid)
        self.added["withdrawal"] += 1
        for table, key in ((Vehicle, reading.vehicle_id), (Part, reading.part_id), (Item, reading.item_id)):
            if key is not None:
                thing = self.session.get(table, key)
                if isinstance(thing, Vehicle | Part | Item):
                    self.touch(thing)

    def finish(self) -> None:
        """Makes derived data anew for what was touched, and raises the revision if anything was added or filled in."""
        self.settle()
        self.write_readings()
        connection = self.session.connection()
        self._stage.drop(connection)
        derive_parts(connection, self._touched["part"], lambda done, total: self.tell("values", done, total))
        derive_vehicles(connection, self._touched["vehicle"])
        if sum(self.added.values()) or self.said_more:
            # the row is locked by its revision, so that two who write at once both count in the digest
            connection.execute(sa.update(CatalogueRow).values(revision=CatalogueRow.revision + 1))
            digest.store(connection, digest.moved(digest.stored(connection), self._digest))


def _around(thing: Subject, sitting: Sitting, condition: str) -> tuple[str, str]:
    """What stands before and behind a cell's part of the name of which a reading's uid is made."""
    whose, where = thing.reference, sitting.reference
    return f"[{listed(sort_of(thing), whose)}, ", f", {listed(condition, where)}]#"


@contextmanager
def writing(engine: Engine, dry_run: bool = False, tell: Tell = quiet) -> Iterator[Pen]:
    """One transaction: all of it lands, or none; `dry_run` takes the same road and rolls back."""
    writer = engine.execution_options(**{WRITES: True})
    with storage_faults(str(engine.url.render_as_string(hide_password=False))), Session(writer) as session:
        # one writer at a time: what is derived rests on all readings, also those that another is about to add
        session.execute(sa.select(CatalogueRow.id).with_for_update())
        pen = Pen(session, tell, listing=dry_run)
        yield pen
        pen.finish()
        if dry_run:
            session.rollback()
        else:
            session.commit()
