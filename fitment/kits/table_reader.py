"""Reads one table of a kit file, key by key, and collects what is wrong with it instead of stopping."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from fitment.errors import DataFault, FitmentError, nearest
from fitment.kits.toml_places import Path, Places
from fitment.quantity.parse import Quantity, parse_quantity
from fitment.quantity.units import canonical_unit


class TableReader:
    """A table and where it stands.

    Args:
        data: the table as tomllib gives it.
        path: keys that lead to it; () for the whole file.
        places: positions of everything in the file.
        file: name of the file for messages.
        faults: the list that every reader of the file adds to.
    """

    def __init__(self, data: dict[str, Any], path: Path, places: Places, file: str, faults: list[FitmentError]):
        self.data = data
        self.path = path
        self.file = file
        self.faults = faults
        self._places = places

    def place(self, path: Path, *, value: bool = False) -> str:
        """``kit.toml:14:1`` of a key of this table, or of its value; () is the table itself."""
        full = (*self.path, *path)
        line, column = self._places.value(full) if value else self._places.key(full)
        return f"{self.file}:{line}:{column}"

    def fault(
        self,
        message: str,
        path: Path,
        *,
        code: str,
        mending: str | None = None,
        near: tuple[str, Collection[str]] | None = None,
        value: bool = False,
    ) -> None:
        """Notes a fault at a key or value; `near` offers the spellings nearest to a word."""
        mending = nearest(*near) if near else mending
        self.faults.append(DataFault(message, place=self.place(path, value=value), mending=mending, code=code))

    def only(self, allowed: Collection[str]) -> None:
        """Notes every key that is not allowed here."""
        for key in self.data:
            if key not in allowed:
                where = f" in {self._spoken()}" if self.path else ""
                self.fault(f'unknown key "{key}"{where}', (key,), near=(key, allowed), code="kit-file-05")

    def _spoken(self) -> str:
        names = [str(name) for name in self.path if isinstance(name, str)]
        brackets = ("[[", "]]") if isinstance(self.path[-1], int) else ("[", "]")
        return f"{brackets[0]}{'.'.join(names)}{brackets[1]}"

    def required(self, keys: Collection[str]) -> None:
        """Notes every key that is missing from this table."""
        for key in keys:
            if key not in self.data:
                self.fault(f"{self._spoken()} has no {key}", (), mending=f"add {key} = ...", code="kit-file-07")

    def text(self, key: str, allowed: Collection[str] = ()) -> str:
        """The text under a key; "" where it is absent or wrong, which is noted."""
        if key not in self.data:
            return ""
        value = self.data[key]
        if not isinstance(value, str):
            self._wrong((key,), f"{key} is not text", f'write it between quotes: {key} = "..."')
        elif not value.strip():
            self._wrong((key,), f"{key} is empty", "write something between the quotes, or take the line out")
        elif allowed and value not in allowed:
            self.fault(f'{key} is "{value}"', (key,), near=(value, allowed), value=True, code="kit-file-08")
        else:
            return value.strip()
        return ""

    def _wrong(self, path: Path, message: str, mending: str) -> None:
        self.fault(message, path, mending=mending, value=True, code="kit-file-06")

    def pair(self, key: str) -> tuple[str, str] | None:
        """A list of two texts; None where it is absent or wrong, which is noted."""
        if key not in self.data:
            return None
        value = self.data[key]
        if isinstance(value, list) and len(value) == 2 and all(isinstance(text, str) for text in value):
            return value[0], value[1]
        self._wrong((key,), f"{key} is not a list of two texts", f'write {key} = ["...", "..."]')
        return None

    def table(self, key: str) -> TableReader:
        """The section under a key; an empty one where it is absent or wrong, which is noted."""
        if key not in self.data:
            return self._below(key, {})
        return self.inline(key, f"write [{key}] on a line of its own, its keys below") or self._below(key, {})

    def inline(self, key: str, mending: str) -> TableReader | None:
        """The table under a key that is there; None where it is no table, which is noted with `mending`."""
        value = self.data[key]
        if isinstance(value, dict):
            return self._below(key, value)
        self._wrong((key,), f"{key} is not a table of keys and values", mending)
        return None

    def _below(self, key: str, data: dict[str, Any]) -> TableReader:
        return TableReader(data, (*self.path, key), self._places, self.file, self.faults)

    def tables(self, key: str) -> list[TableReader]:
        """The tables under a repeated heading; none where it is absent or wrong, which is noted."""
        value = self.data.get(key, [])
        if not isinstance(value, list) or not all(isinstance(table, dict) for table in value):
            self._wrong((key,), f"{key} is not a repeated section", f"write [[{key}]] on a line of its own")
            return []
        return [
            TableReader(table, (*self.path, key, index), self._places, self.file, self.faults)
            for index, table in enumerate(value)
        ]


def quantity_at(
    table: TableReader, path: Path, text: str, kind: str, reason: tuple[float, float] | None = None
) -> Quantity | None:
    """A quantity written with its unit; None where it cannot be read or is out of reason, which is noted at its place.

    Args:
        reason: the least and the greatest that is in reason, in the canonical unit of `kind`; None for any.
    """
    try:
        found = parse_quantity(text, kind)
    except DataFault as fault:
        table.faults.append(fault.at(table.place(path, value=True)))
        return None
    if reason is None or reason[0] <= found.value <= reason[1]:
        return found
    low, high = (f"{end:g} {canonical_unit(kind).symbol}" for end in reason)
    mending = f"write {low} to {high}"
    table.fault(f"{path[0]} is {text}, out of reason", path, value=True, mending=mending, code="kit-file-23")
    return None
