"""The faults of sheets on their way in, kept until all can be told at once."""

from __future__ import annotations

from fitment.catalogue.dictionary import Dimension
from fitment.catalogue.sheet_text import COVERED, Row, Sheet, refused_fault
from fitment.errors import Faults, FitmentError


class Collector:
    """Runs one row at a time and keeps its faults, so that all are told at once."""

    def __init__(self) -> None:
        self.faults: list[FitmentError] = []

    def take(self, fault: FitmentError, place: str) -> None:
        """Keeps a fault, with its place if it has none."""
        for one in fault.faults if isinstance(fault, Faults) else (fault,):
            self.faults.append(one if one.place else one.at(place))

    def row(self, fault: FitmentError, sheet: Sheet, row: Row) -> None:
        """Keeps the fault of a whole row, unless a cell without which it is not understood was refused for itself."""
        if all("." in name for name in row.refused):
            self.take(fault, sheet.place(row, sheet.kind))

    def refused(self, sheet: Sheet, row: Row, name: str, dimension: Dimension | None) -> None:
        """Keeps the fault of a cell that was refused for itself, if it was."""
        if row.refused.get(name, COVERED) is not COVERED:
            self.take(refused_fault(row.refused[name], dimension), sheet.place(row, name))

    def end(self) -> None:
        """Raises what was kept."""
        if self.faults:
            raise self.faults[0] if len(self.faults) == 1 else Faults(self.faults)
