"""The text of a typed page: from a file, or from stdin."""

from __future__ import annotations

import sys
from pathlib import Path

from fitment.errors import DataFault, NotFoundFault

#: far more than any page; stops a wrong file before it is read line by line
_LARGEST = 1_000_000


def page_text(file: Path) -> tuple[str, str]:
    """The name for messages, and the text; ``-`` is stdin.

    Raises:
        NotFoundFault: no such file, or a folder.
        DataFault: too large, or not text.
    """
    name = "stdin" if str(file) == "-" else str(file)
    try:
        if name == "stdin":
            raw = sys.stdin.buffer.read(_LARGEST + 1)
        else:
            with file.open("rb") as opened:
                raw = opened.read(_LARGEST + 1)
    except FileNotFoundError:
        raise NotFoundFault("no such file", place=name, mending="check the name", code="page-10") from None
    except IsADirectoryError:
        raise NotFoundFault("this is a folder", place=name, mending="name the file in it", code="page-10") from None
    if len(raw) > _LARGEST:
        raise DataFault("larger than 1 MB", place=name, mending="a page is a few dozen lines", code="page-11")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise DataFault("not UTF-8 text", place=name, mending="save it as plain text, UTF-8", code="page-12") from None
    if "\0" in text:
        raise DataFault(
            "holds NUL bytes, so it is not text", place=name, mending="save it as plain text", code="page-12"
        )
    return name, text
