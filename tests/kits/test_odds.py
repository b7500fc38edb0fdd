"""The kit as a whole: chances against closed forms, shared errors kept shared, and what no sample decides."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.cli.main import answer as cli
from fitment.doubt import Draws
from fitment.finding import Basis, Finding, Use, Verdict
from fitment.joints.answering import Size, answer, fixed, formula, reading
from fitment.joints.registration import Setting
from fitment.kits.odds import KitOdds, odds_of
from fitment.kits.odds_json import odds_object
from fitment.kits.report import JointSummary, Report
from fitment.sheets.odds_text import odds_text, percent
from tests.kits.fakes import finding
from tests.kits.test_report import BOTH, checked

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict
PAIR = ("NORTH/RE-3 stud", "NORTH/KN-1 eye")
PHI = NormalDist().cdf
BASE = checked(BOTH)
SAMPLES = 40_000

with (Path(__file__).parents[1] / "published/odds.csv").open(encoding="utf-8", newline="") as _table:
    PUBLISHED = {row["id"]: row for row in csv.DictReader(_table)}


def value(
    name: str, number: float, u: float, shape: str = "normal", shared: tuple[tuple[str, float], ...] = ()
) -> Size:
    return reading(
        Use("NORTH/RE-3 stud", name, number, u, "mm", Basis.MEASURED, source="own", shape=shape, shared=shared)
    )


def judged(draws: Draws, *margins: Size, rule: str = "cone-01") -> list[Finding]:
    return [answer(rule, PAIR, margin, "mm", Setting({}, draws), lambda: "as told") for margin in margins]


def odds(draws: Draws, *joints: list[Finding], samples: int = SAMPLES) -> KitOdds:
    return odds_of(report(*joints), draws, samples)


def report(*joints: list[Finding]) -> Report:
    made = (JointSummary(f"joint-{n}", "", f"joint {n}", PAIR, tuple(found)) for n, found in enumerate(joints))
    return replace(BASE, joints=tuple(made))


def near(chance: float | None, expected: float, samples: int = SAMPLES) -> bool:
    """Within five standard deviations of a counted share."""
    assert chance is not None
    return abs(chance - expected) <= 5 * math.sqrt(max(expected * (1 - expected), 1e-9) / samples) + 1 / samples


@given(st.floats(-3, 3), st.floats(0.1, 2), st.floats(0.1, 2))
def test_one_margin_has_the_chance_of_its_normal(middle: float, first: float, second: float) -> None:
    draws = Draws(500)
    margin = formula(lambda a, b: a - b, value("large", 5 + middle, first), value("small", 5.0, second))
    told = odds(draws, judged(draws, margin), samples=20_000)
    assert near(told.kit.fits, PHI(middle / math.hypot(first, second)), 20_000)
    assert told.kit.fits == told.joints[0].chance.fits


@pytest.mark.parametrize(("id", "shape"), [("ODDS-NORMAL-4", "normal"), ("ODDS-RECT-4", "rectangular")])
def test_the_sum_of_four_has_its_published_interval(id: str, shape: str) -> None:
    draws, row = Draws(500), PUBLISHED[id]
    four = [value(name, 0.0, 1.0, shape) for name in ("a", "b", "c", "d")]

    def outside(half: float) -> float:
        inside = formula(lambda *terms: half - abs(sum(terms)), *four)
        fits = odds(draws, judged(draws, inside), samples=400_000).kit.fits
        assert fits is not None
        return 1 - fits

    half, off = float(row["value"]), float(row["tolerance"])
    assert outside(half - off) > 0.05 - 0.002
    assert outside(half + off) < 0.05 + 0.002
    assert abs(outside(half) - 0.05) < 0.0025


def normal(name: str, number: float, u: float) -> Size:
    return value(name, number, u)


def student(name: str, number: float, deviation: float) -> Size:
    """Student's t of 3 degrees of freedom with this standard deviation: sqrt(3) times its scale."""
    return value(name, number, deviation / math.sqrt(3), "t3")


MODELS = {
    "viscometer": formula(
        lambda cal, time, own, liquid, cal_time, ball: cal * time * (ball - own) / (cal_time * (ball - liquid)),
        normal("viscosity", 4.63, 0.0463),
        normal("time", 61.0, 6.1),
        normal("density", 1180.0, 0.5),
        normal("cal-density", 810.0, 0.5),
        normal("cal-time", 36.6, 5.49),
        normal("ball", 2217.0, 0.5),
    ),
    "expansion": formula(
        lambda cold, at, warm, to: (warm - cold) / (cold * (to - at)),
        student("cold", 1.4999, 0.0001),
        student("at", 288.15, 0.02),
        student("warm", 1.5021, 0.0002),
        student("to", 373.10, 0.05),
    ),
    "logarithm": formula(np.log, value("x", 0.6, 0.5 / math.sqrt(3), "rectangular")),
}


def shortest(ordered: np.ndarray, share: float) -> tuple[float, float]:
    """The shortest interval that holds so much of an ordered sample."""
    inside = int(share * ordered.size)
    start = int(np.argmin(ordered[inside:] - ordered[:-inside]))
    return float(ordered[start]), float(ordered[start + inside])


@pytest.mark.parametrize("id", [id for id, row in PUBLISHED.items() if row["case"] in MODELS])
def test_published_monte_carlo_results(id: str) -> None:
    row = PUBLISHED[id]
    sample = np.sort(np.asarray(MODELS[row["case"]].at(Draws(400_000))))
    found = {
        "mean": float(sample.mean()),
        "u": float(sample.std()),
        "2.5 %": float(np.quantile(sample, 0.025)),
        "97.5 %": float(np.quantile(sample, 0.975)),
    }
    found["shortest low"], found["shortest high"] = shortest(sample, 0.95)
    assert row["source"]
    assert found[row["quantity"]] == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_the_risk_behind_a_guard_band_of_two_u_is_the_published_one() -> None:
    draws, row = Draws(), PUBLISHED["ODDS-2U"]
    (one,) = judged(draws, value("large", 2.01, 1.0))
    assert one.verdict is FITS
    risk = odds(draws, [one], samples=400_000).kit.risk
    assert risk is not None
    assert abs(risk - (1 - PHI(2.01))) < 0.001
    assert abs(1 - PHI(2.0) - float(row["value"])) <= float(row["tolerance"])


def test_independent_joints_multiply_and_what_they_share_does_not() -> None:
    draws = Draws()
    alone = [judged(draws, value(name, 1.0, 1.0)) for name in ("large", "small")]
    assert near(odds(draws, *alone).kit.fits, PHI(1) ** 2)
    same = [judged(draws, value("large", 1.0, 1.0)) for _ in range(2)]
    assert near(odds(draws, *same).kit.fits, PHI(1))
    tool = (("SOUTH/yard-3 calliper", 1.0),)
    shared = [judged(draws, value(name, 1.0, 1.0, shared=tool)) for name in ("large", "small")]
    assert near(odds(draws, *shared).kit.fits, PHI(1))
    against = formula(lambda one: 2.0 - one, value("small", 1.0, 1.0, shared=tool))  # passes where the other fails
    told = odds(draws, judged(draws, value("large", 1.0, 1.0, shared=tool)), judged(draws, against))
    assert near(told.kit.fits, 2 * PHI(1) - 1)


def test_a_shared_error_leaves_a_difference() -> None:
    draws = Draws()
    tool = (("SOUTH/yard-3 calliper", 0.8),)
    large, small = (value(name, 0.0, 1.0, shared=tool) for name in ("large", "small"))
    margin = formula(lambda a, b: 0.5 + a - b, large, small)
    assert near(odds(draws, judged(draws, margin)).kit.fits, PHI(0.5 / math.hypot(0.6, 0.6)))


def test_contributions_are_the_shares_of_the_variance_and_a_shared_error_is_one_of_them() -> None:
    draws = Draws()
    tool = (("SOUTH/yard-3 calliper", 0.6),)
    first, second = value("large", 10.0, 1.0, shared=tool), value("small", 3.0, 1.0, shared=tool)
    told = odds(draws, judged(draws, formula(lambda a, b: a + b, first, second)))
    assert told.kit.deciding is not None
    shares = {(one.dimension, one.shared): one.share for one in told.kit.deciding.contributions}
    whole = 2 * 0.8**2 + 1.2**2
    assert shares == {
        ("", "SOUTH/yard-3 calliper"): pytest.approx(1.2**2 / whole, abs=0.02),
        ("large", ""): pytest.approx(0.8**2 / whole, abs=0.02),
        ("small", ""): pytest.approx(0.8**2 / whole, abs=0.02),
    }


def test_the_first_samples_are_those_of_the_check() -> None:
    draws = Draws(3000)
    margin = formula(lambda a, b: a * b, value("large", 0.4, 1.0), value("small", 0.2, 1.0, "rectangular"))
    told = odds(draws, judged(draws, margin), samples=3000)
    assert told.kit.fits == np.mean(np.asarray(margin.at(draws)) > 0)


@given(st.integers(1, 5000), st.integers(1, 1500))
def test_blocks_are_one_long_draw(total: int, size: int) -> None:
    uses = [value("large", 14.0, 0.2).uses[0], value("small", 9.0, 0.1, "rectangular", (("yard", 0.05),)).uses[0]]
    whole = Draws(total)
    parts = [[block.of(use).copy() for use in uses] for block in Draws(1).blocks(total, size)]
    for place, use in enumerate(uses):
        assert np.array_equal(np.concatenate([part[place] for part in parts]), whole.of(use))


def test_a_verdict_names_its_risk() -> None:
    draws = Draws()
    fits, fails, open_ = (judged(draws, value("large", at, 1.0)) for at in (2.5, -2.5, 0.3))
    told = odds(draws, fits).kit
    assert told.fits is not None
    assert told.risk == 1 - told.fits
    told = odds(draws, fails).kit
    assert near(told.risk, PHI(-2.5))
    assert told.risk == told.fits
    assert odds(draws, open_).kit.risk is None


def test_what_no_number_decides_is_sure_or_open() -> None:
    draws = Draws()
    sure = finding("thread-01", FITS, None, *PAIR)
    wrong = finding("thread-02", DOES_NOT_FIT, None, *PAIR)
    gap = finding("thread-03", NOT_KNOWN, None, *PAIR)
    half = judged(draws, value("large", 0.0, 1.0))
    assert odds(draws, [sure]).kit.fits == 1
    assert odds(draws, [sure, wrong], half).kit.fits == 0
    told = odds(draws, [gap], half)
    assert told.joints[0].chance.fits is None
    assert told.kit.open == gap.gaps  # what is too coarse is in the chance, and not open
    assert near(told.kit.fits, 0.5)
    assert odds(draws, [gap]).kit.fits is None


def test_work_settles_a_margin_below_zero() -> None:
    draws = Draws()
    (before,) = judged(draws, value("large", -3.0, 1.0))
    assert odds(draws, [replace(before, verdict=WITH_WORK)]).kit.fits == 1
    (after,) = judged(draws, value("large", 2.2, 1.0))
    assert near(odds(draws, [replace(after, verdict=WITH_WORK)]).kit.fits, PHI(2.2))


def test_the_least_sure_margin_decides() -> None:
    draws = Draws()
    first, second = judged(draws, value("large", 2.0, 1.0)), judged(draws, value("small", 1.0, 1.0), rule="cone-05")
    told = odds(draws, [*first, *second], judged(draws, value("end", 9.0, 1.0)))
    assert told.kit.deciding is not None
    assert told.kit.deciding.rule == "cone-05"
    assert told.kit.deciding == told.joints[0].chance.deciding
    assert near(told.joints[0].chance.fits, PHI(1) * PHI(2))
    certain = odds(draws, judged(draws, formula(lambda a: a, fixed(1.0)))).kit
    assert certain.deciding is not None
    assert (certain.fits, certain.deciding.contributions) == (1.0, ())


def test_the_section_says_what_it_takes_for_granted() -> None:
    draws = Draws()
    sure, gap = finding("thread-01", FITS, None, *PAIR), finding("thread-03", NOT_KNOWN, None, *PAIR)
    text = odds_text(odds(draws, [sure, gap], judged(draws, value("large", 0.0, 1.0)), [sure]), 100)
    assert text.splitlines()[0] == "Odds, from 40000 samples"
    assert "should all that is not known fit and all that is only said be so" in text
    assert "NORTH/RE-3 stud large 100%" in text
    assert "sure so far  joint 0" in text
    assert text.endswith("1 joints fit in every sample and lack nothing")


@pytest.mark.parametrize(
    ("fraction", "told"),
    [(0.0, "under 0.003 %"), (1.0, "over 99.9970 %"), (0.5, "50 %"), (0.999, "99.90 %"), (0.0004, "0.040 %")],
)
def test_a_counted_share_is_told_to_two_figures_of_what_is_in_doubt(fraction: float, told: str) -> None:
    assert percent(fraction, 100_000) == told


def test_as_an_object_it_is_plain() -> None:
    draws = Draws()
    told = odds_object(odds(draws, judged(draws, value("large", 1.0, 1.0))))
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert told["kit"]["deciding"]["contributions"][0]["share"] == pytest.approx(1.0)


def test_order_of_joints_changes_nothing() -> None:
    draws = Draws()
    build: list[Callable[[], list[Finding]]] = [
        lambda: judged(draws, value("large", 1.0, 1.0)),
        lambda: judged(draws, value("small", 0.5, 1.0, "rectangular")),
    ]
    assert odds(draws, build[0](), build[1]()).kit.fits == odds(draws, build[1](), build[0]()).kit.fits


def test_samples_go_with_the_odds(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli(["check", "kit.toml", "--samples", "5000"]) == 2
    assert capsys.readouterr().err == "fitment: --samples goes with --odds [odds-01]\n  add --odds\n"
