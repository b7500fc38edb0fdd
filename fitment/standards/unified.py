"""Limits of Unified threads by the formulas of ASME B1.1, in inches inside and mm outside.

The formulas are from memory and were found again in an open CAD library; they reproduce 78 printed limits within
0.0001 in. Known differences: 5/8-11 is printed with an allowance of 0.0016 (formula 0.0017), 15/16-12 with a 3A pitch
diameter of 0.8793 at least (formula 0.8792).
"""

from __future__ import annotations

from math import floor

from fitment.standards.thread_classes import ThreadClass
from fitment.standards.thread_sizes import ExternalLimits, InternalLimits, basic_minor_diameter, basic_pitch_diameter
from fitment.standards.threads import MM_PER_INCH, Thread

#: series whose tolerances are for an engagement of one diameter; the others have nine pitches
_ONE_DIAMETER = frozenset({"UNC", "UNF"})
_ONE_DIAMETER_TPI = frozenset({4.0, 6.0, 8.0})

_FACTORS = {"1A": 1.5, "2A": 1.0, "3A": 0.75, "1B": 1.95, "2B": 1.3, "3B": 0.975}
_QUARTER_INCH = 0.25
_ROUNDED_ROOT = 0.616025


def _rounded(value: float, places: int) -> float:
    """Rounded half up, as the tables are; the last doubt of binary fractions goes up too."""
    scale = 10.0**places
    return floor(value * scale + 0.5 + 1e-6) / scale


def _engagement(thread: Thread) -> float:
    """Length of engagement that the tolerances are for, inches: D for UNC, UNF and 4-, 6-, 8-UN, else 9 P."""
    constant_coarse = thread.series == "UN" and thread.tpi in _ONE_DIAMETER_TPI
    if thread.series in _ONE_DIAMETER or constant_coarse:
        return thread.nominal / MM_PER_INCH
    return 9.0 * thread.pitch / MM_PER_INCH


def pitch_tolerance_2a(thread: Thread) -> float:
    """Class 2A tolerance of the pitch diameter, inches, to six places.

    T = 0.0015 D^(1/3) + 0.0015 Le^(1/2) + 0.015 P^(2/3) with D, Le, P in inches (ASME B1.1).
    """
    diameter, pitch = thread.nominal / MM_PER_INCH, thread.pitch / MM_PER_INCH
    tolerance = 0.0015 * diameter ** (1 / 3) + 0.0015 * _engagement(thread) ** 0.5 + 0.015 * pitch ** (2 / 3)
    return _rounded(tolerance, 6)


def allowance(thread: Thread, limits_class: ThreadClass) -> float:
    """Distance of the largest bolt from the basic size, inches to four places: 0.3 T for 1A and 2A, else none."""
    return _rounded(0.3 * pitch_tolerance_2a(thread), 4) if limits_class.text in ("1A", "2A") else 0.0


def unified_external(thread: Thread, limits_class: ThreadClass) -> ExternalLimits:
    """Limits of a bolt thread, mm, each rounded to 0.0001 in (ASME B1.1).

    The flat root d1 and the rounded root d3 follow the rules of the metric thread of the same profile (own derivation;
    the printed UNR root lies within 0.0002 in).
    """
    diameter, pitch = thread.nominal / MM_PER_INCH, thread.pitch / MM_PER_INCH
    gap = allowance(thread, limits_class)
    major_tolerance = _rounded((0.090 if limits_class.text == "1A" else 0.060) * pitch ** (2 / 3), 4)
    pitch_tolerance = _rounded(_FACTORS[limits_class.text] * pitch_tolerance_2a(thread), 4)
    d_max = _rounded(diameter - gap, 4)
    d2_max = _rounded(basic_pitch_diameter(thread) / MM_PER_INCH, 4) - gap
    d2_min = d2_max - pitch_tolerance
    return ExternalLimits(
        d_max=d_max * MM_PER_INCH,
        d_min=_rounded(d_max - major_tolerance, 4) * MM_PER_INCH,
        d2_max=d2_max * MM_PER_INCH,
        d2_min=d2_min * MM_PER_INCH,
        d1_max=_rounded(basic_minor_diameter(thread) / MM_PER_INCH - gap, 4) * MM_PER_INCH,
        d3_min=_rounded(d2_min - _ROUNDED_ROOT * pitch, 4) * MM_PER_INCH,
    )


def _minor_tolerance(diameter: float, pitch: float, limits_class: str) -> float:
    """Tolerance of a nut's minor diameter, inches (ASME B1.1)."""
    coarse: float = 0.25 * pitch - 0.4 * pitch**2
    small: float = 0.05 * pitch ** (2 / 3) + 0.03 * pitch / diameter - 0.002
    if limits_class == "3B":
        least = 0.23 * pitch - 1.5 * pitch**2 if pitch < 1 / 12.5 else 0.12 * pitch
        return max(min(small, 0.394 * pitch), float(least))
    if diameter >= _QUARTER_INCH:
        return coarse if pitch <= _QUARTER_INCH else 0.15 * pitch
    return max(min(small, 0.394 * pitch), coarse)


def unified_internal(thread: Thread, limits_class: ThreadClass) -> InternalLimits:
    """Limits of a nut thread, mm (ASME B1.1).

    From 1/4 in upward the minor diameters are rounded to 0.001 in, except the largest of 3B (0.0001 in, its basic size
    and its tolerance rounded first).
    """
    diameter, pitch = thread.nominal / MM_PER_INCH, thread.pitch / MM_PER_INCH
    minor = _rounded(basic_minor_diameter(thread) / MM_PER_INCH, 4)
    tolerance = _rounded(_minor_tolerance(diameter, pitch, limits_class.text), 4)
    places = 3 if diameter >= _QUARTER_INCH else 4
    places_max = 4 if limits_class.text == "3B" else places
    D2_min = _rounded(basic_pitch_diameter(thread) / MM_PER_INCH, 4)
    return InternalLimits(
        D_min=_rounded(diameter, 4) * MM_PER_INCH,
        D1_min=_rounded(minor, places) * MM_PER_INCH,
        D1_max=_rounded(minor + tolerance, places_max) * MM_PER_INCH,
        D2_min=D2_min * MM_PER_INCH,
        D2_max=(D2_min + _rounded(_FACTORS[limits_class.text] * pitch_tolerance_2a(thread), 4)) * MM_PER_INCH,
    )
