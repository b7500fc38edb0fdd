"""Lazy streams: the completions from a key (or a piece, where pairs are tested), best first, remembered and shared.

A stream merges its children: one per candidate (or link), each with the stream of what may follow it. Children are
opened in the order of their lower bounds, and each is asked for its next only when its last was taken (first child,
next sibling, on a heap). Items come in the order of (cost, order), ties included.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from heapq import heappop, heappush
from typing import TYPE_CHECKING, Protocol

from fitment.kits.search.bounds import NEVER
from fitment.kits.search.model import PairTest, Piece

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]

#: cost, order, shortest length, give, level
Item = tuple[int, tuple[int, ...], int, int, int]
#: least and most, in 0.1 mm, of what is still to come; None: not minded
Window = tuple[int, int] | None

#: how many children are sorted at first; eight times as many with each further lot
_LOT = 24


class Spent(Exception):
    """The budget is spent; caught in the engine."""


class Meter:
    """Counts steps against a budget."""

    def __init__(self, limit: int) -> None:
        self.steps, self.limit = 0, limit

    def step(self) -> None:
        """One step more.

        Raises:
            Spent: that would be one too many.
        """
        if self.steps >= self.limit:
            raise Spent
        self.steps += 1


class Pairs:
    """The pair test, each pair asked once.

    Attributes:
        refused: how many pairs it refused, by name of the interface.
    """

    def __init__(self, test: PairTest | None) -> None:
        self.test = test
        self.refused: Counter[str] = Counter()
        self._known: dict[tuple[Piece, Piece], int | None] = {}

    def level(self, interface: str, before: Piece, after: Piece) -> int | None:
        """Level of two pieces that meet; None where they do not go together."""
        assert self.test is not None
        two = (before, after)
        if two not in self._known:
            level = self._known[two] = self.test(before, after)
            self.refused[interface] += level is None
        return self._known[two]


class Ascending:
    """Things by (value, id), sorted by lots as far as they are asked for; those that can not be are left out."""

    def __init__(self, values: Whole, ids: Whole, places: Whole) -> None:
        import numpy as np

        some = np.flatnonzero(values < NEVER)
        if len(some) < len(values):
            values, ids, places = values[some], ids[some], places[some]
        self._values, self._ids, self._places = values, ids, places
        self._above = -1  # values up to here are in the list
        self.heads: list[tuple[int, int]] = []  # value, id
        self.places: list[int] = []

    def has(self, n: int) -> bool:
        """Whether there is an n-th."""
        while n >= len(self.heads):
            if not len(self._values):
                return False
            self._sort_on()
        return True

    def _sort_on(self) -> None:
        import numpy as np

        values, lot = self._values, max(_LOT, 7 * len(self.heads))
        if len(values) <= 2 * lot:
            chosen, rest = np.arange(len(values)), np.arange(0)
        else:
            ceiling = np.partition(values, lot)[lot]
            chosen, rest = np.flatnonzero(values <= ceiling), np.flatnonzero(values > ceiling)
        order = chosen[np.lexsort((self._ids[chosen], values[chosen]))]
        self.heads += zip(values[order].tolist(), self._ids[order].tolist(), strict=True)
        self.places += self._places[order].tolist()
        self._values, self._ids, self._places = values[rest], self._ids[rest], self._places[rest]


class Source(Protocol):
    """Something that gives items one after the other."""

    def get(self, n: int) -> Item | None:
        """The n-th item, None after the last."""


class End:
    """The end of a chain: one item, or none where the pair test refuses it."""

    def __init__(self, level: int | None) -> None:
        self._item: Item | None = None if level is None else (0, (), 0, 0, level)

    def get(self, n: int) -> Item | None:
        """The one item."""
        return self._item if n == 0 else None


#: what a child adds: its stream, then cost, order before that of the stream's items, length, give, level
Opened = tuple[Source, int, tuple[int, ...], int, int, int]


class Merge:
    """One stream."""

    def __init__(self, meter: Meter, children: Ascending, opener: Callable[[int, int], Opened | None]) -> None:
        """opener: gives the child for (place in its group, id); None where it can not stand here."""
        self._meter, self._children, self._open = meter, children, opener
        self._next = 0
        self._opened: list[Opened] = []
        self._heap: list[tuple[int, tuple[int, ...], int, int, int, int, int]] = []
        self._items: list[Item] = []
        self._taken: tuple[int, int] | None = None  # the child whose last was taken, not yet asked for its next

    def get(self, n: int) -> Item | None:
        """The n-th item, None after the last.

        Raises:
            Spent: by the meter.
        """
        while len(self._items) <= n:
            if not self._advance():
                return None
        return self._items[n]

    def _advance(self) -> bool:
        heap, children, heads = self._heap, self._children, self._children.heads
        if self._taken is not None:
            self._push(*self._taken)
            self._taken = None
        while self._next < len(heads) or children.has(self._next):
            value, number = heads[self._next]
            if heap and (value > heap[0][0] or (value == heap[0][0] and number > heap[0][1][0])):
                break
            self._meter.step()
            child = self._open(children.places[self._next], number)
            self._next += 1
            if child is not None:
                self._opened.append(child)
                self._push(len(self._opened) - 1, 0)
        if not heap:
            return False
        self._meter.step()
        cost, order, length, give, level, child_at, n = heappop(heap)
        self._items.append((cost, order, length, give, level))
        self._taken = (child_at, n + 1)
        return True

    def _push(self, child_at: int, n: int) -> None:
        source, cost, before, length, give, level = self._opened[child_at]
        if (item := source.get(n)) is not None:
            heappush(
                self._heap,
                (
                    cost + item[0],
                    before + item[1],
                    length + item[2],
                    give + item[3],
                    max(level, item[4]),
                    child_at,
                    n,
                ),
            )
