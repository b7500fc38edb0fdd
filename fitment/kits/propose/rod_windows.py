"""The lengths of tie rods for the search: what every part adds to a chain, and what each rack's chains must come to."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from fitment.frozen import dataclass
from fitment.kits.propose.candidates import Candidate, Way, place_name, ways
from fitment.kits.propose.judge import Judge
from fitment.kits.propose.rod_bounds import RodBounds, Span, hull
from fitment.kits.search.model import RACK

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from fitment.kits.search.model import Layout, Problem

#: the branch that the tie rods are
RODS = "rods"
#: the search reckons in tenths of a millimetre
_STEP = 10


def with_rod_windows(
    problem: Problem,
    target: str,
    judge: Judge,
    lengths: Mapping[tuple[str, str], tuple[float, str]],
    candidates: Mapping[str, Sequence[Candidate]],
) -> Problem:
    """The problem with the lengths of its rods and the windows of its racks; as it was where nothing bounds them.

    For a problem without adapters and gaps: where the length of a rod is not known, nothing of its mix can be told.

    Args:
        problem: without lengths.
        target: reference of the vehicle.
        judge: asks `check`.
        lengths: of rods with their inner joints, as in `Named`.
        candidates: by place of a `Piece`.
    """
    import numpy as np

    beside = [_at(role, candidates) for role in ("crossmember", "knuckle")]
    if not judge.surveyed or not all(beside):
        return problem
    bounds = RodBounds(target, judge, lengths, beside)
    chains = _chains(candidates, bounds)
    if chains is None:
        return problem
    # a length is never below 0: those of every place are raised alike, and the windows by as much
    raised = -min(0, *(_down(span) for spans in chains.spans.values() for place in spans for span in place))
    places = max(map(len, chains.spans.values()))
    at, branch = next((at, one) for at, one in enumerate(problem.branches) if one.name == RODS)
    layouts = tuple(_with_lengths(one, chains.spans[one.name], raised, places) for one in branch.layouts)
    longest = max(sum(int((one.length + one.give).max()) for one in layout.stations) for layout in layouts)
    windows = np.full((len(candidates[RACK]), 2), (0, longest), dtype=np.int64)
    for rack in np.flatnonzero(_can_begin(problem)).tolist():
        asked = bounds.asked(candidates[RACK][rack], chains.balls, chains.holders)
        if asked is not None:
            # where the sides ask for unlike lengths, what reaches the longer one passes by the shorter
            windows[rack] = min(_down(asked), _up(asked)), _up(asked)
            windows[rack] += raised * places
    branches = (*problem.branches[:at], replace(branch, layouts=layouts), *problem.branches[at + 1 :])
    return replace(problem, branches=branches, racks=replace(problem.racks, windows={RODS: windows}))


def _at(role: str, candidates: Mapping[str, Sequence[Candidate]]) -> Sequence[Candidate]:
    """The candidates for a role, which are the same in every layout."""
    names = (
        place_name(way, number)
        for way in ways()
        for number, place in enumerate(way.places)
        if place.roles[0].name == role
    )
    return next((candidates[name] for name in names if name in candidates), ())


def _down(span: Span) -> int:
    return math.floor(span.low * _STEP)


def _up(span: Span) -> int:
    return math.ceil(span.high * _STEP)


@dataclass(frozen=True)
class _Chains:
    """What the chains of all layouts are made of.

    Attributes:
        spans: by layout and place, of every candidate.
        balls: how far inner balls lie off the end of the bar.
        holders: what may hold one there.
    """

    spans: Mapping[str, list[list[Span]]]
    balls: Span
    holders: list[Candidate]


def _chains(candidates: Mapping[str, Sequence[Candidate]], bounds: RodBounds) -> _Chains | None:
    """What is known of the chains; None where nothing is of some place.

    For a candidate that is not known stands what the others of its place are: no rod with it has a length, so that
    no kit has it, and `check` may as well say so.
    """
    rods = {way.layout: way for way in ways() if way.branch == RODS and place_name(way, 0) in candidates}
    at = {name: [candidates[place_name(way, place)] for place in range(len(way.places))] for name, way in rods.items()}
    holders = [one for found in at.values() for one in found[0]]
    balls = hull(span for one in holders if (span := bounds.ball(one)) is not None)
    ends = [one for name, found in at.items() for one in found[_role(rods[name]).index("rod_end")]]
    depths = [depth for one in ends if (depth := bounds.goes_in(one, "shank")) is not None]
    if balls is None or not depths:
        return None
    made = {}
    for name, found in at.items():
        spans = [
            [_span(role, place, one, bounds, balls, max(depths)) for one in ones]
            for place, (role, ones) in enumerate(zip(_role(rods[name]), found, strict=True))
        ]
        filled = [_filled(place) for place in spans]
        if not all(filled):
            return None
        made[name] = filled
    return _Chains(made, balls, holders)


def _filled(spans: Sequence[Span | None]) -> list[Span]:
    """Those that are not known taken for any of the others; nothing where none is known."""
    rest = hull(span for span in spans if span is not None)
    return [] if rest is None else [span or rest for span in spans]


def _role(way: Way) -> list[str]:
    return [place.roles[0].name for place in way.places]


def _span(role: str, place: int, one: Candidate, bounds: RodBounds, balls: Span, deepest: float) -> Span | None:
    """What a candidate adds to a chain; None where that is not known. A rod at the first place holds the inner ball."""
    if role == "inner_joint":
        return bounds.ball(one) or balls
    if role == "tie_rod":
        rod = bounds.rod(one, deepest)
        return rod if rod is None or place else rod + (bounds.ball(one) or balls)
    return bounds.end(one) if role == "rod_end" else Span(0.0, 0.0)


def _with_lengths(layout: Layout, spans: Sequence[Sequence[Span]], raised: int, places: int) -> Layout:
    """The layout with lengths; the last place is raised for those that a longer layout has more."""
    import numpy as np

    stations = []
    for at, (station, found) in enumerate(zip(layout.stations, spans, strict=True)):
        up = raised * (1 + places - len(spans) if at == len(spans) - 1 else 1)
        length = np.array([_down(span) + up for span in found], dtype=np.int64)
        give = np.array([_up(span) + up for span in found], dtype=np.int64) - length
        stations.append(replace(station, length=length, give=give.clip(min=0)))
    return replace(layout, stations=tuple(stations))


def _can_begin(problem: Problem) -> npt.NDArray[np.bool_]:
    """The racks that something goes onto at every branch, by their keys; shape (racks,)."""
    import numpy as np

    able = np.ones(len(problem.racks.cost), dtype=bool)
    for branch in problem.branches:
        taken = np.concatenate([layout.stations[0].inner for layout in branch.layouts])
        keys = problem.racks.keys[branch.name]
        able &= np.isin(keys, taken) | (keys < 0) | bool((taken < 0).any())
    return able
