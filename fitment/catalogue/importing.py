"""Taking sheets in: every fault of every file at once, or everything in one transaction."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from sqlalchemy.engine import Engine

from fitment.catalogue.adopt import TRUST
from fitment.catalogue.cells import Cell, cell_of
from fitment.catalogue.collecting import Collector
from fitment.catalogue.dates import not_to_come
from fitment.catalogue.deciding import take_row
from fitment.catalogue.dictionary import Dimension, PartKind, find_dimension, find_feature, find_kind, part_kinds
from fitment.catalogue.mangled import date_fault, date_in_text
from fitment.catalogue.new_parts import NewPart
from fitment.catalogue.records import Pen, writing
from fitment.catalogue.register import Tell, quiet
from fitment.catalogue.schema import Item, Part, Sitting, Source, Vehicle
from fitment.catalogue.sheet_text import Heading, Row, Sheet, read_sheets
from fitment.catalogue.values import bare_unit, read_values, takes_bare_unit
from fitment.errors import DataFault, FitmentError, nearest
from fitment.frozen import dataclass
from fitment.quantity.axes import parse_axes
from fitment.quantity.tools import find_tool

_PLAIN_SHEETS: dict[str, tuple[str, ...]] = {
    "source": ("kind", "title", "origin", "date", "note"),
    "sitting": ("who", "date", "source", "tool", "vehicle", "datum", "axes", "ride height", "note"),
    "item": ("part", "condition", "welds", "price", "note"),
    "withdrawal": ("reason", "who", "date", "instead"),
    "decision": ("feature", "dimension", "taken", "over", "reason", "who", "date"),
}
_PART_COLUMNS = ("maker", "number", "name", "fitted to", "item", "sitting", "units", "condition", "note")
_VEHICLE_COLUMNS = ("maker", "model", "years", "sitting", "units", "note")
#: sheets in the order in which they depend on each other
_ORDER = ("vehicle", "source", "sitting", "part", "item", "withdrawal", "decision")
#: sheets that name readings
_AFTER_READINGS = ("withdrawal", "decision")
#: texts of a column that are kept read, so that memory is bounded
_TEXTS_KEPT = 5_000
CONDITIONS = ("", "new", "used", "worn", "unknown")


@dataclass(frozen=True)
class Column:
    """A heading that names a dimension."""

    heading: Heading
    feature: str
    dimension: Dimension

    def cells(self, text: str, system: str | None, tool: str, measured: bool) -> list[Cell]:
        """What a cell says, as `read_values`.

        Raises:
            DataFault: what is wrong with it.
        """
        mangled = date_in_text(self.dimension, text)
        if mangled is not None:
            raise date_fault(mangled, self.dimension)
        unit = self.heading.unit or bare_unit(self.dimension, system)
        values = read_values(self.dimension, text, unit, tool, measured)
        return [cell_of(self.feature, self.dimension.dimension, value) for value in values]


class Reader:
    """Reads the cells of one sheet's columns under one system of units, tool and sort of source; each text once."""

    def __init__(self, columns: Sequence[Column], system: str | None, tool: str, measured: bool):
        self._under = (system, tool, measured)
        self.columns: list[tuple[str, Column, dict[str, list[Cell]]]] = [
            (column.heading.name, column, {}) for column in columns
        ]

    def cells(self, column: Column, read: dict[str, list[Cell]], text: str) -> list[Cell]:
        """What a text that was not read yet says in a column.

        Raises:
            DataFault: what is wrong with it.
        """
        if len(read) >= _TEXTS_KEPT:
            read.clear()
        read[text] = column.cells(text, *self._under)
        return read[text]


class _Readers:
    """What the rows of one sheet are read by.

    Attributes:
        names: headings of its columns of readings.
        with_units: those of its columns whose unit the units row gives.
    """

    def __init__(self, pen: Pen, columns: Sequence[Column]):
        self._pen = pen
        self._columns = columns
        self._sittings: dict[str, tuple[Sitting, bool]] = {}
        self._readers: dict[tuple[str | None, str, bool], Reader] = {}
        self.names = {column.heading.name for column in columns}
        self.with_units = [column for column in columns if column.heading.by_row and column.heading.unit]

    def sitting(self, reference: str) -> tuple[Sitting, bool]:
        """A sitting, and whether its source is a measurement.

        Raises:
            NotFoundFault: it is not on record.
        """
        if reference not in self._sittings:
            sitting: Sitting = self._pen.need(Sitting, reference)
            source = self._pen.session.get_one(Source, sitting.source_id)
            self._sittings[reference] = (sitting, TRUST[source.kind][0] == 0)
        return self._sittings[reference]

    def under(self, system: str | None, tool: str, measured: bool) -> Reader:
        """The reader of cells under a system of units, a tool and a sort of source."""
        asked = (system, tool, measured)
        if asked not in self._readers:
            self._readers[asked] = Reader(self._columns, *asked)
        return self._readers[asked]


@dataclass(frozen=True)
class Imported:
    """What an import added: how many of each sort, a line for each thing and reading; and what was left out."""

    added: Counter[str]
    lines: tuple[str, ...]
    notes: tuple[str, ...] = ()


def sort_of(sheet: Sheet) -> str:
    """vehicle, source, sitting, item, withdrawal, decision, or part.

    Raises:
        DataFault: the first heading is none of these.
    """
    if sheet.kind in _PLAIN_SHEETS:
        return sheet.kind
    try:
        kind = find_kind(sheet.kind)
    except DataFault:
        known = [*part_kinds(), *_PLAIN_SHEETS]
        raise DataFault(
            f'the first heading is "{sheet.kind}", which is no kind of sheet',
            place=sheet.heading_place(),
            mending=nearest(sheet.kind, known),
            code="sheet-10",
        ) from None
    return "vehicle" if kind.kind == "vehicle" else "part"


def import_files(engine: Engine, paths: Sequence[Path], dry_run: bool = False, tell: Tell = quiet) -> Imported:
    """Takes the files in, CSV sheets and workbooks; returns what was added.

    Args:
        tell: is told how far it is.

    Raises:
        FitmentError: every fault of every file, or all that makes files unreadable; nothing was changed.
    """
    collector = Collector()
    sheets: list[Sheet] = []
    notes: list[str] = []
    for path in paths:
        try:
            found, left_out = read_sheets(path)
        except FitmentError as fault:
            collector.take(fault, str(path))
        else:
            sheets += found
            notes += left_out
    collector.end()
    return replace(import_sheets(engine, sheets, dry_run, tell), notes=tuple(notes))


def import_sheets(engine: Engine, sheets: Sequence[Sheet], dry_run: bool = False, tell: Tell = quiet) -> Imported:
    """As `import_files`, from sheets already read."""
    collector = Collector()
    ordered: list[tuple[str, Sheet]] = []
    for sheet in sheets:
        for one in sheet.faults:
            collector.take(one, sheet.path)
        try:
            ordered.append((sort_of(sheet), sheet))
        except FitmentError as fault:
            collector.take(fault, sheet.path)
    ordered.sort(key=lambda pair: _ORDER.index(pair[0]))
    with _nothing_collected(), writing(engine, dry_run, tell) as pen:
        # things first, their readings after: a trial may name a part of a later sheet
        for sort, sheet in ordered:
            if sort not in _AFTER_READINGS:
                _things(pen, sort, sheet, collector)
        for sort, sheet in ordered:
            if sort in ("vehicle", "part"):
                _readings(pen, sort, sheet, collector)
        for sort, sheet in ordered:
            if sort in _AFTER_READINGS:
                _things(pen, sort, sheet, collector)
        collector.end()
    return Imported(pen.added, tuple(pen.lines))


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """All that an import makes lives to its end: looking through it for garbage would take a sixth of its time."""
    collected = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collected:
            gc.enable()


def _things(pen: Pen, sort: str, sheet: Sheet, collector: Collector) -> None:
    unknown = (
        [] if sort in ("vehicle", "part") else [n for n in list(sheet.headings)[1:] if n not in _PLAIN_SHEETS[sort]]
    )
    for name in unknown:
        collector.take(
            DataFault(f'column "{name}" is not known', mending=nearest(name, _PLAIN_SHEETS[sort]), code="sheet-11"),
            sheet.heading_place(),
        )
    if unknown:
        return
    plain = {"vehicle": _VEHICLE_COLUMNS, "part": _PART_COLUMNS}.get(sort) or _PLAIN_SHEETS[sort]
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
        _condition(cells.get("condition", ""))
        item = pen.put(Item, reference, part_id=part.id)
        for field in ("condition", "welds", "price", "note"):
            if field in cells:
                pen.state(item, field, cells[field], "")


def _condition(word: str) -> None:
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


def _columns(sheet: Sheet, kind: PartKind, plain: tuple[str, ...], collector: Collector) -> list[Column]:
    columns = []
    for heading in list(sheet.headings.values())[1:]:
        if heading.name in plain:
            continue
        try:
            columns.append(_column(heading, kind))
        except FitmentError as fault:
            collector.take(fault, sheet.heading_place(heading.name))
    return columns


def _column(heading: Heading, kind: PartKind) -> Column:
    feature_name, dot, name = heading.name.rpartition(".")
    if not dot:
        raise DataFault(
            f'column "{heading.name}" is neither known nor feature.dimension',
            mending=nearest(heading.name, [*_PART_COLUMNS, *(f"{feature}." for feature in kind.features)]),
            code="sheet-13",
        )
    feature = find_feature(kind, feature_name)
    dimension = find_dimension(kind, feature, name)
    allowed = {bare_unit(dimension, "mm"), bare_unit(dimension, "inch")}
    if heading.unit and heading.unit not in allowed:
        raise DataFault(
            f'column {heading.name} cannot be headed in "{heading.unit}"',
            mending="allowed: " + (", ".join(sorted(allowed - {""})) or "no unit"),
            code="sheet-14",
        )
    return Column(heading, feature, dimension)


def _readings(pen: Pen, sort: str, sheet: Sheet, collector: Collector) -> None:
    kind = find_kind(sheet.kind)
    columns = _columns(sheet, kind, _VEHICLE_COLUMNS if sort == "vehicle" else _PART_COLUMNS, collector)
    readers = _Readers(pen, columns)
    for number, row in enumerate(sheet.rows):
        pen.tell(f"readings of {sheet.kind}", number, len(sheet.rows))
        for column in columns if row.refused else ():
            collector.refused(sheet, row, column.heading.name, column.dimension)
        try:
            _row_readings(pen, sort, sheet, row, readers, collector)
        except FitmentError as fault:
            collector.row(fault, sheet, row)


def _same_units(system: str, sheet: Sheet, row: Row, with_units: list[Column]) -> None:
    """Refuses a row in other units than the units row, unless all that they disagree about is written with its unit.

    Raises:
        DataFault: naming both.
    """
    told = [
        column.heading
        for column in with_units
        if column.heading.name in row.cells
        and column.heading.unit != bare_unit(column.dimension, system)
        and takes_bare_unit(column.dimension, row.cells[column.heading.name])
    ]
    if told:
        names = ", ".join(heading.name for heading in told)
        raise DataFault(
            f'the row says its units are "{system}", and the units row says "{told[0].unit}" of {names}',
            place=sheet.place(row, "units"),
            mending="make the two agree, or write each value with its unit: 9/16 in",
            code="sheet-25",
        )


def _row_readings(
    pen: Pen,
    sort: str,
    sheet: Sheet,
    row: Row,
    readers: _Readers,
    collector: Collector,
) -> None:
    if readers.names.isdisjoint(row.cells) or sheet.kind not in row.cells:
        return
    if "sitting" not in row.cells:
        raise DataFault(
            "the row has readings but no sitting", mending="name who measured, when and with what", code="sheet-15"
        )
    sitting, measured = readers.sitting(row.cells["sitting"])
    system, condition = row.cells.get("units"), row.cells.get("condition", "")
    if system not in (None, "mm", "inch"):
        raise DataFault(f'units are "{system}"', mending="allowed: mm, inch", code="sheet-16")
    _condition(condition)
    if system is not None:
        _same_units(system, sheet, row, readers.with_units)
    if sort == "vehicle":
        thing = pen.need(Vehicle, row.cells[sheet.kind])
    else:
        thing = pen.need(Item, row.cells["item"]) if "item" in row.cells else pen.needed_part(row.cells[sheet.kind])
    reader = readers.under(system, sitting.tool, measured)
    pen.read_row(thing, list(_cells(pen, sheet, row, reader, collector)), sitting, condition)


def _cells(pen: Pen, sheet: Sheet, row: Row, reader: Reader, collector: Collector) -> Iterator[Cell]:
    """What the cells of a row say, each trial with its mate by full reference; the faults of the others are kept."""
    for name, column, read in reader.columns:
        text = row.cells.get(name)
        if text is None:
            continue
        try:
            found = read.get(text) or reader.cells(column, read, text)
        except FitmentError as fault:
            collector.take(fault, sheet.place(row, name))
            continue
        for cell in found:
            if not cell.mated:
                yield cell
                continue
            try:
                yield cell_of(cell.feature, cell.dimension, pen.with_known_mate(cell.value))
            except FitmentError as fault:
                collector.take(fault, sheet.place(row, name))
