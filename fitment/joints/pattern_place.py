"""Where the rack comes to lie in the car when its holes are brought over those of the crossmember."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from fitment.doubt import Draws
from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.joints.pattern_holes import Pattern, pattern_of
from fitment.joints.registration import Feature

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Placement:
    """The rack's own coordinates in the car: x_car = rotation @ x_rack + shift.

    Attributes:
        rotation: (3, 3), or samples (count, 3, 3).
        shift: where the origin of the rack's coordinates lies in the car, mm, (3,) or samples (count, 3).
        uses: the points that it follows from.
    """

    rotation: Floats
    shift: Floats
    uses: tuple[Use, ...]


def placement(first: Feature, second: Feature, draws: Draws | None = None) -> Placement | Gap:
    """Where the rack (`first`) lies on the crossmember (`second`) by the holes of both, or why that is not known.

    Least squares of the distances between holes of the same number (Kabsch, from memory): unlike the turn and shift of
    the registration it is the same however much play the bolts have. Holes in a row leave the turn about their line
    open; it is then the least turn, as the rack sat in its donor.

    Args:
        draws: for samples; None for the adopted values.
    """
    patterns = pattern_of(first), pattern_of(second)
    for pattern in patterns:
        if pattern.gaps:
            return pattern.gaps[0]
        if not pattern.points:
            return Gap(pattern.feature.name, "hole-1", "distances do not tell where the pattern lies: give points")
    shared = tuple(sorted(set(patterns[0].numbers) & set(patterns[1].numbers)))
    if patterns[0].numbers != patterns[1].numbers:
        unlike = min(set(patterns[0].numbers) ^ set(patterns[1].numbers))
        lacks = patterns[0] if unlike in patterns[1].numbers else patterns[1]
        return lacks.feature.gap(f"hole-{unlike}")
    uses = tuple(pattern.points[number] for pattern in patterns for number in shared)
    middle = _fitted(patterns, *(pattern.central for pattern in patterns))
    if _turn(middle[0]) > math.pi / 2:
        return Gap(first.name, "hole-1", "the holes agree best with the rack turned over: check their numbers")
    if draws is None:
        return Placement(*middle, uses)

    def make() -> tuple[Placement, Feature, Feature]:
        placed = Placement(*_fitted(patterns, *(_samples(pattern, draws) for pattern in patterns)), uses)
        return placed, first, second  # kept with it, so that no other feature comes to have their identities

    placed: Placement = draws.once((placement, id(first), id(second)), make)[0]
    return placed


def _samples(pattern: Pattern, draws: Draws) -> Floats:
    import numpy as np

    return np.stack([draws.of_point(use).T for use in pattern.points.values()], axis=1)


def _turn(rotation: Floats) -> float:
    import numpy as np

    return math.acos(max(-1.0, min(1.0, (float(np.trace(rotation)) - 1) / 2)))


def _fitted(patterns: tuple[Pattern, Pattern], first: Any, second: Any) -> tuple[Floats, Floats]:
    import numpy as np

    middle, other = first.mean(axis=-2), second.mean(axis=-2)
    own, there = first - middle[..., None, :], second - other[..., None, :]
    if any(pattern.normal is None for pattern in patterns):
        rotation = _least_turn(patterns[0].along, patterns[1].along, own, there)
    else:
        left, _, right = np.linalg.svd(np.swapaxes(there, -1, -2) @ own)
        left[..., :, 2] *= np.sign(np.linalg.det(left) * np.linalg.det(right))[..., None]
        rotation = left @ right
    return rotation, other - (rotation @ middle[..., None])[..., 0]


def _least_turn(along: Floats, way: Floats, own: Any, there: Any) -> Floats:
    """The least turn (..., 3, 3) that brings the row of one pattern into that of the other (Rodrigues)."""
    import numpy as np

    def row(points: Any, direction: Floats) -> Any:
        pull = np.sum(points * (points @ direction)[..., None], axis=-2)
        return pull / np.linalg.norm(pull, axis=-1, keepdims=True)

    start, end = row(own, along), row(there, way)
    same = np.sum(own @ along * (there @ way), axis=-1)
    end = end * np.where(same < 0, -1.0, 1.0)[..., None]
    cross, cosine = np.cross(start, end), np.sum(start * end, axis=-1)
    skew = np.zeros((*cross.shape, 3))
    for row_of, column, axis, sign in (
        (0, 1, 2, -1),
        (0, 2, 1, 1),
        (1, 0, 2, 1),
        (1, 2, 0, -1),
        (2, 0, 1, -1),
        (2, 1, 0, 1),
    ):
        skew[..., row_of, column] = sign * cross[..., axis]
    return np.asarray(np.eye(3) + skew + skew @ skew / (1 + cosine)[..., None, None])
