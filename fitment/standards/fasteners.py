"""Across flats and nut heights: ISO 272, ISO 4032, ISO 4035, older DIN sizes, US inch and BS 1083 hexagons. All mm."""

from __future__ import annotations

from functools import cache

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.standards.table_files import rows
from fitment.standards.threads import MM_PER_INCH, SAME, inch_size

#: nut standards and what they are
NUT_STANDARDS = {"ISO 4032": "hexagon nut, style 1", "ISO 4035": "thin (jam) nut, chamfered"}


@dataclass(frozen=True)
class Hexagon:
    """A hexagon of one standard and size.

    Attributes:
        standard: ISO 272, DIN 931/933/934, Japanese practice of the period, US inch or BS 1083.
        on: "bolt", "nut" or "bolt and nut".
        size: thread size, ``M10`` or ``3/8``.
        nominal: nominal diameter of the thread, mm.
        flats: across flats, mm (nominal; the largest for BS 1083).
        flats_text: as a spanner names it, ``17`` or ``9/16``.
        source, source_kind: where it comes from.
    """

    standard: str
    on: str
    size: str
    nominal: float
    flats: float
    flats_text: str
    source: str
    source_kind: str


@cache
def hexagons() -> tuple[Hexagon, ...]:
    """Every hexagon held, in the order of the table (ISO 272, DIN 931/933/934, BS 1083; see each one's source)."""
    return tuple(_hexagon(row) for row in rows("fasteners_hexagons"))


def _hexagon(row: dict[str, str]) -> Hexagon:
    metric = row["size"].startswith("M")
    return Hexagon(
        standard=row["standard"],
        on=row["on"],
        size=row["size"],
        nominal=float(row["size"][1:]) if metric else float(inch_size(row["size"])) * MM_PER_INCH,
        flats=float(row["flats_mm"]) if row["flats_mm"] else float(inch_size(row["flats_in"])) * MM_PER_INCH,
        flats_text=row["flats_mm"] or row["flats_in"],
        source=row["source"],
        source_kind=row["source_kind"],
    )


def across_flats(nominal: float) -> tuple[Hexagon, ...]:
    """The hexagons that a nominal diameter in mm may carry, whichever standard made it; empty where none is held."""
    return tuple(hexagon for hexagon in hexagons() if abs(hexagon.nominal - nominal) < SAME)


def nut_height(nominal: float, standard: str) -> float:
    """Largest height of a hexagon nut, mm.

    Args:
        nominal: mm, M6 to M22.
        standard: ``ISO 4032`` (style 1) or ``ISO 4035`` (thin, used as jam nut).

    Raises:
        DataFault: no such standard or size.
    """
    if standard not in NUT_STANDARDS:
        raise DataFault(
            f"no nut heights are held for {standard}", mending="held: " + ", ".join(NUT_STANDARDS), code="fastener-03"
        )
    held = {
        row["size"]: float(row["height_max_mm"]) for row in rows("fasteners_nut_heights") if row["standard"] == standard
    }
    size = f"M{nominal:g}"
    if size not in held:
        raise DataFault(f"no {standard} nut is held for {size}", mending="held: " + ", ".join(held), code="fastener-03")
    return held[size]
