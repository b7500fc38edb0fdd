"""Things by reference, inside one transaction: vehicles, parts, items, sources and sittings, found or added."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from fitment.catalogue.cells import named_uid, uid_of
from fitment.catalogue.new_parts import NewPart, NewParts
from fitment.catalogue.plain_rows import insert_rows
from fitment.catalogue.schema import (
    CatalogueRow,
    FittedTo,
    Item,
    Part,
    Source,
    Statement,
    Vehicle,
    table_of,
)
from fitment.catalogue.turns import next_turn
from fitment.errors import DataFault, NotFoundFault, nearest

#: what is read
Subject = Vehicle | Part | Item | NewPart
#: vehicles, parts and items share one space of references
_ONE_SPACE: tuple[type[Any], ...] = (Vehicle, Part, Item)
#: signs that a reference may have beside letters and digits
_AS_LETTERS = str.maketrans("-_.", "aaa")
#: references that one statement asks for
_AT_ONCE = 800

#: is told what is being done, how much of it is done and how much there is
Tell = Callable[[str, int, int], None]


def quiet(_what: str, _done: int, _total: int) -> None:
    """Tells nobody how far it is."""


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


class Register:
    """Finds and adds things inside one transaction.

    Attributes:
        added: how many records of each sort were added.
        lines: what was added, a line for each thing and reading; only where `listing`, as in a dry run.
        tell: is told how far it is.
        said_more: whether something was filled in of what was there already.
        new: what was added and may have no key yet; new parts kept as plain rows are not among them.
    """

    def __init__(self, session: Session, tell: Tell = quiet, listing: bool = False):
        self.session = session
        self.tell = tell
        self.shop = session.execute(sa.select(CatalogueRow.shop)).scalar_one()
        self.added: Counter[str] = Counter()
        self.lines: list[str] = []
        self.listing = listing
        self.said_more = False
        self.new: set[Any] = set()
        self._cache: dict[tuple[str, str], Any] = {}
        self._absent: set[tuple[str, str]] = set()
        self._empty: dict[type[Any], bool] = {}
        self._new_parts = NewParts()
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
            if one not in self._empty:
                self._empty[one] = self.session.execute(sa.select(one.id).limit(1)).first() is None
            if self._empty[one]:  # all that is there was added here
                made = self._new_parts if one is Part else ()
                self._absent.update((one.__name__, name) for name in open_ if name not in made)
                continue
            by_shop: dict[str, list[str]] = {}
            for name in open_:
                by_shop.setdefault(name.partition("/")[0], []).append(name)
            for shop, names in by_shop.items():
                for start in range(0, len(names), _AT_ONCE):
                    refs = [name.partition("/")[2] for name in names[start : start + _AT_ONCE]]
                    for found in self.session.execute(
                        sa.select(one).where(one.shop == shop, one.ref.in_(refs))
                    ).scalars():
                        self._cache[(one.__name__, found.reference)] = found
            self._absent.update((one.__name__, name) for name in open_ if (one.__name__, name) not in self._cache)

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
        self.new.add(record)
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
        if self.listing:
            self.lines.append(text)

    def _said_too(self, found: Any, name: str, value: Any) -> bool:
        """Whether this was said beside what stands in a field: two shops filled it in differently."""
        if not isinstance(found, Vehicle | Part) or found.id is None:
            return False  # of what is not written yet nothing can have been said
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
        if isinstance(part, Part) and part not in self.new:
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

    def filled_in(self, record: Any) -> None:
        """Counts a record of which something was filled in."""
        self.said_more = True


def sort_of(thing: Subject) -> str:
    """What a thing is: ``Vehicle``, ``Part``, ``Item``."""
    return "Part" if isinstance(thing, NewPart) else type(thing).__name__


def subject_column(thing: Subject) -> str:
    """The column that names a thing in the tables that tell of one: ``part_id``, ``item_id``, ``vehicle_id``."""
    return f"{sort_of(thing).lower()}_id"
