"""What the column's tilt and reach do to the line from column to pinion: its extreme settings, as far as recorded."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial, reduce
from typing import Any

from fitment.elementwise import maximum
from fitment.finding import Finding, Gap, Verdict
from fitment.frozen import dataclass
from fitment.geometry.frames import Vector
from fitment.geometry.joint_chain import Chain, chain_between, tipped, tipped_about
from fitment.joints.answering import Size, fixed, formula, lacking, size_of
from fitment.joints.registration import Feature
from fitment.kits.shaft_place import Placed

_RADIANS = math.pi / 180

ABOUT_THE_JOINT = (
    "The column is taken to tilt about the upper joint's centre, whose place stays: record its tilt-pivot where the "
    "lower end moves as it tilts."
)
REACH = (
    "Whether the reach of the column moves its lower end is not recorded: write reach-in and reach-out, 0 mm where "
    "only the wheel's end slides."
)


@dataclass(frozen=True)
class Adjusted:
    """The line at the extremes of the column's tilt and reach.

    Attributes:
        body: of the column.
        names: of the settings, ``tilted up, pulled out``.
        chains: `geometry.joint_chain.Chain` at each setting, that of the survey left out.
        firsts: the upper joint's centre at each, a `Vector`.
        moves: whether that centre moves; else tilt turns the column about it.
        within: whether it is recorded where in its range the tilt was taken.
        gaps: what is missing to know the settings.
        told: what is taken for granted.
    """

    body: Feature
    names: tuple[str, ...]
    chains: tuple[Size, ...]
    firsts: tuple[Size, ...]
    moves: bool
    within: bool
    gaps: tuple[Gap, ...]
    told: tuple[str, ...]

    def largest(self, as_surveyed: Size, elsewhere: Sequence[Size]) -> Size:
        """The largest over the range; not known where the range is not."""
        return lacking(*self.gaps) if self.gaps else formula(_largest, as_surveyed, *elsewhere)

    def keyed(self, elsewhere: Sequence[Size]) -> dict[str, Size]:
        """By the setting's name as a key, ``tilted_up_pulled_out``; nothing of what no setting moves."""
        if not elsewhere:
            return {}
        return {name.replace(",", "").replace(" ", "_"): size for name, size in zip(self.names, elsewhere, strict=True)}

    def spoken(self, elsewhere: Sequence[Size], decimals: int, unit: str, scale: float = 1.0) -> str:
        """The least and the largest of the settings besides the survey's: ``9.1 deg (tilted up) to 12.3 deg (...)``."""
        found = sorted((size.central * scale, name) for size, name in zip(elsewhere, self.names, strict=True))
        ends = [f"{value:.{decimals}f} {unit} ({name})" for value, name in (found[0], found[-1])]
        return " to ".join(dict.fromkeys(ends))

    def over_range(self, finding: Finding, as_surveyed: Finding) -> Finding:
        """The finding over the range, held against that of the survey's setting.

        What fails as surveyed fails whatever the range. What fails at an end of a range in which nobody wrote where
        the survey lies is not known.
        """
        if as_surveyed.verdict is Verdict.DOES_NOT_FIT:
            return as_surveyed
        if finding.verdict is not Verdict.DOES_NOT_FIT or self.within:
            return finding
        why = "where in its range the slope was taken is not recorded: take it at the end that is worse"
        gap = Gap(self.body.name, "tilt-range", why)
        return replace(finding, verdict=Verdict.NOT_KNOWN, gaps=(gap,), because=f"{finding.because}; {why}")


def adjusted(body: Feature, place: Placed, pivot: Size) -> Adjusted:
    """The extreme settings of a column.

    Args:
        body: of the column.
        place: the line as it was surveyed.
        pivot: of the tilt, a `Vector` in car coordinates; not known where it is not recorded.
    """
    tilts, within, gaps = _tilts(body)
    ways = [size_of(body, name) for name in ("reach-in", "reach-out")]
    reaches = [
        (name, formula(partial(_times, sign), way))
        for name, way, sign in zip(("pushed in", "pulled out"), ways, (1.0, -1.0), strict=True)
        if way.known and way.central
    ]
    moves = bool(reaches) or (bool(tilts) and pivot.known)
    told = []
    if tilts and not pivot.known:
        told.append(ABOUT_THE_JOINT)
    whole = size_of(body, "reach-range")
    if whole.known and whole.central and not all(way.known for way in ways):
        told.append(REACH)
    settings, chains, firsts = [], [], []
    for name, tilt, reach in _settings(tilts, reaches):
        column = formula(tipped, place.column, tilt)
        first = place.corners[0]
        if tilts and pivot.known:
            first = formula(tipped_about, first, pivot, place.column, tilt)
        if reaches:
            first = formula(_along, first, column, reach)
        settings.append(name)
        chains.append(formula(_chain, column, place.pinion, first, *place.corners[1:]))
        firsts.append(first)
    return Adjusted(body, tuple(settings), tuple(chains), tuple(firsts), moves, within, gaps, tuple(told))


def _tilts(body: Feature) -> tuple[list[tuple[str, Size]], bool, tuple[Gap, ...]]:
    """By how much the column's direction tips up at the ends of its tilt, rad; whether that is recorded way by way."""
    up, down = size_of(body, "tilt-up"), size_of(body, "tilt-down")
    if up.known and down.known:
        # the wheel goes up where the direction towards the pinion goes down
        ways = [
            ("tilted up", formula(partial(_times, -_RADIANS), up)),
            ("tilted down", formula(partial(_times, _RADIANS), down)),
        ]
        return [way for way in ways if way[1].central], True, ()
    whole = size_of(body, "tilt-range")
    if not whole.known:
        return [], False, whole.gaps
    if not whole.central:
        return [], True, ()
    names = "tilted up by its whole range", "tilted down by its whole range"
    return (
        [(name, formula(partial(_times, sign * _RADIANS), whole)) for name, sign in zip(names, (-1, 1), strict=True)],
        False,
        (),
    )


def _settings(tilts: list[tuple[str, Size]], reaches: list[tuple[str, Size]]) -> Iterator[tuple[str, Size, Size]]:
    """Every pair of a tilt and a reach with its name but that of the survey."""
    nothing = ("", fixed(0.0))
    for name, tilt in (nothing, *tilts):
        for other, reach in (nothing, *reaches):
            if name or other:
                yield ", ".join(filter(None, (name, other))), tilt, reach


def _largest(*sizes: Any) -> Any:
    return reduce(maximum, sizes)


def _times(factor: float, size: Any) -> Any:
    return factor * size


def _along(at: Any, way: Any, far: Any) -> Any:
    return at + way * far


def _chain(column: Vector, pinion: Vector, *at: Vector) -> Chain:
    return chain_between(column, at, pinion)
