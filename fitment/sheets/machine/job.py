"""An operation as its page shows it, and the sizes of a `Work` by name."""

from __future__ import annotations

import re

from fitment.finding import Figure, Finding, Work
from fitment.frozen import dataclass
from fitment.joints.registration import Limit
from fitment.kits.report import JointSummary
from fitment.sheets.blocks import Blank, Cell
from fitment.sheets.drawing.model import ScaleDrawing


@dataclass(frozen=True)
class Asked:
    """Work that a check asks for, with the finding and the joints that it stands in; for two joints, two are made."""

    joints: tuple[JointSummary, ...]
    finding: Finding
    work: Work

    @property
    def joint(self) -> JointSummary:
        """The first of its joints."""
        return self.joints[0]

    def size(self, name: str) -> float | None:
        """A size in its unit; None where it is not known."""
        found = self.work.sizes.get(name)
        return found.value if isinstance(found, Figure) else None

    def word(self, name: str) -> str:
        """A word among the sizes; "" where there is none."""
        found = self.work.sizes.get(name)
        return found if isinstance(found, str) else ""

    @property
    def stem(self) -> str:
        """Name for its files, unlike that of any other work of a kit: ``ream-left-stud-eye-north-kn-1-eye``."""
        on = "" if self.work.part.startswith("between ") else self.work.part
        return re.sub(r"[^a-z0-9]+", "-", f"{self.work.operation} {self.joint.id} {on}".lower()).strip("-")


@dataclass(frozen=True)
class SizeRow:
    """One size: what it is, as it is now, as it is wanted with its limits; a box, with its unit, for what is measured.

    `box` is None where nothing is measured afterwards.
    """

    what: str
    now: str
    wanted: Cell
    box: str | None = None


@dataclass(frozen=True)
class Job:
    """A page of the machine shop.

    Attributes:
        asked: the work.
        says: of `standards.operations`: who passes it, what is to be stated.
        drawings: to scale; none where nothing can be drawn.
        description: of the drawing, for those who cannot see it.
        rows: sizes.
        steps: how it is done and where it stops.
        wanting: what is not known and has to be measured first.
        record: labels of boxes of its own to fill in.
        limits: what the limits among the sizes rest on.
    """

    asked: Asked
    says: str
    drawings: tuple[ScaleDrawing, ...]
    description: str
    rows: tuple[SizeRow, ...]
    steps: tuple[str, ...]
    wanting: tuple[str, ...] = ()
    record: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()


def mm(value: float | None, measure: str = "") -> str:
    """A length to 0.01 mm; where it is not known, what to measure."""
    if value is not None:
        return f"{value:.2f} mm"
    return f"not known: measure {measure}" if measure else "not known"


def ask(value: float | None, limits: str = "") -> Cell:
    """A wanted length with its limits; a box where it is not known."""
    return Blank("mm") if value is None else f"{value:.2f} mm{limits}"


def rests_on(limit: Limit) -> str:
    """What a limit is, and on whose authority: ``wall round the hole: 0.5 (common practice, no source)``."""
    source = "stated in the kit" if limit.overridden else limit.source
    return f"{limit.title}: {limit.value:g} {limit.unit}".rstrip() + f" ({source})"
