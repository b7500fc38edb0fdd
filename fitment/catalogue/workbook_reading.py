"""Workbooks in: each worksheet as the sheet that its CSV would be, and everything refused that CSV cannot hold."""

from __future__ import annotations

import datetime
import io
import math
import re
import warnings
from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction

from openpyxl import Workbook, load_workbook
from openpyxl.cell.cell import Cell, MergedCell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from fitment.catalogue.mangled import moment_of_cell
from fitment.catalogue.sheet_text import COVERED, Refused, Sheet, build_sheet
from fitment.catalogue.workbook_bounds import LARGEST_AREA, check_bounds
from fitment.catalogue.workbook_text import unescaped
from fitment.errors import DataFault, Faults, FitmentError

#: ``# ?/?``, ``??/??``, ``# ?/16``: a number that is shown as a fraction
_FRACTION_FORMAT = re.compile(r"[?#0]+/[?#0-9]+")
_DECIMALS = re.compile(r"[#,0]*0\.(?P<places>0+)")
#: the finest fraction of an inch that is shown as one
_FINEST = 128
#: of many rows or blocks, how many a message names
_TOLD = 10


def parse_workbook(content: bytes, path: str) -> tuple[list[Sheet], list[str]]:
    """The sheets of a workbook, and a note for each worksheet that is left out; `path` is only for messages.

    Raises:
        FitmentError: no workbook, or what makes its worksheets unreadable, all of it.
    """
    book = _opened(content, path)
    sheets: list[Sheet] = []
    notes: list[str] = []
    faults: list[FitmentError] = []
    for worksheet in book.worksheets:
        place = f"{path}, sheet {worksheet.title}"
        try:
            lines = _lines(worksheet)
            if not lines:
                continue
            first = next((cell for cell in lines[0][1] if cell), "")
            if isinstance(first, str) and first.startswith("#") and not first.startswith(("#units", "#how")):
                notes.append(f"{place}: left out, since its first cell starts with #")
                continue
            sheets.append(_sheet(worksheet, place, lines))
        except FitmentError as fault:
            faults += fault.faults if isinstance(fault, Faults) else [fault]
    if not sheets and not faults and not notes:
        faults.append(
            DataFault("the file is empty", place=path, mending="start from fitment template KIND", code="sheet-05")
        )
    if faults:
        raise faults[0] if len(faults) == 1 else Faults(faults)
    return sheets, notes


def _opened(content: bytes, path: str) -> Workbook:
    check_bounds(content, path)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of styles and extensions, which no reading depends on
        try:
            book = load_workbook(io.BytesIO(content), data_only=False, keep_links=False)
        except Exception as error:  # the library raises whatever a broken part of the file leads to
            raise DataFault(
                f"cannot be read as a workbook ({type(error).__name__})",
                place=path,
                mending="open it in a spreadsheet program and save it anew as .xlsx, or as CSV, UTF-8",
                code="sheet-21",
            ) from None
    widest = max(book.worksheets, key=_area, default=None)
    if widest is not None and sum(map(_area, book.worksheets)) > LARGEST_AREA:
        raise DataFault(
            f"cells are in use as far as {get_column_letter(widest.max_column)}{widest.max_row}",
            place=f"{path}, sheet {widest.title}",
            mending="delete the empty rows and columns beyond the table, or split it",
            code="sheet-22",
        )
    return book


def _area(worksheet: Worksheet) -> int:
    return worksheet.max_row * worksheet.max_column


def _lines(worksheet: Worksheet) -> list[tuple[int, list[str | Refused]]]:
    """The rows that hold something, by number."""
    rows = ((number, [_taken(cell) for cell in row]) for number, row in enumerate(worksheet.iter_rows(), 1))
    return [(number, cells) for number, cells in rows if any(cell and cell is not COVERED for cell in cells)]


def _sheet(worksheet: Worksheet, place: str, lines: list[tuple[int, list[str | Refused]]]) -> Sheet:
    faults = list(_hidden_or_merged(worksheet, place, lines))
    letters = [get_column_letter(index) for index in range(1, worksheet.max_column + 1)]
    try:
        sheet = build_sheet(lines, place, letters)
    except FitmentError as fault:
        raise Faults([*faults, fault]) if faults else fault from None
    return Sheet(place, sheet.kind, sheet.headings, sheet.rows, sheet.heading_row, (*faults, *sheet.faults))


def _hidden_or_merged(
    worksheet: Worksheet, place: str, lines: list[tuple[int, list[str | Refused]]]
) -> Iterator[FitmentError]:
    """What nobody sees in the sheet, and what stands for several cells: neither is taken nor dropped silently."""

    def fault(message: str, mending: str) -> FitmentError:
        return DataFault(message, place=place, mending=mending, code="sheet-23")

    show = "show them, or delete them; nothing hidden is taken in"
    if worksheet.sheet_state != "visible":
        yield fault("the worksheet is hidden", "show it, or delete it; nothing hidden is taken in")
    rows = worksheet.row_dimensions
    hidden = [n for n, _ in lines if n in rows and (rows[n].hidden or rows[n].height == 0)]
    if hidden:
        yield fault(f"hidden, with something in them: {_some('row', hidden)}", show)
    filled = {index for _, cells in lines for index, cell in enumerate(cells, 1) if cell and cell is not COVERED}
    columns = [get_column_letter(index) for index in sorted(filled & _hidden_columns(worksheet))]
    if columns:
        yield fault(f"hidden, with something in them: {_some('column', columns)}", show)
    merged = [block.coord for block in sorted(worksheet.merged_cells.ranges, key=lambda block: block.bounds[::-1])]
    if merged:
        yield fault(f"merged: {_some('cells', merged)}", "unmerge them, and fill in each cell that is meant")


def _some(what: str, names: Sequence[object]) -> str:
    """``rows 3, 4``; of many, the first and how many more."""
    told = ", ".join(map(str, names[:_TOLD])) + (f" and {len(names) - _TOLD} more" if len(names) > _TOLD else "")
    return f"{what}{'s' if len(names) > 1 and not what.endswith('s') else ''} {told}"


def _hidden_columns(worksheet: Worksheet) -> set[int]:
    return {
        index
        for column in worksheet.column_dimensions.values()
        if column.hidden or column.width == 0
        for index in range(column.min or 1, min(column.max or 0, worksheet.max_column) + 1)
    }


def _taken(cell: Cell | MergedCell) -> str | Refused:
    """A cell as CSV would hold it; "" of an empty one."""
    if isinstance(cell, MergedCell):
        return COVERED
    value = cell.value
    if value is None:
        return ""
    if cell.data_type == "f":
        text = value if isinstance(value, str) else getattr(value, "text", None) or "of several cells"
        shown = text if len(text) <= 40 else text[:37] + "..."
        return _refused(f"the cell is the formula {shown}", "paste it as a value, or type what it shows")
    if cell.data_type == "e":
        return _refused(f"the cell is the error {value}", "mend it, or leave the cell empty if the value is unknown")
    if isinstance(value, bool):
        return _refused(f"the cell is the logical value {str(value).upper()}", "write the word as text")
    if isinstance(value, datetime.date | datetime.time | datetime.timedelta):
        return Refused(moment_of_cell(value, cell.number_format))
    if isinstance(value, int | float):
        if not math.isfinite(value):
            return _refused("the cell is no finite number", "write the number as text")
        return number_text(value, cell.number_format)
    return unescaped(str(value)).strip()


def _refused(message: str, mending: str) -> Refused:
    return Refused(DataFault(message, mending=mending, code="sheet-24"))


def number_text(value: float, number_format: str) -> str:
    """A number as text, without the noise of binary fractions and never rounded.

    As its format shows it where that loses nothing: a per cent with its sign, the fractions of an inch as fractions,
    and the zeros after the point, which tell how finely it was read.
    """
    shown = number_format.split(";")[0].strip()
    percent = shown.endswith("%")
    # a spreadsheet keeps fifteen digits of a number
    number = (Decimal(value) if isinstance(value, int) else Decimal(f"{value + 0.0:.15g}")) * (100 if percent else 1)
    exact = Fraction(number)
    if _FRACTION_FORMAT.search(shown) and 1 < exact.denominator <= _FINEST and _FINEST % exact.denominator == 0:
        whole, rest = divmod(abs(exact), 1)
        return f"{'-' * (exact < 0)}{f'{whole} ' if whole else ''}{rest}"
    text = f"{number:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    decimals = _DECIMALS.fullmatch(shown.rstrip("% "))
    missing = len(decimals["places"]) - len(text.partition(".")[2]) if decimals else 0
    if missing > 0:
        text += ("" if "." in text else ".") + "0" * missing
    return text + " %" * percent
