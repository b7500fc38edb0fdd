"""Costly sizes: few samples first, all of them where few do not tell; a verdict never hangs on which."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fitment.doubt import FEW, LOW, Draws, is_clear, margin_of
from fitment.finding import Basis, Finding, Use, Verdict
from fitment.joints.answering import answer, doubt_of, drawn, formula, reading, sampled, spread
from fitment.joints.registration import Setting

JOINT = ("A part", "B part")


def use(name: str, value: float, u: float, shape: str = "normal") -> Use:
    return Use("A part", name, value, u, "mm", Basis.MEASURED, shape=shape)


def judge(uses: list[Use], costly: bool, draws: Draws) -> Finding:
    margin = formula(lambda *values: sum(values), *map(reading, uses), costly=costly)
    return answer("rule-01", JOINT, margin, "mm", Setting({}, draws), lambda: "told")


@pytest.mark.parametrize("shape", ["normal", "rectangular"])
def test_the_few_are_the_first_of_all(shape: str) -> None:
    draws = Draws()
    length, point = use("length", 5.0, 0.1, shape), replace(use("ball", 0.0, 0.3), value="1, 2, 3")
    assert draws.few.count == FEW < draws.count
    assert draws.few.few is draws.few is draws.few
    assert np.array_equal(draws.few.of(length), draws.of(length)[:FEW])
    assert np.array_equal(draws.few.of_point(point), draws.of_point(point)[:, :FEW])


def test_of_few_samples_the_few_are_all() -> None:
    draws = Draws(FEW)
    assert draws.few is draws


def test_a_margin_on_the_very_limit_is_rarely_taken_for_clear() -> None:
    counts = np.arange(FEW + 1)
    clear = np.array([is_clear(np.where(np.arange(FEW) < count, -1.0, 1.0)) for count in counts[: FEW // 10]])
    few, many = stats.binom(FEW, LOW), counts[: FEW // 10]
    assert few.cdf(many[-1]) > 1 - 1e-12
    assert 1e-6 < few.pmf(many)[clear].sum() < 1e-4


def test_clear_is_symmetric_and_exact_margins_are_clear() -> None:
    sample = np.random.default_rng(1).normal(2.0, 1.0, FEW)
    assert not is_clear(sample)
    assert not is_clear(-sample)
    assert is_clear(np.full(FEW, 0.5))
    assert is_clear(np.full(FEW, -0.5))
    assert is_clear(np.random.default_rng(1).normal(0.0, 1.0, FEW))  # not known, and sure of that


@pytest.mark.parametrize(("off", "samples"), [(5.0, FEW), (2.0, 20_000), (0.0, FEW), (-2.0, 20_000), (-5.0, FEW)])
def test_few_samples_where_they_tell_and_all_near_a_limit(off: float, samples: int) -> None:
    draws = Draws()
    found = judge([use("gap", off * 0.1, 0.1)], True, draws).margin
    assert found is not None
    assert found.samples == samples
    assert judge([use("gap", off * 0.1, 0.1)], False, draws).margin.samples == draws.count


@given(
    st.floats(-3, 3),
    st.lists(st.sampled_from(["normal", "rectangular"]), min_size=1, max_size=4),
    st.integers(0, 10_000),
)
def test_the_verdict_is_that_of_all_samples(off: float, shapes: list[str], seed: int) -> None:
    u = 0.1 * len(shapes) ** 0.5
    uses = [use(f"gap-{index}", off * u if index == 0 else 0.0, 0.1, shape) for index, shape in enumerate(shapes)]
    few, every = (judge(uses, costly, Draws(seed=seed)) for costly in (True, False))
    assert few.verdict is every.verdict
    assert few.margin is not None
    assert every.margin is not None
    # quantiles of n samples, standard error sqrt(p (1 - p) / n) over the density there, of a normal 0.044 u for few
    assert few.margin.low == pytest.approx(every.margin.low, abs=0.22 * u)
    assert few.margin.high == pytest.approx(every.margin.high, abs=0.22 * u)


def test_what_follows_from_a_costly_size_is_costly() -> None:
    plain = reading(use("gap", 1.0, 0.1))
    costly = formula(lambda one: one, plain, costly=True)
    assert not formula(lambda one: one, plain).costly
    assert formula(lambda one, other: one + other, plain, costly).costly
    draws = Draws()
    assert drawn(costly, draws)[1] is draws.few
    assert spread(costly, draws) == (margin_of(sampled(plain, draws.few), "").low, spread(costly, draws)[1])
    assert doubt_of(costly, draws) == pytest.approx(0.1, rel=0.05)
    assert doubt_of(plain, draws) == float(sampled(plain, draws).std())


def test_what_is_not_known_names_its_dimension_by_the_samples_that_it_took() -> None:
    wide, narrow = use("wide", 0.05, 0.3), use("narrow", 0.0, 0.01)
    found = judge([narrow, wide], True, Draws())
    assert found.verdict is Verdict.NOT_KNOWN
    assert [gap.dimension for gap in found.gaps] == ["wide"]
