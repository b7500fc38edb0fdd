"""Adapters as links of the search: which of their ends can stand towards the rack, and between what they lie."""

from __future__ import annotations

from functools import cache
from itertools import permutations

from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.stock import Stocked
from fitment.frozen import dataclass
from fitment.joints.kinds import joint_kinds
from fitment.kits.propose.candidates import Candidate
from fitment.kits.propose.kit_of import Adapter, Meeting
from fitment.kits.roles import addresses


@dataclass(frozen=True)
class Link:
    """An adapter for both sides, and which of its ends is towards the rack."""

    pair: tuple[Stocked, Stocked]
    ends: tuple[str, str]


def between(link: Link, before: Candidate, after: Candidate) -> list[Adapter]:
    """The adapters of a link, left and right, between two candidates; a rack has one address."""
    firsts = before.addresses if len(before.addresses) == len(after.addresses) else before.addresses * 2
    return [
        Adapter(stocked, (first, second), link.ends)
        for stocked, first, second in zip(link.pair, firsts, after.addresses, strict=True)
    ]


def ways_in(adapter: Stocked, met: Meeting) -> list[tuple[str, str]]:
    """The ends of an adapter, the one towards the rack first, that have a kind of joint with the two that meet."""
    first, second = (_feature_kind(*end) for end in (met.first, met.second))
    ends = {name: end.kind for name, end in adapter.part.features.items() if end.values or end.trials}
    return [
        (one, other) for one, other in permutations(ends, 2) if _mate(first, ends[one]) and _mate(ends[other], second)
    ]


def _feature_kind(address: str, feature: str) -> str:
    return part_kinds()[addresses()[address][0].part_kinds[0]].features[feature]


@cache
def _mate(one: str, other: str) -> bool:
    """Whether there is a kind of joint between these kinds of features."""
    return any(
        (one in kind.between[0] and other in kind.between[1]) or (other in kind.between[0] and one in kind.between[1])
        for kind in joint_kinds().values()
    )
