"""What readings say of a hole pattern: which holes, where, how large, which bolt; all as sizes with their doubt.

A face is flat: points are laid on the plane that fits them best, each part on its own. Both are seen from the same
side, so that a pattern cannot register with its mirror image: points of both parts are taken x forward, y left, z up,
as the part sat in its car, and the normals of the two planes point the same way. A pattern in a row has no plane of its
own and takes that of the other part, or the level. Readings turn the plane by their doubt; that shortens distances by
its square and is left out.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from fitment.doubt import Draws
from fitment.errors import DataFault
from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.identify.hole_readings import HoleDiameter, HoleDistance
from fitment.joints.answering import Pick, Size, formula, lacking, size_of
from fitment.joints.registration import Feature
from fitment.quantity.points import distances_of, point_of
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import Thread

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from fitment.identify.holes import HolePattern

    Floats = NDArray[np.float64]

#: most holes that the dictionary has positions for
_MOST = 8

#: holes nearer to a line than this, mm root mean square, are in a row: their tilt is not known (own choice)
_IN_A_ROW = 10.0

#: faces further apart than this, degrees, do not tell from which side to look (own choice)
_FACING = 60.0


def thread_at(feature: Feature, dimension: str) -> Thread | None:
    """The thread that a word names; None where there is none, or one that cannot be read."""
    use = feature.get(dimension)
    if use is None:
        return None
    try:
        return parse_thread(use.word).thread
    except DataFault:
        return None


@dataclass(frozen=True)
class Pattern:
    """The holes of one part.

    Attributes:
        feature: the part's pattern.
        points: adopted points by hole number; empty where distances alone say where the holes lie.
        solved: what the distances say; None where there are points, or nothing.
        gaps: why it is not known where the holes lie.
    """

    feature: Feature
    points: Mapping[int, Use]
    solved: HolePattern | None
    gaps: tuple[Gap, ...] = ()

    @property
    def numbers(self) -> tuple[int, ...]:
        """Numbers of the holes whose place is known."""
        return tuple(self.points) or (self.solved.holes if self.solved is not None else ())

    @property
    def captive(self) -> bool:
        """Whether the part holds the thread: a weld nut, a tapped boss or a stud."""
        return self.feature.get("captive") is not None

    @property
    def locating(self) -> frozenset[int]:
        """Numbers of the holes that locate."""
        use = self.feature.get("locating")
        return frozenset() if use is None else frozenset(int(number) for number in re.findall(r"\d+", use.word))

    @property
    def two_ways(self) -> bool:
        """Whether the distances leave open from which side the pattern is seen."""
        return self.solved is not None and self.solved.facing is not None

    @cached_property
    def central(self) -> Floats:
        """The points (n, 3) at the adopted values; mm."""
        import numpy as np

        return np.array([point_of(use) for use in self.points.values()])

    @property
    def along(self) -> Floats:
        """The direction (3,) in which the points are furthest apart."""
        import numpy as np

        return np.asarray(np.linalg.svd(self.central - self.central.mean(axis=0))[2][0])

    @property
    def normal(self) -> Floats | None:
        """The normal (3,) of the best plane; None for holes in a row."""
        import numpy as np

        _, spread, axes = np.linalg.svd(self.central - self.central.mean(axis=0))
        if len(self.points) < 3 or spread[1] < _IN_A_ROW * math.sqrt(len(self.points)):
            return None
        return np.asarray(axes[2])

    def diameter(self, hole: int) -> Size:
        """Diameter of a hole, mm; of a slot its width."""
        own = size_of(self.feature, f"hole-{hole}-dia")
        return own if own.known or f"hole-{hole}-dia" in self.feature.gaps else size_of(self.feature, "hole-dia")


def pattern_of(feature: Feature) -> Pattern:
    """The holes of a part, by their points where there are two or more, else by the distances between them."""
    names = {number: f"hole-{number}" for number in range(1, _MOST + 1)}
    points = {number: use for number, name in names.items() if (use := feature.get(name)) is not None}
    doubtful = [feature.gap(name) for name in names.values() if name in feature.gaps]
    if doubtful or len(points) > 1:
        return Pattern(feature, points, None, tuple(doubtful))
    use = feature.get("holes")
    if use is None:
        one = feature.gap("holes") if "holes" in feature.gaps else feature.gap("hole-2" if points else "hole-1")
        return Pattern(feature, {}, None, (one,))
    try:
        solved = _solved(feature, use)
    except DataFault as fault:
        return Pattern(feature, {}, None, (Gap(feature.name, "holes", fault.message),))
    return Pattern(feature, {}, solved, _unsettled(feature, solved))


def _solved(feature: Feature, use: Use) -> HolePattern:
    from fitment.identify.holes import solve_holes  # a kit without distances does not pay for it

    readings = [HoleDistance(*one) for one in distances_of(use)]
    shell = Pattern(feature, {}, None)
    diameters = {}
    for hole in sorted({hole for reading in readings for hole in reading.pair}):
        size = shell.diameter(hole)
        if size.known:
            source = size.uses[0]
            diameters[hole] = HoleDiameter(source.number, source.u or 0.0, source.dimension)
    return solve_holes(readings, diameters)


def _unsettled(feature: Feature, solved: HolePattern) -> tuple[Gap, ...]:
    """Why distances do not say where the holes lie; empty where they do."""
    if solved.missing:
        pairs = ", ".join(f"{a}-{b}" for a, b in solved.missing)
        return (Gap(feature.name, "holes", f"too few distances: {pairs} would fix the pattern"),)
    if solved.suspects or not solved.agree:
        named = f": {solved.suspects[0].reading.name} is the one to measure again" if solved.suspects else ""
        return (Gap(feature.name, "holes", f"the distances do not agree{named}"),)
    if solved.telling is not None:
        a, b = solved.telling.pair
        return (
            Gap(feature.name, "holes", f"several patterns agree with the distances: {a}-{b} would tell them apart"),
        )
    return ()


@dataclass(frozen=True)
class Face:
    """A plane to look at a pattern in: `axes` (3, 3) of unit vectors forward, left and towards the viewer."""

    axes: Floats

    def flat(self, points: Any) -> Any:
        """Points (..., 3) as seen in the plane (..., 2)."""
        import numpy as np

        return np.asarray(points) @ self.axes[:2].T

    def heights(self, points: Floats) -> Floats:
        """How far points (n, 3) lie off their mean plane (n,), towards the viewer."""
        import numpy as np

        return np.asarray((points - points.mean(axis=0)) @ self.axes[2])


def faces(first: Pattern, second: Pattern) -> tuple[Face, Face] | Gap:
    """The planes of two patterns given by points, seen from the same side; or why the side is not known."""
    import numpy as np

    normals = [first.normal, second.normal]
    lead = next((one for one in (normals[1], normals[0]) if one is not None), np.array([0.0, 0.0, 1.0]))
    if (lead[2] if abs(lead[2]) >= 0.5 else lead[0]) < 0:
        lead = -lead  # upwards, or forwards where the face stands upright: the same for both is what counts
    made = []
    for pattern, own in zip((first, second), normals, strict=True):
        normal = lead - pattern.along * float(lead @ pattern.along) if own is None else own
        normal = normal / np.linalg.norm(normal)
        normal = -normal if normal @ lead < 0 else normal
        made.append(_face(normal))
    apart = math.degrees(math.acos(min(1.0, float(made[0].axes[2] @ made[1].axes[2]))))
    if apart > _FACING:
        why = f"its face is {apart:.0f} deg from that of {second.feature.name}: from which side to look is not known"
        return Gap(first.feature.name, "hole-1", why)
    return made[0], made[1]


def _face(normal: Floats) -> Face:
    import numpy as np

    left = np.array([0.0, 1.0, 0.0]) - normal * normal[1]
    if np.linalg.norm(left) < 0.1:
        left = np.array([0.0, 0.0, 1.0]) - normal * normal[2]
    left = left / np.linalg.norm(left)
    return Face(np.stack((np.cross(left, normal), left, normal)))


def positions(pattern: Pattern, face: Face | None, mirrored: bool = False) -> Size:
    """Where the holes lie in the plane, (n, 2) or samples (count, n, 2), mm; in order of their numbers.

    Args:
        face: for patterns given by points.
        mirrored: for distances, the pattern as seen from the other side.
    """
    if pattern.gaps:
        return lacking(*pattern.gaps)
    if face is not None:
        return Size(lambda pick: face.flat(_points(pattern, pick)), tuple(pattern.points.values()))
    use = pattern.feature.get("holes")
    assert use is not None

    def at(pick: Pick) -> Any:
        import numpy as np

        found = _from_distances(pattern, pick)
        return found * np.array([1.0, -1.0]) if mirrored else found

    return Size(at, (use,))


def _points(pattern: Pattern, pick: Pick) -> Any:
    import numpy as np

    if not isinstance(pick, Draws):
        return pattern.central
    return np.stack([pick.of_point(use).T for use in pattern.points.values()], axis=1)


def _from_distances(pattern: Pattern, pick: Pick) -> Any:
    import numpy as np

    assert pattern.solved is not None
    middle = np.array([(one.x, one.y) for one in pattern.solved.positions])
    if not isinstance(pick, Draws):
        return middle
    values, vectors = np.linalg.eigh(np.array(pattern.solved.covariance))
    use = pattern.feature.values["holes"]
    alone = [
        replace(use, dimension=f"holes.{number}", value=0.0, u=1.0, shape="normal") for number in range(middle.size)
    ]
    samples = np.stack([pick.of(one) for one in alone], axis=1)
    moves = (samples * np.sqrt(np.maximum(values, 0.0))) @ vectors.T
    return middle + moves.reshape(-1, *middle.shape)


def half_slot(pattern: Pattern, face: Face | None) -> Size | None:
    """Half of the slot as vectors along it, (n, 2) or (count, n, 2), mm, zero for round holes; None without a slot.

    The slot's direction is measured from straight across the car, its left end turned forwards counting plus.
    """
    feature = pattern.feature
    if feature.get("slot") is None and "slot" not in feature.gaps:
        return None
    length, number, angle = (size_of(feature, name) for name in ("slot", "slot-hole", "slot-angle"))
    if face is None:
        return lacking(Gap(feature.name, "slot-angle", "distances do not tell which way the slot lies: give points"))
    if number.known and int(number.central) not in pattern.numbers:
        return lacking(Gap(feature.name, "slot-hole", f"there is no hole {number.central:g}"))

    def vectors(overall: Any, width: Any, degrees: Any) -> Any:
        import numpy as np

        half, turn = np.maximum(overall - width, 0.0) / 2, np.radians(degrees)
        way = face.flat(np.stack((np.sin(turn), np.cos(turn), np.zeros_like(turn)), axis=-1))
        out = np.zeros((*np.shape(half), len(pattern.numbers), 2))
        out[..., pattern.numbers.index(int(number.central)), :] = half[..., None] * way
        return out

    if not number.known:
        return lacking(*number.gaps)
    return formula(vectors, length, pattern.diameter(int(number.central)), angle)
