"""Lazy streams: the completions from a key (or a piece, where pairs are tested), best first, remembered and shared.

A stream merges its children: one per candidate (or link), each with the stream of what may follow it. Children are
opened in the order of their lower bounds, and each is asked for its next only when its last was taken (first child,
next sibling, on a heap). Items come in the order of (cost, order), ties included.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from heapq import heappop, heappush
from typing import TYPE_CHECKING, Any, Protocol

from fitment.kits.search.bounds import NEVER, Bounds
from fitment.kits.search.lengths import Lengths
from fitment.kits.search.model import DIRECT, TO_MAKE, Layout, PairTest, Piece

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
            Spent: that was one too many.
        """
        self.steps += 1
        if self.steps > self.limit:
            raise Spent


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


class ChainStreams:
    """All streams of one layout at one level."""

    def __init__(self, bounds: Bounds, lengths: Lengths, pairs: Pairs, meter: Meter) -> None:
        self.bounds, self.lengths, self._pairs, self._meter = bounds, lengths, pairs, meter
        self.layout: Layout = bounds.chain.layout
        self._chain = bounds.chain
        self._streams: dict[Any, Source] = {}
        self._sorted: dict[Any, Ascending] = {}
        self._link_values: dict[int, Whole] = {}
        self._tested = [pairs.test is not None and one.tested for one in self.layout.interfaces]
        # the fewest adapters that a link of an interface takes: with fewer, pieces meet there directly
        self._fewest = [None if one is None else int(one.adapters.min()) for one in self._chain.links]

    def after(
        self, at: int, row: int, piece: Piece, adapters: int, gaps: int, window: Window
    ) -> tuple[Source, tuple[int, ...]]:
        """What follows at an interface, and what its items' order lacks in front.

        Args:
            at: which interface.
            row: row of the key that arrives.
            piece: what arrives.
            adapters, gaps: how many the rest of the chain has, exactly.
            window: of the rest of the chain's length; None: whatever it comes to.
        """
        if (fewest := self._fewest[at]) is None or fewest > adapters:
            return self._direct(at, row, piece, adapters, gaps, window), (DIRECT,)
        key = (0, at, row, piece if self._tested[at] else None, adapters, gaps, window)
        if (stream := self._streams.get(key)) is None:
            opener = self._link_opener(at, row, piece, adapters, gaps, window)
            stream = Merge(self._meter, self._sorted_links(at, row, adapters, gaps, window), opener)
            self._streams[key] = stream
        return stream, ()

    def _level(self, at: int, before: Piece, after: Piece) -> int | None:
        """Level of two pieces that meet; None where that is none, or worse than is looked for."""
        if not self._tested[at] or before.place == TO_MAKE:
            return 0
        level = self._pairs.level(self.layout.interfaces[at].name, before, after)
        return None if level is None or level > self.bounds.level else level

    def _direct(self, at: int, row: int, piece: Piece, adapters: int, gaps: int, window: Window) -> Source:
        key = (1, at, row, piece if self._tested[at] else None, adapters, gaps, window)
        if (stream := self._streams.get(key)) is None:
            if at == len(self.layout.stations):
                stream = End(self._level(at, piece, Piece(self.layout.end_name, 0)))
            else:
                opener = self._station_opener(at, piece, adapters, gaps, window)
                stream = Merge(self._meter, self._sorted_station(at, row, adapters, gaps, window), opener)
            self._streams[key] = stream
        return stream

    def _station_opener(
        self, at: int, piece: Piece, adapters: int, gaps: int, window: Window
    ) -> Callable[[int, int], Opened | None]:
        group, name = self._chain.stations[at], self.layout.stations[at].name

        def opened(place: int, number: int) -> Opened | None:
            candidate = Piece(name, number)
            if (level := self._level(at, piece, candidate)) is None:
                return None
            length, give = int(group.length[place]), int(group.give[place])
            rest = None if window is None else (window[0] - length - give, window[1] - length)
            stream, lead = self.after(
                at + 1, int(group.to[place]), candidate, adapters, gaps - int(group.gaps[place]), rest
            )
            level = max(level, int(group.level[place]))
            return stream, int(group.cost[place]), (number, *lead), length, give, level

        return opened

    def _link_opener(
        self, at: int, row: int, piece: Piece, adapters: int, gaps: int, window: Window
    ) -> Callable[[int, int], Opened | None]:
        group, table, to_make = (
            self._chain.links[at],
            self.layout.interfaces[at].links,
            self.layout.interfaces[at].to_make,
        )
        assert group is not None
        assert table is not None

        def opened(place: int, number: int) -> Opened | None:
            if number == DIRECT:
                return self._direct(at, row, piece, adapters, gaps, window), 0, (DIRECT,), 0, 0, 0
            taken, level = int(group.adapters[place]), 0
            before = piece
            if number == to_make:
                before = Piece(TO_MAKE, 0)
            elif taken:
                before = Piece(table.name, number)
                if (answer := self._level(at, piece, before)) is None:
                    return None
                level = answer
            length = int(group.length[place])
            rest = None if window is None else (window[0] - length, window[1] - length)
            stream = self._direct(at, int(group.to[place]), before, adapters - taken, gaps, rest)
            return stream, int(group.cost[place]), (number,), length, 0, max(level, int(group.level[place]))

        return opened

    # -- children in the order of their bounds, shared by all streams that take the same key

    def _sorted_station(self, at: int, row: int, adapters: int, gaps: int, window: Window) -> Ascending:
        key = (1, at, row, adapters, gaps, window)
        if (made := self._sorted.get(key)) is None:
            import numpy as np

            group = self._chain.stations[at]
            slices = group.taking(row)
            if window is None:
                values = _joined([self.bounds.through[at][adapters, gaps, part] for part in slices])
            else:
                parts = [self._in_window(at, part, adapters, gaps, window) for part in slices]
                values = _joined(parts)
            ids = _joined([group.ids[part] for part in slices])
            places = _joined([np.arange(part.start, part.stop) for part in slices])
            made = self._sorted[key] = Ascending(values, ids, places)
        return made

    def _in_window(self, at: int, part: slice, adapters: int, gaps: int, window: tuple[int, int]) -> Whole:
        """Cheapest completion through each of a part of a station's candidates, its length in the window."""
        import numpy as np

        group = self._chain.stations[at]
        made = np.full(part.stop - part.start, NEVER)
        through = self.bounds.through[at][adapters, gaps, part]
        own = group.gaps[part]
        for own_gaps in range(min(3, gaps + 1)):
            of = np.flatnonzero((through < NEVER) & (own == own_gaps))
            if not len(of):
                continue
            length, give = group.length[part][of], group.give[part][of]
            rest = self.lengths.least_costs(
                at + 1,
                True,
                adapters,
                gaps - own_gaps,
                group.to[part][of],
                window[0] - length - give,
                window[1] - length,
            )
            made[of] = np.minimum(rest + group.cost[part][of], NEVER)
        return made

    def _sorted_links(self, at: int, row: int, adapters: int, gaps: int, window: Window) -> Ascending:
        key = (0, at, row, adapters, gaps, window)
        if (made := self._sorted.get(key)) is None:
            import numpy as np

            group = self._chain.links[at]
            assert group is not None
            slices = group.taking(row)
            places = _joined([np.arange(part.start, part.stop) for part in slices])
            if window is None:
                if at not in self._link_values:
                    self._link_values[at] = self.bounds.through_links(at, self.bounds.direct[at])
                straight = self.bounds.direct[at][adapters, gaps, row]
                values = self._link_values[at][adapters, gaps, places]
            else:
                straight = self._straight(at, row, adapters, gaps, window)
                values = self._links_in_window(at, places, adapters, gaps, window)
            values = np.concatenate(([straight], values))
            ids = np.concatenate(([DIRECT], group.ids[places]))
            made = self._sorted[key] = Ascending(values, ids, np.concatenate(([DIRECT], places)))
        return made

    def _straight(self, at: int, row: int, adapters: int, gaps: int, window: tuple[int, int]) -> int:
        import numpy as np

        one = [np.array([value]) for value in (row, *window)]
        return int(self.lengths.least_costs(at, False, adapters, gaps, *one)[0])

    def _links_in_window(self, at: int, places: Whole, adapters: int, gaps: int, window: tuple[int, int]) -> Whole:
        import numpy as np

        group = self._chain.links[at]
        assert group is not None
        made = np.full(len(places), NEVER)
        allowed = group.level[places] <= self.bounds.level
        for taken in range(adapters + 1):
            of = np.flatnonzero(allowed & (group.adapters[places] == taken))
            if len(of):
                which = places[of]
                length = group.length[which]
                rest = self.lengths.least_costs(
                    at, False, adapters - taken, gaps, group.to[which], window[0] - length, window[1] - length
                )
                made[of] = np.minimum(rest + group.cost[which], NEVER)
        return made


def _joined(parts: list[Whole]) -> Whole:
    import numpy as np

    return parts[0] if len(parts) == 1 else np.concatenate(parts)
