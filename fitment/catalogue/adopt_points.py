"""Points and distances in force, by the rule for numbers: coordinate by coordinate, distance by distance. Pure.

Points count only where their sitting states its axes, and are turned into x forward, y left, z up. What was taken from
different datums is never averaged nor compared.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from fitment.catalogue.adopt import (
    HEARSAY,
    TRUST,
    AdoptedValue,
    Evidence,
    by_origin,
    estimate_of,
    in_force,
    shared_error,
    told,
    unworn,
)
from fitment.catalogue.combine import Estimate, combine
from fitment.catalogue.contradiction import contradiction
from fitment.catalogue.dictionary import Dimension
from fitment.catalogue.values import shown
from fitment.errors import DataFault
from fitment.finding import Basis, shape_of
from fitment.frozen import dataclass
from fitment.quantity.axes import datum_of, parse_axes
from fitment.quantity.points import Distance, distances_text, point_text, stored_distances, stored_point

Triple = tuple[float, float, float]

_TAKEN_AS_TEXT = "was taken in as plain text: withdraw it and import its sheet again"


@dataclass(frozen=True)
class _Sited:
    """Points of one independent origin, as one point in the project's own axes: an estimate of each coordinate, mm."""

    estimates: tuple[Estimate, Estimate, Estimate]
    members: tuple[Evidence, ...]

    @property
    def at(self) -> Triple:
        x, y, z = self.estimates
        return x.value, y.value, z.value

    @property
    def u(self) -> float:
        return self.estimates[0].u

    @property
    def trust(self) -> int:
        return self.members[0].trust


def adopt_point(dimension: Dimension, evidence: list[Evidence]) -> AdoptedValue:
    """The point in force from all readings of it (at least one); its word is the text in mm, x forward, y left, z up.

    `u` is the standard uncertainty of each coordinate. Repeats in one sitting with one tool are averaged; independent
    points of the best-trusted kind of source are combined while every coordinate agrees, each by the rule for numbers.
    """
    evidence = in_force(evidence)
    gap = ""
    sited: list[Evidence] = []
    for one in evidence:
        why = _unusable(one)
        gap = gap or why
        if not why:
            sited.append(replace(one, word=point_text(parse_axes(one.axes).into_own(stored_point(one.word or "")))))
    if not sited:
        return _value(dimension, evidence, "", None, gap)
    groups = [_sited(same) for members in by_origin(sited) for same in _by_datum(members)]
    best = min(group.trust for group in groups)
    trusted = [group for group in groups if group.trust < HEARSAY] or groups
    chosen = [group for group in groups if group.trust == best]
    gap = _apart(dimension, chosen, trusted)
    at, u, freedom = _weighted(chosen)
    members = [one for group in (trusted if gap else chosen) for one in group.members]
    word = "" if gap else point_text(at)
    return unworn(_value(dimension, members, word, None if gap else u, gap, freedom), members)


def _unusable(one: Evidence) -> str:
    """Why a reading cannot be turned into the project's own axes; "" where it can."""
    if one.u is None:
        return f"{one.word} {_TAKEN_AS_TEXT}"
    if not one.axes:
        return f"the sitting states no axes ({one.sitting}): say there which way x, y and z point"
    try:
        parse_axes(one.axes)
    except DataFault as fault:
        return f"the sitting's axes cannot be read ({one.sitting}): {fault.message}"
    return ""


def _by_datum(members: list[Evidence]) -> list[list[Evidence]]:
    found: dict[str, list[Evidence]] = {}
    for one in members:
        found.setdefault(datum_of(one.datum, one.sitting), []).append(one)
    return list(found.values())


def _sited(members: list[Evidence]) -> _Sited:
    points = [stored_point(one.word or "") for one in members]
    count = len(points)
    at = tuple(math.fsum(axis) / count for axis in zip(*points, strict=True))
    x, y, z = at
    spread = max(
        math.sqrt(math.fsum((value - mean) ** 2 for value in axis) / max(count - 1, 1) / count)
        for axis, mean in zip(zip(*points, strict=True), at, strict=True)
    )
    stated = max(one.u or 0.0 for one in members)
    of_x, of_y, of_z = (estimate_of(value, stated, spread, members) for value in (x, y, z))
    return _Sited((of_x, of_y, of_z), tuple(members))


def _apart(dimension: Dimension, chosen: list[_Sited], trusted: list[_Sited]) -> str:
    """Why the points cannot be one: chosen ones from several datums, or trusted ones that contradict each other."""
    datums = {datum_of(one.datum, one.sitting): one for group in chosen for one in group.members}
    if len(datums) > 1:
        told_by = " against ".join(f"{datum} ({one.sitting})" for datum, one in sorted(datums.items()))
        return f"read from different datums: {told_by}"
    for same in _of_one_datum(trusted):
        for axis in zip(*(group.estimates for group in same), strict=True):
            if sides := contradiction(axis, of=3):
                texts = [
                    f"{shown(dimension, None, same[side.places[0]].u, point_text(same[side.places[0]].at))} "
                    f"({told(one for place in side.places for one in same[place].members)})"
                    for side in sides
                ]
                return f"in conflict: {texts[0]} against {texts[1]}"
    return ""


def _of_one_datum(groups: list[_Sited]) -> Iterable[list[_Sited]]:
    found: dict[str, list[_Sited]] = {}
    for group in groups:
        found.setdefault(datum_of(group.members[0].datum, group.members[0].sitting), []).append(group)
    return found.values()


def _weighted(groups: list[_Sited]) -> tuple[Triple, float, float]:
    """The point, the largest of its coordinates' uncertainties and the least of their degrees of freedom."""
    x, y, z = (combine(of_axis) for of_axis in zip(*(group.estimates for group in groups), strict=True))
    return (x.value, y.value, z.value), max(x.u, y.u, z.u), min(one.freedom() for one in (x, y, z))


def adopt_distances(dimension: Dimension, evidence: list[Evidence]) -> AdoptedValue:
    """The distances in force, all in one text with the doubt of each; repeats of a pair stay, for the solver's use.

    Each pair and way of taking it is a number of its own: the best-trusted kind of source gives it, and it is in
    conflict where any that is not hearsay disagrees. Hearsay counts only where there is nothing else at all.
    """
    evidence = in_force(evidence)
    text = next((one for one in evidence if one.u is None), None)
    if text is not None:
        return _value(dimension, [text], "", None, f"{text.word} {_TAKEN_AS_TEXT}")
    trusted = [one for one in evidence if one.trust < HEARSAY] or evidence
    said: dict[tuple[int, int, str], list[tuple[Distance, Evidence]]] = {}
    for members in by_origin(trusted):
        copies: set[str] = set()
        for one in members:
            if not one.measured and one.word in copies:
                continue  # two documents that go back to one origin say it once
            copies.add(one.word or "")
            first, second, kind, value, u = stored_distances(one.word or "")[0]
            if kind != "edge":
                first, second = min(first, second), max(first, second)
            found = (first, second, kind, value, u * TRUST[one.source_kind][1])
            said.setdefault((first, second, kind), []).append((found, one))
    pieces: list[Distance] = []
    behind: list[Evidence] = []
    gap = ""
    for _, ones in sorted(said.items()):
        gap = gap or _contradiction(dimension, ones)
        best = min(one.trust for _, one in ones)
        pieces += [found for found, one in ones if one.trust == best]
        behind += [one for _, one in ones if gap or one.trust == best]
    return unworn(_value(dimension, behind, distances_text(pieces), None, gap), behind)


def _contradiction(dimension: Dimension, ones: list[tuple[Distance, Evidence]]) -> str:
    """Two independent readings of one distance that contradict each other, in words; "" where there are none."""
    sittings: dict[tuple[str, str], list[tuple[Distance, Evidence]]] = {}
    for found, one in ones:
        sittings.setdefault((one.sitting, one.tool), []).append((found, one))
    estimates = []
    for same in sittings.values():
        mean, u = math.fsum(found[3] for found, _ in same) / len(same), max(found[4] for found, _ in same)
        estimates.append(Estimate(mean, u, shared_error(same[0][1]), u))
    sides = contradiction(estimates)
    if sides is None:
        return ""
    groups = list(sittings.values())
    texts = [
        f"{shown(dimension, None, None, distances_text([groups[side.places[0]][0][0]]))} "
        f"({told(one for place in side.places for _, one in groups[place])})"
        for side in sides
    ]
    return f"in conflict: {texts[0]} against {texts[1]}"


def _value(
    dimension: Dimension, members: list[Evidence], word: str, u: float | None, gap: str, freedom: float = math.inf
) -> AdoptedValue:
    best = min(one.trust for one in members)
    measured = all(one.measured for one in members)
    sittings = ", ".join(dict.fromkeys(one.sitting for one in members))
    return AdoptedValue(
        feature=members[0].feature,
        dimension=dimension.dimension,
        number=None,
        u=u,
        word=word,
        unit="mm",
        basis=Basis.MEASURED if measured else Basis.STATED,
        gap=gap,
        hearsay=best == HEARSAY,
        assumed=False,
        shape="rectangular" if len(members) == 1 and u is not None else shape_of(freedom),
        shared=(),
        source=f"{told(members)} (sitting {sittings})",
        shown=shown(dimension, None, u, word) if word else "",
        readings=tuple(one.uid for one in members),
    )


def mirrored(dimension: Dimension, value: AdoptedValue) -> AdoptedValue:
    """A point of the left side on the right: y turns round, everything else stays."""
    if not value.word:
        return value
    x, y, z = stored_point(value.word)
    word = point_text((x, -y, z))
    return replace(value, word=word, shown=shown(dimension, None, value.u, word))
