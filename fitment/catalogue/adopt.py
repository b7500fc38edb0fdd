"""The value in force, from readings, by a stated rule. Pure: evidence in, adopted values out.

The rule (first form): withdrawn readings are out; worn ones never lead; an item's readings are its own; readings
that go back to one origin count once; what the best-trusted kind of source says is taken, several independent ones of
it by weighted mean while they agree (difference below 2 standard uncertainties), and *in conflict* where any that is
not hearsay disagrees. Weights and the factor of 2: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from fitment.catalogue.dictionary import Dimension
from fitment.catalogue.values import shown
from fitment.finding import Basis
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
#: values that differ by more than so many standard uncertainties contradict each other
AGREE = 2.0


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
    """The value in force for one feature and dimension; `gap` says why there is none."""

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
    """Readings of one independent origin, as one value."""

    value: float
    u: float
    members: tuple[Evidence, ...]


def told(evidence: Iterable[Evidence]) -> str:
    """Where values come from, in a few words, each source once."""
    names = {f"{one.source}, {one.tool}" if one.tool else one.source: None for one in evidence}
    return "; ".join(names)


def in_force(evidence: list[Evidence]) -> list[Evidence]:
    """Without worn parts where others speak; in an order of their own."""
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
    adopted = _adopt_word(dimension, evidence) if evidence[0].number is None else _adopt_number(dimension, evidence)
    return unworn(adopted, evidence)


def by_origin(evidence: list[Evidence]) -> list[list[Evidence]]:
    """Readings that are independent of each other's: by sitting and tool, or by what a document goes back to."""
    found: dict[tuple[str, str], list[Evidence]] = {}
    for one in evidence:
        key = (one.sitting, one.tool) if one.measured else ("", one.origin or one.source)
        found.setdefault(key, []).append(one)
    return list(found.values())


def _groups(evidence: list[Evidence]) -> list[_Group]:
    groups = []
    for members in by_origin(evidence):
        numbers = [one.number or 0.0 for one in members]
        mean = math.fsum(numbers) / len(numbers)
        spread = math.sqrt(math.fsum((x - mean) ** 2 for x in numbers) / max(len(numbers) - 1, 1) / len(numbers))
        factor = TRUST[members[0].source_kind][1]
        u = math.hypot(max(one.u or 0.0 for one in members) * factor, spread)
        groups.append(_Group(mean, u, tuple(members)))
    return groups


def _apart(first: _Group, second: _Group) -> bool:
    both = math.hypot(first.u, second.u)
    return abs(first.value - second.value) > max(AGREE * both, 1e-9)


def _adopt_number(dimension: Dimension, evidence: list[Evidence]) -> AdoptedValue:
    unit = "" if dimension.value_kind == "taper" else canonical_unit(dimension.value_kind).symbol
    groups = _groups(evidence)
    best = min(group.members[0].trust for group in groups)
    trusted = [group for group in groups if group.members[0].trust < HEARSAY] or groups
    gap = ""
    for index, first in enumerate(trusted):
        clash = next((other for other in trusted[index + 1 :] if _apart(first, other)), None)
        if clash is not None and not gap:
            texts = [
                f"{shown(dimension, group.value, group.u, None)} ({told(group.members)})" for group in (first, clash)
            ]
            gap = f"in conflict: {texts[0]} against {texts[1]}"
    chosen = [group for group in groups if group.members[0].trust == best]
    members = tuple(one for group in chosen for one in group.members)
    if len(chosen) == 1 or any(group.u == 0.0 for group in chosen):
        value, u = min((group.u, group.value) for group in chosen)[::-1]
    else:
        weights = [1 / group.u**2 for group in chosen]
        value = math.fsum(w * group.value for w, group in zip(weights, chosen, strict=True)) / math.fsum(weights)
        u = 1 / math.sqrt(math.fsum(weights))
    if gap:
        members = tuple(one for group in trusted for one in group.members)
    single = len(members) == 1
    return AdoptedValue(
        feature=evidence[0].feature,
        dimension=dimension.dimension,
        number=value,
        u=u,
        word=None,
        unit=unit,
        basis=Basis.MEASURED if best == 0 else Basis.STATED,
        gap=gap,
        hearsay=best == HEARSAY,
        assumed=False,
        shape="rectangular" if single else "normal",
        shared=((f"{members[0].sitting} {members[0].tool}", u),) if _shares(chosen, u) else (),
        source=told(members),
        shown=shown(dimension, value, u, None),
        readings=tuple(one.uid for one in members),
    )


def _shares(chosen: list[_Group], u: float) -> bool:
    """Repeats in one sitting with one tool leave nothing but the tool's own error, which its other readings share."""
    return u > 0 and len(chosen) == 1 and len(chosen[0].members) > 2 and chosen[0].members[0].measured


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
        word=word,
        unit="",
        basis=basis,
        gap=gap,
        hearsay=best == HEARSAY,
        assumed=False,
        shape="normal",
        shared=(),
        source=told(members),
        shown=word or "",
        readings=tuple(one.uid for one in members),
    )
