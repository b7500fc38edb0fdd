"""Combining values of one measurand: published examples, an independent library, properties, and how often it holds."""

from __future__ import annotations

import csv
import math
from pathlib import Path
from random import Random

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from statsmodels.stats.meta_analysis import combine_effects

from fitment.catalogue.combine import Estimate, apart, chi_square, combine, scatter, weighted_mean
from tests.support.combination import trials

PUBLISHED = Path(__file__).parents[1] / "published" / "combination.csv"

#: heat of vaporisation of cadmium by five laboratories, values and variances; Paule and Mandel, J. Res. NBS 87 (1982)
#: 377-385, as quoted in the help of the R package metRology
CADMIUM = ([27.044, 26.022, 26.340, 26.787, 26.796], [0.003, 0.076, 0.464, 0.003, 0.014])


def published() -> list[dict[str, str]]:
    with PUBLISHED.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def numbers(text: str) -> list[float]:
    return [float(word) for word in text.split()]


@pytest.mark.parametrize("row", published(), ids=lambda row: row["id"])
def test_published_examples(row: dict[str, str]) -> None:
    values, us = numbers(row["values"]), numbers(row["us"])
    combined = combine(
        [Estimate(x, u, row["common"], u if row["common"] else 0.0) for x, u in zip(values, us, strict=True)]
    )
    found = {
        "tau": combined.tau,
        "value": combined.value,
        "u": combined.u,
        "chi square": chi_square(values, us),
        "weighted mean": weighted_mean(values, us)[0],
        "weighted mean u": weighted_mean(values, us)[1],
    }
    assert row["source"]
    assert row["source_kind"]
    assert found[row["quantity"]] == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def by_library(values: list[float], variances: list[float]) -> tuple[float, float, float]:
    """Value, standard uncertainty and tau^2 by statsmodels, Paule and Mandel."""
    with np.errstate(divide="ignore"):  # it divides by chi-square, which is 0 where all values are equal
        found = combine_effects(np.array(values), np.array(variances), method_re="pm", atol=1e-7, maxiter=500)
    return float(found.mean_effect_re), float(found.sd_eff_w_re), float(found.tau2)


def test_the_cadmium_example_as_a_general_library_combines_it() -> None:
    values, variances = CADMIUM
    combined = combine([Estimate(x, math.sqrt(v)) for x, v in zip(values, variances, strict=True)])
    assert (combined.value, combined.u, combined.tau**2) == pytest.approx(by_library(values, variances), rel=1e-7)


VALUE = st.floats(-5, 5).map(lambda x: round(x, 3))
DOUBT = st.floats(0.01, 3).map(lambda u: round(u, 3))


@given(st.lists(st.tuples(VALUE, DOUBT), min_size=2, max_size=8))
def test_random_effects_are_those_of_a_general_library(pairs: list[tuple[float, float]]) -> None:
    combined = combine([Estimate(x, u) for x, u in pairs])
    value, u, square = by_library([x for x, _ in pairs], [u**2 for _, u in pairs])
    # the library says 0 where its last step lands below the root by rounding
    assume(square > 0.0 or combined.tau == 0.0)
    # the library stops at a step of its own size; that ours is the root is held below
    assert combined.tau**2 == pytest.approx(square, rel=1e-6, abs=1e-5)
    assert (combined.value, combined.u) == pytest.approx((value, u), rel=1e-5, abs=1e-5)


@given(st.lists(st.tuples(VALUE, DOUBT), min_size=2, max_size=6), st.randoms(use_true_random=False))
def test_order_changes_nothing(pairs: list[tuple[float, float]], random: Random) -> None:
    estimates = [Estimate(x, u, f"tool {number % 2}", u / 2) for number, (x, u) in enumerate(pairs)]
    mixed = list(estimates)
    random.shuffle(mixed)
    assert combine(mixed) == combine(estimates)


@given(st.lists(st.tuples(VALUE, DOUBT), min_size=2, max_size=6))
def test_scatter_takes_up_what_the_doubts_do_not_explain(pairs: list[tuple[float, float]]) -> None:
    values, us = [x for x, _ in pairs], [u for _, u in pairs]
    tau = scatter(values, us)
    excess = chi_square(values, us) - (len(pairs) - 1)
    assert (tau > 0.0) == (excess > 1e-12 * (len(pairs) - 1))
    if tau:
        assert chi_square(values, us, tau) == pytest.approx(len(pairs) - 1)


@given(VALUE, DOUBT, st.integers(1, 12))
def test_a_tools_error_is_not_shrunk_by_averaging(value: float, u: float, count: int) -> None:
    combined = combine([Estimate(value, u, "calliper", u)] * count)
    assert combined.u == pytest.approx(u)
    assert combined.shared == (("calliper", pytest.approx(u)),)


def test_what_is_random_shrinks_and_what_is_shared_does_not() -> None:
    one = Estimate(15.0, 0.05, "calliper", 0.04)
    combined = combine([one] * 9)
    assert combined.u == pytest.approx(math.hypot(0.04, 0.03 / 3))
    assert dict(combined.shared) == {"calliper": pytest.approx(0.04)}


def test_readings_of_one_tool_that_spread_more_than_stated_say_so() -> None:
    combined = combine([Estimate(15.00, 0.03, "calliper", 0.03), Estimate(15.08, 0.03, "calliper", 0.03)])
    assert combined.u == pytest.approx(math.hypot(0.03, 0.04))
    assert combined.tau == 0.0


def test_a_tool_keeps_its_share_among_others() -> None:
    shared = dict(combine([Estimate(15.0, 0.03, "calliper", 0.03), Estimate(15.0, 0.03)]).shared)
    assert shared == {"calliper": pytest.approx(0.015)}


def test_two_origins_are_never_surer_than_half_their_distance() -> None:
    for distance in (0.05, 0.06, 0.07, 0.08):
        combined = combine([Estimate(15.0, 0.03), Estimate(15.0 + distance, 0.03)])
        assert combined.u == pytest.approx(max(0.03 / math.sqrt(2), distance / 2))


def test_one_alone_stays_as_it_is_stated_and_an_exact_one_stands() -> None:
    alone = combine([Estimate(15.1, 0.03)])
    assert (alone.value, alone.u, alone.tau, alone.shared) == (15.1, 0.03, 0.0, ())
    exact = combine([Estimate(36.0, 0.5), Estimate(36.0, 0.0)])
    assert (exact.value, exact.u) == (36.0, 0.0)


@pytest.mark.parametrize(("difference", "contradict"), [(0.0999, False), (0.1001, True)])
def test_two_contradict_each_other_above_twice_the_doubt_of_their_difference(
    difference: float, contradict: bool
) -> None:
    assert apart(Estimate(15.0, 0.03), Estimate(15.0 + difference, 0.04)) is contradict


@pytest.mark.parametrize("beyond", [0.0, 0.25])
def test_95_percent_intervals_hold_95_times_in_100(beyond: float) -> None:
    made = [trial for origins in range(2, 7) for trial in trials(origins, 1500, beyond)]
    sound = [trial for trial in made if not trial.conflict]
    assert sum(trial.held for trial in sound) / len(sound) == pytest.approx(0.95, abs=0.01)


def test_most_readings_whose_doubts_are_stated_far_too_small_are_in_conflict() -> None:
    made = [trial for origins in range(2, 7) for trial in trials(origins, 400, 2.0)]
    assert sum(trial.conflict for trial in made) > len(made) / 2
