"""The guard: which lengths a chain can still come to from every key, and at what least cost, in steps of 0.1 mm.

Best-first streams that ignore lengths go on for ever where no length fits. Two tables per layout prevent that, each
filled only when a search has passed by too much: which lengths can be reached at all, as the bits of one whole number
per key (a candidate shifts it), and the cheapest way to each of them (a dynamic programme over key x length).
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

from fitment.kits.search.bounds import NEVER, Bounds
from fitment.kits.search.chains import Group, Rows

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]

#: [adapters][gaps][row]: bit s is set where the rest of the chain can be s long
Bits = list[list[list[int]]]

#: a row with no more finite entries than this is written entry by entry
_FEW = 4


def distinct(group: Group, usable: npt.NDArray[np.bool_]) -> list[tuple[int, int, int, int, int, int, int]]:
    """(row taken, row offered, length, give, gaps, adapters, least cost) of what is usable, each kind once."""
    import numpy as np

    of = np.flatnonzero(usable)
    if not len(of):
        return []
    takes = np.repeat(np.arange(len(group.starts) - 1), np.diff(group.starts))[of]
    columns = [takes, *(column[of] for column in (group.to, group.length, group.give, group.gaps, group.adapters))]
    code = np.zeros(len(of), dtype=np.int64)
    for column in columns:
        code = code * (int(column.max()) + 1) + column  # lengths below 2 km in 0.1 mm: far from 64 bits
    order = np.lexsort((group.cost[of], code))
    first = np.ones(len(of), dtype=bool)
    first[1:] = code[order][1:] != code[order][:-1]
    kept = order[first]
    return list(zip(*(column[kept].tolist() for column in (*columns, group.cost[of])), strict=True))


class Lengths:
    """The guard of one layout at one level, for chains up to a span."""

    def __init__(self, bounds: Bounds, span: int) -> None:
        """span: the longest length that any window allows, in 0.1 mm."""
        self.bounds, self.chain, self.shape = bounds, bounds.chain, bounds.shape
        self.span = max(0, min(span, self.chain.reach))
        # half the memory where the costs allow it; two that never end must still be addable
        self.small = self.chain.dearest < 1 << 29
        self.never = 1 << 29 if self.small else NEVER

    @cached_property
    def _kinds(self) -> tuple[list[Any], list[Any]]:
        stations = [
            distinct(group, through.min(axis=(0, 1)) < NEVER)
            for group, through in zip(self.chain.stations, self.bounds.through, strict=True)
        ]
        links = [
            [] if group is None else distinct(group, group.level <= self.bounds.level) for group in self.chain.links
        ]
        return stations, links

    # -- which lengths can be reached

    @property
    def reached(self) -> Bits:
        """Which lengths the whole chain can come to, by the row in which the rack arrives."""
        return self._reached[0]

    def onward(self, at: int, row: int) -> int:
        """Which lengths the rest of a chain can come to from a row of an interface without a link there, as bits."""
        bits = 0
        for of_adapters in self._reached[1][at]:
            for of_gaps in of_adapters:
                bits |= of_gaps[row]
        return bits

    @cached_property
    def _reached(self) -> tuple[Bits, list[Bits]]:
        """From the rack; and from each interface without a link there."""
        at = len(self.chain.stations)
        bits = self._none(self.chain.rows[at])
        if self.chain.end_gap < self.shape[1]:
            rows = self.chain.rows[at]
            taken = range(rows.any + 1) if self.chain.end == rows.any else (self.chain.end, rows.any)
            for row in taken:
                bits[0][self.chain.end_gap][row] = 1
        direct = [bits]
        bits = self._linked(at, bits)
        for at in reversed(range(len(self.chain.stations))):
            direct.insert(0, self._shifted(self.chain.rows[at], self._kinds[0][at], bits))
            bits = self._linked(at, direct[0])
        return bits, direct

    def _none(self, rows: Rows) -> Bits:
        return [[[0] * (rows.any + 1) for _ in range(self.shape[1])] for _ in range(self.shape[0])]

    def _shifted(self, rows: Rows, kinds: list[Any], after: Bits) -> Bits:
        made, full = self._none(rows), (1 << self.span + 1) - 1
        for adapters in range(self.shape[0]):
            for gaps in range(self.shape[1]):
                mine = made[adapters][gaps]
                for takes, to, length, give, own_gaps, own_adapters, _ in kinds:
                    if own_gaps <= gaps and own_adapters <= adapters:
                        rest = after[adapters - own_adapters][gaps - own_gaps][to]
                        mine[takes] |= (spread(rest, give) if give else rest) << length & full
                for row in range(rows.other):
                    mine[row] |= mine[rows.other]
                    mine[rows.any] |= mine[row]
                mine[rows.any] |= mine[rows.other]
        return made

    def _linked(self, at: int, direct: Bits) -> Bits:
        kinds = self._kinds[1][at]
        if not kinds:
            return direct
        through = self._shifted(self.chain.rows[at], kinds, direct)
        return [
            [[a | b for a, b in zip(*pair, strict=True)] for pair in zip(*two, strict=True)]
            for two in zip(direct, through, strict=True)
        ]

    def possible(self, row: int, adapters: int, gaps: int, window: tuple[int, int]) -> bool:
        """Whether a chain from the row, with just so many adapters and gaps, can stand in the window."""
        least, most = max(window[0], 0), min(window[1], self.span)
        return most >= least and bool(self.reached[adapters][gaps][row] >> least & (1 << most - least + 1) - 1)

    def all_possible(self, rows: Whole, windows: Whole) -> npt.NDArray[np.bool_]:
        """Whether each of many racks can stand in its window with any adapters and gaps allowed.

        Args:
            rows: shape (n,).
            windows: shape (n, 2).
        """
        import numpy as np

        size = self.span + 1
        below = np.zeros(
            (self.chain.rows[0].any + 1, size + 1), dtype=np.int32
        )  # how many lengths below each are reached
        for row in range(len(below)):
            bits = 0
            for of_adapters in self.reached:
                for of_gaps in of_adapters:
                    bits |= of_gaps[row]
            packed = np.frombuffer(bits.to_bytes(size // 8 + 1, "little"), dtype=np.uint8)
            np.cumsum(np.unpackbits(packed, bitorder="little")[:size], out=below[row, 1:])
        least, most = np.clip(windows[:, 0], 0, size), np.clip(windows[:, 1] + 1, 0, size)
        return (below[rows, most] > below[rows, least]) & (most > least)

    def nearest(self, row: int, window: tuple[int, int]) -> int | None:
        """By how much the window misses the nearest length from the row; as `Widened.by`, None where there is none."""
        bits = 0
        for of_adapters in self.reached:
            for of_gaps in of_adapters:
                bits |= of_gaps[row]
        # a window whose ends are the wrong way round is mended by taking one end past the other
        least, most = window
        from_here, to_here = max(least, most + 1, 0), min(most, least - 1)
        above, under = bits >> from_here, bits & (1 << max(to_here + 1, 0)) - 1
        ways = []
        if above:
            ways.append(from_here + (above & -above).bit_length() - 1 - most)
        if under:
            ways.append(under.bit_length() - 1 - least)
        return min(ways, key=lambda by: (abs(by), by), default=None)

    # -- at what cost

    @cached_property
    def _tables(self) -> tuple[list[Any], list[Any]]:
        """Cheapest way to each length, per interface: without and with its links; (adapters, gaps, rows, span + 1)."""
        import numpy as np

        at = len(self.chain.stations)
        rows = self.chain.rows[at]
        kind = np.int32 if self.small else np.int64
        table = np.full((*self.shape, rows.any + 1, self.span + 1), self.never, dtype=kind)
        if self.chain.end_gap < self.shape[1]:
            taken = slice(None) if self.chain.end == rows.any else [self.chain.end, rows.any]
            table[0, self.chain.end_gap, taken, 0] = 0
        direct = [table]
        linked = [self._table_linked(at, table)]
        for at in reversed(range(len(self.chain.stations))):
            direct.insert(0, self._table(self.chain.rows[at], self._kinds[0][at], linked[0]))
            linked.insert(0, self._table_linked(at, direct[0]))
        return direct, linked

    def _table_linked(self, at: int, direct: Any) -> Any:
        import numpy as np

        kinds = self._kinds[1][at]
        return np.minimum(direct, self._table(self.chain.rows[at], kinds, direct)) if kinds else direct

    def _table(self, rows: Rows, kinds: list[Any], after: Any) -> Any:
        import numpy as np

        made = np.full((*self.shape, rows.any + 1, self.span + 1), self.never, dtype=after.dtype)
        single = (after < self.never).sum(axis=-1).max(axis=(0, 1)) <= _FEW  # rows with hardly a length
        for takes, to, length, give, gaps, adapters, cost in kinds:
            if length > self.span:
                continue
            source = after[: self.shape[0] - adapters, : self.shape[1] - gaps, to]
            target = made[adapters:, gaps:, takes]
            if single[to] and not give:
                for a, g, s in zip(*np.nonzero(source[..., : self.span + 1 - length] < self.never), strict=True):
                    target[a, g, s + length] = min(target[a, g, s + length], source[a, g, s] + cost)
                continue
            if give:
                source = slid(source, give, self.never)
            there = target[..., length:]
            np.minimum(there, source[..., : self.span + 1 - length] + cost, out=there)
        made[:, :, rows.any] = made[:, :, : rows.any].min(axis=2)
        made[:, :, : rows.other] = np.minimum(made[:, :, : rows.other], made[:, :, rows.other, None])
        return np.minimum(made, self.never)

    def least_costs(
        self, at: int, linked: bool, adapters: int, gaps: int, rows: Whole, least: Whole, most: Whole
    ) -> Whole:
        """Cheapest completion from each row with a length from least to most, or `NEVER`; shape (n,)."""
        import numpy as np

        least, most = np.maximum(least, 0), np.minimum(most, self.span)
        made = np.full(len(rows), NEVER)
        some = np.flatnonzero(most >= least)
        if not len(some):
            return made
        powers = np.frexp((most - least + 1)[some].astype(float))[1] - 1
        for power in np.unique(powers).tolist():
            of = some[powers == power]
            table = self._blocks(at, linked, adapters, gaps, power)
            found = np.minimum(table[rows[of], least[of]], table[rows[of], most[of] + 1 - (1 << power)])
            there = found < self.never
            made[of[there]] = found[there]
        return made

    @cached_property
    def _kept_blocks(self) -> dict[tuple[int, bool, int, int, int], Any]:
        return {}

    def _blocks(self, at: int, linked: bool, adapters: int, gaps: int, power: int) -> Any:
        """At s the least of the 2**power entries from s on; shape (rows, span + 2 - 2**power)."""
        import numpy as np

        key = (at, linked, adapters, gaps, power)
        if key not in self._kept_blocks:
            if power == 0:
                made = self._tables[linked][at][adapters, gaps]
            else:
                half = self._blocks(at, linked, adapters, gaps, power - 1)
                step = 1 << power - 1
                made = np.minimum(half[:, :-step], half[:, step:])
            self._kept_blocks[key] = made
        return self._kept_blocks[key]


def spread(bits: int, give: int) -> int:
    """Every bit, and the `give` bits above it."""
    width = 1
    while width <= give:
        step = min(width, give + 1 - width)
        bits |= bits << step
        width += step
    return bits


def slid(values: Any, give: int, never: int) -> Any:
    """At s the least of the entries from s - give to s, along the last axis."""
    import numpy as np

    made, width = values.copy(), 1
    while width <= give:
        step = min(width, give + 1 - width)
        if step < made.shape[-1]:
            made[..., step:] = np.minimum(made[..., step:], made[..., :-step].copy())
        width += step
    return made
