"""Registration of two hole patterns: the turn and shift at which bolts pass, and what is wanting to it.

t* = min over angle and shift t of max over i of (|R p_i + t - q_i| - s_i): bolts go in where it is not above zero, -t*
is the margin, and adding the same slack to every hole takes as much from t*. For a slot the distance is that to its
centre-line. No mirror image is allowed. (Own formulation; the parts of it are textbook convex optimisation.)

`hole_cones` finds it near the least-squares angle (Procrustes), and `hole_search` proves for every case that no other
angle does better, or searches until one is found: t* is the least over the full circle to within `TOLERANCE`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fitment.frozen import dataclass
from fitment.joints.hole_search import TOLERANCE, Search, turned

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["TOLERANCE", "Registration", "least_squares", "misfit_at", "register", "turned"]


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
            for round holes. None where there is no slot. A hole is a slot in one of the two only.

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
    if on_q is None and on_p is not None:  # bounds are sharpest for slots that stand still
        t_star, angle, shift, misfit = _turned_back(_solved(second, first, room, None, on_p))
    else:
        t_star, angle, shift, misfit = _solved(first, second, room, on_p, on_q)
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


_Solved = tuple["Floats", "Floats", "Floats", "Floats"]


def _solved(p: Floats, q: Floats, slack: Floats, on_p: Floats | None, on_q: Floats | None) -> _Solved:
    """t* (m,), angle (m,) in radians, shift (m, 2) and misfits (m, n)."""
    middle_p, middle_q = p.mean(axis=1), q.mean(axis=1)
    start, _ = least_squares(p, q)
    turn = start[:, None]
    search = Search(
        turned(p - middle_p[:, None], turn),
        q - middle_q[:, None],
        slack,
        None if on_p is None else turned(on_p, turn),
        on_q,
    )
    search.solve()
    misfit, angle = search.misfit(), start + search.angle
    return misfit.max(axis=1), angle, search.shift + middle_q - turned(middle_p, angle), misfit


def _turned_back(solved: _Solved) -> _Solved:
    """The transform of the first pattern onto the second, from that of the second onto the first."""
    t_star, angle, shift, misfit = solved
    return t_star, -angle, -turned(shift, -angle), misfit
