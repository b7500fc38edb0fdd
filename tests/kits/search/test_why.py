"""Why there is none: what opens a mix, against every mix of the changed problem, one by one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from hypothesis import assume, given

from fitment.kits.search.build import links, racks, station
from fitment.kits.search.changed import joined, joined_anywhere, widened
from fitment.kits.search.forward import accepted
from fitment.kits.search.model import UNKNOWN, Branch, Found, Interface, Layout, Piece, Problem
from fitment.kits.search.reasons import Join, OneAdapterMore, OneGapMore, Opening, Widened
from fitment.kits.search.why import why_none
from tests.kits.search.problems import problems
from tests.support.kit_search import every_mix


def _opened(found: list[Found]) -> tuple[int, int]:
    return len(found), min((one.cost for one in found), default=-1)


def _by_join(problem: Problem, place: int, layout: Layout, at: int, inner: int, outer: int) -> list[Found]:
    table = layout.interfaces[at].links
    last = 0 if table is None else len(table.cost)
    chains = ((one, one.mix.chains[place]) for one in every_mix(joined(problem, place, layout.name, at, inner, outer)))
    return [one for one, chain in chains if chain.layout == layout.name and chain.links[at] == last]


def _all_joins(problem: Problem) -> Iterator[tuple[Join, list[Found]]]:
    for place, branch in enumerate(problem.branches):
        for layout in branch.layouts:
            for at, interface in enumerate(layout.interfaces):
                for inner in range(2):
                    for outer in accepted(layout, at):
                        if outer >= 0 and inner != outer:
                            join = Join(branch.name, layout.name, interface.name, inner, outer)
                            yield join, _by_join(problem, place, layout, at, inner, outer)


@given(problem=problems(whole=False))
def test_openings_are_those_that_every_mix_one_by_one_gives(problem: Problem) -> None:
    assume(next(every_mix(problem), None) is None)
    why = why_none(problem, openings=10_000)
    single = {one.changes[0]: one for one in why.openings if len(one.changes) == 1}
    told = {change: (one.count, one.cost) for change, one in single.items() if isinstance(change, Join)}
    for join, found in _all_joins(problem):
        # a key that nothing brings is not proposed, though what has no key at all could pass through the join too
        assert told.pop(join, None) == (_opened(found) if _brought(problem, join, found) else None)
    assert not told
    more = list(every_mix(replace(problem, adapters=problem.adapters + 1)))
    assert _told(single.get(OneAdapterMore())) == _opened(more)
    lacking = list(every_mix(replace(problem, unknown=problem.unknown + 1)))
    gap = [one for change, one in single.items() if isinstance(change, OneGapMore)]
    assert _told(gap[0] if gap else None) == _opened(lacking)
    assert list(why.openings) == sorted(why.openings, key=lambda one: (one.cost, one.example.order))


def _brought(problem: Problem, join: Join, found: list[Found]) -> bool:
    """Whether one of the mixes has the very key before the join."""
    place = [branch.name for branch in problem.branches].index(join.branch)
    layout = next(one for one in problem.branches[place].layouts if one.name == join.layout)
    at = [one.name for one in layout.interfaces].index(join.interface)
    keys = problem.racks.keys[join.branch] if at == 0 else layout.stations[at - 1].outer
    mine = (one.mix.rack if at == 0 else one.mix.chains[place].stations[at - 1] for one in found)
    return any(keys[one] == join.inner for one in mine)


def _told(opening: Opening | None) -> tuple[int, int]:
    return (0, -1) if opening is None else (opening.count, opening.cost)


@given(problem=problems(whole=False))
def test_windows_are_widened_to_what_is_nearest(problem: Problem) -> None:
    problem = replace(problem, adapters=0, unknown=0, pair=None)
    assume(next(every_mix(problem), None) is None)
    why = why_none(problem, openings=10_000)
    told = {one.changes[0]: one for one in why.openings if isinstance(one.changes[0], Widened)}
    told = {change: one for change, one in told.items() if len(one.changes) == 1}
    for branch, windows in problem.racks.windows.items():
        for rack in range(len(windows)):
            tries = (Widened(branch, rack, by) for by in range(-40, 41))
            ways = [change.by for change in tries if any(every_mix(widened(problem, change)))]
            mine = [change for change in told if (change.branch, change.rack) == (branch, rack)]
            assert [abs(change.by) for change in mine] == ([min(map(abs, ways))] if ways else [])
            for change in mine:
                assert _told(told[change]) == _opened(list(every_mix(widened(problem, change))))


@given(problem=problems(whole=False))
def test_where_no_single_change_helps_the_fewest_joins_do(problem: Problem) -> None:
    # racks with a key that nothing takes, ends that nothing offers to: two joins, unless something goes with every key
    keys = {name: np.full_like(old, 5) for name, old in problem.racks.keys.items()}
    branches = tuple(
        replace(branch, layouts=tuple(replace(layout, end=6) for layout in branch.layouts))
        for branch in problem.branches
    )
    free = replace(problem, pair=None, racks=replace(problem.racks, keys=keys, windows={}), branches=branches)
    if next(every_mix(free), None) is not None:
        return
    why = why_none(free)
    fewest = min((_made(free, one) for one in every_mix(joined_anywhere(free))), default=0)
    changes = [len(one.changes) for one in why.openings]
    assert set(changes) == {1} if 1 in changes else changes == ([fewest] if fewest else [])


def _made(problem: Problem, found: Found) -> int:
    """How many of its links are yet to be made."""
    layouts = [
        next(layout for layout in branch.layouts if layout.name == chain.layout)
        for branch, chain in zip(problem.branches, found.mix.chains, strict=True)
    ]
    return sum(
        link == (0 if interface.links is None else len(interface.links.cost))
        for layout, chain in zip(layouts, found.mix.chains, strict=True)
        for link, interface in zip(chain.links, layout.interfaces, strict=True)
    )


def _rods(**changes: object) -> Problem:
    """Two racks; rods of thread 5 to threads 7 and 8; ends of thread 9 with taper 1; an eye of taper 2."""
    rods = station("rod", [10, 30, 20], [5, 5, 6], [7, 8, 7], [100, 90, 120])
    ends = station("end", [5, 6], [9, UNKNOWN], [2, 1], 50)
    sleeve = links("sleeve", [4], [1], [2], adapters=[1])
    layout = Layout("rods", (rods, ends), (Interface("bar"), Interface("adjuster"), Interface("eye", sleeve)), 2, "eye")
    problem = Problem(
        racks([100, 200], {"rods": [5, 5]}, {"rods": [(140, 160), (300, 310)]}), (Branch("rods", (layout,)),)
    )
    return replace(problem, **changes)


def test_a_worked_example_by_hand() -> None:
    why = why_none(_rods())
    assert (why.racks, why.completing, why.in_window) == (2, {"rods": 0}, {"rods": 0})
    (bottleneck,) = why.bottlenecks
    assert (bottleneck.interface, bottleneck.arriving) == ("adjuster", {7: 1, 8: 1})
    assert bottleneck.accepted == {9: 1, UNKNOWN: 1}
    assert bottleneck.completing == {9}
    first, second = why.openings
    assert (first.changes, first.count, first.cost) == ((Join("rods", "rods", "adjuster", 7, 9),), 1, 115)
    assert (second.changes, second.count, second.cost) == ((Join("rods", "rods", "adjuster", 8, 9),), 1, 135)
    assert first.example.pieces == (Piece("rack", 0), Piece("rod", 0), Piece("end", 0))
    assert why.left_out == 0


def test_an_unknown_dimension_to_measure_is_named() -> None:
    why = why_none(_rods(adapters=1))
    gap = next(one for one in why.openings if isinstance(one.changes[0], OneGapMore))
    assert gap.changes == (OneGapMore((Piece("end", 1),)),)
    assert (gap.count, gap.cost) == (2, 120)


def test_counting_stops_at_the_cap_and_says_so() -> None:
    many = station("rod", [1] * 50, 0, 1)
    layout = Layout("rods", (many,), (Interface("bar"), Interface("eye")), 2, "eye")
    problem = Problem(racks([1], {"rods": [0]}), (Branch("rods", (layout,)),))
    (opening,) = why_none(problem, cap=20).openings
    assert (opening.count, opening.capped) == (20, True)
    (opening,) = why_none(problem, cap=1_000).openings
    assert (opening.count, opening.capped) == (50, False)
