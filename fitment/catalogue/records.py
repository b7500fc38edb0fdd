"""Writing to the catalogue: things by reference, readings by content; one transaction around all of it.

A reading's uid follows from its content (whose, what, the text, the sitting, which repeat), so that the same sheet
taken in twice, here or elsewhere, is the same readings.
"""

from __future__ import annotations

import datetime
import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from functools import lru_cache
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Engine
from sqlalchemy.orm import Session

from fitment.catalogue import digest
from fitment.catalogue.cells import MATE, Cell, cell_of, listed, named_uid, uid_of
from fitment.catalogue.database import WRITES, storage_faults
from fitment.catalogue.derive import Sittings, derive_parts, derive_vehicles
from fitment.catalogue.dictionary import find_feature, part_kinds
from fitment.catalogue.first_rows import FirstRows
from fitment.catalogue.new_parts import NewPart, NewParts
from fitment.catalogue.plain_rows import insert_rows
from fitment.catalogue.schema import (
    CatalogueRow,
    FittedTo,
    Item,
    Part,
    Reading,
    Sitting,
    Source,
    Statement,
    Vehicle,
    Withdrawal,
    table_of,
)
from fitment.catalogue.turns import next_turn
from fitment.catalogue.values import StoredValue
from fitment.errors import DataFault, NotFoundFault, nearest

Thing = Vehicle | Part | Item | Source | Sitting
#: what is read
Subject = Vehicle | Part | Item | NewPart
#: vehicles, parts and items share one space of references
_ONE_SPACE: tuple[type[Any], ...] = (Vehicle, Part, Item)
#: signs that a reference may have beside letters and digits
_AS_LETTERS = str.maketrans("-_.", "aaa")
#: columns of `reading` as rows wait to be written, after the one that names their subject
_READING_COLUMNS: tuple[str, ...] = (
    "sitting_id",
    "uid",
    "feature",
    "dimension",
    "entered",
    "bare_unit",
    "number",
    "u",
    "word",
    "tool",
)
_READING_COLUMNS += ("condition", "note", "occurrence")
#: readings that wait before they are written
_MOST_WAITING = 20_000
#: references that one statement asks for
_AT_ONCE = 800


#: is told what is being done, how much of it is done and how much there is
Tell = Callable[[str, int, int], None]


def quiet(_what: str, _done: int, _total: int) -> None:
    """Tells nobody how far it is."""


def today() -> str:
    """The date, ISO 8601; SOURCE_DATE_EPOCH fixes it."""
    fixed = os.environ.get("SOURCE_DATE_EPOCH")
    now = datetime.datetime.fromtimestamp(int(fixed), datetime.UTC) if fixed else datetime.datetime.now(datetime.UTC)
    return now.date().isoformat()


def not_to_come(dated: str) -> str:
    """The date of a sitting, which is over: at most tomorrow's, since it is later elsewhere; other texts as they are.

    Where SOURCE_DATE_EPOCH fixes the date it need not be the true one, so any date will do.

    Raises:
        DataFault: it is yet to come.
    """
    now = datetime.datetime.now(datetime.UTC).date()
    try:
        to_come = datetime.date.fromisoformat(dated) > now + datetime.timedelta(days=1)
    except ValueError:
        return dated
    if to_come and not os.environ.get("SOURCE_DATE_EPOCH"):
        raise DataFault(
            f"the sitting is dated {dated}, which is yet to come: today is {now.isoformat()}",
            mending="write the day on which it was measured, year-month-day; or set this computer's clock",
            code="sitting-04",
        )
    return dated


@lru_cache(maxsize=4096)
def _split(reference: str, own: str) -> tuple[str, str]:
    shop, slash, ref = reference.rpartition("/")
    shop = shop if slash else own
    if not ref or not shop or not (shop + ref).translate(_AS_LETTERS).isalnum() or len(ref) > 64 or len(shop) > 16:
        raise DataFault(
            f'"{reference[:80]}" is not a reference',
            mending="write SHOP/REF with letters, digits, - _ . only",
            code="ref-01",
        )
    return shop, ref


class Pen:
    """Adds records inside one transaction; what it touched is derived anew at the end.

    Attributes:
        added: how many records of each sort were added.
        lines: what was added, a line for each thing and reading; only where they are listed, as in a dry run.
        tell: is told how far it is.
    """

    def __init__(self, session: Session, tell: Tell = quiet, listing: bool = False):
        self.session = session
        self.tell = tell
        self.shop = session.execute(sa.select(CatalogueRow.shop)).scalar_one()
        self.added: Counter[str] = Counter()
        self.lines: list[str] = []
        self._listing = listing
        self._touched: dict[str, set[int]] = {"part": set(), "vehicle": set()}
        self._filled_in = False
        self._seen: Counter[str] = Counter()
        self._uids: dict[tuple[str, int], set[str]] = {}
        self._waiting: list[tuple[str, list[tuple[Any, ...]]]] = []
        self._many_waiting = 0
        self._cache: dict[tuple[str, str], Any] = {}
        self._new_parts = NewParts()
        self._first_rows = FirstRows(Sittings(session.connection()).evidence)
        self._digest = 0
        self._absent: set[tuple[str, str]] = set()
        self._new: set[Any] = set()
        self._fitted: dict[tuple[Part | NewPart, Vehicle, str], None] = {}

    def split(self, reference: str) -> tuple[str, str]:
        """(shop, ref) of a reference; without a shop it is our own.

        Raises:
            DataFault: not a reference.
        """
        return _split(reference, self.shop)

    def find(self, table: type[Any], reference: str) -> Any | None:
        """The record of that reference, or None."""
        shop, ref = self.split(reference)
        key = (table.__name__, f"{shop}/{ref}")
        if key in self._absent:
            return None
        if key not in self._cache:
            if self._new_parts.waiting:
                self.settle()
            found = self.session.execute(
                sa.select(table).where(table.shop == shop, table.ref == ref)
            ).scalar_one_or_none()
            if found is None:
                return None
            self._cache[key] = found
        return self._cache[key]

    def look_ahead(self, table: type[Any], references: Iterable[str]) -> None:
        """Looks all these references up at once, so that nothing need be asked for one of them.

        Args:
            table: what they are of; where it is a vehicle, part or item, whether they are of another is looked up too.
            references: as written; one that is no reference is passed over.
        """
        if self._new_parts.waiting:
            self.settle()
        wanted: set[str] = set()
        for reference in references:
            try:
                wanted.add("/".join(self.split(reference)))
            except DataFault:
                continue
        for one in _ONE_SPACE if table in _ONE_SPACE else (table,):
            open_ = sorted(name for name in wanted if (one.__name__, name) not in self._cache)
            if open_ and self.session.execute(sa.select(one.id).limit(1)).first() is None:
                self._absent.update((one.__name__, name) for name in open_)
                continue
            for start in range(0, len(open_), _AT_ONCE):
                names = open_[start : start + _AT_ONCE]
                refs = {name.partition("/")[2] for name in names}
                for found in self.session.execute(sa.select(one).where(one.ref.in_(refs))).scalars():
                    self._cache[(one.__name__, found.reference)] = found
                self._absent.update((one.__name__, name) for name in names if (one.__name__, name) not in self._cache)

    def need(self, table: type[Any], reference: str) -> Any:
        """The record of that reference.

        Raises:
            NotFoundFault: with the nearest references.
        """
        found = self.find(table, reference)
        if found is None:
            rows = self.session.execute(sa.select(table.shop, table.ref)).all()
            raise NotFoundFault(
                f"no {table.__name__.lower()} {reference}",
                mending=nearest(reference, [f"{shop}/{ref}" for shop, ref in rows]) if rows else "add it first",
                code="ref-02",
            )
        return found

    def put(self, table: type[Any], reference: str, **fields: Any) -> Any:
        """Adds a record, or finds it already there saying the same; it has its key.

        Raises:
            DataFault: it is there and says something else.
        """
        record = self.put_later(table, reference, **fields)
        if record.id is None:
            self.session.flush()
        return record

    def put_later(self, table: type[Any], reference: str, **fields: Any) -> Any:
        """As `put`, but `settle` writes it and gives it its key, together with others.

        Raises:
            DataFault: it is there and says something else.
        """
        found = self.find(table, reference)
        if found is not None:
            for name, value in fields.items():
                if value in ("", None):
                    continue
                if getattr(found, name) in ("", None):
                    setattr(found, name, value)  # what was left open may be filled in, never changed
                    self.filled_in(found)
                elif getattr(found, name) != value and not self._said_too(found, name, value):
                    told, old, new = self._told(name, getattr(found, name), value)
                    raise DataFault(
                        f'{found.reference} is there already with {told} "{old}", not "{new}"',
                        mending="use another reference, or leave the cell empty",
                        code="ref-03",
                    )
            return found
        shop, ref = self.split(reference)
        self._not_taken(table, shop, ref)
        name = f"{table.__name__}:{shop}/{ref}"
        filled = {key: value for key, value in fields.items() if value is not None}
        record = table(uid=named_uid(name), shop=shop, ref=ref, **filled)
        self.session.add(record)
        self._new.add(record)
        self._absent.discard((table.__name__, f"{shop}/{ref}"))
        self._cache[(table.__name__, f"{shop}/{ref}")] = record
        self.added[table.__name__.lower()] += 1
        self.line(f"+ {table.__name__.lower()} {shop}/{ref}")
        return record

    def put_part(self, reference: str, kind: str, **said: str | None) -> Part | NewPart:
        """As `put_later` of a part, but one that is new is kept as a plain row.

        Raises:
            DataFault: it is there and says something else.
        """
        whose = "/".join(self.split(reference))
        if not all((table.__name__, whose) in self._absent for table in _ONE_SPACE):
            found: Part = self.put_later(Part, reference, kind=kind, **said)
            return found
        self._absent.discard((Part.__name__, whose))
        self.added["part"] += 1
        self.line(f"+ part {whose}")
        return self._new_parts.add(whose, kind, **{key: value for key, value in said.items() if value is not None})

    def needed_part(self, reference: str) -> Part | NewPart:
        """As `need` of a part; one that this transaction added as a plain row is given as that.

        Raises:
            NotFoundFault: with the nearest references.
        """
        made = self._new_parts.find("/".join(self.split(reference)))
        if made is not None:
            return made
        found: Part = self.need(Part, reference)
        return found

    def line(self, text: str) -> None:
        """Keeps a line on what was added, where they are listed."""
        if self._listing:
            self.lines.append(text)

    def _said_too(self, found: Any, name: str, value: Any) -> bool:
        """Whether this was said beside what stands in a field: two shops filled it in differently."""
        if not isinstance(found, Vehicle | Part):
            return False
        said = sa.select(Statement.id).filter_by(field=name, text=value, **{subject_column(found): found.id})
        return self.session.execute(said).first() is not None

    def _told(self, name: str, *values: Any) -> list[Any]:
        """A field and its values for people: references in place of the numbers of rows."""
        tables: dict[str, Any] = {"part_id": Part, "source_id": Source, "vehicle_id": Vehicle}
        table = tables.get(name)
        if table is None:
            return [name.replace("_", " "), *values]
        return [name.removesuffix("_id"), *(self.session.get_one(table, value).reference for value in values)]

    def _not_taken(self, table: type[Any], shop: str, ref: str) -> None:
        """Vehicles, parts and items share one space of references, so that a kit can name any by it."""
        for other in _ONE_SPACE:
            if table in _ONE_SPACE and other is not table and self.find(other, f"{shop}/{ref}") is not None:
                raise DataFault(
                    f"{shop}/{ref} is the reference of a {other.__name__.lower()} already",
                    mending="use another",
                    code="ref-04",
                )

    def fitted(self, part: Part | NewPart, vehicle: Vehicle, position: str) -> None:
        """Records that a part came on a vehicle."""
        if (part, vehicle, position) in self._fitted:
            return
        if isinstance(part, Part) and part not in self._new:
            where = {"part_id": part.id, "vehicle_id": vehicle.id, "position": position}
            if self.session.execute(sa.select(FittedTo.id).filter_by(**where)).first() is not None:
                return
        self._fitted[part, vehicle, position] = None
        self.added["fitted to"] += 1

    def settle(self) -> None:
        """Writes what was put without being written at once, and where parts came on."""
        self.session.flush()
        self._new_parts.write(self.session.connection())
        if self._fitted:
            rows = [(part.id, vehicle.id, position) for part, vehicle, position in self._fitted]
            columns = ("part_id", "vehicle_id", "position")
            insert_rows(self.session.connection(), table_of(FittedTo), columns, rows)
            self._fitted.clear()

    def state(self, thing: Vehicle | Part | Item, field: str, text: str, dated: str) -> None:
        """Adds a dated statement, unless just that is on record already."""
        column = subject_column(thing)
        uid = uid_of("statement", thing.uid, field, text, dated)
        if self.session.execute(sa.select(Statement.id).where(Statement.uid == uid)).first() is None:
            turn = next_turn(self.session, Statement, field=field, **{column: thing.id})
            self.session.add(Statement(uid=uid, field=field, text=text, dated=dated, turn=turn, **{column: thing.id}))
            self.added["statement"] += 1

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
        self._uids[key] = known
        self._seen.update(known)
        self._digest += sum([digest.term("reading", uid) for uid in uids])
        keys = (part.id, sitting.id)
        self._rows_of(part).extend(
            [(*keys, uid, *cell.columns, condition, "", 0) for uid, cell in zip(uids, cells, strict=True)]
        )
        if self._listing:
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
            if self._listing:
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
            self.write_readings()

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
        if key not in self._uids and (isinstance(thing, NewPart) or thing in self._new):
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
        connection = self.session.connection()
        for column, rows in self._waiting:
            insert_rows(connection, table_of(Reading), (column, *_READING_COLUMNS), rows)
        self._waiting, self._many_waiting = [], 0
        self._first_rows.write(connection)

    def decided(self, uid: str) -> None:
        """Counts a decision that was added."""
        self._digest += digest.term("decision", uid)
        self.added["decision"] += 1

    def filled_in(self, record: Any) -> None:
        """Counts a record of which something was filled in."""
        self._filled_in = True
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
        derive_parts(connection, self._touched["part"], lambda done, total: self.tell("values", done, total))
        derive_vehicles(connection, self._touched["vehicle"])
        if sum(self.added.values()) or self._filled_in:
            # the row is locked by its revision, so that two who write at once both count in the digest
            connection.execute(sa.update(CatalogueRow).values(revision=CatalogueRow.revision + 1))
            digest.store(connection, digest.moved(digest.stored(connection), self._digest))


def _sort_of(thing: Subject) -> str:
    return "Part" if isinstance(thing, NewPart) else type(thing).__name__


def subject_column(thing: Subject) -> str:
    """The column that names a thing in the tables that tell of one: ``part_id``, ``item_id``, ``vehicle_id``."""
    return f"{_sort_of(thing).lower()}_id"


def _around(thing: Subject, sitting: Sitting, condition: str) -> tuple[str, str]:
    """What stands before and behind a cell's part of the name of which a reading's uid is made."""
    whose, where = thing.reference, sitting.reference
    return f"[{listed(_sort_of(thing), whose)}, ", f", {listed(condition, where)}]#"


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
