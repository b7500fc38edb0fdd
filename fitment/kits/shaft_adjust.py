"""What the column's tilt and reach do to the line from column to pinion: its extreme settings, as far as recorded."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from fitment.finding import Gap
from fitment.geometry.frames import Vector
from fitment.geometry.joint_chain import Chain, chain_between, tipped, tipped_about
from fitment.joints.answering import Size, fixed, formula, size_of
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
        chains: `geometry.joint_chain.Chain` at each setting, that of the survey left out.
        firsts: the upper joint's centre at each, a `Vector`.
        moves: whether that centre moves; else tilt turns the column about it.
        within: whether it is recorded where in its range the tilt was taken.
        gaps: what is missing to know the settings.
        told: what is taken for granted.
    """

    chains: tuple[Size, ...]
    firsts: tuple[Size, ...]
    moves: bool
    within: bool
    gaps: tuple[Gap, ...]
    told: tuple[str, ...]


def adjusted(body: Feature, place: Placed, pivot: Size) -> Adjusted:
    """The extreme settings of a column.

    Args:
        body: of the column.
        place: the line as it was surveyed.
        pivot: of the tilt, a `Vector` in car coordinates; not known where it is not recorded.
    """
    tilts, within, gaps = _tilts(body)
    ways = [size_of(body, name) for name in ("reach-in", "reach-out")]
    reaches = [formula(partial(_times, sign), way) for way, sign in zip(ways, (1.0, -1.0), strict=True) if way.known]
    reaches = [reach for reach in reaches if reach.central]
    moves = bool(reaches) or (bool(tilts) and pivot.known)
    told = []
    if tilts and not pivot.known:
        told.append(ABOUT_THE_JOINT)
    whole = size_of(body, "reach-range")
    if whole.known and whole.central and not all(way.known for way in ways):
        told.append(REACH)
    chains, firsts = [], []
    for tilt, reach in _settings(tilts, reaches):
        column = formula(tipped, place.column, tilt)
        first = place.corners[0]
        if tilts and pivot.known:
            first = formula(tipped_about, first, pivot, place.column, tilt)
        if reaches:
            first = formula(_along, first, column, reach)
        chains.append(formula(_chain, column, place.pinion, first, *place.corners[1:]))
        firsts.append(first)
    return Adjusted(tuple(chains), tuple(firsts), moves, within, gaps, tuple(told))


def _tilts(body: Feature) -> tuple[list[Size], bool, tuple[Gap, ...]]:
    """By how much the column's direction tips up at the ends of its tilt, rad; whether that is recorded way by way."""
    up, down = size_of(body, "tilt-up"), size_of(body, "tilt-down")
    if up.known and down.known:
        # the wheel goes up where the direction towards the pinion goes down
        ways = [formula(partial(_times, -_RADIANS), up), formula(partial(_times, _RADIANS), down)]
        return [way for way in ways if way.central], True, ()
    whole = size_of(body, "tilt-range")
    if not whole.known:
        return [], False, whole.gaps
    return [formula(partial(_times, sign * _RADIANS), whole) for sign in (1.0, -1.0) if whole.central], False, ()


def _settings(tilts: list[Size], reaches: list[Size]) -> Iterator[tuple[Size, Size]]:
    """Every pair of a tilt and a reach but that of the survey."""
    nothing = fixed(0.0)
    for tilt in (nothing, *tilts):
        for reach in (nothing, *reaches):
            if tilt is not nothing or reach is not nothing:
                yield tilt, reach


def _times(factor: float, size: Any) -> Any:
    return factor * size


def _along(at: Any, way: Any, far: Any) -> Any:
    return at + way * far


def _chain(column: Vector, pinion: Vector, *at: Vector) -> Chain:
    return chain_between(column, at, pinion)
