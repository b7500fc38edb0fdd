"""Named cones from measured tapers: what one pair of readings can and cannot tell."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.identify.cones import NONE_RANGE, NONE_SHARE, U_MAKE, cone_candidates, identify_cones, not_excluded
from fitment.standards.cones import ratio_from_diameters, ratio_uncertainty
from tests.identify.calibration import worst_gap

CALLIPER = 0.05 / math.sqrt(3)
TAPERED_EYE = 0.15 / math.sqrt(3)
BALL_GAUGE = 0.02 / math.sqrt(3)


def names(ratio: float, u: float) -> list[str]:
    return [cone.name for cone in not_excluded(ratio, u)]


def test_candidates_are_those_met_on_steering_and_the_general_ones() -> None:
    assert [cone.name for cone in cone_candidates()] == [
        "1:5",
        "10 deg included",
        "1:6",
        "1:7",
        "1:8",
        "7 deg included",
        "1:10",
        "1:12",
        "1:15",
        "1:20",
    ]


def test_a_stud_by_calliper_is_identified() -> None:
    ratio, u = ratio_from_diameters(15.00, 13.25, 17.5), ratio_uncertainty(CALLIPER, CALLIPER, 17.5)
    found = identify_cones(ratio, u)
    assert found.identified is not None
    assert found.identified.designation == "1:10"
    assert found.identified.standard == "ISO 1119"
    assert found.identified.what.ratio == 0.1
    assert found.identified.odds > 0.95
    assert found.next is None
    assert names(ratio, u) == ["1:10"]


def test_a_tapered_eye_by_calliper_is_not() -> None:
    found = identify_cones(0.105, ratio_uncertainty(TAPERED_EYE, TAPERED_EYE, 16.0))
    assert found.identified is None
    assert {candidate.designation for candidate in found.candidates if candidate.odds > 0.02} >= {
        "1:10",
        "7 deg included",
    }
    assert found.next is not None
    assert found.next.tool == "calliper"
    assert found.next.measure == "two diameters of the stud, as far apart as it allows"


def test_one_pair_of_calliper_readings_in_a_bore_leaves_a_set() -> None:
    # an owner's readings, 1:9.36 (common practice): with u(C) = 0.0103 the set holds 1:8, 7 deg and 1:10
    ratio = ratio_from_diameters(16.5, 14.3, 20.6)
    assert names(ratio, ratio_uncertainty(0.15, 0.15, 20.6)) == ["1:10", "7 deg included", "1:8"]
    # with 0.15 mm as a half-width, u(C) = 0.0059, the set loses 1:8 (3.1 u) and keeps 1:10 (1.1 u)
    assert names(ratio, ratio_uncertainty(TAPERED_EYE, TAPERED_EYE, 20.6)) == ["1:10"]
    # 15.25/12.5 over 17.5, 1:6.36, lies between 1:6 and 1:7
    ratio = ratio_from_diameters(15.25, 12.5, 17.5)
    assert names(ratio, ratio_uncertainty(0.15, 0.15, 17.5))[:2] == ["1:6", "1:7"]


def test_halfway_between_1_8_and_7_degrees_is_undecided_even_with_ball_gauges() -> None:
    halfway = (0.125 + 2 * math.tan(math.radians(3.5))) / 2
    found = identify_cones(halfway, ratio_uncertainty(BALL_GAUGE, BALL_GAUGE, 16.0))
    first, second = found.candidates[:2]
    assert {first.designation, second.designation} == {"1:8", "7 deg included"}
    assert first.odds == pytest.approx(second.odds, abs=0.02)
    assert found.identified is None
    # no reading at hand parts them: a known plug does
    assert found.next is not None
    assert found.next.tool == "taper gauge or known-good stud with blueing"
    assert found.next.measure == "contact by blueing over the length of the cone"
    assert found.next.separates in ("1:8 from 7 deg included", "7 deg included from 1:8")


def test_a_sure_reading_of_no_named_cone_is_none_of_these() -> None:
    found = identify_cones(1 / 9, 1e-5)
    assert found.none_of_these > 0.99
    assert found.identified is None
    assert names(1 / 9, 1e-5) == []
    # and so is one far outside anything that is asked about, where every likelihood underflows
    assert identify_cones(0.9, 1e-4).none_of_these == 1.0


def test_the_threshold_is_met_at_its_own_value() -> None:
    found = identify_cones(1 / 6, 0.003)
    assert found.identified is not None
    assert found.identified.odds == pytest.approx(0.95, abs=0.001)
    assert identify_cones(1 / 6, 0.0031).identified is None


def test_common_prior_favours_cones_met_on_steering() -> None:
    between = (1 / 10 + 1 / 12) / 2

    def odds(prior: str) -> dict[str, float]:
        return {candidate.designation: candidate.odds for candidate in identify_cones(between, 0.004, prior).candidates}

    flat, common = odds("flat"), odds("common")
    assert flat["1:10"] == pytest.approx(flat["1:12"], rel=1e-6)
    assert common["1:10"] / common["1:12"] == pytest.approx(5.0, rel=1e-6)


@given(st.floats(0.001, 1.0), st.floats(1e-6, 0.5), st.sampled_from(["flat", "common"]))
def test_odds_sum_to_one(ratio: float, u: float, prior: str) -> None:
    found = identify_cones(ratio, u, prior)
    odds = [candidate.odds for candidate in found.candidates]
    assert math.fsum(odds) + found.none_of_these == pytest.approx(1.0, abs=1e-7)
    assert odds == sorted(odds, reverse=True)


def test_odds_are_calibrated() -> None:
    def simulated(stated: float, true: float) -> list[tuple[float, bool]]:
        draw = random.Random(11)
        pairs = []
        for _ in range(3000):
            none = draw.random() < NONE_SHARE
            cone = draw.choice(cone_candidates())
            made = draw.uniform(NONE_RANGE.low, NONE_RANGE.high) if none else draw.gauss(cone.ratio, U_MAKE)
            found = identify_cones(abs(draw.gauss(made, true)), stated)
            pairs.append((found.none_of_these, none))
            pairs += [(each.odds, not none and each.what is cone) for each in found.candidates]
        return pairs

    assert worst_gap(simulated(0.004, 0.004)) < 0.04
    # readings twice as wild as they say are found out
    assert worst_gap(simulated(0.004, 0.008)) > 0.08


@pytest.mark.parametrize(
    ("ratio", "u", "prior", "message", "mending"),
    [
        (0.1, 0.001, "flt", "there is no prior 'flt'", "nearest: flat"),
        (
            -0.1,
            0.001,
            "flat",
            "a reading of a taper needs a value and a standard uncertainty above zero, not -0.1 and 0.001",
            "give the value with its ± or its tool",
        ),
    ],
)
def test_refusals(ratio: float, u: float, prior: str, message: str, mending: str) -> None:
    with pytest.raises(DataFault) as caught:
        identify_cones(ratio, u, prior)
    assert (caught.value.message, caught.value.mending) == (message, mending)


def test_the_set_refuses_what_is_no_reading() -> None:
    with pytest.raises(DataFault) as caught:
        not_excluded(0.1, 0.0)
    assert caught.value.code == "identify-01"
