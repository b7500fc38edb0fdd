"""What a document to hand over is filled in from: the kit, what was found of it, and on what paper."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from typing import Any, TypeVar

from fitment.catalogue.provenance import Origin, Records
from fitment.doubt import Draws
from fitment.frozen import dataclass
from fitment.joints.registration import Setting
from fitment.kits.assembly import Assembly, NamedPart
from fitment.kits.checked_car import CheckedCar
from fitment.kits.kit import Kit
from fitment.kits.measure_next import MeasureNext
from fitment.kits.report import Report
from fitment.kits.steer import Comparison
from fitment.sheets.blocks import Blank
from fitment.sheets.finding_text import in_system
from fitment.sheets.paper_size import PaperSize

T = TypeVar("T")

#: what a box says in place of a metric unit, where inches are asked for
_INCH = {"mm": "in", "m": "ft", "N": "lbf", "kg": "lb", "bar": "psi"}


@dataclass(frozen=True)
class SheetContext:
    """Everything that documents are made from; nothing is looked up after it is made.

    Attributes:
        kit: as its file states it.
        report: of its check.
        report_id: uid of the report as it is kept.
        assembly: the kit put together: the parts by address with every value (`found`), the joints, the target.
        draws: samples of the check.
        comparison: what the car will do beside what it did; its results are empty where points are not known.
        asked: the readings that would settle the verdict; None where it is settled, or nobody asks.
        records: what the catalogue has on record of the parts: donors, statements, sittings, papers, changes.
        paper: the size of the paper.
        system: "mm" or "inch", for lengths; a drawing at scale is in mm always.
        date: when it was made, ISO 8601.
        program: name and version of this program.
    """

    kit: Kit
    report: Report
    report_id: str
    assembly: Assembly
    draws: Draws
    comparison: Comparison
    asked: MeasureNext | None
    records: Records
    paper: PaperSize
    system: str
    date: str
    program: str
    made: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    def once(self, name: str, make: Callable[[], T]) -> T:
        """What `make` gives, made the first time that `name` is asked for, for what several documents need."""
        if name not in self.made:
            self.made[name] = make()
        found: T = self.made[name]
        return found

    @property
    def setting(self) -> Setting:
        """What the checks of the whole kit are told."""
        return Setting(self.kit.limits, self.draws)

    @property
    def car(self) -> CheckedCar:
        """The car as the checks of bump steer and lock see it."""
        return self.once("car", lambda: CheckedCar(self.kit, self.assembly, self.setting))

    @property
    def parts(self) -> Mapping[str, NamedPart]:
        """The parts of the kit by address, adapters too (``adapter.1``)."""
        return {part.address: part for part in self.report.parts}

    def origin(self, reference: str) -> Origin:
        """What is on record of a part or item; an empty record where nothing is."""
        return self.records.origins.get(reference, Origin(reference))

    def shown(self, sentence: str) -> str:
        """A sentence that says its lengths in mm, with them in the units asked for."""
        return in_system(sentence, self.system)

    def blank(self, unit: str = "") -> Blank:
        """A box to fill in, in the unit of the system asked for that this unit of the other is measured in."""
        return Blank(_INCH.get(unit, unit) if self.system == "inch" else unit)

    @property
    def stamp(self) -> str:
        """What every page carries: which catalogue in which state, which kit file, which report."""
        catalogue = self.report.catalogue
        return (
            f"catalogue {catalogue.id[:8]} revision {catalogue.revision}, readings {catalogue.digest[:12]}; "
            f"kit file {self.report.kit_digest[:12]}; report {self.report_id[:8]}"
        )
