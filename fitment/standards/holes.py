"""Holes for bolts and for taps: ISO 273, ASME B18.2.8, and the usual tap drills."""

from __future__ import annotations

from functools import cache

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.standards.table_files import rows
from fitment.standards.threads import MM_PER_INCH, SAME, Thread, inch_size

FITS = ("fine", "medium", "coarse")
INCH_FITS = ("close", "normal", "loose")


@dataclass(frozen=True)
class Hole:
    """A drilled hole.

    Attributes:
        diameter: mm.
        drill: as a workshop names it, ``13.5``, ``25/64`` or ``Q``.
        source, source_kind: where it comes from.
    """

    diameter: float
    drill: str
    source: str
    source_kind: str


def clearance_hole_metric(nominal: float, fit: str) -> Hole:
    """Clearance hole of a metric bolt (ISO 273).

    Args:
        nominal: mm, M6 to M22.
        fit: fine (H12), medium (H13) or coarse (H14).

    Raises:
        DataFault: no such size or fit.
    """
    if fit not in FITS:
        raise DataFault(f"{fit} is not a fit of ISO 273", mending="allowed: " + ", ".join(FITS), code="hole-01")
    for row in rows("fasteners_holes_metric"):
        if float(row["bolt_mm"]) == nominal:
            drill = row[f"{fit}_mm"]
            return Hole(float(drill), drill, row["source"], row["source_kind"])
    raise DataFault(
        f"no clearance hole is held for M{nominal:g}",
        mending="held: " + ", ".join(f"M{row['bolt_mm']}" for row in rows("fasteners_holes_metric")),
        code="hole-01",
    )


def clearance_hole_inch(nominal: float, fit: str) -> Hole:
    """Clearance drill of an inch bolt (ASME B18.2.8).

    Args:
        nominal: mm, 5/16 to 3/4 in.
        fit: close, normal or loose.

    Raises:
        DataFault: no such size or fit.
    """
    if fit not in INCH_FITS:
        raise DataFault(
            f"{fit} is not a fit of ASME B18.2.8", mending="allowed: " + ", ".join(INCH_FITS), code="hole-01"
        )
    for row in rows("fasteners_holes_inch"):
        if row["fit"] == fit and abs(float(inch_size(row["bolt_in"])) * MM_PER_INCH - nominal) < SAME:
            return Hole(
                float(inch_size(row["drill_in"])) * MM_PER_INCH, row["drill_in"], row["source"], row["source_kind"]
            )
    raise DataFault(
        f"no clearance hole is held for {nominal / MM_PER_INCH:g} in",
        mending="held: " + ", ".join(dict.fromkeys(row["bolt_in"] for row in rows("fasteners_holes_inch"))),
        code="hole-01",
    )


@cache
def _tap_drills() -> dict[str, Hole]:
    return {
        row["thread"]: Hole(
            float(row["drill_mm"]) if row["drill_mm"] else float(inch_size(row["drill_in"])) * MM_PER_INCH,
            row["drill"],
            row["source"],
            row["source_kind"],
        )
        for row in rows("fasteners_tap_drills")
    }


def tap_drill(thread: Thread) -> Hole:
    """The usual tap drill of a thread (ISO 2306, DIN 336; US lists).

    33/64 for 9/16-18 and 37/64 for 5/8-18 lie a hair above the largest 2B minor diameter; they are customary all the
    same.

    Raises:
        DataFault: none is held.
    """
    found = _tap_drills().get(thread.designation)
    if found is None:
        raise DataFault(
            f"no tap drill is held for {thread.designation}",
            mending="choose one inside the nut's minor diameter limits",
            code="hole-02",
        )
    return found
