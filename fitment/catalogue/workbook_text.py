"""Text in a workbook's cells: what XML cannot hold is written ``_x0007_`` (ST_Xstring of ECMA-376, from memory)."""

from __future__ import annotations

import re

from fitment.errors import DataFault

#: a carriage return too, which reading XML would make a line feed
_UNWRITABLE = re.compile("[\x00-\x08\x0b-\x1f\ufffe\uffff]")
_ESCAPE = re.compile("_x(?P<code>00[01][0-9A-Fa-f]|FFF[EF])_")
#: what would be read back as another text
_ESCAPE_LIKE = re.compile("_x[0-9A-Fa-f]{4}_|x005F_")
#: signs in one cell, as spreadsheet programs have it
_LONGEST = 32_767


def escaped(text: str) -> str:
    """The text as a workbook's cell holds it.

    Raises:
        DataFault: too long for a cell, or it would come back changed.
    """
    mending = "export as CSV with --into"
    if len(text) > _LONGEST:
        raise DataFault(
            f"a text of {len(text):,} characters does not go into a cell of a workbook",
            mending=mending,
            code="export-02",
        )
    if _ESCAPE_LIKE.search(text):
        raise DataFault(
            "a text that looks like an escape of XML would not come back from a workbook as it is",
            mending=mending,
            code="export-02",
        )
    return _UNWRITABLE.sub(lambda match: f"_x{ord(match[0]):04X}_", text)


def unescaped(text: str) -> str:
    """The text that a cell of a workbook holds."""
    return _ESCAPE.sub(lambda match: chr(int(match["code"], 16)), text)
