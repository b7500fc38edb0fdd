"""What no dimension tells and somebody must look at on the car: fixed lines, as far as they touch a kit's parts."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path

from fitment.catalogue.found import FoundPart
from fitment.frozen import dataclass

#: the word of the table for a dimension that has no reading
_NOT_RECORDED = "not recorded"


@dataclass(frozen=True)
class LookAt:
    """Something to look at.

    Attributes:
        key: stable name, ``castle-nut``.
        line: what to look for.
        source: what it rests on.
    """

    key: str
    line: str
    source: str


@dataclass(frozen=True)
class _Row:
    """A line, the addresses of the parts that it is about, and the recorded words of one dimension that ask for it.

    Without a dimension every such part does.
    """

    told: LookAt
    on: tuple[str, ...]
    feature: str
    dimension: str
    words: tuple[str, ...]

    def touches(self, address: str, part: FoundPart) -> bool:
        if not any(fnmatchcase(address, asked) for asked in self.on):
            return False
        if not self.dimension:
            return True
        use = part.features[self.feature].get(self.dimension)
        return (_NOT_RECORDED if use is None else use.word) in self.words


@cache
def _rows() -> tuple[_Row, ...]:
    with (Path(__file__).parent / "look_at.csv").open(encoding="utf-8", newline="") as table:
        return tuple(
            _Row(
                LookAt(row["key"], row["line"], row["source"]),
                tuple(row["on"].split()),
                row["feature"],
                row["dimension"],
                tuple(row["words"].split("|")) if row["words"] else (),
            )
            for row in csv.DictReader(table)
        )


def look_at(found: Mapping[str, FoundPart]) -> tuple[LookAt, ...]:
    """The lines that touch a kit, in the order of the table.

    Args:
        found: its parts by address.
    """
    return tuple(row.told for row in _rows() if any(row.touches(address, part) for address, part in found.items()))
