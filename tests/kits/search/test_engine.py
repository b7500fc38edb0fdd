"""The engine against every mix, one by one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.kits.search import sides
from fitment.kits.search.engine import search
from fitment.kits.search.model import Problem
from tests.kits.search.problems import problems
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
