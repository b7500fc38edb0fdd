"""One layout of one branch at work: its chains for one rack after the other, those that stand in the rack's window."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from fitment.kits.search.bounds import NEVER, Bounds
from fitment.kits.search.chains import indexed
from fitment.kits.search.lengths import Lengths
from fitment.kits.search.merging import Item, Meter, Pairs
from fitment.kits.search.model import RACK, Branch, Layout, Piece, Problem
from fitment.kits.search.streams import ChainStreams

#: chains passed by for their length until the reachable lengths of their layout are worked out, and then their costs
SOME, MANY = 512, 4_096


class Tables:
    """Bounds and lengths by layout, worked out once: problems that share a layout can share its tables."""

    def __init__(self) -> None:
        self._bounds: dict[tuple[Layout, int, tuple[int, int]], Bounds] = {}
        self._lengths: dict[tuple[Bounds, int], Lengths] = {}

    def lengths(self, layout: Layout, level: int, shape: tuple[int, int], span: int) -> Lengths:
        """The tables of a layout.

        Args:
            layout: which.
            level: what has a higher level is left out.
            shape: most adapters and gaps.
            span: the longest length of interest, in 0.1 mm.
        """
        key = (layout, level, shape)
        if (bounds := self._bounds.get(key)) is None:
            bounds = self._bounds[key] = Bounds(indexed(layout), level, *shape)
        if (lengths := self._lengths.get((bounds, span))) is None:
            lengths = self._lengths[bounds, span] = Lengths(bounds, span)
        return lengths


class Side:
    """One layout of a branch.

    Attributes:
        bounds, lengths: its tables.
        rows: row of each rack's key; shape (racks,).
        knows_reach: whether the reachable lengths are worked out.
    """

    def __init__(
        self,
        problem: Problem,
        branch: Branch,
        lengths: Lengths,
        pairs: Pairs,
        meter: Meter,
        on_reach: Callable[[], None],
    ) -> None:
        """on_reach: told when the reachable lengths are worked out."""
        self.lengths, self.bounds = lengths, lengths.bounds
        self.rows = self.bounds.chain.rows[0].of(problem.racks.keys[branch.name])
        self.knows_reach = False
        self._windows = problem.racks.windows.get(branch.name)
        self._streams = ChainStreams(self.bounds, lengths, pairs, meter)
        self._on_reach = on_reach
        self._passed_by = 0

    def chains(self, rack: int, adapters: int, gaps: int) -> Iterator[Item]:
        """The chains for a rack with just so many adapters and gaps, in the order of (cost, order)."""
        row, piece = int(self.rows[rack]), Piece(RACK, rack)
        if self.bounds.linked[0][adapters, gaps, row] >= NEVER:
            return
        stream, lead = self._streams.after(0, row, piece, adapters, gaps, None)
        window = None if self._windows is None else (int(self._windows[rack, 0]), int(self._windows[rack, 1]))
        if window is not None and window[0] > window[1]:
            return
        n = given = 0
        while window is None or self._passed_by < MANY:
            if window is not None and self.knows_reach and not self.lengths.possible(row, adapters, gaps, window):
                return
            if (item := stream.get(n)) is None:
                return
            n += 1
            if window is None or (item[2] <= window[1] and item[2] + item[3] >= window[0]):
                given += 1
                yield (item[0], lead + item[1], *item[2:])
            else:
                self._pass_by()
        if not self.lengths.possible(row, adapters, gaps, window):
            return
        # the same chains in the same order, those out of the window left out: those given already are skipped
        stream, lead = self._streams.after(0, row, piece, adapters, gaps, window)
        while (item := stream.get(given)) is not None:
            yield (item[0], lead + item[1], *item[2:])
            given += 1

    def _pass_by(self) -> None:
        self._passed_by += 1
        if self._passed_by == SOME:
            self.knows_reach = True
            self._on_reach()
