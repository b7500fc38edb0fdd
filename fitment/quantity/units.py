"""The closed list of units: what each is called, what it measures, and its exact size in the canonical unit.

Canonical units are mm, deg, kg, N, N·m, turn, mm/turn and %; counts and plain numbers have none, and a taper is
held as the plain ratio (D - d) / L.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cached_property
from itertools import product
from typing import Any

from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.quantity.written import quoted


@dataclass(frozen=True)
class Unit:
    """A unit of measurement.

    Attributes:
        symbol: the spelling that is printed; "" for counts and plain numbers.
        kind: what it measures, one of `KINDS`.
        exact: one of this unit in the canonical unit of its kind, as an exact fraction.
    """

    symbol: str
    kind: str
    exact: Fraction

    @cached_property
    def factor(self) -> float:
        """One of this unit in the canonical unit of its kind, the nearest float."""
        return float(self.exact)

    def to_canonical(self, value: Any) -> Any:
        """A number or array of numbers in this unit, in the canonical unit of its kind."""
        return value * self.factor

    def from_canonical(self, value: Any) -> Any:
        """A number or array of numbers in the canonical unit of its kind, in this unit."""
        return value / self.factor


#: kind of value -> how a sentence names it
KINDS: dict[str, str] = {
    "length": "a length",
    "angle": "an angle",
    "mass": "a mass",
    "force": "a force",
    "torque": "a torque",
    "turns": "a number of turns",
    "rate": "a travel per turn",
    "count": "a count",
    "fraction": "a percentage",
    "number": "a plain number",
    "taper": "a taper",
}

#: kinds whose values are written without a unit
UNITLESS = frozenset({"count", "number"})

# Definitions, exact (standard): inch 25.4 mm, pound 0.45359237 kg, standard gravity 9.80665 m/s2.
_INCH = Fraction("25.4")
_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_FOOT = 12 * _INCH
_POUND_FORCE = _POUND * _GRAVITY


def _products(lefts: str, rights: str, *, either_order: bool = True) -> Iterator[str]:
    """Spellings of a product such as a torque: ``lbf·ft``, ``lbf.ft``, ``lb-ft``, ``ft lb``, ``Nm``."""
    for left, right, sign in product(lefts.split(), rights.split(), ("·", "", ".", "-", " ", "*")):
        yield f"{left}{sign}{right}"
        if either_order:
            yield f"{right}{sign}{left}"


def _ratios(lefts: str, rights: str) -> Iterator[str]:
    """Spellings of a quotient such as ``mm/turn`` or ``in per ft``."""
    for left, right in product(lefts.split(), rights.split()):
        yield f"{left}/{right}"
        yield f"{left} per {right}"


_TURN = "turn turns rev revs revolution revolutions"
_MILLIMETRE = "mm millimetre millimetres millimeter millimeters"
_INCHES = 'in inch inches "'
_FEET = "ft foot feet '"

#: symbol, kind, exact size, other spellings (in lower case; a spelling may serve one unit of each kind)
_LIST: tuple[tuple[str, str, Fraction, tuple[str, ...]], ...] = (
    ("mm", "length", Fraction(1), tuple(_MILLIMETRE.split())),
    ("cm", "length", Fraction(10), ()),
    ("m", "length", Fraction(1000), ("metre", "metres", "meter", "meters")),
    ("in", "length", _INCH, tuple(_INCHES.split())),
    ("ft", "length", _FOOT, tuple(_FEET.split())),
    ("thou", "length", _INCH / 1000, ()),
    ("deg", "angle", Fraction(1), ("degree", "degrees", "degs", "°")),
    ("arcmin", "angle", Fraction(1, 60), ("'", "min", "minute", "minutes")),
    ("arcsec", "angle", Fraction(1, 3600), ('"', "sec", "second", "seconds")),
    ("kg", "mass", Fraction(1), ("kgs", "kilogram", "kilograms")),
    ("g", "mass", Fraction(1, 1000), ("gram", "grams")),
    ("lb", "mass", _POUND, ("lbs", "pound", "pounds")),
    ("N", "force", Fraction(1), ("newton", "newtons")),
    ("daN", "force", Fraction(10), ()),
    ("kN", "force", Fraction(1000), ()),
    ("lbf", "force", _POUND_FORCE, ()),
    ("kgf", "force", _GRAVITY, ()),
    ("N·m", "torque", Fraction(1), tuple(_products("n newton", "m metre metres", either_order=False))),
    ("daN·m", "torque", Fraction(10), tuple(_products("dan", "m"))),
    # in the trade a torque in "lb-ft" or "kg-m" means pounds-force and kilograms-force (common practice, no source)
    ("lbf·ft", "torque", _POUND_FORCE * _FOOT / 1000, tuple(_products("lbf lb lbs", "ft"))),
    ("lbf·in", "torque", _POUND_FORCE * _INCH / 1000, tuple(_products("lbf lb lbs", "in"))),
    ("kgf·m", "torque", _GRAVITY, tuple(_products("kgf kg", "m"))),
    ("turn", "turns", Fraction(1), tuple(_TURN.split())),
    ("mm/turn", "rate", Fraction(1), tuple(_ratios(_MILLIMETRE, _TURN))),
    ("in/turn", "rate", _INCH, tuple(_ratios(_INCHES, _TURN))),
    ("%", "fraction", Fraction(1), ("percent", "per cent", "pct")),
    ("in/ft", "taper", Fraction(1, 12), tuple(_ratios(_INCHES, _FEET))),
    ("", "count", Fraction(1), ()),
    ("", "number", Fraction(1), ()),
)


def _key(text: str) -> str:
    """A unit's spelling, for looking it up: lower case, single spaces, no full stop of an abbreviation."""
    return re.sub(r"\s*/\s*", "/", " ".join(text.casefold().split())).removesuffix(".")


_SPELT: dict[str, dict[str, Unit]] = {kind: {} for kind in KINDS}
for _symbol, _kind, _exact, _spellings in _LIST:
    _SPELT[_kind] |= dict.fromkeys((_key(_symbol), *_spellings), Unit(_symbol, _kind, _exact))


def units_of(kind: str) -> tuple[Unit, ...]:
    """The units of a kind, in the order of the list (the canonical one first)."""
    return tuple(dict.fromkeys(_SPELT[kind].values()))


def symbols_of(kind: str) -> list[str]:
    """The printed symbols of the units of a kind, the canonical one first."""
    return [unit.symbol for unit in units_of(kind)]


def unit_named(text: str, kind: str) -> Unit:
    """The unit of a kind that is spelt so; upper and lower case are the same.

    Raises:
        DataFault: no such unit (naming the nearest), or a unit that measures something else.
    """
    key = text if text in _SPELT[kind] else _key(text)
    unit = _SPELT[kind].get(key)
    if unit is not None:
        return unit
    if kind in UNITLESS:
        raise DataFault(f"{KINDS[kind]} has no unit", mending=f"leave out {quoted(text)}", code="quantity-05")
    other = next((name for name, spelt in _SPELT.items() if key in spelt), None)
    if other is not None:
        raise DataFault(
            f"{quoted(text)} measures {KINDS[other]}, not {KINDS[kind]}",
            mending="expected one of " + ", ".join(symbols_of(kind)),
            code="quantity-05",
        )
    raise DataFault(
        f"there is no unit {quoted(text)} for {KINDS[kind]}",
        mending=nearest(text, symbols_of(kind)),
        code="quantity-06",
    )


#: the unit that values of a kind are held in; a taper is held as a plain ratio and has none
_CANONICAL: dict[str, Unit] = {
    unit.kind: unit for spelt in _SPELT.values() for unit in spelt.values() if unit.exact == 1
}

#: kinds whose everyday unit differs in an inch shop; every other kind keeps its canonical unit
_INCH_SHOP = {"length": "in", "mass": "lb", "force": "lbf", "torque": "lbf·ft", "rate": "in/turn"}
_SYSTEMS: dict[str, dict[str, str]] = {"mm": {}, "inch": _INCH_SHOP}


def canonical_unit(kind: str) -> Unit:
    """The unit that values of a kind are held in; every kind but "taper" has one."""
    return _CANONICAL[kind]


def system_unit(kind: str, system: str) -> Unit:
    """The everyday unit of a kind: what a bare number means, and what is shown, under ``--units``.

    Args:
        kind: one of `KINDS` but "taper", which is always shown as 1:x.
        system: "mm" (the canonical units) or "inch" (in, lb, lbf, lbf·ft, in/turn).
    """
    symbol = _SYSTEMS[system].get(kind)
    return unit_named(symbol, kind) if symbol else _CANONICAL[kind]
