"""What a thread designation means, in the spellings of standards, drawings and workshops."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.quantity.written import quoted
from fitment.standards.thread_classes import thread_class
from fitment.standards.thread_index import (
    coarse_index,
    decimal_sizes,
    inch_index,
    metric_index,
    mistaken_inch,
    nearest_in_inches,
    neighbours,
)
from fitment.standards.thread_text import hand_of, tidied, tokens_of, unreadable
from fitment.standards.threads import Thread, inch_thread, size_written
from fitment.standards.threads_refused import refuse_other_kinds

#: threads per inch that a special Unified thread (UNS) may have here (from memory, common practice)
SPECIAL_TPI = (4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 16, 18, 20, 24, 27, 28, 32, 36, 40)
_SPECIAL_SIZES = (Fraction(1, 8), Fraction(4))

_NUMBER = r"(?:[0-9]{1,4}(?:[.,][0-9]{1,5})?|[.,][0-9]{1,5})"
# a number that is followed by a letter of a class is that class, not a pitch
_METRIC = re.compile(
    rf"M\s?(?P<nominal>{_NUMBER})(?:\s?(?P<sign>[x*]|-|\s)\s?(?P<pitch>(?>{_NUMBER}))(?!\s?[e-h/]))?(?P<rest>.*)", re.I
)
_SERIES = {
    "UNC": "UNC",
    "UNRC": "UNC",
    "NC": "UNC",
    "UNF": "UNF",
    "UNRF": "UNF",
    "NF": "UNF",
    "UNEF": "UNEF",
    "UNREF": "UNEF",
    "NEF": "UNEF",
    "UN": "UN",
    "UNR": "UN",
    "UNS": "UNS",
    "BSW": "BSW",
    "WHIT": "BSW",
    "WHITWORTH": "BSW",
    "BSF": "BSF",
}
_LEADING_SERIES = re.compile(rf"(?P<series>{'|'.join(sorted(_SERIES, key=len, reverse=True))})[\s-]*(?=[#.0-9])", re.I)
_INCH = re.compile(
    rf"(?P<size>(?:\#|No\.?)\s?[0-9]{{1,2}}|(?:[0-9]{{1,2}}[\s-]{{1,3}})?[0-9]{{1,3}}/[0-9]{{1,3}}|(?>{_NUMBER})(?!/))"
    r"(?P<inch>\s?(?:\"|''|in\.?(?![a-z])|inch(?:es)?))?"
    rf"(?:\s?[-x*\s]\s?(?P<tpi>(?>{_NUMBER}))(?!\s?[AB](?![A-Z])|/)(?:\s?tpi|\s?t\.p\.i\.)?)?(?P<rest>.*)",
    re.I,
)
_LENGTH_GROUPS = frozenset("SN")


@dataclass(frozen=True)
class ThreadName:
    """What a designation says.

    Attributes:
        thread: the thread.
        hand: "RH", "LH", or None where nothing is marked (on a part, that proves nothing).
        tolerance_class: the class as its standard writes it, ``6H``, ``2A``, ``medium``; None where none is written.
        entered: the text as typed.
    """

    thread: Thread
    hand: str | None
    tolerance_class: str | None
    entered: str


def parse_thread(text: str) -> ThreadName:
    """Read a thread designation.

    Metric as in ISO 965-1 (no pitch means coarse), Unified as in ASME B1.1 (an inch size and threads per inch without
    a series mean the 60 degree thread), Whitworth with its series named. Left hand may be written LH, L, left, links or
    pas a gauche, before or after the class.

    Raises:
        DataFault: it cannot be read, or no standard lists it; a thread is never invented, except a special Unified
            thread that is written as such (UNS).
    """
    plain = tidied(text)
    refuse_other_kinds(plain, text)
    metric = _METRIC.fullmatch(plain)
    if metric:
        return _metric(metric, text)
    leading = _LEADING_SERIES.match(plain)
    inch = _INCH.fullmatch(plain, leading.end() if leading else 0)
    if inch is None:
        raise unreadable(text)
    return _inch(inch, leading["series"] if leading else None, text)


def _class(form: str, tokens: Sequence[str], text: str) -> str | None:
    """The class that is all that is left of a designation."""
    if not tokens:
        return None
    if len(tokens) > 1 or not (tokens[0][0] in "0123456789" or form == "W"):
        raise unreadable(text)
    if "/" in tokens[0]:
        raise DataFault(
            f"{quoted(text)} names the classes of two parts",
            mending="write one part at a time, like M14x1.5-6H",
            code="thread-name-04",
        )
    return thread_class(form, tokens[0]).text


def _metric(match: re.Match[str], text: str) -> ThreadName:
    tokens = tokens_of(match["rest"])
    lengths = [token for token in tokens if token.upper() == "L"]
    classes = [token for token in tokens if token[0].isdigit()]
    marked = any(token.upper() in ("LH", "RH") for token in tokens)
    if lengths and classes and not marked:
        raise DataFault(
            f"{quoted(text)} may mean two things: L after a class is a long engagement in ISO 965-1",
            mending="write LH for a left-hand thread, or leave the L out",
            code="thread-name-03",
        )
    # the engagement group stands between class and hand and says nothing about the size
    dropped = _LENGTH_GROUPS | {"L"} if marked else _LENGTH_GROUPS
    hand, left = hand_of([token for token in tokens if not (classes and token.upper() in dropped)], text)
    nominal = float(match["nominal"].replace(",", "."))
    if match["pitch"] is None:
        thread = coarse_index().get(nominal)
    else:
        thread = metric_index().get((nominal, float(match["pitch"].replace(",", "."))))
    tolerance_class = _class("M", left, text)
    if thread is None:
        raise _unlisted_metric(nominal, match["pitch"], text)
    return ThreadName(thread, hand, tolerance_class, text)


def _unlisted_metric(nominal: float, pitch_text: str | None, text: str) -> DataFault:
    if pitch_text is None:
        near = [
            thread.designation for thread in sorted(coarse_index().values(), key=lambda t: abs(t.nominal - nominal))
        ]
        message = f"{quoted(text)}: no coarse thread M{nominal:g} among the listed M3 to M36 of ISO 261"
        return DataFault(message, mending="nearest: " + ", ".join(near[:3]), code="thread-name-05")
    pitch = float(pitch_text.replace(",", "."))
    name = f"M{nominal:g}x{pitch:g}"
    if not 0 < pitch < nominal / 2:
        return DataFault(
            f"{quoted(text)}: a pitch of {pitch:g} mm is not possible on {nominal:g} mm",
            mending="write diameter x pitch in mm, like M14x1.5",
            code="thread-name-05",
        )
    inch = mistaken_inch(nominal, pitch)
    if inch:
        return DataFault(
            f"{name} is not in ISO 261: a {inch.designation} measured in millimetres looks like this",
            mending=f"try a pitch gauge of {inch.tpi:g} tpi; if it fits, write {inch.designation}",
            code="thread-name-05",
        )
    offered = ", ".join(thread.designation for thread in neighbours(nominal, pitch, "M"))
    return DataFault(
        f"{name} is not among the listed threads of ISO 261",
        mending=f"measure diameter and pitch again; nearest: {offered}",
        code="thread-name-05",
    )


def _inch(match: re.Match[str], leading: str | None, text: str) -> ThreadName:
    hand, tokens = hand_of(tokens_of(match["rest"]), text)
    named = [_SERIES[token.upper()] for token in ([leading] if leading else []) + tokens if token.upper() in _SERIES]
    if len(set(named)) > 1:
        raise DataFault(f"{quoted(text)} names two series", mending="write one of them", code="thread-name-06")
    series = named[0] if named else None
    size = _size(match["size"], text)
    tpi = None if match["tpi"] is None else Fraction(match["tpi"].replace(",", "."))
    if tpi == 0:
        raise unreadable(text)
    if tpi is None and series in (None, "UN", "UNS"):
        raise DataFault(
            f"{quoted(text)} has no threads per inch, and no series that gives them",
            mending=f"write it like {match['size']}-18 or {match['size']} UNF; metric threads begin with M",
            code="thread-name-07",
        )
    thread = _chosen(_numbered(size, match, tpi), tpi, series, text)
    left = [token for token in tokens if token.upper() not in _SERIES]
    return ThreadName(thread, hand, _class(thread.form, left, text), text)


def _size(written: str, text: str) -> Fraction:
    """Nominal diameter in inches of a size as typed."""
    number = re.fullmatch(r"(?:#|No\.?)\s?([0-9]+)", written, re.I)
    if number:
        return Fraction(60 + 13 * int(number[1]), 1000)
    whole, _, part = re.sub(r"[\s-]+", " ", written).rpartition(" ")
    if "/" in part:
        top, bottom = part.split("/")
        if int(bottom) == 0 or int(top) >= int(bottom):
            raise unreadable(text)
        return int(whole or 0) + Fraction(int(top), int(bottom))
    size = Fraction(part.replace(",", "."))
    return size if size in inch_index() else decimal_sizes().get(size, size)


def _numbered(size: Fraction, match: re.Match[str], tpi: Fraction | None) -> Fraction:
    """The size, where a plain whole number may be a numbered one: 10-32 is #10-32, and 1-8 is one inch."""
    if match["inch"] or size.denominator != 1 or size > 12 or tpi is None:
        return size
    number = Fraction(60 + 13 * int(size), 1000)
    if any(thread.tpi == tpi for thread in inch_index().get(size, ())):
        return size
    return number if any(thread.tpi == tpi for thread in inch_index().get(number, ())) else size


def _chosen(size: Fraction, tpi: Fraction | None, series: str | None, text: str) -> Thread:
    """The listed thread, or the special one that is written as such."""
    found = [thread for thread in inch_index().get(size, ()) if tpi is None or thread.tpi == tpi]
    unified = [thread for thread in found if thread.form == "UN"]
    if series in ("UN", "UNS") and tpi is not None:
        # both name the family: a listed combination is that thread, whatever its series is called
        if unified:
            return unified[0]
        if series == "UNS":
            return _special(size, tpi, text)
    elif series is not None:
        of_series = [thread for thread in found if thread.series == series]
        if len(of_series) == 1:
            return of_series[0]
    elif unified and (unified[0].series in ("UNC", "UNF", "UNEF") or len(found) == len(unified)):
        return unified[0]
    elif unified:
        raise DataFault(
            f"{quoted(text)} may be {' or '.join(thread.designation for thread in found)}, 60 or 55 degrees",
            mending="write the series",
            code="thread-name-06",
        )
    raise _unlisted_inch(size, tpi, series, found, text)


def _special(size: Fraction, tpi: Fraction, text: str) -> Thread:
    """A special Unified thread: any size with a usual pitch, limits by the formulas of ASME B1.1."""
    least, most = _SPECIAL_SIZES
    if tpi not in SPECIAL_TPI or not least <= size <= most or size * tpi < 4:
        raise DataFault(
            f"{quoted(text)} is not a usual special thread",
            mending="a UNS here has 1/8 to 4 in, at least four threads in its diameter, and one of "
            + ", ".join(map(str, SPECIAL_TPI))
            + " tpi",
            code="thread-name-08",
        )
    return inch_thread(size_written(size), tpi, "UNS", False, "ASME B1.1 (special, by formula)", "computed")


def _unlisted_inch(
    size: Fraction, tpi: Fraction | None, series: str | None, found: Sequence[Thread], text: str
) -> DataFault:
    if found and tpi is not None:
        wanted = f"not {series}" if series else "and a size without a series is Unified"
        return DataFault(
            f"{quoted(text)} is listed as {' and '.join(thread.designation for thread in found)}, {wanted}",
            mending="write its series, or measure the pitch again",
            code="thread-name-06",
        )
    if tpi is not None and (round(float(size), 5), round(float(tpi), 5)) in metric_index():
        return DataFault(
            f"{quoted(text)} is not a listed inch thread",
            mending=f"for the metric thread write M{float(size):g}x{float(tpi):g}",
            code="thread-name-05",
        )
    near = nearest_in_inches(size, tpi or Fraction(16))
    offered = ", ".join(thread.designation for thread in near)
    return DataFault(
        f"{quoted(text)} is not a listed inch thread",
        mending=f"nearest: {offered}" if offered else "no listed thread is near; metric threads begin with M",
        code="thread-name-05",
    )
