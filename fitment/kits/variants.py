"""Which one have I: the dimensions that tell parts from each other that look alike."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence

from fitment.catalogue.dictionary import Dimension, dimensions_of
from fitment.catalogue.found import FoundPart
from fitment.finding import Use
from fitment.frozen import dataclass
from fitment.quantity.tools import all_tools

#: two designs are told apart by readings so many standard uncertainties of their difference apart, or more: pieces of
#: one design differ a little too. Own choice, no source.
_APART = 4.0
#: kinds of value that nobody tells parts apart by at a bench
_NOT_READ = ("trial", "point", "distances")
#: dimensions that say how one piece has fared, not which design it is
_STATE = ("condition", "play-axial", "play-radial", "play", "welds", "heat-marks", "as-left", "oval", "bell-mouth")
#: two parts by their places in a list
Pair = tuple[int, int]


@dataclass(frozen=True)
class Telling:
    """The dimension to read.

    Attributes:
        feature: on which end.
        dimension: by the dictionary, with how to take it.
        tool: the tool for it, for people; "" where it is looked at, weighed or read off a paper.
        values: the parts with their values of it.
        pairs: how many pairs of parts it tells apart, of the `of_pairs` that no earlier one told.
        apart: the widest difference in units of its doubt; None for words.
    """

    feature: str
    dimension: Dimension
    tool: str
    values: tuple[tuple[str, Use], ...]
    pairs: int
    of_pairs: int
    apart: float | None


def telling_dimensions(parts: Sequence[FoundPart]) -> tuple[Telling, ...]:
    """The dimensions that tell these parts from each other, in the order in which to read them.

    First the one that tells most pairs apart, of several the one with the widest difference in units of its doubt; then
    the same again for the pairs that are left, until none is or no dimension tells them.

    Args:
        parts: of one kind.
    """
    left = {(at, other) for at in range(len(parts)) for other in range(at + 1, len(parts))}
    found: list[Telling] = []
    while left:
        best = max(_tellings(parts, left), key=lambda one: (one.pairs, one.apart or math.inf), default=None)
        if best is None:
            break
        found.append(best)
        left = {pair for pair in left if not _told_by(parts, best, pair)}
    return tuple(found)


def _tellings(parts: Sequence[FoundPart], pairs: Collection[Pair]) -> Iterator[Telling]:
    """Every dimension that tells any of these pairs apart."""
    for feature, first in parts[0].features.items():
        for name, dimension in dimensions_of(first.kind).items():
            if dimension.value_kind in _NOT_READ or name in _STATE:
                continue
            uses = [part.features[feature].get(name) for part in parts]
            apart = [_apart(uses[one], uses[other]) for one, other in pairs]
            told = sum(one > _APART for one in apart)
            if told:
                widest = max(apart)
                tool = next((one.title for one in all_tools() if one.code == dimension.tool), "")
                values = tuple((part.name, use) for part, use in zip(parts, uses, strict=True) if use is not None)
                far = None if math.isinf(widest) else widest
                yield Telling(feature, dimension, tool, values, told, len(pairs), far)


def _told_by(parts: Sequence[FoundPart], telling: Telling, pair: Pair) -> bool:
    one, other = (parts[at].features[telling.feature].get(telling.dimension.dimension) for at in pair)
    return _apart(one, other) > _APART


def _apart(one: Use | None, other: Use | None) -> float:
    """How far two values lie apart in units of the doubt of their difference; words that differ, without end."""
    if one is None or other is None:
        return 0.0
    if isinstance(one.value, str) or isinstance(other.value, str):
        return math.inf if one.value != other.value else 0.0
    doubt = math.hypot(one.u or 0.0, other.u or 0.0)
    if not doubt:
        return math.inf if one.value != other.value else 0.0
    return abs(one.value - other.value) / doubt
