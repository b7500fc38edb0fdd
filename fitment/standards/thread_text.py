"""The text of a thread designation before its size is looked at: signs, blanks, hand."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from fitment.errors import DataFault
from fitment.quantity.written import quoted

MAX_LENGTH = 60

# written by their numbers where they look like their plain neighbours
_PLAIN = str.maketrans(
    {
        "\u2212": "-",  # minus sign
        "\u2010": "-",  # hyphen
        "\u2011": "-",  # non-breaking hyphen
        "\u2013": "-",  # en dash
        "\u2014": "-",  # em dash
        "\u2044": "/",  # fraction slash
        "\u00d7": "x",  # multiplication sign
        "\u0445": "x",  # Cyrillic kha
        "\u0425": "x",
        "\u041c": "M",  # Cyrillic em
        "\u043c": "M",
        "\u2032": "'",  # prime
        "\u2019": "'",  # quotation marks
        "\u2033": '"',  # double prime
        "\u201d": '"',
        "\u201c": '"',
    }
)
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_VULGAR_AFTER = re.compile("([0-9]?)([" + "".join(_VULGAR) + "])")

_LEFT = re.compile(
    r"(?<![a-z])(?:pas\s+a\s+gauche|gauche|left(?:[\s-]?hand(?:ed)?)?|links(?:gewinde)?|l\.h\.)(?![a-z])", re.I
)
_RIGHT = re.compile(
    r"(?<![a-z])(?:pas\s+a\s+droite|droite|right(?:[\s-]?hand(?:ed)?)?|rechts(?:gewinde)?|r\.h\.)(?![a-z])", re.I
)
#: a hand at the very end needs no blank before it: 1/2-20UNF-2ALH
_ATTACHED = re.compile(r"(?<=[0-9a-z])([LR]H)$", re.I)

_HANDS = {"LH": "LH", "L": "LH", "RH": "RH", "R": "RH"}


def tidied(text: str) -> str:
    """The text with plain signs and single blanks, and left or right hand in words as LH or RH.

    Raises:
        DataFault: it is empty, or far too long.
    """
    if not text.strip():
        raise DataFault(
            "the thread is empty", mending="leave it out, or write it like M14x1.5-LH", code="thread-name-01"
        )
    if len(text) > MAX_LENGTH:
        raise DataFault(
            f"{quoted(text)} is too long for a thread ({len(text)} characters)",
            mending="write it like M14x1.5-LH or 9/16-18 UNF",
            code="thread-name-01",
        )
    plain = text.translate(_PLAIN)
    plain = _VULGAR_AFTER.sub(lambda match: f"{match[1]} {_VULGAR[match[2]]}", plain)
    plain = "".join(sign for sign in unicodedata.normalize("NFKD", plain) if not unicodedata.combining(sign))
    plain = " ".join(_RIGHT.sub(" RH ", _LEFT.sub(" LH ", plain)).split())
    return _ATTACHED.sub(r" \1", plain)


def unreadable(text: str) -> DataFault:
    """The fault of a text that is no designation."""
    return DataFault(
        f"{quoted(text)} cannot be read as a thread",
        mending="write it like M14x1.5-LH, M12x1.25-6g, 9/16-18 UNF or 3/8-20 BSF",
        code="thread-name-02",
    )


def tokens_of(rest: str) -> list[str]:
    """The words of what follows the size."""
    return [token for token in re.split(r"[\s,;()_-]+|\.(?=\s|$)", rest) if token]


def hand_of(tokens: Sequence[str], text: str) -> tuple[str | None, list[str]]:
    """The hand that the tokens name, and the tokens that are left.

    Raises:
        DataFault: they name both hands.
    """
    hands = {_HANDS[token.upper()] for token in tokens if token.upper() in _HANDS}
    if len(hands) > 1:
        raise DataFault(f"{quoted(text)} says both hands", mending="write LH or RH once", code="thread-name-03")
    return next(iter(hands), None), [token for token in tokens if token.upper() not in _HANDS]
