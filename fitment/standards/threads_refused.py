"""Threads that this tool does not hold, and why: so that none of them is taken for one that it does."""

from __future__ import annotations

import re

from fitment.errors import DataFault
from fitment.quantity.written import quoted

_PIPE = "is a pipe thread: its size names a bore, not a diameter, and it seals; no steering joint uses one"
_POWER = "is a thread for transmitting motion, with another profile; no steering joint uses one"

#: pattern on the tidied text, what it is, what to do
_REFUSED = (
    (re.compile(r"(?:[0-9/\s\"#.-]*\b)?(?:NPT[FR]?|NPS[CFHLMI]?|BSPP?|BSPT)\b", re.I), _PIPE),
    (re.compile(r"(?:G|R|RP|RC|PT|PF|PS)\s?[0-9]+(?:[\s-][0-9]+/[0-9]+|/[0-9]+)?\b", re.I), _PIPE),
    (re.compile(r"(?:.*[\s-])?(?:TR\s?[0-9]|ACME|STUB|BUTTRESS|RD\s?[0-9])", re.I), _POWER),
    (
        re.compile(r".*\b(?:BSC|CEI|CYCLE)\b", re.I),
        "is a cycle thread: 60 degrees in sizes and pitches of its own, which this tool does not hold",
    ),
    (
        re.compile(r"(?:[0-9]+\s?B\.?A\.?|B\.?A\.?\s?[0-9]+)\b", re.I),
        "is a BA thread: 47.5 degrees, up to 6 mm, which this tool does not hold",
    ),
    (
        re.compile(r"MJ\s?[0-9]|.*UNJ[A-Z]*", re.I),
        "has the enlarged root of aircraft practice (MJ, UNJ): its bolt does not enter every plain nut of its size",
    ),
    (
        re.compile(r"M\s?[0-9.,]+\s?x\s?PH", re.I),
        "has several starts: one turn moves it by more than its pitch, and this tool holds single-start threads only",
    ),
)


def refuse_other_kinds(plain: str, entered: str) -> None:
    """Refuse the designations of other kinds of thread.

    Args:
        plain: the tidied text.
        entered: the text as typed, for the message.

    Raises:
        DataFault: it is one of them.
    """
    for pattern, why in _REFUSED:
        if pattern.match(plain):
            raise DataFault(
                f"{quoted(entered)} {why}",
                mending="measure diameter and pitch, and write the metric, Unified or Whitworth thread that it is",
                code="thread-name-09",
            )
