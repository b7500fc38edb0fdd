"""Which one have I: the one dimension that best tells parts from each other that look alike."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fitment.catalogue.dictionary import Dimension, dimensions_of
from fitment.catalogue.found import FoundPart
from fitment.finding import Use
from fitment.quantity.tools import all_tools

#: two readings differ beyond so many standard uncertainties of their difference
_APART = 2.0
#: kinds of value that nobody tells parts apart by at a bench
_NOT_READ = ("trial", "point", "distances")
#: dimensions that say how one piece has fared, not which design it is
_STATE = ("condition", "play-axial", "play-radial", "play", "welds", "heat-marks", "as-left", "oval", "bell-mouth")


@dataclass(frozen=True)
class Telling:
    """The dimension to read.

    Attributes:
        feature: on which end.
        dimension: by the dictionary, with how to take it.
        tool: the tool for it, for people; "" where it is looked at, weighed or read off a paper.
        values: the parts with their values of it.
        pairs: how many pairs of parts it tells apart, of `of_pairs`.
        apart: the widest difference in units of its doubt; None for words.
    """

    feature: str
    dimension: Dimension
    tool: str
    values: tuple[tuple[str, Use], ...]
    pairs: int
    of_pairs: int
    apart: float | None


def telling_dimension(parts: Sequence[FoundPart]) -> Telling | None:
    """The dimension that tells most pairs of these parts apart, by the widest difference in units of its doubt.

    Args:
        parts: of one kind.

    Returns:
        None where none tells any two apart.
    """
    best: tuple[tuple[int, float], Telling] | None = None
    for feature, first in parts[0].features.items():
        for name, dimension in dimensions_of(first.kind).items():
            if dimension.value_kind in _NOT_READ or name in _STATE:
                continue
            known = [(part.name, use) for part in parts if (use := part.features[feature].get(name)) is not None]
            spread = [_apart(one, other) for at, (_, one) in enumerate(known) for _, other in known[at + 1 :]]
            told = sum(one > _APART for one in spread)
            if not told:
                continue
            widest = max(spread)
            rank = (told, widest)
            if best is None or rank > best[0]:
                count = len(parts) * (len(parts) - 1) // 2
                apart = None if math.isinf(widest) else widest
                tool = next((one.title for one in all_tools() if one.code == dimension.tool), "")
                best = (rank, Telling(feature, dimension, tool, tuple(known), told, count, apart))
    return best[1] if best is not None else None


def _apart(one: Use, other: Use) -> float:
    """How far two values lie apart in units of the doubt of their difference; words that differ, without end."""
    if isinstance(one.value, str) or isinstance(other.value, str):
        return math.inf if one.value != other.value else 0.0
    doubt = math.hypot(one.u or 0.0, other.u or 0.0)
    if not doubt:
        return math.inf if one.value != other.value else 0.0
    return abs(one.value - other.value) / doubt
