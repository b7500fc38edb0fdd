"""The value in force, from readings, by a stated rule. Pure: evidence in, adopted values out.

The rule: withdrawn readings are out; worn ones never lead; an item's readings are its own and stand before its
design's; readings that go back to one origin count once, and those of one tool of one shop share its error. What the
best-trusted kind of source says is taken, several origins of it combined (`combine`) while all that is not hearsay
agrees (by the rule of `contradiction`; counts alike), and *in conflict* where it does not: both are kept, until a
reading is withdrawn or a person decides (`decisions`). Trust and factors: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from fitment.catalogue.combine import Combined, Estimate, combine
from fitment.catalogue.contradiction import Side, contradiction
from fitment.catalogue.dictionary import Dimension
from fitment.catalogue.values import shown
from fitment.finding import Basis, shape_of
from fitment.frozen import dataclass
from fitment.quantity.units import canonical_unit

#: kind of source -> (trust, lower is better; factor on the uncertainty)
TRUST: dict[str, tuple[int, float]] = {
    "own-measurement": (0, 1.0),
    "other-measurement": (0, 1.5),
    "drawing": (1, 1.0),
    "manual": (1, 1.0),
    "standard": (1, 1.0),
    "catalogue-page": (2, 1.0),
    "listing": (3, 1.0),
    "forum": (3, 1.0),
    "calculator": (3, 1.0),
    "memory": (3, 1.0),
}
HEARSAY = 3
#: how a gap begins that readings which contradict each other leave
CONFLICT = ("in conflict", "read from different datums")


@dataclass(frozen=True)
class Evidence:
    """One reading in force, with what the rule needs to know of it; datum and axes as its sitting states them."""

    uid: str
    feature: str
    dimension: str
    number: float | None
    u: float | None
    word: str | None
    tool: str
    condition: str
    source_kind: str
    source: str
    origin: str
    sitting: str
    datum: str = ""
    axes: str = ""

    @property
    def trust(self) -> int:
        """Rank of its kind of source, lower is better."""
        return TRUST[self.source_kind][0]

    @property
    def measured(self) -> bool:
        """Whether somebody measured it."""
        return self.trust == 0


@dataclass(frozen=True)
class AdoptedValue:
    """The value in force for one feature and dimension; `gap` says why there is none, and in conflict there is none."""

    feature: str
    dimension: str
    number: float | None
    u: float | None
    word: str | None
    unit: str
    basis: Basis
    gap: str
    hearsay: bool
    assumed: bool
    shape: str
    shared: tuple[tuple[str, float], ...]
    source: str
    shown: str
    readings: tuple[str, ...]


@dataclass(frozen=True)
class _Group:
    """Readings of one sitting and tool, or of one document and its copies, as one value."""

    estimate: Estimate
    members: tuple[Evidence, ...]

    @property
    def trust(self) -> int:
        return self.members[0].trust


def told(evidence: Iterable[Evidence]) -> str:
    """Where values come from, in a few words, each source once."""
    names = {f"{one.source}, {one.tool}" if one.tool else one.source: None for one in evidence}
    return "; ".join(names)


def in_force(evidence: list[Evidence]) -> list[Evidence]:
    """Without worn parts where others speak; in an order of their own."""
    if len(evidence) == 1:
        return evidence
    sound = [one for one in evidence if one.condition != "worn"]
    return sorted(sound or evidence, key=lambda one: one.uid)


def unworn(value: AdoptedValue, evidence: list[Evidence]) -> AdoptedValue:
    """What only worn parts tell is not in force: it says how far they are worn, not what they are."""
    if value.gap or evidence[0].condition != "worn":
        return value
    return replace(value, gap=f"only read on a worn part ({value.shown}, {value.source}): measure a sound one")


def adopt(dimension: Dimension, evidence: list[Evidence]) -> AdoptedValue:
    """The value in force from all readings of one feature and dimension (at least one)."""
    evidence = in_force(evidence)
    if evidence[0].number is None:
        adopted = _adopt_word(dimension, evidence)
    elif len(evidence) == 1:
        adopted = _adopt_lone_number(dimension, evidence[0])
    else:
        adopted = adopt_numbers(dimension, evidence)
    return unworn(adopted, evidence)


def by_origin(evidence: list[Evidence]) -> list[list[Evidence]]:
    """Readings that are one value: of one sitting and tool, or all that go back to one document or post."""
    found: dict[tuple[str, str], list[Evidence]] = {}
    for one in evidence:
        key = (one.sitting, one.tool) if one.measured else ("", one.origin or one.source)
        found.setdefault(key, []).append(one)
    return list(found.values())


def shared_error(one: Evidence) -> str:
    """Name of the error that a measured reading shares with others; "" for documents, which share none.

    It is that of one tool of one shop, uncalibrated, in whatever sitting; where the source states its origin, all that
    goes back to it is one.
    """
    if not one.measured:
        return ""
    shop = one.sitting.rpartition("/")[0] or one.sitting
    return one.origin or f"{shop if one.source_kind == 'own-measurement' else one.source} {one.tool}"


def estimate_of(value: float, stated: float, spread: float, members: list[Evidence]) -> Estimate:
    """One value for readings of one sitting: what the tool leaves does not shrink by repeats, their spread does.

    Args:
        value: their mean.
        stated: the largest of their standard uncertainties.
        spread: standard uncertainty of the mean by their spread.
        members: the readings, at least one.
    """
    whole = stated * TRUST[members[0].source_kind][1]
    common = shared_error(members[0])
    return Estimate(value, math.hypot(whole, spread), common, whole if common else 0.0)


def _groups(dimension: Dimension, evidence: list[Evidence]) -> list[_Group]:
    groups = []
    for members in by_origin(evidence):
        alone = [_Group(estimate_of(one.number or 0.0, one.u or 0.0, 0.0, [one]), (one,)) for one in members]
        if _no_repeats(dimension, alone):
            groups += alone
            continue
        numbers = [one.number or 0.0 for one in members]
        mean = math.fsum(numbers) / len(numbers)
        spread = math.sqrt(math.fsum((x - mean) ** 2 for x in numbers) / max(len(numbers) - 1, 1) / len(numbers))
        stated = max(one.u or 0.0 for one in members)
        groups.append(_Group(estimate_of(mean, stated, spread, members), tuple(members)))
    return groups


def _no_repeats(dimension: Dimension, alone: list[_Group]) -> bool:
    """Whether readings of one sitting or document are no repeats, whose mean would mean something.

    48 and 49 teeth are no 48.5, and a page that says 1:8 here and 1:10 there says neither.
    """
    if dimension.value_kind == "count":
        return len({group.estimate.value for group in alone}) > 1
    if alone[0].members[0].measured:
        return False
    return contradiction([group.estimate for group in alone]) is not None


def _conflict(dimension: Dimension, groups: list[_Group]) -> str:
    """Two sides that contradict each other, in words; "" where there are none.

    Of counts that differ one is wrong, and no mean is right; one made with ticks (u = 0) says which.
    """
    estimates = [group.estimate for group in groups]
    sides = contradiction(estimates)
    if sides is None and dimension.value_kind == "count" and all(one.u > 0.0 for one in estimates):
        first = Side(estimates[0], (0,))
        other = next((Side(one, (at,)) for at, one in enumerate(estimates) if one.value != first.estimate.value), None)
        sides = (first, other) if other is not None else None
    if sides is None:
        return ""
    texts = [
        f"{shown(dimension, side.estimate.value, side.estimate.u, None)} "
        f"({told(one for place in side.places for one in groups[place].members)})"
        for side in sides
    ]
    return f"in conflict: {texts[0]} against {texts[1]}"


def _adopt_lone_number(dimension: Dimension, one: Evidence) -> AdoptedValue:
    """What `adopt_numbers` makes of one reading, which nothing contradicts and nothing is combined with."""
    number, u = one.number or 0.0, (one.u or 0.0) * TRUST[one.source_kind][1]
    return AdoptedValue(
        feature=one.feature,
        dimension=dimension.dimension,
        number=number,
        u=u,
        word=None,
        unit=_unit(dimension),
        basis=Basis.MEASURED if one.measured else Basis.STATED,
        gap="",
        hearsay=one.trust == HEARSAY,
        assumed=False,
        shape="rectangular",
        shared=(),
        source=told([one]),
        shown=shown(dimension, number, u, None),
        readings=(one.uid,),
    )


def _unit(dimension: Dimension) -> str:
    return "" if dimension.value_kind == "taper" else canonical_unit(dimension.value_kind).symbol


def adopt_numbers(dimension: Dimension, evidence: list[Evidence]) -> AdoptedValue:
    """The value in force from readings of numbers, each in the order of their uids."""
    groups = _groups(dimension, evidence)
    best = min(group.trust for group in groups)
    trusted = [group for group in groups if group.trust < HEARSAY] or groups
    gap = _conflict(dimension, trusted)
    chosen = [group for group in groups if group.trust == best]
    combined = combine([group.estimate for group in chosen])
    members = tuple(one for group in (trusted if gap else chosen) for one in group.members)
    source = told(members)
    shared = () if gap else tuple(_shared(combined, chosen))
    own_freedom = math.inf if gap else combined.freedom(math.hypot(*(u for _, u in shared)))
    if combined.tau and not gap:
        scatter = (
            f"{combined.tau:.4f}" if dimension.value_kind == "taper" else shown(dimension, combined.tau, None, None)
        )
        source += f" (beyond their doubts they scatter by {scatter}; {combined.freedom():.3g} degrees of freedom)"
    return AdoptedValue(
        feature=evidence[0].feature,
        dimension=dimension.dimension,
        number=None if gap else combined.value,
        u=None if gap else combined.u,
        word=None,
        unit=_unit(dimension),
        basis=Basis.MEASURED if best == 0 else Basis.STATED,
        gap=gap,
        hearsay=best == HEARSAY,
        assumed=False,
        shape="rectangular" if len(members) == 1 else shape_of(own_freedom),
        shared=shared,
        source=source,
        shown="" if gap else shown(dimension, combined.value, combined.u, None),
        readings=tuple(one.uid for one in members),
    )


def _shared(combined: Combined, chosen: list[_Group]) -> Iterator[tuple[str, float]]:
    """Parts of the doubt that other values of the part have in common with this one.

    Only where more than two repeats in one sitting leave nothing but the tool's own error: claimed without need, a
    common error would make differences look better than they are.
    """
    for common, part in combined.shared:
        behind = [one for group in chosen if group.estimate.common == common for one in group.members]
        sittings = {(one.sitting, one.tool) for one in behind}
        if len(behind) > 2 and len(sittings) == 1:
            yield f"{behind[0].sitting} {behind[0].tool}", part


def _adopt_word(dimension: Dimension, evidence: list[Evidence]) -> AdoptedValue:
    best = min(one.trust for one in evidence)
    trusted = [one for one in evidence if one.trust < HEARSAY] or evidence
    said: dict[str, list[Evidence]] = {}
    for one in trusted:
        said.setdefault(one.word or "", []).append(one)
    gap = ""
    if len(said) > 1:
        gap = "in conflict: " + " against ".join(f"{word} ({told(ones)})" for word, ones in sorted(said.items()))
    members = [one for one in trusted if gap or one.trust == best]
    word = next(one.word for one in evidence if one.trust == best)
    trial = dimension.value_kind == "trial" or members[0].tool in ("go-gauge", "blueing")
    basis = Basis.TRIAL if trial else Basis.MEASURED if best == 0 else Basis.STATED
    return AdoptedValue(
        feature=evidence[0].feature,
        dimension=dimension.dimension,
        number=None,
        u=None,
        word=None if gap else word,
        unit="",
        basis=basis,
        gap=gap,
        hearsay=best == HEARSAY,
        assumed=False,
        shape="normal",
        shared=(),
        source=told(members),
        shown="" if gap else word or "",
        readings=tuple(one.uid for one in members),
    )
