"""The bounds that three holes alone put on the level at a given turn: cheap, and most often as good as those of all.

Three unit vectors with weights w_a >= 0, sum w_a u_a = 0, sum w_a = 1 are a dual as that of `hole_cones`, whatever they
are; the weights are the cross products of the other two. The best are those at the shift at which the three holes are
equally far off, which a few Newton steps from nearby meet well enough.

Arrays here end in holes, then cases; lengths in mm.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: Newton steps; the bound holds after any number
_STEPS = 3


def bound_by_threes(apart: Floats, half: Floats, slack: Floats, at: Floats) -> tuple[Floats, Floats]:
    """The pulls (2, c, m) and weights (c, m) of the best three of c holes, or of the tightest hole where none pull.

    Args:
        apart: (2, c, m) p - q, p turned.
        half: (2, c, m) half slots, zero for round holes.
        slack: (c, m).
        at: (2, m) a shift to begin at.
    """
    import numpy as np

    cases = np.arange(slack.shape[1])
    pull, weight = np.zeros_like(apart), np.zeros_like(slack)
    tightest = slack.argmin(axis=0)
    weight[tightest, cases] = 1.0
    best = -slack.min(axis=0)
    with np.errstate(all="ignore"):  # holes in line with each other, or met exactly, give nan
        for three in combinations(range(len(slack)), 3):
            holes = list(three)
            own, slots, room = apart[:, holes], half[:, holes], slack[holes]
            unit, share = _balanced(own, slots, room, at)
            takes = share.min(axis=0) >= 0  # nan is not
            pulls = unit * share
            pulls = pulls - pulls.mean(axis=1, keepdims=True)  # what rounding leaves, of holes nearly in line
            share = np.maximum(share, np.hypot(pulls[0], pulls[1]))
            pulls, share = pulls / share.sum(axis=0), share / share.sum(axis=0)
            value = np.sum(pulls * own, axis=(0, 1)) - np.sum(abs(np.sum(pulls * slots, axis=0)) + share * room, axis=0)
            takes &= value > best
            best = np.where(takes, value, best)
            pull[:, :, takes], weight[:, takes] = 0.0, 0.0
            for place, hole in enumerate(three):
                pull[:, hole, takes], weight[hole, takes] = pulls[:, place, takes], share[place, takes]
    return pull, weight


def _balanced(apart: Floats, half: Floats, slack: Floats, at: Floats) -> tuple[Floats, Floats]:
    """Units (2, 3, m) and weights (3, m) of three holes about where they are equally far off."""
    import numpy as np

    squares = np.maximum(half[0] ** 2 + half[1] ** 2, 1e-300)
    shift = at
    for step in range(_STEPS + 1):
        gone = apart + shift[:, None]
        gone = gone - np.clip((gone[0] * half[0] + gone[1] * half[1]) / squares, -1.0, 1.0) * half
        off = np.hypot(gone[0], gone[1])
        unit = gone / off
        (x, other_x, third_x), (y, other_y, third_y) = unit
        share = np.stack((other_x * third_y - other_y * third_x, third_x * y - third_y * x, x * other_y - y * other_x))
        share = share / share.sum(axis=0)
        if step < _STEPS:  # (u_1 - u_a)·dt = f_a - f_1
            level = off - slack
            x, y = unit[:, :1] - unit[:, 1:]
            side = level[1:] - level[:1]
            size = x[0] * y[1] - x[1] * y[0]
            shift = shift + np.stack((side[0] * y[1] - side[1] * y[0], x[0] * side[1] - x[1] * side[0])) / size
    return unit, share
