"""Quantities and tapers out of the text that people write; the text itself is kept beside the number.

A unit is never guessed: a bare number means the unit that the caller says, and where none is said it is refused.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.quantity.exact import Exact, exact_value
from fitment.quantity.units import UNITLESS, Unit, canonical_unit, unit_named
from fitment.quantity.written import quoted, tidied

#: a cone that opens wider is a slip: half and full angle taken for each other, or a ratio upside down
WIDEST_INCLUDED_DEG = 60

_SIDE = re.compile(r"\b(?P<side>incl|included|inclusive|full|half)\b\.?(?:\s+angle\b)?", re.IGNORECASE)
_RATIO = re.compile(r"\s*1\s*:\s*(?P<x>[0-9.][^:]*)")
#: a bare number of so few digits that nothing in it can be refused or mean two things
_BARE = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,6})?")
_DEGREES = re.compile(r"[0-9]\s*(?:°|deg)", re.IGNORECASE)


@dataclass(frozen=True)
class Quantity:
    """A value read from text.

    Attributes:
        value: in `unit`.
        unit: symbol of the canonical unit of its kind; "" for counts and plain numbers.
        half_width: half-width of the interval that was written with ±, in `unit`; None where none was.
        u: standard uncertainty that was written with u=, in `unit`; None where none was.
        resolution: half the step of the last digit or of the fraction, in `unit`; 0 for counts.
        entered: the text as typed.
        entered_value: the number in `entered_unit`.
        entered_unit: symbol of the unit as typed (of the largest where there are several).
    """

    value: float
    unit: str
    half_width: float | None
    u: float | None
    resolution: float
    entered: str
    entered_value: float
    entered_unit: str


@dataclass(frozen=True)
class TaperQuantity:
    """A taper read from text.

    Attributes:
        ratio: (D - d) / L, so that 1:8 is 0.125 (ISO 3040).
        half_width: half-width of the interval that was written with ±, as a ratio; None where none was.
        u: standard uncertainty that was written with u=, as a ratio; None where none was.
        entered: the text as typed.
    """

    ratio: float
    half_width: float | None
    u: float | None
    entered: str


def parse_quantity(text: str, kind: str, bare_unit: Unit | str | None = None) -> Quantity:
    """A quantity as people write it: ``14.29 mm``, ``9/16 in ±1/64``, ``7 deg 9'``, ``12,9 mm u=0.03``.

    Args:
        text: the value as typed.
        kind: what is wanted, a key of `fitment.quantity.units.KINDS` except "taper" (see `parse_taper`).
        bare_unit: the unit that a bare number has; None to refuse bare numbers. Counts and plain numbers are bare.

    Raises:
        DataFault: it cannot be read, has no unit, has one that measures something else, or may mean two things.
    """
    canonical = canonical_unit(kind)
    symbol = bare_unit.symbol if isinstance(bare_unit, Unit) else bare_unit
    if kind in UNITLESS:
        symbol = canonical.symbol
    entered = text.strip()
    if symbol is not None and _BARE.fullmatch(entered) and (kind != "count" or "." not in entered):
        unit = unit_named(symbol, kind)
        if unit is canonical:
            return _bare(entered, kind, canonical.symbol, unit.symbol)
    exact = exact_value(tidied(text), entered, kind, None if symbol is None else unit_named(symbol, kind))
    if kind == "count" and (exact.value.denominator != 1 or exact.value < 0):
        raise DataFault(
            f"{quoted(entered)} is not a count", mending="write a whole number: 0, 1, 2", code="quantity-13"
        )
    return Quantity(
        value=float(exact.value),
        unit=canonical.symbol,
        half_width=_float(exact.half_width),
        u=_float(exact.u),
        resolution=0.0 if kind == "count" else float(exact.step / 2),
        entered=entered,
        entered_value=float(exact.value / exact.unit.exact),
        entered_unit=exact.unit.symbol,
    )


def _bare(entered: str, kind: str, canonical: str, symbol: str) -> Quantity:
    """A bare number in a canonical unit, the plainest entry of all, by the short way: float() rounds it just so."""
    value, places = float(entered), len(entered.partition(".")[2])
    return Quantity(
        value, canonical, None, None, 0.0 if kind == "count" else 1 / (2 * 10**places), entered, value, symbol
    )


def _float(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


def standard_uncertainty(quantity: Quantity, tool_half_width: float | None = None) -> float:
    """The standard uncertainty of a value, in its canonical unit, from the best evidence there is.

    In this order: what was written with u=; the half-width written with ±; the tool's; half the step of the last
    digit or fraction. A half-width a is taken as rectangular, u = a / sqrt(3) (JCGM 100, 4.3.7, from memory).

    Args:
        quantity: the value.
        tool_half_width: what the tool leaves in doubt, in the canonical unit; None where that is not known.
    """
    if quantity.u is not None:
        return quantity.u
    half_widths = (quantity.half_width, tool_half_width, quantity.resolution)
    return next(half_width for half_width in half_widths if half_width is not None) / math.sqrt(3.0)


def parse_taper(text: str) -> TaperQuantity:
    """A taper as people write it: ``1:8``, ``1.5 in/ft``, ``7 deg incl``, ``3.58 deg half``, ``5.7 deg ±0.2 incl``.

    C = 2 tan(A/2) = 2 tan(h) for the included angle A and the half angle h; C = t/12 for t inches per foot
    (definition of C: ISO 3040). What follows ± or u= is in the stated form; the derivative carries it over.

    Raises:
        DataFault: it cannot be read, does not say which angle is meant, or is no plausible cone.
    """
    entered = text.strip()
    plain = tidied(text)
    sides = [match["side"].casefold() for match in _SIDE.finditer(plain)]
    if sides:
        exact, ratio, slope = _from_angle(plain, entered, sides)
    elif ":" in plain:
        exact, ratio, slope = _from_ratio(plain, entered)
    else:
        exact, ratio, slope = _from_inch_per_foot(plain, entered)
    return TaperQuantity(ratio, _times(exact.half_width, slope), _times(exact.u, slope), entered)


def _times(doubt: Fraction | None, slope: float) -> float | None:
    return None if doubt is None else float(doubt) * slope


def _taper_fault(entered: str, message: str, mending: str, code: str) -> DataFault:
    return DataFault(f"{quoted(entered)} {message}", mending=mending, code=code)


def _plausible(ratio: float, entered: str) -> float:
    """The ratio, if it is that of a cone.

    Raises:
        DataFault: the sides are parallel, taper the wrong way, or open too wide.
    """
    if 0 < ratio < 2 * math.tan(math.radians(WIDEST_INCLUDED_DEG / 2)):
        return ratio
    raise _taper_fault(
        entered,
        "is no taper of a stud or an eye",
        f"the included angle lies above 0 and below {WIDEST_INCLUDED_DEG} deg; 1:8 means 1 on the diameter in 8",
        "quantity-21",
    )


def _from_angle(plain: str, entered: str, sides: list[str]) -> tuple[Exact, float, float]:
    """What was read in deg, the ratio, and the derivative of the ratio by deg."""
    if len(sides) > 1 or ":" in plain:
        raise _taper_fault(
            entered, "says incl or half where it should not", "write 7 deg incl, 3.5 deg half or 1:8", "quantity-22"
        )
    exact = exact_value(_SIDE.sub(" ", plain), entered, "angle", None)
    half_angles = 1 if sides[0] == "half" else 2
    # an angle beyond a right angle would come back from the tangent as a slender cone
    half_angle = math.radians(min(float(exact.value), 90.0) / half_angles)
    ratio = _plausible(2 * math.tan(half_angle), entered)
    return exact, ratio, math.radians(2 / half_angles) / math.cos(half_angle) ** 2


def _from_ratio(plain: str, entered: str) -> tuple[Exact, float, float]:
    """What was read as x of 1:x, the ratio, and the derivative of the ratio by x."""
    match = _RATIO.fullmatch(plain)
    if match is None:
        raise _taper_fault(entered, "cannot be read as a ratio", "write a ratio like 1:8 or 1:8.6", "quantity-23")
    exact = exact_value(match["x"], entered, "number", canonical_unit("number"))
    ratio = _plausible(float(1 / exact.value) if exact.value else 0.0, entered)
    return exact, ratio, ratio**2


def _from_inch_per_foot(plain: str, entered: str) -> tuple[Exact, float, float]:
    """What was read (as a ratio already), the ratio, and 1."""
    if _DEGREES.search(plain):
        raise _taper_fault(
            entered,
            "does not say which angle is meant",
            "say incl (whole angle, side to side) or half (side to axis): 7 deg incl",
            "quantity-20",
        )
    exact = exact_value(plain, entered, "taper", None)
    return exact, _plausible(float(exact.value), entered), 1.0
