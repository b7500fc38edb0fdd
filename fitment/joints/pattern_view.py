"""Two hole patterns as registered, in one plane: what a drawing, a template and an adapter plate are made to."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from fitment.finding import Gap
from fitment.frozen import dataclass
from fitment.joints.hole_registration import Registration, turned
from fitment.joints.pattern_pair import Pair, pair_of
from fitment.joints.registration import Feature, Setting

Place = tuple[float, float]

#: the car's axes, with and against
_NAMES = (("forward", "rearward"), ("left", "right"), ("up", "down"))


@dataclass(frozen=True)
class SeenHole:
    """A hole in the plane.

    Attributes:
        number: its number.
        at: its axis, mm; which way its two coordinates run is for `SeenPair.ways` to say.
        diameter: mm; of a slot its width; None where not known.
        half_slot: half of a slot as a vector along it, mm; (0, 0) for a round hole.
    """

    number: int
    at: Place
    diameter: float | None
    half_slot: Place = (0.0, 0.0)


@dataclass(frozen=True)
class SeenPattern:
    """The holes of one part, in order of their numbers, and whether it holds the thread."""

    name: str
    holes: tuple[SeenHole, ...]
    captive: bool


@dataclass(frozen=True)
class SeenPair:
    """Two patterns brought together as well as they go, both as `joints.hole_registration` has them.

    Attributes:
        first, second: the two, in the plane and the coordinates of the second, mm. Where it is given by points these
            are car coordinates, laid on its own plane.
        first_alone: the first in its own plane and coordinates.
        apart: how far the axes of each pair of holes are apart, mm.
        misfit: the same less the slack of the holes, mm: above zero the bolt does not pass.
        turned_by: how far the first is turned from its own coordinates, anticlockwise as seen, degrees.
        bolt: designation of the bolt; nominal diameter, mm.
        ways: which way the two coordinates run, the most of them: ``forward``, ``left``; of a face that stands upright
            ``down``, ``left``. ``x``, ``y`` where distances alone tell the pattern: no way of the car is known then.
        ways_alone: the same of `first_alone`.
    """

    first: SeenPattern
    second: SeenPattern
    first_alone: SeenPattern
    apart: tuple[float, ...]
    misfit: tuple[float, ...]
    turned_by: float
    bolt: tuple[str, float]
    ways: tuple[str, str]
    ways_alone: tuple[str, str]

    def placed(self, hole: SeenHole) -> SeenHole:
        """A hole of `first_alone`, or one made from it, as it lies registered."""
        turn = math.radians(self.turned_by)
        (x, y), (alone, laid) = hole.at, (self.first_alone.holes[0].at, self.first.holes[0].at)
        forward, left = _turned((x - alone[0], y - alone[1]), turn)
        return replace(hole, at=(laid[0] + forward, laid[1] + left), half_slot=_turned(hole.half_slot, turn))


def _turned(way: Place, turn: float) -> Place:
    cos, sin = math.cos(turn), math.sin(turn)
    return way[0] * cos - way[1] * sin, way[0] * sin + way[1] * cos


def seen_together(first: Feature, second: Feature, setting: Setting) -> SeenPair | tuple[Gap, ...]:
    """Two patterns registered at their adopted values; or what is missing for it.

    Args:
        first: the pattern that is laid on the other, the rack's.
        second: the other.
        setting: as of the check.
    """
    import numpy as np

    pair = pair_of(first, second, setting)
    bolt = pair.bolt
    if bolt is None:
        return (first.gap("bolt"),)
    if not pair.registered.known:
        return pair.registered.gaps
    two_ways = [side.feature.name for side in pair.sides if side.two_ways]
    if two_ways:  # drawn the wrong way over, a template would be the mirror image of the part
        why = "distances do not tell the pattern from its mirror image: give points"
        return tuple(Gap(name, "holes", why) for name in two_ways)
    own = pair.parts
    found: Registration = own[0].at(pair.central)
    p, q = (np.asarray(size.at(pair.central), dtype=float) for size in own[1:3])
    angle = np.radians(found.angle)
    laid = turned(p, angle) + found.shift
    slots = _slots(pair, len(p))
    apart = laid - q
    return SeenPair(
        _seen(pair, 0, laid, turned(slots[0], angle)),
        _seen(pair, 1, q, slots[1]),
        _seen(pair, 0, p, slots[0]),
        tuple(float(one) for one in np.hypot(apart[:, 0], apart[:, 1])),
        tuple(float(one) for one in found.misfit),
        float(found.angle),
        (bolt.designation, bolt.nominal),
        _ways(pair, 1),
        _ways(pair, 0),
    )


def _ways(pair: Pair, which: int) -> tuple[str, str]:
    """Which way the axes of a side's plane run, the most of them."""
    import numpy as np

    face = None if isinstance(pair.seen, Gap) else pair.seen[which]
    if face is None:
        return "x", "y"
    along = [int(np.argmax(np.abs(axis))) for axis in face.axes[:2]]
    names = [_NAMES[axis][0 if face.axes[row][axis] > 0 else 1] for row, axis in enumerate(along)]
    return names[0], names[1]


def _slots(pair: Pair, count: int) -> tuple[Any, Any]:
    """Half slots of both sides, (n, 2), zero where a side has none."""
    import numpy as np

    given = iter(pair.parts[4:])
    halves = []
    for side in pair.sides:
        has = side.feature.get("slot") is not None or "slot" in side.feature.gaps
        halves.append(np.asarray(next(given).at(pair.central)) if has else np.zeros((count, 2)))
    return halves[0], halves[1]


def _seen(pair: Pair, which: int, places: Any, slots: Any) -> SeenPattern:
    side = pair.sides[which]
    holes = []
    for number, place, half in zip(pair.first.numbers, places, slots, strict=True):
        size = side.diameter(number)
        diameter = size.central if size.known else None
        holes.append(SeenHole(number, (float(place[0]), float(place[1])), diameter, (float(half[0]), float(half[1]))))
    return SeenPattern(side.feature.name, tuple(holes), side.captive)
