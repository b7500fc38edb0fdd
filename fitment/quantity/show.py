"""Numbers as people read them: always with their unit, never with more digits than they are worth."""

from __future__ import annotations

import math

from fitment.quantity.units import system_unit

#: decimals where no uncertainty says how many are worth showing, by the unit shown
_DECIMALS = {
    "mm": 2,
    "in": 4,
    "deg": 2,
    "kg": 2,
    "lb": 2,
    "N": 0,
    "lbf": 0,
    "N·m": 1,
    "lbf·ft": 1,
    "turn": 2,
    "mm/turn": 1,
    "in/turn": 3,
    "%": 1,
}

#: decimals of a plain number and of a count
_UNITLESS_DECIMALS = {"number": 4, "count": 0}

#: a smaller uncertainty shows no further decimals
_MOST_DECIMALS = 6

_ASCII = {
    "\u00b0": " deg",
    "\u00b1": "+/-",
    "\u00d7": "x",
    "\u00b7": ".",
    "\u2212": "-",
    "\u2013": "-",
    "\u2014": "-",
    "\u2018": "'",
    "\u2019": "'",
    "\u201c": '"',
    "\u201d": '"',
    "\u2032": "'",
    "\u2033": '"',
    "\u2264": "<=",
    "\u2265": ">=",
    "\u00b5": "u",
}


def show_quantity(value: float, kind: str, system: str = "mm", u: float | None = None) -> str:
    """A value for people, with its unit.

    With an uncertainty the digits follow it (down to its second significant digit) and zeros at the end are kept,
    as they mean something; without one the digits are those usual at the bench and zeros at the end are left out.

    Args:
        value: in the canonical unit of the kind.
        kind: a key of `fitment.quantity.units.KINDS` except "taper" (see `show_taper`).
        system: "mm" or "inch"; inches are shown as decimals.
        u: standard uncertainty, in the canonical unit; None or 0 where there is none. Counts stay whole.
    """
    unit = system_unit(kind, system)
    shown = float(unit.from_canonical(value))
    shown_u = None if u is None else abs(float(unit.from_canonical(u)))
    if shown_u and math.isfinite(shown_u) and kind != "count":
        text = f"{shown:.{_decimals_for(shown_u)}f}"
    else:
        text = _without_zeros(f"{shown:.{_DECIMALS[unit.symbol] if unit.symbol else _UNITLESS_DECIMALS[kind]}f}")
    if float(text) == 0:
        text = text.removeprefix("-")
    return f"{text} {unit.symbol}" if unit.symbol else text


def _decimals_for(u: float) -> int:
    """Decimals down to the second significant digit of an uncertainty, rounded first: 0.0997 is 0.10, two decimals."""
    exponent = int(f"{u:.1e}".partition("e")[2])
    return min(max(1 - exponent, 0), _MOST_DECIMALS)


def _without_zeros(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def show_taper(ratio: float) -> str:
    """A taper ratio (D - d) / L as ``1:10`` or ``1:9.36``; "parallel" for 0."""
    if ratio == 0:
        return "parallel"
    return "1:" + _without_zeros(f"{1 / ratio:.2f}")


def plain(text: str) -> str:
    """The text in ASCII: deg, +/-, x, N.m, and a question mark for what has no spelling."""
    if text.isascii():
        return text
    import unicodedata

    spelt = "".join(_ASCII.get(sign, sign) for sign in text.replace(" °", "°"))
    parted = unicodedata.normalize("NFKD", spelt)
    kept = "".join(sign for sign in parted if not unicodedata.combining(sign))
    return kept.encode("ascii", "replace").decode("ascii")
