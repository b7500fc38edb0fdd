"""Fitment: whether donor steering parts mate, by what margin, and on whose word.

The same road as the command line: ``with open_catalogue() as book: report = check(load_kit("kit.toml"), book)``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fitment.catalogue.book import open_catalogue
    from fitment.kits.check import check
    from fitment.kits.kit_file import load_kit

__all__ = ["check", "load_kit", "open_catalogue"]

_WHERE = {
    "open_catalogue": "fitment.catalogue.book",
    "load_kit": "fitment.kits.kit_file",
    "check": "fitment.kits.check",
}


def __getattr__(name: str) -> Any:
    """Loads what is asked for when it is asked for, so that ``import fitment`` costs nothing."""
    if name not in _WHERE:
        raise AttributeError(f"module 'fitment' has no attribute '{name}'")
    from importlib import import_module

    return getattr(import_module(_WHERE[name]), name)
