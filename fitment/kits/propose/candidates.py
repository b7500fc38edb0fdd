"""What may stand where in a proposed kit: designs, and the items of them of which something of their own is known.

Both sides of the car take one design, two of its items where items are named; knuckles, which are handed, in pairs of
which nothing recorded differs. Knuckles, column and crossmember are the car's own: what was fitted to it.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import permutations
from pathlib import Path

from fitment.catalogue.stock import Stocked
from fitment.frozen import dataclass
from fitment.kits.roles import SIDES, Role, roles

#: two sizes of a pair of knuckles are unlike where they differ by more than so many mm and so many standard
#: uncertainties; own choice, no source
_UNLIKE, _DOUBTS = 0.5, 3.0
#: what an item is stated to be that keeps it from standing for its design on the shelf
_NOT_FOR_USE = frozenset({"worn"})


@dataclass(frozen=True)
class Place:
    """One place of a layout: the roles that may stand there, and whether only the car's own parts may."""

    roles: tuple[Role, ...]
    own: bool

    @property
    def kinds(self) -> frozenset[str]:
        """Kinds of part that may stand there."""
        return frozenset(kind for role in self.roles for kind in role.part_kinds)


@dataclass(frozen=True)
class Way:
    """One way to fill a branch: its name, and the places from the rack outwards."""

    branch: str
    layout: str
    places: tuple[Place, ...]


@dataclass(frozen=True)
class Candidate:
    """What may stand at one place: one part, or one for either side.

    Attributes:
        parts: by address.
    """

    parts: tuple[tuple[str, Stocked], ...]

    @property
    def addresses(self) -> tuple[str, ...]:
        """Where its parts stand."""
        return tuple(address for address, _ in self.parts)

    @property
    def references(self) -> tuple[str, ...]:
        """Names of the parts, left before right."""
        return tuple(stocked.part.name for _, stocked in self.parts)

    @property
    def designs(self) -> tuple[tuple[str, str], ...]:
        """Designs by address: what makes one proposal another."""
        return tuple((address, stocked.design) for address, stocked in self.parts)


@cache
def ways() -> tuple[Way, ...]:
    """Every way to fill a branch, by ``branches.csv``."""
    with Path(__file__).with_name("branches.csv").open(encoding="utf-8", newline="") as table:
        return tuple(
            Way(
                row["branch"], row["layout"], tuple(_place(place, row["own"].split()) for place in row["roles"].split())
            )
            for row in csv.DictReader(table, strict=True)
        )


def _place(text: str, own: Sequence[str]) -> Place:
    names = text.split("|")
    return Place(tuple(roles()[name] for name in names), any(name in own for name in names))


def place_name(way: Way, place: int) -> str:
    """Name of a place of a way, unlike any other's."""
    return f"{way.branch}, {way.layout}, {way.places[place].roles[0].title}"


def kinds_of_parts() -> frozenset[str]:
    """Every kind of part that a proposal may name."""
    places = (place for way in ways() for place in way.places)
    return frozenset({"rack", "adapter"}).union(*(place.kinds for place in places))


class Shelf:
    """What the catalogue has, for one target.

    Args:
        stock: every part and item of the kinds that a proposal may name, by name.
        vehicle: reference of the target.
        kept: references that a proposal must name.
        without: vehicles whose parts are not wanted.
    """

    def __init__(self, stock: Sequence[Stocked], vehicle: str, kept: Sequence[str], without: frozenset[str]):
        self.by_name = {one.part.name: one for one in stock}
        self._vehicle, self._kept = vehicle, frozenset(kept)
        self._items: dict[str, list[Stocked]] = {}
        for one in stock:
            if one.part.is_item:
                self._items.setdefault(one.design, []).append(one)
        usable = [one for one in stock if one.part.name in self._kept or not _only_of(one, without)]
        self.designs = [one for one in usable if not one.part.is_item]
        trials = _Trials(stock)
        self._known_items = {
            one.part.name for one in usable if one.part.is_item and (one.own_readings or trials.tell_more_of(one))
        }
        #: names of the features that a trial was made with: their keys decide nothing
        self.tried = frozenset(
            name for one in stock for end in one.part.features.values() for trial in end.trials for name in
            (end.name, trial.against)
        )  # fmt: skip

    def shelved(self, design: str) -> list[Stocked]:
        """The items of a design that are not stated to be worn."""
        items = self._items.get(design, [])
        return [one for one in items if one.part.stated.get("condition") not in _NOT_FOR_USE]

    def own(self, one: Stocked) -> bool:
        """Whether a part came with the car."""
        return any(vehicle == self._vehicle for vehicle, _ in one.fitted)

    def _variants(self, design: Stocked) -> list[Stocked]:
        """A design, and its items of which something of their own is known or which are to be kept."""
        own = [
            item for item in self._items.get(design.part.name, []) if item.part.name in self._known_items | self._kept
        ]
        return [design, *own]

    def at(self, place: Place) -> list[Candidate]:
        """Everything that may stand at a place, in the order of names."""
        found: list[Candidate] = []
        for role in place.roles:
            fitting = [one for one in self.designs if one.part.kind in role.part_kinds and self._allowed(one, place)]
            if role.sections != SIDES:
                at = role.address(role.sections[0])
                found += [Candidate(((at, one),)) for design in fitting for one in self._variants(design)]
            elif "knuckle" in role.part_kinds:
                found += self._handed(role, fitting)
            else:
                found += [_both(role, pair) for design in fitting for pair in self._pairs(design)]
        return found

    def _allowed(self, design: Stocked, place: Place) -> bool:
        return not place.own or self.own(design) or any(one.part.name in self._kept for one in self._variants(design))

    def _pairs(self, design: Stocked) -> Iterator[tuple[Stocked, Stocked]]:
        """One design on both sides, or two items of it: one piece of metal is in one place."""
        yield design, design
        _, *items = self._variants(design)
        yield from permutations(items if len(items) > 1 else (design, *items), 2)

    def _handed(self, role: Role, designs: Sequence[Stocked]) -> Iterator[Candidate]:
        for left in designs:
            for right in designs:
                if left is right or not (_for_side(left, "left") and _for_side(right, "right")):
                    continue
                for pair in ((one, other) for one in self._variants(left) for other in self._variants(right)):
                    if _alike(*pair):
                        yield _both(role, pair)

    def adapters(self) -> list[tuple[Stocked, Stocked]]:
        """Adapters for both sides of the car."""
        return [pair for one in self.designs if one.part.kind == "adapter" for pair in self._pairs(one)]


class _Trials:
    """Every trial of two features, from whichever side it was recorded."""

    def __init__(self, stock: Sequence[Stocked]):
        self._of: dict[str, dict[tuple[str, str], set[tuple[object, ...]]]] = {}
        for one in stock:
            for end in one.part.features.values():
                for trial in end.trials:
                    result = (trial.dimension, trial.passed, trial.contact, trial.stand_off and trial.stand_off.value)
                    for own, other in ((end.name, trial.against), (trial.against, end.name)):
                        reference, _, feature = own.rpartition(" ")
                        self._of.setdefault(reference, {}).setdefault((feature, other), set()).add(result)

    def tell_more_of(self, item: Stocked) -> bool:
        """Whether trials of an item tell anything that those of its design do not tell as well.

        Where they do not, and no trial of the design failed, a kit with it is no better than one with its design.
        """
        own, designs = self._of.get(item.part.name, {}), self._of.get(item.design, {})
        failed = any(passed is False for results in designs.values() for _, passed, *_ in results)
        return failed or any(not results <= designs.get(at, set()) for at, results in own.items())


def _both(role: Role, pair: tuple[Stocked, Stocked]) -> Candidate:
    return Candidate(tuple((role.address(side), one) for side, one in zip(SIDES, pair, strict=True)))


def _only_of(one: Stocked, without: frozenset[str]) -> bool:
    """Whether a part is known from these vehicles and from no other."""
    return bool(one.fitted) and all(vehicle in without for vehicle, _ in one.fitted)


def _for_side(one: Stocked, side: str) -> bool:
    use = one.part.features["body"].get("side")
    if use is not None:
        return use.word == side
    where = {word for _, position in one.fitted for word in position.split() if word in SIDES}
    return not where or side in where


def _alike(left: Stocked, right: Stocked) -> bool:
    """Whether no recorded length of two knuckles tells them from a pair."""
    for name in ("body", "eye"):
        one, other = left.part.features[name].values, right.part.features[name].values
        for dimension in one.keys() & other.keys():
            uses = one[dimension], other[dimension]
            if any(isinstance(use.value, str) or use.unit != "mm" for use in uses):
                continue
            doubt = math.hypot(*(use.u or 0.0 for use in uses))
            if abs(uses[0].number - uses[1].number) > max(_UNLIKE, _DOUBTS * doubt):
                return False
    return True


def made_in_one(rod: Stocked) -> bool:
    """Whether a tie rod has its inner ball of its own: where that ball lies is recorded of the rod only then."""
    body = rod.part.features["body"]
    return "ball-offset" in body.values or "ball-offset" in body.gaps


def in_place(candidates: Iterable[Candidate], way: Way, place: int) -> list[Candidate]:
    """Those that may stand there in that layout: a rod made in one with its inner joint takes no other."""
    role = way.places[place].roles[0].name
    if role != "tie_rod":
        return list(candidates)
    return [one for one in candidates if made_in_one(one.parts[0][1]) is (place == 0)]
