"""Where files that travel with the program are: inside an installed package, or beside it in a checkout."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).parent


def shipped(name: str) -> Path:
    """Folder `name` ("migrations", "demo") of the installed package, or of the checkout that it runs from."""
    installed = _PACKAGE / "_shipped" / name
    if installed.is_dir():
        return installed
    return {"migrations": _PACKAGE.parent / "migrations", "demo": _PACKAGE.parent / "data" / "demo"}[name]
