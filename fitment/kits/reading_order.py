"""How long an order of readings takes, on the average over many worlds, until the verdict is settled; a better order.

A world is settled by the first rule that fails in it once everything is read that the rule takes, or a trial tells it;
one in which none fails, by the last reading that anything still rests on.
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
    """The worlds, as far as the time matters: which readings and trials rule each of them out."""

    def __init__(self, worlds: Worlds):
        import numpy as np

        self._minutes: Mapping[Key, float] = {key: task.minutes for key, task in worlds.tasks.items()}
        needs = [need for need in worlds.needs if not need.already]
        self._ways = [(place, way) for place, need in enumerate(needs) for way in need.ways]
        self._of: dict[Key, list[int]] = {}
        for number, (_, way) in enumerate(self._ways):
            for key in way.keys:
                self._of.setdefault(key, []).append(number)
        # where a need fails as its readings have it, and as its trial has it
        fails = [one.ravel() for need in needs for one in (need.fails, need.felt)]
        patterns: Any = np.stack(fails, axis=1) if fails else np.zeros((1, 0), dtype=bool)
        self._patterns, counts = np.unique(patterns, axis=0, return_counts=True)
        self._shares = counts / counts.sum()

    def expected(self, order: Sequence[Key]) -> float:
        """Expected minutes until the verdict is settled, all readings taken in this order.

        What is left out is a reading all of whose rules are decided by then: by the trial that stands for it.
        """
        import numpy as np

        left = [len(way.keys) for _, way in self._ways]
        ends = np.full(self._patterns.shape[1], np.inf)
        settled: set[int] = set()
        clock = 0.0
        for key in order:
            numbers = self._of.get(key, [])
            if numbers and all(self._ways[number][0] in settled for number in numbers):
                continue
            clock += self._minutes[key]
            for number in numbers:
                left[number] -= 1
                place, way = self._ways[number]
                if not left[number]:
                    column = 2 * place + way.tried
                    ends[column] = min(ends[column], clock)
                    if way.settles:
                        settled.add(place)
        if not ends.size:
            return clock
        return float(self._shares @ np.where(self._patterns, np.minimum(ends, clock), clock).min(axis=1))

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
