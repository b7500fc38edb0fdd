"""The streams of one layout: which children each has, in the order of their lower bounds."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from fitment.kits.search.bounds import NEVER, Bounds
from fitment.kits.search.lengths import Lengths
from fitment.kits.search.merging import Ascending, End, Merge, Meter, Opened, Pairs, Source, Window
from fitment.kits.search.model import DIRECT, TO_MAKE, Layout, Piece

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]


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
