"""Sheets as text, of CSV and of workbooks: headings, a units row, comment rows; where each cell stood, for messages."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import field, replace
from pathlib import Path

from fitment.catalogue.bounded_file import read_bounded
from fitment.catalogue.dictionary import Dimension
from fitment.catalogue.mangled import Moment, date_fault
from fitment.errors import DataFault, FitmentError, NotFoundFault
from fitment.frozen import dataclass

_HEADING = re.compile(r"^(?P<name>[^\[\]]+?)\s*(?:\[(?P<unit>[^\[\]]*)\])?$")
_LARGEST = 20_000_000
_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
#: what makes a spreadsheet take a cell for a formula; a number below zero is none, but "-2+3" is
_BEGINS_FORMULA = frozenset("=+-@\t\r")
_BELOW_ZERO = re.compile(r"-\d+([.,]\d+)?")


@dataclass(frozen=True)
class Heading:
    """One column.

    Attributes:
        name: without its unit.
        unit: in its brackets, or else in the units row; "" if in neither.
        letter: its letter in a workbook; "" in CSV.
        by_row: whether only the units row gives the unit, of which a row of readings may say otherwise.
    """

    name: str
    unit: str
    letter: str = ""
    by_row: bool = False

    @property
    def place(self) -> str:
        """How messages call the column."""
        return f"{self.letter} ({self.name})" if self.letter else self.name


@dataclass(frozen=True)
class Refused:
    """A cell that cannot be taken, and why: a fault, or that it is a date or time."""

    why: DataFault | Moment


#: a cell that is merged into another, of which the sheet's faults tell
COVERED = Refused(DataFault("the cell is merged into another"))


@dataclass(frozen=True)
class Row:
    """One line of a sheet: its number counted from 1, and its cells by heading name, empty ones left out."""

    number: int
    cells: dict[str, str]
    refused: dict[str, Refused] = field(default_factory=dict)


@dataclass(frozen=True)
class Sheet:
    """One CSV file or one worksheet: `kind` is its first heading, `faults` are those of no single cell."""

    path: str
    kind: str
    headings: dict[str, Heading]
    rows: tuple[Row, ...]
    heading_row: int = 1
    faults: tuple[FitmentError, ...] = ()

    def place(self, row: Row, column: str) -> str:
        """Where a cell stands, for messages."""
        return f"{self.path}, row {row.number}, column {self.headings[column].place}"

    def heading_place(self, column: str = "") -> str:
        """Where a heading stands, or all of them."""
        row = f"{self.path}, row {self.heading_row}"
        return f"{row}, column {self.headings[column].place}" if column else row


@dataclass(frozen=True)
class Table:
    """A sheet to be written: each row has a cell, "" where it is empty, for each heading."""

    headings: list[str]
    rows: list[list[str]]


def read_sheets(path: Path) -> tuple[list[Sheet], list[str]]:
    """The sheets of a file, CSV or workbook, and a note for each worksheet that was left out.

    Raises:
        NotFoundFault: no such file.
        FitmentError: what cannot be read, all of it.
    """
    content = file_content(path)
    # by its first bytes, since a name is easily changed
    if content.startswith(_WORKBOOKS) or path.suffix.lower() in (".xlsx", ".xlsm"):
        from fitment.catalogue.workbook_reading import parse_workbook

        return parse_workbook(content, str(path))
    return [parse_sheet(_decoded(content, path), str(path))], []


def file_content(path: Path) -> bytes:
    """The bytes of a file of tables.

    Raises:
        NotFoundFault: no such file.
        DataFault: too large.
    """
    try:
        return read_bounded(path, _LARGEST, "sheet-01")
    except FileNotFoundError:
        raise NotFoundFault("no such file", place=str(path), mending="check the name", code="sheet-02") from None
    except IsADirectoryError:
        raise NotFoundFault(
            "this is a folder", place=str(path), mending="name the files in it", code="sheet-02"
        ) from None


def read_sheet(path: Path) -> Sheet:
    """A sheet from a CSV file (UTF-8, comma or semicolon).

    Raises:
        NotFoundFault: no such file.
        DataFault: not text, no headings, a heading twice.
    """
    return parse_sheet(_decoded(file_content(path), path), str(path))


def _decoded(content: bytes, path: Path) -> str:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise DataFault("not UTF-8 text", place=str(path), mending="save it as CSV, UTF-8", code="sheet-03") from None
    if "\0" in text:
        raise DataFault(
            "holds NUL bytes, so it is not a CSV file",
            place=str(path),
            mending="save it as CSV, UTF-8",
            code="sheet-03",
        )
    return text


def parse_sheet(text: str, path: str) -> Sheet:
    """A sheet from the text of a CSV file; `path` is only for messages."""
    first = text.partition("\n")[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        lines: list[tuple[int, list[str | Refused]]] = [
            (reader.line_num, [cell.strip() for cell in cells]) for cells in reader
        ]
    except csv.Error as error:
        raise DataFault(
            f"not readable as CSV: {error}",
            place=f"{path}, row {reader.line_num}",
            mending="check the quotes",
            code="sheet-04",
        ) from None
    return build_sheet(lines, path)


def build_sheet(lines: Sequence[tuple[int, list[str | Refused]]], path: str, letters: Sequence[str] = ()) -> Sheet:
    """A sheet from its rows; `path` and `letters` (of a workbook's columns) are for messages.

    Raises:
        DataFault: no rows, a heading twice, or one that is no heading.
    """
    filled = [(number, cells) for number, cells in lines if any(cells)]
    if not filled:
        raise DataFault("the file is empty", place=path, mending="start from fitment template KIND", code="sheet-05")
    heading_row, top = filled[0]
    headings = _headings(top, f"{path}, row {heading_row}", letters)
    names = [heading.name for heading in headings]
    rows: list[Row] = []
    units: dict[str, str] = {}
    faults: list[FitmentError] = []
    for number, cells in filled[1:]:
        first = cells[0] if isinstance(cells[0], str) else ""
        is_units = first.lower().startswith("#units")
        if first.startswith("#") and not is_units:
            continue
        faults += _beyond(cells, names, f"{path}, row {number}", letters)
        row = _row(number, names, cells)
        if is_units:
            units = {name: cell for name, cell in row.cells.items() if name != names[0]}
            faults += [
                refused_fault(row.refused[heading.name], None).at(f"{path}, row {number}, column {heading.place}")
                for heading in headings
                if row.refused.get(heading.name, COVERED) != COVERED
            ]
        else:
            rows.append(row)
    final = {
        heading.name: replace(
            heading, unit=_agreed(heading, units.get(heading.name, ""), path), by_row=not heading.unit
        )
        for heading in headings
    }
    return Sheet(path, names[0], final, tuple(rows), heading_row, tuple(faults))


def refused_fault(cell: Refused, dimension: Dimension | None) -> FitmentError:
    """The fault of a cell in the column of a dimension (None of another column)."""
    return date_fault(cell.why, dimension) if isinstance(cell.why, Moment) else cell.why


def _row(number: int, names: list[str], cells: Sequence[str | Refused]) -> Row:
    taken: dict[str, str] = {}
    refused: dict[str, Refused] = {}
    for name, cell in zip(names, cells, strict=False):
        if isinstance(cell, Refused):
            # a column of dates holds them rightly, and a workbook's date says which is the month
            if isinstance(cell.why, Moment) and cell.why.iso and name.rpartition(".")[2] == "date":
                taken[name] = cell.why.iso
            else:
                refused[name] = cell
        elif cell:
            taken[name] = cell
    return Row(number, taken, refused)


def _beyond(cells: Sequence[str | Refused], names: list[str], place: str, letters: Sequence[str]) -> list[FitmentError]:
    """The faults of cells that stand under no heading; in CSV most of them come of a comma too many.

    Raises:
        DataFault: in CSV, where the cells before them may be in the wrong columns too.
    """
    extra = [index for index in range(len(names), len(cells)) if cells[index] and cells[index] != COVERED]
    if extra and not letters:
        raise DataFault(
            f"the row has {len(cells)} cells where there are {len(names)} headings",
            place=place,
            mending='put text with a comma, like a decimal comma, in double quotes: "12,9"',
            code="sheet-06",
        )
    fault = DataFault("the cell stands under no heading", mending="give its column a heading", code="sheet-06")
    return [fault.at(f"{place}, column {letters[index]}") for index in extra]


def _headings(cells: Sequence[str | Refused], place: str, letters: Sequence[str]) -> list[Heading]:
    headings: list[Heading] = []
    for index, cell in enumerate(cells, 1):
        if isinstance(cell, Refused):
            if cell == COVERED:
                cell = ""
            else:
                raise refused_fault(cell, None).at(f"{place}, column {letters[index - 1]}")
        match = _HEADING.match(cell)
        if not match:
            if not cell and not any(cells[index - 1 :]):
                break
            raise DataFault(
                f'heading {index} is "{cell}"',
                place=place,
                mending="give every column a heading",
                code="sheet-07",
            )
        name = match["name"].strip()
        if any(name == heading.name for heading in headings):
            raise DataFault(
                f'heading "{name}" stands twice',
                place=place,
                mending="put repeats in one cell, parted by ;",
                code="sheet-08",
            )
        headings.append(Heading(name, (match["unit"] or "").strip(), letters[index - 1] if letters else ""))
    return headings


def _agreed(heading: Heading, unit: str, path: str) -> str:
    if heading.unit and unit and heading.unit != unit:
        raise DataFault(
            f'column {heading.name} is in "{heading.unit}" by its heading and in "{unit}" by the units row',
            place=path,
            mending="make the two agree",
            code="sheet-09",
        )
    return heading.unit or unit


def write_sheet(table: Table) -> str:
    """CSV text; cells that a spreadsheet would take for formulas are made inert."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.headings)
    writer.writerows([[inert(cell) for cell in row] for row in table.rows])
    return out.getvalue()


def inert(cell: str) -> str:
    """A leading space takes a formula's effect away in a spreadsheet, and reading strips it again."""
    return f" {cell}" if cell[:1] in _BEGINS_FORMULA and not _BELOW_ZERO.fullmatch(cell) else cell
