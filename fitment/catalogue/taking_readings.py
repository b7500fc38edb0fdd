"""What the cells of a sheet's rows say, added as readings: each text of a column is read once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitment.catalogue.adopt import TRUST
from fitment.catalogue.cells import Cell, cell_of
from fitment.catalogue.collecting import Collector
from fitment.catalogue.dictionary import Dimension, PartKind, find_dimension, find_feature, find_kind
from fitment.catalogue.mangled import date_fault, date_in_text
from fitment.catalogue.records import Pen
from fitment.catalogue.schema import Item, Sitting, Source, Vehicle
from fitment.catalogue.sheet_text import Heading, Row, Sheet
from fitment.catalogue.taking_things import PART_COLUMNS, VEHICLE_COLUMNS, known_condition
from fitment.catalogue.values import bare_unit, read_values, takes_bare_unit
from fitment.errors import DataFault, FitmentError, nearest
from fitment.frozen import dataclass

#: texts of a column that are kept read, so that memory is bounded
_TEXTS_KEPT = 5_000


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
            mending=nearest(heading.name, [*PART_COLUMNS, *(f"{feature}." for feature in kind.features)]),
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


def take_readings(pen: Pen, sort: str, sheet: Sheet, collector: Collector) -> None:
    """Adds the readings of the rows of a sheet of parts or vehicles, all of which are on record."""
    kind = find_kind(sheet.kind)
    columns = _columns(sheet, kind, VEHICLE_COLUMNS if sort == "vehicle" else PART_COLUMNS, collector)
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
    known_condition(condition)
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
