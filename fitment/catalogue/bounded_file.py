"""Files that somebody names: never more of them in memory than is of use."""

from __future__ import annotations

from pathlib import Path

from fitment.errors import DataFault


def read_bounded(path: Path, most: int, code: str) -> bytes:
    """The bytes of a file, or of a pipe or a device that may have no end.

    Args:
        most: bytes that are still read.
        code: of the fault.

    Raises:
        DataFault: there are more.
        OSError: as `open`.
    """
    with path.open("rb") as file:
        content = file.read(most + 1)
    if len(content) > most:
        size = f"{most // 1_000_000} MB"
        raise DataFault(f"the file is larger than {size}", place=str(path), mending="split it", code=code)
    return content
