"""A page for the yard as files: text, HTML or both."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from fitment.catalogue.whole_file import write_all
from fitment.errors import DataFault
from fitment.sheets.paper import Paper
from fitment.sheets.paper_html import paper_html
from fitment.sheets.paper_text import paper_text

_WRITERS = {".txt": paper_text, ".html": paper_html}


def write_paper(paper: Paper, into: Path, dry_run: bool = False) -> list[Path]:
    """Writes the page and returns its files: one if `into` ends in .txt or .html, else both in that folder.

    Raises:
        DataFault: a file is there already and holds something else; nothing was written.
    """
    stem = f"{paper.kind.kind}-full" if paper.full else paper.kind.kind
    return write_pages(stem, {suffix: write(paper) for suffix, write in _WRITERS.items()}, into, dry_run)


def write_pages(stem: str, texts: Mapping[str, str], into: Path, dry_run: bool = False) -> list[Path]:
    """Writes a page of which there is a text for each suffix; as `write_paper`."""
    if into.suffix in texts:
        files = {into: texts[into.suffix]}
    else:
        files = {into / f"{stem}{suffix}": text for suffix, text in texts.items()}
    for path, text in files.items():
        if path.exists() and (not path.is_file() or path.read_bytes() != text.encode()):
            raise DataFault(
                "there is a file of that name already",
                place=str(path),
                mending="name another, or take it away",
                code="export-01",
            )
    if not dry_run:
        for path in files:
            path.parent.mkdir(parents=True, exist_ok=True)
        write_all({path: text.encode() for path, text in files.items()})
    return list(files)
