"""Entries that a spreadsheet took for dates and times: recognised, and what was probably typed.

A spreadsheet that is given ``1/2-20``, ``3/4-36``, ``5/8`` or ``1:10`` keeps a date or a time instead, and what was
typed is gone. How it chooses the day, the month and the year is common practice, no source.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator

from fitment.catalogue.dictionary import Dimension
from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.quantity.parse import parse_taper
from fitment.quantity.written import quoted
from fitment.standards.splines import trade_splines
from fitment.standards.thread_names import parse_thread

_MONTHS = ["January", "February", "March", "April", "May", "June", "July"]
_MONTHS += ["August", "September", "October", "November", "December"]
#: abbreviations of German and French spreadsheets that differ from the English ones (from memory)
_OTHER_MONTHS = {"mrz": 3, "mär": 3, "mai": 5, "okt": 10, "dez": 12, "janv": 1, "févr": 2, "avr": 4, "juin": 6}
_OTHER_MONTHS |= {"juil": 7, "août": 8, "déc": 12, "mars": 3, "sept": 9}
_NAMED = re.compile(
    r"(?:(?P<before>\d{1,4})\.?[\s-]*)?(?P<month>[^\W\d_]{3,9})\.?(?:[\s-]*(?P<after>\d{1,4}))?(?:,?[\s-]*(?P<year>\d{2,4}))?"
)
_NUMBERS = re.compile(r"(?P<a>\d{1,4})(?P<sign>[/.-])(?P<b>\d{1,2})(?P=sign)(?P<c>\d{1,4})(?:[ T]0?0:00(?::00)?)?")
_CLOCK = re.compile(r"(?P<h>\d{1,2}):(?P<m>\d{2})(?::(?P<s>\d{2}(?:[.,]\d+)?))?(?:\s*(?P<half>[AP]M))?", re.IGNORECASE)
_FRACTION = re.compile(r"(?:[1-9]\d?-)?(?P<top>[1-9]\d?)/(?P<bottom>[1-9]\d?)")
_INCH_FRACTIONS = (2, 4, 8, 16, 32, 64)
#: free words in which a shaft end is called by a name like 3/4-36
_SPLINE_NAMES = frozenset({"name"})
#: kinds of value whose text cannot be a date
_NEVER_DATES = frozenset({"length", "angle", "mass", "force", "torque", "turns", "rate", "count", "fraction", "number"})
_NEVER_DATES |= {"thread", "taper"}
_OFFERED = 4


@dataclass(frozen=True)
class Moment:
    """A date or time that stands where something else was typed.

    Attributes:
        shown: how a message calls it, ``the date 2 January 2020``.
        months: numbers of the month and the day, in either order; one number where no day is told.
        year: None where none is told.
        clock: hours, minutes, seconds; None of a date.
        iso: year-month-day of a cell that is a whole date, for columns that hold dates; "" elsewhere.
    """

    shown: str
    months: tuple[int, ...] = ()
    year: int | None = None
    clock: tuple[int, int, float] | None = None
    iso: str = ""


def moment_of_cell(
    value: datetime.date | datetime.time | datetime.timedelta, number_format: str = "d/m/yyyy"
) -> Moment:
    """The date or time of a workbook's cell; its number format tells whether day and year were typed."""
    if isinstance(value, datetime.timedelta):
        return _clock(round(value.total_seconds(), 3))
    if isinstance(value, datetime.time):
        return _clock(value.hour * 3600 + value.minute * 60 + value.second + value.microsecond / 1e6)
    if isinstance(value, datetime.datetime) and value.time() != datetime.time():
        return Moment("the date and time " + value.isoformat(" ", "minutes"))
    form = re.sub(r'\[[^\]]*\]|"[^"]*"', "", number_format.casefold())
    return Moment(
        f"the date {value.day} {_MONTHS[value.month - 1]} {value.year}",
        (value.month, value.day) if "d" in form else (value.month,),
        value.year if "y" in form else None,
        iso=f"{value.year:04}-{value.month:02}-{value.day:02}",
    )


def _clock(seconds: float) -> Moment:
    hours, rest = divmod(seconds, 3600)
    minutes, left = divmod(rest, 60)
    tail = f":{left:04.1f}" if left % 1 else f":{left:02.0f}"
    return Moment(f"the time {hours:.0f}:{minutes:02.0f}{tail}", clock=(int(hours), int(minutes), left))


def moment_of_text(text: str) -> Moment | None:
    """The date or time that a text is, in the spellings that spreadsheets write; None of any other text."""
    if text.replace(".", "", 1).isdecimal():
        return None  # a bare number, of which a sheet has most
    shown = f"{quoted(text)},"
    clock = _CLOCK.fullmatch(text)
    if clock and (clock["s"] or clock["half"] or clock["h"].startswith("0")):
        hours = int(clock["h"]) % 12 + 12 * (clock["half"].upper() == "PM") if clock["half"] else int(clock["h"])
        seconds = float((clock["s"] or "0").replace(",", "."))
        return Moment(f"{shown} a time", clock=(hours, int(clock["m"]), seconds))
    numbers = _NUMBERS.fullmatch(text)
    if numbers:
        a, b, c = (int(numbers[name]) for name in "abc")
        year, months = (a, (b, c)) if len(numbers["a"]) > 2 else (c, (a, b))
        possible = 1 <= min(months) <= 12 and max(months) <= 31
        return Moment(f"{shown} a date", months, year) if possible else None
    named = _NAMED.fullmatch(text)
    month = _month(named["month"]) if named else None
    if named is None or month is None:
        return None
    told = [int(named[name]) for name in ("before", "after", "year") if named[name]]
    days = [number for number in told if 1 <= number <= 31]
    if not told or len(told) > 2 or (len(told) == 2 and not days):
        return None
    if len(told) == 2:
        return Moment(f"{shown} a date", (month, days[0]), told[1] if told[0] == days[0] else told[0])
    # 5-Aug has a day, Jan-50 a year, and Aug-05 either; but 8/05 was typed as much as 8/5
    return Moment(f"{shown} a date", (month, *days), None if days else told[0])


def _month(word: str) -> int | None:
    word = word.casefold()
    if word in _OTHER_MONTHS:
        return _OTHER_MONTHS[word]
    return next((n for n, name in enumerate(_MONTHS, 1) if word in (name.casefold(), name[:3].casefold())), None)


def date_in_text(dimension: Dimension, text: str) -> Moment | None:
    """The first date or time among the values of a cell, where the dimension cannot be one."""
    if dimension.value_kind not in _NEVER_DATES and dimension.dimension not in _SPLINE_NAMES:
        return None
    pieces = (piece.partition("@")[0].rstrip("! ").strip() for piece in text.split(";"))
    return next((found for found in map(moment_of_text, pieces) if found), None)


def date_fault(moment: Moment, dimension: Dimension | None) -> DataFault:
    """The refusal of a cell: what it is, and what was probably typed; of a column that is no dimension, None."""
    entries = list(dict.fromkeys(_entries(moment)))
    known = _known(entries, dimension) if dimension else []
    offered = " or ".join((known or entries)[:_OFFERED])
    guess = f"{'probably' if known else 'perhaps'} {offered}; " if offered else ""
    return DataFault(
        f"the cell is {moment.shown}, which spreadsheets also make out of other entries",
        mending=f"{guess}format the column as text and type it again",
        code="sheet-20",
    )


def _known(entries: list[str], dimension: Dimension) -> list[str]:
    """Those entries that mean something in this column, likeliest first."""
    kind = dimension.value_kind
    if kind == "taper":
        return [text for text in (entry.replace("/", ":") for entry in entries) if _is_ratio(text)]
    if kind == "thread":
        return [entry for entry in entries if _is_thread(entry)]
    if kind in _NEVER_DATES and kind != "count":
        return [entry for entry in entries if _is_inch_fraction(entry)]
    return [entry for entry in entries if _is_spline(entry)] or [entry for entry in entries if _is_thread(entry)]


def _entries(moment: Moment) -> Iterator[str]:
    """Everything that a spreadsheet turns into this date or time."""
    if moment.clock:
        hours, minutes, seconds = moment.clock
        if hours > 1:
            yield f"1:{(hours - 1) * 60 + minutes}"
        yield f"{hours}:{minutes}" if hours or not seconds else f"{minutes}:{seconds:g}"
        return
    short = None if moment.year is None else moment.year % 100
    orders = [moment.months, moment.months[::-1]] if len(moment.months) == 2 else []
    if short is not None:
        for a, b in orders:
            yield f"{a}/{b}-{short}"
        for a, b in orders:
            yield f"{a}-{b}/{short}"
        if not orders:
            yield f"{moment.months[0]}-{short}"
            yield f"{moment.months[0]}/{short}"
    for a, b in orders:
        yield f"{a}/{b}"
    for a, b in orders:
        yield f"{a}-{b}"


def _is_thread(text: str) -> bool:
    try:
        parse_thread(text)
    except DataFault:
        return False
    return True


def _is_ratio(text: str) -> bool:
    try:
        parse_taper(text)
    except DataFault:
        return False
    return text.startswith("1:")


def _is_spline(text: str) -> bool:
    return any(spline.name == text for spline in trade_splines())


def _is_inch_fraction(text: str) -> bool:
    """A proper fraction of an inch as rules are divided, with or without a whole number before it."""
    match = _FRACTION.fullmatch(text)
    return match is not None and int(match["top"]) < int(match["bottom"]) and int(match["bottom"]) in _INCH_FRACTIONS
