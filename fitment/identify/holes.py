"""Where holes lie, from the distances between them as a calliper takes them: positions, doubt, and what does not agree.

Distances tell neither where a pattern lies nor which way it is turned or seen. The datum is the pattern's own: the
first hole is the origin, the second lies on the x axis, the first one clearly off that line has y above zero.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from itertools import combinations
from statistics import NormalDist
from typing import TYPE_CHECKING

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.identify import hole_fit, hole_patterns
from fitment.identify.hole_readings import (
    Diameters,
    HoleDistance,
    centre_distance,
    errors_of,
    other_kinds,
    refuse_open_triangles,
    refuse_overlap,
)

if TYPE_CHECKING:
    from fitment.identify.hole_fit import Floats

#: more holes than a mounting pattern has; bounds the work to a second
MOST_HOLES = 12

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
        meant: the same reading taken as another kind, with which it would agree; None where there is none.
    """

    reading: HoleDistance
    expected: float
    t: float
    meant: HoleDistance | None


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
        left_out: the one suspect that the positions are worked out without (or with what was meant by it); None
            where none was.
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
    left_out: Suspect | None = None
    missing: tuple[tuple[int, int], ...] = ()
    others: tuple[tuple[HolePosition, ...], ...] = ()
    telling: Telling | None = None
    facing: tuple[int, int, int] | None = None
    in_a_row: bool = False

    @property
    def settled(self) -> bool:
        """Whether there is one pattern and every reading agrees with it."""
        return bool(self.positions) and self.agree and not self.suspects and not self.others


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
        raise DataFault(
            f"{len(holes)} holes are more than {MOST_HOLES}", mending="take the pattern in parts", code="holes-08"
        )
    centres = [centre_distance(reading, diameters) for reading in readings]
    refuse_overlap(readings, centres, diameters)
    missing = _missing(holes, readings)
    if missing:
        refuse_open_triangles(readings, diameters)
        return HolePattern(holes, centres=tuple(centres), missing=missing)
    task = _Task(holes, tuple(readings), diameters)
    suspects = task.suspects()
    left_out = _sole(suspects)
    used = task if left_out is None else task.without(left_out.reading)
    if left_out is not None and left_out.meant is not None:
        used = replace(used, readings=(*used.readings, left_out.meant))
    refuse_open_triangles(used.readings, diameters)
    pattern = used.pattern(clockwise)
    at = {position.hole: (position.x, position.y) for position in pattern.positions}
    fitted = [math.dist(at[reading.first], at[reading.second]) for reading in readings]
    return replace(
        pattern,
        suspects=suspects,
        left_out=left_out,
        centres=tuple(centres),
        residuals=tuple(centre - distance for centre, distance in zip(centres, fitted, strict=True)),
    )


def _sole(suspects: Sequence[Suspect]) -> Suspect | None:
    """The one to leave out: the only suspect, or the only one that another kind would mend."""
    mended = [suspect for suspect in suspects if suspect.meant]
    named = mended if len(mended) == 1 else suspects
    return named[0] if len(named) == 1 else None


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
    """Readings enough to make a pattern rigid."""

    holes: tuple[int, ...]
    readings: tuple[HoleDistance, ...]
    diameters: Diameters

    def without(self, reading: HoleDistance) -> _Task:
        return replace(self, readings=tuple(other for other in self.readings if other != reading))

    @property
    def freedom(self) -> int:
        return len(self.readings) - (2 * len(self.holes) - 3)

    @cached_property
    def net(self) -> hole_fit.Network:
        number = {hole: index for index, hole in enumerate(self.holes)}
        return hole_fit.network(
            len(self.holes),
            [(number[reading.first], number[reading.second]) for reading in self.readings],
            [centre_distance(reading, self.diameters) for reading in self.readings],
            errors_of(self.readings, self.diameters),
        )

    @cached_property
    def settled(self) -> tuple[Floats, Floats]:
        """What every start leads to: points and sums of squares."""
        return hole_fit.adjust(self.net, hole_fit.starts(self.net))

    @cached_property
    def best(self) -> tuple[Floats, float]:
        """The points with the least sum of squares, and that sum."""
        found, squares = self.settled
        first = int(squares.argmin())
        return hole_fit.in_datum(found[first]), float(squares[first])

    @property
    def scatters(self) -> bool:
        """Whether the sum of squares is beyond what chance allows (chi square, by Wilson and Hilferty, from memory)."""
        if self.freedom == 0:
            return False
        ninth = 2 / (9 * self.freedom)
        limit = self.freedom * (1 - ninth + NormalDist().inv_cdf(1 - FALSE_ALARM) * math.sqrt(ninth)) ** 3
        return self.best[1] > limit

    def suspects(self) -> tuple[Suspect, ...]:
        """The readings each of which, left out, makes the rest agree best; none where all agree."""
        limit = NormalDist().inv_cdf(1 - FALSE_ALARM / (2 * len(self.readings)))
        tests = hole_fit.outlier_tests(self.net, self.best[0])
        if not self.scatters and max(tests) <= limit:
            return ()
        order = sorted((index for index, t in enumerate(tests) if t > 0), key=lambda index: -tests[index])
        rests = [(self.readings[index], self.without(self.readings[index])) for index in order[:_EXAMINED]]
        least = min((rest.best[1] for _, rest in rests), default=0.0)
        found = [
            self._suspect(reading, rest)
            for reading, rest in rests
            if rest.best[1] <= least + RIVAL_MISFIT and self.best[1] - rest.best[1] > limit**2
        ]
        return tuple(sorted(found, key=lambda suspect: (suspect.meant is None, -abs(suspect.t))))

    def _suspect(self, reading: HoleDistance, rest: _Task) -> Suspect:
        least = rest.best[1]
        as_meant = [
            (replace(rest, readings=(*rest.readings, meant)).best[1], meant)
            for meant in other_kinds(reading, self.diameters)
            if centre_distance(meant, self.diameters) > 0
        ]
        mended = [choice for choice in as_meant if choice[0] <= least + SAME_MISFIT]
        meant = min(mended, key=lambda choice: choice[0])[1] if mended else None
        # the rest alone may allow a mirrored part: then the nearest of what they foretell
        a, b = (self.holes.index(hole) for hole in reading.pair)
        centre, near = centre_distance(reading, self.diameters), centre_distance(meant or reading, self.diameters)
        points, squares = rest.settled
        foretold = [math.dist(at[a], at[b]) for at in points[squares <= least + SAME_MISFIT]]
        expected = reading.value - centre + min(foretold, key=lambda distance: abs(distance - near))
        t = math.copysign(math.sqrt(self.best[1] - least), reading.value - expected)
        return Suspect(reading, expected, t, meant)

    def pattern(self, clockwise: bool | None) -> HolePattern:
        """The best pattern, and those that agree with the readings as well."""
        patterns = hole_patterns.patterns(self.net, self.settled, SAME_MISFIT, _MOST_PATTERNS)
        placed = [self._placed(at, clockwise) for at in patterns]
        positions, covariance, facing, in_a_row = placed[0]
        return HolePattern(
            self.holes,
            positions,
            covariance,
            rms=math.sqrt(self.best[1] / len(self.readings)),
            freedom=self.freedom,
            agree=not self.scatters,
            others=tuple(other[0] for other in placed[1:]),
            telling=self._telling([other[0] for other in placed]),
            facing=facing,
            in_a_row=in_a_row,
        )

    def _placed(
        self, at: Floats, clockwise: bool | None
    ) -> tuple[tuple[HolePosition, ...], tuple[tuple[float, ...], ...], tuple[int, int, int] | None, bool]:
        """Points in the datum on the wanted side: positions, their covariance, which holes face, whether in a row."""
        import numpy as np

        covariance, in_a_row = hole_fit.covariance(self.net, at)
        u = np.sqrt(np.diag(covariance)).reshape(-1, 2)
        aside = np.abs(at[:, 1]) / np.maximum(u[:, 1], 1e-300)
        clear = [index for index in range(2, len(at)) if aside[index] > 3]
        deciding = clear[0] if clear else int(np.argmax(np.abs(at[:, 1])))
        if (at[deciding, 1] < 0) != bool(clear and clockwise):
            sides = np.tile([1.0, -1.0], len(at))
            at, covariance = at * [1.0, -1.0], covariance * np.outer(sides, sides)
        at = at + 0.0  # no negative zeros
        positions = tuple(
            HolePosition(hole, *map(float, (*at[index], *u[index]))) for index, hole in enumerate(self.holes)
        )
        facing = (self.holes[0], self.holes[1], self.holes[deciding]) if clear else None
        return positions, tuple(tuple(map(float, row)) for row in covariance + 0.0), facing, in_a_row

    def _telling(self, patterns: Sequence[tuple[HolePosition, ...]]) -> Telling | None:
        """The distance not yet measured that parts most of the patterns, and those the furthest."""
        if len(patterns) < 2:
            return None
        measured = {reading.pair for reading in self.readings}
        pairs = list(combinations(range(len(self.holes)), 2))
        choices = [pair for pair in pairs if (self.holes[pair[0]], self.holes[pair[1]]) not in measured] or pairs
        least = max(reading.u for reading in self.readings)

        def distances(pair: tuple[int, int]) -> tuple[float, ...]:
            a, b = pair
            return tuple(math.dist((one[a].x, one[a].y), (one[b].x, one[b].y)) for one in patterns)

        def worth(pair: tuple[int, int]) -> tuple[int, float]:
            gaps = [abs(one - other) for one, other in combinations(distances(pair), 2)]
            parted = [gap for gap in gaps if gap > 6 * least] or [0.0]
            return len(parted) if parted[0] else 0, min(parted)

        best = max(choices, key=worth)
        return Telling((self.holes[best[0]], self.holes[best[1]]), distances(best))
