"""Everything that is handed over for a kit, as files: each document as a page, all in one, and what goes with them."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.sheets.context import SheetContext
from fitment.sheets.documents import Document, chosen
from fitment.sheets.pages import Page, closing, page_html

#: the page with every document
ALL = "report.html"
#: the list of the files, by which a later hand-over knows them again
LIST = "files.json"


@dataclass(frozen=True)
class HandOver:
    """What is handed over.

    Attributes:
        files: content by name.
        made: the documents that were filled in, in order, each with its files.
        left_out: the documents that the kit has nothing for.
    """

    files: Mapping[str, bytes]
    made: tuple[tuple[Document, tuple[str, ...]], ...]
    left_out: tuple[Document, ...]


def hand_over(context: SheetContext, only: Sequence[str] = ()) -> HandOver:
    """The files for a kit.

    Args:
        context: what they are filled in from.
        only: names of documents; all where none is named.

    Raises:
        UsageFault: there is no such document.
    """
    files: dict[str, bytes] = {}
    pages: list[Page] = []
    made: list[tuple[Document, tuple[str, ...]]] = []
    left_out: list[Document] = []
    for document in chosen(only):
        sheet = document.sheet(context)
        if sheet is None:
            left_out.append(document)
            continue
        page = Page(document.name, document.title, document.reader, sheet, closing(context, sheet))
        pages.append(page)
        files[f"{document.name}.html"] = page_html(context, document.title, [page]).encode()
        files |= sheet.files
        made.append((document, (f"{document.name}.html", *sheet.files)))
    if len(pages) > 1:
        files[ALL] = page_html(context, f"Everything handed over for {context.report.kit}", pages).encode()
    return HandOver(files, tuple(made), tuple(left_out))


def digests(files: Mapping[str, bytes]) -> list[dict[str, str | int]]:
    """Each file with its size in bytes and its SHA-256, by name."""
    return [
        {"file": name, "bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for name, content in sorted(files.items())
    ]


def may_write(folder: Path, files: Mapping[str, bytes], replace: bool) -> list[Path]:
    """The files of an earlier hand-over that these take the place of.

    Args:
        folder: where to.
        files: content by name.
        replace: whether files of an earlier hand-over, unchanged since, may go.

    Raises:
        DataFault: a file is there that was not made by a hand-over, or was changed since, or may not be replaced.
    """
    if folder.exists() and not folder.is_dir():
        raise DataFault("this is no folder", place=str(folder), mending="name a folder with --into", code="export-01")
    ours = _earlier(folder) if replace else {}
    for name, content in files.items():
        path = folder / name
        if not path.exists():
            continue
        held = path.read_bytes() if path.is_file() else None
        if held is None or (held != content and ours.get(name) != hashlib.sha256(held).hexdigest()):
            raise DataFault(
                "there is a file of that name already",
                place=str(path),
                mending="name another folder, or take it away"
                if replace
                else "name another folder, or say --yes to replace what an earlier fitment sheet wrote there",
                code="export-01",
            )
    return [
        path
        for name, digest in ours.items()
        if name not in files
        and (path := folder / name).is_file()
        and hashlib.sha256(path.read_bytes()).hexdigest() == digest
    ]


def _earlier(folder: Path) -> dict[str, str]:
    """Digests by name of the files that an earlier hand-over wrote; none where its list cannot be read."""
    try:
        text = (folder / LIST).read_bytes()
        listed = json.loads(text)["files"]
        found = {Path(one["file"]).name: str(one["sha256"]) for one in listed}
    except (OSError, ValueError, KeyError, TypeError):
        return {}
    return found | {LIST: hashlib.sha256(text).hexdigest()}
