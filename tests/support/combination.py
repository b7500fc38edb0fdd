"""Trials of the combination: a true value, origins that read it with the doubts that they state, and what comes out.

An origin is one tool of one shop. In a third of them it is read in two sittings: most of its error is the tool's and
the same in both. Doubts are those of five tools of unlike quality; beyond them origins may scatter.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from scipy.special import stdtrit

from fitment.catalogue.combine import Combined, Estimate, combine
from fitment.catalogue.contradiction import contradiction

#: half-widths of a calliper (three times as common), its inside jaws and its depth rod, mm; those of tools.csv
_HALF_WIDTHS = (0.05, 0.05, 0.05, 0.08, 0.10)
#: share of the doubt that is the tool's own, where it is read twice
_COMMON = 0.8


@dataclass(frozen=True)
class Trial:
    """One trial; the true value is 0.

    Attributes:
        conflict: whether the readings contradict each other: then no interval is told.
        combined: what they come to.
    """

    conflict: bool
    combined: Combined

    @property
    def held(self) -> bool:
        """Whether the 95 % interval holds the truth."""
        return abs(self.combined.value) <= reach(self.combined.freedom()) * self.combined.u


@cache
def _quantile(freedom: float) -> float:
    return float(stdtrit(freedom, 0.975))


def reach(freedom: float) -> float:
    """95 % of Student's t of so many degrees of freedom lie within this."""
    return _quantile(round(min(freedom, 1e6), 1))


def trials(origins: int, count: int, scatter: float, seed: int = 20_261) -> Iterator[Trial]:
    """Seeded trials.

    Args:
        origins: how many independent origins.
        count: how many trials.
        scatter: standard deviation between origins beyond their doubts, in doubts of their own pooled.
        seed: the same seed gives the same trials.
    """
    draw = random.Random(seed * 100 + origins)
    for _ in range(count):
        estimates = _estimates(draw, origins, scatter)
        yield Trial(contradiction(estimates) is not None, combine(estimates))


def _estimates(draw: random.Random, origins: int, scatter: float) -> list[Estimate]:
    us = [draw.choice(_HALF_WIDTHS) / math.sqrt(3) * draw.choice((1.0, 1.5)) for _ in range(origins)]
    beyond = scatter * math.sqrt(origins / math.fsum(1 / u**2 for u in us))
    estimates = []
    for number, u in enumerate(us):
        of_tool = draw.gauss(0.0, _COMMON * u) + draw.gauss(0.0, beyond)
        rest = math.sqrt(1 - _COMMON**2) * u
        for _ in range(2 if draw.random() < 1 / 3 else 1):
            estimates.append(Estimate(of_tool + draw.gauss(0.0, rest), u, f"tool {number}", _COMMON * u))
    return estimates
