"""Readings between two holes as a calliper takes them: which edges, what centre distance that is, what is nonsense."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations, product
from typing import TYPE_CHECKING

from fitment.errors import DataFault
from fitment.frozen import dataclass

if TYPE_CHECKING:
    from fitment.identify.hole_fit import Floats

#: kind of a reading -> how often the radius of the first and of the second hole is in it beside the centre distance
KINDS: dict[str, tuple[int, int]] = {"centre": (0, 0), "inside": (-1, -1), "outside": (1, 1), "edge": (1, -1)}


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


def refuse_overlap(readings: Sequence[HoleDistance], centres: Sequence[float], diameters: Diameters) -> None:
    """Refuses distances at which two holes would be one.

    Raises:
        DataFault: there is one.
    """
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


def refuse_open_triangles(readings: Sequence[HoleDistance], diameters: Diameters) -> None:
    """Refuses three distances of which one is longer than the two others together, beyond three times its doubt.

    Raises:
        DataFault: there are three such, naming them.
    """
    by_pair: dict[tuple[int, int], list[tuple[HoleDistance, float]]] = {}
    for reading in readings:
        by_pair.setdefault(reading.pair, []).append((reading, centre_distance(reading, diameters)))
    for a, b, c in combinations(sorted({hole for pair in by_pair for hole in pair}), 3):
        sides = [by_pair.get(pair, []) for pair in ((a, b), (b, c), (a, c))]
        for three in product(*sides):
            (long, longest), (one, second), (two, third) = sorted(three, key=lambda side: -side[1])
            others = second + third
            if longest <= others:
                continue
            taken = [long, one, two]
            signs = [1.0, -1.0, -1.0]
            u = math.sqrt(float(signs @ errors_of(taken, diameters) @ signs))
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
            if sides[0] > 0 and sides[2] <= sides[0] + sides[1]:
                found.append(meant.name)
    return f"measure the three again; did you mean {' or '.join(found)}?" if found else None


def other_kinds(reading: HoleDistance, diameters: Diameters) -> list[HoleDistance]:
    """The same reading taken as another kind, as far as the diameters are known that it needs."""
    if not {reading.first, reading.second} <= set(diameters):
        return []
    turned = replace(reading, first=reading.second, second=reading.first)
    choices = [replace(reading, kind=kind) for kind in KINDS if kind != reading.kind]
    return choices + ([turned] if reading.kind == "edge" else [replace(turned, kind="edge")])
