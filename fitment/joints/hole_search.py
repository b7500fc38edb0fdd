"""The least level of many registrations, proved for the full circle of turns.

What `hole_cones` finds near the least-squares turn is proved by its dual. Let y_i, w_i be any with |y_i| <= w_i,
sum w_i = 1, sum y_i = 0, and take plane vectors as complex numbers. For every turn a and shift t the level is at least
sum w_i |e^ia p_i + t - q_i| - sum w_i s_i >= |e^ia P - Q| - sum w_i s_i >= ||P| - |Q|| - sum w_i s_i
with P = sum conj(y_i) p_i and Q = sum conj(y_i) q_i (own derivation: for two holes, the difference of their pitches).
At a least, where P and Q are real and differ by D > 0, it meets the level found unless 0 < P < D, which is rare: P is
as long as the pattern, D as what is amiss. A slot on q, along which Q may move, leaves it lower where P > 0 as well.
Those cases, and any whose nearest least is not the lowest, are searched.

The search: where the shift is best for one turn, the same dual bounds the level at every other turn a by
L = sum y_i·(R p_i - q_i) - sum (|y_i·a_i| + w_i s_i), which is a cos + b sin + c of the turn. An interval of turns is
split where the bounds of its two ends cross and left out once they stay within `TOLERANCE` of the best level found. The
full circle is searched, but for turns at which two holes alone would be further off than the best.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from itertools import combinations, repeat
from typing import TYPE_CHECKING, Any

from fitment.joints.hole_cones import Best, Slots, bring_together
from fitment.joints.hole_threes import bound_by_threes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: mm by which the level returned may lie above the least; a thousandth of what a calliper shows is far above
TOLERANCE = 1e-7

#: radians below which an interval is not split: rounding
_FINEST = 1e-13

#: rounds of splitting; five are usual, unequal patterns on the full circle need about forty
_ROUNDS = 300


@dataclass
class _Intervals:
    """Turns still to be searched: `case` (k,), ends `low`, `high` (k,), their bounds (k, 4) as cos, sin, 1, loss."""

    case: NDArray[np.intp]
    low: Floats
    high: Floats
    at_low: Floats
    at_high: Floats

    def __getitem__(self, chosen: Any) -> _Intervals:
        return _Intervals(
            self.case[chosen], self.low[chosen], self.high[chosen], self.at_low[chosen], self.at_high[chosen]
        )


class Search:
    """The search of m cases.

    `p`, `q` (m, n, 2) are taken about their own middles, `p` turned near to `q`; `slack` (m, n); `on_p`, `on_q` half
    slots (m, n, 2) or None, `on_p` turned with `p`. Turns are counted from there. After `solve`, `angle` (m,) and
    `shift` (m, 2) are the best and `best` (m,) the level there.
    """

    def __init__(self, p: Floats, q: Floats, slack: Floats, on_p: Floats | None, on_q: Floats | None):
        import numpy as np

        self.p, self.q, self.slack, self.on_p, self.on_q = p, q, slack, on_p, on_q
        self.length = np.zeros_like(slack)
        for half in (on_p, on_q):
            if half is not None:
                self.length = self.length + np.hypot(half[..., 0], half[..., 1])
        self.slotted = tuple(int(hole) for hole in np.flatnonzero((self.length > 0).any(axis=0)))
        self.best = np.full(len(p), np.inf)
        self.angle, self.shift = np.zeros(len(p)), np.zeros((len(p), 2))

    def solve(self) -> None:
        """Near the least-squares turn, and where that is not proved the lowest, all round."""
        import numpy as np

        everyone = np.arange(len(self.p))
        found = self._together(everyone, np.zeros(len(self.p)), free=True)
        self.angle, self.shift = found.turn, found.shift.T.copy()
        self.best = self._misfit(everyone, self.angle, self.shift).max(axis=1)
        self.weight = found.weight.T
        rest = np.flatnonzero(~(self._proof(everyone, found) >= self.best - TOLERANCE))
        if rest.size:
            few = Best(*(getattr(found, one.name)[..., rest] for one in fields(found)))
            self._all_round(rest, self._bound(rest, few.turn, few))

    def misfit(self) -> Floats:
        """Distance less slack of every hole (m, n) at the best."""
        import numpy as np

        return self._misfit(np.arange(len(self.p)), self.angle, self.shift)

    def _misfit(self, case: NDArray[np.intp], angle: Floats, shift: Floats) -> Floats:
        import numpy as np

        apart = turned(self.p[case], angle[:, None]) + shift[:, None] - self.q[case]
        halves = self._half(case, angle) if self.slotted else apart
        for hole in self.slotted:
            half = halves[:, hole]
            along = np.sum(apart[:, hole] * half, axis=1) / np.maximum(np.sum(half * half, axis=1), 1e-300)
            apart[:, hole] -= np.clip(along, -1.0, 1.0)[:, None] * half
        return np.hypot(apart[..., 0], apart[..., 1]) - self.slack[case]

    def _half(self, case: NDArray[np.intp], angle: Floats) -> Floats:
        """Half slots (k, n, 2) at these turns."""
        import numpy as np

        half = np.zeros_like(self.p[case]) if self.on_q is None else self.on_q[case]
        return half if self.on_p is None else half + turned(self.on_p[case], angle[:, None])

    def _together(self, case: NDArray[np.intp], angle: Floats, free: bool) -> Best:
        """The best shift of these cases turned by these angles; where `free`, the best turn from there as well."""
        import numpy as np

        p, q, slots = turned(self.p[case], angle[:, None]), self.q[case], list(self.slotted)
        half = self._half(case, angle)[:, slots]
        sense = np.zeros(half.shape[:2])
        if free:
            sense -= 1.0
            if self.on_p is not None:
                sense += 2.0 * np.any(self.on_p[case][:, slots] != 0, axis=2)
        lever = p + q if free else np.zeros_like(p)
        apart, lever, slack, half, sense = (
            np.ascontiguousarray(one.T) for one in (p - q, lever, self.slack[case], half, sense)
        )
        return bring_together(apart, lever, slack, Slots(self.slotted, half, sense))

    def _proof(self, case: NDArray[np.intp], found: Best) -> Floats:
        """The bound (k,) that holds at every turn."""
        import numpy as np

        angle, pull = found.turn, found.pull.T
        least, most = [], []
        for points, half in ((turned(self.p[case], angle[:, None]), self.on_p), (self.q[case], self.on_q)):
            lengths = abs(np.stack(_product(pull, points)).sum(axis=-1))
            give = np.zeros_like(lengths)
            if half is not None:
                half = half[case] if half is self.on_q else turned(half[case], angle[:, None])
                give = abs(np.stack(_product(pull, half))).sum(axis=-1)
            least.append(np.hypot(*np.maximum(lengths - give, 0.0)))
            most.append(np.hypot(*(lengths + give)))
        bound = np.maximum(least[0] - most[1], least[1] - most[0])
        return np.asarray(bound - np.sum(found.weight.T * self.slack[case], axis=1))

    def _bound(self, case: NDArray[np.intp], angle: Floats, found: Best) -> Floats:
        """The bounds (k, 4) at other turns, from what was found at these."""
        import numpy as np

        pull = found.pull.T
        cosine, sine = (one.sum(axis=1) for one in _product(pull, self.p[case]))
        rest = np.sum(pull * self.q[case], axis=(1, 2)) + np.sum(found.weight.T * self.slack[case], axis=1)
        loss = np.zeros(len(case))
        if self.slotted:
            rest = rest + abs(np.sum(pull * self._half(case, angle), axis=2)).sum(axis=1)
        if self.on_p is not None:  # a slot that turns may give way by this much per radian
            loss = np.sum(np.hypot(*np.moveaxis(pull, -1, 0)) * np.hypot(*np.moveaxis(self.on_p[case], -1, 0)), axis=1)
        return np.stack((cosine, -sine, -rest, loss), axis=1)

    def _look(self, case: NDArray[np.intp], angle: Floats) -> Floats:
        """Solves these cases at these turns, keeps what is better, and returns the bounds (k, 4)."""
        import numpy as np

        found = self._together(case, angle, free=False)
        level = self._misfit(case, angle, found.shift.T).max(axis=1)
        order = np.lexsort((level, case))
        first = order[np.unique(case[order], return_index=True)[1]]
        better = first[level[first] < self.best[case[first]]]
        self.best[case[better]] = level[better]
        self.angle[case[better]], self.shift[case[better]] = angle[better], found.shift.T[better]
        return self._bound(case, angle, found)

    def _look_at_threes(self, case: NDArray[np.intp], angle: Floats) -> Floats:
        """The bounds (k, 4) at these turns by three of the four holes that bind most at the best."""
        import numpy as np

        order = np.argsort(-self.weight[case], axis=1)[:, :4]
        p, half = turned(self.p[case], angle[:, None]), self._half(case, angle)
        apart, half = (np.take_along_axis(one, order[..., None], axis=1).T for one in (p - self.q[case], half))
        slack = np.take_along_axis(self.slack[case], order, axis=1).T
        some, share = bound_by_threes(apart, half, slack, self.shift[case].T)
        pull, weight = np.zeros_like(p), np.zeros_like(self.slack[case])
        np.put_along_axis(pull, order[..., None], some.T, axis=1)
        np.put_along_axis(weight, order, share.T, axis=1)
        return self._bound(case, angle, Best(angle, self.shift[case].T, pull.T, weight.T))

    def _all_round(self, case: NDArray[np.intp], bound: Floats) -> None:
        """Searches these cases; `bound` (k, 4) is what is known at their best turns."""
        import numpy as np

        best = self.angle[case]
        low, high = self._window(case)
        sides = _joined(_between(case, low, bound, best, bound), _between(case, high, bound, best, bound))
        sides = sides[_lowest(sides)[0] < self.best[sides.case] - TOLERANCE]
        best, bound, case = self.angle[sides.case], sides.at_low, sides.case
        far = np.where(sides.high == best, sides.low, sides.high)
        # the bound at the best turn holds as far as this, and from there on the level mostly rises steeply enough
        falls = np.maximum(bound[:, 0] * np.cos(best) + bound[:, 1] * np.sin(best), 1e-300)
        near = best + np.sign(far - best) * np.minimum(np.sqrt(6 * TOLERANCE / falls), abs(far - best) / 2)
        at = self._look_at_threes(np.concatenate((case, case)), np.concatenate((near, far)))
        at_near, at_far = at[: len(case)], at[len(case) :]
        waiting = _joined(_between(case, best, bound, near, at_near), _between(case, near, at_near, far, at_far))
        for look in (self._look_at_threes, *repeat(self._look, _ROUNDS)):
            lowest, at = _lowest(waiting)
            open_still = (lowest < self.best[waiting.case] - TOLERANCE) & (waiting.high - waiting.low > _FINEST)
            waiting, at = waiting[open_still], at[open_still]
            if not len(at):
                break
            found = look(waiting.case, at)
            waiting = _joined(
                _between(waiting.case, waiting.low, waiting.at_low, at, found),
                _between(waiting.case, at, found, waiting.high, waiting.at_high),
            )

    def _window(self, case: NDArray[np.intp]) -> tuple[Floats, Floats]:
        """Turns (k,) either side of the best beyond which two holes alone are further off than the best."""
        import numpy as np

        low, high = np.full(len(case), -np.pi), np.full(len(case), np.pi)
        p, q, room = self.p[case], self.q[case], self.slack[case] + self.length[case]
        for a, b in combinations(range(self.slack.shape[1]), 2):
            one, other = p[:, b] - p[:, a], q[:, b] - q[:, a]
            reach = 2 * self.best[case] + room[:, a] + room[:, b]
            along, across = _product(one, other)
            turn = np.arctan2(across, along)
            squares, product = np.sum(one**2 + other**2, axis=1), np.hypot(*one.T) * np.hypot(*other.T)
            with np.errstate(all="ignore"):
                wide = np.arccos(np.clip((squares - np.maximum(reach, 0.0) ** 2) / (2 * product), -1.0, 1.0)) + 1e-9
            narrow = wide < np.pi / 2  # wider ones may hold in two pieces of the circle, and are left alone
            low = np.where(narrow, np.maximum(low, turn - wide), low)
            high = np.where(narrow, np.minimum(high, turn + wide), high)
        return np.minimum(low, self.angle[case]), np.maximum(high, self.angle[case])


def turned(points: Floats, angle: Floats) -> Floats:
    """Points (..., 2) turned about the origin by angles (...), radians."""
    import numpy as np

    cosine, sine = np.cos(angle), np.sin(angle)
    x, y = points[..., 0], points[..., 1]
    return np.stack((cosine * x - sine * y, sine * x + cosine * y), axis=-1)


def _product(one: Floats, other: Floats) -> tuple[Floats, Floats]:
    """x x' + y y' and x y' - y x': conj(one) times other, as complex numbers."""
    x, y, more_x, more_y = one[..., 0], one[..., 1], other[..., 0], other[..., 1]
    return x * more_x + y * more_y, x * more_y - y * more_x


def _between(case: NDArray[np.intp], one: Floats, at_one: Floats, other: Floats, at_other: Floats) -> _Intervals:
    """The intervals between two turns, either of which may be the lower."""
    import numpy as np

    up = one <= other
    ends = np.where(up[:, None], at_one, at_other), np.where(up[:, None], at_other, at_one)
    return _Intervals(case, np.minimum(one, other), np.maximum(one, other), *ends)


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
