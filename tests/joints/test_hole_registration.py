"""Registration of hole patterns: the published rows, SLSQP from 30 starts, properties. Invented patterns."""

from __future__ import annotations

import csv
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.joints import pattern_pair
from fitment.joints.hole_registration import TOLERANCE, least_squares, register
from tests.support.registration import Case, by_linprog, by_slsqp, cases, misfit, turned

TABLE = Path(__file__).parents[1] / "published" / "hole_registration_check.csv"
ROWS = {row["id"]: row for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines())}

FRAME = [(0, 0), (420, 0), (420, 60), (0, 60)]
R2 = [(0, 0), (420.6, 0.3), (421.0, 60.8), (0.4, 60.2)]
R3 = [(0, 0), (420.8, 0), (420.0, 60.0), (-0.6, 60.4)]
R4, R4_FRAME = [(0, 0), (398.4, 2.0), (205.0, 71.0)], [(0, 0), (400, 0), (204, 70)]
R5, R5_FRAME = (
    [(-170, 0), (170, 0), (150, 52), (-150, 52)],
    [(-171, 0.5), (170.5, -0.5), (149, 52.5), (-150.5, 51)],
)
ALONG_X = [(0, 0), (3, 0), (0, 0)]
#: coordinates, slack and slots of the published rows, and their transform where they print one (computed)
PUBLISHED: dict[str, tuple[Any, Any, Any, Any, tuple[float, float, float]]] = {
    "REG-R1": ([(0, 0), (421.2, 0)], [(0, 0), (420, 0)], 0.5, None, (0, -0.6, 0)),
    "REG-R2": (R2, FRAME, 0.5, None, (-0.0876, -0.5463, -0.0780)),
    "REG-R2b": (R2, FRAME, 1.0, None, (-0.0876, -0.5463, -0.0780)),
    "REG-R3": (R3, FRAME, [0.5, 0.5, 0.75, 0.75], None, (0.0266, -0.2097, -0.2800)),
    "REG-R4": (R4, R4_FRAME, [0.5, 0.5, 0.75], ALONG_X, (-0.1936, -0.4937, -0.1406)),
    "REG-R4b": (R4, R4_FRAME, 1.0, ALONG_X, (-0.1670, -0.6025, -0.2029)),
    "REG-R4c": (R4, R4_FRAME, [0.5, 0.5, 0.75], None, (-0.0586, 0.388, -1.209)),
    "REG-R5": (R5, R5_FRAME, 1.0, None, (0, -0.3214, -0.1071)),
}


def test_the_table_and_the_patterns_are_the_same_rows() -> None:
    assert set(ROWS) == set(PUBLISHED)


@pytest.mark.parametrize("ident", PUBLISHED)
def test_published_registration(ident: str) -> None:
    p, q, slack, slots, (angle, x, y) = PUBLISHED[ident]
    found = register(p, q, slack, q_slots=slots)
    row = ROWS[ident]
    assert found.t_star == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))
    assert (found.angle, *found.shift) == pytest.approx((angle, x, y), abs=0.0008)
    assert found.misfit.max() == found.t_star


def test_the_holes_that_bind_are_named() -> None:
    assert register(R2, FRAME, 0.5).worst == (0, 2)
    assert register(R4, R4_FRAME, [0.5, 0.5, 0.75], q_slots=ALONG_X).worst == (0, 1, 2)


def test_fifty_random_patterns_against_slsqp_with_thirty_starts() -> None:
    draw = np.random.default_rng(3)
    for case in cases(50):
        found = register(case.p, case.q, case.slack, case.p_slots, case.q_slots)
        assert found.t_star == pytest.approx(by_slsqp(case, draw), abs=1e-6)
        # what is returned is what the definition makes of the transform returned
        again = misfit(case, math.radians(found.angle), found.shift)[0]
        assert found.misfit == pytest.approx(again, abs=1e-9)


def test_linear_programs_over_polygons_agree_to_what_a_polygon_can() -> None:
    case = next(cases(1, seed=2))
    assert register(case.p, case.q, case.slack).t_star == pytest.approx(
        by_linprog(case.p, case.q, case.slack), abs=1e-3
    )


lengths = st.floats(50, 500)
slacks = st.floats(-0.5, 2.0)


@given(lengths, st.floats(-4, 4), slacks, slacks)
def test_two_holes_in_closed_form(pitch: float, longer: float, s1: float, s2: float) -> None:
    found = register([(0, 0), (pitch + longer, 0)], [(3, 1), (3, 1 + pitch)], [s1, s2])
    # closed form with its floor, as the reference gives it (computed)
    assert found.t_star == pytest.approx(max((abs(longer) - s1 - s2) / 2, -min(s1, s2)), abs=2 * TOLERANCE)


@st.composite
def patterns(draw: st.DrawFn) -> Case:
    seed, holes = draw(st.integers(0, 10**6)), draw(st.integers(2, 8))
    random = np.random.default_rng(seed)
    q = random.uniform(-210, 210, (holes, 2))
    return Case(q + random.normal(0, 0.7, (holes, 2)), q, random.uniform(0.1, 1.5, holes))


@given(patterns(), st.floats(-1, 1))
def test_slack_added_everywhere_is_taken_from_t_star(case: Case, more: float) -> None:
    before, after = register(case.p, case.q, case.slack), register(case.p, case.q, case.slack + more)
    assert after.t_star == pytest.approx(before.t_star - more, abs=3 * TOLERANCE)


@given(patterns(), st.floats(-3.1, 3.1), st.floats(-900, 900))
def test_moving_the_frame_changes_nothing(case: Case, angle: float, away: float) -> None:
    slots = np.zeros_like(case.q)
    slots[0] = (2.0, 1.0)
    before = register(case.p, case.q, case.slack, q_slots=slots)
    after = register(case.p, turned(case.q, angle) + np.array([away, 7.0]), case.slack, q_slots=turned(slots, angle))
    assert after.t_star == pytest.approx(before.t_star, abs=3 * TOLERANCE)


@given(patterns())
def test_more_slack_or_a_slot_never_makes_it_worse(case: Case) -> None:
    before = register(case.p, case.q, case.slack).t_star
    larger, slots = case.slack.copy(), np.zeros_like(case.q)
    larger[0] += 0.4
    slots[-1] = (1.5, 0.5)
    assert register(case.p, case.q, larger).t_star <= before + 2 * TOLERANCE
    assert register(case.p, case.q, case.slack, q_slots=slots).t_star <= before + 2 * TOLERANCE
    assert before >= -case.slack.min() - 1e-12


@given(patterns(), st.floats(-3.1, 3.1), st.floats(-2, 2), st.floats(-2, 2))
def test_no_other_transform_does_better(case: Case, angle: float, x: float, y: float) -> None:
    found = register(case.p, case.q, case.slack)
    for turn in (angle, math.radians(found.angle) + angle / 500):
        shift = case.q.mean(0) - turned(case.p.mean(0)[None], turn)[0] + (x, y)
        assert misfit(case, turn, shift)[0].max() >= found.t_star - 2 * TOLERANCE


def test_patterns_that_are_nothing_alike_are_still_searched_all_round() -> None:
    draw = np.random.default_rng(4)
    for _ in range(3):
        p, q = draw.uniform(-100, 100, (2, 4, 2))
        slack = draw.uniform(0.2, 1.0, 4)
        found = float(register(p, q, slack).t_star)
        case = Case(p, q, slack)
        least = math.inf
        for turn in np.linspace(-math.pi, math.pi, 181):
            middle = q.mean(0) - turned(p.mean(0)[None], turn)[0]
            least = min(
                least, *(float(misfit(case, turn, middle + step)[0].max()) for step in draw.normal(0, 20, (40, 2)))
            )
        assert found <= least + TOLERANCE
        assert found <= by_slsqp(case, draw, starts=10) + 1e-6


def test_a_mirror_image_does_not_register() -> None:
    other = np.array(R4_FRAME) * (1, -1)
    assert register(R4_FRAME, R4_FRAME, 0.5).t_star == pytest.approx(-0.5, abs=TOLERANCE)
    assert register(other, R4_FRAME, 0.5).t_star > 20


def test_equal_patterns_have_the_least_slack_for_room() -> None:
    for holes in (FRAME, R4_FRAME, [(0, 0), (100, 0), (200, 0), (300, 0)]):
        slack = [0.3 + 0.2 * hole for hole in range(len(holes))]
        assert register(holes, holes, slack).t_star == pytest.approx(-0.3, abs=TOLERANCE)


def test_slots_on_both_sides_of_the_pitch_and_along_one_another() -> None:
    # two slots of half length 1 and 2 along the pitch take up 3 mm of it, and no more (geometry)
    for longer, wanting in ((2.5, -0.5), (3.0, -0.5), (5.0, 0.5)):
        found = register(
            [(0, 0), (400 + longer, 0)], [(0, 0), (400, 0)], 0.5, [(0, 0), (2, 0)], [(1, 0), (0, 0)]
        )  # fmt: skip
        assert found.t_star == pytest.approx(wanting, abs=2 * TOLERANCE)


def test_slots_on_both_sides_turn_against_each_other() -> None:
    draw = np.random.default_rng(0)
    for holes in (2, 3, 4, 5, 2, 3):
        q = draw.uniform(-210, 210, (holes, 2))
        p, slack = q + draw.normal(0, 2.5, (holes, 2)), draw.uniform(0.1, 0.6, holes)
        first, second = draw.permutation(holes)[:2]
        ways = draw.uniform(0, math.pi, 2)
        slots = np.zeros((2, holes, 2))
        for side, hole in enumerate((first, second)):
            slots[side, hole] = draw.uniform(2, 9) * np.array([math.cos(ways[side]), math.sin(ways[side])])
        # the last one comes out 3e-5 mm high where the bounds forget that a turning slot gives way
        found = register(p, q, slack, *slots)
        assert found.t_star <= by_slsqp(Case(p, q, slack, *slots), np.random.default_rng(1)) + 1e-6


def test_one_case_takes_the_same_road_as_many() -> None:
    made = [case for case in cases(40, seed=9) if len(case.p) == 4]
    many = register(*(np.stack([getattr(case, name) for case in made]) for name in ("p", "q", "slack")))
    assert many.t_star.shape == (len(made),)
    assert many.shift.shape == (len(made), 2)
    assert many.misfit.shape == (len(made), 4)
    for index, case in enumerate(made):
        one = register(case.p, case.q, case.slack)
        assert one.t_star == many.t_star[index]
        assert one.shift == pytest.approx(many.shift[index], abs=0)
    assert register(np.stack([made[0].p] * 3).reshape(3, 1, 4, 2), made[0].q, 0.5).t_star.shape == (3, 1)


def test_least_squares_undoes_a_turn_and_a_shift() -> None:
    p = np.array(R5, dtype=float)
    angle, shift = least_squares(p, turned(p, 0.3) + np.array([5.0, -2.0]))
    assert angle == pytest.approx(0.3)
    assert shift == pytest.approx([5.0, -2.0])


@given(st.integers(0, 10_000), st.integers(2, 5), st.floats(0.0, 2.0))
def test_pitches_alone_bound_the_registration(seed: int, holes: int, room: float) -> None:
    draw = np.random.default_rng(seed)
    p, q = draw.uniform(-100, 100, (2, holes, 2))
    slack = np.full(holes, room)
    assert pattern_pair._least(p, q, slack) <= float(register(p, q, slack).t_star) + 1e-6
