"""What deserves a second look in the catalogue: conflicts, weak sources, odd values, welds not known. Reads only."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.adopt import CONFLICT, TRUST
from fitment.catalogue.dictionary import Dimension, dimensions_of, part_kinds
from fitment.catalogue.schema import (
    Adopted,
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
from fitment.catalogue.turns import STATED
from fitment.catalogue.values import NUMERIC, shown
from fitment.frozen import dataclass
from fitment.quantity.parse import parse_quantity
from fitment.quantity.tools import all_tools

#: sort of trouble -> how a page heads it, in the order of gravity
SORTS = {
    "conflict": "in conflict: withdraw the wrong reading, measure again, or decide with a reason",
    "weak-source": "known from one weak source alone: measure it",
    "implausible": "outside the usual range: check the unit, the decimal and the feature",
    "finer-than-tool": "readings better than their tool could give: check the tool",
    "welds": "items of which nobody said whether they were welded: look, and state it",
}
#: sources of this trust and below it are weak: a catalogue page, hearsay
_WEAK = 2
#: a last digit whose half step is finer than so small a share of the tool's half-width; common practice, no source
_DIGIT = 0.02
#: kinds of part that nobody welds
_NO_WELDS = frozenset({"boot"})


@dataclass(frozen=True)
class Trouble:
    """One thing to look at: its sort, where it is, what it is in a sentence, and the uids of the readings behind it."""

    sort: str
    of: str
    feature: str
    dimension: str
    told: str
    readings: tuple[str, ...]


@dataclass(frozen=True)
class _Thing:
    name: str
    kind: str

    def dimension(self, feature: str, name: str) -> Dimension:
        return dimensions_of(part_kinds()[self.kind].features[feature])[name.partition(" ")[0]]


def audit(connection: Connection) -> list[Trouble]:
    """Every trouble, by sort, then by thing, feature and dimension; nothing where the catalogue is clean."""
    things = _things(connection)
    read = list(connection.execute(_READ))
    found = [*_adopted(connection, things, read), *_readings(things, read), *_welds(connection, things)]
    order = list(SORTS)
    return sorted(found, key=lambda one: (order.index(one.sort), one.of, one.feature, one.dimension, one.readings))


_READ = (
    sa.select(table_of(Reading), Source.kind, Source.origin, Source.title, Source.shop, Source.ref)
    .join(Sitting, Reading.sitting_id == Sitting.id)
    .join(Source, Sitting.source_id == Source.id)
    .outerjoin(Withdrawal, Withdrawal.reading_id == Reading.id)
    .where(Withdrawal.id.is_(None))
)


def _things(connection: Connection) -> dict[tuple[str, int], _Thing]:
    """Every part, item and vehicle by the column that names it and its key."""
    found: dict[tuple[str, int], _Thing] = {}
    for row in connection.execute(sa.select(table_of(Part))):
        found["part_id", row.id] = _Thing(f"{row.shop}/{row.ref}", row.kind)
    for row in connection.execute(sa.select(table_of(Item))):
        found["item_id", row.id] = _Thing(f"{row.shop}/{row.ref}", found["part_id", row.part_id].kind)
    for row in connection.execute(sa.select(table_of(Vehicle))):
        found["vehicle_id", row.id] = _Thing(f"{row.shop}/{row.ref}", "vehicle")
    return found


def _thing_of(things: dict[tuple[str, int], _Thing], row: Any) -> _Thing:
    columns = ("part_id", "item_id", "vehicle_id")
    return next(things[column, getattr(row, column)] for column in columns if getattr(row, column) is not None)


def _adopted(connection: Connection, things: dict[tuple[str, int], _Thing], read: list[Any]) -> Iterator[Trouble]:
    """Conflicts, and values in force that rest on one weak source."""
    behind = {row.uid: (TRUST[row.kind][0], row.origin or f"{row.shop}/{row.ref}") for row in read}
    for row in connection.execute(sa.select(table_of(Adopted))):
        uids = tuple(json.loads(row.readings))
        place = (_thing_of(things, row).name, row.feature, row.dimension)
        if row.gap.startswith(CONFLICT):
            yield Trouble("conflict", *place, row.gap, uids)
        elif not row.gap and not row.assumed:
            trusts, origins = zip(*(behind[uid] for uid in uids), strict=True)
            if min(trusts) >= _WEAK and len(set(origins)) == 1:
                yield Trouble("weak-source", *place, f"{row.shown}, from {row.source}", uids)


def _readings(things: dict[tuple[str, int], _Thing], read: list[Any]) -> Iterator[Trouble]:
    """Readings in force that are outside the usual range, or finer than their tool."""
    tools = {tool.code: tool for tool in all_tools()}
    for row in read:
        if row.number is None:
            continue
        thing = _thing_of(things, row)
        dimension = thing.dimension(row.feature, row.dimension)
        place = (thing.name, row.feature, row.dimension)
        low, high = dimension.low, dimension.high
        if (low is not None and row.number < low) or (high is not None and row.number > high):
            usual = " to ".join(
                "any" if limit is None else shown(dimension, limit, None, None) for limit in (low, high)
            )
            kept = ", entered as meant" if row.entered.endswith("!") else ""
            told = f"{shown(dimension, row.number, row.u, None)} where {usual} is usual ({_source(row)}){kept}"
            yield Trouble("implausible", *place, told, (row.uid,))
        tool = tools.get(row.tool)
        half = tool.half_width_for(dimension.value_kind, row.number) if _measures(tool, dimension) and tool else None
        if tool is not None and half and (told := _too_fine(row, dimension, half)):
            yield Trouble(
                "finer-than-tool", *place, f"{told}, but {tool.title} leaves {_half(dimension, half)}", (row.uid,)
            )


def _source(row: Any) -> str:
    return row.title or f"{row.shop}/{row.ref}"


def _half(dimension: Dimension, half: float) -> str:
    return f"±{shown(dimension, half, None, None)}"


def _measures(tool: Any, dimension: Dimension) -> bool:
    return tool is not None and dimension.value_kind in NUMERIC and tool.kind == dimension.value_kind


def _too_fine(row: Any, dimension: Dimension, half: float) -> str:
    """Why a reading claims more than a tool of this half-width gives; "" where it does not."""
    if row.u < half / math.sqrt(3) * (1 - 1e-9):
        return f"{row.entered}: stated with u = {row.u:.3g}"
    text = row.entered.rstrip("! ").partition("@")[0].strip()
    quantity = parse_quantity(text, dimension.value_kind, row.bare_unit or None)
    written = quantity.half_width is None and quantity.u is None
    if written and 0.0 < quantity.resolution < _DIGIT * half:
        return f"{row.entered}: read to the last digit"
    return ""


def _welds(connection: Connection, things: dict[tuple[str, int], _Thing]) -> Iterator[Trouble]:
    """Items whose latest word on welds is none, or that it is not known."""
    query = sa.select(Statement.item_id, Statement.text).where(Statement.field == "welds").order_by(STATED)
    said = {row.item_id: row.text.strip().lower() for row in connection.execute(query)}
    for (column, key), thing in things.items():
        if (
            column == "item_id"
            and thing.kind not in _NO_WELDS
            and said.get(key, "unknown") in ("unknown", "not known", "?")
        ):
            yield Trouble("welds", thing.name, "", "", "welds are not known", ())
