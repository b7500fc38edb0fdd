"""Why a problem has no mix, and which changes would open one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.kits.search.bounds import NEVER
from fitment.kits.search.chains import indexed
from fitment.kits.search.forward import accepted, arriving
from fitment.kits.search.mixes import Mixes
from fitment.kits.search.model import Budget, Problem
from fitment.kits.search.openings import Openings
from fitment.kits.search.read import look_over
from fitment.kits.search.reasons import Bottleneck, WhyNone

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt


def why_none(problem: Problem, openings: int = 12, cap: int = 1_000, budget: Budget | None = None) -> WhyNone:
    """Why the problem has no mix, and what would open one.

    Joins are tried in the order of the least that a mix with them can cost, windows from the narrowest miss.

    Args:
        problem: one in which `search` found nothing; its pair test is asked, its whole test is not.
        openings: how many joins and how many windows to report, cheapest first.
        cap: where counting the mixes of one change stops.
        budget: for each change.

    Raises:
        ValueError: the problem is not well formed.
    """
    look_over(problem)
    changes = Openings(problem, openings, cap, budget or Budget(steps=200_000))
    mixes, names = changes.mixes, [branch.name for branch in problem.branches]
    completing = [_completing(problem, mixes, at) for at in range(len(names))]
    in_window = [by_keys & some for by_keys, some in zip(completing, changes.in_window, strict=True)]
    found = changes.found()
    return WhyNone(
        racks=len(problem.racks.cost),
        completing={name: int(some.sum()) for name, some in zip(names, completing, strict=True)},
        in_window={name: int(some.sum()) for name, some in zip(names, in_window, strict=True)},
        bottlenecks=tuple(
            _bottleneck(problem, mixes, at, way)
            for at, branch in enumerate(problem.branches)
            if not completing[at].any()
            for way in range(len(branch.layouts))
        ),
        refused={name: times for name, times in changes.pairs.refused.items() if times},
        openings=found,
        left_out=changes.left_out,
    )


def _completing(problem: Problem, mixes: Mixes, at: int) -> npt.NDArray[np.bool_]:
    """Which racks complete a branch by keys."""
    import numpy as np

    racks = problem.racks
    some = (mixes.bounds[at] < NEVER).any(axis=0)
    gaps = np.arange(some.shape[0])[:, None] + mixes.rack_gaps <= mixes.gaps
    able: npt.NDArray[np.bool_] = (some & gaps).any(axis=0) & (racks.level <= mixes.level)
    return able


def _bottleneck(problem: Problem, mixes: Mixes, place: int, way: int) -> Bottleneck:
    """Where one layout of a branch breaks off, the other branches not minded."""
    import numpy as np

    branch = problem.branches[place]
    layout = branch.layouts[way]
    racks, shape = problem.racks, (problem.adapters + 1, mixes.gaps + 1)
    # what arrives by the keys of this chain alone, whatever the others
    alone = np.full((*shape, len(racks.cost)), NEVER)
    able = np.flatnonzero((mixes.rack_gaps < shape[1]) & (racks.level <= mixes.level))
    alone[0, mixes.rack_gaps[able], able] = 0
    come = arriving(indexed(layout), racks.keys[branch.name], alone, mixes.level)
    at = max((place for place, one in enumerate(come) if len(one.keys)), default=0)
    takes = accepted(layout, at)
    onward = mixes.side(place, way).bounds.direct[at].min(axis=(0, 1))
    rows = indexed(layout).rows[at]
    of = np.minimum(rows.of(np.array(list(takes), dtype=np.int64)), rows.other)  # what takes any key stands there
    completing = frozenset(key for key, row in zip(takes, of, strict=True) if onward[row] < NEVER)
    return Bottleneck(
        branch.name,
        layout.name,
        layout.interfaces[at].name,
        dict(zip(come[at].keys.tolist(), come[at].number.tolist(), strict=True)),
        takes,
        completing,
    )
