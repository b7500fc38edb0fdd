"""When values contradict each other: the limit against a library, how often right ones do, and what hides nothing."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, studentized_range

from fitment.catalogue.combine import Estimate
from fitment.catalogue.contradiction import contradiction, limit

#: how often the difference of two right values exceeds two of its standard uncertainties
TWO = math.erfc(2 / math.sqrt(2))


@pytest.mark.parametrize(("difference", "contradict"), [(0.0999, False), (0.1001, True)])
def test_two_contradict_each_other_above_twice_the_doubt_of_their_difference(
    difference: float, contradict: bool
) -> None:
    assert (contradiction([Estimate(15.0, 0.03), Estimate(15.0 + difference, 0.04)]) is not None) is contradict


@pytest.mark.parametrize("count", [2, 3, 4, 5, 8, 10, 20])
def test_the_limit_is_that_of_the_studentised_range(count: int) -> None:
    # scipy.stats, as the independent library; a million degrees of freedom for infinitely many
    assert limit(count) == pytest.approx(float(studentized_range.isf(TWO, count, 1e6)) / math.sqrt(2), abs=2e-5)


def test_of_two_it_is_the_square_root_of_chi_square() -> None:
    assert limit(2) == pytest.approx(2.0, abs=1e-9)
    assert limit(2, of=3) == pytest.approx(math.sqrt(chi2.ppf((1 - TWO) ** (1 / 3), 1)), abs=1e-9)


@pytest.mark.parametrize("count", [2, 3, 5, 10, 20])
@pytest.mark.parametrize("spread", [0.0, 0.6])
def test_right_values_contradict_each_other_no_oftener_than_two_do(count: int, spread: float) -> None:
    draw, trials = np.random.default_rng(count), 4000
    us = np.exp(draw.normal(0.0, spread, size=(trials, count)))
    values = draw.normal(0.0, us)
    found = sum(
        contradiction([Estimate(float(x), float(u)) for x, u in zip(*row, strict=True)]) is not None
        for row in zip(values, us, strict=True)
    )
    off = 4 * math.sqrt(TWO / trials)
    assert found / trials < TWO + off
    if not spread:
        assert found / trials > TWO - off


@given(st.integers(2, 12), st.integers(0, 1000))
def test_the_two_farthest_apart_are_named(count: int, seed: int) -> None:
    draw = Random(seed)
    estimates = [Estimate(draw.gauss(0, 1), 0.3) for _ in range(count - 1)]
    estimates.append(Estimate(20.0, 0.3))
    sides = contradiction(estimates)
    assert sides is not None
    lowest = min(range(count), key=lambda place: estimates[place].value)
    assert [side.places for side in sides] == [(lowest,), (count - 1,)]


def test_many_sittings_of_one_shop_hide_no_other_shop() -> None:
    sittings = [Estimate(15.0, 0.03, "NORTH calliper", 0.03)] * 12
    sides = contradiction([*sittings, Estimate(15.10, 0.03, "SOUTH calliper", 0.03)])
    assert sides is not None
    assert [side.places for side in sides] == [tuple(range(12)), (12,)]
    # thirteen shops are another matter: one of them may well be as far off
    shops = [Estimate(15.0, 0.03, f"shop {number}", 0.03) for number in range(12)]
    assert contradiction([*shops, Estimate(15.10, 0.03)]) is None
    assert contradiction([*shops, Estimate(15.15, 0.03)]) is not None


def test_sittings_of_one_tool_are_compared_among_themselves() -> None:
    sides = contradiction([Estimate(x, 0.03, "calliper", 0.03) for x in (15.0, 15.2)] + [Estimate(15.1, 0.1)])
    assert sides is not None
    assert [side.places for side in sides] == [(0,), (1,)]


def test_exact_values_contradict_each_other_and_rounding_is_nothing() -> None:
    assert contradiction([Estimate(36.0, 0.0, "ticks"), Estimate(37.0, 0.0, "ticks")]) is not None
    assert contradiction([Estimate(36.0, 0.0), Estimate(36.0 + 1e-12, 0.0)]) is None
    assert contradiction([Estimate(36.0, 0.0, "ticks"), Estimate(36.0, 0.0, "ticks"), Estimate(36.4, 0.3)]) is None
    assert contradiction([Estimate(36.0, 0.0)]) is None
