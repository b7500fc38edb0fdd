"""A problem with something changed: two keys joined, any keys joined, a window widened."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from fitment.kits.search.build import links
from fitment.kits.search.chains import indexed
from fitment.kits.search.model import NO_KEY, Interface, Layout, Links, Problem
from fitment.kits.search.reasons import Widened

_COLUMNS = ("inner", "outer", "cost", "length", "level", "adapters")


def joined(problem: Problem, branch: int, layout: str, at: int, inner: int, outer: int) -> Problem:
    """The problem with two keys taken to go together at an interface, by a link after its last, at no cost."""

    def of(one: Layout) -> Layout:
        if one.name != layout:
            return one
        return replace(
            one, interfaces=(*one.interfaces[:at], _and(one, at, inner, outer, 0), *one.interfaces[at + 1 :])
        )

    return _with(problem, branch, of)


def joined_anywhere(problem: Problem) -> Problem:
    """The problem with any two keys taken to go together at any interface, each time at more than any mix costs."""
    dear = 1 + int(problem.racks.cost.max(initial=0))
    dear += sum(max(indexed(layout).dearest for layout in branch.layouts) for branch in problem.branches)

    def of(one: Layout) -> Layout:
        made = (_and(one, at, NO_KEY, NO_KEY, dear) for at in range(len(one.interfaces)))
        return replace(one, interfaces=tuple(made))

    for place in range(len(problem.branches)):
        problem = _with(problem, place, of)
    return problem


def widened(problem: Problem, change: Widened) -> Problem:
    """The problem with one rack's window widened, and no other rack."""
    import numpy as np

    racks = problem.racks
    windows = racks.windows[change.branch].copy()
    windows[change.rack, 1 if change.by > 0 else 0] += change.by
    level = np.full_like(racks.level, problem.levels)  # worse than is looked for
    level[change.rack] = racks.level[change.rack]
    return replace(problem, racks=replace(racks, level=level, windows={**racks.windows, change.branch: windows}))


def _with(problem: Problem, place: int, of: Callable[[Layout], Layout]) -> Problem:
    branch = problem.branches[place]
    changed = replace(branch, layouts=tuple(of(one) for one in branch.layouts))
    return replace(problem, branches=(*problem.branches[:place], changed, *problem.branches[place + 1 :]))


def _and(layout: Layout, at: int, inner: int, outer: int, cost: int) -> Interface:
    """An interface with one link more."""
    import numpy as np

    interface = layout.interfaces[at]
    table, n = interface.links, 0
    one = links(f"{layout.name}:{at}:to make", [cost], inner, outer, adapters=0)
    if table is not None:
        n = len(table.cost)
        both = {name: np.append(getattr(table, name), getattr(one, name)) for name in _COLUMNS}
        one = Links(table.name, **both)
    return replace(interface, links=one, to_make=n)
