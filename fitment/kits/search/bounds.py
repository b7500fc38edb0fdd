"""The cheapest completion from every key, backwards along a chain, whatever the lengths: a lower bound, all at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.kits.search.chains import ChainIndex, Group, Rows

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]

#: cost of what can not be; two of them still fit in 64 bits
NEVER = 1 << 60


class Bounds:
    """Lower bounds of one layout at one level.

    Attributes:
        chain: the layout made ready.
        level: what has a higher level is left out.
        most: most adapters and gaps; shape: one more of either.
        linked: per interface, cheapest completion of what arrives in a row, by exact number of adapters and of gaps
            from there on; shape (adapters + 1, gaps + 1, rows). `NEVER` where there is none.
        direct: the same without a link at that interface.
        through: per station, cheapest completion through each candidate, itself counted; shape (adapters + 1, gaps + 1,
            n), in the order of its `Group`.
    """

    def __init__(self, chain: ChainIndex, level: int, adapters: int, gaps: int) -> None:
        self.chain, self.level = chain, level
        self.most, self.shape = (adapters, gaps), (adapters + 1, gaps + 1)
        self.through: list[Whole] = []
        self.direct: list[Whole] = [self._at_end()]
        self.linked: list[Whole] = [self._with_links(len(chain.stations), self.direct[0])]
        for at in reversed(range(len(chain.stations))):
            self.through.insert(0, self._through(chain.stations[at], self.linked[0]))
            self.direct.insert(0, self._taken(at, self.through[0]))
            self.linked.insert(0, self._with_links(at, self.direct[0]))

    def _at_end(self) -> Whole:
        import numpy as np

        rows = self.chain.rows[-1]
        best = np.full((*self.shape, rows.any + 1), NEVER)
        if self.chain.end_gap < self.shape[1]:
            taken = slice(None) if self.chain.end == rows.any else [self.chain.end, rows.any]
            best[0, self.chain.end_gap, taken] = 0
        return best

    def _through(self, group: Group, after: Whole) -> Whole:
        import numpy as np

        best = np.full((*self.shape, len(group.ids)), NEVER)
        allowed = group.level <= self.level
        for gaps in range(min(3, self.shape[1])):  # a candidate has two ends
            of = np.flatnonzero(allowed & (group.gaps == gaps))
            if len(of):
                best[:, gaps:, of] = group.cost[of] + after[:, : self.shape[1] - gaps, group.to[of]]
        np.minimum(best, NEVER, out=best)
        return best

    def _taken(self, at: int, through: Whole) -> Whole:
        return least_by_row(self.chain.rows[at], self.chain.stations[at], through)

    def _with_links(self, at: int, direct: Whole) -> Whole:
        import numpy as np

        group = self.chain.links[at]
        if group is None:
            return direct
        best = direct.copy()
        through = self.through_links(at, direct)
        np.minimum(best, least_by_row(self.chain.rows[at], group, through), out=best)
        return best

    def through_links(self, at: int, direct: Whole) -> Whole:
        """Cheapest completion through each link of an interface; shape (adapters + 1, gaps + 1, n)."""
        import numpy as np

        group = self.chain.links[at]
        assert group is not None
        best = np.full((*self.shape, len(group.ids)), NEVER)
        for adapters in range(self.shape[0]):
            of = np.flatnonzero((group.adapters == adapters) & (group.level <= self.level))
            if len(of):
                best[adapters:, :, of] = group.cost[of] + direct[: self.shape[0] - adapters, :, group.to[of]]
        np.minimum(best, NEVER, out=best)
        return best


def least_by_row(rows: Rows, group: Group, values: Whole) -> Whole:
    """The least value for what arrives in each row; values: shape (..., n) in the group's order -> (..., rows)."""
    import numpy as np

    best = np.full((*values.shape[:-1], rows.any + 1), NEVER)
    starts = np.array(group.starts)
    filled = np.flatnonzero(starts[1:] > starts[:-1])
    if len(filled):
        best[..., filled] = np.minimum.reduceat(values, starts[filled], axis=-1)
        best[..., rows.any] = best[..., : rows.any].min(axis=-1)
        best[..., : rows.other] = np.minimum(best[..., : rows.other], best[..., rows.other, None])
    return best
