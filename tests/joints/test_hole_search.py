"""The quick road of the registration against the search all round; that its proofs are proofs. Invented patterns."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.joints.hole_registration import TOLERANCE, least_squares, misfit_at, register
from fitment.joints.hole_search import Search, turned
from fitment.joints.hole_threes import bound_by_threes

BASES = {
    "two": [(0, 0), (400, 0)],
    "three": [(0, 0), (400, 0), (204, 70)],
    "a row": [(0, 0), (100, 0), (200, 0), (300, 0)],
    "a rectangle": [(0, 0), (420, 0), (420, 60), (0, 60)],
    "a square": [(0, 0), (90, 0), (90, 90), (0, 90)],
    "eight": [(0, 0), (140, 0), (280, 0), (420, 0), (420, 60), (280, 60), (140, 60), (0, 60)],
}
SAMPLES = 25


def samples(base: Any, off: float, seed: int = 1) -> tuple[Any, Any, Any]:
    """Holes of both patterns and slack, off by `off` mm (one standard deviation)."""
    draw, holes = np.random.default_rng(seed), np.asarray(base, dtype=float)
    p, q = (holes + draw.normal(0, off, (SAMPLES, *holes.shape)) if off else np.stack([holes] * SAMPLES) for _ in "pq")
    return p, q, 0.6 + draw.normal(0, min(off, 0.1), p.shape[:2])


def slots(base: Any, sides: str) -> list[Any]:
    """Half slots of p and of q, slanting, or None."""
    made: list[Any] = []
    for hole, side in enumerate("pq"):
        half = np.zeros((len(base), 2))
        half[hole] = (1.8, 0.5 - hole)
        made.append(half if side in sides else None)
    return made


def started(p: Any, q: Any, slack: Any, on_p: Any, on_q: Any) -> Search:
    """The search at the least-squares turn, nothing solved yet."""
    turn = least_squares(p, q)[0][:, None]
    on_p, on_q = (None if one is None else np.broadcast_to(one, p.shape) for one in (on_p, on_q))
    first, second = (one - one.mean(axis=1, keepdims=True) for one in (p, q))
    return Search(turned(first, turn), second, slack, None if on_p is None else turned(on_p, turn), on_q)


def searched(p: Any, q: Any, slack: Any, on_p: Any, on_q: Any) -> Any:
    """t* by splitting the circle of turns only, from least squares: neither the quick solution nor its proof."""
    search, everyone = started(p, q, slack, on_p, on_q), np.arange(len(p))
    search.weight = np.ones_like(slack)
    search._all_round(everyone, search._look(everyone, np.zeros(len(p))))
    return search.best


@pytest.mark.parametrize("off", [0, 1e-9, 0.03, 0.3, 3])
@pytest.mark.parametrize("base", BASES)
@pytest.mark.parametrize("sides", ["", "q", "p"])
def test_the_quick_road_and_the_search_all_round_agree(base: str, off: float, sides: str) -> None:
    p, q, slack = samples(BASES[base], off)
    on_p, on_q = slots(BASES[base], sides)
    found = register(p, q, slack, on_p, on_q).t_star
    if sides == "p":  # the other way about, so that the slot stands still
        p, q, on_p, on_q = q, p, None, on_p
    assert found == pytest.approx(searched(p, q, slack, on_p, on_q), abs=2 * TOLERANCE)


def test_slots_that_turn_against_each_other_agree_as_well() -> None:
    for base in ("three", "a rectangle"):
        p, q, slack = samples(BASES[base], 3)
        on_p, on_q = slots(BASES[base], "pq")
        on_p, on_q = 4 * on_p, 4 * on_q
        found = register(p, q, slack, on_p, on_q).t_star
        assert found == pytest.approx(searched(p, q, slack, on_p, on_q), abs=2 * TOLERANCE)


@pytest.mark.parametrize("off", [0.3, 3])
@pytest.mark.parametrize("sides", ["", "q", "p", "pq"])
def test_most_cases_need_no_search(off: float, sides: str, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[int] = []
    monkeypatch.setattr(Search, "_all_round", lambda self, case, bound: asked.append(len(case)))
    p, q, slack = samples(BASES["a rectangle"], off)
    register(p, q, slack, *slots(BASES["a rectangle"], sides))
    assert sum(asked) <= {"": 1, "q": 17, "p": 17, "pq": 20}[sides]


@given(st.sampled_from(sorted(BASES)), st.sampled_from(["", "q", "p", "pq"]), st.integers(0, 10**6))
def test_no_transform_is_below_the_proof(base: str, sides: str, seed: int) -> None:
    search = started(*samples(BASES[base], 0.3, seed), *slots(BASES[base], sides))
    everyone, draw = np.arange(SAMPLES), np.random.default_rng(seed)
    turn = draw.choice([1e-4, 1e-3, 0.01, 3.0], SAMPLES) * draw.normal(0, 1, SAMPLES)
    found = search._together(everyone, np.zeros(SAMPLES), free=True)
    level = search._misfit(everyone, found.turn, found.shift.T).max(axis=1)
    assert (search._proof(everyone, found) <= level + 1e-12).all()
    assert np.hypot(*found.pull) == pytest.approx(np.minimum(np.hypot(*found.pull), found.weight), abs=1e-15)
    assert found.weight.sum(axis=0) == pytest.approx(1.0)
    assert found.pull.sum(axis=1) == pytest.approx(0.0, abs=1e-12)
    # at any other turn, with the shift best for it, the worst hole is no better than the proof, nor than the bound
    held = search._together(everyone, found.turn + turn, free=False)
    other = search._misfit(everyone, found.turn + turn, held.shift.T).max(axis=1)
    assert (search._proof(everyone, found) <= other + 1e-12).all()
    value = search._bound(everyone, found.turn, found)
    angle = found.turn + turn
    bound = value[:, 0] * np.cos(angle) + value[:, 1] * np.sin(angle) + value[:, 2] - value[:, 3] * abs(turn)
    assert (bound <= other + 1e-9).all()


def by_threes(seed: int, slotted: bool) -> tuple[Any, Any]:
    """The bound of three holes with the turn held, and the least level there is; of the cases in which three pull."""
    p, q, slack = samples(BASES["three"], 0.3, seed)
    p, q = (one - one.mean(axis=1, keepdims=True) for one in (p, q))
    half = np.zeros_like(p)
    half[:, 0] = (1.5, 1.0) if slotted else 0.0
    pull, weight = bound_by_threes((p - q).T, half.T, slack.T, np.zeros((2, SAMPLES)))
    assert (np.hypot(*pull) <= weight + 1e-12).all()
    assert pull.sum(axis=1) == pytest.approx(0.0, abs=1e-9)
    assert weight.sum(axis=0) == pytest.approx(1.0)
    search, everyone, still = (
        Search(p, q, slack, None, half if slotted else None),
        np.arange(SAMPLES),
        np.zeros(SAMPLES),
    )
    least = search._misfit(everyone, still, search._together(everyone, still, free=False).shift.T).max(axis=1)
    value = np.sum(pull * (p - q).T, axis=(0, 1)) - np.sum(
        abs(np.sum(pull * half.T, axis=0)) + weight * slack.T, axis=0
    )
    assert (value <= least + 1e-9).all()
    three = weight.max(axis=0) < 1
    return value[three], least[three]


@given(st.integers(0, 10**6), st.booleans())
def test_three_holes_are_never_worse_than_all(seed: int, slotted: bool) -> None:
    by_threes(seed, slotted)


@pytest.mark.parametrize("slotted", [False, True])
def test_three_holes_that_pull_against_each_other_mostly_reach_the_level(slotted: bool) -> None:
    pairs = [by_threes(seed, slotted) for seed in range(5)]
    value, least = (np.concatenate(one) for one in zip(*pairs, strict=True))
    assert len(value) > 10
    assert np.mean(least - value < 1e-3) > 0.6


@pytest.mark.parametrize("sides", ["", "q", "p", "pq"])
def test_one_case_comes_out_as_among_many(sides: str) -> None:
    p, q, slack = samples(BASES["eight"], 0.3)
    halves = slots(BASES["eight"], sides)
    many = register(p, q, slack, *halves)
    for index in range(0, SAMPLES, 5):
        one = register(p[index], q[index], slack[index], *halves)
        assert one.t_star == pytest.approx(many.t_star[index], abs=1e-9)
        assert one.shift == pytest.approx(many.shift[index], abs=1e-6)


def test_the_misfits_told_are_those_of_the_transform_told() -> None:
    p, q, slack = samples(BASES["eight"], 3.0)
    halves = slots(BASES["eight"], "pq")
    found = register(p, q, slack, *halves)
    assert found.misfit == pytest.approx(misfit_at(p, q, slack, found.angle, found.shift, *halves), abs=1e-9)
    assert found.t_star == pytest.approx(found.misfit.max(axis=1), abs=0)
