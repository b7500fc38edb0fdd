"""Which parts have the dimensions that are wanted, and which vehicles they were fitted to.

Few statements answer for any number of parts; nothing is asked part by part.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field, replace
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.book import use_of
from fitment.catalogue.found import Carrier
from fitment.catalogue.narrowing import FAR, outside_by_summary
from fitment.catalogue.tables import ADOPTED, FITTED, ITEM, PART, VEHICLE
from fitment.catalogue.windows import Standing, State, Window, standing
from fitment.frozen import dataclass

#: of so many parts each is looked at
FEW = 2000


@dataclass(frozen=True)
class Donor:
    """A part, or one item of it that was measured by itself, against the windows.

    Attributes:
        name: ``NORTH/RK-2``.
        part: the part's reference; the same as `name` unless this is an item.
        title: for people.
        carriers: vehicles that the part was fitted to.
        standings: one for each window, in their order.
    """

    name: str
    part: str
    title: str
    carriers: tuple[Carrier, ...]
    standings: tuple[Standing, ...]

    def of(self, *states: State) -> list[Standing]:
        """The standings in any of these states."""
        return [one for one in self.standings if one.state in states]

    @property
    def unread(self) -> bool:
        """Whether nothing that was asked for has been read."""
        return all(one.state is State.NO_READING for one in self.standings)


@dataclass(frozen=True)
class Found:
    """The answer of a search.

    Attributes:
        sure: inside every window for certain, by name.
        may: outside none, but not inside all for certain; fewest open questions first.
        near: outside one window or more for certain, the nearest first.
        farther: how many more are outside, none of them as near as those.
    """

    sure: tuple[Donor, ...] = ()
    may: tuple[Donor, ...] = ()
    near: tuple[Donor, ...] = ()
    farther: int = 0

    @property
    def outside(self) -> int:
        """How many are outside for certain."""
        return len(self.near) + self.farther

    @property
    def exit_code(self) -> int:
        """0 only where a part matches for certain; 4 where one may, 1 where none does."""
        return 0 if self.sure else 4 if self.may else 1


def nearness(donor: Donor) -> tuple[int, float, str]:
    """The order of near misses: words that differ, then how far off as shares of the limits, then the name."""
    missed = donor.of(State.OUTSIDE)
    return sum(one.off is None for one in missed), sum(one.relative for one in missed), donor.name


def sorted_out(donors: Iterable[Donor]) -> Found:
    """The donors of a search in their three lists."""
    sure, may, near = [], [], []
    for donor in donors:
        if donor.of(State.OUTSIDE):
            near.append(donor)
        elif donor.of(State.CANNOT_TELL, State.NO_READING):
            may.append(donor)
        else:
            sure.append(donor)
    by_doubt = sorted(may, key=lambda one: (len(one.of(State.NO_READING)), len(one.of(State.CANNOT_TELL)), one.name))
    return Found(tuple(sorted(sure, key=lambda one: one.name)), tuple(by_doubt), tuple(sorted(near, key=nearness)))


@dataclass
class _Read:
    """One part or item while its values are gathered."""

    name: str
    part_id: int
    title: str
    values: dict[tuple[str, str], Any] = field(default_factory=dict)


def find_donors(connection: Connection, kind: str, windows: Sequence[Window], near: int = 5) -> Found:
    """Every part of a kind against the windows, and every item that has a value of its own in one of these dimensions.

    Where there are many, parts that the summary of ends shows to be outside, by a word or far off in size, are counted
    and not looked at one by one, as long as those that are looked at hold the nearest.

    Args:
        kind: name of the kind of part, by the dictionary.
        windows: what is wanted, at least one.
        near: how many near misses are wanted.
    """
    total = int(connection.execute(_COUNT, {"kind": kind}).scalar_one())
    narrowed = outside_by_summary(kind, windows) if total > FEW else None
    if narrowed is not None:
        looked_at = _looked_at(connection, kind, narrowed)
        found = _found(connection, kind, windows, looked_at)
        told = found.near[:near]
        if len(told) == near and all(nearness(one) < (0, FAR, "") for one in told):
            return replace(found, farther=total - len(looked_at))
    return _found(connection, kind, windows, None)


_COUNT = sa.select(sa.func.count()).select_from(PART).where(PART.c.kind == sa.bindparam("kind"))


def _looked_at(connection: Connection, kind: str, narrowed: sa.ColumnElement[bool]) -> set[int]:
    """The parts that are not outside by the summary, and those of which there are items, which may differ."""
    inside = sa.select(PART.c.id).where(PART.c.kind == kind, narrowed)
    own = sa.select(ITEM.c.part_id).join(PART, PART.c.id == ITEM.c.part_id).where(PART.c.kind == kind)
    return {*connection.execute(inside).scalars(), *connection.execute(own).scalars()}


def _found(connection: Connection, kind: str, windows: Sequence[Window], looked_at: set[int] | None) -> Found:
    """The parts of a kind, or those of these keys, against the windows."""
    parts: dict[int, _Read] = {}
    for row in _rows(connection, sa.select(PART).where(PART.c.kind == kind), PART.c.id, looked_at):
        title = row.name or " ".join(filter(None, (row.maker, row.number))) or row.kind
        parts[row.id] = _Read(f"{row.shop}/{row.ref}", row.id, title)
    asked = sa.or_(
        *(sa.and_(ADOPTED.c.feature == one.feature, ADOPTED.c.dimension == one.dimension) for one in windows)
    )
    of_parts = sa.select(ADOPTED).join(PART, ADOPTED.c.part_id == PART.c.id).where(PART.c.kind == kind, asked)
    for row in _rows(connection, of_parts, ADOPTED.c.part_id, looked_at):
        adopted = row._mapping
        parts[adopted["part_id"]].values[adopted["feature"], adopted["dimension"]] = adopted
    items: dict[int, _Read] = {}
    told: set[int] = set()
    of_items = (
        sa.select(ADOPTED, ITEM.c.shop, ITEM.c.ref, ITEM.c.part_id.label("of_part"))
        .join(ITEM, ADOPTED.c.item_id == ITEM.c.id)
        .join(PART, ITEM.c.part_id == PART.c.id)
        .where(PART.c.kind == kind, asked)
    )
    for adopted in connection.execute(of_items).mappings():
        part = parts[adopted["of_part"]]
        name = f"{adopted['shop']}/{adopted['ref']}"
        # the item's own value goes before its part's, as everywhere
        item = items.setdefault(adopted["item_id"], _Read(name, part.part_id, part.title, dict(part.values)))
        item.values[adopted["feature"], adopted["dimension"]] = adopted
        if not adopted["gap"]:
            told.add(adopted["item_id"])
    carriers = _carriers(connection, kind, looked_at)
    return sorted_out(
        Donor(
            one.name,
            parts[one.part_id].name,
            one.title,
            tuple(carriers.get(one.part_id, ())),
            tuple(_standing(one, window) for window in windows),
        )
        for one in (*parts.values(), *(item for key, item in items.items() if key in told))
    )


def _standing(read: _Read, window: Window) -> Standing:
    row = read.values.get((window.feature, window.dimension))
    if row is None:
        return standing(window, None)
    if row["gap"]:
        return standing(window, None, row["gap"])
    return standing(window, use_of(row, f"{read.name} {window.feature}", window.dimension))


#: keys that one statement asks for
_AT_ONCE = 800


def _rows(
    connection: Connection, query: sa.Select[Any], column: sa.ColumnElement[Any], keys: set[int] | None
) -> Iterator[Any]:
    """The rows of a query: of all, or of those whose column is one of these keys."""
    if keys is None:
        yield from connection.execute(query)
        return
    narrowed, ordered = query.where(column.in_(sa.bindparam("keys", expanding=True))), sorted(keys)
    for start in range(0, len(ordered), _AT_ONCE):
        yield from connection.execute(narrowed, {"keys": ordered[start : start + _AT_ONCE]})


def _carriers(connection: Connection, kind: str, looked_at: set[int] | None) -> dict[int, list[Carrier]]:
    """Vehicles by part, of every part of a kind or of those of these keys."""
    query = (
        sa.select(FITTED.c.part_id, FITTED.c.position, VEHICLE)
        .join(VEHICLE, FITTED.c.vehicle_id == VEHICLE.c.id)
        .join(PART, FITTED.c.part_id == PART.c.id)
        .where(PART.c.kind == kind)
        .order_by(VEHICLE.c.shop, VEHICLE.c.ref, FITTED.c.position)
    )
    found: dict[int, list[Carrier]] = {}
    for row in _rows(connection, query, FITTED.c.part_id, looked_at):
        title = " ".join(filter(None, (row.maker, row.model)))
        found.setdefault(row.part_id, []).append(Carrier(f"{row.shop}/{row.ref}", title, row.years, row.position))
    return found
