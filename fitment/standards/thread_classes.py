"""Tolerance classes of screw threads: how they are written and which a form has."""

from __future__ import annotations

import re
from functools import cache

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.quantity.written import quoted

#: what holds where nothing is said: (bolt, nut) (ISO 965-1 6g and 6H; ASME B1.1 2A and 2B; BS 84 medium)
DEFAULT_CLASSES = {"M": ("6g", "6H"), "UN": ("2A", "2B"), "W": ("medium", "medium")}

_PITCH_GRADES = "45678"
_CREST_GRADES = {"bolt": "468", "nut": "45678"}
_POSITIONS = {"bolt": "efgh", "nut": "GH"}
_METRIC = re.compile(r"([0-9])([A-Za-z])(?:([0-9])([A-Za-z]))?")
_UNIFIED = ("1A", "2A", "3A", "1B", "2B", "3B")
_WHITWORTH = ("close", "medium", "free")

_ALLOWED = {
    "M": "a bolt has 4h, 6e, 6f, 6g, 6h, 8g or two like 7g6g; a nut has 4H to 8H, 6G or two like 5H6H",
    "UN": "allowed: 1A, 2A, 3A (bolt), 1B, 2B, 3B (nut)",
    "W": "allowed: close, medium, free",
}


@dataclass(frozen=True)
class ThreadClass:
    """One tolerance class.

    Attributes:
        text: as it is written, ``7g6g``, ``2A``, ``medium``.
        side: "bolt", "nut", or "either" for Whitworth.
        pitch: grade and position of the pitch diameter, metric only: ``(7, "g")``; None otherwise.
        crest: the same of the crest diameter (major of a bolt, minor of a nut).
    """

    text: str
    side: str
    pitch: tuple[int, str] | None = None
    crest: tuple[int, str] | None = None


@cache
def thread_class(form: str, text: str) -> ThreadClass:
    """The class that a text names in a form of thread.

    Metric classes give the pitch diameter first and the crest second, once if they are equal; small letters are bolts
    and capitals nuts, so their case counts (ISO 965-1). Unified and Whitworth classes are read in either case.

    Args:
        form: "M", "UN" or "W".
        text: the class alone, ``6H``.

    Raises:
        DataFault: the form has no such class.
    """
    if form == "M":
        found = _metric(text)
    elif form == "UN":
        name = text.upper()
        found = ThreadClass(name, "bolt" if name[-1:] == "A" else "nut") if name in _UNIFIED else None
    else:
        name = text.lower()
        found = ThreadClass(name, "either") if name in _WHITWORTH else None
    if found is None:
        title = {"M": "an ISO metric", "UN": "a Unified", "W": "a Whitworth"}[form]
        raise DataFault(
            f"{quoted(text)} is not a tolerance class of {title} thread",
            mending=_ALLOWED[form],
            code="thread-class-01",
        )
    return found


def _metric(text: str) -> ThreadClass | None:
    match = _METRIC.fullmatch(text)
    if match is None:
        return None
    side = "bolt" if match[2].islower() else "nut"
    pitch = (match[1], match[2])
    crest = (match[3], match[4]) if match[3] else pitch
    in_order = (
        pitch[0] in _PITCH_GRADES
        and crest[0] in _CREST_GRADES[side]
        and pitch[1] in _POSITIONS[side]
        and crest[1] in _POSITIONS[side]
    )
    return ThreadClass(text, side, (int(pitch[0]), pitch[1]), (int(crest[0]), crest[1])) if in_order else None


def class_for(form: str, text: str | None, side: str) -> ThreadClass:
    """The class of one side of a joint, the usual one where none is given.

    Args:
        form: "M", "UN" or "W".
        text: the class, or None.
        side: "bolt" or "nut".

    Raises:
        DataFault: no such class, or it belongs to the other side.
    """
    bolt, nut = DEFAULT_CLASSES[form]
    found = thread_class(form, text if text is not None else bolt if side == "bolt" else nut)
    if found.side not in (side, "either"):
        other = {"bolt": "an external thread", "nut": "an internal thread"}
        raise DataFault(
            f"{quoted(found.text)} is a class of {other[found.side]}, and this is {other[side]}",
            mending=_ALLOWED[form],
            code="thread-class-02",
        )
    return found
