"""Sheets out: those that import takes, one row per thing and sitting, text as it was entered; and templates."""

from __future__ import annotations

import json
from collections import defaultdict
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.dictionary import PartKind, find_dimension, find_kind, part_kinds
from fitment.catalogue.dictionary.lines import full_rows, quick_rows
from fitment.catalogue.schema import (
    DecisionRow,
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
from fitment.catalogue.sheet_text import Table, write_sheet
from fitment.catalogue.turns import DECIDED, STATED
from fitment.catalogue.values import LENGTHS, NUMERIC, bare_unit
from fitment.catalogue.whole_file import write_all
from fitment.errors import DataFault

_PART_COLUMNS = ["maker", "number", "name", "fitted to", "item", "sitting", "units", "condition", "note"]
_PLAIN_TEMPLATES = {
    "source": ["source", "kind", "title", "origin", "date", "note"],
    "sitting": ["sitting", "who", "date", "source", "tool", "vehicle", "datum", "axes", "ride height", "note"],
    "item": ["item", "part", "condition", "welds", "price", "note"],
}


def template(word: str, system: str = "mm", quick: bool = False) -> str:
    """The text of `template_table` as CSV."""
    return write_sheet(template_table(word, system, quick))


def template_table(word: str, system: str = "mm", quick: bool = False) -> Table:
    """An empty sheet with a units row and a how-to row for a kind of part, "vehicle", "source", "sitting" or "item".

    Args:
        quick: only the dimensions that decide first.

    Raises:
        DataFault: no such kind.
    """
    if word in _PLAIN_TEMPLATES:
        return Table(_PLAIN_TEMPLATES[word], [])
    kind = find_kind(word)
    plain = ["maker", "model", "years", "sitting", "units", "note"] if kind.kind == "vehicle" else _PART_COLUMNS
    headings, units, how = [kind.kind, *plain], ["#units"] + [""] * len(plain), ["#how"] + [""] * len(plain)
    for row in quick_rows(kind) if quick else full_rows(kind):
        dimension = row.dimension
        headings.append(f"{row.feature}.{dimension.dimension}")
        units.append(bare_unit(dimension, system))
        how.append(
            f"{dimension.title}: {dimension.how}" + (f" ({', '.join(dimension.words)})" if dimension.words else "")
        )
    return Table(headings, [units, how])


def export_folder(connection: Connection, folder: Path, dry_run: bool = False) -> list[Path]:
    """Writes every sheet of the catalogue into a new or empty folder; importing them gives the same catalogue.

    Raises:
        DataFault: the folder holds something.
    """
    if not dry_run:
        folder.mkdir(parents=True, exist_ok=True)
    if folder.exists() and any(folder.iterdir()):
        raise DataFault("the folder is not empty", place=str(folder), mending="name a new one", code="export-01")
    sheets = {folder / f"{name}.csv": write_sheet(table).encode() for name, table in _tables(connection).items()}
    if not dry_run:
        write_all(sheets)
    return list(sheets)


def export_workbook(connection: Connection, path: Path, dry_run: bool = False) -> None:
    """Writes every sheet of the catalogue into a new workbook; importing it gives the same catalogue.

    Raises:
        DataFault: there is such a file, or a text does not go into a workbook.
    """
    from fitment.catalogue.workbook_writing import write_workbook

    tables = _tables(connection)
    if not dry_run:
        write_workbook(path, tables)


def _tables(connection: Connection) -> dict[str, Table]:
    return dict(sorted((_plain_sheets(connection) | _reading_sheets(connection)).items()))


def _references(connection: Connection, table: Any) -> dict[int, str]:
    return {row.id: f"{row.shop}/{row.ref}" for row in connection.execute(sa.select(table.id, table.shop, table.ref))}


def _plain_sheets(connection: Connection) -> dict[str, Table]:
    vehicles, sources, parts = (_references(connection, table) for table in (Vehicle, Source, Part))
    tables = {}
    rows = [
        [f"{r.shop}/{r.ref}", r.kind, r.title, r.origin, r.dated, r.note]
        for r in connection.execute(sa.select(table_of(Source)).order_by(Source.shop, Source.ref))
    ]
    tables["source"] = Table(_PLAIN_TEMPLATES["source"], rows)
    rows = [
        [
            f"{r.shop}/{r.ref}",
            r.who,
            r.dated,
            sources[r.source_id],
            r.tool,
            vehicles.get(r.vehicle_id, ""),
            r.datum,
            r.axes,
            r.ride_height,
            r.note,
        ]
        for r in connection.execute(sa.select(table_of(Sitting)).order_by(Sitting.shop, Sitting.ref))
    ]
    tables["sitting"] = Table(_PLAIN_TEMPLATES["sitting"], rows)
    said: dict[int, dict[str, str]] = defaultdict(dict)
    for row in connection.execute(sa.select(Statement.item_id, Statement.field, Statement.text).order_by(STATED)):
        if row.item_id is not None:
            said[row.item_id][row.field] = row.text
    rows = [
        [f"{r.shop}/{r.ref}", parts[r.part_id], *(said[r.id].get(field, "") for field in _PLAIN_TEMPLATES["item"][2:])]
        for r in connection.execute(sa.select(table_of(Item)).order_by(Item.shop, Item.ref))
    ]
    tables["item"] = Table(_PLAIN_TEMPLATES["item"], rows)
    withdrawn = (
        sa.select(Reading.uid, Withdrawal.reason, Withdrawal.who, Withdrawal.dated, Withdrawal.instead_uid)
        .join(Withdrawal, Withdrawal.reading_id == Reading.id)
        .order_by(Reading.uid)
    )
    rows = [[r.uid, r.reason, r.who, r.dated, r.instead_uid or ""] for r in connection.execute(withdrawn)]
    if rows:
        tables["withdrawal"] = Table(["withdrawal", "reason", "who", "date", "instead"], rows)
    if decisions := _decisions(connection):
        tables["decision"] = Table(
            ["decision", "feature", "dimension", "taken", "over", "reason", "who", "date"], decisions
        )
    return tables


def _decisions(connection: Connection) -> list[list[str]]:
    """A row for each decision, in their order, by which the last one holds."""
    columns = {"vehicle_id": Vehicle, "part_id": Part, "item_id": Item}
    names = {column: _references(connection, table) for column, table in columns.items()}
    query = sa.select(table_of(DecisionRow)).order_by(*DECIDED)
    return [
        [
            next(names[column][key] for column in columns if (key := getattr(row, column)) is not None),
            row.feature,
            row.dimension,
            *(" ".join(json.loads(uids)) for uids in (row.taken, row.over)),
            row.reason,
            row.who,
            row.dated,
        ]
        for row in connection.execute(query)
    ]


def _reading_sheets(connection: Connection) -> dict[str, Table]:
    """One sheet per kind of part: first the things, then a row for each sitting, unit system and condition."""
    vehicles, items, sittings = (_references(connection, table) for table in (Vehicle, Item, Sitting))
    notes = {
        row.part_id: row.text
        for row in connection.execute(
            sa.select(Statement.part_id, Statement.text).where(Statement.field == "note").order_by(STATED)
        )
    }
    part_of = {row.id: row.part_id for row in connection.execute(sa.select(Item.id, Item.part_id))}
    fitted: dict[int, list[str]] = defaultdict(list)
    for row in connection.execute(sa.select(table_of(FittedTo)).order_by(FittedTo.id)):
        fitted[row.part_id].append(f"{vehicles[row.vehicle_id]} {row.position}".strip())
    read: dict[tuple[str, int], list[Any]] = defaultdict(list)
    for row in connection.execute(sa.select(table_of(Reading)).order_by(Reading.id)):
        if row.vehicle_id is not None:
            read[("vehicle", row.vehicle_id)].append(row)
        else:
            read[("part", row.part_id or part_of[row.item_id])].append(row)
    tables = {}
    things: dict[str, list[tuple[Any, list[str]]]] = defaultdict(list)
    for part in connection.execute(sa.select(table_of(Part)).order_by(Part.shop, Part.ref)):
        things[part.kind].append((part, [part.maker, part.number, part.name, "; ".join(fitted[part.id])]))
    for vehicle in connection.execute(sa.select(table_of(Vehicle)).order_by(Vehicle.shop, Vehicle.ref)):
        things["vehicle"].append((vehicle, [vehicle.maker, vehicle.model, vehicle.years]))
    for name, members in things.items():
        kind = part_kinds()[name]
        sort = "vehicle" if name == "vehicle" else "part"
        tables[name] = _sheet_of(kind, sort, members, read, items, sittings, notes)
    return tables


def _sheet_of(
    kind: PartKind,
    sort: str,
    members: list[tuple[Any, list[str]]],
    read: dict[tuple[str, int], list[Any]],
    items: dict[int, str],
    sittings: dict[int, str],
    notes: dict[int | None, str],
) -> Table:
    columns = list(dict.fromkeys(f"{r.feature}.{r.dimension}" for thing, _ in members for r in read[(sort, thing.id)]))
    plain = ["maker", "model", "years", "sitting", "units", "note"] if sort == "vehicle" else _PART_COLUMNS
    rows = []
    for thing, description in members:
        reference = f"{thing.shop}/{thing.ref}"
        blocks: dict[tuple[str, str, str, str], dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
        for r in read[(sort, thing.id)]:
            system = _system_of(kind, r)
            item = items.get(r.item_id, "") if sort == "part" else ""
            blocks[(item, sittings[r.sitting_id], system, r.condition)][f"{r.feature}.{r.dimension}"].append(r.entered)
        note = thing.note if sort == "vehicle" else notes.get(thing.id, "")
        for (item, sitting, system, condition), cells in blocks.items() or [(("", "", "", ""), {})]:
            middle = [sitting, system, note] if sort == "vehicle" else [item, sitting, system, condition, note]
            rows.append([reference, *description, *middle, *("; ".join(cells.get(name, [])) for name in columns)])
            description, note = [""] * len(description), ""
    return Table([kind.kind, *plain, *columns], rows)


def _system_of(kind: PartKind, reading: Any) -> str:
    """The unit system that makes the bare number of this reading mean again what it meant."""
    if not reading.bare_unit:
        return ""
    dimension = find_dimension(kind, reading.feature, reading.dimension)
    if dimension.value_kind not in NUMERIC | LENGTHS:
        return ""
    return "inch" if reading.bare_unit == bare_unit(dimension, "inch") != bare_unit(dimension, "mm") else "mm"
