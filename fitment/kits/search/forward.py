"""The cheapest way to every key, forwards from the racks along one chain, the rest of the mix counted in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.frozen import dataclass
from fitment.kits.search.bounds import NEVER
from fitment.kits.search.chains import ChainIndex, Group, Rows
from fitment.kits.search.lengths import spread
from fitment.kits.search.model import Layout

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Arriving:
    """What comes to an interface.

    Attributes:
        keys: each key once, ascending; shape (k,).
        cost: cheapest way to it, by exact number of adapters and gaps until there; shape (adapters + 1, gaps + 1, k).
        number: how many pieces before the interface bring it; shape (k,).
    """

    keys: Whole
    cost: Whole
    number: Whole


def arriving(chain: ChainIndex, rack_keys: Whole, rack_cost: Whole, level: int) -> list[Arriving]:
    """What arrives at each interface of a layout; a gap of its end is not counted.

    Args:
        chain: the layout made ready.
        rack_keys: key of each rack where the branch begins; shape (racks,).
        rack_cost: cheapest mix with each rack, this branch left out; shape (adapters + 1, gaps + 1, racks).
        level: what has a higher level is left out.
    """
    import numpy as np

    made = [_by_key(rack_keys, rack_cost)]
    for at, group in enumerate(chain.stations):
        met = _by_row(chain.rows[at], made[-1])
        links = chain.links[at]
        if links is not None:
            np.minimum(met, _scattered(chain.rows[at], links.to, _through(links, met, level)), out=met)
        outer = chain.layout.stations[at].outer[group.ids]
        made.append(_by_key(outer, _through(group, met, level)))
    return made


def _by_key(keys: Whole, cost: Whole) -> Arriving:
    """cost: shape (..., n) -> by key, those that can be reached at all."""
    import numpy as np

    some = np.flatnonzero((cost < NEVER).any(axis=(0, 1)))
    unlike, at, number = np.unique(keys[some], return_inverse=True, return_counts=True)
    best = np.full((*cost.shape[:2], len(unlike)), NEVER)
    for adapters in range(cost.shape[0]):
        for gaps in range(cost.shape[1]):
            np.minimum.at(best[adapters, gaps], at, cost[adapters, gaps, some])
    return Arriving(unlike, best, number)


def _by_row(rows: Rows, come: Arriving) -> Whole:
    """Cheapest arrival for what takes each row; row `other`: for what takes any key."""
    import numpy as np

    best = _scattered(rows, rows.of(come.keys), come.cost)
    best[..., rows.other] = best.min(axis=-1)
    best[..., : rows.other] = np.minimum(best[..., : rows.other], best[..., rows.any, None])
    return best


def _scattered(rows: Rows, to: Whole, cost: Whole) -> Whole:
    """The least for each row that is offered; what goes with every key is offered to every row."""
    import numpy as np

    best = np.full((*cost.shape[:2], rows.any + 1), NEVER)
    for adapters in range(cost.shape[0]):
        for gaps in range(cost.shape[1]):
            np.minimum.at(best[adapters, gaps], to, cost[adapters, gaps])
    best[..., rows.other] = best.min(axis=-1)
    best[..., : rows.other] = np.minimum(best[..., : rows.other], best[..., rows.any, None])
    return best


def left_over(chain: ChainIndex, rack_keys: Whole, most: Whole, level: int) -> list[dict[int, int]]:
    """What may be left of the racks' windows at each interface, by the key that arrives: as bits, in 0.1 mm.

    Adapters and gaps are not minded: what is not among these lengths can not be at all.

    Args:
        chain: the layout made ready.
        rack_keys: key of each rack; shape (n,).
        most: what each rack's chain may come to at most; shape (n,).
        level: what has a higher level is left out.
    """
    come: dict[int, int] = {}
    for key, length in set(zip(rack_keys.tolist(), most.tolist(), strict=True)):
        if length >= 0:
            come[key] = come.get(key, 0) | 1 << min(length, chain.reach)
    made = [come]
    for at, group in enumerate(chain.stations):
        rows = chain.rows[at]
        met = _bits_by_row(rows, made[-1])
        if (links := chain.links[at]) is not None:
            linked: dict[int, int] = {}
            for takes, to, length, _ in _kinds(links, links.to, level):
                linked[to] = linked.get(to, 0) | met[takes] >> length
            met = [one | other for one, other in zip(met, _rows_of(rows, linked), strict=True)]
        come = {}
        for takes, key, length, give in _kinds(group, chain.layout.stations[at].outer[group.ids], level):
            come[key] = come.get(key, 0) | spread(met[takes], give) >> length + give
        made.append(come)
    return made


def _bits_by_row(rows: Rows, come: dict[int, int]) -> list[int]:
    import numpy as np

    by_row: dict[int, int] = {}
    for row, bits in zip(rows.of(np.array(list(come), dtype=np.int64)).tolist(), come.values(), strict=True):
        by_row[row] = by_row.get(row, 0) | bits
    return _rows_of(rows, by_row)


def _rows_of(rows: Rows, by_row: dict[int, int]) -> list[int]:
    """For what takes each row; row `other`: for what takes any key."""
    whatever = by_row.get(rows.any, 0)
    made = [by_row.get(row, 0) | whatever for row in range(rows.any + 1)]
    for bits in by_row.values():
        made[rows.other] |= bits
    return made


def _kinds(group: Group, offers: Whole, level: int) -> list[tuple[int, int, int, int]]:
    """(row taken, key or row offered, length, give), each kind once."""
    import numpy as np

    takes = np.repeat(np.arange(len(group.starts) - 1), np.diff(group.starts))
    some = group.level <= level
    kinds = zip(*(one[some].tolist() for one in (takes, offers, group.length, group.give)), strict=True)
    return list(dict.fromkeys(kinds))


def _through(group: Group, met: Whole, level: int) -> Whole:
    """Cheapest way through each of a group, itself counted; shape (adapters + 1, gaps + 1, n)."""
    import numpy as np

    takes = np.repeat(np.arange(len(group.starts) - 1), np.diff(group.starts))
    best = np.full((*met.shape[:2], len(group.ids)), NEVER)
    for adapters in np.unique(group.adapters).tolist():
        for gaps in np.unique(group.gaps).tolist():
            if adapters >= met.shape[0] or gaps >= met.shape[1]:
                continue
            of = np.flatnonzero((group.adapters == adapters) & (group.gaps == gaps) & (group.level <= level))
            before = met[: met.shape[0] - adapters, : met.shape[1] - gaps, takes[of]]
            best[adapters:, gaps:, of] = np.minimum(before + group.cost[of], NEVER)
    return best


def accepted(layout: Layout, at: int) -> dict[int, int]:
    """Keys that what stands after an interface takes, with how many take each."""
    import numpy as np

    if at == len(layout.stations):
        return {layout.end: 1}
    keys, number = np.unique(layout.stations[at].inner, return_counts=True)
    return dict(zip(keys.tolist(), number.tolist(), strict=True))
