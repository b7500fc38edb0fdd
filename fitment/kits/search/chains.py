"""One layout made ready: candidates grouped by the key they take, done once per layout; pure bookkeeping in arrays.

At an interface every key that something takes or a link touches has a row; `ChainIndex.other` is the row of any other
key (only an end without a known key takes it), `ChainIndex.any` that of a piece which goes with everything.
"""

from __future__ import annotations

from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from fitment.frozen import dataclass
from fitment.kits.search.model import UNKNOWN, Layout, Links, Station

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Rows:
    """The keys of one interface.

    Attributes:
        keys: every key that has a row of its own, ascending; shape (m,). Row m is `other`, row m + 1 is `any`.
    """

    keys: Whole

    @property
    def other(self) -> int:
        """Row of a key that has none of its own."""
        return len(self.keys)

    @property
    def any(self) -> int:
        """Row of what goes with every key."""
        return len(self.keys) + 1

    def of(self, keys: Whole) -> Whole:
        """Row of each key."""
        import numpy as np

        if not len(self.keys):
            return np.where(keys < 0, self.any, self.other)
        at = np.minimum(np.searchsorted(self.keys, keys), len(self.keys) - 1)
        return np.where(keys < 0, self.any, np.where(self.keys[at] == keys, at, self.other))


@dataclass(frozen=True, eq=False)
class Group:
    """The candidates of a station, or the links of an interface, sorted by the row that they take, then by index.

    Attributes:
        ids: index as the caller knows it; shape (n,), as are all below.
        cost, length, give, level, gaps, adapters: of each.
        to: row that each offers; of a station at the next interface, of a link at its own.
        starts: where the things of each row begin; shape (m + 2,): row r is starts[r] to starts[r + 1], the last group
            (row `other`) are those that take any key.
    """

    ids: Whole
    cost: Whole
    length: Whole
    give: Whole
    level: Whole
    gaps: Whole
    adapters: Whole
    to: Whole
    starts: tuple[int, ...]

    def taking(self, row: int) -> tuple[slice, ...]:
        """Where those are that take what arrives in a row."""
        last = len(self.starts) - 2  # the row of those that take any key
        if row > last:
            return (slice(0, len(self.ids)),)
        own, wild = slice(self.starts[row], self.starts[row + 1]), slice(self.starts[last], self.starts[last + 1])
        if row == last or own.start == own.stop:
            return (wild,)
        return (own,) if wild.start == wild.stop else (own, wild)


@dataclass(frozen=True, eq=False)
class ChainIndex:
    """A layout made ready.

    Attributes:
        layout: what it is of.
        rows: per interface.
        stations: per station.
        links: per interface; None where there is no link.
        end: row of the end at the last interface; `Rows.any` where it takes every key.
        end_gap: 1 where the end's key is unknown, else 0.
        reach: the longest that a chain of it can be, in 0.1 mm.
        dearest: the most that one can cost.
    """

    layout: Layout
    rows: tuple[Rows, ...]
    stations: tuple[Group, ...]
    links: tuple[Group | None, ...]
    end: int
    end_gap: int
    reach: int
    dearest: int


_READY: WeakKeyDictionary[Layout, ChainIndex] = WeakKeyDictionary()


def indexed(layout: Layout) -> ChainIndex:
    """The layout made ready; kept as long as the layout is."""
    if (ready := _READY.get(layout)) is None:
        ready = _READY[layout] = _index(layout)
    return ready


def _index(layout: Layout) -> ChainIndex:
    import numpy as np

    ends = np.array([layout.end], dtype=np.int64)
    rows = []
    for at, interface in enumerate(layout.interfaces):
        taken = [layout.stations[at].inner if at < len(layout.stations) else ends]
        if interface.links is not None:
            taken += [interface.links.inner, interface.links.outer]
        keys = np.unique(np.concatenate(taken))
        rows.append(Rows(keys[keys >= 0]))
    stations = tuple(_station(one, rows[at], rows[at + 1]) for at, one in enumerate(layout.stations))
    links = tuple(
        None if one.links is None or not len(one.links.cost) else _links(one.links, at)
        for one, at in zip(layout.interfaces, rows, strict=True)
    )
    groups = [*stations, *(one for one in links if one is not None)]
    reach = sum(int((one.length + one.give).max(initial=0)) for one in groups)
    dearest = sum(int(one.cost.max(initial=0)) for one in groups)
    end = int(rows[-1].of(ends)[0])
    return ChainIndex(layout, tuple(rows), stations, links, end, int(layout.end == UNKNOWN), reach, dearest)


def _station(station: Station, rows: Rows, after: Rows) -> Group:
    import numpy as np

    order, starts = _sorted(rows, station.inner)
    gaps = (station.inner == UNKNOWN).astype(np.int64) + (station.outer == UNKNOWN)
    return Group(
        ids=order,
        cost=station.cost[order],
        length=station.length[order],
        give=station.give[order],
        level=station.level[order],
        gaps=gaps[order],
        adapters=np.zeros_like(order),
        to=after.of(station.outer)[order],
        starts=starts,
    )


def _links(links: Links, rows: Rows) -> Group:
    import numpy as np

    order, starts = _sorted(rows, links.inner)
    none = np.zeros_like(order)
    return Group(
        ids=order,
        cost=links.cost[order],
        length=links.length[order],
        give=none,
        level=links.level[order],
        gaps=none,
        adapters=links.adapters[order],
        to=rows.of(links.outer)[order],
        starts=starts,
    )


def _sorted(rows: Rows, inner: Whole) -> tuple[Whole, tuple[int, ...]]:
    import numpy as np

    takes = np.minimum(rows.of(inner), rows.other)  # what takes any key stands in the row of the other keys
    order = np.argsort(takes, kind="stable")
    starts = np.searchsorted(takes[order], np.arange(rows.other + 2))
    return order, tuple(starts.tolist())
