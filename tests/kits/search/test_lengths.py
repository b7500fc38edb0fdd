"""The tables of lengths and bounds, entry by entry, against every chain."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from fitment.kits.search.bounds import NEVER, Bounds
from fitment.kits.search.build import racks
from fitment.kits.search.chains import indexed
from fitment.kits.search.lengths import Lengths, slid, spread
from fitment.kits.search.model import NO_KEY, Branch, Layout, Problem
from fitment.kits.search.read import length_of
from tests.kits.search.problems import layouts
from tests.support.kit_search import every_mix

#: adapters and gaps at most, the worst level looked for, keys that arrive, the longest window
MOST, LEVEL, KEYS, SPAN = (2, 2), 1, (0, 1, 2, NO_KEY), 30

#: (key, adapters, gaps) -> (shortest length, give, cost) of each chain
Chains = dict[tuple[int, int, int], list[tuple[int, int, int]]]


def _every_chain(layout: Layout) -> Chains:
    problem = Problem(
        racks([0] * len(KEYS), {"b": list(KEYS)}),
        (Branch("b", (layout,)),),
        adapters=MOST[0],
        unknown=MOST[1],
        levels=LEVEL + 1,
        gap_level=0,
    )
    made: Chains = {}
    for one in every_mix(problem):
        low, give = length_of(problem, one.mix.order, 0)
        made.setdefault((KEYS[one.mix.rack], one.mix.adapters, one.mix.gaps), []).append((low, give, one.cost))
    return made


@given(layout=layouts("b.0", 2, 3), least=st.integers(-2, 20), width=st.integers(0, 12), span=st.integers(0, SPAN))
def test_reach_and_cost_of_every_window(layout: Layout, least: int, width: int, span: int) -> None:
    chains, window = _every_chain(layout), (least, min(least + width, span))
    bounds = Bounds(indexed(layout), LEVEL, *MOST)
    lengths = Lengths(bounds, span)
    rows = bounds.chain.rows[0].of(np.array(KEYS))
    able = dict.fromkeys(KEYS, False)
    for key, row in zip(KEYS, rows, strict=True):
        for adapters in range(MOST[0] + 1):
            for gaps in range(MOST[1] + 1):
                mine = chains.get((key, adapters, gaps), [])
                assert bounds.linked[0][adapters, gaps, row] == min((cost for *_, cost in mine), default=NEVER)
                standing = [cost for low, give, cost in mine if low <= window[1] and low + give >= window[0]]
                standing = standing if window[0] <= window[1] else []
                assert lengths.possible(row, adapters, gaps, window) == bool(standing)
                ends = [np.array([value]) for value in (row, *window)]
                assert lengths.least_costs(0, True, adapters, gaps, *ends)[0] == min(standing, default=NEVER)
                able[key] |= bool(standing)
    assert lengths.all_possible(rows, np.array([window] * len(KEYS))).tolist() == list(able.values())


@given(bits=st.integers(0, 2**12), give=st.integers(0, 9))
def test_spread_and_slid_reach_just_as_far_as_the_give(bits: int, give: int) -> None:
    assert spread(bits, give) == sum(
        1 << at for at in range(24) if any(bits >> at - by & 1 for by in range(min(at, give) + 1))
    )
    values = np.array([at if bits >> at & 1 else 99 for at in range(13)])
    assert slid(values, give, 99).tolist() == [values[max(at - give, 0) : at + 1].min() for at in range(13)]
