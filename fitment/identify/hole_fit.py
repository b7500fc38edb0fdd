"""Points in a plane from distances between them: weighted least squares, every start at once, and its covariance.

Arrays throughout: `pairs` (m, 2) indices of points, `lengths` (m,) mm, `whitener` (m, m) the inverse of the Cholesky
factor of the lengths' covariance, points (..., n, 2) mm.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from fitment.frozen import dataclass

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Indices = NDArray[np.intp]

#: iterations at most; a sound start needs about ten, points all in one line (a quartic valley) about sixty
_STEPS = 120

#: starts by trilateration, each from another pair of points and with other sides chosen
_TRILATERATED = 32

#: fixed, so that the same readings give the same answer
_SEED = 20


@dataclass(frozen=True)
class Network:
    """Measured distances between points that are numbered from 0."""

    points: int
    pairs: Indices
    lengths: Floats
    whitener: Floats


def network(points: int, pairs: list[tuple[int, int]], lengths: list[float], covariance: Floats) -> Network:
    """The network of distances whose errors have this covariance (m, m), mm²."""
    import numpy as np

    whitener = np.linalg.inv(np.linalg.cholesky(covariance))
    return Network(points, np.array(pairs, dtype=np.intp).reshape(-1, 2), np.array(lengths), whitener)


def distances(at: Floats, pairs: Indices) -> Floats:
    """Distances (..., m) between the points of each pair."""
    import numpy as np

    apart = at[..., pairs[:, 0], :] - at[..., pairs[:, 1], :]
    return np.asarray(np.hypot(apart[..., 0], apart[..., 1]))


def jacobian(at: Floats, pairs: Indices) -> Floats:
    """Derivatives (..., m, 2 n) of the distances by x0, y0, x1, y1 ... (the rigidity matrix, rows of unit vectors)."""
    import numpy as np

    apart = at[..., pairs[:, 0], :] - at[..., pairs[:, 1], :]
    unit = apart / np.maximum(np.hypot(apart[..., 0], apart[..., 1]), 1e-300)[..., None]
    rows = np.arange(len(pairs))
    out = np.zeros((*at.shape[:-2], len(pairs), 2 * at.shape[-2]))
    for axis in (0, 1):
        out[..., rows, 2 * pairs[:, 0] + axis] = unit[..., axis]
        out[..., rows, 2 * pairs[:, 1] + axis] = -unit[..., axis]
    return out


def adjust(net: Network, starts: Floats) -> tuple[Floats, Floats]:
    """Least squares from every start (s, n, 2) by Levenberg's method: points (s, n, 2) and sums of squares (s,)."""
    import numpy as np

    at = np.array(starts, dtype=float)
    unknowns = 2 * net.points
    damping = np.full(len(at), 1e-3)
    done = np.zeros(len(at), dtype=bool)
    misfit = (distances(at, net.pairs) - net.lengths) @ net.whitener.T
    squares = np.sum(misfit**2, axis=-1)
    for _ in range(_STEPS):
        slopes = net.whitener @ jacobian(at, net.pairs)
        normal = np.swapaxes(slopes, -1, -2) @ slopes
        scale = np.trace(normal, axis1=-2, axis2=-1) / unknowns
        normal[:, range(unknowns), range(unknowns)] += (damping * scale)[:, None]
        downhill = -np.einsum("smu,sm->su", slopes, misfit)
        step = np.linalg.solve(normal, downhill[..., None])[..., 0].reshape(at.shape)
        tried = at + step
        misfit_tried = (distances(tried, net.pairs) - net.lengths) @ net.whitener.T
        squares_tried = np.sum(misfit_tried**2, axis=-1)
        better = squares_tried <= squares
        quiet = np.abs(squares_tried - squares) <= 1e-12 * squares + 1e-20
        at[better], misfit[better], squares[better] = tried[better], misfit_tried[better], squares_tried[better]
        damping = np.where(better, np.maximum(damping / 10, 1e-12), np.minimum(damping * 10, 1e6))
        done |= (quiet & (damping <= 1e-5)) | (damping >= 1e4)
        if done.all():
            break
    return at, squares


def starts(net: Network) -> Floats:
    """Starts (s, n, 2): classical scaling with the shortest paths for what was not measured, and trilateration."""
    import numpy as np

    generator = np.random.default_rng(_SEED)
    measured = {(int(a), int(b)): float(length) for (a, b), length in zip(net.pairs, net.lengths, strict=True)}
    measured |= {(b, a): length for (a, b), length in measured.items()}
    size = float(net.lengths.max())
    placed = [_scaled(net.points, measured)]
    placed += [_trilaterated(net.points, measured, size, generator) for _ in range(_TRILATERATED)]
    return np.array(placed)


def _scaled(points: int, measured: dict[tuple[int, int], float]) -> Floats:
    """Classical multidimensional scaling of the shortest paths (Torgerson, from memory)."""
    import numpy as np

    paths = np.full((points, points), math.inf)
    np.fill_diagonal(paths, 0.0)
    for (a, b), length in measured.items():
        paths[a, b] = length
    for via in range(points):
        paths = np.minimum(paths, paths[:, [via]] + paths[[via], :])
    centring = np.eye(points) - 1 / points
    values, vectors = np.linalg.eigh(-0.5 * centring @ paths**2 @ centring)
    return np.asarray(vectors[:, -2:] * np.sqrt(np.maximum(values[-2:], 0.0)))


def _trilaterated(
    points: int, measured: dict[tuple[int, int], float], size: float, generator: np.random.Generator
) -> Floats:
    """Points placed one after the other from those that stand, on the side that suits a third, else on either."""
    import numpy as np

    at = generator.uniform(-size, size, (points, 2))
    edges = sorted(measured)
    a, b = edges[int(generator.integers(len(edges)))]
    at[a], at[b] = (0.0, 0.0), (measured[a, b], 0.0)
    standing = {a, b}
    while len(standing) < points:
        waiting = [point for point in range(points) if point not in standing]
        ties = {point: [other for other in standing if (point, other) in measured] for point in waiting}
        most = max(len(ties[point]) for point in waiting)
        point = next(point for point in waiting if len(ties[point]) == most)
        if most >= 2:
            first, second, *rest = generator.permutation(ties[point]).tolist()
            sides = _circles_meet(at[first], at[second], measured[point, first], measured[point, second])
            if generator.random() < 0.5:
                sides = sides[::-1]
            wrong = [sum(abs(math.dist(side, at[other]) - measured[point, other]) for other in rest) for side in sides]
            at[point] = sides[int(np.argmin(wrong))]
        standing.add(point)
    return at


def _circles_meet(first: Floats, second: Floats, r_first: float, r_second: float) -> list[Floats]:
    """The two points at these distances from two others; where the circles miss each other, the nearest on the line."""
    import numpy as np

    apart = second - first
    base = max(float(np.hypot(*apart)), 1e-300)
    along = (r_first**2 - r_second**2 + base**2) / (2 * base)
    aside = math.sqrt(max(r_first**2 - along**2, 0.0))
    foot, normal = first + apart * (along / base), np.array([-apart[1], apart[0]]) / base
    return [foot + aside * normal, foot - aside * normal]


def free_motions(points: int, pairs: list[tuple[int, int]]) -> int:
    """How many ways the points can still move against one another when these distances are held.

    2 n - 3 less the rank of the rigidity matrix at points in no special position (Laman's count, by rank).
    """
    import numpy as np

    if not pairs:
        return 2 * points - 3
    at = np.random.default_rng(_SEED).uniform(-1, 1, (points, 2))
    rank = int(np.linalg.matrix_rank(jacobian(at, np.array(pairs, dtype=np.intp)), tol=1e-9))
    return 2 * points - 3 - rank


def in_datum(at: Floats) -> Floats:
    """The points moved and turned so that the first is the origin and the second lies on the positive x axis."""
    import numpy as np

    moved = at - at[0]
    cosine, sine = moved[1] / np.hypot(*moved[1])
    out = moved @ np.array([[cosine, -sine], [sine, cosine]])
    out[1, 1] = 0.0
    return np.asarray(out)


def covariance(net: Network, at: Floats) -> tuple[Floats, bool]:
    """Covariance (2 n, 2 n) of points in the datum, mm², and whether some lie so nearly in a row that it is inflated.

    (J' W J)^-1 (law of propagation, JCGM 100 5.2, from memory), taken direction by direction. Where distances do not
    change to first order with a move s, as sideways for points in a row, they change by h s²: its variance is then
    what makes l s² + |h|² s⁴ equal 1, with l the first-order weight (own derivation; tested by simulation).
    """
    import numpy as np

    kept = [index for index in range(2 * net.points) if index not in (0, 1, 3)]
    slopes = net.whitener @ jacobian(at, net.pairs)[:, kept]
    left, singular, right = np.linalg.svd(slopes, full_matrices=False)
    apart = at[net.pairs[:, 0]] - at[net.pairs[:, 1]]
    length = np.hypot(apart[:, 0], apart[:, 1])
    small = np.zeros((len(kept), len(kept)))
    in_a_row = False
    for order, (weight, direction) in enumerate(zip(singular**2, right, strict=True)):
        move = np.zeros(2 * net.points)
        move[kept] = direction
        relative = move.reshape(-1, 2)[net.pairs[:, 0]] - move.reshape(-1, 2)[net.pairs[:, 1]]
        across = (relative[:, 0] * apart[:, 1] - relative[:, 1] * apart[:, 0]) / length
        bend = net.whitener @ (across**2 / (2 * length))
        stronger = left[:, :order]
        bend = bend - stronger @ (stronger.T @ bend)
        variance = 2 / max(float(weight + math.sqrt(weight**2 + 4 * float(bend @ bend))), 1e-300)
        in_a_row = in_a_row or variance * weight < 0.8
        small += variance * np.outer(direction, direction)
    full = np.zeros((2 * net.points, 2 * net.points))
    full[np.ix_(kept, kept)] = small
    return full, bool(in_a_row)


def outlier_tests(net: Network, at: Floats) -> list[float]:
    """Size of each residual in its own standard uncertainty, by the linear test for one wrong reading (Baarda, from
    memory); 0 for a reading that no other checks.
    """
    import numpy as np

    slopes = net.whitener @ jacobian(at, net.pairs)
    left, singular, _ = np.linalg.svd(slopes, full_matrices=False)
    held = left[:, singular > 1e-9 * singular.max()]
    misfit = net.whitener @ (distances(at, net.pairs) - net.lengths)
    free = net.whitener - held @ (held.T @ net.whitener)
    shares = np.sum(free**2, axis=0)
    checked = shares > 1e-9 * np.sum(net.whitener**2, axis=0)
    return [float(t) for t in np.where(checked, np.abs(misfit @ free) / np.sqrt(np.where(checked, shares, 1.0)), 0.0)]
