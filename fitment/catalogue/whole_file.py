"""A file written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

from fitment.errors import StorageFault


def write_whole(path: Path, content: bytes) -> None:
    """Writes beside the file and moves it into place, so that nothing half written is ever left under its name.

    Raises:
        StorageFault: the folder or the disk refuses.
    """
    aside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        try:
            aside.write_bytes(content)
            aside.replace(path)
        finally:
            aside.unlink(missing_ok=True)
    except OSError as error:
        raise StorageFault(
            f"cannot be written: {error.strerror}",
            place=str(path),
            mending="name a file in a folder of yours",
            code="export-03",
        ) from None
