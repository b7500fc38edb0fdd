"""Limits of size of a thread, and the basic sizes that they start from."""

from __future__ import annotations

from fitment.frozen import dataclass
from fitment.standards.threads import Thread


@dataclass(frozen=True)
class ExternalLimits:
    """Limits of a bolt thread, mm.

    Attributes:
        d_max, d_min: major diameter.
        d2_max, d2_min: pitch diameter (effective diameter).
        d1_max: largest minor diameter, flat root.
        d3_min: smallest minor diameter, rounded root (for reference).
    """

    d_max: float
    d_min: float
    d2_max: float
    d2_min: float
    d1_max: float
    d3_min: float


@dataclass(frozen=True)
class InternalLimits:
    """Limits of a nut thread, mm; its largest major diameter is free.

    Attributes:
        D_min: smallest major diameter.
        D1_min, D1_max: minor diameter.
        D2_min, D2_max: pitch diameter (effective diameter).
    """

    D_min: float
    D1_min: float
    D1_max: float
    D2_min: float
    D2_max: float


#: what a pitch diameter and a minor diameter lie below the nominal, in pitches (ISO 68-1, ASME B1.1; BS 84)
_BELOW_NOMINAL = {"M": (0.649519, 1.082532), "UN": (0.649519, 1.082532), "W": (0.640327, 1.280654)}


def basic_pitch_diameter(thread: Thread) -> float:
    """Basic pitch (effective) diameter, mm, not rounded (ISO 724, ASME B1.1: D - 0.649519 P; BS 84: D - 0.640327 P)."""
    return thread.nominal - _BELOW_NOMINAL[thread.form][0] * thread.pitch


def basic_minor_diameter(thread: Thread) -> float:
    """Basic minor diameter, mm, not rounded (ISO 724, ASME B1.1: nut, D - 1.082532 P; BS 84: core, D - 1.280654 P)."""
    return thread.nominal - _BELOW_NOMINAL[thread.form][1] * thread.pitch
