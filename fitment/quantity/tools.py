"""Tools of the trade, and what each leaves in doubt (``tools.csv``; its figures are common practice, no source).

The half-widths assume a decent tool, a clean part and somebody who has done it before.
"""

from __future__ import annotations

import csv
import re
from functools import cache
from pathlib import Path

from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.quantity.units import KINDS, unit_named
from fitment.quantity.written import quoted

#: kinds that a tool's half-width may be of, by the unit in the table
_KIND_OF_UNIT = {"mm": "length", "in": "length", "deg": "angle", "turn": "turns", "%": "torque", "": "count"}


@dataclass(frozen=True)
class Tool:
    """A tool in one use.

    Attributes:
        code: short name, ``calliper-inside``.
        title: name for people.
        use: what it measures here.
        reach: the longest that one of the usual size takes, mm; None where nothing bounds it.
        half_width: half-width of the interval that is believed to hold its error, in `unit`; None for pass or fail.
        unit: unit of `half_width`: mm, in, deg, turn, "%" of the value, or "" for counts; None for pass or fail.
        synonyms: other spellings that are accepted.
        note: how to use it well, or what spoils it; "" where nothing is said.
        source: where the half-width comes from.
    """

    code: str
    title: str
    use: str
    reach: float | None
    half_width: float | None
    unit: str | None
    synonyms: tuple[str, ...]
    note: str
    source: str

    def reaches(self, value: float) -> bool:
        """Whether it is long enough for a value in its canonical unit."""
        return self.reach is None or abs(value) <= self.reach

    @property
    def kind(self) -> str | None:
        """Kind of the values that its half-width is of; None for pass or fail."""
        return None if self.unit is None else _KIND_OF_UNIT[self.unit]

    def half_width_for(self, kind: str, value: float) -> float | None:
        """What this tool leaves in doubt, in the canonical unit of the kind; None for pass or fail.

        Args:
            kind: kind of the value measured, a key of `fitment.quantity.units.KINDS`.
            value: the value measured, in its canonical unit (a torque wrench errs by a share of it).

        Raises:
            DataFault: the tool does not measure this kind of value.
        """
        own = self.kind
        if self.half_width is None or self.unit is None or own is None:
            return None
        if own != kind:
            raise DataFault(
                f"{self.code} measures {KINDS[own]}, not {KINDS[kind]}",
                mending="name the tool that gave this value, or leave the tool out",
                code="tool-02",
            )
        if self.unit == "%":
            return abs(value) * self.half_width / 100.0
        return float(unit_named(self.unit, kind).to_canonical(self.half_width))


@cache
def all_tools() -> tuple[Tool, ...]:
    """Every tool, in the order of the table."""
    with Path(__file__).with_name("tools.csv").open(encoding="utf-8", newline="") as table:
        return tuple(_tool(row) for row in csv.DictReader(table))


def _tool(row: dict[str, str]) -> Tool:
    measures = row["half_width"] != ""
    return Tool(
        code=row["tool"],
        title=row["title"],
        use=row["use"],
        reach=float(row["reach_mm"]) if row["reach_mm"] else None,
        half_width=float(row["half_width"]) if measures else None,
        unit=row["unit"] if measures else None,
        synonyms=tuple(row["synonyms"].split(";")),
        note=row["note"],
        source=row["source"],
    )


def _key(name: str) -> str:
    """A name without the differences that people do not mean: case, hyphens, underscores, spaces."""
    return " ".join(re.sub("[-_]", " ", name.casefold()).split())


@cache
def _by_name() -> dict[str, Tool]:
    known = {_key(name): tool for tool in all_tools() for name in (tool.code, *tool.synonyms)}
    return known | {tool.code: tool for tool in all_tools()}


def tool_title(code: str) -> str:
    """The tool's word for people; a code that is no tool of the table (look, paper) is a word already."""
    return {tool.code: tool.title for tool in all_tools()}.get(code, code.replace("-", " "))


def find_tool(name: str) -> Tool:
    """The tool of a code or of one of its synonyms; case, hyphens and spaces do not matter.

    Raises:
        DataFault: no such tool, naming the nearest.
    """
    tool = _by_name().get(name) or _by_name().get(_key(name))
    if tool is None:
        raise DataFault(
            f"there is no tool {quoted(name)}",
            mending=nearest(_key(name), (spelling for tool in all_tools() for spelling in (tool.code, *tool.synonyms))),
            code="tool-01",
        )
    return tool
