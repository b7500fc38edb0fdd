"""Files written whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from fitment.errors import StorageFault


def write_whole(path: Path, content: bytes) -> None:
    """As `write_all`, of one file."""
    write_all({path: content})


def write_all(contents: Mapping[Path, bytes]) -> None:
    """Writes every file beside its place, then moves all into place: where the disk is full, none of them is changed.

    Raises:
        StorageFault: the folder or the disk refuses.
    """
    aside = {path: path.with_name(f".{path.name}.{os.getpid()}.part") for path in contents}
    path = None
    try:
        try:
            for path, content in contents.items():
                aside[path].write_bytes(content)
            for path in contents:
                aside[path].replace(path)
        finally:
            for left in aside.values():
                left.unlink(missing_ok=True)
    except OSError as error:
        raise StorageFault(
            f"cannot be written: {error.strerror}",
            place=str(path),
            mending="name a file in a folder of yours, on a disk with room",
            code="export-03",
        ) from None
