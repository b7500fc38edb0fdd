"""All patterns that agree with the same distances: parts mirrored in a line, and what further starts lead to."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from fitment.frozen import dataclass
from fitment.identify.hole_fit import Network, adjust, covariance, distances, in_datum, jacobian

if TYPE_CHECKING:
    from fitment.identify.hole_fit import Floats, Indices


@dataclass(frozen=True)
class _Found:
    """A pattern: sum of squares, points in the datum, distances of all pairs, and what another must differ by."""

    squares: float
    at: Floats
    apart: Floats
    clear: Floats


def patterns(net: Network, settled: tuple[Floats, Floats], same: float, most: int) -> list[Floats]:
    """All patterns (n, 2) in the datum that differ and agree as well, the best first.

    Args:
        net: the distances.
        settled: what the starts lead to, as `hole_fit.adjust` returns it.
        same: how much larger the sum of squares of an equal may be.
        most: how many to look for.
    """
    import numpy as np

    pairs = np.array(list(combinations(range(net.points), 2)), dtype=np.intp)
    found: list[_Found] = []
    turn = 0
    pool, squares = settled
    while len(found) < most:
        for index in np.argsort(squares, kind="stable"):
            least = min([float(squares[index]), *(one.squares for one in found)])
            if squares[index] > least + same:
                break
            apart = distances(pool[index], pairs)
            if all(bool(np.any(np.abs(apart - one.apart) > one.clear)) for one in found):
                at = in_datum(pool[index])
                found.append(_Found(float(squares[index]), at, apart, _clear(net, at, pairs)))
        if turn == len(found):
            break
        pool, squares = adjust(net, np.array(_flipped(net, found[turn].at)))
        turn += 1
    least = min(one.squares for one in found)
    return [one.at for one in sorted(found, key=lambda one: one.squares) if one.squares <= least + same][:most]


def _clear(net: Network, at: Floats, pairs: Indices) -> Floats:
    """How far the distances of a pattern must be off to be another's: beyond what doubt and rounding allow, mm."""
    import numpy as np

    slopes = jacobian(at, pairs)
    variance = np.einsum("pu,uv,pv->p", slopes, covariance(net, at)[0], slopes)
    return np.asarray(3 * np.sqrt(2 * np.maximum(variance, 0.0)) + 1e-6 * net.lengths.max())


def _flipped(net: Network, at: Floats) -> list[Floats]:
    """Other patterns with nearly the same measured distances: a part of the holes mirrored in a line.

    The part hangs on the rest by two points only, or it is one point whose neighbours stand nearly in a row.
    """
    import numpy as np

    neighbours: dict[int, set[int]] = {point: set() for point in range(net.points)}
    for a, b in net.pairs.tolist():
        neighbours[a].add(b)
        neighbours[b].add(a)
    others = [
        _mirrored(at, part, at[a], at[b] - at[a])
        for a, b in combinations(range(net.points), 2)
        for part in _parts(neighbours, {a, b})[1:]
    ]
    for point, tied in neighbours.items():
        row = at[sorted(tied)]
        middle = row.mean(axis=0)
        others.append(_mirrored(at, {point}, middle, np.linalg.svd(row - middle)[2][0]))
    return others


def _parts(neighbours: dict[int, set[int]], without: set[int]) -> list[set[int]]:
    """The connected parts of the network when some points are taken out."""
    left = set(neighbours) - without
    parts = []
    while left:
        part, border = set(), {min(left)}
        while border:
            part |= border
            border = {near for point in border for near in neighbours[point]} - part - without
        parts.append(part)
        left -= part
    return parts


def _mirrored(at: Floats, part: set[int], through: Floats, along: Floats) -> Floats:
    import numpy as np

    length = float(np.hypot(*along))
    if length == 0.0:
        return at.copy()
    unit = along / length
    out = at.copy()
    for point in part:
        offset = at[point] - through
        out[point] = through + 2 * float(offset @ unit) * unit - offset
    return out
