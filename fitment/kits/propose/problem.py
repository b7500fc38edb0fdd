"""The problem that the search is asked: candidates as arrays of costs and keys, and the two tests that ask `check`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from functools import cache
from typing import TYPE_CHECKING

from fitment.catalogue.stock import Stocked
from fitment.frozen import dataclass
from fitment.kits.propose.candidates import Candidate, Place, Shelf, Way, in_place, place_name, ways
from fitment.kits.propose.judge import Judge, Want
from fitment.kits.propose.keys import Keys, by_address
from fitment.kits.propose.kit_of import Adapter, Named, kit_of, meetings
from fitment.kits.propose.ledger import Entry, Tally, entries_of_report
from fitment.kits.propose.links import Link, between, ways_in
from fitment.kits.propose.rests_on import Pieces, because_of, together
from fitment.kits.propose.rod_windows import with_rod_windows
from fitment.kits.roles import SIDES, roles
from fitment.kits.search.model import DIRECT, NO_KEY, RACK, UNKNOWN, Judged, Mix, Piece

if TYPE_CHECKING:
    from fitment.kits.search.model import Branch, Layout, Links, Problem

Lengths = Mapping[tuple[str, str], tuple[float, str]]


@dataclass(frozen=True)
class Allowed:
    """What a proposal may have: so many adapters, so many readings that it lacks, work or none."""

    adapters: int
    unknown: int
    no_work: bool = False

    @property
    def level(self) -> int:
        """The worst level, by `judge.LEVELS`."""
        return 2 if self.unknown else 0 if self.no_work else 1

    def admits(self, level: int | None) -> bool:
        """Whether something of this level may be in a kit."""
        return level is not None and level <= self.level and not (self.no_work and level == 1)


@dataclass(frozen=True)
class Proposed:
    """A mix that passed: what it names, all that its ledger says, what it lacks, what was forgiven it."""

    named: Named
    entries: tuple[Entry, ...]
    gaps: frozenset[tuple[str, str]]
    wants: tuple[Want, ...] = ()


@dataclass
class Query:
    """One question to the search, and what its numbers mean.

    Attributes:
        target: reference of the vehicle.
        shelf: what there is.
        judge: asks `check`.
        tally: what parts cost.
        lengths: of rods with their inner joints (`kit_of.rod_lengths`).
        allowed: what a kit may have.
        keep: references that every kit must name.
        forgiven: module of a check of the whole kit of which too short or too long is noted and let pass; "" for none.
        candidates: by place of a `Piece`, in the order of the search's numbers.
        left_out: what no kit of this target has, and why.
        passed: by `Mix.order`, the mixes that passed.
        refused: what kept mixes from passing, by title of the joint, with how often that was so.
    """

    target: str
    shelf: Shelf
    judge: Judge
    tally: Tally
    lengths: Lengths
    allowed: Allowed
    keep: tuple[str, ...] = ()
    forgiven: str = ""
    candidates: dict[str, list[Candidate]] = field(default_factory=dict)
    left_out: list[str] = field(default_factory=list)
    passed: dict[tuple[int, ...], Proposed] = field(default_factory=dict)
    refused: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.keys = Keys(self.shelf.tried)
        self._links: dict[str, list[Link]] = {}
        # the search is asked several times over, for more mixes each time
        self._pairs: dict[tuple[Piece, Piece], int | None] = {}
        self._mixes: dict[tuple[int, ...], Judged] = {}
        self._always: set[str] = set()
        self._adapters = self.shelf.adapters() if self.allowed.adapters else []

    def again(self, allowed: Allowed, forgiven: str = "") -> Query:
        """The same question with more allowed."""
        return Query(
            self.target, self.shelf, self.judge, self.tally, self.lengths, allowed, keep=self.keep, forgiven=forgiven
        )

    def problem(self) -> Problem | None:
        """The problem; None where there is no rack or the car has no knuckles on record (`left_out` says)."""
        from fitment.kits.search.build import racks
        from fitment.kits.search.model import Problem

        rack = Place((roles()["rack"],), False)
        self.candidates[RACK] = self._usable(rack, self.shelf.at(rack))
        if not self.candidates[RACK]:
            self.left_out.append("no rack that could be proposed is in the catalogue")
        branches: list[Branch] = []
        keys: dict[str, list[int]] = {}
        for name in dict.fromkeys(way.branch for way in ways()):
            made = self._branch(name)
            if made is not None:
                branches.append(made)
                firsts = Place(
                    tuple(role for way in ways() if way.branch == name for role in way.places[0].roles), False
                )
                keys[name] = [self.keys.outer(one, firsts) for one in self.candidates[RACK]]
            elif name == "rods":
                return None
        if not self.candidates[RACK]:
            return None
        levels = [self._state(one) or 0 for one in self.candidates[RACK]]
        alone = [branch.layouts[0] for branch in branches if len(branch.layouts) == 1]
        self._always = {one.name for layout in alone for one in layout.stations if len(one.cost) == 1}
        problem = Problem(
            racks(self._costs(RACK), keys, level=levels),
            tuple(branches),
            adapters=self.allowed.adapters,
            unknown=self.allowed.unknown,
            levels=self.allowed.level + 1,
            gap_level=2 if self.allowed.unknown else self.allowed.level,
            pair=self._pair,
            whole=self._whole,
        )
        if self.forgiven or self.allowed.adapters or self.allowed.unknown:
            return problem
        return with_rod_windows(problem, self.target, self.judge, self.lengths, self.candidates)

    def _branch(self, name: str) -> Branch | None:
        from fitment.kits.search.model import Branch

        made = [self._layout(way) for way in ways() if way.branch == name]
        layouts = tuple(one for one in made if not isinstance(one, str))
        if layouts:
            return Branch(name, layouts)
        why = dict.fromkeys(one for one in made if isinstance(one, str))
        self.left_out.append(" and ".join(why))
        return None

    def _layout(self, way: Way) -> Layout | str:
        """One way to fill a branch; what is missing for it where there is nothing to fill it with."""
        from fitment.kits.search.build import station
        from fitment.kits.search.model import Interface, Layout

        at = [
            self._usable(place, in_place(self.shelf.at(place), way, number)) for number, place in enumerate(way.places)
        ]
        for place, found in zip(way.places, at, strict=True):
            if not found:
                return self._none(place)
        stations, interfaces = [], []
        for number, (place, found) in enumerate(zip(way.places, at, strict=True)):
            before = way.places[number - 1] if number else None
            after = way.places[number + 1] if number + 1 < len(way.places) else None
            name = place_name(way, number)
            self.candidates[name] = found
            inner, outer = (
                [of(one, at) for one in found] for of, at in ((self.keys.inner, before), (self.keys.outer, after))
            )
            levels = [self._state(one) or 0 for one in found]
            stations.append(station(name, self._costs(name), inner, outer, level=levels))
            interfaces.append(Interface(name, self._linked(name, before, place), tested=True))
        last = f"{way.branch}, {way.layout}, end"
        return Layout(way.layout, tuple(stations), (*interfaces, Interface(last)), NO_KEY, last)

    def _none(self, place: Place) -> str:
        title = " or ".join(role.title for role in place.roles)
        if place.own:
            return f"no {title} is recorded as fitted to {self.target}"
        return f"no {title} that could be proposed is in the catalogue"

    def _usable(self, place: Place, found: Sequence[Candidate]) -> list[Candidate]:
        """Those whose recorded state allows the level asked for, and that leave room for what must be kept."""
        kinds = [self.shelf.by_name[name].part.kind for name in self.keep]
        must = {name for name, kind in zip(self.keep, kinds, strict=True) if kind in place.kinds and _one_place(kind)}
        fitting = [one for one in found if must <= {*one.references, *(design for _, design in one.designs)}]
        return [one for one in fitting if self.allowed.admits(self._state(one))]

    def _state(self, one: Candidate) -> int | None:
        return self.judge.state(self._named([one]))

    def _costs(self, place: str) -> list[int]:
        return [self.tally.cost(stocked for _, stocked in one.parts) for one in self.candidates[place]]

    def _linked(self, name: str, before: Place | None, place: Place) -> Links | None:
        """The adapters that could stand at an interface of both sides of the car."""
        from fitment.kits.search.build import links

        if not self._adapters or place.roles[0].sections != SIDES:
            return None
        first = ("rack",) if before is None else tuple(before.roles[0].address(side) for side in SIDES)
        met = meetings(first, tuple(place.roles[0].address(side) for side in SIDES))
        rows = []
        for pair in self._adapters:
            for ends in ways_in(pair[0], met[0]) if met else ():
                keys = [self.keys.link(pair, end, met) for end in ends]
                if UNKNOWN not in keys:
                    rows.append((Link(pair, ends), keys))
        if not rows:
            return None
        table = f"{name}, adapters"
        self._links[table] = [link for link, _ in rows]
        costs = [self.tally.cost(link.pair, adapter=True) for link, _ in rows]
        return links(table, costs, [keys[0] for _, keys in rows], [keys[1] for _, keys in rows])

    def _named(self, candidates: Sequence[Candidate], adapters: tuple[Adapter, ...] = ()) -> Named:
        return Named(self.target, by_address(candidates), adapters, self.lengths)

    def named(self, mix: Mix) -> Named:
        """What a mix names."""
        chosen = [self.candidates[RACK][mix.rack]]
        adapters: list[Adapter] = []
        for chain in mix.chains:
            way, before = _ways()[chain.branch, chain.layout], chosen[0]
            for number in range(len(way.places)):
                name = place_name(way, number)
                one = self.candidates[name][chain.stations[number]]
                if chain.links[number] != DIRECT:
                    adapters += between(self._links[f"{name}, adapters"][chain.links[number]], before, one)
                chosen.append(one)
                before = one
        return self._named(chosen, tuple(adapters))

    def _pair(self, first: Piece, second: Piece) -> int | None:
        """Level of the joints between two candidates; of one beside an adapter the whole kit is asked."""
        if first.place not in self.candidates or second.place not in self.candidates:
            return 0
        if (first, second) not in self._pairs:
            both = [self.candidates[piece.place][piece.at] for piece in (first, second)]
            named = self._named(both)
            vain = not self.allowed.unknown and self.judge.leaves_open(named)
            level = None if vain else self.judge.pair(named)
            self._pairs[first, second] = level if self.allowed.admits(level) else None
        return self._pairs[first, second]

    def _whole(self, mix: Mix) -> Judged:
        """What `check` says of the whole kit, and what that adds to its ledger."""
        if mix.order not in self._mixes:
            self._mixes[mix.order] = self._judged(mix)
        return self._mixes[mix.order]

    def _judged(self, mix: Mix) -> Judged:
        named, pieces = self.named(mix), self._pieces(mix)
        rests = self.judge.rests(named, self.allowed.admits, self.allowed.unknown, self.forgiven)
        worst = [one for one in rests if not self.allowed.admits(one.level)]
        gaps = frozenset(gap for one in rests for gap in one.gaps)
        if worst or len(gaps) > self.allowed.unknown:
            lacking = [one for one in rests if one.gaps]
            alone = worst or [one for one in lacking if len(one.gaps) > self.allowed.unknown]
            for title in {one.title for one in worst or lacking}:
                self.refused[title] = self.refused.get(title, 0) + 1
            return Judged(None, because=because_of(alone, pieces) if alone else together(lacking, pieces))
        if not all(any(name in (one.part.name, one.design) for one in self._all(named)) for name in self.keep):
            return Judged(None)
        report = self.judge.report_of(kit_of(named))
        entries = entries_of_report(report, self.judge.toe(), len(gaps))
        wants = tuple(one.want for one in rests if one.want is not None)
        self.passed[mix.order] = Proposed(named, (*self._entries(named), *entries), gaps, wants)
        level = max((one.level or 0 for one in rests), default=0)
        because = because_of([one for one in rests if one.level == level], pieces) if level else None
        return Judged(level, sum(entry.cost for entry in entries), because)

    @staticmethod
    def _all(named: Named) -> list[Stocked]:
        return [*named.parts.values(), *(one.stocked for one in named.adapters)]

    def _entries(self, named: Named) -> list[Entry]:
        """The entries of a mix's parts, place by place as the search counts them."""
        places: dict[str, list[Stocked]] = {}
        for address, stocked in named.parts.items():
            section, _, key = address.partition(".")
            places.setdefault(key if section in SIDES else address, []).append(stocked)
        found = [entry for parts in places.values() for entry in self.tally.of(parts)]
        for number in range(0, len(named.adapters), 2):
            pair = [one.stocked for one in named.adapters[number : number + 2]]
            found += self.tally.of(pair, adapter=True)
        return found

    def _pieces(self, mix: Mix) -> Pieces:
        """The pieces of a mix as answers rest on them; what stands in every mix need not be named."""
        at = {
            address: piece
            for piece in mix.pieces
            if piece.place in self.candidates and piece.place not in self._always
            for address in self.candidates[piece.place][piece.at].addresses
        }
        adapters = frozenset(piece for piece in mix.pieces if piece.place not in self.candidates)
        direct = {}
        for chain in mix.chains:
            way, before = _ways()[chain.branch, chain.layout], mix.pieces[0]
            for number, station in enumerate(chain.stations):
                piece = Piece(place_name(way, number), station)
                table = f"{piece.place}, adapters"
                if table in self._links and chain.links[number] == DIRECT:
                    two = (one for one in (before, piece) if one.place not in self._always)
                    direct[Piece(table, DIRECT)] = frozenset(two)
                before = piece
        return Pieces(at, adapters, direct)


@cache
def _ways() -> dict[tuple[str, str], Way]:
    return {(way.branch, way.layout): way for way in ways()}


def _one_place(kind: str) -> bool:
    """Whether a kind of part has one role in a kit."""
    return sum(kind in role.part_kinds for role in roles().values()) == 1
