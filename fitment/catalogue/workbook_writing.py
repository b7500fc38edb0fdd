"""Workbooks out: each table as a worksheet, every cell and column as text, so that nothing typed becomes a date."""

from __future__ import annotations

import datetime
import gc
import io
import os
import sys
import tempfile
import zipfile
from collections.abc import Mapping
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.xml.constants import ARC_CORE
from openpyxl.xml.functions import tostring

from fitment.catalogue.sheet_text import Table
from fitment.catalogue.whole_file import write_whole
from fitment.catalogue.workbook_text import escaped
from fitment.errors import DataFault, StorageFault

#: the number format of text
_TEXT = "@"
#: widths of columns, in characters
_NARROWEST, _WIDEST = 8, 40
#: rows that a width is taken from: the headings and the first readings
_LOOKED_AT = 50
#: the earliest moment that a zip file can tell
_ZIP_START = (1980, 1, 1, 0, 0, 0)


def write_workbook(path: Path, tables: Mapping[str, Table]) -> None:
    """Writes a new workbook, whole or not at all; the same tables give the same bytes at one SOURCE_DATE_EPOCH.

    Args:
        path: of the new file.
        tables: by the name of their worksheet, at least one.

    Raises:
        DataFault: there is such a file, or a text does not go into a workbook.
        StorageFault: it cannot be written there.
    """
    if path.exists():
        raise DataFault("the file is there already", place=str(path), mending="name a new one", code="export-01")
    book = Workbook()
    book.remove(book.worksheets[0])
    for name, table in tables.items():
        _fill(book.create_sheet(name), table)
    write_whole(path, _saved(book))


def _fill(worksheet: Worksheet, table: Table) -> None:
    bold = Font(bold=True)
    for number, row in enumerate([table.headings, *table.rows], 1):
        for index, text in enumerate(row, 1):
            if not text:
                continue
            cell = worksheet.cell(number, index)
            try:
                cell.value = escaped(text)
            except DataFault as fault:
                raise fault.at(f"sheet {worksheet.title}, row {number}, column {table.headings[index - 1]}") from None
            cell.data_type = "s"  # a text that begins with = is no formula
            cell.number_format = _TEXT
            if number == 1:
                cell.font = bold
    for index in range(1, len(table.headings) + 1):
        longest = max(len(row[index - 1]) for row in [table.headings, *table.rows[:_LOOKED_AT]])
        column = worksheet.column_dimensions[get_column_letter(index)]
        column.number_format = _TEXT
        column.width = min(max(longest + 2, _NARROWEST), _WIDEST)
    worksheet.freeze_panes = "B2"


def _saved(book: Workbook) -> bytes:
    """As `_fixed`; where the disk for temporary files is full, one clear fault.

    Raises:
        StorageFault: worksheets could not be written aside.
    """
    hook = sys.unraisablehook
    try:
        return _fixed(book)
    except OSError as error:
        # the library's generators fail again while they are collected, and Python would print each of their tracebacks
        sys.unraisablehook = lambda _: None
        told = f"no room for temporary files: {error.strerror}"
        error.__traceback__ = error.__context__ = None
        gc.collect()
    finally:
        sys.unraisablehook = hook
    raise StorageFault(told, place=tempfile.gettempdir(), mending="make room on that disk", code="export-06")


def _fixed(book: Workbook) -> bytes:
    """The bytes of a workbook, with no moment in them but that of its making."""
    given = os.environ.get("SOURCE_DATE_EPOCH")
    made = datetime.datetime.fromtimestamp(int(given), datetime.UTC) if given else datetime.datetime.now(datetime.UTC)
    first = io.BytesIO()
    book.save(first)
    properties = book.properties
    properties.creator = "fitment"
    properties.created = properties.modified = made.replace(tzinfo=None, microsecond=0)
    out = io.BytesIO()
    with zipfile.ZipFile(first) as parts, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in parts.namelist():
            content = tostring(properties.to_tree()) if name == ARC_CORE else parts.read(name)
            part = zipfile.ZipInfo(name, _ZIP_START)
            part.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(part, content)
    return out.getvalue()
