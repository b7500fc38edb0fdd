"""One step of the interior-point method of `hole_cones`: the direction of Nesterov and Todd with Mehrotra's corrector.

A cone here is (3, n, m): a level and a plane vector no longer than it, for n holes of m cases. Every cone s of the
program has a z of its dual; z is held mirrored, vector against vector, so that both lie alike and s·z is `inner`.
(Textbook, from memory: the scaling W with W z = W^-1 s, the corrector W^-1 (l \\ (W^-1 ds o W dz)) with l = W z.)
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


class Point(NamedTuple):
    """Where a step starts.

    `cone`, `dual` (3, n, m); `room`, `dual_room`, `product` (n, m), the `inner` of cone and cone, dual and dual, cone
    and dual; `lever` (2, n, m), how a hole moves by a unit of turn; `half` (2, k, m), how by a unit of `place` (k, m)
    along its slot; `ends` (2, k, m), the dual of place <= 1 and of -1 <= place; `aim` (m,), how much of the way back to
    the middle of the cones is to be aimed at.
    """

    cone: Floats
    dual: Floats
    room: Floats
    dual_room: Floats
    product: Floats
    lever: Floats
    half: Floats
    place: Floats
    ends: Floats
    aim: Floats

    @property
    def back(self) -> Floats:
        """How far the place is from its ends (2, k, m)."""
        import numpy as np

        return np.stack((1 - self.place, 1 + self.place))

    def gap(self) -> Floats:
        """The level less the bound of the dual (m,), mm."""
        gap = total(self.product)
        for row in (self.back * self.ends).reshape(-1, len(gap)):
            gap += row
        return gap

    def inside(self) -> NDArray[np.bool_]:
        """Whether all is within its cone (m,)."""
        import numpy as np

        least = np.minimum(self.room, self.dual_room).min(axis=0)
        if self.place.size:
            least = np.minimum(least, np.minimum(self.back, self.ends).min(axis=(0, 1)))
        return np.asarray(least > 0)


class Move(NamedTuple):
    """A step: of turn, shift and level (4, m), of the cones, of places along slots, and of the duals of both."""

    steps: Floats
    cone: Floats
    dual: Floats
    place: Floats
    ends: Floats


class Step:
    """The step from a point; `slotted` are the k holes with a place."""

    def __init__(self, point: Point, slotted: tuple[int, ...]):
        import numpy as np

        self.point, self.slotted = point, slotted
        root, other = np.sqrt(point.room), np.sqrt(point.dual_room)
        half = 1 / np.sqrt(2 + 2 * point.product / (root * other))
        self.axis = point.cone * (half / root) + point.dual * (half / other)
        self.scale = other / root
        self.back = point.back
        self._factor()

    def move(self) -> Move:
        """Predictor and corrector together."""
        point = self.point
        trial = self._direction(None, 0 * point.ends)
        aim = point.aim * point.gap() / (point.cone.shape[1] + 2 * len(self.slotted))
        bend = trial.ends * trial.place / self.back
        bend[0] *= -1
        target = point.cone * (aim / point.room)
        target -= self._corrector(trial)
        return self._direction(target, aim / self.back - bend)

    def reach(self, move: Move) -> tuple[Floats, Floats]:
        """How often the move fits until a boundary is met, of the cones and of the duals (m,)."""
        import numpy as np

        point = self.point
        reach = _until(point.cone, move.cone, point.room)
        dual_reach = _until(point.dual, move.dual, point.dual_room)
        if self.slotted:
            sides = np.where(move.place > 0, *self.back) / np.maximum(abs(move.place), 1e-300)
            falls = np.where(move.ends < 0, point.ends / np.maximum(-move.ends, 1e-300), np.inf)
            reach = np.minimum(reach, sides.min(axis=0))
            dual_reach = np.minimum(dual_reach, falls.min(axis=(0, 1)))
        return reach, dual_reach

    def _factor(self) -> None:
        """The equations of turn, shift and level as L D L', those of the places along slots taken out of them."""
        import numpy as np

        level, x, y = self.axis
        twice = 2 * self.scale
        twice_level, twice_x = twice * level, twice * x
        entry = [
            [twice_level * level - self.scale, -twice_level * x, -twice_level * y],
            [twice_x * x + self.scale, twice_x * y],
            [twice * y * y + self.scale],
        ]
        self.rows, self.row_pivots = [], []
        stiff = (self.point.ends / self.back).sum(axis=0)
        for number, hole in enumerate(self.slotted):
            e, f = self.point.half[:, number]
            (_, a, b), (c, d), (g,) = ([one[hole] for one in row] for row in entry)
            row = a * e + b * f, c * e + d * f, d * e + g * f
            pivot = row[1] * e + row[2] * f + stiff[number]
            for i in range(3):
                for j in range(i, 3):
                    entry[i][j - i][hole] -= row[i] * row[j] / pivot
            self.rows.append(np.stack((row[0], -row[1], -row[2])))
            self.row_pivots.append(pivot)
        (ll, lx, ly), (xx, xy), (yy,) = entry
        jx, jy = self.point.lever
        turn_x, turn_y = xx * jx + xy * jy, xy * jx + yy * jy
        turn, turn_level = turn_x * jx + turn_y * jy, lx * jx + ly * jy
        matrix = [[turn], [turn_x, xx], [turn_y, xy, yy], [turn_level, lx, ly, ll]]
        self.lower: list[list[Floats]] = []
        self.pivots: list[Floats] = []
        for row_of in matrix:
            lower: list[Floats] = []
            *row_totals, pivot = (total(one) for one in row_of)
            least = 1e-15 * pivot + 1e-300  # a direction that nothing holds
            for j, value in enumerate(row_totals):
                for k in range(j):
                    value = value - lower[k] * self.lower[j][k] * self.pivots[k]
                lower.append(value / self.pivots[j])
                pivot = pivot - lower[j] * value
            self.lower.append(lower)
            self.pivots.append(np.maximum(pivot, least))

    def _direction(self, aim: Floats | None, ends: Floats) -> Move:
        """Towards cones and duals whose product is `aim` (None: nought), and for the ends of slots `ends`."""
        import numpy as np

        point = self.point
        left = np.zeros_like(point.cone) if aim is None else aim
        wanted = left.copy() if self.slotted else left
        sides = []
        for number, hole in enumerate(self.slotted):
            e, f = point.half[:, number]
            sides.append(ends[1, number] - ends[0, number] - wanted[1, hole] * e - wanted[2, hole] * f)
            wanted[:, hole] -= self.rows[number] * (sides[-1] / self.row_pivots[number])
        jx, jy = point.lever
        level, x, y = wanted
        steps = self._solved([-total(jx * x + jy * y), -total(x), -total(y), total(level) - 1.0])
        cone = np.empty_like(point.cone)
        cone[0] = steps[3]
        np.add(steps[0] * jx, steps[1], out=cone[1])
        np.add(steps[0] * jy, steps[2], out=cone[2])
        place = np.zeros_like(point.place)
        for number, hole in reversed(tuple(enumerate(self.slotted))):
            place[number] = (sides[number] - inner(self.rows[number], cone[:, hole])) / self.row_pivots[number]
            cone[1:, hole] += place[number] * point.half[:, number]
        dual = self.axis * (-2 * inner(self.axis, cone))
        dual += cone
        dual *= self.scale
        dual -= point.dual
        dual += left
        return Move(
            np.stack(steps), cone, dual, place, ends - point.ends - np.stack((-place, place)) * point.ends / self.back
        )

    def _solved(self, wanted: list[Floats]) -> list[Floats]:
        for i in range(4):
            for k in range(i):
                wanted[i] = wanted[i] - self.lower[i][k] * wanted[k]
        found = [one / pivot for one, pivot in zip(wanted, self.pivots, strict=True)]
        for i in (2, 1, 0):
            for k in range(i + 1, 4):
                found[i] = found[i] - self.lower[k][i] * found[k]
        return found

    def _corrector(self, trial: Move) -> Floats:
        """What the predictor leaves of second order."""
        cone, dual, middle = self._scaled(trial.cone), self._scaled(trial.dual), self._scaled(self.point.cone)
        level = inner(cone, dual)
        across = cone[1:] * dual[0]
        across -= dual[1:] * cone[0]
        first = middle[0] * level - middle[1] * across[0] - middle[2] * across[1]
        first /= self.point.room
        across -= middle[1:] * first
        cone[0], cone[1:] = first, across / middle[0]
        bent = self._scaled(cone)
        bent[1:] *= -1
        return bent

    def _scaled(self, cone: Floats) -> Floats:
        """W^-1 times a cone, but for the factor that drops out of the corrector."""
        import numpy as np

        level, x, y = self.axis
        along = x * cone[1] + y * cone[2]
        found = np.empty_like(cone)
        np.subtract(level * cone[0], along, out=found[0])
        along /= 1 + level
        along -= cone[0]
        np.add(x * along, cone[1], out=found[1])
        np.add(y * along, cone[2], out=found[2])
        return found


def _until(start: Floats, step: Floats, room: Floats) -> Floats:
    """How often the step fits until the first of the cones is left (m,)."""
    import numpy as np

    half = inner(start, step)
    root = half * half
    root -= inner(step, step) * room
    root = np.sqrt(np.maximum(root, 0.0, out=root), out=root)
    root -= half
    root /= room
    return np.asarray(1 / np.maximum(root.max(axis=0), 1e-300))


def inner(one: Floats, other: Floats) -> Floats:
    """Level times level less the product of the vectors."""
    found: Floats = one[0] * other[0]
    found -= one[1] * other[1]
    found -= one[2] * other[2]
    return found


def total(rows: Floats) -> Floats:
    """The sum over the holes, in the same order however many cases there are."""
    found: Floats = rows[0] + rows[1]
    for row in rows[2:]:
        found += row
    return found
