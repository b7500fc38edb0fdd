"""Drawing doubts: shapes against independent formulas."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fitment.doubt import HIGH, Draws, margin_of, reach
from fitment.finding import Basis, Use, freedom_of, shape_of


def use(shape: str, shared: tuple[tuple[str, float], ...] = ()) -> Use:
    return Use("TEST/RE-1 stud", "large", 15.0, 0.1, "mm", Basis.MEASURED, shape=shape, shared=shared)


@given(st.floats(3.0, 1000.0))
def test_the_reach_of_students_t_is_its_quantile(freedom: float) -> None:
    # scipy.stats as the independent library
    assert reach(f"t{freedom!r}") == pytest.approx(float(stats.t.ppf(HIGH, freedom)), rel=1e-8)


@pytest.mark.parametrize(
    ("shape", "told"), [("normal", stats.norm.ppf(HIGH)), ("rectangular", 3**0.5 * (2 * HIGH - 1))]
)
def test_the_reach_of_the_others(shape: str, told: float) -> None:
    assert reach(shape) == pytest.approx(told, rel=1e-12)


@pytest.mark.parametrize("freedom", [3.0, 4.5, 20.0])
def test_samples_of_students_t_have_its_quantiles(freedom: float) -> None:
    sample = Draws(200_000).of(use(shape_of(freedom)))
    found = stats.kstest((sample - 15.0) / 0.1, stats.t(freedom).cdf)
    assert found.statistic < 1.6 / 200_000**0.5


def test_of_a_shared_error_only_the_rest_is_students_t() -> None:
    draws = Draws(200_000)
    whole = use("t3", (("yard calliper", 0.08),))
    errors = draws.errors(whole)
    assert stats.kstest(errors["yard calliper"], stats.norm.cdf).statistic < 1.6 / 200_000**0.5
    assert stats.kstest(errors[""], stats.t(3).cdf).statistic < 1.6 / 200_000**0.5
    assert np.allclose(draws.of(whole), 15.0 + 0.08 * errors["yard calliper"] + 0.06 * errors[""])


def test_blocks_of_students_t_are_one_long_draw() -> None:
    whole = Draws(1000).of(use("t4.1"))
    parts = [block.of(use("t4.1")).copy() for block in Draws(1).blocks(1000, 300)]
    assert np.array_equal(np.concatenate(parts), whole)


@given(st.floats(3.0, 900.0))
def test_fewer_degrees_of_freedom_never_reach_less_far(freedom: float) -> None:
    assert reach(shape_of(freedom)) > reach("normal") == 2.0
    assert reach(shape_of(freedom)) >= reach(shape_of(freedom * 1.1))


def test_a_margin_on_students_t_is_wider_both_ways() -> None:
    normal, student = (margin_of(Draws().of(use(shape)), "mm") for shape in ("normal", "t3"))
    assert student.low < normal.low < normal.high < student.high
    assert student.high - 15.0 == pytest.approx(0.1 * reach("t3"), rel=0.05)


def test_shapes_are_named_by_their_degrees_of_freedom_rounded_down() -> None:
    assert [shape_of(freedom) for freedom in (3.0, 4.19, 20.0, 999.99, 1000.1)] == [
        "t3",
        "t4.1",
        "t20",
        "t999.9",
        "normal",
    ]
    assert freedom_of("t4.1") == 4.1
    assert freedom_of("normal") == freedom_of("rectangular") == float("inf")
