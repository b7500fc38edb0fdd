"""Limits of Whitworth form threads, BSW and BSF (BS 84), in inches inside and mm outside.

The tolerances are from memory, found again in the notes of an open thread-table generator that names its books. BS 84
itself was not seen. Bolts of the medium and free class may in fact have an allowance of 0.3 T up to 3/4 in (memory);
none is taken here, so a real bolt may be 0.03 to 0.04 mm thinner.
"""

from __future__ import annotations

from fitment.standards.thread_classes import ThreadClass
from fitment.standards.thread_sizes import ExternalLimits, InternalLimits, basic_minor_diameter, basic_pitch_diameter
from fitment.standards.threads import MM_PER_INCH, Thread

_FACTORS = {"close": 2 / 3, "medium": 1.0, "free": 1.5}


def effective_tolerance(thread: Thread, limits_class: ThreadClass) -> float:
    """Tolerance of the effective diameter, inches, for an engagement of one diameter.

    T = 0.002 D^(1/3) + 0.003 L^(1/2) + 0.005 P^(1/2) with D, L = D, P in inches; close 2/3, free 3/2 of it (BS 84).
    """
    diameter, pitch = thread.nominal / MM_PER_INCH, thread.pitch / MM_PER_INCH
    medium: float = 0.002 * diameter ** (1 / 3) + 0.003 * diameter**0.5 + 0.005 * pitch**0.5
    return _FACTORS[limits_class.text] * medium


def _core_constant(tpi: float) -> float:
    """What a nut's core tolerance has besides 0.2 P, inches (BS 84)."""
    return 0.004 if tpi >= 26 else 0.005 if tpi >= 22 else 0.007


def whitworth_external(thread: Thread, limits_class: ThreadClass) -> ExternalLimits:
    """Limits of a bolt thread, mm (BS 84): major T + 0.01 P^(1/2), effective T, core T + 0.02 P^(1/2) below basic."""
    root_pitch = (thread.pitch / MM_PER_INCH) ** 0.5
    tolerance = effective_tolerance(thread, limits_class)
    effective, core = basic_pitch_diameter(thread), basic_minor_diameter(thread)
    return ExternalLimits(
        d_max=thread.nominal,
        d_min=thread.nominal - (tolerance + 0.01 * root_pitch) * MM_PER_INCH,
        d2_max=effective,
        d2_min=effective - tolerance * MM_PER_INCH,
        d1_max=core,
        d3_min=core - (tolerance + 0.02 * root_pitch) * MM_PER_INCH,
    )


def whitworth_internal(thread: Thread, limits_class: ThreadClass) -> InternalLimits:
    """Limits of a nut thread, mm (BS 84): effective T above basic, core 0.2 P and 0.004 to 0.007 in above basic."""
    effective, core = basic_pitch_diameter(thread), basic_minor_diameter(thread)
    tpi = MM_PER_INCH / thread.pitch
    return InternalLimits(
        D_min=thread.nominal,
        D1_min=core,
        D1_max=core + 0.2 * thread.pitch + _core_constant(tpi) * MM_PER_INCH,
        D2_min=effective,
        D2_max=effective + effective_tolerance(thread, limits_class) * MM_PER_INCH,
    )
