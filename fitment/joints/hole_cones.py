"""The turn and shift that bring holes together, by an interior-point method on many cases at once, with its proof.

Half the turn is given to each pattern, against each other. With tau = tan(half the turn), hole i is then apart by
cos(half the turn) times |d_i + tau J m_i + t|, where d = p - q, m = p + q and J turns by a right angle (exact). But for
the cosine that is linear, so that the least level of |d_i + tau J m_i + t| - s_i is a second-order cone program with
one cone of three dimensions for each hole; a slot adds the place along it, between -1 and 1. Every step turns both
patterns by what it found: at the end tau is zero and the cosine one. (Own formulation; steps in `hole_step`.)

The dual has weights w_i and pulls y_i, |y_i| <= w_i, sum w_i = 1, sum y_i = 0: the proof. Bounds made of it
(`hole_search`) hold however near to the least the method came.

Arrays here end in holes, then cases: (3, n, m) for cones, (2, n, m) for vectors; lengths in mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from fitment.frozen import dataclass
from fitment.joints.hole_step import Move, Point, Step, inner, total

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: holes worked at once, so that the arrays stay in the processor's cache
_AT_ONCE = 16384

#: mm between the level found and the bound of its dual at which a case is finished
_NEAR = 1e-8

#: steps at most; seven or eight are usual
_STEPS = 30

#: part of the way to the boundary that a step goes
_SHY = 0.95

#: least part of the way back to the middle that is aimed at
_AIM = 0.03

#: part of a step below which no more is gained: rounding
_STUCK = 1e-3

#: radians by which the turn may change in one step, so that patterns nothing alike do not tumble
_LARGEST = 0.8


@dataclass(frozen=True)
class Slots:
    """The holes that may be slots.

    Attributes:
        holes: their numbers, the same in all cases.
        half: (2, k, m) half of each slot as a vector, zero for a round hole.
        sense: (k, m) 1 where the slot turns with p, -1 where with q.
    """

    holes: tuple[int, ...]
    half: Floats
    sense: Floats


@dataclass(frozen=True)
class Best:
    """The best of each case, with the dual as its proof.

    Attributes:
        turn: (m,) turn of p, radians.
        shift: (2, m) shift after turning.
        pull: (2, n, m) y_i, in the directions of q.
        weight: (n, m) w_i.
    """

    turn: Floats
    shift: Floats
    pull: Floats
    weight: Floats


class _State(NamedTuple):
    """Where the method stands: the point of the next step, and what led there.

    `size` (m,) is the unit of turn, mm of lever; `sense` as in `Slots`; `turn` (m,) and `shift` (2, m) are those done
    so far, `case` (m,) the numbers of the cases.
    """

    point: Point
    size: Floats
    sense: Floats
    turn: Floats
    shift: Floats
    case: NDArray[np.intp]

    def of(self, chosen: NDArray[np.bool_]) -> _State:
        """Some of the cases."""
        return _State(
            Point(*(one[..., chosen] for one in self.point)),
            size=self.size[chosen],
            sense=self.sense[:, chosen],
            turn=self.turn[chosen],
            shift=self.shift[:, chosen],
            case=self.case[chosen],
        )


def bring_together(apart: Floats, lever: Floats, slack: Floats, slots: Slots) -> Best:
    """The best turn and shift near those given.

    Args:
        apart: (2, n, m) p - q.
        lever: (2, n, m) p + q; zero where the turn is held.
        slack: (n, m).
        slots: which of the holes are slots.
    """
    import numpy as np

    holes, cases = slack.shape
    best = Best(np.zeros(cases), np.zeros((2, cases)), np.zeros_like(apart), np.zeros_like(slack))
    some = max(_AT_ONCE // holes, 1)
    for cut in (slice(first, first + some) for first in range(0, cases, some)):
        few = Slots(slots.holes, slots.half[..., cut], slots.sense[:, cut])
        state = _start(np.arange(cases)[cut], apart[..., cut], lever[..., cut], slack[:, cut], few)
        with np.errstate(all="ignore"):  # what rounding spoils is left behind
            _solve(state, slots.holes, best)
    return best


def _solve(state: _State, slotted: tuple[int, ...], best: Best) -> None:
    for _ in range(_STEPS):
        step = Step(state.point, slotted)
        after, length = _after(state, step.move(), step, slotted)
        sound = after.point.inside()
        finished = ~sound | (length < _STUCK) | (after.point.gap() < _NEAR)
        if finished.any():
            _keep(best, after.of(finished & sound))
            _keep(best, state.of(~sound))
            after = after.of(~finished)
        state = after
        if not state.case.size:
            return
    _keep(best, state)


def _start(case: NDArray[np.intp], apart: Floats, lever: Floats, slack: Floats, slots: Slots) -> _State:
    """Well inside the cones, no hole pulling yet."""
    import numpy as np

    holes, cases = slack.shape
    off = np.hypot(apart[0], apart[1])
    most = off.max(axis=0)
    level = (off - slack).max(axis=0) + most / 2 + 0.05
    dual = np.zeros((3, holes, cases))
    dual[0] = 1 / holes
    size = np.hypot(lever[0], lever[1]).max(axis=0)
    size = np.where(size > 0, size, 1.0)
    cone = np.concatenate(((level + slack)[None], apart))
    point = Point(
        *(cone, dual, inner(cone, cone), inner(dual, dual), inner(cone, dual)),
        lever=np.stack((-lever[1], lever[0])) / size,
        half=slots.half,
        place=np.zeros_like(slots.sense),
        ends=np.broadcast_to((most + 0.05) / holes, slots.half.shape),
        aim=np.full(cases, 0.1),
    )
    return _State(point, size, slots.sense, np.zeros(cases), np.zeros((2, cases)), case)


def _after(state: _State, move: Move, step: Step, slotted: tuple[int, ...]) -> tuple[_State, Floats]:
    """The state after a move, taken as far as it fits, and how far that is (m,)."""
    import numpy as np

    point, size = state.point, state.size
    reach, dual_reach = (np.minimum(_SHY * one, 1.0) for one in step.reach(move))
    reach = np.minimum(reach, _LARGEST / 2 * size / np.maximum(abs(move.steps[0]), 1e-300))
    tau = reach * move.steps[0] / size
    cosine = 1 / np.sqrt(1 + tau * tau)
    sine = cosine * tau
    cone, half, along = point.cone + reach * move.cone, point.half, reach * move.place
    cone[1:] *= cosine
    lever = cosine * point.lever - (sine / size) * (point.cone[1:] - state.shift[:, None])
    if slotted:
        at, turning = list(slotted), sine * state.sense
        half = np.stack((cosine * half[0] - turning * half[1], cosine * half[1] + turning * half[0]))
        lever[:, at] += state.sense * along / size * np.stack((-half[1], half[0]))
        cone[1:, at] += along * (half - cosine * point.half)
        cone[0] += 2 * np.maximum((np.hypot(cone[1], cone[2]) - cone[0]).max(axis=0), 0.0)
    dual = move.dual
    dual *= dual_reach
    dual += point.dual
    after = Point(
        *(cone, dual, inner(cone, cone), inner(dual, dual), inner(cone, dual), lever, half),
        place=point.place + along,
        ends=point.ends + dual_reach * move.ends,
        aim=np.clip(1 - np.minimum(reach, dual_reach) / _SHY, _AIM, 0.5),
    )
    shift = cosine * (state.shift + reach * move.steps[1:3])
    turn = state.turn + 2 * np.arctan(tau)
    return _State(after, size, state.sense, turn, shift, state.case), np.maximum(reach, dual_reach)


def _keep(best: Best, state: _State) -> None:
    """Into the directions of q, half the turn on; the pulls made to sum to zero, the weights to one, exactly."""
    import numpy as np

    cosine, sine = np.cos(state.turn / 2), np.sin(state.turn / 2)

    def turned(vector: Floats) -> Floats:
        return np.stack((cosine * vector[0] - sine * vector[1], sine * vector[0] + cosine * vector[1]))

    best.turn[state.case] = state.turn
    best.shift[:, state.case] = turned(state.shift)
    pull = turned(state.point.dual[1:])
    pull -= pull.mean(axis=1, keepdims=True)
    weight = np.maximum(state.point.dual[0], np.hypot(pull[0], pull[1]))
    sum_of = total(weight)
    best.pull[..., state.case], best.weight[:, state.case] = pull / sum_of, weight / sum_of
