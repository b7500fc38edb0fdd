"""The engine against every mix, one by one; what it says where it is stopped; and against a general solver."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.kits.search import sides
from fitment.kits.search.build import links, racks, station
from fitment.kits.search.engine import search
from fitment.kits.search.model import (
    UNKNOWN,
    Bound,
    Branch,
    Budget,
    Found,
    Interface,
    Judged,
    Layout,
    Mix,
    Outcome,
    Piece,
    Problem,
)
from tests.kits.search.problems import lengthy, problems
from tests.support.kit_cp import best_costs
from tests.support.kit_market import NO_ROD, Market
from tests.support.kit_search import best


@pytest.fixture(params=[(sides.SOME, sides.MANY), (1, 2), (2, 10_000)], ids=["as is", "costs at once", "reach at once"])
def _guard(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sides, "SOME", request.param[0])
    monkeypatch.setattr(sides, "MANY", request.param[1])


@pytest.mark.usefixtures("_guard")
@given(problem=problems(), top=st.integers(1, 8))
def test_same_as_every_mix_one_by_one(problem: Problem, top: int) -> None:
    outcome = search(problem, top)
    assert list(outcome.found) == best(problem, top)
    assert outcome.proven
    assert outcome.sure == len(outcome.found)
    assert outcome.stopped == "done"
    if len(outcome.found) < top:
        assert outcome.bound is None


@pytest.mark.usefixtures("_guard")
@given(problem=lengthy(), top=st.integers(1, 30))
def test_same_where_only_lengths_decide(problem: Problem, top: int) -> None:
    assert list(search(problem, top).found) == best(problem, top)


@pytest.mark.usefixtures("_guard")
@given(problem=problems(), top=st.integers(1, 6), steps=st.integers(0, 60), tests=st.integers(0, 6))
def test_where_the_budget_ends_the_bound_is_true(problem: Problem, top: int, steps: int, tests: int) -> None:
    outcome = search(problem, top, Budget(steps, tests))
    _is_true(outcome, problem, top)
    assert outcome.steps <= steps
    assert outcome.tests <= tests
    assert outcome.stopped == ("done" if outcome.proven else "budget")


@given(problem=problems(), top=st.integers(1, 6), until=st.integers(0, 6))
def test_where_it_is_interrupted_the_bound_is_true(problem: Problem, top: int, until: int) -> None:
    if problem.whole is None:
        return
    whole, left = problem.whole, until

    def interrupted(mix: Mix) -> Judged:
        nonlocal left
        if left == 0:
            raise KeyboardInterrupt
        left -= 1
        return whole(mix)

    outcome = search(replace(problem, whole=interrupted), top)
    _is_true(outcome, problem, top)
    assert outcome.stopped == ("done" if outcome.proven else "interrupted")


def _is_true(outcome: Outcome, problem: Problem, top: int) -> None:
    """What is found is so, what is sure is the best, and what was not looked at is no better than the bound."""
    everything = best(problem, 1_000_000)
    assert all(one in everything for one in outcome.found)
    assert list(outcome.found) == sorted(outcome.found, key=lambda one: (*_rank(one), one.mix.order))
    assert [_rank(one) for one in outcome.found[: outcome.sure]] == [_rank(one) for one in everything[: outcome.sure]]
    rest = [one for one in everything if one not in outcome.found]
    if len(outcome.found) == top:  # what ranks behind them may have been looked at and left out
        rest = [one for one in rest if _rank(one) < _rank(outcome.found[-1])]
    if outcome.bound is None:
        assert not rest
    else:
        assert all(_rank(one) >= (outcome.bound.level, outcome.bound.cost) for one in rest)
    if outcome.proven:
        assert [_rank(one) for one in outcome.found] == [_rank(one) for one in everything[:top]]


def _rank(found: Found) -> tuple[int, int]:
    return found.level, found.cost


def _chain(n: int, whole: object = None) -> Problem:
    """n racks, n parts that go on any of them: n² mixes, each of another cost."""
    parts = station("part", [n * at for at in range(n)], 0, 1)
    layout = Layout("one", (parts,), (Interface("in"), Interface("out")), 1, "end")
    return Problem(
        racks(list(range(n)), {"b": [0] * n}),
        (Branch("b", (layout,)),),
        whole=whole,
    )


def test_a_mix_at_the_first_level_comes_before_a_cheaper_one_at_the_second() -> None:
    outcome = search(_chain(3, lambda mix: Judged(0 if mix.order[-2] == 2 else 1)), 4)
    assert [(one.level, one.cost) for one in outcome.found] == [(0, 6), (0, 7), (0, 8), (1, 0)]


def test_what_a_test_names_as_the_reason_is_not_asked_about_again() -> None:
    asked = []

    def whole(mix: Mix) -> Judged:
        asked.append(mix.pieces)
        bad = Piece("part", 0)
        return Judged(None, because=frozenset([bad])) if bad in mix.pieces else Judged(0)

    outcome = search(_chain(30, whole), 2)
    assert [one.cost for one in outcome.found] == [30, 31]
    assert sum(Piece("part", 0) in pieces for pieces in asked) == 1
    assert outcome.refused == {"": 1}


def test_a_rack_named_as_the_reason_is_passed_over_whole() -> None:
    asked = []

    def whole(mix: Mix) -> Judged:
        asked.append(mix)
        return Judged(None, because=frozenset([Piece("rack", mix.rack)])) if mix.rack < 3 else Judged(0)

    assert search(_chain(5, whole), 1).found[0].mix.rack == 3
    assert len(asked) == 4


def test_levels_that_can_not_be_settled_leave_the_others_their_share() -> None:
    outcome = search(_chain(100, lambda mix: Judged(2)), 3, Budget(tests=30))
    assert [(one.level, one.cost) for one in outcome.found] == [(2, 0), (2, 1), (2, 2)]
    assert (outcome.proven, outcome.sure, outcome.stopped) == (False, 0, "budget")
    assert outcome.bound == Bound(0, 30)  # 10 tests at the first level, 10 more at the second, none at the third


def test_a_level_gets_what_the_others_leave() -> None:
    outcome = search(_chain(100, lambda mix: Judged(0, 25)), 3, Budget(tests=30))
    assert [one.cost for one in outcome.found] == [25, 26, 27]
    assert (outcome.proven, outcome.stopped) == (True, "done")


def test_the_least_level_known_beforehand_spares_the_vain_search() -> None:
    outcome = search(replace(_chain(100, lambda mix: Judged(2)), least_level=2), 3)
    assert (outcome.proven, outcome.tests) == (True, 3)


def test_ties_go_to_what_comes_first() -> None:
    parts = station("part", [5] * 40, 0, 1)
    layout = Layout("one", (parts,), (Interface("in"), Interface("out")), 1, "end")
    problem = Problem(racks([3] * 40, {"b": [0] * 40}), (Branch("b", (layout,)),))
    outcome = search(problem, 50)
    assert [one.mix.order for one in outcome.found] == [(at // 40, 0, -1, at % 40, -1) for at in range(50)]


def test_a_tie_goes_to_an_earlier_part_that_starts_dearer() -> None:
    first, second = station("first", [1, 0], 0, 1), station("second", [0, 1], 1, 2)
    meet = (Interface("in"), Interface("middle"), Interface("out"))
    problem = Problem(racks([0], {"b": [0]}), (Branch("b", (Layout("one", (first, second), meet, 2, "end"),)),))
    outcome = search(problem)
    assert [(one.cost, *one.mix.chains[0].stations) for one in outcome.found] == [
        (0, 1, 0),
        (1, 0, 0),
        (1, 1, 1),
        (2, 0, 1),
    ]


@pytest.mark.parametrize("n", [40, 100])
def test_costs_agree_with_a_general_solver(n: int) -> None:
    for seed in (1, 2):
        problem = Market(n, seed).target(play=150)
        outcome = search(problem, 6)
        assert outcome.proven
        assert [one.cost for one in outcome.found] == best_costs(problem, 6)


def test_that_there_is_none_is_proven_without_going_through_all() -> None:
    outcome = search(Market(3_000).target(rods=NO_ROD))
    assert outcome.proven
    assert outcome.found == ()
    assert outcome.steps < 20_000


def test_one_length_only_is_found_without_going_through_all() -> None:
    market = Market(3_000)
    length = search(market.target(rods=(2_000, 4_000))).found[0].mix.chains[0]
    layout = market.rod_layout(0, 145)
    rods, ends = (one.length[at] for one, at in zip(layout.stations, length.stations, strict=True))
    only = int(rods + ends) + 1
    outcome = search(market.target(rods=(only, only)))
    assert outcome.proven
    assert outcome.steps < 50_000
    for found in outcome.found:
        assert _length(layout, found) == only


def _length(layout: Layout, found: Found) -> int:
    chain = found.mix.chains[0]
    whole = sum(int(one.length[at]) for one, at in zip(layout.stations, chain.stations, strict=True))
    tables = ((one.links, at) for one, at in zip(layout.interfaces, chain.links, strict=True))
    return whole + sum(int(table.length[at]) for table, at in tables if table is not None and at >= 0)


def test_the_same_question_has_the_same_answer() -> None:
    first, second = (search(Market(500).target()) for _ in range(2))
    assert (first.found, first.steps) == (second.found, second.steps)


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: station("part", [-1], 0, 0), "part cost: below 0"),
        (lambda: station("part", [1, 2], [0], 0), r"part inner: \(1,\) values for 2"),
        (lambda: station("part", [1], -3, 0), "part inner: no such key"),
        (lambda: station("part", [1.5], 0, 0), "part cost: whole numbers"),
        (lambda: links("sleeve", [1], UNKNOWN, 0), "sleeve: a link with an unknown key"),
        (lambda: search(replace(_chain(2), branches=_chain(2).branches * 2)), "names given twice: part"),
        (lambda: search(replace(_chain(2), racks=racks([1, 2], {}))), "branch b: there must be a key"),
        (lambda: search(replace(_chain(2), adapters=-1)), "counted from 0"),
        (lambda: search(replace(_chain(2), branches=(Branch("b", ()),))), "branch b: no layout"),
    ],
)
def test_what_can_not_be_meant_is_refused(make: object, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        make()


def test_nothing_heavy_loads_before_a_search() -> None:
    script = "import sys, fitment.kits.search.engine, fitment.kits.search.why; print('numpy' in sys.modules)"
    made = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True)
    assert made.stdout.strip() == "False"
