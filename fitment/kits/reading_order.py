"""How long an order of readings takes, on the average over many worlds, until the verdict is settled; a better order.

A world is settled by the first rule that fails in it once everything is read that the rule takes; one in which none
fails, by the last reading.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fitment.kits.filled import Key
from fitment.kits.worlds import Worlds

Sets = list[tuple[Key, ...]]

#: a saving below this share of the time is arithmetic
_SAVES = 1e-9


class Settling:
    """The worlds, as far as the time matters: which sets of readings rule each of them out."""

    def __init__(self, worlds: Worlds):
        import numpy as np

        self._minutes: Mapping[Key, float] = {key: task.minutes for key, task in worlds.tasks.items()}
        self._needs = [keys for keys in worlds.needs if keys]
        fails = [worlds.needs[keys].fails.ravel() for keys in self._needs]
        patterns: Any = np.stack(fails, axis=1) if fails else np.zeros((1, 0), dtype=bool)
        self._patterns, counts = np.unique(patterns, axis=0, return_counts=True)
        self._shares = counts / counts.sum()

    def expected(self, order: Sequence[Key]) -> float:
        """Expected minutes until the verdict is settled, all readings taken in this order."""
        import numpy as np

        done: dict[Key, float] = {}
        clock = 0.0
        for key in order:
            clock += self._minutes[key]
            done[key] = clock
        ends = np.array([max(done[key] for key in keys) for keys in self._needs])
        if not ends.size:
            return clock
        return float(self._shares @ np.where(self._patterns, ends, clock).min(axis=1))

    def better(self, sets: Sets) -> Sets:
        """The sets in an order from which no move of a single one saves any expected minutes."""
        best, least = sets, self.expected(_flat(sets))
        while True:
            moved = [_moved(best, at, to) for at in range(len(best)) for to in range(len(best)) if at != to]
            found = min(((self.expected(_flat(one)), one) for one in moved), key=lambda pair: pair[0], default=None)
            if found is None or found[0] >= least * (1 - _SAVES):
                return best
            least, best = found


def _flat(sets: Sets) -> list[Key]:
    return [key for keys in sets for key in keys]


def _moved(sets: Sets, at: int, to: int) -> Sets:
    rest = [*sets[:at], *sets[at + 1 :]]
    return [*rest[:to], sets[at], *rest[to:]]
