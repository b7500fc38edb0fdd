"""What the summary of ends tells of windows: which parts need not be looked at, as they are outside for certain."""

from __future__ import annotations

from collections.abc import Sequence

import sqlalchemy as sa

from fitment.catalogue.dictionary import leading_sizes, part_kinds
from fitment.catalogue.tables import END, PART
from fitment.catalogue.windows import Window

#: a share of a window's larger limit: what lies within it of a window is looked at, so that near misses are not lost
FAR = 0.1
#: standard uncertainties within which a size may be inside after all; no distribution reaches farther
_REACH = 2.0
_WORDS = ("thread", "hand", "sex")


def outside_by_summary(kind: str, windows: Sequence[Window]) -> sa.ColumnElement[bool] | None:
    """The condition on `PART` under which a part is not outside by the summary; None where that tells nothing.

    Args:
        kind: kind of part.
        windows: what is wanted.
    """
    conditions = [one for window in windows if (one := _outside(kind, window)) is not None]
    if not conditions:
        return None
    ends = [
        sa.select(sa.literal(1)).where(END.c.part_id == PART.c.id, END.c.feature == feature, outside).exists()
        for feature, outside in conditions
    ]
    return sa.not_(sa.or_(*ends))


def _outside(kind: str, window: Window) -> tuple[str, sa.ColumnElement[bool]] | None:
    """The end that a window is about, and when the summary shows it to be outside; None where it does not tell."""
    if window.dimension in _WORDS and window.word is not None:
        return window.feature, END.c[window.dimension] != window.word
    if window.dimension != leading_sizes().get(part_kinds()[kind].features.get(window.feature, "")):
        return None
    slack = FAR * max((abs(end) for end in (window.low, window.high) if end), default=1.0)
    sides = []
    if window.low is not None:
        sides.append(END.c.size + _REACH * END.c.size_u < window.low - slack)
    if window.high is not None:
        sides.append(END.c.size - _REACH * END.c.size_u > window.high + slack)
    return (window.feature, sa.or_(*sides)) if sides else None
