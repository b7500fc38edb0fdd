"""The ledger of a proposed kit: what it costs, line by line, by weights of our own choice (``weights.csv``)."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path

from fitment.catalogue.stock import Stocked
from fitment.finding import Basis, Work
from fitment.frozen import dataclass
from fitment.kits.propose.wants import Wants
from fitment.kits.report import Report

#: the search reckons in whole hundredths of a point
STEP = 100
#: minutes for an operation that has none in the table; own choice, no source
_OTHER_WORK = 60.0


@dataclass(frozen=True)
class Weight:
    """One line of the ledger: points per `unit`."""

    line: str
    unit: str
    weight: float
    title: str
    source: str


@dataclass(frozen=True)
class Entry:
    """One line of a kit's ledger.

    Attributes:
        weight: the line.
        amount: how much, in the line's unit.
        cost: hundredths of a point.
        of: what it is made up of, for people.
    """

    weight: Weight
    amount: float
    cost: int
    of: tuple[str, ...] = ()


def _table(name: str) -> list[dict[str, str]]:
    with Path(__file__).with_name(name).open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table, strict=True))


@cache
def weights() -> dict[str, Weight]:
    """Every line by its name, in the order of a ledger."""
    return {
        row["line"]: Weight(row["line"], row["unit"], float(row["weight"]), row["title"], row["source"])
        for row in _table("weights.csv")
    }


@cache
def work_minutes() -> dict[str, float]:
    """Minutes by operation."""
    return {row["operation"]: float(row["minutes"]) for row in _table("work_minutes.csv")}


def price_of(text: str) -> float | None:
    """A stated price as a number; None where it is none, or below 0."""
    try:
        price = float(text)
    except ValueError:
        return None
    return price if 0 <= price < float("inf") else None


@dataclass(frozen=True)
class Tally:
    """What parts add to the ledger whatever else is in the kit.

    Args:
        wants: of the user.
        own: names of the designs that came with the car: they are there, and cost nothing.
        shelf: by design, the items of it that are on the shelf.
    """

    wants: Wants
    own: frozenset[str]
    shelf: Mapping[str, tuple[Stocked, ...]]

    def of(self, parts: Iterable[Stocked], adapter: bool = False) -> list[Entry]:
        """The entries of the parts at one place."""
        found, parts = [], list(parts)
        bought = [one for one in parts if one.design not in self.own]
        for one, item, price in self._priced(bought):
            told = one.part.name if item is None else f"{one.part.name} ({item} on the shelf)"
            if price is None:
                found.append(_entry("price-unknown", 1, one.part.name))
            else:
                found.append(_entry("price", price, told))
        for one in bought:
            mass = one.part.features["body"].get("mass")
            if mass is None:
                found.append(_entry("mass-unknown", 1, one.part.name))
            else:
                found.append(_entry("mass", mass.number, one.part.name))
        if adapter:
            found.append(_entry("adapter", 1, parts[0].part.name))
        found += [entry for one in parts if one.part.kind == "rack" for entry in self._turns(one)]
        return found

    def cost(self, parts: Iterable[Stocked], adapter: bool = False) -> int:
        """What they come to, in hundredths of a point."""
        return sum(entry.cost for entry in self.of(parts, adapter))

    def _priced(self, parts: list[Stocked]) -> list[tuple[Stocked, str | None, float | None]]:
        """Each part with the item that is priced in its place and the price; a design by its cheapest items."""
        left: dict[str, list[tuple[float, str]]] = {}
        for one in parts:
            if not one.part.is_item and one.design not in left:
                items = self.shelf.get(one.design, ())
                priced = [(price, item.part.name) for item in items if (price := price_of(item.price)) is not None]
                left[one.design] = sorted(priced, reverse=True)
        found: list[tuple[Stocked, str | None, float | None]] = []
        for one in parts:
            if one.part.is_item:
                found.append((one, None, price_of(one.price)))
            elif left[one.design]:
                price, item = left[one.design].pop()
                found.append((one, item, price))
            else:
                found.append((one, None, None))
        return found

    def _turns(self, rack: Stocked) -> list[Entry]:
        if self.wants.turns is None:
            return []
        use = rack.part.features["body"].get("turns")
        if use is None:
            return [_entry("wanted-unknown", 1, rack.part.name)]
        off = self.wants.off(use.number)
        return [_entry("wanted", off, f"{rack.part.name} {use.number:.2f} turns")] if off else []


def _entry(line: str, amount: float, *of: str) -> Entry:
    weight = weights()[line]
    return Entry(weight, amount, round(amount * weight.weight * STEP), of)


def entries_of_report(report: Report, toe: float | None, gaps: int) -> list[Entry]:
    """What the report of a kit adds: work, weak evidence, bump steer, gaps.

    Args:
        toe: largest change of toe of a wheel, deg; None where it is not known.
        gaps: readings that are missing.
    """
    found = []
    for work in works_of(report):
        found.append(_entry("work", work_minutes().get(work.operation, _OTHER_WORK), f"{work.operation} {work.part}"))
    weak = {
        (use.feature, use.dimension)
        for finding in report.findings
        for use in finding.uses
        if use.hearsay or use.assumed or use.basis is Basis.STATED
    }
    found += [_entry("weak", 1, " ".join(key)) for key in sorted(weak)]
    if toe is not None:
        found.append(_entry("bump-steer", toe))
    if gaps:
        found.append(_entry("gap", gaps))
    return found


def works_of(report: Report) -> tuple[Work, ...]:
    """The operations of a report, each once; those of a part on both sides are done twice."""
    found = [(joint.side, work) for joint in report.joints for finding in joint.findings for work in finding.work]
    return tuple(work for _, work in {(side, one.operation, one.part): (side, one) for side, one in found}.values())


def folded(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """One entry per line, in the order of the table, each the sum of its own."""
    by_line: dict[str, list[Entry]] = {}
    for entry in entries:
        by_line.setdefault(entry.weight.line, []).append(entry)
    return tuple(
        Entry(
            weight,
            sum(one.amount for one in by_line[line]),
            sum(one.cost for one in by_line[line]),
            tuple(of for one in by_line[line] for of in one.of),
        )
        for line, weight in weights().items()
        if line in by_line
    )
