"""What a page for the yard says, before it is text or HTML: its lines of heading, its rows, how it comes back."""

from __future__ import annotations

from fitment.catalogue.dictionary import Dimension, PartKind, part_kinds
from fitment.catalogue.dictionary.lines import SheetRow, full_rows, quick_rows
from fitment.frozen import dataclass
from fitment.quantity.tools import tool_title
from fitment.quantity.units import system_unit

CAUTIONS = (
    "Dimensions only. Not an approval. Strength, fatigue, material, hidden cracks and welds are not checked.",
    "Confirm the direction of steering and every torque on the car.",
)
_WITH_UNIT = ("point", "distances")


@dataclass(frozen=True)
class PaperRow:
    """One row of a page: number, short name, what it is, unit, allowed words, tool and how."""

    number: int
    name: str
    title: str
    unit: str
    words: tuple[str, ...]
    tool: str
    how: str


@dataclass(frozen=True)
class Paper:
    """A page: its rows, out of how many that the kind has; `system` is the unit system of bare numbers."""

    kind: PartKind
    full: bool
    system: str
    rows: tuple[PaperRow, ...]
    of: int

    @property
    def title(self) -> str:
        """``rack, quick sheet``."""
        return f"{self.kind.title}, full sheet" if self.full else f"{self.kind.title}, quick sheet"


def paper_for(kind: PartKind, full: bool, system: str) -> Paper:
    """The page of a kind: its quick rows, or all."""
    everything = full_rows(kind)
    rows = everything if full else quick_rows(kind)
    made = tuple(_row(number, row, system) for number, row in enumerate(rows, 1))
    return Paper(kind, full, system, made, len(everything))


def is_vehicle(paper: Paper) -> bool:
    """Whether it is a survey of a car."""
    return paper.kind is part_kinds()["vehicle"]


def has_points(paper: Paper) -> bool:
    """Whether it has points, which say nothing without a datum and axes."""
    return any(row.unit.startswith("x, y, z") for row in paper.rows)


def _row(number: int, row: SheetRow, system: str) -> PaperRow:
    return paper_row(number, row.name, row.dimension, row.dimension.tool, system)


def paper_row(number: int, name: str, dimension: Dimension, tool: str, system: str) -> PaperRow:
    """The row of a dimension, to be taken with this tool."""
    unit = unit_of(dimension, system)
    return PaperRow(number, name, dimension.title, unit, dimension.words, tool_title(tool), dimension.how)


def unit_of(dimension: Dimension, system: str) -> str:
    """The unit of a bare number of a row; "" where there is none."""
    if dimension.value_kind in _WITH_UNIT:
        symbol = system_unit("length", system).symbol
        return f"x, y, z in {symbol}" if dimension.value_kind == "point" else symbol
    unit = dimension.unit if system == "mm" else dimension.inch_unit
    return unit or ""
