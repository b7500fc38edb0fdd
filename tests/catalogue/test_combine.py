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

from fitment.catalogue.combine import Combined, Estimate, chi_square, combine, scatter, weighted_mean
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
        "tau^2": combined.tau**2,
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


def share_held(beyond: float) -> float:
    made = [trial for origins in range(2, 7) for trial in trials(origins, 1500, beyond)]
    sound = [trial for trial in made if not trial.conflict]
    return sum(trial.held for trial in sound) / len(sound)


def test_95_percent_intervals_hold_95_times_in_100() -> None:
    # more where the stated doubts are right, less where origins scatter by half as much again
    held = [share_held(beyond) for beyond in (0.0, 0.25, 0.5)]
    assert sum(held) / 3 == pytest.approx(0.95, abs=0.01)
    assert min(held) > 0.93
    assert max(held) < 0.97


def test_most_readings_whose_doubts_are_stated_far_too_small_are_in_conflict() -> None:
    made = [trial for origins in range(2, 7) for trial in trials(origins, 400, 3.0)]
    assert sum(trial.conflict for trial in made) > len(made) / 2


def test_degrees_of_freedom_are_those_of_the_scatter_alone() -> None:
    stated = combine([Estimate(15.0, 0.03), Estimate(15.01, 0.03)])
    assert (stated.tau, stated.freedom()) == (0.0, math.inf)
    # u of five origins far apart is all scatter: 4; two of them are kept at 3
    wide = combine([Estimate(float(x), 1e-6) for x in range(5)])
    assert wide.freedom() == pytest.approx(4, rel=1e-6)
    assert combine([Estimate(0.0, 1e-6), Estimate(1.0, 1e-6)]).freedom() == 3


def test_an_error_that_is_kept_apart_is_not_counted_among_what_is_left() -> None:
    three = [Estimate(15.0, 0.05, "calliper", 0.04), Estimate(15.1, 0.03), Estimate(15.02, 0.03)]
    combined = combine(three)
    ((_, share),) = combined.shared
    whole, rest = combined.freedom(), combined.freedom(share)
    assert rest / whole == pytest.approx((1 - (share / combined.u) ** 2) ** 2)


@given(st.lists(st.tuples(VALUE, DOUBT), min_size=2, max_size=6))
def test_the_scatters_part_of_u_is_what_tau_adds_at_the_same_weights(pairs: list[tuple[float, float]]) -> None:
    combined = combine([Estimate(x, u) for x, u in pairs])
    weights = [1 / (u * u + combined.tau**2) for _, u in pairs]
    of_stated = sum((w * u) ** 2 for w, (_, u) in zip(weights, pairs, strict=True)) / sum(weights) ** 2
    assert combined.u**2 == pytest.approx(of_stated + combined.scattered**2)


@pytest.mark.parametrize(("u", "freedom", "other", "whole"), [(0.57, 9, 0.25, 12.8)])
def test_degrees_of_freedom_of_a_sum_as_published(u: float, freedom: int, other: float, whole: float) -> None:
    # course notes ENGR224 as quoted in the tests of suncal (test_examples.py, test_DEGF): u = 0.57 with 9 degrees of
    # freedom and 0.25 with infinitely many give 12.8; here the first is the scatter, of ten origins
    combined = Combined(0.0, math.hypot(u, other), 1.0, (), u, freedom + 1)
    assert combined.freedom() == pytest.approx(whole, abs=0.05)
