"""Whether a file may be opened as a workbook at all: what it is, and whether it would fill the memory.

A workbook is a zip file of XML: a few kilobytes of it may unpack to gigabytes, and a few letters may name every cell
of a worksheet.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from xml.parsers import expat

from openpyxl.utils import range_boundaries

from fitment.errors import DataFault

#: cells of all worksheets, of each from A1 to the last row and column in use
LARGEST_AREA = 500_000
#: bytes of the unpacked parts, and elements in them: two or three for each cell in use
_LARGEST_UNPACKED = 200_000_000
_MOST_ELEMENTS = 1_000_000
_MOST_PARTS = 2_000
_CHUNK = 1 << 20


class _Counter:
    """Counts the elements of all parts and the cells that ranges name."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.elements = 0
        self.named = 0

    def too_large(self, what: str) -> DataFault:
        return DataFault(
            f"the workbook is too large: {what}",
            place=self.path,
            mending="keep the tables alone in it, or split it",
            code="sheet-22",
        )

    def part(self, archive: zipfile.ZipFile, name: str) -> None:
        """One part; pictures and what is broken end at their first wrong byte, for the library to judge."""
        parser = expat.ParserCreate()
        parser.StartElementHandler = self._element
        parser.StartDoctypeDeclHandler = self._doctype
        with archive.open(name) as part:
            try:
                while chunk := part.read(_CHUNK):
                    parser.Parse(chunk)
            except expat.ExpatError:
                return

    def _element(self, name: str, attributes: dict[str, str]) -> None:
        self.elements += 1
        if self.elements > _MOST_ELEMENTS:
            raise self.too_large(f"more than {_MOST_ELEMENTS:,} XML elements")
        # the library makes a cell of each cell that a merge or a link names
        if name.rpartition(":")[2] in ("mergeCell", "hyperlink"):
            self.named += _area(attributes.get("ref", ""))
            if self.named > LARGEST_AREA:
                raise self.too_large(f"merged cells or links over {attributes['ref']}")

    def _doctype(self, *_: object) -> None:
        raise DataFault(
            "a part of the workbook declares a document type, which no spreadsheet program writes",
            place=self.path,
            mending="save it anew as .xlsx, or as CSV, UTF-8",
            code="sheet-21",
        )


def _area(reference: str) -> int:
    try:
        left, top, right, bottom = range_boundaries(reference)
    except (ValueError, TypeError):
        return 0
    if left is None or top is None or right is None or bottom is None:
        return LARGEST_AREA + 1
    return (right - left + 1) * (bottom - top + 1)


def check_bounds(content: bytes, path: str) -> None:
    """Lets pass what can be opened as a workbook without filling the memory.

    Raises:
        DataFault: no workbook, encrypted, broken or too large.
    """
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        raise DataFault(
            "the workbook is encrypted with a password, or an old .xls",
            place=path,
            mending="save it as .xlsx without a password, or as CSV, UTF-8",
            code="sheet-21",
        )
    counter = _Counter(path)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
            if "xl/workbook.xml" not in archive.namelist():
                raise DataFault(
                    "not a workbook (.xlsx)", place=path, mending="save it as .xlsx, or as CSV, UTF-8", code="sheet-21"
                )
            if len(parts) > _MOST_PARTS:
                raise counter.too_large(f"{len(parts):,} parts")
            unpacked = sum(part.file_size for part in parts)
            if unpacked > _LARGEST_UNPACKED:
                raise counter.too_large(f"{unpacked / 1e6:,.0f} MB unpacked")
            for part in parts:
                counter.part(archive, part.filename)
    # every way in which the standard library's readers answer a file that is damaged, locked or no workbook at all
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError) as error:
        raise DataFault(
            f"not a workbook (.xlsx), or only a part of one: {error}",
            place=path,
            mending="save it anew as .xlsx, or as CSV, UTF-8",
            code="sheet-21",
        ) from None
