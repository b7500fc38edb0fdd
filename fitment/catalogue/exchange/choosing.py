"""Which records go to another shop: those asked for, and all without which they would not be understood.

A reading goes with its withdrawals, with the decisions that were made over it and all their readings; a thing with what
was stated of it; whatever is named goes too. So no file asks for another one to be taken in before it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection
from dataclasses import field
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.designs import Designs
from fitment.catalogue.exchange.form import FIELDS, TERMS, Line
from fitment.catalogue.exchange.rows import NAMED, Names, batches, lines
from fitment.catalogue.listing import find_any
from fitment.catalogue.schema import (
    Build,
    BuildItem,
    BuildSitting,
    DecisionRow,
    FittedTo,
    FurtherWithdrawal,
    Item,
    Reading,
    Sitting,
    Withdrawal,
    table_of,
)
from fitment.frozen import dataclass

_MATE = re.compile(r"with (?P<ref>[^\s/]+/\S+) \S", re.IGNORECASE)


@dataclass(frozen=True)
class Choice:
    """What was asked for.

    Attributes:
        things: references of parts (their items go too), items (their part goes too) and vehicles; none for all.
        since: only readings of sittings of that day or later, and what was withdrawn or decided since; "" for all.
    """

    things: tuple[str, ...] = ()
    since: str = ""

    @property
    def all(self) -> bool:
        """Whether everything goes."""
        return not self.things and not self.since


@dataclass
class _Keys:
    """Keys of rows by sort of thing, and of readings."""

    of: dict[str, set[int]] = field(default_factory=lambda: {sort: set() for sort in NAMED})
    readings: set[int] = field(default_factory=set)

    def size(self) -> int:
        return len(self.readings) + sum(map(len, self.of.values()))


def chosen(connection: Connection, choice: Choice) -> list[Line]:
    """The lines of a choice, in the order in which they depend on each other, then by uid.

    Raises:
        NotFoundFault: there is no such thing.
    """
    names = Names(connection)
    if choice.all:
        found = [line for sort in FIELDS if sort not in TERMS for line in lines(connection, names, sort)]
    else:
        found = _of_keys(connection, names, _closed(connection, choice))
    shops = {
        str(line.said[name]).partition("/")[0] for line in found for name in ("ref", "sitting") if name in line.said
    }
    terms = [line for sort in TERMS for line in lines(connection, names, sort)]
    found += [line for line in terms if line.said["code" if line.sort == "shop" else "shop"] in shops]
    once = {(line.sort, line.uid): line for line in found}
    order = list(FIELDS)
    return [once[key] for key in sorted(once, key=lambda key: (order.index(key[0]), key[1]))]


def _of_keys(connection: Connection, names: Names, keys: _Keys) -> list[Line]:
    found = [line for sort in NAMED for line in lines(connection, names, sort, "id", keys.of[sort])]
    found += lines(connection, names, "reading", "id", keys.readings)
    found += lines(connection, names, "withdrawal", "reading_id", keys.readings)
    found += lines(connection, names, "fitted-to", "part_id", keys.of["part"])
    for sort in ("vehicle", "part", "item"):
        found += lines(connection, names, "statement", f"{sort}_id", keys.of[sort])
    present = {line.uid for line in found if line.sort == "reading"}
    for sort in ("vehicle", "part", "item"):
        told = lines(connection, names, "decision", f"{sort}_id", keys.of[sort])
        found += [line for line in told if not present.isdisjoint(line.said["over"])]
    parts = {line.said["ref"] for line in found if line.sort == "part"}
    joins = lines(connection, names, "join", "part_id", keys.of["part"])
    found += [line for line in joins if line.said["other"] in parts]
    for sort in ("build-item", "build-sitting"):
        found += lines(connection, names, sort, "build_id", keys.of["build"])
    for sort in ("sitting", "build"):
        found += lines(connection, names, "paper", f"{sort}_id", keys.of[sort])
    return found


def _closed(connection: Connection, choice: Choice) -> _Keys:
    keys = _Keys()
    asked: dict[str, set[int]] = {"vehicle": set(), "part": set(), "item": set()}
    designs = Designs(connection)
    for reference in choice.things:
        sort, row = find_any(connection, reference)
        asked[sort].add(row.id)
        if sort == "item":
            asked["part"].add(row.part_id)
        elif sort == "part":
            asked["part"].update(designs.members(row.id))
            items = connection.execute(sa.select(Item.id).where(Item.part_id.in_(designs.members(row.id))))
            asked["item"].update(items.scalars())
    keys.readings |= _readings(connection, choice, asked)
    for sort, wanted in asked.items():
        keys.of[sort] |= wanted
    for some in batches(asked["vehicle"]):
        table = NAMED["build"]
        keys.of["build"].update(connection.execute(sa.select(table.id).where(table.vehicle_id.in_(some))).scalars())
    size = -1
    while size != keys.size():
        size = keys.size()
        _add_named(connection, keys)
    return keys


def _readings(connection: Connection, choice: Choice, asked: dict[str, set[int]]) -> set[int]:
    """Readings of the things asked for (of all, if none), since a day."""
    query = sa.select(Reading.id).join(Sitting, Reading.sitting_id == Sitting.id)
    query = query.outerjoin(Withdrawal, Withdrawal.reading_id == Reading.id)
    if choice.since:
        recent = sa.or_(Sitting.dated >= choice.since, Withdrawal.dated >= choice.since)
        decided = sa.select(DecisionRow.over).where(DecisionRow.dated >= choice.since)
        over = {uid for text in connection.execute(decided).scalars() for uid in json.loads(text)}
        found = set(connection.execute(query.where(recent)).scalars()) | _by_uid(connection, over)
    else:
        found = set()
    if not choice.things:
        return found
    own: set[int] = set()
    for sort, keys in asked.items():
        column = getattr(Reading, f"{sort}_id")
        for some in batches(keys):
            own |= set(connection.execute(sa.select(Reading.id).where(column.in_(some))).scalars())
    return own & found if choice.since else own


def _by_uid(connection: Connection, uids: Collection[str]) -> set[int]:
    found: set[int] = set()
    for some in batches(uids):
        found |= set(connection.execute(sa.select(Reading.id).where(Reading.uid.in_(some))).scalars())
    return found


def _add_named(connection: Connection, keys: _Keys) -> None:
    """Adds what the records of these keys name."""
    present: set[str] = set()
    mates: set[str] = set()
    for some in batches(keys.readings):
        for row in connection.execute(sa.select(table_of(Reading)).where(Reading.id.in_(some))):
            present.add(row.uid)
            for sort in ("vehicle", "part", "item"):
                if (key := getattr(row, f"{sort}_id")) is not None:
                    keys.of[sort].add(key)
            keys.of["sitting"].add(row.sitting_id)
            mates |= {match["ref"] for match in _MATE.finditer(row.word or "")}
        instead = sa.select(Withdrawal.instead_uid).where(Withdrawal.reading_id.in_(some))
        further = sa.select(FurtherWithdrawal.instead_uid).where(FurtherWithdrawal.reading_id.in_(some))
        for query in (instead, further):
            keys.readings |= _by_uid(connection, {uid for uid in connection.execute(query).scalars() if uid})
    for sort in ("vehicle", "part", "item"):
        column = getattr(DecisionRow, f"{sort}_id")
        for some in batches(keys.of[sort]):
            for text in connection.execute(sa.select(DecisionRow.over).where(column.in_(some))).scalars():
                if not present.isdisjoint(over := json.loads(text)):
                    keys.readings |= _by_uid(connection, over)
    for mate in mates:
        sort, row = find_any(connection, mate)
        keys.of[sort].add(row.id)
    for sort, table, column_name, of in _NAMES:
        where, named = getattr(table, column_name), getattr(table, f"{of}_id")
        for some in batches(keys.of[sort]):
            found = connection.execute(sa.select(named).where(where.in_(some))).scalars()
            keys.of[of].update(key for key in found if key is not None)


#: a thing of a sort names another: sort, table, its column for the thing, sort of the other
_NAMES: tuple[tuple[str, Any, str, str], ...] = (
    ("build", Build, "id", "vehicle"),
    ("build", BuildItem, "build_id", "item"),
    ("build", BuildSitting, "build_id", "sitting"),
    ("item", Item, "id", "part"),
    ("part", FittedTo, "part_id", "vehicle"),
    ("sitting", Sitting, "id", "source"),
    ("sitting", Sitting, "id", "vehicle"),
)
