"""What the rows of a sheet name, added: vehicles, parts, items, sources, sittings, withdrawals and decisions."""

from __future__ import annotations

from fitment.catalogue.adopt import TRUST
from fitment.catalogue.collecting import Collector
from fitment.catalogue.dates import not_to_come
from fitment.catalogue.deciding import take_row
from fitment.catalogue.dictionary import PartKind, find_kind
from fitment.catalogue.new_parts import NewPart
from fitment.catalogue.records import Pen
from fitment.catalogue.schema import Item, Part, Sitting, Source, Vehicle
from fitment.catalogue.sheet_text import Row, Sheet
from fitment.errors import DataFault, FitmentError, nearest
from fitment.quantity.axes import parse_axes
from fitment.quantity.tools import find_tool

#: columns of the sheets that have no readings, after the first
PLAIN_SHEETS: dict[str, tuple[str, ...]] = {
    "source": ("kind", "title", "origin", "date", "note"),
    "sitting": ("who", "date", "source", "tool", "vehicle", "datum", "axes", "ride height", "note"),
    "item": ("part", "condition", "welds", "price", "note"),
    "withdrawal": ("reason", "who", "date", "instead"),
    "decision": ("feature", "dimension", "taken", "over", "reason", "who", "date"),
}
#: columns of a sheet of parts that are no readings, after the first
PART_COLUMNS = ("maker", "number", "name", "fitted to", "item", "sitting", "units", "condition", "note")
#: likewise of vehicles
VEHICLE_COLUMNS = ("maker", "model", "years", "sitting", "units", "note")
CONDITIONS = ("", "new", "used", "worn", "unknown")


def take_things(pen: Pen, sort: str, sheet: Sheet, collector: Collector) -> None:
    """Adds what the rows of a sheet name; the faults of a row are kept, and the others go on."""
    unknown = (
        [] if sort in ("vehicle", "part") else [n for n in list(sheet.headings)[1:] if n not in PLAIN_SHEETS[sort]]
    )
    for name in unknown:
        collector.take(
            DataFault(f'column "{name}" is not known', mending=nearest(name, PLAIN_SHEETS[sort]), code="sheet-11"),
            sheet.heading_place(),
        )
    if unknown:
        return
    plain = {"vehicle": VEHICLE_COLUMNS, "part": PART_COLUMNS}.get(sort) or PLAIN_SHEETS[sort]
    _look_ahead(pen, sort, sheet)
    for number, row in enumerate(sheet.rows):
        pen.tell(sheet.kind, number, len(sheet.rows))
        for name in (sheet.kind, *plain) if row.refused else ():
            collector.refused(sheet, row, name, None)
        try:
            _thing(pen, sort, sheet, row)
        except FitmentError as fault:
            collector.row(fault, sheet, row)
    pen.settle()


def _look_ahead(pen: Pen, sort: str, sheet: Sheet) -> None:
    """Asks for all that a sheet names at once."""
    table = {"vehicle": Vehicle, "part": Part, "item": Item}.get(sort)
    if table is None:
        return
    for column, of in ((sheet.kind, table), ("part", Part), ("item", Item), ("sitting", Sitting)):
        named = {row.cells[column] for row in sheet.rows if column in row.cells}
        if named:
            pen.look_ahead(of, named)
    pen.look_ahead(
        Vehicle,
        {
            entry.split()[0]
            for row in sheet.rows
            for entry in row.cells.get("fitted to", "").split(";")
            if entry.strip()
        },
    )


def _thing(pen: Pen, sort: str, sheet: Sheet, row: Row) -> None:
    cells = row.cells
    if sheet.kind not in cells:
        raise DataFault("the row has no reference", mending="fill in its first cell", code="sheet-12")
    reference = cells[sheet.kind]
    if sort == "vehicle":
        pen.put_later(Vehicle, reference, **{name: cells.get(name) for name in ("maker", "model", "years", "note")})
    elif sort == "source":
        kind = cells.get("kind", "")
        if kind not in TRUST:
            raise DataFault(f'kind of source "{kind}" is not known', mending=nearest(kind, TRUST), code="source-01")
        pen.put(
            Source,
            reference,
            kind=kind,
            title=cells.get("title"),
            origin=cells.get("origin"),
            dated=cells.get("date"),
            note=cells.get("note"),
        )
    elif sort == "sitting":
        _sitting(pen, reference, cells)
    elif sort == "withdrawal":
        if pen.reading(reference).uid not in pen.withdrawn():
            pen.withdraw(
                pen.reading(reference),
                cells.get("reason", ""),
                cells.get("who", ""),
                cells.get("instead"),
                cells.get("date"),
            )
    elif sort == "decision":
        take_row(pen, reference, cells)
    elif sort == "part":
        _part(pen, find_kind(sheet.kind), reference, cells)
    else:
        part = pen.need(Part, cells.get("part", ""))
        known_condition(cells.get("condition", ""))
        item = pen.put(Item, reference, part_id=part.id)
        for field in ("condition", "welds", "price", "note"):
            if field in cells:
                pen.state(item, field, cells[field], "")


def known_condition(word: str) -> None:
    """Refuses a condition that is none.

    Raises:
        DataFault: it is none.
    """
    if word not in CONDITIONS:
        raise DataFault(f'condition is "{word}"', mending="allowed: new, used, worn, unknown", code="sheet-17")


def _sitting(pen: Pen, reference: str, cells: dict[str, str]) -> None:
    source = pen.need(Source, cells.get("source", ""))
    vehicle = pen.need(Vehicle, cells["vehicle"]) if "vehicle" in cells else None
    if "axes" in cells:
        parse_axes(cells["axes"])
    pen.put(
        Sitting,
        reference,
        who=cells.get("who"),
        dated=not_to_come(cells.get("date", "")),
        source_id=source.id,
        tool=find_tool(cells["tool"]).code if "tool" in cells else None,
        vehicle_id=vehicle.id if vehicle else None,
        datum=cells.get("datum"),
        axes=cells.get("axes"),
        ride_height=cells.get("ride height"),
        note=cells.get("note"),
    )


def _part(pen: Pen, kind: PartKind, reference: str, cells: dict[str, str]) -> None:
    said = {name: cells.get(name) for name in ("maker", "number", "name")}
    if "item" not in cells and "note" not in cells:
        _fitted(pen, pen.put_part(reference, kind.kind, **said), cells)
        return
    part = pen.put_later(Part, reference, kind=kind.kind, **said)
    _fitted(pen, part, cells)
    pen.settle()  # what hangs on the part needs its key
    if "item" in cells:
        pen.put(Item, cells["item"], part_id=part.id)
    if "note" in cells:
        pen.state(part, "note", cells["note"], "")


def _fitted(pen: Pen, part: Part | NewPart, cells: dict[str, str]) -> None:
    for entry in cells["fitted to"].split(";") if "fitted to" in cells else ():
        vehicle, _, position = entry.strip().partition(" ")
        if not vehicle:
            continue
        pen.fitted(part, pen.need(Vehicle, vehicle), position.strip())
