"""Parts by what their ends are: by key, within sizes, nearest to a size, alike at every end; from the summary alone.

Every statement is written once for what is asked and takes its values as parameters; none touches readings or adopted
values. What has no key or no size is in no answer, so that `unkeyed` counts it: whoever tells an answer tells that too.
The answers are candidates; the rules of the joints decide.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import Any

from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.end_keys import far_end
from fitment.catalogue.questions import Questions, Row
from fitment.frozen import dataclass

#: parameter -> its condition on the row ``e``
_CONDITIONS = {
    "kind": "e.kind = :kind",
    "feature": "e.feature = :feature",
    "near_key": "e.near_key = :near_key",
    "far_key": "e.far_key = :far_key",
    "size_low": "e.size >= :size_low",
    "size_high": "e.size <= :size_high",
    "above": "e.size >= :above",
    "below": "e.size < :below",
    "taper_low": "e.taper >= :taper_low",
    "taper_high": "e.taper <= :taper_high",
}
#: parts that one statement is asked about
_CHUNK = 900


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


def _where(told: Iterable[str]) -> str:
    return " AND ".join(_CONDITIONS[name] for name in told)


@cache
def _within(told: tuple[str, ...]) -> str:
    return f"SELECT e.part_id, e.size, e.taper FROM end_summary e WHERE {_where(told)} LIMIT :count"


def ends_within(ask: Questions, kind: str, wanted: EndWanted, count: int = 10_000) -> Sequence[Row]:
    """Ends of parts of a kind as wanted, in no order.

    Args:
        ask: the catalogue.
        kind: kind of part, ``rod-end``.
        wanted: what is asked of one end.
        count: how many at most; which, where there are more, is not said.

    Returns:
        Rows with `part_id`, `size` (mm) and `taper`.
    """
    told = wanted.values(kind)
    return ask.rows(_within(tuple(told)), **told, count=count)


@cache
def _alike(ends: tuple[tuple[str, ...], ...]) -> str:
    """One row of the summary for each end, joined by the part; the parameters of each have its number behind them."""
    tables = "end_summary e0"
    conditions = []
    for number, told in enumerate(ends):
        if number:
            tables += f" JOIN end_summary e{number} ON e{number}.part_id = e0.part_id"
        conditions += [_CONDITIONS[name].replace("e.", f"e{number}.") + f"_{number}" for name in told]
    return f"SELECT e0.part_id FROM {tables} WHERE {' AND '.join(conditions)} LIMIT :count"


def parts_alike(ask: Questions, kind: str, wanted: Sequence[EndWanted], count: int = 10_000) -> list[int]:
    """Parts of a kind that are as wanted at every one of these ends, by their keys in the database.

    Args:
        ask: the catalogue.
        kind: kind of part.
        wanted: at least one end.
        count: how many at most; which, where there are more, is not said.
    """
    first, *others = sorted(wanted, key=_how_narrow, reverse=True)
    asked = [first, *(one for one in others if not _implied(kind, first, one))]
    told = [one.values(kind) for one in asked]
    values = {f"{name}_{number}": value for number, one in enumerate(told) for name, value in one.items()}
    return sorted(row["part_id"] for row in ask.rows(_alike(tuple(map(tuple, told))), **values, count=count))


def _how_narrow(wanted: EndWanted) -> tuple[int, int]:
    asked = (wanted.far_key, wanted.near_key, wanted.size)
    return sum(one is not None for one in asked), int(wanted.taper is not None)


def _implied(kind: str, first: EndWanted, other: EndWanted) -> bool:
    """Whether what is asked of an end is asked already, by the key of the far end of a part of two."""
    if other.feature != far_end(part_kinds()[kind], first.feature) or other.size is not None or other.taper is not None:
        return False
    return other.near_key == first.far_key and other.far_key in (None, first.near_key)


@cache
def _walk(told: tuple[str, ...], upwards: bool) -> str:
    order = "e.size" if upwards else "e.size DESC"
    return f"SELECT e.part_id, e.size FROM end_summary e WHERE {_where(told)} ORDER BY {order} LIMIT :count"


def nearest_ends(ask: Questions, kind: str, wanted: EndWanted, size: float, count: int = 20) -> list[tuple[float, int]]:
    """The ends nearest in size to one that is wanted: the index is walked upwards and downwards from there.

    Args:
        ask: the catalogue.
        kind: kind of part.
        wanted: what else is asked of the end; its `size` is not looked at.
        size: the leading size wanted, mm.
        count: how many.

    Returns:
        (how far the size is off, mm; the part), nearest first, then by part.
    """
    told = EndWanted(wanted.feature, wanted.near_key, wanted.far_key, None, wanted.taper).values(kind)
    found: list[tuple[float, int]] = []
    for name, upwards in (("above", True), ("below", False)):
        values = {**told, name: size}
        rows = ask.rows(_walk(tuple(values), upwards), **values, count=count)
        found += [(abs(row["size"] - size), row["part_id"]) for row in rows]
    return heapq.nsmallest(count, found)


_OF_KIND = "SELECT count(*) AS number FROM part WHERE kind = :kind"
_KEYED = "SELECT count(*) AS number FROM end_summary WHERE kind = :kind AND feature = :feature AND near_key IS NOT NULL"


def of_kind(ask: Questions, kind: str) -> int:
    """How many parts of a kind there are."""
    return int(ask.rows(_OF_KIND, kind=kind)[0]["number"])


def unkeyed(ask: Questions, kind: str, feature: str) -> int:
    """How many parts of a kind are in no answer about this end, as nobody knows its key."""
    return of_kind(ask, kind) - int(ask.rows(_KEYED, kind=kind, feature=feature)[0]["number"])


def in_chunks(ask: Questions, statement: str, keys: Iterable[int]) -> list[Row]:
    """The rows of a statement that asks for ``IN ({})`` of any number of keys."""
    ordered = sorted(keys)
    found: list[Row] = []
    for start in range(0, len(ordered), _CHUNK):
        values = {f"key_{place}": key for place, key in enumerate(ordered[start : start + _CHUNK])}
        found += ask.rows(statement.format(", ".join(f":{name}" for name in values)), **values)
    return found


_NAMES = "SELECT id, shop, ref, kind, maker, number, name FROM part WHERE id IN ({})"


def parts_named(ask: Questions, part_ids: Iterable[int]) -> Mapping[int, Row]:
    """The rows of the parts (`shop`, `ref`, `kind`, `maker`, `number`, `name`) by their keys in the database."""
    return {row["id"]: row for row in in_chunks(ask, _NAMES, part_ids)}
