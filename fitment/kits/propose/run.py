"""The one road of a proposal: stock, candidates, search, `check` on every kit file, reasons where there is none."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fitment.catalogue.found import FoundVehicle
from fitment.catalogue.stock import Stock, Stocked
from fitment.errors import UsageFault
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.propose.candidates import Shelf, kinds_of_parts
from fitment.kits.propose.judge import LEVELS, Judge, StockBook, level_of
from fitment.kits.propose.kit_of import Named, kit_text, rod_lengths
from fitment.kits.propose.ledger import STEP, Tally, folded
from fitment.kits.propose.problem import Allowed, Query
from fitment.kits.propose.proposal import Asked, Least, PartOfKit, Proposal, ProposedKit
from fitment.kits.propose.why import why_none
from fitment.kits.roles import addresses

if TYPE_CHECKING:
    from fitment.kits.search.model import Budget, Found, Outcome, Problem

#: mixes asked of the search for every kit wanted, at most: items of one design make several mixes of one proposal
_MIXES = 27


def propose(book: Stock, asked: Asked, budget: Budget | None = None, samples: int | None = None) -> Proposal:
    """The best complete kits for a vehicle, by verdict and then by ledger, or why there is none.

    Ctrl-C ends the search with what was found until then.

    Args:
        book: the catalogue.
        asked: the question.
        budget: where the search gives up; None for its own.
        samples: of each value; None for the usual number, which `check` takes too.

    Raises:
        NotFoundFault: no such vehicle, or no such part to keep.
        UsageFault: a part to keep can be in no kit.
    """
    vehicle = book.find_vehicle(asked.vehicle)
    without = frozenset(book.find_vehicle(donor).name for donor in asked.without)
    stock = book.of_kinds(kinds_of_parts())
    keep = _kept(book, stock, asked.keep)
    shelf = Shelf(stock, vehicle.name, keep, without)
    judge = Judge(StockBook(book, vehicle.name, stock), samples)
    own = frozenset(one.design for one in stock if shelf.own(one))
    tally = Tally(asked.wants, own, {one.design: tuple(shelf.shelved(one.design)) for one in stock})
    allowed = Allowed(asked.adapters, asked.unknown, asked.wants.no_work)
    query = Query(vehicle.name, shelf, judge, tally, rod_lengths(stock), allowed, keep)
    return _Run(asked, query, judge, own, budget).proposal(vehicle, book)


def _kept(book: Stock, stock: Sequence[Stocked], keep: Sequence[str]) -> tuple[str, ...]:
    known = {one.part.name for one in stock}
    found = []
    for reference in keep:
        part = book.find(reference)
        if part.name not in known:
            raise UsageFault(
                f"{part.name} is a {part.kind}, which no proposed kit names",
                mending="keep a rack, a rod, a joint or another part of the steering",
                code="propose-02",
            )
        found.append(part.name)
    return tuple(found)


class _Run:
    """One question on its way to its answer."""

    def __init__(self, asked: Asked, query: Query, judge: Judge, own: frozenset[str], budget: Budget | None):
        self._asked, self._query, self._judge, self._own, self._budget = asked, query, judge, own, budget
        self._wanted = 3 * asked.top

    def proposal(self, vehicle: FoundVehicle, book: Stock) -> Proposal:
        """The whole answer."""
        problem = self._query.problem()
        outcome = None if problem is None else self._searched(problem)
        chosen = [] if outcome is None else self._distinct(outcome.found)[: self._asked.top]
        kits = [self._kit(number, one) for number, one in enumerate(chosen, 1)]
        why = None if kits else why_none(self._query, problem, outcome)
        least = None
        if outcome is not None and outcome.bound is not None and not outcome.proven:
            least = Least(LEVELS[outcome.bound.level], outcome.bound.cost / STEP)
        roles: dict[str, int] = {}
        for place, found in self._query.candidates.items():
            # a role of several layouts has its candidates in one or in all of them
            role = place.rpartition(", ")[2]
            roles[role] = max(len(found), roles.get(role, 0))
        return Proposal(
            asked=self._asked,
            vehicle=vehicle,
            catalogue=book.stamp(),
            kits=tuple(kits),
            proven=outcome is None or self._proven(outcome, chosen),
            least=least,
            stopped="done" if outcome is None else outcome.stopped,
            tests=0 if outcome is None else outcome.tests,
            left_out=tuple(self._query.left_out),
            unkeyed=self._query.keys.lacking,
            candidates=tuple(roles.items()),
            why_none=why,
        )

    def _searched(self, problem: Problem) -> Outcome:
        """The search, asked for more mixes until there are enough proposals that differ by more than an item."""
        from fitment.kits.search.engine import search

        while True:
            outcome = search(problem, self._wanted, self._budget)
            enough = len(self._distinct(outcome.found)) >= self._asked.top
            last = len(outcome.found) < self._wanted or self._wanted >= _MIXES * self._asked.top
            if enough or last or outcome.stopped != "done":
                return outcome
            self._wanted *= 3

    def _distinct(self, found: Sequence[Found]) -> list[Found]:
        """The best mix of each proposal: those that name the same designs, whichever item or mount on either side."""
        best: dict[object, Found] = {}
        for one in found:
            named = self._query.passed[one.mix.order].named
            designs = sorted((_role(address), stocked.design) for address, stocked in named.parts.items())
            made = sorted((one.stocked.design, one.between) for one in named.adapters)
            best.setdefault((*designs, *made), one)
        return list(best.values())

    def _proven(self, outcome: Outcome, chosen: Sequence[Found]) -> bool:
        """Whether none could stand among the kits listed, nor behind them where there are fewer than asked for."""
        if len(chosen) == self._asked.top:
            return outcome.found.index(chosen[-1]) < outcome.sure
        return outcome.proven and len(outcome.found) < self._wanted

    def _kit(self, number: int, one: Found) -> ProposedKit:
        """The kit as its file says it, checked as `fitment check` does: what the search remembers does not count."""
        proposed = self._query.passed[one.mix.order]
        name = f"Proposal {number} for {self._asked.vehicle}"
        text = kit_text(proposed.named, name)
        report = check(read_kit(text.encode(), f"proposal-{number:02}.toml"), self._judge.book, self._judge.draws())
        if level_of(report.verdict) != one.level:
            raise RuntimeError(f"{name}: check says {report.verdict.value}, the search took it for {LEVELS[one.level]}")
        return ProposedKit(
            name, text, report, self._parts(proposed.named), folded(proposed.entries), tuple(sorted(proposed.gaps))
        )

    def _parts(self, named: Named) -> tuple[PartOfKit, ...]:
        parts = [
            PartOfKit(address, role.spoken(section), named.parts[address], named.parts[address].design in self._own)
            for address, (role, section) in addresses().items()
            if address in named.parts
        ]
        made = [
            PartOfKit(f"adapter.{number}", "adapter", one.stocked, False)
            for number, one in enumerate(named.adapters, 1)
        ]
        return (*parts, *made)


def _role(address: str) -> str:
    """What a part does in a kit, on whichever side."""
    return address.replace("left", "").replace("right", "")
