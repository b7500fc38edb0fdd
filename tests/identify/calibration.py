"""Whether odds are honest: of all that was given odds of 30 %, three in ten should be true."""

from __future__ import annotations

import math
from collections.abc import Iterable

EDGES = (0.02, 0.1, 0.25, 0.4, 0.6, 0.95, 1.0 + 1e-9)

#: bins with fewer entries say nothing: their share of hits scatters by more than the gap looked for
FEWEST = 250


def worst_gap(pairs: Iterable[tuple[float, bool]]) -> float:
    """The largest difference, over bins of odds, between the mean odds and the share that was true.

    Args:
        pairs: odds given, and whether it was so.
    """
    bins: dict[int, list[tuple[float, bool]]] = {}
    for odds, true in pairs:
        if odds >= EDGES[0]:
            bins.setdefault(sum(odds >= edge for edge in EDGES), []).append((odds, true))
    filled = [entries for entries in bins.values() if len(entries) >= FEWEST]
    assert len(filled) >= 4, "too few bins are filled to judge"
    return max(
        abs(math.fsum(odds for odds, _ in entries) - sum(true for _, true in entries)) / len(entries)
        for entries in filled
    )
