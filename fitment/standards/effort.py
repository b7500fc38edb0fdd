"""Figures that rules and other papers set for effort and play at the steering wheel: told as what they are.

No car is judged by them. Table ``effort_limits``: most of it is from memory or second hand, and none of it is about a
standing car.
"""

from __future__ import annotations

from functools import cache

from fitment.frozen import dataclass
from fitment.standards.table_files import rows

#: goes beside every one of the effort figures
REGULATED = "for a slowly rolling car; a standstill figure is an upper bound and not the regulated quantity"

#: exact: N in the units of the table
_NEWTONS = {"N": 1.0, "daN": 10.0}


@dataclass(frozen=True)
class ControlLimit:
    """One figure.

    Attributes:
        id: ``R79-M1-intact``.
        quantity: ``effort`` at the rim, or ``play`` of the rim.
        document, paragraph: where it stands; the paragraph may be "".
        case: ``gear intact``.
        applies_to: category of vehicle, size of rim, or who set it.
        value, unit: the figure; N or daN, mm or deg.
        seconds, radius: within which time, onto a bend of which radius (m); None where not told.
        source, source_kind: where it was read; ``memory`` is unchecked.
        second_hand: whether it was read as quoted by another.
        note: what else is known of it.
    """

    id: str
    quantity: str
    document: str
    paragraph: str
    case: str
    applies_to: str
    value: float
    unit: str
    seconds: float | None
    radius: float | None
    source: str
    source_kind: str
    second_hand: bool
    note: str

    @property
    def newtons(self) -> float:
        """The figure in N; only of an effort."""
        return self.value * _NEWTONS[self.unit]

    @property
    def standing(self) -> str:
        """How far it may be trusted: ``from memory, unchecked``, ``second hand``, or where it was read."""
        if self.source_kind == "memory":
            return "from memory, unchecked"
        return "second hand" if self.second_hand else self.source

    @property
    def told(self) -> str:
        """One line for people."""
        figure = f"{self.newtons:g} N" if self.quantity == "effort" else f"{self.value:g} {self.unit}"
        within = (
            f" within {self.seconds:g} s onto a radius of {self.radius:g} m" if self.seconds and self.radius else ""
        )
        note = f"; {self.note}" if self.note else ""
        return f"{self.document}, {self.applies_to}, {self.case}: {figure}{within} ({self.standing}{note})"


@cache
def control_limits() -> dict[str, ControlLimit]:
    """Every figure by its id, in the order of the table."""
    return {
        row["id"]: ControlLimit(
            id=row["id"],
            quantity=row["quantity"],
            document=row["document"],
            paragraph=row["paragraph"],
            case=row["case"],
            applies_to=row["applies_to"],
            value=float(row["value"]),
            unit=row["unit"],
            seconds=float(row["time_s"]) if row["time_s"] else None,
            radius=float(row["radius_m"]) if row["radius_m"] else None,
            source=row["source"],
            source_kind=row["source_kind"],
            second_hand=row["second_hand"] == "yes",
            note=row["note"],
        )
        for row in rows("effort_limits")
    }


def effort_limits(category: str) -> tuple[ControlLimit, ...]:
    """Effort figures of UN Regulation No. 79 to put beside a car of this category; those over all where it has none.

    Args:
        category: ``M1`` and so on, in any case; "" where it is not known.
    """
    efforts = [one for one in control_limits().values() if one.quantity == "effort" and one.id.startswith("R79-")]
    own = tuple(one for one in efforts if one.applies_to == category.strip().upper())
    return own or tuple(one for one in efforts if one.applies_to == "all categories")
