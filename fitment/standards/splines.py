"""Splines as the trade names them, and what their tooth counts allow. Form by form: `spline_forms`, `serrations`.

The name is not the outside diameter: match on the count first, then on measured diameters (common practice).
"""

from __future__ import annotations

import math
from functools import cache

from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.standards.table_files import rows
from fitment.standards.threads import MM_PER_INCH


@dataclass(frozen=True)
class TradeSpline:
    """A steering-shaft end by its trade name; diameters in mm.

    Attributes:
        name: ``3/4-36``, ``17 mm DD``.
        form: "spline" or "double-D".
        teeth: splines over the full circle; None for a double-D.
        nominal_od: outside diameter that the name says; across the rounds of a double-D.
        across_flats: of a double-D; None where no source gives it.
        measured: smallest and largest outside diameter that owners measured; None where nobody was found to say.
        teeth_beside_flat: teeth left beside a flat for the pinch bolt, in the source's words; "" where not said.
        source, source_kind: where name and nominal come from.
        measured_source, measured_source_kind: where the measurements come from; "" where there are none.
    """

    name: str
    form: str
    teeth: int | None
    nominal_od: float
    across_flats: float | None
    measured: tuple[float, float] | None
    teeth_beside_flat: str
    source: str
    source_kind: str
    measured_source: str
    measured_source_kind: str


def _mm(cell: str) -> float | None:
    """A cell of inches in mm; None where it is empty."""
    return float(cell) * MM_PER_INCH if cell else None


@cache
def trade_splines() -> tuple[TradeSpline, ...]:
    """Every shaft end that the trade names, none of them a designation of a standard (common practice or memory)."""
    found = []
    for row in rows("splines_trade"):
        low, high = _mm(row["measured_low_in"]), _mm(row["measured_high_in"])
        found.append(
            TradeSpline(
                name=row["name"],
                form=row["form"],
                teeth=int(row["teeth"]) if row["teeth"] else None,
                nominal_od=float(row["nominal_od_in"]) * MM_PER_INCH,
                across_flats=_mm(row["across_flats_in"]),
                measured=None if low is None or high is None else (low, high),
                teeth_beside_flat=row["teeth_beside_flat"],
                source=row["source"],
                source_kind=row["source_kind"],
                measured_source=row["measured_source"],
                measured_source_kind=row["measured_source_kind"],
            )
        )
    return tuple(found)


def trade_spline(name: str) -> TradeSpline:
    """The shaft end of this trade name, ``3/4-36``.

    Raises:
        DataFault: no such name in the table.
    """
    for spline in trade_splines():
        if spline.name == name:
            return spline
    raise DataFault(
        f"'{name}' is no spline that the trade names here",
        mending=nearest(name, (spline.name for spline in trade_splines())),
        code="spline-01",
    )


def index_step(teeth: int) -> float:
    """Angle from one tooth to the next, degrees: 360/N. The worst error of centring is half of it."""
    return 360 / teeth


def finest_step(teeth: int, other: int) -> float:
    """Finest change of clock position with both ends of a shaft free to index, degrees: 360/lcm(N1, N2).

    Turning one end alone changes the phase of the shaft's joints; a notch, flat or blind tooth takes the freedom away.
    """
    return 360 / math.lcm(teeth, other)


def teeth_in_line(teeth: int, other: int) -> int:
    """Most teeth that line up when N1 is put to N2: gcd(N1, N2). Unequal counts never mate, the rest collide."""
    return math.gcd(teeth, other)


def chord(outside: float, teeth: int, pitches: int) -> float:
    """Distance between two crests some pitches apart, mm, on an outside diameter in mm: OD sin(k 180 deg / N)."""
    return outside * math.sin(math.pi * pitches / teeth)


def calliper_largest(outside: float, teeth: int) -> float:
    """The largest reading that flat jaws give over sharp crests, mm: OD for even counts, OD cos(90 deg / N) for odd."""
    return outside if teeth % 2 == 0 else outside * math.cos(math.pi / (2 * teeth))


def calliper_smallest(outside: float, teeth: int) -> float:
    """The smallest reading that flat jaws give over sharp crests, mm, where they settle.

    OD cos(180 deg / N) for even counts (two crests in each jaw), OD (1 + cos(180 deg / N)) / 2 for odd ones (two
    against one).
    """
    cosine = math.cos(math.pi / teeth)
    return outside * cosine if teeth % 2 == 0 else outside * (1 + cosine) / 2
