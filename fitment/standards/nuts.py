"""Castle nuts and their split pins: DIN 935-1, DIN 937; ISO 1234, ASME B18.8.1 and BS 1083 pins. All mm."""

from __future__ import annotations

from functools import cache

from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.standards.table_files import rows

#: two sizes nearer than this are the same size, mm
SAME_SIZE = 0.005


@dataclass(frozen=True)
class CastleNut:
    """A castle nut of one standard and thread, mm.

    Attributes:
        standard: ``DIN 935-1`` or ``DIN 937``.
        nominal: nominal diameter of the thread.
        m_max, m_min: height of the nut, largest and smallest.
        w_max, w_min: height of the bottom of the slots above the nut's seat, largest and smallest.
        n: least width of a slot.
        s: across flats.
        s_old: across flats of the edition before, where it differed.
        pin: nominal size of the split pin (ISO 1234), which is the size of its hole.
        pin_length: its length; None where the table gives none.
        source: which copy was read.
        source_kind: what the row rests on.
    """

    standard: str
    nominal: float
    m_max: float
    m_min: float
    w_max: float
    w_min: float
    n: float
    s: float
    s_old: float | None
    pin: float
    pin_length: float | None
    source: str
    source_kind: str


@dataclass(frozen=True)
class SplitPin:
    """A split pin for one size of bolt, mm.

    Attributes:
        standard: ``ISO 1234`` or ``ASME B18.8.1``.
        nominal: nominal size: of the hole (ISO 1234), of the pin (ASME B18.8.1).
        wire_max: largest diameter of the wire, which is thinner than the hole; None where not known.
        wire_source_kind: "standard" or "memory"; "" where not known.
        source: which copy was read.
        source_kind: what the row rests on.
    """

    standard: str
    nominal: float
    wire_max: float | None
    wire_source_kind: str
    source: str
    source_kind: str


@cache
def castle_nuts() -> tuple[CastleNut, ...]:
    """Every castle nut of the table, by standard and size."""
    return tuple(
        CastleNut(
            standard=row["standard"],
            nominal=float(row["nominal_mm"]),
            m_max=float(row["m_max_mm"]),
            m_min=float(row["m_min_mm"]),
            w_max=float(row["w_max_mm"]),
            w_min=float(row["w_min_mm"]),
            n=float(row["n_min_mm"]),
            s=float(row["s_mm"]),
            s_old=_optional(row["s_old_mm"]),
            pin=float(row["pin_mm"]),
            pin_length=_optional(row["pin_length_mm"]),
            source=row["source"],
            source_kind=row["source_kind"],
        )
        for row in rows("castle_nuts")
    )


def castle_nut(standard: str, nominal: float) -> CastleNut:
    """The castle nut of a standard for a thread of this nominal diameter, mm.

    Raises:
        DataFault: the standard or the size is not in the table.
    """
    of_standard = [nut for nut in castle_nuts() if nut.standard == standard]
    if not of_standard:
        raise DataFault(
            f"'{standard}' is no standard for castle nuts that is known here",
            mending=nearest(standard, {nut.standard for nut in castle_nuts()}),
            code="nut-01",
        )
    for nut in of_standard:
        if abs(nut.nominal - nominal) < SAME_SIZE:
            return nut
    sizes = ", ".join(f"M{nut.nominal:g}" for nut in of_standard)
    raise DataFault(
        f"{standard} has no castle nut of {nominal:g} mm in the table",
        mending=f"sizes in the table: {sizes}; for any other, measure the nut",
        code="nut-02",
    )


def pin_window(nut: CastleNut, pin: float) -> float:
    """How far the centre of a pin may move along the axis with the pin wholly inside the slot, mm: m - w - pin.

    With the largest m and the largest w, as tables are usually read; the guaranteed window is `sure_pin_window`.
    """
    return nut.m_max - nut.w_max - pin


def sure_pin_window(nut: CastleNut, pin: float) -> float:
    """The window that every nut within its limits has, mm: the smallest m, the largest w."""
    return nut.m_min - nut.w_max - pin


def split_pin(nominal: float, standard: str = "ISO 1234") -> SplitPin:
    """The split pin for a bolt or stud of this nominal diameter, mm.

    ISO 1234 gives ranges of bolts, over one size and up to and including the next. ASME B18.8.1 gives single sizes, for
    clevis pins. BS 1083 gives holes only: `bs1083_pin_hole`.

    Raises:
        DataFault: no pin for this size, or a standard that is not known here.
    """
    known = {row["standard"] for row in rows("split_pins") if row["pin_mm"]}
    if standard not in known:
        raise DataFault(
            f"'{standard}' is no standard for split pins that is known here",
            mending=nearest(standard, known),
            code="pin-01",
        )
    row = _pin_row(standard, nominal)
    return SplitPin(
        standard=standard,
        nominal=float(row["pin_mm"]),
        wire_max=_optional(row["wire_max_mm"]),
        wire_source_kind=row["wire_source_kind"],
        source=row["source"],
        source_kind=row["source_kind"],
    )


def bs1083_pin_hole(nominal: float) -> tuple[float, float]:
    """Least and largest diameter of the split-pin hole of a BS 1083 bolt of this nominal diameter, all mm.

    At 3/8 and 1/2 in it is too small for the pins that ASME B18.8.1 gives for clevis pins of these sizes.
    Source: looked up in a web copy of BS 1083.

    Raises:
        DataFault: no hole given for this size.
    """
    row = _pin_row("BS 1083", nominal)
    return float(row["hole_min_mm"]), float(row["hole_max_mm"])


def _pin_row(standard: str, nominal: float) -> dict[str, str]:
    """The row of the table whose bolts include this one."""
    of_standard = [row for row in rows("split_pins") if row["standard"] == standard]
    for row in of_standard:
        if _takes(row, nominal):
            return row
    low, high = of_standard[0], of_standard[-1]
    raise DataFault(
        f"{standard} has no split pin for a bolt of {nominal:g} mm in the table",
        mending=f"the table goes from {float(low['from_mm'] or low['over_mm']):g} to {float(high['up_to_mm']):g} mm"
        "; for any other, measure the hole",
        code="pin-02",
    )


def _takes(row: dict[str, str], nominal: float) -> bool:
    """Whether a row of pins is for this bolt: over one size, or from one size, up to and including another."""
    if nominal > float(row["up_to_mm"]) + SAME_SIZE:
        return False
    if row["over_mm"]:
        return nominal > float(row["over_mm"]) + SAME_SIZE
    return nominal > float(row["from_mm"]) - SAME_SIZE


def _optional(cell: str) -> float | None:
    return float(cell) if cell else None
