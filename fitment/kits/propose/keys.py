"""Interface keys of candidates as whole numbers: the designations by which both sides of a joint must agree."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from fitment.catalogue.stock import Stocked
from fitment.frozen import dataclass
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Feature, JointKind
from fitment.kits.propose.candidates import Candidate, Place
from fitment.kits.propose.kit_of import Meeting, meetings
from fitment.kits.search.model import NO_KEY, UNKNOWN


@dataclass(frozen=True)
class Unkeyed:
    """The parts of a kind that lack the reading by which one of their ends would be looked up."""

    kind: str
    feature: str
    dimension: str
    parts: tuple[str, ...]


class Keys:
    """Numbers for keys, the same for equal keys.

    Args:
        tried: features that a trial was made with: two that were tried, or taken together, go by that and not by a key.
    """

    def __init__(self, tried: frozenset[str]):
        self._tried = tried
        self._numbers: dict[tuple[object, ...], int] = {}
        self._told: dict[int, str] = {}
        self._lacking: dict[tuple[str, str, str], set[str]] = {}

    @property
    def lacking(self) -> tuple[Unkeyed, ...]:
        """The parts that lack a key, by the dimension that would give it."""
        return tuple(Unkeyed(*at, tuple(sorted(names))) for at, names in sorted(self._lacking.items()))

    def told(self, number: int) -> str:
        """A key for people: ``M14x1.5 RH``."""
        return self._told.get(number, "")

    def inner(self, one: Candidate, before: Place | None) -> int:
        """The key of a candidate's ends towards the place before it (None: the rack)."""
        places = (("rack",),) if before is None else _addresses(before)
        return self._same(
            self._of(one.parts, [(met, met.second) for met in meetings(at, one.addresses)]) for at in places
        )

    def outer(self, one: Candidate, after: Place | None) -> int:
        """The key of a candidate's ends towards the place after it (None: nothing)."""
        if after is None:
            return NO_KEY
        return self._same(
            self._of(one.parts, [(met, met.first) for met in meetings(one.addresses, at)]) for at in _addresses(after)
        )

    def link(self, pair: Sequence[Stocked], end: str, met: Sequence[Meeting]) -> int:
        """The key of an adapter's end at an interface where these meet; `UNKNOWN` where it has none."""
        if not _keyed(met):
            return NO_KEY
        kind = joint_kinds()[met[0].kind]
        return self._number([(one, one.part.features[end], kind) for one in pair])

    @staticmethod
    def _same(keys: Iterable[int]) -> int:
        """The key that several ways of meeting agree on; else nothing is compared."""
        found = set(keys)
        return found.pop() if len(found) == 1 else NO_KEY

    def _of(self, parts: Sequence[tuple[str, Stocked]], met: Sequence[tuple[Meeting, tuple[str, str]]]) -> int:
        at = dict(parts)
        keyed = [
            (at[end[0]], at[end[0]].part.features[end[1]], joint_kinds()[one.kind]) for one, end in met if _keyed([one])
        ]
        return self._number(keyed) if keyed else NO_KEY

    def _number(self, ends: Sequence[tuple[Stocked, Feature, JointKind]]) -> int:
        if any(feature.name in self._tried for _, feature, _ in ends):
            return NO_KEY
        keys = [kind.key(feature) for _, feature, kind in ends]
        for (stocked, feature, kind), key in zip(ends, keys, strict=True):
            if key is None:
                lacks = [name for name in kind.keyed_by if name not in feature.values] or list(kind.keyed_by)
                end = feature.name.removeprefix(f"{stocked.part.name} ")
                self._lacking.setdefault((stocked.part.kind, end, lacks[0]), set()).add(stocked.design)
        if None in keys:
            return UNKNOWN
        number = self._numbers.setdefault(tuple(keys), len(self._numbers))
        self._told[number] = _spoken(ends[0][1])
        return number


def _keyed(met: Sequence[Meeting]) -> bool:
    kinds = joint_kinds()
    return bool(met) and met[0].kind in kinds and bool(kinds[met[0].kind].keyed_by)


def _addresses(place: Place) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(role.address(section) for section in role.sections) for role in place.roles)


def _spoken(feature: Feature) -> str:
    """What a keyed end is, in the words of its readings."""
    said = [use.shown or str(use.value) for name in ("thread", "hand", "spline", "form") if (use := feature.get(name))]
    return " ".join(said)


def by_address(candidates: Iterable[Candidate]) -> Mapping[str, Stocked]:
    """All parts of several candidates."""
    return {address: stocked for one in candidates for address, stocked in one.parts}
