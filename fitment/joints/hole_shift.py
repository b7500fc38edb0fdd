"""Holes that are brought together by shifting alone: the least that is wanting, and the proof that less will not do.

With the rotation held, hole i asks that the shift t lie within s_i of its own c_i (a round hole) or of a segment
c_i ± a_i (a slot). t* = min over t of max over i of (distance - s_i) is convex. Its dual: with unit vectors u_i and
weights w_i >= 0, sum w_i = 1, sum w_i u_i = 0, every t has max >= -sum w_i (u_i·c_i + |u_i·a_i| + s_i). At the least
one to three holes bind (Helly), so that both follow from single holes, pairs and triples: the circle that touches
three circles (Apollonius), with the sides of slots as straight lines.

Arrays throughout: m cases at once, n holes; lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING

from fitment.joints.hole_touch import cross, dot, linear, meeting, point_holes, triples

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Indices = NDArray[np.intp]


@dataclass(frozen=True)
class Least:
    """The best shift of each case.

    Attributes:
        wanting: (m,) largest distance less slack at `at`, mm; below zero there is room.
        at: (m, 2) the shift.
        pull: (m, n, 2) w_i u_i of the dual; they sum to zero over the holes.
        weight: (m, n) w_i of the dual; they sum to one.
    """

    wanting: Floats
    at: Floats
    pull: Floats
    weight: Floats


@dataclass(frozen=True)
class _Bound:
    """A dual bound with the holes that bind: `holes` (k,) or (m, k), their weights (m, k) and units (m, k, 2)."""

    value: Floats
    holes: Indices
    weights: Floats
    units: Floats


@dataclass(frozen=True)
class Holes:
    """What the holes of m cases ask of the shift.

    Attributes:
        centres: (m, n, 2) c_i.
        slack: (m, n) s_i.
        half: (m, n, 2) half slots a_i, zero for round holes; None where no hole is a slot.
        slotted: numbers of the holes that may be slots, the same in all cases.
    """

    centres: Floats
    slack: Floats
    half: Floats | None = None
    slotted: tuple[int, ...] = ()

    def misfit(self, at: Floats) -> Floats:
        """Distance less slack (m, k, n) of every hole for shifts `at` (m, k, 2)."""
        import numpy as np

        apart = at[:, :, None, :] - self.centres[:, None, :, :]
        if self.half is not None:
            half = self.half[:, None, :, :]
            along = dot(apart, half) / np.maximum(dot(half, half), 1e-300)
            apart = apart - np.clip(along, -1.0, 1.0)[..., None] * half
        return np.asarray(np.hypot(apart[..., 0], apart[..., 1]) - self.slack[:, None, :])

    def least(self) -> Least:
        """The best shift of each case, with its proof."""
        import numpy as np

        cases, holes = self.slack.shape
        best: _Bound | None = None
        tried: list[Floats] = []
        with np.errstate(all="ignore"):  # three holes that no circle touches give nan, which is left out below
            for bound, shifts in self._bounds():
                tried.append(shifts)
                best = bound if best is None else _larger(best, bound)
        assert best is not None
        at = np.nan_to_num(np.concatenate(tried, axis=1), nan=0.0, posinf=0.0, neginf=0.0)
        worst = self.misfit(at).max(axis=-1)
        first, row = worst.argmin(axis=1), np.arange(cases)
        pull, weight = np.zeros((cases, holes, 2)), np.zeros((cases, holes))
        for column in range(best.holes.shape[1]):
            bind = best.holes[:, column]
            weight[row, bind] += best.weights[:, column]
            pull[row, bind] += best.weights[:, column, None] * best.units[:, column]
        return Least(worst[row, first], at[row, first], pull, weight)

    def _bounds(self) -> Iterator[tuple[_Bound, Floats]]:
        """Dual bounds by how many holes bind, the largest of each kind, with the shifts (m, k, 2) to try."""
        yield self._singles()
        yield self._pairs()
        for three in triples(self.centres.shape[1], self.slotted):
            yield self._touching(*three)

    @cached_property
    def _points(self) -> Floats:
        """Centres of round holes, ends of slots (m, points, 2), in the order of `_point_holes`."""
        import numpy as np

        if self.half is None:
            return self.centres
        ends = [self.centres + sign * self.half for sign in (1.0, -1.0)]
        round_holes = [hole for hole in range(self.slack.shape[1]) if hole not in self.slotted]
        columns = [self.centres[:, round_holes], *(end[:, list(self.slotted)] for end in ends)]
        return np.concatenate(columns, axis=1)

    @cached_property
    def _normals(self) -> Floats:
        """Unit normals to the slots (m, n, 2), zero for round holes."""
        import numpy as np

        half = np.zeros_like(self.centres) if self.half is None else self.half
        length = np.maximum(np.hypot(half[..., 0], half[..., 1]), 1e-300)[..., None]
        return np.stack((-half[..., 1], half[..., 0]), axis=-1) / length

    def _singles(self) -> tuple[_Bound, Floats]:
        """No hole can have more room than its own slack."""
        import numpy as np

        hole = self.slack.argmin(axis=1)
        cases = len(hole)
        bound = _Bound(-self.slack[np.arange(cases), hole], hole[:, None], np.ones((cases, 1)), np.zeros((cases, 1, 2)))
        points = point_holes(self.slack.shape[1], self.slotted)
        if self.half is not None:
            return bound, self._points
        return bound, self._points[np.arange(cases), np.asarray(points)[hole]][:, None, :]

    def _pairs(self) -> tuple[_Bound, Floats]:
        """Two holes that pull against each other, along the line of two points or square to a slot."""
        import numpy as np

        first, second, unit, shifts = self._opposed()
        between = self.centres[:, second] - self.centres[:, first]
        value = dot(unit, between) - self.slack[:, first] - self.slack[:, second]
        if self.half is not None:
            value = value - np.abs(dot(unit, self.half[:, first])) - np.abs(dot(unit, self.half[:, second]))
        value = np.where(np.isnan(value), -np.inf, value) / 2
        best, row = value.argmax(axis=1), np.arange(len(value))
        chosen = unit[row, best]
        bound = _Bound(
            value[row, best],
            np.stack((first[best], second[best]), axis=1),
            np.full((len(value), 2), 0.5),
            np.stack((chosen, -chosen), axis=1),
        )
        return bound, shifts[row, best][:, None, :]

    def _opposed(self) -> tuple[Indices, Indices, Floats, Floats]:
        """Pairs of holes, the unit vectors from the first to the second (m, k, 2), and the shifts half way."""
        import numpy as np

        owner = np.asarray(point_holes(self.slack.shape[1], self.slotted))
        pairs = [(a, b) for a, b in combinations(range(len(owner)), 2) if owner[a] != owner[b]]
        one, other = (np.asarray(side, dtype=np.intp) for side in zip(*pairs, strict=True))
        first, second = owner[one], owner[other]
        apart = self._points[:, other] - self._points[:, one]
        length = np.hypot(apart[..., 0], apart[..., 1])
        unit = apart / np.maximum(length, 1e-300)[..., None]
        reach = (length + self.slack[:, first] - self.slack[:, second]) / 2
        shifts = self._points[:, one] + unit * reach[..., None]
        if self.half is None:
            return first, second, unit, shifts
        sides = [(a, int(hole)) for a in range(len(owner)) for hole in self.slotted if owner[a] != hole]
        if not sides:
            return first, second, unit, shifts
        point, slot = (np.asarray(side, dtype=np.intp) for side in zip(*sides, strict=True))
        start = self._points[:, point]
        along = dot(self._normals[:, slot], self.centres[:, slot] - start)
        normal = self._normals[:, slot] * np.sign(along)[..., None]
        reach = (np.abs(along) + self.slack[:, owner[point]] - self.slack[:, slot]) / 2
        return (
            np.concatenate((first, owner[point])),
            np.concatenate((second, slot)),
            np.concatenate((unit, normal), axis=1),
            np.concatenate((shifts, start + normal * reach[..., None]), axis=1),
        )

    def _touching(self, points: Indices, lines: Indices, signs: Floats) -> tuple[_Bound, Floats]:
        """Three boundaries touched at once: `points` (k, p) of `_points`, `lines` (k, 3 - p) holes with `signs`."""
        import numpy as np

        owner = np.asarray(point_holes(self.slack.shape[1], self.slotted))
        holes = np.concatenate((owner[points], lines), axis=1)
        slack = self.slack[:, holes]
        spots = self._points[:, points]
        normals = self._normals[:, lines] * signs[..., None]
        heights = dot(normals, self.centres[:, lines])
        rows, sides = linear(spots, slack, normals, heights)
        at = meeting(rows, sides, spots, slack)
        spokes = at[:, :, :, None, :] - spots[:, :, None, :, :]
        units = spokes / np.hypot(spokes[..., 0], spokes[..., 1])[..., None]
        normals = np.broadcast_to(normals[:, :, None], (*at.shape[:3], *normals.shape[2:]))
        units = np.concatenate((units, normals), axis=3)
        one, two, three = (units[..., side, :] for side in range(3))
        weights = [cross(two, three), cross(three, one), cross(one, two)]
        total = weights[0] + weights[1] + weights[2]
        weights = [weight / total for weight in weights]
        value, least = np.zeros_like(total), weights[0]
        for side, weight in enumerate(weights):
            unit, hole = units[..., side, :], holes[:, side]
            asked = dot(unit, self.centres[:, hole, None]) + self.slack[:, hole, None]
            if self.half is not None:
                asked = asked + np.abs(dot(unit, self.half[:, hole, None]))
            value, least = value - weight * asked, np.minimum(least, weight)
        value = np.where((least >= 0.0) & np.isfinite(value), value, -np.inf)
        flat = value.reshape(len(value), -1)
        best, row = flat.argmax(axis=1), np.arange(len(flat))
        triple, root = np.divmod(best, value.shape[2])
        bound = _Bound(
            flat[row, best],
            holes[triple],
            np.stack([weight[row, triple, root] for weight in weights], axis=1),
            units[row, triple, root],
        )
        if lines.shape[1] > 1:  # the best shift may be free to slide along slots: all ends of that are tried
            return bound, at.reshape(len(at), -1, 2)
        return bound, at[row, triple, root][:, None, :]


def _larger(one: _Bound, other: _Bound) -> _Bound:
    """The larger bound of each case; what binds in fewer holes than three is filled up with weight 0."""
    import numpy as np

    width = max(one.holes.shape[1], other.holes.shape[1])

    def filled(bound: _Bound) -> tuple[Indices, Floats, Floats]:
        more = width - bound.holes.shape[1]
        return (
            np.pad(bound.holes, ((0, 0), (0, more))),
            np.pad(bound.weights, ((0, 0), (0, more))),
            np.pad(bound.units, ((0, 0), (0, more), (0, 0))),
        )

    takes = other.value > one.value
    (holes, weights, units), (more, heavier, others) = filled(one), filled(other)
    return _Bound(
        np.where(takes, other.value, one.value),
        np.where(takes[:, None], more, holes),
        np.where(takes[:, None], heavier, weights),
        np.where(takes[:, None, None], others, units),
    )
