"""Parts by what their ends are: by key, within sizes, nearest to a size, alike at every end; from the summary alone.

Every statement is built once and takes its values as parameters; none touches readings or adopted values. What has no
key or no size is in no answer, so that `unkeyed` counts it: whoever tells an answer tells that too. The answers are
candidates; the rules of the joints decide.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.tables import PART

ENDS = sa.table(
    "end_summary",
    *map(sa.column, ("part_id", "feature", "kind", "near_key", "far_key", "size", "taper")),
)


@dataclass(frozen=True)
class EndWanted:
    """What is wanted of one end; what is None is not asked for.

    Attributes:
        feature: name of the end, ``stud``.
        near_key: its key, as `end_keys.end_key` gives it.
        far_key: that of the part's other end, for a part of two ends.
        size: ends of the window on its leading size, mm, both belonging to it.
        taper: ends of the window on the ratio of its cone.
    """

    feature: str
    near_key: str | None = None
    far_key: str | None = None
    size: tuple[float, float] | None = None
    taper: tuple[float, float] | None = None

    def values(self, kind: str) -> dict[str, Any]:
        """The parameters of its statement."""
        told: dict[str, Any] = {"kind": kind, "feature": self.feature}
        if self.near_key is not None:
            told["near_key"] = self.near_key
        if self.far_key is not None:
            told["far_key"] = self.far_key
        if self.size is not None:
            told["size_low"], told["size_high"] = self.size
        if self.taper is not None:
            told["taper_low"], told["taper_high"] = self.taper
        return told


def _asked(told: Iterable[str]) -> list[sa.ColumnElement[bool]]:
    """The conditions for these parameters."""
    by_name = {
        "kind": ENDS.c.kind == sa.bindparam("kind"),
        "feature": ENDS.c.feature == sa.bindparam("feature"),
        "near_key": ENDS.c.near_key == sa.bindparam("near_key"),
        "far_key": ENDS.c.far_key == sa.bindparam("far_key"),
        "size_low": ENDS.c.size >= sa.bindparam("size_low"),
        "size_high": ENDS.c.size <= sa.bindparam("size_high"),
        "above": ENDS.c.size >= sa.bindparam("above"),
        "below": ENDS.c.size < sa.bindparam("below"),
        "taper_low": ENDS.c.taper >= sa.bindparam("taper_low"),
        "taper_high": ENDS.c.taper <= sa.bindparam("taper_high"),
    }
    return [by_name[name] for name in told]


@cache
def _within(told: tuple[str, ...]) -> sa.Select[Any]:
    return sa.select(ENDS.c.part_id, ENDS.c.size, ENDS.c.taper).where(*_asked(told))


def ends_within(connection: Connection, kind: str, wanted: EndWanted) -> Sequence[Any]:
    """Ends of parts of a kind as wanted, in no order.

    Args:
        kind: kind of part, ``rod-end``.
        wanted: what is asked of one end.

    Returns:
        Rows with `part_id`, `size` (mm) and `taper`.
    """
    told = wanted.values(kind)
    return connection.execute(_within(tuple(told)), told).all()


def parts_alike(connection: Connection, kind: str, wanted: Sequence[EndWanted]) -> list[int]:
    """Parts of a kind that are as wanted at every one of these ends, by key.

    The fewest candidates are drawn first: an end that is asked for by its keys or its size. The others are then asked
    of those parts alone.

    Args:
        wanted: at least one end.
    """
    first, *others = sorted(wanted, key=_how_narrow, reverse=True)
    found = {row.part_id for row in ends_within(connection, kind, first)}
    for end in others:
        if found:
            found &= _among(connection, kind, end, found)
    return sorted(found)


def _how_narrow(wanted: EndWanted) -> tuple[int, int]:
    asked = (wanted.far_key, wanted.near_key, wanted.size)
    return sum(one is not None for one in asked), int(wanted.taper is not None)


#: parts that one statement is asked about
_CHUNK = 900


@cache
def _of_parts(told: tuple[str, ...]) -> sa.Select[Any]:
    wanted = ENDS.c.part_id.in_(sa.bindparam("parts", expanding=True))
    return sa.select(ENDS.c.part_id).where(wanted, *_asked(told))


def _among(connection: Connection, kind: str, wanted: EndWanted, parts: set[int]) -> set[int]:
    told, ordered = wanted.values(kind), sorted(parts)
    found: set[int] = set()
    for start in range(0, len(ordered), _CHUNK):
        values = {**told, "parts": ordered[start : start + _CHUNK]}
        found.update(connection.execute(_of_parts(tuple(told)), values).scalars())
    return found


@cache
def _walk(told: tuple[str, ...], upwards: bool) -> sa.Select[Any]:
    order = ENDS.c.size if upwards else ENDS.c.size.desc()
    query = sa.select(ENDS.c.part_id, ENDS.c.size, ENDS.c.taper)
    return query.where(*_asked(told)).order_by(order).limit(sa.bindparam("count"))


def nearest_ends(
    connection: Connection, kind: str, wanted: EndWanted, size: float, count: int = 20
) -> list[tuple[float, int]]:
    """The ends nearest in size to one that is wanted: the index is walked upwards and downwards from there.

    Args:
        kind: kind of part.
        wanted: what else is asked of the end; its `size` is not looked at.
        size: the leading size wanted, mm.
        count: how many.

    Returns:
        (how far the size is off, mm; the part), nearest first, then by part.
    """
    told = EndWanted(wanted.feature, wanted.near_key, wanted.far_key, None, wanted.taper).values(kind)
    sides = []
    for name, upwards in (("above", True), ("below", False)):
        values = {**told, name: size}
        rows = connection.execute(_walk(tuple(values), upwards), {**values, "count": count})
        sides.append([(abs(row.size - size), row.part_id) for row in rows])
    return heapq.nsmallest(count, (one for side in sides for one in side))


_ALL = sa.select(sa.func.count()).select_from(PART).where(PART.c.kind == sa.bindparam("kind"))


@cache
def _keyed(told: tuple[str, ...]) -> sa.Select[Any]:
    return sa.select(sa.func.count()).select_from(ENDS).where(*_asked(told), ENDS.c.near_key.is_not(None))


def unkeyed(connection: Connection, kind: str, feature: str) -> int:
    """How many parts of a kind are in no answer about this end, as nobody knows its key."""
    told = {"kind": kind, "feature": feature}
    keyed = connection.execute(_keyed(tuple(told)), told).scalar_one()
    return int(connection.execute(_ALL, {"kind": kind}).scalar_one() - keyed)


_NAMES = sa.select(PART).where(PART.c.id.in_(sa.bindparam("parts", expanding=True)))


def parts_named(connection: Connection, part_ids: Iterable[int]) -> Mapping[int, Any]:
    """The rows of the parts (`shop`, `ref`, `kind`, `maker`, `number`, `name`) by their keys."""
    ordered = sorted(part_ids)
    found: dict[int, Any] = {}
    for start in range(0, len(ordered), _CHUNK):
        for row in connection.execute(_NAMES, {"parts": ordered[start : start + _CHUNK]}):
            found[row.id] = row
    return found
