"""Numbers as people write them: decimals with point or comma, fractions, mixed numbers, each with the unit after it.

Every number is held as an exact fraction, so that 9/16 in and 14.2875 mm are one value and not nearly one.
"""

from __future__ import annotations

import re
from fractions import Fraction

from fitment.errors import DataFault
from fitment.frozen import dataclass

#: longer than any value with its tolerance; stops a pasted page before it is searched
MAX_LENGTH = 100

_VULGAR = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}

# typographic characters, written by their numbers because many look like their plain neighbours
_PLAIN = str.maketrans(
    {
        "\u2212": "-",  # minus sign
        "\u2010": "-",  # hyphen
        "\u2011": "-",  # non-breaking hyphen
        "\u2013": "-",  # en dash
        "\u2044": "/",  # fraction slash
        "\u2032": "'",  # prime
        "\u2018": "'",  # single quotation marks
        "\u2019": "'",
        "\u00b4": "'",  # acute accent used as a prime
        "\u2033": '"',  # double prime
        "\u201c": '"',  # double quotation marks
        "\u201d": '"',
        "\u00ba": "°",  # ordinal indicator
        "\u02da": "°",  # ring above
        "\u22c5": "·",  # dot operator
        "\u2236": ":",  # ratio sign
    }
)

_NUMBER = re.compile(
    r"(?:(?P<whole>[0-9]+)(?:\s+|-))?(?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)"
    r"|(?P<decimal>[0-9]+(?:[.,][0-9]+)?|\.[0-9]+)"
)
_UNIT = re.compile(r"\s*(?P<unit>(?:[^\W\d_]|[°'\"%])[^0-9+=]*)?\s*")
_NOT_A_NUMBER = re.compile(r"[+-]?\s*(?:nan|inf|infinity)\b", re.IGNORECASE)
_EXPONENT = re.compile(r"[0-9.]\s*e\s*[+-]?[0-9]", re.IGNORECASE)
_RUN = re.compile(r"[0-9][0-9.,]*[0-9]")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


@dataclass(frozen=True)
class Written:
    """One number as written.

    Attributes:
        value: the number, exactly.
        step: the step of its last digit, or of its fraction: 0.01 for 14.29, 1/16 for 9/16.
        fraction: whether it is written with a fraction bar.
        unit: what follows it, as typed; "" where nothing does.
        text: the number as typed, without its unit.
    """

    value: Fraction
    step: Fraction
    fraction: bool
    unit: str
    text: str


def quoted(text: str) -> str:
    """The text between quotation marks, fit for one line of an error message."""
    short = text if len(text) <= 40 else text[:37] + "..."
    return '"' + "".join(sign if sign.isprintable() else "?" for sign in short) + '"'


def tidied(text: str) -> str:
    """The text with plain signs in place of typographic ones, once it is known to be free of traps.

    Raises:
        DataFault: empty, far too long, not a number, in exponent notation, or with a comma that may mean two things.
    """
    entered = text.strip()
    if not entered:
        raise DataFault("the value is empty", mending="leave it out, or write a value", code="quantity-01")
    if len(entered) > MAX_LENGTH:
        raise DataFault(
            f"{quoted(entered)} is too long for one value ({len(entered)} characters)",
            mending=f"write one value of at most {MAX_LENGTH} characters",
            code="quantity-02",
        )
    plain = entered.translate(_PLAIN).replace("''", '"')
    plain = re.sub("([0-9]?)([" + "".join(_VULGAR) + "])(?![0-9])", _spelt_out, plain)
    if _NOT_A_NUMBER.match(plain):
        raise DataFault(f"{quoted(entered)} is not a number", mending="leave it out if unknown", code="quantity-03")
    if _EXPONENT.search(plain):
        raise DataFault(
            f"{quoted(entered)} is in exponent notation, which spreadsheets also make out of other entries",
            mending="write the number out in full",
            code="quantity-08",
        )
    for run in _RUN.findall(plain):
        _refuse_thousands(run, entered)
    return plain


def _spelt_out(match: re.Match[str]) -> str:
    """A fraction of one character as three or more, parted from a whole number before it: 1½ is 1 1/2."""
    whole, vulgar = match.groups()
    return f"{whole} {_VULGAR[vulgar]}" if whole else _VULGAR[vulgar]


def _refuse_thousands(run: str, entered: str) -> None:
    """Refuse a comma or point that may part thousands: reading it one way is wrong by a factor of 1000."""
    signs = re.sub("[0-9]", "", run)
    if len(signs) > 1:
        raise DataFault(
            f"{quoted(entered)} has more than one comma or point in {run}",
            mending="write one decimal point, and nothing between thousands",
            code="quantity-07",
        )
    if _THOUSANDS.fullmatch(run):
        raise DataFault(
            f"{quoted(entered)} may mean two things: is the comma in {run} for decimals or for thousands?",
            mending=f"write {run.replace(',', '.')} or {run.replace(',', '')}",
            code="quantity-07",
        )


def numbers_in(piece: str, entered: str, example: str) -> tuple[bool, list[Written]]:
    """The numbers of one piece of a value, each with the unit after it, and whether a minus stands before them.

    Args:
        piece: tidied text such as ``-7 deg 9'``.
        entered: the whole value as typed, for the error message.
        example: how such a value may be written, for the error message.

    Raises:
        DataFault: it cannot be read so.
    """
    sign = re.match(r"\s*(?P<sign>[+-]?)\s*", piece)
    position = sign.end() if sign else 0
    found: list[Written] = []
    while position < len(piece):
        number = _NUMBER.match(piece, position)
        unit = _UNIT.match(piece, number.end()) if number else None
        if number is None or unit is None:
            break
        found.append(_written(number, (unit["unit"] or "").strip(), entered))
        position = unit.end()
    # of several numbers only the first may lack a unit of its own: "7 9" and "14.29.3" say nothing
    if not found or position < len(piece) or (len(found) > 1 and not all(number.unit for number in found)):
        raise DataFault(f"{quoted(entered)} cannot be read", mending=f"write it like {example}", code="quantity-03")
    return bool(sign and sign["sign"] == "-"), found


def _written(number: re.Match[str], unit: str, entered: str) -> Written:
    if number["decimal"]:
        decimal = number["decimal"].replace(",", ".")
        places = len(decimal.partition(".")[2])
        return Written(Fraction(decimal), Fraction(1, 10**places), False, unit, number[0])
    whole, top, bottom = int(number["whole"] or 0), int(number["top"]), int(number["bottom"])
    if bottom == 0 or (number["whole"] and top >= bottom):
        raise DataFault(
            f"{quoted(entered)} has no proper fraction in {number[0]}",
            mending="write a fraction like 9/16, or 1-1/2",
            code="quantity-11",
        )
    return Written(Fraction(whole * bottom + top, bottom), Fraction(1, bottom), True, unit, number[0])
