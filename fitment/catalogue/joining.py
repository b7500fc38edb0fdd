"""Parts that may be one design under two references: proposed here, joined and put apart by people alone."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.dates import today
from fitment.catalogue.designs import Designs, last_words
from fitment.catalogue.entering import checked_who
from fitment.catalogue.exchange.form import Line
from fitment.catalogue.exchange.said import put_join
from fitment.catalogue.exchange.union import Union
from fitment.catalogue.records import Pen
from fitment.catalogue.schema import EndSummary, Part, PartJoin
from fitment.catalogue.turns import next_turn
from fitment.errors import DataFault
from fitment.frozen import dataclass

#: proposals that are told at once
MANY = 100
#: standard uncertainties of the difference within which two sizes may be one
_WITHIN = 2.0


@dataclass(frozen=True)
class Alike:
    """Two parts that may be one design, and why."""

    part: str
    other: str
    kind: str
    because: str


def put_together(pen: Pen, first: str, second: str, reason: str, who: str, undone: bool) -> tuple[str, str]:
    """Records that two parts are one design, or (`undone`) that they are not; returns their references in order.

    Raises:
        NotFoundFault: there is no such part.
        DataFault: they are of two kinds, or already so.
    """
    part, other = sorted((pen.need(Part, name) for name in (first, second)), key=lambda one: str(one.reference))
    together = last_words(pen.session.connection()).get((min(part.id, other.id), max(part.id, other.id)), False)
    if together is not undone:
        raise DataFault(
            f"{part.reference} and {other.reference} are {'not joined' if undone else 'joined already'}",
            mending="fitment part show tells what a part is joined with",
            code="join-02",
        )
    turn = 1 + max(
        next_turn(pen.session, PartJoin, part_id=one.id, other_id=two.id) - 1
        for one, two in ((part, other), (other, part))
    )
    said = {"part": part.reference, "other": other.reference, "undone": undone, "reason": reason}
    put_join(Union(pen), Line("join", said | {"who": checked_who(who), "dated": today(), "turn": turn}))
    return part.reference, other.reference


def alike(connection: Connection) -> list[Alike]:
    """Pairs of one kind that may be one design and of which nobody said yet whether they are, by reference.

    Either maker and number are the same, capitals and signs apart; or, where they are of two shops, every end of the
    two goes by the same key with sizes that agree within their doubts. The first hundred.
    """
    parts = {row.id: row for row in connection.execute(sa.select(Part.__table__))}
    designs, spoken = Designs(connection), last_words(connection)
    found: dict[tuple[int, int], str] = {}
    for (one, other), because in itertools.chain(_numbered(parts), _ended(connection, parts)):
        pair = min(one, other), max(one, other)
        if pair not in spoken and designs.first(one) != designs.first(other):
            found.setdefault(pair, because)
        if len(found) >= MANY:
            break
    told = []
    for pair, because in found.items():
        names = sorted(f"{parts[key].shop}/{parts[key].ref}" for key in pair)
        told.append(Alike(names[0], names[1], parts[pair[0]].kind, because))
    return sorted(told, key=lambda each: (each.part, each.other))


def _numbered(parts: dict[int, Any]) -> Iterator[tuple[tuple[int, int], str]]:
    by_number: dict[tuple[str, str, str], list[int]] = defaultdict(list)
    for key, row in parts.items():
        maker, number = ("".join(filter(str.isalnum, text.casefold())) for text in (row.maker, row.number))
        if maker and number:
            by_number[row.kind, maker, number].append(key)
    for keys in by_number.values():
        for pair in itertools.combinations(keys, 2):
            yield pair, f"same maker and number: {parts[pair[0]].maker} {parts[pair[0]].number}"


def _ended(connection: Connection, parts: dict[int, Any]) -> Iterator[tuple[tuple[int, int], str]]:
    ends: dict[int, list[Any]] = defaultdict(list)
    query = sa.select(EndSummary.__table__).order_by(EndSummary.part_id, EndSummary.feature)
    for row in connection.execute(query):
        ends[row.part_id].append(row)
    by_keys: dict[tuple[Any, ...], list[int]] = defaultdict(list)
    for part, rows in ends.items():
        if len(rows) > 1 and all(row.near_key is not None for row in rows):
            by_keys[parts[part].kind, *((row.feature, row.near_key) for row in rows)].append(part)
    for keys, of_keys in by_keys.items():
        for one, other in itertools.combinations(of_keys, 2):
            if parts[one].shop != parts[other].shop and all(map(_agree, ends[one], ends[other])):
                named = ", ".join(f"{feature} {key}" for feature, key in keys[1:])
                yield (one, other), f"same ends: {named}"


def _agree(one: Any, other: Any) -> bool:
    """Whether two sizes may be one; where either is not known nothing speaks against it."""
    if one.size is None or other.size is None:
        return True
    doubt = math.hypot(one.size_u or 0.0, other.size_u or 0.0)
    return math.isclose(one.size, other.size, rel_tol=0.0, abs_tol=_WITHIN * doubt + 1e-9)
