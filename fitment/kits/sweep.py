"""Many vehicles with many racks: each pair by `check` of one kit, or by `propose` with that rack; one row a pair.

A row depends on the catalogue and the question alone, so that it is the same whoever makes it, in whatever order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fitment.catalogue.stock import Stock, open_stock
from fitment.errors import FitmentError, NotFoundFault, UsageFault
from fitment.finding import Verdict
from fitment.frozen import dataclass
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.propose.proposal import Asked, Proposal, WhyNone
from fitment.kits.propose.run import propose
from fitment.kits.propose.wants import read_wants
from fitment.kits.report import Report

#: headings of the matrix
COLUMNS = ("vehicle", "rack", "verdict", "points", "proven", "lacking", "because")
#: what stands for a verdict where there is none: no kit can be proposed; the pair cannot be asked
NO_KIT, NOT_ASKED = "no kit", "not asked"
#: the state of a catalogue: its id, revision and digest
Stamp = tuple[str, int, str]


@dataclass(frozen=True)
class Sweep:
    """What is asked of every vehicle with every rack; plain values, so that it goes to other processes.

    Attributes:
        vehicles, racks: references.
        kit: a kit file's bytes, of which each pair takes the place of target and rack; empty to propose kits.
        kit_file: its name, for messages.
        want, keep, without, adapters, unknown: as for `propose`.
    """

    vehicles: tuple[str, ...]
    racks: tuple[str, ...]
    kit: bytes = b""
    kit_file: str = ""
    want: str = ""
    keep: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    adapters: int = 0
    unknown: int = 0

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """Every pair, in the order of the rows."""
        return [(vehicle, rack) for vehicle in self.vehicles for rack in self.racks]


def planned(place: str | None, asked: Sweep) -> tuple[Sweep, Stamp]:
    """The sweep with every reference in full, each once, and all of a sort where none is named; the catalogue's state.

    Raises:
        NotFoundFault: no such vehicle or part; or there is none at all.
        UsageFault: what is named is no rack; a wish or a part to keep is of no use.
        DataFault: the kit file cannot be read, or names no rack.
    """
    from fitment.catalogue.database import connected
    from fitment.catalogue.listing import things

    vehicles, racks = asked.vehicles, asked.racks
    with connected(place) as connection:
        vehicles = vehicles or tuple(thing.reference for thing in things(connection, "vehicle"))
        racks = racks or tuple(thing.reference for thing in things(connection, "part", "rack"))
    with open_stock(place) as book:
        vehicles = tuple(dict.fromkeys(book.find_vehicle(name).name for name in vehicles))
        racks = tuple(dict.fromkeys(_rack(book, name) for name in racks))
        stamp = _stamp(book)
    for what, found in (("vehicle", vehicles), ("rack", racks)):
        if not found:
            mending = f"add one first: fitment {'vehicle' if what == 'vehicle' else 'part'} add --help"
            raise NotFoundFault(f"the catalogue has no {what}", mending=mending, code="sweep-01")
    read_wants(asked.want)
    if asked.kit and not any(part.section == "rack" for part in read_kit(asked.kit, asked.kit_file).parts):
        raise UsageFault(
            "the kit names no rack",
            place=asked.kit_file,
            mending='name one, which each rack in turn takes the place of: part = "REF" under [rack]',
            code="sweep-02",
        )
    return replace(asked, vehicles=vehicles, racks=racks), stamp


def _rack(book: Stock, reference: str) -> str:
    part = book.find(reference)
    if part.kind != "rack":
        raise UsageFault(
            f"{part.name} is a {part.kind}", mending="fitment part list --kind rack shows the racks", code="sweep-03"
        )
    return part.name


def _stamp(book: Stock) -> Stamp:
    found = book.stamp()
    return found.id, found.revision, found.digest


def row_of(place: str | None, asked: Sweep, vehicle: str, rack: str) -> tuple[Stamp, tuple[str, ...]]:
    """The row of one pair, as text in the order of `COLUMNS`, and the state of the catalogue that it was made from.

    Raises:
        KeyboardInterrupt: the search was interrupted, so that there is no answer.
        StorageFault: the catalogue did not answer.
    """
    with open_stock(place) as book:
        stamp = _stamp(book)
        try:
            told = _checked(book, asked, vehicle, rack) if asked.kit else _proposed(book, asked, vehicle, rack)
        except FitmentError as fault:
            if fault.exit_code == 74:  # of the disk or the database, not of the pair
                raise
            told = (NOT_ASKED, "", "", "", fault.message)
    return stamp, (vehicle, rack, *told)


def _checked(book: Stock, asked: Sweep, vehicle: str, rack: str) -> tuple[str, ...]:
    kit = read_kit(asked.kit, asked.kit_file)
    parts = tuple(replace(part, reference=rack) if part.section == "rack" else part for part in kit.parts)
    report = check(replace(kit, target=vehicle, parts=parts), book)
    lacking = sum(map(len, report.unknowns.values()))
    return str(report.verdict), "", "", str(lacking), _because(report)


def _proposed(book: Stock, asked: Sweep, vehicle: str, rack: str) -> tuple[str, ...]:
    keep = (rack, *asked.keep)
    wants = read_wants(asked.want)
    proposal = propose(book, Asked(vehicle, wants, keep, asked.without, asked.adapters, asked.unknown, top=1))
    if proposal.stopped == "interrupted":
        raise KeyboardInterrupt
    proven = "yes" if proposal.proven else "no"
    if not proposal.kits:
        return NO_KIT, "", proven, "", _why(proposal)
    kit = proposal.kits[0]
    return str(kit.verdict), f"{kit.cost:.2f}", proven, str(len(kit.lacks)), _because(kit.report)


def _because(report: Report) -> str:
    passing = report.verdict in (Verdict.FITS, Verdict.FITS_WITH_WORK)
    return ("dimensions only: " if passing else "") + report.ruling


def _why(proposal: Proposal) -> str:
    """The first of what keeps every kit away, in the order in which `propose` tells it."""
    why = proposal.why_none or WhyNone()
    if why.lacks:
        return "not in the catalogue: " + ", ".join(why.lacks)
    if why.bottlenecks:
        return f"nothing goes together at: {why.bottlenecks[0].where}"
    if why.refusals:
        return f"refused most often by: {why.refusals[0].title}"
    return "nothing was found" + ("" if proposal.proven else " within the search's bounds")


def tallied(rows: Sequence[Sequence[str]]) -> dict[str, int]:
    """How many rows have each verdict, the best first; what stands for one last."""
    at = COLUMNS.index("verdict")
    words = [*map(str, sorted(Verdict, key=lambda one: -one.rank)), NO_KIT, NOT_ASKED]
    return {word: count for word in words if (count := sum(row[at] == word for row in rows))}
