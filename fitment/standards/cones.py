"""Cones by name, and the ways in which a taper is said: ratio, included angle, half angle, inch per foot.

A taper is held as the ratio C = (D - d) / L, the change of diameter over the length along the axis (ISO 3040).
Every formula takes floats or numpy arrays.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING, Any

from fitment.elementwise import is_array, sqrt
from fitment.frozen import dataclass
from fitment.standards.table_files import rows

if TYPE_CHECKING:
    from fitment.elementwise import Values


@dataclass(frozen=True)
class Cone:
    """A taper that has a name.

    Attributes:
        name: ``1:8`` or ``7 deg included``.
        ratio: C = (D - d) / L.
        standard: the standard that lists it; "" for a name of the trade.
        source_kind: what its ratio rests on: "standard" or "computed".
        met_on_steering: whether it is said to be met on the studs of steering joints.
        also: other names of the very same cone, ``1.5 in/ft``.
        source: where its ratio comes from.
        met_source: who says that it is, or is not, met on steering; "" where nobody was found to say.
        met_source_kind: "common-practice" or "memory"; "" where nobody was found to say.
    """

    name: str
    ratio: float
    standard: str
    source_kind: str
    met_on_steering: bool
    also: tuple[str, ...]
    source: str
    met_source: str
    met_source_kind: str


@cache
def all_cones() -> tuple[Cone, ...]:
    """Every named cone, once each, the steepest first.

    "7 degree" and 1.5 in/ft (1:8) are used as one name in the trade, but differ by 0.153 deg; so are "10 degree" and
    2 in/ft (1:6), which differ by 0.473 deg. They are separate cones here. No copy of a standard for ball studs was
    found: which cones are met on steering is common practice or memory, as each row says.
    """
    cones = (
        Cone(
            name=row["name"],
            ratio=1 / float(row["one_in"]) if row["one_in"] else ratio_from_included(float(row["included_deg"])),
            standard=row["standard"],
            source_kind=row["source_kind"],
            met_on_steering=row["met_on_steering"] == "yes",
            also=(row["also"],) if row["also"] else (),
            source=row["source"],
            met_source=row["met_source"],
            met_source_kind=row["met_source_kind"],
        )
        for row in rows("cones")
    )
    return tuple(sorted(cones, key=lambda cone: -cone.ratio))


def included_angle(ratio: Values) -> Any:
    """Included (full) angle of a cone, degrees: A = 2 atan(C/2) (ISO 3040)."""
    return 2 * half_angle(ratio)


def half_angle(ratio: Values) -> Any:
    """Half angle of a cone, degrees: atan(C/2)."""
    if is_array(ratio):
        import numpy as np

        return np.degrees(np.arctan(ratio / 2))
    return math.degrees(math.atan(ratio / 2))


def ratio_from_included(angle_deg: Values) -> Any:
    """Ratio of a cone named by its included angle in degrees: C = 2 tan(A/2)."""
    return ratio_from_half(angle_deg / 2)


def ratio_from_half(angle_deg: Values) -> Any:
    """Ratio of a cone named by its half angle in degrees: C = 2 tan(A/2)."""
    if is_array(angle_deg):
        import numpy as np

        return 2 * np.tan(np.radians(angle_deg))
    return 2 * math.tan(math.radians(angle_deg))


def inch_per_foot(ratio: Values) -> Any:
    """Taper in inches of diameter per foot of length: 12 C."""
    return 12 * ratio


def diameter_at(large: Values, ratio: Values, x: Values) -> Any:
    """Diameter of a cone at the distance x along the axis from the plane of `large`, towards the small end; mm."""
    return large - ratio * x


def ratio_from_diameters(large: Values, small: Values, length: Values) -> Any:
    """Ratio from two diameters and the length along the axis between their planes, all mm: C = (D - d) / L."""
    return (large - small) / length


def ratio_uncertainty(
    u_large: Values, u_small: Values, length: Values, u_length: Values = 0.0, ratio: Values = 0.0
) -> Any:
    """Standard uncertainty of a ratio from two diameters: sqrt(u(D)^2 + u(d)^2 + (C u(L))^2) / L.

    Args:
        u_large, u_small: standard uncertainties of the two diameters, mm, with errors of their own.
        length: distance between their planes, mm.
        u_length: its standard uncertainty, mm.
        ratio: the ratio itself; plays a part only where `u_length` does.

    Source: law of propagation of uncertainty, JCGM 100, clause 5.1.2.
    """
    return sqrt(u_large * u_large + u_small * u_small + (ratio * u_length) * (ratio * u_length)) / length
