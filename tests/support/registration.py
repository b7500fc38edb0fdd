"""Random hole patterns, invented, and two other ways to register them, for tests and benchmarks. Needs scipy."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import linprog, minimize

STARTS = 30


@dataclass(frozen=True)
class Case:
    """Holes p, q (n, 2), slack (n,), half slots (n, 2) or None; mm."""

    p: Any
    q: Any
    slack: Any
    p_slots: Any = None
    q_slots: Any = None


def cases(count: int, seed: int = 7) -> Iterator[Case]:
    """Two to eight holes in turn, off by about a millimetre, turned and shifted; every third one has a slot or two."""
    draw = np.random.default_rng(seed)
    for number in range(count):
        holes = 2 + number % 7
        base = draw.uniform(-210, 210, (holes, 2))
        p = turned(base, draw.normal(0, 0.5)) + draw.uniform(-50, 50, 2) + draw.normal(0, 0.6, (holes, 2))
        q, slack = base + draw.normal(0, 0.6, (holes, 2)), draw.uniform(0.1, 1.2, holes)
        slots: list[Any] = [None, None]
        if number % 3 == 2:
            picked = draw.permutation(holes)
            for side in ((1,), (0,), (0, 1))[number // 3 % 3]:
                way = draw.uniform(0, math.pi)
                slots[side] = np.zeros((holes, 2))
                slots[side][picked[side]] = draw.uniform(0.5, 4) * np.array([math.cos(way), math.sin(way)])
        yield Case(p, q, slack, *slots)


def turned(points: Any, angle: float) -> Any:
    """Points (n, 2) turned by an angle in radians."""
    cosine, sine = math.cos(angle), math.sin(angle)
    return np.asarray(points) @ np.array([[cosine, sine], [-sine, cosine]])


def misfit(case: Case, angle: float, shift: Any) -> Any:
    """Distance less slack (n,), and the vector (n, 2) from the nearest point of the slots, by the definition."""
    apart = turned(case.p, angle) + shift - case.q
    for half in (case.q_slots, None if case.p_slots is None else turned(case.p_slots, angle)):
        if half is not None:
            along = (apart * half).sum(1) / np.maximum((half * half).sum(1), 1e-300)
            apart = apart - np.clip(along, -1, 1)[:, None] * half
    return np.hypot(apart[:, 0], apart[:, 1]) - case.slack, apart


def procrustes(case: Case) -> tuple[float, Any]:
    """Turn and shift of least squares."""
    own, there = case.p - case.p.mean(0), case.q - case.q.mean(0)
    angle = math.atan2((own[:, 0] * there[:, 1] - own[:, 1] * there[:, 0]).sum(), (own * there).sum())
    return angle, case.q.mean(0) - turned(case.p.mean(0)[None], angle)[0]


def by_slsqp(case: Case, draw: np.random.Generator, starts: int = STARTS) -> float:
    """t* by SLSQP on the epigraph, the best of many starts about the least-squares transform; mm."""
    middle = case.p.mean(0)
    case = Case(case.p - middle, case.q, case.slack, case.p_slots, case.q_slots)
    size = np.hypot(*case.p.T).max()
    angle, shift = procrustes(case)

    def slopes(x: Any) -> Any:
        _, apart = misfit(case, x[0] / size, x[1:3])
        unit = apart / np.maximum(np.hypot(apart[:, 0], apart[:, 1]), 1e-12)[:, None]
        turning = turned(case.p, x[0] / size + math.pi / 2) / size
        if case.p_slots is not None:  # the nearest point of a turning slot turns with it
            nearest = turned(case.p, x[0] / size) + x[1:3] - case.q - apart
            turning = (
                turning - np.stack((-nearest[:, 1], nearest[:, 0]), 1) / size * (np.hypot(*case.p_slots.T) > 0)[:, None]
            )
        return np.stack((-(unit * turning).sum(1), -unit[:, 0], -unit[:, 1], np.ones(len(unit))), axis=1)

    best = math.inf
    for number in range(starts):
        x = np.array([angle * size, *shift, 0.0])
        if number:
            x[:3] += draw.normal(0, 0.2 if number % 2 else 2.0, 3)
        x[3] = misfit(case, x[0] / size, x[1:3])[0].max()
        room = {
            "type": "ineq",
            "fun": lambda x: x[3] - misfit(case, x[0] / size, x[1:3])[0],
            "jac": slopes,
        }
        found = minimize(
            lambda x: x[3],
            x,
            jac=lambda x: np.array([0.0, 0.0, 0.0, 1.0]),
            constraints=room,
            method="SLSQP",
            options={"maxiter": 300, "ftol": 1e-14},
        )
        best = min(best, float(misfit(case, found.x[0] / size, found.x[1:3])[0].max()))
    return best


def by_linprog(p: Any, q: Any, slack: Any, sides: int = 360) -> float:
    """t* of round holes by linear programs: circles as polygons, golden section in the angle to 1e-6 mm; mm."""
    case = Case(p, q, slack)
    ways = np.arange(sides) * 2 * math.pi / sides
    units = np.stack((np.cos(ways), np.sin(ways)), axis=1)
    start, _ = procrustes(case)
    size = np.hypot(*(p - p.mean(0)).T).max()
    rows = np.concatenate((np.tile(units, (len(p), 1)), -np.ones((len(p) * sides, 1))), axis=1)

    def at(angle: float) -> float:
        base = turned(p, angle) - q
        limits = np.concatenate([room - units @ own for own, room in zip(base, slack, strict=True)])
        found = linprog([0, 0, 1], A_ub=rows, b_ub=limits, bounds=[(None, None)] * 3, method="highs")
        return float(found.fun)

    low, high = start - 4 / size, start + 4 / size
    golden = (math.sqrt(5) - 1) / 2
    one, other = high - golden * (high - low), low + golden * (high - low)
    value, second = at(one), at(other)
    while (high - low) * size > 1e-6:
        if value < second:
            high, other, second = other, one, value
            one = high - golden * (high - low)
            value = at(one)
        else:
            low, one, value = one, other, second
            other = low + golden * (high - low)
            second = at(other)
    return min(value, second)
