"""Every mix of a small stock, each asked of `check` itself: what proposals are held against."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import permutations, product

from fitment.catalogue.found import CatalogueStamp, FoundPart, FoundVehicle
from fitment.catalogue.stock import Stocked
from fitment.doubt import Draws
from fitment.finding import Verdict
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.propose.candidates import Candidate, Place, Shelf, in_place, kinds_of_parts, ways
from fitment.kits.propose.kit_of import Adapter, Named, kit_text, rod_lengths
from fitment.kits.propose.ledger import Tally, entries_of_report
from fitment.kits.propose.proposal import Asked
from fitment.kits.report import Report
from fitment.kits.roles import SIDES, roles
from fitment.kits.rules import NO_CHECK
from tests.support.mix import CAR, Mix

SAMPLES = 400


@dataclass
class PlainStock:
    """The parts of a `Mix` as a stock.

    Attributes:
        mix: kinds and values.
        fitted: vehicles by part; the knuckles, the column and the crossmember are the car's own.
        prices, items: by reference; an item is another part of the mix, whose design is named here.
    """

    mix: Mix
    fitted: dict[str, str] = field(default_factory=dict)
    prices: dict[str, str] = field(default_factory=dict)
    items: dict[str, str] = field(default_factory=dict)

    def stamp(self) -> CatalogueStamp:
        return self.mix.stamp()

    def find(self, reference: str) -> FoundPart:
        return self.mix.find(reference)

    def find_vehicle(self, reference: str) -> FoundVehicle:
        return self.mix.find_vehicle(reference)

    def of_kinds(self, kinds: Collection[str]) -> tuple[Stocked, ...]:
        names = sorted(name for name, kind in self.mix.kinds.items() if kind in kinds)
        return tuple(
            Stocked(
                self.mix.find(name),
                self.items.get(name, name),
                True,
                self.prices.get(name, ""),
                ((self.fitted[name], ""),) if name in self.fitted else (),
            )
            for name in names
        )


#: verdict's rank turned round, hundredths of a point, and the kit
Ranked = tuple[int, int, str]


def every_mix(stock: PlainStock, asked: Asked) -> list[Ranked]:
    """All kits that may be proposed, best first: each mix as a file, read in and checked, without search or memory."""
    listed = stock.of_kinds(kinds_of_parts())
    shelf = Shelf(listed, CAR, asked.keep, frozenset(asked.without))
    own = frozenset(one.design for one in listed if shelf.own(one))
    tally = Tally(asked.wants, own, {one.design: tuple(shelf.shelved(one.design)) for one in listed})
    lengths = rod_lengths(listed)
    found = []
    for candidates, adapters in _mixes(shelf, asked.adapters):
        parts = dict(part for one in candidates for part in one.parts)
        named = Named(CAR, parts, tuple(adapter for pair in adapters for adapter in pair), lengths)
        report = check(read_kit(kit_text(named, "every").encode(), "every.toml"), stock, Draws(SAMPLES))
        gaps = _gaps(report)
        if not _allowed(report, gaps, asked) or any(one.rule == NO_CHECK for one in report.findings):
            continue

        cost = sum(tally.cost(stocked for _, stocked in one.parts) for one in candidates)
        cost += sum(tally.cost([adapter.stocked for adapter in pair], adapter=True) for pair in adapters)
        cost += sum(entry.cost for entry in entries_of_report(report, None, len(gaps)))
        found.append((3 - report.verdict.rank, cost, kit_text(named, "every")))
    return sorted(found)


def designs_of(text: str) -> tuple[str, ...]:
    """What a kit names, whatever it is called."""
    return tuple(line for line in text.splitlines() if '"NORTH/' in line and not line.startswith("target"))


def _gaps(report: Report) -> set[tuple[str, str]]:
    found = set()
    for one in report.findings:
        if one.verdict is Verdict.NOT_KNOWN:
            found |= {(gap.feature, gap.dimension) for gap in one.gaps} or {(one.joint[0], one.rule)}
    return found


def _allowed(report: Report, gaps: Collection[object], asked: Asked) -> bool:
    if report.verdict is Verdict.DOES_NOT_FIT or len(gaps) > asked.unknown:
        return False
    works = any(joint.verdict is Verdict.FITS_WITH_WORK for joint in report.joints)
    return not (asked.wants.no_work and works)


def _mixes(shelf: Shelf, adapters: int) -> Iterator[tuple[list[Candidate], list[tuple[Adapter, ...]]]]:
    racks = shelf.at(Place((roles()["rack"],), False))
    branches = []
    for name in dict.fromkeys(way.branch for way in ways()):
        chains = [
            chain
            for way in ways()
            if way.branch == name
            for chain in product(*(in_place(shelf.at(place), way, at) for at, place in enumerate(way.places)))
        ]
        if chains:
            branches.append(chains)
    for rack, *chains in product(racks, *branches):
        flat = [rack, *(one for chain in chains for one in chain)]
        yield flat, []
        if adapters:
            places = [pair for chain in chains for pair in _neighbours(rack, chain)]
            for before, after in places:
                yield from ((flat, [one]) for one in _adapters(shelf, before, after))


def _neighbours(rack: Candidate, chain: Sequence[Candidate]) -> list[tuple[Candidate, Candidate]]:
    two_sided = [one for one in chain if len(one.parts) == len(SIDES)]
    if not two_sided or "boot" in two_sided[0].addresses[0]:
        return []
    return list(zip([rack, *two_sided], two_sided, strict=False))


def _adapters(shelf: Shelf, before: Candidate, after: Candidate) -> Iterator[tuple[Adapter, ...]]:
    firsts = before.addresses if len(before.addresses) == len(SIDES) else before.addresses * 2
    for pair in shelf.adapters():
        ends = [name for name, end in pair[0].part.features.items() if end.values]
        for some in permutations(ends, 2):
            yield tuple(
                Adapter(one, (first, second), (some[0], some[1]))
                for one, first, second in zip(pair, firsts, after.addresses, strict=True)
            )
