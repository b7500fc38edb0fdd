"""Where holes lie, from the distances between them as a calliper takes them: positions, doubt, and what does not agree.

Distances tell neither where a pattern lies nor which way it is turned or seen. The datum is the pattern's own: the
first hole is the origin, the second lies on the x axis, the first one clearly off that line has y above zero.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product
from typing import TYPE_CHECKING

from fitment.errors import DataFault
from fitment.identify import hole_fit

if TYPE_CHECKING:
    from fitment.identify.hole_fit import Floats, Network

#: kind of a reading -> how often the radius of the first and of the second hole is in it beside the centre distance
KINDS: dict[str, tuple[int, int]] = {"centre": (0, 0), "inside": (-1, -1), "outside": (1, 1), "edge": (1, -1)}

#: more holes than any bracket has; bounds the work
MOST_HOLES = 24

#: share of sound sets of readings in which one is doubted wrongly (own choice)
FALSE_ALARM = 0.01

#: readings whose removal leaves nearly as small a misfit are suspects too: 2 ln 19, odds of 19 to 1 as everywhere
RIVAL_MISFIT = 5.9

#: a pattern whose sum of squares is larger than the best one's by less than this agrees as well (three u, own choice)
SAME_MISFIT = 9.0

#: patterns listed at most where several agree with the readings
_MOST_PATTERNS = 8

#: suspects that are examined, those first that the linear test doubts most
_EXAMINED = 12


@dataclass(frozen=True)
class HoleDistance:
    """One reading between two holes.

    Attributes:
        first, second: numbers of the holes; their order matters for kind "edge".
        kind: a key of `KINDS`.
        value, u: the reading and its standard uncertainty, mm.
    """

    first: int
    second: int
    kind: str
    value: float
    u: float

    @property
    def pair(self) -> tuple[int, int]:
        """The two holes, the lower number first."""
        return min(self.first, self.second), max(self.first, self.second)

    @property
    def name(self) -> str:
        """``1-2 outside``."""
        return f"{self.first}-{self.second} {self.kind}"


@dataclass(frozen=True)
class HoleDiameter:
    """Diameter of a hole and its standard uncertainty, mm. Holes with the same `reading` share its error."""

    value: float
    u: float
    reading: str


@dataclass(frozen=True)
class HolePosition:
    """A hole in the pattern's own datum; mm."""

    hole: int
    x: float
    y: float
    u_x: float
    u_y: float


@dataclass(frozen=True)
class Suspect:
    """A reading without which the rest agree better.

    Attributes:
        reading: the reading.
        expected: what it should be by the rest, mm, in its own kind.
        t: its deviation from the rest in standard uncertainties (externally studentised: the rest alone foretell it,
           and the uncertainties are those stated); the sign is that of reading less expected.
        meant: the kind, as ``1-3 inside``, with which it would agree; None where there is none.
    """

    reading: HoleDistance
    expected: float
    t: float
    meant: str | None


@dataclass(frozen=True)
class Telling:
    """The distance that tells patterns apart: between which holes, and what it is in each pattern, mm."""

    pair: tuple[int, int]
    centres: tuple[float, ...]


@dataclass(frozen=True)
class HolePattern:
    """What the distances say.

    Attributes:
        holes: numbers of the holes, ascending.
        positions: one per hole; empty where too few distances were given.
        covariance: (2 n, 2 n) mm², of x, y of each hole in turn.
        centres: centre distance of each reading, mm.
        residuals: centre distance of each reading less that of the pattern, mm.
        rms: root mean square of the normalised residuals of the readings that were used.
        freedom: degrees of freedom: how many of the readings used check the others.
        agree: whether the readings used agree within their uncertainties.
        suspects: readings that do not agree with the rest, the worst first.
        left_out: the one suspect that the positions are worked out without; None where none was.
        missing: pairs whose distances would fix the pattern.
        others: further patterns that agree with the readings as well, as positions.
        telling: the distance that tells them apart; None where there is one pattern.
        facing: three holes that tell the pattern from its mirror image; None for holes in a row.
        in_a_row: whether holes lie so nearly in a row that distances hardly fix how far they are out of line.
    """

    holes: tuple[int, ...]
    positions: tuple[HolePosition, ...] = ()
    covariance: tuple[tuple[float, ...], ...] = ()
    centres: tuple[float, ...] = ()
    residuals: tuple[float, ...] = ()
    rms: float = 0.0
    freedom: int = 0
    agree: bool = True
    suspects: tuple[Suspect, ...] = ()
    left_out: HoleDistance | None = None
    missing: tuple[tuple[int, int], ...] = ()
    others: tuple[tuple[HolePosition, ...], ...] = ()
    telling: Telling | None = None
    facing: tuple[int, int, int] | None = None
    in_a_row: bool = False

    @property
    def settled(self) -> bool:
        """Whether there is one pattern and every reading agrees with it."""
        return bool(self.positions) and self.agree and not self.suspects and not self.others


Diameters = Mapping[int, HoleDiameter]


def centre_distance(reading: HoleDistance, diameters: Diameters) -> float:
    """Centre distance of a reading, mm.

    Raises:
        DataFault: it needs a diameter that is not given.
    """
    total = reading.value
    for hole, times in zip((reading.first, reading.second), KINDS[reading.kind], strict=True):
        if times:
            if hole not in diameters:
                raise DataFault(
                    f"{reading.name} is taken at the edge of hole {hole}, whose diameter is not given",
                    mending=f'add --dia "{hole} 10.5", or --dia-all where all are alike',
                    code="holes-04",
                )
            total -= times * diameters[hole].value / 2
    return total


def errors_of(readings: Sequence[HoleDistance], diameters: Diameters) -> Floats:
    """Covariance (m, m) of the centre distances, mm²: each reading's own error, and those of diameters it shares."""
    import numpy as np

    sources = sorted({diameter.reading for diameter in diameters.values()})
    shared = np.zeros((len(readings), len(sources)))
    for row, reading in enumerate(readings):
        for hole, times in zip((reading.first, reading.second), KINDS[reading.kind], strict=True):
            if times:
                shared[row, sources.index(diameters[hole].reading)] -= times / 2 * diameters[hole].u
    return np.asarray(np.diag([reading.u**2 for reading in readings]) + shared @ shared.T)


def solve_holes(
    readings: Sequence[HoleDistance], diameters: Diameters | None = None, clockwise: bool | None = None
) -> HolePattern:
    """The pattern that agrees best with the readings, by weighted least squares.

    Args:
        readings: each pair and kind once.
        diameters: of the holes at whose edges readings were taken.
        clockwise: whether `HolePattern.facing` run clockwise as one looks at the face; None leaves y above zero.

    Raises:
        DataFault: the readings are nonsense: a distance no holes can have, a triangle that does not close.
    """
    diameters = diameters or {}
    holes = tuple(sorted({hole for reading in readings for hole in reading.pair}))
    if len(holes) > MOST_HOLES:
        raise DataFault(f"{len(holes)} holes are more than {MOST_HOLES}", mending="take them in parts", code="holes-08")
    centres = [centre_distance(reading, diameters) for reading in readings]
    _refuse_overlap(readings, centres, diameters)
    _refuse_open_triangles(readings, centres, diameters)
    missing = _missing(holes, readings)
    if missing:
        return HolePattern(holes, centres=tuple(centres), missing=missing)
    task = _Task(holes, tuple(readings), diameters, clockwise)
    suspects, left_out = task.suspects()
    if left_out is None:
        return replace(task.pattern(), suspects=suspects)
    rest = _Task(holes, tuple(r for r in readings if r != left_out), diameters, clockwise).pattern()
    at = {position.hole: (position.x, position.y) for position in rest.positions}
    residuals = [
        centre - math.dist(at[reading.first], at[reading.second])
        for reading, centre in zip(readings, centres, strict=True)
    ]
    return replace(
        rest, suspects=suspects, left_out=left_out, centres=tuple(centres), residuals=tuple(residuals)
    )


def _refuse_overlap(readings: Sequence[HoleDistance], centres: Sequence[float], diameters: Diameters) -> None:
    for reading, centre in zip(readings, centres, strict=True):
        known = [diameters[hole] for hole in reading.pair if hole in diameters]
        least = sum(diameter.value for diameter in known) / 2
        slack = 3 * (reading.u + sum(diameter.u for diameter in known))
        if centre <= 0 or (known and centre < least - slack):
            raise DataFault(
                f"{reading.name} {reading.value:g} mm: with centres {centre:g} mm apart the holes would run into "
                "each other",
                mending="measure again; inside is between the near edges, outside over the far ones",
                code="holes-05",
            )


def _refuse_open_triangles(readings: Sequence[HoleDistance], centres: Sequence[float], diameters: Diameters) -> None:
    by_pair: dict[tuple[int, int], list[tuple[HoleDistance, float]]] = {}
    for reading, centre in zip(readings, centres, strict=True):
        by_pair.setdefault(reading.pair, []).append((reading, centre))
    for a, b, c in combinations(sorted({hole for pair in by_pair for hole in pair}), 3):
        sides = [by_pair.get(pair, []) for pair in ((a, b), (b, c), (a, c))]
        for three in product(*sides):
            (long, longest), (one, _), (two, _) = sorted(three, key=lambda side: -side[1])
            others = sum(side for _, side in three) - longest
            taken = [reading for reading, _ in three]
            u = math.sqrt(float(errors_of(taken, diameters).sum()))
            if longest - others > 3 * u:
                raise DataFault(
                    f"{long.name}, {one.name} and {two.name} do not close a triangle: centres {longest:.6g} mm apart "
                    f"are more than the {others:.6g} mm by way of the third hole, beyond three times u = {u:.2g} mm",
                    mending=_closing(taken, diameters) or "measure the three again",
                    code="holes-06",
                )


def _closing(three: Sequence[HoleDistance], diameters: Diameters) -> str | None:
    """Which of three readings closes their triangle if it was taken at other edges, as a sentence."""
    found = []
    for reading in three:
        for meant in other_kinds(reading, diameters):
            sides = sorted(centre_distance(meant if r == reading else r, diameters) for r in three)
            if 0 < sides[0] and sides[2] <= sides[0] + sides[1]:
                found.append(meant.name)
    return f"measure the three again; did you mean {' or '.join(found)}?" if found else None


def other_kinds(reading: HoleDistance, diameters: Diameters) -> list[HoleDistance]:
    """The same reading taken as another kind, as far as the diameters are known that it needs."""
    if not {reading.first, reading.second} <= set(diameters):
        return []
    turned = replace(reading, first=reading.second, second=reading.first)
    choices = [replace(reading, kind=kind) for kind in KINDS if kind != reading.kind]
    return choices + ([turned] if reading.kind == "edge" else [replace(turned, kind="edge")])


def _missing(holes: Sequence[int], readings: Sequence[HoleDistance]) -> tuple[tuple[int, int], ...]:
    """Pairs, as few as will do, whose distances would make the pattern rigid; the first in order that help."""
    number = {hole: index for index, hole in enumerate(holes)}
    given = [(number[a], number[b]) for a, b in {reading.pair for reading in readings}]
    wanted: list[tuple[int, int]] = []
    free = hole_fit.free_motions(len(holes), given)
    for pair in combinations(range(len(holes)), 2):
        if free and pair not in given and hole_fit.free_motions(len(holes), [*given, *wanted, pair]) < free:
            wanted.append(pair)
            free -= 1
    return tuple((holes[a], holes[b]) for a, b in wanted)


@dataclass(frozen=True)
class _Task:
    """Readings enough to make a pattern rigid, and what is asked of it."""

    holes: tuple[int, ...]
    readings: tuple[HoleDistance, ...]
    diameters: Diameters
    clockwise: bool | None
