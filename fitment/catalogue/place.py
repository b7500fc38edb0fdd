"""Where a catalogue is: its URL, the file behind it; what is said where it does not answer. Nothing heavy is loaded."""

from __future__ import annotations

import os
from pathlib import Path

from fitment.errors import StorageFault


def default_url() -> str:
    """The URL of the user's own catalogue: FITMENT_DB, or one SQLite file in the user's data folder."""
    given = os.environ.get("FITMENT_DB", "")
    if given:
        return as_url(given)
    from platformdirs import user_data_path

    return f"sqlite:///{user_data_path('fitment') / 'catalogue.sqlite'}"


def as_url(given: str) -> str:
    """A database URL from a URL or a plain path of a SQLite file."""
    return given if "://" in given else f"sqlite:///{Path(given)}"


def sqlite_file(url: str) -> Path | None:
    """The file behind an SQLite URL; None for a server."""
    return Path(url.removeprefix("sqlite:///")) if url.startswith("sqlite:///") else None


def not_answered(error: BaseException | None, shown: str) -> StorageFault:
    """The fault of a database whose driver raised this."""
    first = str(error).splitlines()[0] if str(error) else type(error).__name__
    said = f"the database did not answer as it should: {first}; nothing was changed"
    return StorageFault(said, place=shown, code="db-04")
