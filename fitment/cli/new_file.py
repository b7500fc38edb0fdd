"""Writes files that a command was asked for: whole or not at all, and never over something else."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from fitment.catalogue.whole_file import write_all
from fitment.errors import DataFault


def write_new(contents: Mapping[Path, bytes]) -> None:
    """Writes each file aside, then renames it, so that nobody ever sees half of it.

    Raises:
        DataFault: a file is there already and holds something else; nothing was written.
        StorageFault: one cannot be written.
    """
    for path, content in contents.items():
        if path.exists() and (not path.is_file() or path.read_bytes() != content):
            raise DataFault(
                "there is a file of that name already",
                place=str(path),
                mending="name another, or take it away",
                code="export-01",
            )
    write_all(contents)
