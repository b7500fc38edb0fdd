"""Sheets as text: CSV with headings, a units row and comment rows; where each cell stood, for messages."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

from fitment.errors import DataFault, NotFoundFault

_HEADING = re.compile(r"^(?P<name>[^\[\]]+?)\s*(?:\[(?P<unit>[^\[\]]*)\])?$")
_LARGEST = 20_000_000


@dataclass(frozen=True)
class Heading:
    """One column: its name and the unit in its brackets ("" if none)."""

    name: str
    unit: str


@dataclass(frozen=True)
class Row:
    """One line of a sheet: its number counted from 1, and its cells by heading name, empty ones left out."""

    number: int
    cells: dict[str, str]


@dataclass(frozen=True)
class Sheet:
    """One file: `kind` is its first heading."""

    path: str
    kind: str
    headings: dict[str, Heading]
    rows: tuple[Row, ...]

    def place(self, row: Row, column: str) -> str:
        """Where a cell stands, for messages."""
        return f"{self.path}, row {row.number}, column {column}"


def read_sheet(path: Path) -> Sheet:
    """A sheet from a CSV file (UTF-8, comma or semicolon).

    Raises:
        NotFoundFault: no such file.
        DataFault: not text, no headings, a heading twice.
    """
    try:
        if path.stat().st_size > _LARGEST:
            raise DataFault("the file is larger than 20 MB", place=str(path), mending="split it", code="sheet-01")
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise NotFoundFault("no such file", place=str(path), mending="check the name", code="sheet-02") from None
    except IsADirectoryError:
        raise NotFoundFault(
            "this is a folder", place=str(path), mending="name the files in it", code="sheet-02"
        ) from None
    except UnicodeDecodeError:
        raise DataFault("not UTF-8 text", place=str(path), mending="save it as CSV, UTF-8", code="sheet-03") from None
    if "\0" in text:
        raise DataFault(
            "holds NUL bytes, so it is not a CSV file",
            place=str(path),
            mending="save it as CSV, UTF-8",
            code="sheet-03",
        )
    return parse_sheet(text, str(path))


def parse_sheet(text: str, path: str) -> Sheet:
    """A sheet from its text; `path` is only for messages."""
    first = text.partition("\n")[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        lines = [(reader.line_num, [cell.strip() for cell in cells]) for cells in reader]
    except csv.Error as error:
        raise DataFault(
            f"not readable as CSV: {error}",
            place=f"{path}, row {reader.line_num}",
            mending="check the quotes",
            code="sheet-04",
        ) from None
    lines = [(number, cells) for number, cells in lines if any(cells)]
    if not lines:
        raise DataFault("the file is empty", place=path, mending="start from fitment template KIND", code="sheet-05")
    headings = _headings(lines[0][1], path)
    rows, units = [], {}
    for number, cells in lines[1:]:
        if len(cells) > len(headings) and any(cells[len(headings) :]):
            raise DataFault(
                f"the row has {len(cells)} cells where there are {len(headings)} headings",
                place=f"{path}, row {number}",
                mending='put text with a comma, like a decimal comma, in double quotes: "12,9"',
                code="sheet-06",
            )
        named = {heading.name: cell for heading, cell in zip(headings, cells, strict=False) if cell}
        if cells[0].lower().startswith("#units"):
            units = {name: cell for name, cell in named.items() if name != headings[0].name}
        elif not cells[0].startswith("#"):
            rows.append(Row(number, named))
    final = {
        heading.name: Heading(heading.name, _agreed(heading, units.get(heading.name, ""), path)) for heading in headings
    }
    return Sheet(path, headings[0].name, final, tuple(rows))


def _headings(cells: list[str], path: str) -> list[Heading]:
    headings: list[Heading] = []
    for index, cell in enumerate(cells, 1):
        match = _HEADING.match(cell)
        if not match:
            if not cell and not any(cells[index - 1 :]):
                break
            raise DataFault(
                f'heading {index} is "{cell}"',
                place=f"{path}, row 1",
                mending="give every column a heading",
                code="sheet-07",
            )
        name = match["name"].strip()
        if any(name == heading.name for heading in headings):
            raise DataFault(
                f'heading "{name}" stands twice',
                place=f"{path}, row 1",
                mending="put repeats in one cell, parted by ;",
                code="sheet-08",
            )
        headings.append(Heading(name, (match["unit"] or "").strip()))
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


def write_sheet(headings: list[str], rows: list[list[str]]) -> str:
    """CSV text; cells that a spreadsheet would take for formulas are made inert."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(headings)
    writer.writerows([[_inert(cell) for cell in row] for row in rows])
    return out.getvalue()


def _inert(cell: str) -> str:
    """A leading space takes a formula's effect away in a spreadsheet, and reading strips it again."""
    return f" {cell}" if cell[:1] in ("=", "+", "@") or (cell[:1] == "-" and not cell[1:2].isdigit()) else cell
