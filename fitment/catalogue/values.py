"""From the text of a cell to values: by the dictionary's kind of value, with tool, unit and doubt.

Text is ``value [@tool] [!]``; several repeats, or several distances between holes, are parted by ``;``. ``!`` says
that a value outside the plausible range is meant, but not that a size is zero or less. What is stored can always be
made again from the text, the bare unit and the tool.
"""

from __future__ import annotations

import re
from functools import cache

from fitment.catalogue.dictionary import Dimension
from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.quantity.parse import parse_quantity, parse_taper, standard_uncertainty
from fitment.quantity.points import (
    HoleToHole,
    parse_distance,
    parse_point,
    show_distances,
    show_point,
    stored_distances,
    stored_point,
)
from fitment.quantity.show import show_quantity, show_taper
from fitment.quantity.tools import Tool, all_tools, find_tool
from fitment.quantity.units import canonical_unit, system_unit
from fitment.standards.thread_names import parse_thread

#: kinds of value that are numbers with a unit
NUMERIC = frozenset({"length", "angle", "mass", "force", "torque", "turns", "rate", "count", "fraction", "number"})
#: kinds of value whose bare number has no unit to assume
_PLAIN = frozenset({"count", "number"})
#: kinds of value that are several lengths in one text
LENGTHS = frozenset({"point", "distances"})
#: kinds of value whose bare number takes a unit
_WITH_UNIT = NUMERIC - _PLAIN
#: tools that reach into a hole by their jaws
_INSIDE = frozenset({"calliper-inside", "calliper-tapered-eye"})

#: a number alone, which needs its unit
_BARE = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,6})?")
_TRIAL = re.compile(
    r"^(?P<result>pass|fail)(?:\s+(?:with\s+(?P<mate>\S+\s+[a-z][a-z.-]*)|gauge\s+(?P<gauge>\S+)))?"
    r"(?:\s+contact\s+(?P<contact>[\d.,]+)\s*%)?(?:\s+stand-?off\s+(?P<off>.+))?$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class StoredValue:
    """One value ready to be kept; `number` and `u` in the canonical unit of the dimension."""

    entered: str
    bare_unit: str
    number: float | None
    u: float | None
    word: str | None
    tool: str


@dataclass(frozen=True)
class TrialRecord:
    """A pass-or-fail trial, taken apart."""

    passed: bool
    against: str
    contact: float | None
    stand_off: float | None
    stand_off_u: float | None

    @property
    def with_mate(self) -> bool:
        """Whether it was made with another part (not with a gauge), so that it is about those two alone."""
        return "/" in self.against


def parse_trial(text: str) -> TrialRecord:
    """A trial from its text: ``pass with NORTH/KN-1 eye contact 85 % standoff 1.6 mm`` or ``fail gauge 1:10``.

    Raises:
        DataFault: if the text says something else.
    """
    match = _TRIAL.match(" ".join(text.split()))
    if not match:
        raise DataFault(
            f'"{text}" is not a trial',
            mending='write pass or fail, then "with SHOP/REF feature" or "gauge 1:10", "contact 85 %", "standoff 2 mm"',
            code="trial-01",
        )
    off = parse_quantity(match["off"], "length") if match["off"] else None
    contact = parse_quantity(match["contact"] + " %", "fraction").value / 100 if match["contact"] else None
    if contact is not None and not 0 <= contact <= 1:
        raise DataFault(
            f"contact {contact:.0%} is not between 0 and 100 %", mending="check the number", code="trial-02"
        )
    return TrialRecord(
        match["result"].lower() == "pass",
        match["mate"] or match["gauge"] or "",
        contact,
        off.value if off else None,
        standard_uncertainty(off, find_tool("depth-rod").half_width_for("length", off.value)) if off else None,
    )


def bare_unit(dimension: Dimension, system: str | None) -> str:
    """The unit that a bare number of this dimension takes in a system ("mm", "inch"); "" where there is none."""
    if system is None or (dimension.value_kind not in _WITH_UNIT and dimension.value_kind not in LENGTHS):
        return ""
    return system_unit(_measured_kind(dimension), system).symbol


def _measured_kind(dimension: Dimension) -> str:
    """The kind of quantity that a tool reads for this dimension."""
    return "length" if dimension.value_kind in LENGTHS else dimension.value_kind


def read_values(dimension: Dimension, text: str, unit: str, sitting_tool: str, measured: bool) -> list[StoredValue]:
    """Every value of one cell, in order.

    Args:
        dimension: what the cell is a reading of.
        text: the cell.
        unit: symbol that a bare number takes; "" refuses bare numbers.
        sitting_tool: the tool of the whole sitting; "" leaves each dimension its own.
        measured: whether the source is a measurement, so that a tool's doubt applies.

    Raises:
        DataFault: what is wrong with the text.
    """
    return [
        _read_one(dimension, piece.strip(), unit, sitting_tool, measured) for piece in text.split(";") if piece.strip()
    ]


def _read_one(dimension: Dimension, text: str, unit: str, sitting_tool: str, measured: bool) -> StoredValue:
    entered = text
    sure = text.endswith("!")
    text, at, named = text.rstrip("! ").partition("@")
    text, tool = text.strip(), find_tool(named.strip()) if at else None
    if not text:
        raise DataFault(f'"{entered}" has no value', mending="write a value, or leave the cell empty", code="value-01")
    if dimension.value_kind in NUMERIC:
        quantity = parse_quantity(text, dimension.value_kind, unit or None)
        _possible(dimension, quantity.value)
        if not sure:
            _plausible(dimension, quantity.value)
        used = _tool_for(dimension, tool, sitting_tool, quantity.value) if measured or tool else None
        half = _half_width(used, dimension.value_kind, quantity.value)
        u = standard_uncertainty(quantity, half)
        return StoredValue(
            entered, _kept_unit(text, dimension, unit), quantity.value, u, None, used.code if used else ""
        )
    if dimension.value_kind in LENGTHS:
        return _read_lengths(dimension, entered, text, unit, tool, sitting_tool, measured)
    code = tool.code if tool else ""
    if dimension.value_kind == "taper":
        taper = parse_taper(text)
        _possible(dimension, taper.ratio)
        if not sure:
            _plausible(dimension, taper.ratio)
        spread = taper.half_width / 3**0.5 if taper.half_width is not None else None
        return StoredValue(entered, "", taper.ratio, spread if taper.u is None else taper.u, None, code)
    return StoredValue(entered, "", None, None, _word_of(dimension, text), code)


def _half_width(tool: Tool | None, kind: str, value: float) -> float | None:
    """What a tool leaves in doubt; None where none was used.

    Raises:
        DataFault: the tool gives no numbers, or measures something else.
    """
    if tool is not None and tool.kind is None:
        raise DataFault(
            f"{tool.title} gives pass or fail, not a number",
            mending="name the tool that gave the number",
            code="value-02",
        )
    return tool.half_width_for(kind, value) if tool else None


def _read_lengths(
    dimension: Dimension, entered: str, text: str, unit: str, tool: Tool | None, sitting_tool: str, measured: bool
) -> StoredValue:
    """A point, or one distance between two holes; the word is its text in mm, `u` that of each length."""
    read = parse_point(text, unit or None) if dimension.value_kind == "point" else parse_distance(text, unit or None)
    used = _tool_for(dimension, tool, sitting_tool, read.longest) if measured or tool else None
    if used is not None and tool is None and used.code == "calliper":
        if not used.reaches(read.longest):
            used = find_tool("tape")
        elif isinstance(read, HoleToHole) and read.kind == "outside":
            used = find_tool("calliper-inside")  # over the far edges of two holes its inside jaws measure
    u = read.u(_half_width(used, "length", read.longest))
    return StoredValue(entered, _kept_unit(text, dimension, unit), None, u, read.stored(u), used.code if used else "")


def _kept_unit(text: str, dimension: Dimension, unit: str) -> str:
    """The bare unit is kept only where the text needed it, so that the same entry has the same identity."""
    if dimension.value_kind in _WITH_UNIT and _BARE.fullmatch(text):
        return unit
    try:
        if dimension.value_kind == "point":
            parse_point(text)
        elif dimension.value_kind == "distances":
            parse_distance(text)
        else:
            parse_quantity(text, dimension.value_kind, None)
    except DataFault:
        return unit
    return ""


def takes_bare_unit(dimension: Dimension, text: str) -> bool:
    """Whether any value of a cell is written without its unit, so that it takes that of its column or row."""
    pieces = (piece.rstrip("! ").partition("@")[0].strip() for piece in text.split(";"))
    return any(_kept_unit(piece, dimension, "bare") for piece in pieces if piece)


def _word_of(dimension: Dimension, text: str) -> str:
    if dimension.value_kind == "thread":
        name = parse_thread(text)
        return name.thread.designation + (f"-{name.hand}" if name.hand else "")
    if dimension.value_kind == "trial":
        parse_trial(text)
        return " ".join(text.split())
    if dimension.value_kind == "word" and dimension.words:
        for word in dimension.words:
            if word.lower() == text.lower():
                return word
        raise DataFault(
            f'{dimension.dimension} cannot be "{text}"', mending=nearest(text, dimension.words), code="value-03"
        )
    return " ".join(text.split())


def _possible(dimension: Dimension, value: float) -> None:
    """Refuses what cannot be, however sure its writer is."""
    if dimension.above_zero and value <= 0:
        shown = show_taper(value) if dimension.value_kind == "taper" else show_quantity(value, dimension.value_kind)
        raise DataFault(
            f"{dimension.title} {shown} cannot be zero or less",
            mending="write what the tool reads; leave the cell empty if it was not measured",
            code="value-06",
        )


def _plausible(dimension: Dimension, value: float) -> None:
    low, high = dimension.low, dimension.high
    if (low is not None and value < low) or (high is not None and value > high):
        shown, usual = _with_its_range(dimension, value)
        raise DataFault(
            f"{dimension.title} {shown} is outside the usual {usual}",
            mending='check the unit and the decimal; if it is right, write "!" after it',
            code="value-04",
        )


def _with_its_range(dimension: Dimension, value: float) -> tuple[str, str]:
    """A value, and the usual range of its dimension, as people read them."""
    low, high = dimension.low or 0.0, dimension.high or 0.0
    if dimension.value_kind == "taper":
        return show_taper(value), f"{show_taper(low)} to {show_taper(high)}"
    unit = canonical_unit(dimension.value_kind).symbol
    return show_quantity(value, dimension.value_kind), f"{low:g} to {high:g} {unit}"


@cache
def _by_code() -> dict[str, Tool]:
    return {tool.code: tool for tool in all_tools()}


def _tool_for(dimension: Dimension, cell: Tool | None, sitting_tool: str, value: float) -> Tool | None:
    """The cell's tool; else the sitting's, if it measures this kind so far; else the dimension's own.

    "Calliper" for an inside dimension means its inside jaws, and for a depth its rod, with their larger doubt.

    Raises:
        DataFault: a tool for outsides is named for an inside.
    """
    own = _by_code().get(dimension.tool)
    kind = _measured_kind(dimension)
    own = own if own is not None and own.kind == kind else None
    tool = cell
    whole = find_tool(sitting_tool) if sitting_tool else None
    if tool is None and whole is not None and whole.kind == kind and whole.reaches(value):
        tool = whole
    inside = own is not None and own.code in _INSIDE
    if tool is None or (own is not None and (inside or own.code == "depth-rod") and tool.code == "calliper"):
        return own
    if inside and tool.code == "micrometer":
        raise DataFault(
            f"{dimension.title} is an inside, which a micrometer for outsides does not reach",
            mending="name what it was read with: ball-gauge, calliper-inside, calliper-tapered-eye",
            code="value-05",
        )
    return tool


def shown(dimension: Dimension, number: float | None, u: float | None, word: str | None, system: str = "mm") -> str:
    """A value as people read it, with its unit."""
    if dimension.value_kind == "point" and word:
        return show_point(stored_point(word), system, u)
    if dimension.value_kind == "distances" and word:
        return show_distances(stored_distances(word), system)
    if number is None:
        return word or ""
    if dimension.value_kind == "taper":
        return show_taper(number)
    return show_quantity(number, dimension.value_kind, system, u or None)
