"""Registration of two hole patterns: the turn and shift at which bolts pass, and what is wanting to it.

t* = min over angle and shift t of max over i of (|R p_i + t - q_i| - s_i): bolts go in where it is not above zero, -t*
is the margin, and adding the same slack to every hole takes as much from t*. For a slot the distance is that to its
centre-line. No mirror image is allowed. (Own formulation; the parts of it are textbook convex optimisation.)

The search is global. Where the shift is best for one angle, `hole_shift` proves it by weights w_i and unit vectors u_i;
they bound t* at every other angle too, by L = sum w_i u_i·(R p_i - q_i) - sum w_i (|u_i·a_i| + s_i), which is a
cos + b sin + c of the angle. An interval of angles is split where the bounds of its two ends cross and left out once
they stay within `TOLERANCE` of the best value found. The full circle of angles is searched, but for those at which two
holes alone would be further off than the least-squares angle (Procrustes) already reaches.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any

from fitment.joints.hole_shift import Holes, Least

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: mm by which the t* returned may lie above the least; a thousandth of what a calliper shows is far below
TOLERANCE = 1e-7

#: cases worked at once, so that the arrays stay in the processor's cache
_AT_ONCE = 2048

#: radians below which an interval is not split: rounding
_FINEST = 1e-13

#: rounds of splitting; sound cases need about fifteen, unequal patterns on the full circle about forty
_ROUNDS = 300


@dataclass(frozen=True)
class Registration:
    """The best registration of each case; for inputs of shape (..., n, 2) the fields have these shapes.

    Attributes:
        t_star: (...) what is wanting, mm; below zero there is room.
        angle: (...) turn of the first pattern, anticlockwise, degrees.
        shift: (..., 2) shift after turning about its origin, mm. With two holes, or room on all sides, other turns and
            shifts do as well: compare `t_star`.
        misfit: (..., n) distance less slack of every hole there, mm; the worst is `t_star`.
    """

    t_star: Any
    angle: Any
    shift: Any
    misfit: Any

    @property
    def worst(self) -> tuple[int, ...]:
        """Of a single case: which holes bind, counted from 0."""
        return tuple(hole for hole, misfit in enumerate(self.misfit) if misfit > self.t_star - 1e-5)


def register(p: Any, q: Any, slack: Any, p_slots: Any = None, q_slots: Any = None) -> Registration:
    """The turn and shift of `p` onto `q` at which the hole that fits worst fits best.

    Args:
        p, q: holes of the two patterns in the order in which they meet, (..., n, 2), mm; n from 2 up.
        slack: how far the axes may be apart, (..., n) or whatever broadcasts to it, mm; negative where a hole is too
            small.
        p_slots, q_slots: half of each slot as a vector along it, turning with its own pattern; (..., n, 2), mm, zero
            for round holes. None where there is no slot.

    One case takes the same road as a million.
    """
    import numpy as np

    shape = np.broadcast_shapes(np.shape(p), np.shape(q), (*np.shape(slack), 2))
    cases = (-1, *shape[-2:])
    room = np.broadcast_to(np.asarray(slack, dtype=float), shape[:-1]).reshape(-1, shape[-2])
    first, second, on_p, on_q = (
        None if one is None else np.broadcast_to(np.asarray(one, dtype=float), shape).reshape(cases)
        for one in (p, q, p_slots, q_slots)
    )
    assert first is not None
    assert second is not None
    parts = []
    for start in range(0, len(room), _AT_ONCE):
        cut = slice(start, start + _AT_ONCE)
        slots_p, slots_q = (None if one is None else one[cut] for one in (on_p, on_q))
        if slots_q is None and slots_p is not None:  # bounds are sharpest for slots that stand still
            parts.append(_turned_back(_Search(second[cut], first[cut], room[cut], None, slots_p).solved()))
        else:
            parts.append(_Search(first[cut], second[cut], room[cut], slots_p, slots_q).solved())
    t_star, angle, shift, misfit = (np.concatenate(column) for column in zip(*parts, strict=True))
    outer = shape[:-2]
    return Registration(
        t_star.reshape(outer)[()],
        np.degrees(angle).reshape(outer)[()],
        shift.reshape(*outer, 2),
        misfit.reshape(*outer, shape[-2]),
    )


def misfit_at(p: Any, q: Any, slack: Any, angle: Any, shift: Any, p_slots: Any = None, q_slots: Any = None) -> Any:
    """Distance less slack of every hole (..., n), mm, for a given turn (...) in degrees and shift (..., 2).

    Args:
        p, q, slack, p_slots, q_slots: as of `register`.
    """
    import numpy as np

    turn = np.radians(np.asarray(angle, dtype=float))[..., None]
    apart = turned(np.asarray(p, dtype=float), turn) + np.asarray(shift)[..., None, :] - np.asarray(q, dtype=float)
    for half in (q_slots, None if p_slots is None else turned(np.asarray(p_slots, dtype=float), turn)):
        if half is not None:
            along = np.sum(apart * half, axis=-1) / np.maximum(np.sum(half * half, axis=-1), 1e-300)
            apart = apart - np.clip(along, -1.0, 1.0)[..., None] * half
    return np.hypot(apart[..., 0], apart[..., 1]) - slack


def least_squares(p: Any, q: Any) -> tuple[Any, Any]:
    """The turn (...) in radians and the shift (..., 2) at which the squares of the distances sum least (Procrustes)."""
    import numpy as np

    first, second = np.asarray(p, dtype=float), np.asarray(q, dtype=float)
    middle, other = first.mean(axis=-2), second.mean(axis=-2)
    own, there = first - middle[..., None, :], second - other[..., None, :]
    across = own[..., 0] * there[..., 1] - own[..., 1] * there[..., 0]
    angle = np.arctan2(across.sum(axis=-1), (own * there).sum(axis=(-2, -1)))
    return angle, other - turned(middle, angle)


def turned(points: Floats, angle: Floats) -> Floats:
    """Points (..., 2) turned about the origin by angles (...), radians."""
    import numpy as np

    cosine, sine = np.cos(angle), np.sin(angle)
    x, y = points[..., 0], points[..., 1]
    return np.stack((cosine * x - sine * y, sine * x + cosine * y), axis=-1)


_Solved = tuple["Floats", "Floats", "Floats", "Floats"]


def _turned_back(solved: _Solved) -> _Solved:
    """The transform of the first pattern onto the second, from that of the second onto the first."""
    t_star, angle, shift, misfit = solved
    return t_star, -angle, -turned(shift, -angle), misfit


@dataclass
class _Intervals:
    """Angles still to be searched: `case` (k,), ends `low`, `high` (k,), their bounds (k, 4) as cos, sin, 1, loss."""

    case: NDArray[np.intp]
    low: Floats
    high: Floats
    at_low: Floats
    at_high: Floats

    def __getitem__(self, chosen: Any) -> _Intervals:
        return _Intervals(
            self.case[chosen], self.low[chosen], self.high[chosen], self.at_low[chosen], self.at_high[chosen]
        )


class _Search:
    """The search of m cases: `p`, `q` (m, n, 2), `slack` (m, n), half slots (m, n, 2) or None."""

    def __init__(self, p: Floats, q: Floats, slack: Floats, on_p: Floats | None, on_q: Floats | None):
        import numpy as np

        self.slack, self.on_q = slack, on_q
        self.middle_p, self.middle_q = p.mean(axis=1), q.mean(axis=1)
        self.start, _ = least_squares(p, q)
        turn = self.start[:, None]
        self.p, self.q = turned(p - self.middle_p[:, None], turn), q - self.middle_q[:, None]
        self.on_p = None if on_p is None else turned(on_p, turn)
        length = np.zeros_like(slack)
        for half in (on_p, on_q):
            length = length if half is None else length + np.hypot(half[..., 0], half[..., 1])
        self.length = length
        self.slotted = tuple(int(hole) for hole in np.flatnonzero((length > 0).any(axis=0)))
        self.best = np.full(len(p), np.inf)
        self.angle, self.shift = np.zeros(len(p)), np.zeros((len(p), 2))

    def solved(self) -> _Solved:
        """t* (m,), angle (m,) in radians, shift (m, 2) and misfits (m, n)."""
        import numpy as np

        everyone = np.arange(len(self.p))
        middle = self._look(everyone, np.zeros(len(self.p)))
        low, high = self._window()
        left = _Intervals(everyone, low, np.zeros_like(low), self._look(everyone, low), middle)
        right = _Intervals(everyone, np.zeros_like(high), high, middle, self._look(everyone, high))
        waiting = _joined(left, right)
        for _ in range(_ROUNDS):
            bound, at = _lowest(waiting)
            open_still = (bound < self.best[waiting.case] - TOLERANCE) & (waiting.high - waiting.low > _FINEST)
            waiting, at = waiting[open_still], at[open_still]
            if not len(at):
                break
            found = self._look(waiting.case, at)
            waiting = _joined(
                _Intervals(waiting.case, waiting.low, at, waiting.at_low, found),
                _Intervals(waiting.case, at, waiting.high, found, waiting.at_high),
            )
        misfit = self._holes(everyone, self.angle).misfit(self.shift[:, None, :])[:, 0, :]
        angle = self.start + self.angle
        shift = self.shift + self.middle_q - turned(self.middle_p, angle)
        return misfit.max(axis=1), angle, shift, misfit

    def _holes(self, case: NDArray[np.intp], angle: Floats) -> Holes:
        half = None if self.on_q is None else self.on_q[case]
        if self.on_p is not None:
            turning = turned(self.on_p[case], angle[:, None])
            half = turning if half is None else half + turning
        return Holes(self.q[case] - turned(self.p[case], angle[:, None]), self.slack[case], half, self.slotted)

    def _look(self, case: NDArray[np.intp], angle: Floats) -> Floats:
        """Solves these cases at these angles, keeps what is better, and returns the bounds (k, 4)."""
        import numpy as np

        holes = self._holes(case, angle)
        least = holes.least()
        order = np.lexsort((least.wanting, case))
        first = order[np.unique(case[order], return_index=True)[1]]
        better = first[least.wanting[first] < self.best[case[first]]]
        self.best[case[better]] = least.wanting[better]
        self.angle[case[better]], self.shift[case[better]] = angle[better], least.at[better]
        return self._bound(case, holes, least)

    def _bound(self, case: NDArray[np.intp], holes: Holes, least: Least) -> Floats:
        import numpy as np

        p, pull = self.p[case], least.pull
        cosine = np.sum(pull * p, axis=(1, 2))
        sine = np.sum(pull[..., 1] * p[..., 0] - pull[..., 0] * p[..., 1], axis=1)
        rest = np.sum(pull * self.q[case], axis=(1, 2)) + np.sum(least.weight * holes.slack, axis=1)
        if holes.half is not None:
            rest = rest + np.abs(np.sum(pull * holes.half, axis=2)).sum(axis=1)
        loss = np.zeros(len(case))
        if self.on_p is not None:  # a slot that turns may give way by this much per radian
            loss = np.sum(np.hypot(pull[..., 0], pull[..., 1]) * np.hypot(*np.moveaxis(self.on_p[case], -1, 0)), axis=1)
        return np.stack((cosine, sine, -rest, loss), axis=1)

    def _window(self) -> tuple[Floats, Floats]:
        """Angles (m,) either side of zero beyond which two holes alone are further off than the best so far."""
        import numpy as np

        low, high = np.full(len(self.p), -np.pi), np.full(len(self.p), np.pi)
        for a, b in combinations(range(self.slack.shape[1]), 2):
            one, other = self.p[:, b] - self.p[:, a], self.q[:, b] - self.q[:, a]
            reach = 2 * self.best + self.slack[:, a] + self.slack[:, b] + self.length[:, a] + self.length[:, b]
            dot = one[:, 0] * other[:, 0] + one[:, 1] * other[:, 1]
            turn = np.arctan2(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0], dot)
            squares, product = np.sum(one**2 + other**2, axis=1), np.hypot(*one.T) * np.hypot(*other.T)
            with np.errstate(all="ignore"):
                wide = np.arccos(np.clip((squares - np.maximum(reach, 0.0) ** 2) / (2 * product), -1.0, 1.0)) + 1e-9
            narrow = wide < np.pi / 2  # wider ones may hold in two pieces of the circle, and are left alone
            low = np.where(narrow, np.maximum(low, turn - wide), low)
            high = np.where(narrow, np.minimum(high, turn + wide), high)
        return np.minimum(low, 0.0), np.maximum(high, 0.0)


def _joined(one: _Intervals, other: _Intervals) -> _Intervals:
    import numpy as np

    return _Intervals(
        *(np.concatenate((getattr(one, name), getattr(other, name))) for name in _Intervals.__dataclass_fields__)
    )


def _lowest(waiting: _Intervals) -> tuple[Floats, Floats]:
    """The least (k,) that the bounds of both ends allow within each interval, and at which angle (k,).

    It lies at an end, where the bounds cross, or where one of them has its own least.
    """
    import numpy as np

    width = (waiting.high - waiting.low)[:, None]
    ends = [bound - bound[:, 3:] * [0.0, 0.0, 1.0, 0.0] * width for bound in (waiting.at_low, waiting.at_high)]

    def over(angle: Floats) -> Floats:
        return np.maximum(*(end[:, 0] * np.cos(angle) + end[:, 1] * np.sin(angle) + end[:, 2] for end in ends))

    apart = ends[0] - ends[1]
    size, lead = np.hypot(apart[:, 0], apart[:, 1]), np.arctan2(apart[:, 1], apart[:, 0])
    with np.errstate(all="ignore"):
        aside = np.arccos(np.clip(-apart[:, 2] / size, -1.0, 1.0))
    middle = (waiting.low + waiting.high) / 2
    angles = [lead + aside, lead - aside, *(np.arctan2(end[:, 1], end[:, 0]) + np.pi for end in ends)]
    angles = [middle + (angle - middle + np.pi) % (2 * np.pi) - np.pi for angle in angles]
    places = np.stack([np.clip(np.nan_to_num(one), waiting.low, waiting.high) for one in angles], axis=1)
    places = np.concatenate((places, waiting.low[:, None], waiting.high[:, None]), axis=1)
    values = np.stack([over(place) for place in places.T], axis=1)
    best, row = values.argmin(axis=1), np.arange(len(values))
    at = places[row, best]
    return values[row, best], np.where((at > waiting.low) & (at < waiting.high), at, middle)
