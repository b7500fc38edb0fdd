"""What a part mates with, as far as the catalogue tells: parts of the same cars, and parts that it was tried with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fitment.catalogue.found import FoundPart
from fitment.catalogue.places import PlacesBook
from fitment.doubt import Draws
from fitment.errors import NotFoundFault
from fitment.finding import Finding, Verdict, held_back, worst
from fitment.frozen import dataclass
from fitment.joints.kinds import joint_kinds
from fitment.joints.limits import default_limits
from fitment.joints.registration import Feature, JointKind, Setting
from fitment.kits.roles import SIDES, Join, joins, roles

#: mates that each end is held against at most
_MOST = 3


@dataclass(frozen=True)
class Place:
    """One end of a kind of part at one join.

    Attributes:
        feature: name of the part's own end, ``stud``.
        join: where it meets its mate.
        side: ``left``, ``right`` or "".
        mate_kinds: kinds of part that stand there.
        mate_feature: the end of theirs that it meets.
    """

    feature: str
    join: Join
    side: str
    mate_kinds: tuple[str, ...]
    mate_feature: str


@dataclass(frozen=True)
class Mate:
    """An end that one end of the part mates with.

    Attributes:
        place: where.
        part: the mate's reference.
        end: its end.
        told: what the joint is told.
    """

    place: Place
    part: str
    end: Feature
    told: Mapping[str, str]

    def findings(self, own: Feature, draws: Draws) -> list[Finding]:
        """What the rules say of an end with this mate, after the rules on weak evidence."""
        kind = joint_kinds()[self.place.join.kind]
        ends = _ordered(kind, own, self.end)
        if ends is None:
            return []
        found = kind.check(*ends, Setting(default_limits(), draws, self.told))
        return [one if one.verdict is Verdict.DOES_NOT_FIT else held_back(one) for one in found]


def _ordered(kind: JointKind, own: Feature, other: Feature) -> tuple[Feature, Feature] | None:
    for ends in ((own, other), (other, own)):
        if ends[0].kind in kind.between[0] and ends[1].kind in kind.between[1]:
            return ends
    return None


def places_of(kind: str, side: str) -> Iterator[Place]:
    """Every end of a kind of part at every join that has a check.

    Args:
        kind: kind of part.
        side: ``left`` or ``right``, or "" for either side.
    """
    kinds = {name: role.part_kinds for name, role in roles().items()}
    for join in joins():
        if join.kind not in joint_kinds():
            continue
        sides = ((side,) if side else SIDES) if join.per_side else ("",)
        for own, mate in (("a", "b"), ("b", "a")):
            if kind not in kinds[getattr(join, f"role_{own}")]:
                continue
            for one in sides:
                feature, other = (getattr(join, f"feature_{end}").format(side=one) for end in (own, mate))
                yield Place(feature, join, one, kinds[getattr(join, f"role_{mate}")], other)


def mates_of(part: FoundPart, book: PlacesBook, side: str, draws: Draws) -> tuple[Mate, ...]:
    """The mates of a part, end by end: of those known, the ones with which it goes together best, a few at most.

    Where an end meets either of two sorts of part (a rod that screws on an inner joint, or straight on the bar), the
    sort with which it goes together better is its mate.

    Args:
        part: the part or item.
        book: the catalogue.
        side: ``left`` or ``right``, or "" for either side.
        draws: samples for the doubt.
    """
    places = list(places_of(part.kind, side))
    kinds = {kind for place in places for kind in place.mate_kinds}
    tried = [ref for feature in part.features.values() for ref in _tried_with(feature)]
    other = {"left": "right", "right": "left"}.get(side)
    beside = [
        one.reference
        for one in book.beside(book.design_of(part), kinds)
        if other is None or other not in one.position.split()
    ]
    found: dict[tuple[str, str], list[tuple[Verdict, Mate]]] = {}
    seen: set[tuple[str, str]] = set()
    for reference in dict.fromkeys((*tried, *beside)):
        mate_part = _found(book, reference)
        if mate_part is None or _wrong_side(mate_part, side):
            continue
        for place in places:
            end = mate_part.features.get(place.mate_feature)
            if mate_part.kind not in place.mate_kinds or end is None or (place.feature, end.name) in seen:
                continue
            mate = Mate(place, mate_part.name, end, _told(place, end, part.features[place.feature]))
            verdict = worst(one.verdict for one in mate.findings(part.features[place.feature], draws))
            seen.add((place.feature, end.name))
            if verdict is not Verdict.DOES_NOT_FIT:
                found.setdefault((place.feature, place.join.name), []).append((verdict, mate))
    best = {where: _best(ones) for where, ones in found.items()}
    kept = [ones for where, ones in best.items() if not any(_gives_way(ones, best[other]) for other in best)]
    return tuple(mate for _, mates in kept for mate in mates)


def _best(ones: list[tuple[Verdict, Mate]]) -> tuple[Verdict, tuple[Mate, ...]]:
    top = max((verdict for verdict, _ in ones), key=lambda one: one.rank)
    return top, tuple(mate for verdict, mate in ones if verdict is top)[:_MOST]


def _gives_way(one: tuple[Verdict, tuple[Mate, ...]], other: tuple[Verdict, tuple[Mate, ...]]) -> bool:
    """Whether mates stand at the same end instead of others with which the part goes together better, or as well."""
    place, rival = one[1][0].place, other[1][0].place
    if place.feature != rival.feature or place.join.name == rival.join.name:
        return False
    if rival.join.when and set(rival.join.when) <= set(place.join.unless):
        return one[0].rank <= other[0].rank
    return bool(place.join.when) and set(place.join.when) <= set(rival.join.unless) and one[0].rank < other[0].rank


def open_ends(part: FoundPart, mates: Sequence[Mate], side: str) -> tuple[str, ...]:
    """The ends of a part that something must be asked of and no mate on record can be.

    A boot and a clamp need not be: where none is on record, they are asked of only if the part has a size for them, or
    is itself one.
    """
    places = list(places_of(part.kind, side))
    mated = {mate.place.feature for mate in mates}
    found = {mate.place.join.name for mate in mates}
    must_be = any(place.join.required for place in places)
    ends: dict[str, None] = {}
    for place in places:
        if place.feature != "body" and place.feature in mated:
            continue
        if place.join.name in found:
            continue
        if place.join.required or not must_be or _has_size_for(place, part.features[place.feature]):
            ends[place.feature] = None
    return tuple(ends)


def _has_size_for(place: Place, own: Feature) -> bool:
    kind = joint_kinds()[place.join.kind]
    asked = kind.requires[0 if own.kind in kind.between[0] else 1]
    return any(name in own.values for name in asked)


def _tried_with(feature: Feature) -> Iterator[str]:
    """References of the parts that an end was tried with and went together."""
    for trial in feature.trials:
        if trial.passed and " " in trial.against:
            yield trial.against.partition(" ")[0]


def _found(book: PlacesBook, reference: str) -> FoundPart | None:
    try:
        return book.find(reference)
    except NotFoundFault:
        return None


def _wrong_side(part: FoundPart, side: str) -> bool:
    body = part.features.get("body")
    said = body.get("side") if body is not None else None
    return bool(side) and said is not None and said.word in SIDES and said.word != side


def _told(place: Place, mate: Feature, own: Feature) -> dict[str, str]:
    """What a kit would tell the joint: the stud comes from where the eye opens, as it did before."""
    told = dict(place.join.tells)
    if place.join.adjuster:
        told["adjuster"] = "yes"
    if place.side:
        told["side"] = place.side
    opens = mate.get("opens") or own.get("opens")
    if opens is not None and opens.word in ("down", "up"):
        told["enters"] = {"down": "below", "up": "above"}[opens.word]
    return told
