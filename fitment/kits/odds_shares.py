"""Where the doubt of a margin is from: the share of each independent error in its variance."""

from __future__ import annotations

from fitment.doubt import Draws, Traced
from fitment.frozen import dataclass

#: smaller shares are not told: within 20 000 samples they are noise
_LEAST = 0.005
#: a spread of this size beside the margin is that of the arithmetic, not of the readings
_ROUNDING = 1e-12


@dataclass(frozen=True)
class Contribution:
    """The share of one independent error.

    Attributes:
        feature, dimension: of the reading whose own error it is; "" for an error that several readings share.
        shared: the key of a shared error, its sitting and tool; "" for a reading's own.
        share: of the variance, 0 to 1: the squared correlation, which for a straight-line formula adds up to 1.
    """

    feature: str
    dimension: str
    shared: str
    share: float


def contributions(behind: Traced, draws: Draws) -> tuple[Contribution, ...]:
    """The shares in the doubt of a margin, the largest first; those of a point's coordinates are added up."""
    import numpy as np

    margin = np.broadcast_to(np.asarray(behind.at(draws), dtype=float), (draws.count,))
    if not np.std(margin) > _ROUNDING * (1.0 + abs(float(margin.mean()))):
        return ()
    shares: dict[tuple[str, str, str], dict[str, float]] = {}
    for use in behind.uses:
        for name, error in draws.errors(use).items():
            owner = ("", "", name) if name in dict(use.shared) else (use.feature, use.dimension, "")
            shares.setdefault(owner, {})[name] = float(np.corrcoef(error, margin)[0, 1] ** 2)
    found = [Contribution(*owner, sum(parts.values())) for owner, parts in shares.items()]
    return tuple(sorted((one for one in found if one.share >= _LEAST), key=lambda one: -one.share))
