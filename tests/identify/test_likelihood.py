"""Likelihoods in closed form against quadrature, and the worth of a further reading."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.identify.likelihood import (
    Band,
    Possible,
    Rival,
    checked,
    density,
    density_again,
    doubt_left,
    entropy,
    mass_within,
    normal_density,
    odds_of,
    what_next,
)

BAND = Band(13.732, 13.968)
U = 0.05 / math.sqrt(3)


def integral(function: Callable[[float], float], low: float, high: float, steps: int = 4000) -> float:
    width = (high - low) / steps
    return width * math.fsum(function(low + (step + 0.5) * width) for step in range(steps))


@pytest.mark.parametrize("value", [13.5, 13.7, 13.85, 13.968, 14.0, 14.1])
def test_density_is_the_convolution_of_band_and_error(value: float) -> None:
    direct = integral(lambda true: normal_density(value, true, U), BAND.low, BAND.high) / (BAND.high - BAND.low)
    assert density((value, U), BAND) == pytest.approx(direct, rel=1e-5)


@given(st.floats(0.001, 0.3), st.floats(0.0, 0.5))
def test_density_integrates_to_one(u: float, width: float) -> None:
    band = Band(14.0 - width, 14.0)
    assert integral(lambda value: density((value, u), band), 14 - width - 9 * u, 14 + 9 * u) == pytest.approx(
        1, abs=1e-3
    )


def test_density_keeps_its_digits_far_out() -> None:
    # 20 u beyond the band: the plain difference of two error functions would be 0 on one side
    below, above = density((13.0, 0.0366), BAND), density((14.7, 0.0366), BAND)
    assert 0 < below < 1e-80
    assert below == pytest.approx(above, rel=1e-6)


@pytest.mark.parametrize("before", [13.75, 13.9, 14.0])
def test_a_second_reading_shares_the_true_size_of_the_first(before: float) -> None:
    def joint(value: float, true: float) -> float:
        return normal_density(value, true, 0.01) * normal_density(before, true, U)

    for value in (13.74, 13.9, 13.96):
        both = integral(lambda true, value=value: joint(value, true), BAND.low, BAND.high)
        first = integral(lambda true: normal_density(before, true, U), BAND.low, BAND.high)
        assert density_again(value, 0.01, BAND, (before, U)) == pytest.approx(both / first, rel=1e-4)
    assert integral(lambda value: density_again(value, 0.01, BAND, (before, U)), 13.6, 14.1) == pytest.approx(
        1, abs=1e-4
    )


def test_a_second_reading_of_one_size_knows_nothing_of_the_first() -> None:
    point = Band(1.5, 1.5)
    assert density_again(1.51, 0.01, point, (1.4, 0.01)) == normal_density(1.51, 1.5, 0.01)
    # and a first reading that the band cannot have given leaves nothing
    assert density_again(13.9, 0.01, BAND, (25.0, 0.01)) == 0.0


def test_odds_sum_to_one_and_what_underflows_is_none_of_these() -> None:
    assert odds_of([1.0, 2.0], 1.0) == ([0.25, 0.5], 0.25)
    assert odds_of([1.0, 0.0], 0.0) == ([1.0, 0.0], 0.0)
    assert odds_of([0.0, 0.0], 0.0) == ([0.0, 0.0], 1.0)
    assert odds_of([0.0, 0.0], 1e-300) == ([0.0, 0.0], 1.0)


def rivals(share: float, first: Band, second: Band) -> tuple[Rival, Rival]:
    return Rival("A", share, {"size": first}), Rival("B", 1 - share, {"size": second})


@given(st.floats(0.01, 0.99), st.floats(0, 0.3), st.floats(0.003, 0.1), st.booleans())
def test_a_reading_never_adds_doubt_on_average(share: float, apart: float, u: float, already: bool) -> None:
    pair = rivals(share, BAND, Band(BAND.low + apart, BAND.high + apart))
    left = doubt_left(*pair, Possible("size", "", "", u), (13.9, 0.1) if already else None)
    assert -1e-9 <= left <= entropy(share) * 1.002 + 1e-6


def test_a_reading_that_says_nothing_leaves_the_doubt_and_one_that_says_all_leaves_none() -> None:
    same = rivals(0.3, BAND, BAND)
    assert doubt_left(*same, Possible("size", "", "", 0.01), None) == pytest.approx(entropy(0.3), rel=2e-3)
    apart = rivals(0.3, BAND, Band(20, 21))
    assert doubt_left(*apart, Possible("size", "", "", 0.01), None) == 0.0
    assert entropy(0.5) == 1.0
    assert entropy(1.0) == 0.0


def test_doubt_left_between_two_sizes_by_quadrature() -> None:
    # two points 2 u apart, even odds
    pair = rivals(0.5, Band(1.0, 1.0), Band(1.02, 1.02))
    possible = Possible("size", "", "", 0.01)

    def integrand(value: float) -> float:
        ours, theirs = 0.5 * normal_density(value, 1.0, 0.01), 0.5 * normal_density(value, 1.02, 0.01)
        return (ours + theirs) * entropy(ours / (ours + theirs))

    assert doubt_left(*pair, possible, None) == pytest.approx(integral(integrand, 0.9, 1.12), rel=1e-3)


TRIAL = Possible("", "a trial", "a gauge", 0.0)
NONE = Rival("none", 0.0, {"size": Band(0, 50)})


def advice(
    first: Rival, second: Rival, possibles: list[Possible], **taken: tuple[float, float]
) -> tuple[str, str] | None:
    found = what_next([first, second], NONE, possibles, taken, TRIAL)
    return None if found is None else (found.measure, found.separates)


def test_the_easier_of_two_equal_readings_is_advised_and_a_trial_where_none_helps() -> None:
    near, far = Band(14.0, 14.1), Band(14.3, 14.4)
    pair = (Rival("A", 0.6, {"size": near}), Rival("B", 0.4, {"size": far}))
    easy, hard = Possible("size", "easy", "", 0.03), Possible("size", "hard", "", 0.003)
    assert advice(*pair, [easy, hard]) == ("easy", "A from B")
    overlapping = (Rival("A", 0.6, {"size": Band(14.0, 14.1)}), Rival("B", 0.4, {"size": Band(14.1, 14.2)}))
    assert advice(*overlapping, [easy, hard]) == ("hard", "A from B")
    # no surer than what is taken: left out
    assert advice(*overlapping, [easy, hard], size=(14.1, 0.0031)) == ("a trial", "A from B")
    same = (Rival("A", 0.6, {"size": near}), Rival("B", 0.4, {"size": near}))
    assert advice(*same, [easy, hard]) == ("a trial", "A from B")


def test_no_advice_past_the_threshold_and_none_of_these_stands_in_for_a_lone_candidate() -> None:
    bands = {"size": Band(14.0, 14.1)}
    easy = [Possible("size", "easy", "", 0.03)]
    first, second = Rival("A", 0.95, bands), Rival("B", 0.05, bands)
    assert what_next([first, second], NONE, easy, {}, TRIAL) is None
    lone, none = Rival("A", 0.7, bands), Rival("none", 0.295, {"size": Band(0, 50)})
    found = what_next([lone, Rival("B", 0.005, bands)], none, easy, {}, TRIAL)
    assert found is not None
    assert found.separates == "A from none"
    likely = Rival("none", 0.6, {"size": Band(0, 50)})
    found = what_next([Rival("A", 0.3, bands), Rival("B", 0.1, bands)], likely, easy, {}, TRIAL)
    assert found is not None
    assert found.separates == "none from A"
    # "none" past the threshold
    assert (
        what_next([Rival("A", 0.01, bands), Rival("B", 0.0, bands)], Rival("none", 0.99, {}), easy, {}, TRIAL) is None
    )
    # a measure that one of the two has no band for cannot part them
    found = what_next([lone, second], Rival("none", 0.25, {}), [Possible("angle", "angle", "", 1.0)], {}, TRIAL)
    assert found is not None
    assert found.measure == "a trial"


@pytest.mark.parametrize(
    "reading", [(0.0, 0.1), (-1.0, 0.1), (14.0, 0.0), (14.0, -0.1), (math.inf, 0.1), (14.0, math.nan)]
)
def test_a_reading_needs_a_value_and_a_doubt(reading: tuple[float, float]) -> None:
    with pytest.raises(DataFault) as caught:
        checked(reading, "a pitch")
    needs = "a reading of a pitch needs a value and a standard uncertainty above zero"
    assert caught.value.message == f"{needs}, not {reading[0]:g} and {reading[1]:g}"
    assert caught.value.mending == "give the value with its ± or its tool"
    assert caught.value.code == "identify-01"


def test_mass_within_of_everything_is_one() -> None:
    assert mass_within(14.0, 0.1, Band(0, 50)) == pytest.approx(1.0, abs=1e-12)
