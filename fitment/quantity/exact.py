"""What a text says, exactly: a value of several numbers and units, what follows ±, what follows u=."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.quantity.units import Unit, system_unit, unit_named
from fitment.quantity.written import Written, numbers_in, quoted

#: in the canonical unit of any kind; beyond it a slip of the keyboard is the only reading
LARGEST = 10**9

_EXAMPLES = {
    "length": "14.29 mm, 14.29 ±0.05 mm, 9/16 in or 1-1/2 in",
    "angle": "7.5 deg or 7 deg 9'",
    "mass": "13.3 kg or 29.4 lb",
    "force": "300 N or 67 lbf",
    "torque": "30 N·m or 22 lbf·ft",
    "turns": "3.5 turns",
    "rate": "37.4 mm/turn",
    "count": "36",
    "fraction": "75 %",
    "number": "1.05",
    "taper": "1:8, 1.5 in/ft or 7 deg incl",
}

_MARK = re.compile(r"(±|\+\s*/?\s*-|(?<![^\W\d_])u\s*=)", re.IGNORECASE)

#: units that may follow one another in one value, larger before smaller
_CHAINS = (("deg", "arcmin", "arcsec"), ("ft", "in"))

#: a fraction in one of these is written with its unit or not at all: a bare 9/16 means inches in the trade
_METRIC = frozenset({"mm", "cm", "m", "mm/turn"})


@dataclass(frozen=True)
class Exact:
    """What a text says.

    Attributes:
        value, half_width, u: in the canonical unit of the kind, exactly; None where not written.
        step: step of the last digit or fraction, in the canonical unit.
        unit: the unit that was written (the largest where there are several), or taken for a bare number.
    """

    value: Fraction
    half_width: Fraction | None
    u: Fraction | None
    step: Fraction
    unit: Unit


class _Reader:
    """Reads the pieces of one text, so that every fault can quote the whole."""

    def __init__(self, entered: str, kind: str):
        self.entered = entered
        self.kind = kind

    def fault(self, message: str, mending: str, code: str) -> DataFault:
        return DataFault(f"{quoted(self.entered)}{message}", mending=mending, code=code)

    def unit(self, text: str) -> Unit:
        try:
            return unit_named(text, self.kind)
        except DataFault as fault:
            raise self.fault(f": {fault.message}", fault.mending or "", fault.code) from None

    def numbers(self, piece: str) -> tuple[bool, list[Written]]:
        return numbers_in(piece, self.entered, _EXAMPLES[self.kind])

    def total(self, numbers: list[Written], default: Unit | None) -> tuple[Fraction, Fraction, Unit]:
        """Value and step in the canonical unit, and the unit of the first number."""
        units = [self.unit(number.unit) if number.unit else default for number in numbers]
        known = [unit for unit in units if unit is not None]
        if len(known) < len(units):
            raise self.no_unit(numbers[0])
        if numbers[0].fraction and not numbers[0].unit and known[0].symbol in _METRIC:
            raise self.fault(
                f": the fraction {numbers[0].text} has no unit of its own, and fractions are inches in the trade",
                f"write {numbers[0].text} in, or a decimal",
                "quantity-14",
            )
        for (number, unit), (smaller, smaller_unit) in pairwise(zip(numbers, known, strict=True)):
            in_chain = any((unit.symbol, smaller_unit.symbol) in pairwise(chain) for chain in _CHAINS)
            whole = number.step == 1 and not number.fraction
            if not in_chain or not whole or smaller.value * smaller_unit.exact >= unit.exact:
                raise self.fault(
                    ": the second number does not carry on the first",
                    "write one number with one unit, or like 7 deg 9' or 4 ft 6 in",
                    "quantity-15",
                )
        value = sum((n.value * unit.exact for n, unit in zip(numbers, known, strict=True)), Fraction(0))
        if value > LARGEST:
            raise self.fault(" is larger than anything measured here", "check its digits and its unit", "quantity-10")
        return value, numbers[-1].step * known[-1].exact, known[0]

    def no_unit(self, number: Written) -> DataFault:
        if self.kind == "taper":
            return self.fault(
                f": {number.text} may be a ratio, a taper per foot or an angle",
                f"write it like {_EXAMPLES['taper']}",
                "quantity-04",
            )
        everyday = dict.fromkeys(system_unit(self.kind, system).symbol for system in ("mm", "inch"))
        choices = " or ".join(f"{number.text} {symbol}" for symbol in everyday)
        return self.fault(f": {number.text} has no unit", f"write {choices}", "quantity-04")

    def doubt(self, mark: str, numbers: list[Written], default: Unit | None) -> Fraction:
        value, _, _ = self.total(numbers, default)
        if value == 0:
            raise self.fault(f": what follows {mark} is zero", f"leave out {mark} if it is not known", "quantity-12")
        return value


def exact_value(plain: str, entered: str, kind: str, bare_unit: Unit | None) -> Exact:
    """Read a tidied text.

    Args:
        plain: the text after `tidied`.
        entered: the text as typed, for error messages.
        kind: what is wanted, a key of `KINDS`.
        bare_unit: the unit of a bare number; None to refuse it.

    Raises:
        DataFault: it cannot be read.
    """
    reader = _Reader(entered, kind)
    head, *rest = _MARK.split(plain)
    negative, numbers = reader.numbers(head)
    doubts: dict[str, list[Written]] = {}
    for mark, piece in zip(rest[::2], rest[1::2], strict=True):
        name = "u=" if mark[0] in "uU" else "±"
        minus, doubts_numbers = reader.numbers(piece)
        if minus or name in doubts:
            raise reader.fault(
                f": {name} is written twice" if name in doubts else f": what follows {name} is negative",
                f"write {name} once, with a number above zero",
                "quantity-12",
            )
        doubts[name] = doubts_numbers
    value, step, unit = reader.total(numbers, _trailing_unit(reader, doubts) or bare_unit)
    # after 7 deg 9' a number without a unit may be in either
    default = unit if len(numbers) == 1 else None
    found = {name: reader.doubt(name, parts, default) for name, parts in doubts.items()}
    return Exact(-value if negative else value, found.get("±"), found.get("u="), step, unit)


def _trailing_unit(reader: _Reader, doubts: dict[str, list[Written]]) -> Unit | None:
    """The unit at the end of ``14.29 ±0.05 mm``, which is that of the value too unless it parts a degree."""
    texts = [numbers[0].unit for numbers in doubts.values() if numbers[0].unit]
    unit = reader.unit(texts[0]) if texts else None
    return None if unit is not None and unit.symbol in ("arcmin", "arcsec") else unit
