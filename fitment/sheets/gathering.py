"""Gathers what documents are filled in from: the kit checked, its steering worked out, its records looked up."""

from __future__ import annotations

from collections.abc import Callable

from fitment.catalogue.fitted import Shelf
from fitment.doubt import Draws
from fitment.finding import Verdict
from fitment.joints.kinds import joint_kinds
from fitment.kits.assembly import assemble
from fitment.kits.check import check
from fitment.kits.donor_card import TOE_LIMIT
from fitment.kits.kit import Kit
from fitment.kits.measure_next import measure_next_of
from fitment.kits.report import Report
from fitment.kits.steer import steer
from fitment.sheets.context import SheetContext
from fitment.sheets.paper_size import PaperSize


def gather(
    kit: Kit,
    shelf: Shelf,
    paper: PaperSize,
    system: str,
    date: str,
    program: str,
    named: Callable[[Report], str],
    asking: bool = True,
) -> SheetContext:
    """The context of a kit's documents.

    Args:
        kit: as its file states it.
        shelf: the catalogue.
        paper: the size of paper.
        system: "mm" or "inch".
        date: ISO 8601.
        program: name and version of this program.
        named: gives the uid under which a report is kept.
        asking: whether the readings that would settle the verdict are wanted, which takes seconds.

    Raises:
        NotFoundFault, DataFault, Faults: the kit names what is not there, or in the wrong role.
    """
    draws = Draws()
    report = check(kit, shelf, draws)
    assembly = assemble(kit, shelf, joint_kinds())
    names = [report.target.name, *(part.name for part in report.parts)]
    return SheetContext(
        kit=kit,
        report=report,
        report_id=named(report),
        assembly=assembly,
        draws=draws,
        comparison=steer([kit], shelf, TOE_LIMIT),
        asked=measure_next_of(kit, shelf) if asking and report.verdict is Verdict.NOT_KNOWN else None,
        records=shelf.records(names, kit.name),
        paper=paper,
        system=system,
        date=date,
        program=program,
    )
