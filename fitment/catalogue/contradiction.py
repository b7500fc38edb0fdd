"""Whether values of one measurand contradict each other. Pure.

Two values contradict each other where they differ by more than two standard uncertainties of their difference
(common practice, no source): of two right ones with normal errors 4.6 % do. Of several right ones the two farthest
apart do so far more often, of ten in 57 %; so the limit grows with their number, and stays 2 for two: it is the
range of so many normal numbers that 4.6 % exceed, over sqrt(2), for each pair with its own doubts (the comparison of
Tukey and Kramer, exact for equal doubts and stricter than asked for unequal ones, from memory). ``benchmarks/
conflicts.py`` counts false conflicts and missed ones.

Sittings of one tool are compared among themselves and then count as one origin: ten sittings of one shop hide no
second shop that disagrees with it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from functools import cache

from fitment.catalogue.combine import Estimate, pooled
from fitment.frozen import dataclass

#: two values that differ by more than so many standard uncertainties of their difference contradict each other
AGREE = 2.0
#: differences below it are rounding, in any unit
_ROUNDING = 1e-9
#: steps, and half the width in standard deviations, of the integral over the least of the normal numbers
_STEPS, _WIDE = 200, 8.0


@dataclass(frozen=True)
class Side:
    """One of two sides that contradict each other: its value, and which of the estimates it is made of."""

    estimate: Estimate
    places: tuple[int, ...]


def contradiction(estimates: Sequence[Estimate], of: int = 1) -> tuple[Side, Side] | None:
    """The two sides that are farthest apart, where they contradict each other; None where all agree.

    Args:
        estimates: of one measurand.
        of: how many such questions one value asks, a point three.
    """
    origins = [Side(estimate, places) for estimate, places in pooled(estimates)]
    for origin in origins:
        found = _farthest([Side(estimates[place], (place,)) for place in origin.places], of)
        if found is not None:
            return found
    return _farthest(origins, of)


def _farthest(sides: list[Side], of: int) -> tuple[Side, Side] | None:
    pairs = list(itertools.combinations(sides, 2))
    if not pairs:
        return None
    one, other = max(pairs, key=lambda pair: _excess(pair[0].estimate, pair[1].estimate))
    return (one, other) if _excess(one.estimate, other.estimate) > limit(len(sides), of) else None


def _excess(one: Estimate, other: Estimate) -> float:
    """E = |x1 - x2| / sqrt(u1^2 + u2^2)."""
    difference, doubt = abs(one.value - other.value), math.hypot(one.u, other.u)
    if difference <= _ROUNDING:
        return 0.0
    return difference / doubt if doubt else math.inf


@cache
def limit(count: int, of: int = 1) -> float:
    """What E of the two farthest apart of `count` right values exceeds as often as that of two right ones exceeds 2.

    Args:
        count: at least 2.
        of: how many such questions are asked at once; none of them is then exceeded more often.
    """
    right = math.erf(AGREE / math.sqrt(2.0)) ** (1.0 / of)
    low, high = 1.0, 20.0
    while high - low > 1e-12 * high:
        middle = (low + high) / 2
        low, high = (middle, high) if _within(middle, count) < right else (low, middle)
    return low / math.sqrt(2.0)


def _within(width: float, count: int) -> float:
    """The chance that `count` standard normal numbers lie within `width` of each other, by Simpson's rule.

    The least of them lies at z, the others between it and z + width.
    """
    step = 2.0 * _WIDE / _STEPS
    total = 0.0
    for number in range(_STEPS + 1):
        z = number * step - _WIDE
        weight = 1.0 if number in (0, _STEPS) else 4.0 if number % 2 else 2.0
        between = (math.erf((z + width) / math.sqrt(2.0)) - math.erf(z / math.sqrt(2.0))) / 2.0
        total += weight * math.exp(-z * z / 2.0) * between ** (count - 1)
    return count * total * step / 3.0 / math.sqrt(2.0 * math.pi)
