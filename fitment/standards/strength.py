"""Areas that carry a screwed joint, and the engagement that gives the bolt its full strength.

Lengths in mm, areas in mm2, stresses in MPa, loads in N; floats or arrays. None of it is a verdict on a part: it says
what sound material of the stated strength carries under a steady load.
"""

from __future__ import annotations

from math import pi, radians, tan
from typing import TYPE_CHECKING

from fitment.elementwise import maximum, where
from fitment.errors import DataFault
from fitment.standards.thread_sizes import ExternalLimits, InternalLimits
from fitment.standards.threads import Thread

if TYPE_CHECKING:
    from fitment.elementwise import Values

_TAN_30 = tan(radians(30.0))


def stress_area_iso(nominal: Values, pitch: Values) -> Values:
    """Tensile stress area of a metric bolt, mm2: (pi/4) (d - 0.9382 P)^2, which is (pi/4) ((d2 + d3)/2)^2.

    Source: ISO 898-1.
    """
    return pi / 4.0 * (nominal - 0.9382 * pitch) ** 2


def stress_area_asme(nominal: Values, pitch: Values) -> Values:
    """Tensile stress area of a Unified bolt up to about 100 ksi (690 MPa), mm2: (pi/4) (D - 0.9743 P)^2.

    Source: ASME B1.1, FED-STD-H28.
    """
    return pi / 4.0 * (nominal - 0.9743 * pitch) ** 2


def stress_area_asme_strong(d2_min: Values, pitch: Values) -> Values:
    """Tensile stress area of a Unified bolt above about 100 ksi, mm2: pi (d2min/2 - 0.16238 P)^2.

    Source: ASME B1.1, FED-STD-H28.
    """
    return pi * (d2_min / 2.0 - 0.16238 * pitch) ** 2


def stress_area(thread: Thread) -> float:
    """Tensile stress area of a bolt of this thread, mm2 (ISO 898-1; ASME B1.1 for Unified).

    Raises:
        DataFault: Whitworth form, for which no source is held.
    """
    if thread.form == "W":
        raise DataFault(
            f"no stress area is held for the Whitworth form ({thread.designation})",
            mending="give the load from the part's own standard",
            code="strength-01",
        )
    return float((stress_area_iso if thread.form == "M" else stress_area_asme)(thread.nominal, thread.pitch))


def external_shear_area(pitch: Values, D1_max: Values, d2_min: Values) -> Values:
    """Least shear area of a bolt's thread per mm of engagement, mm2/mm: (pi/P) D1max [P/2 + (d2min - D1max) tan 30].

    Source: FED-STD-H28/2B.
    """
    return pi / pitch * D1_max * (pitch / 2.0 + (d2_min - D1_max) * _TAN_30)


def internal_shear_area(pitch: Values, d_min: Values, D2_max: Values) -> Values:
    """Least shear area of a nut's thread per mm of engagement, mm2/mm: (pi/P) dmin [P/2 + (dmin - D2max) tan 30].

    Source: FED-STD-H28/2B.
    """
    return pi / pitch * d_min * (pitch / 2.0 + (d_min - D2_max) * _TAN_30)


def shear_areas(thread: Thread, bolt: ExternalLimits, nut: InternalLimits) -> tuple[float, float]:
    """Least shear areas per mm of engagement of bolt and nut in these limits, mm2/mm (FED-STD-H28/2B)."""
    return (
        float(external_shear_area(thread.pitch, nut.D1_max, bolt.d2_min)),
        float(internal_shear_area(thread.pitch, bolt.d_min, nut.D2_max)),
    )


def engagement_equal(area: Values, external_area: Values) -> Values:
    """Engagement that breaks the bolt before its thread strips, nut of equal material, mm: 2 As / (shear area per mm).

    The shear area is made twice the tensile area, a little more than the 1.73 that shear yield theory asks.
    Source: Machinery's Handbook 24th ed., formula 1.

    Args:
        area: tensile stress area of the bolt, mm2.
        external_area: shear area of the bolt's thread per mm, mm2/mm (see `external_shear_area`).
    """
    return 2.0 * area / external_area


def strength_ratio(external_area: Values, bolt_strength: Values, internal_area: Values, nut_strength: Values) -> Values:
    """J, how much more the bolt's thread carries than the nut's: (A_ss Rm_bolt) / (A_sn Rm_nut), a plain number.

    Source: Machinery's Handbook 24th ed.; FED-STD-H28.

    Args:
        external_area, internal_area: shear areas per mm, mm2/mm.
        bolt_strength, nut_strength: tensile strengths, MPa.
    """
    return external_area * bolt_strength / (internal_area * nut_strength)


def engagement_unequal(equal: Values, ratio: Values) -> Values:
    """Engagement with a weaker nut, mm: Q = J Le where J is above 1, else Le (Machinery's Handbook 24th ed.).

    Args:
        equal: Le of equal materials, mm.
        ratio: J, a plain number.
    """
    result: Values = equal * maximum(ratio, 1.0)
    return result


def engagement_for_load(load: Values, area: Values, shear_strength: Values) -> Values:
    """Engagement that carries a load in shear, mm: load / (shear area per mm x shear strength) (FED-STD-H28/2B).

    Name the diameters that the area was made from: basic sizes instead of limits ask a fifth too little.

    Args:
        load: N.
        area: shear area per mm, mm2/mm.
        shear_strength: MPa.
    """
    return load / (area * shear_strength)


def pull_out_load(pitch_diameter: Values, shear_strength: Values, engagement: Values) -> Values:
    """Load that pulls a bolt out of a tapped hole, N: pi dm Fs L / 3 (NASA RP-1228; empirical, 1/2 would be ideal).

    Args:
        pitch_diameter: dm, mm.
        shear_strength: MPa.
        engagement: mm.
    """
    return pi * pitch_diameter * shear_strength * engagement / 3.0


def spreading_factor(flats: Values, nominal: Values) -> Values:
    """C1, what is left of the thread's strength when a thin nut or sleeve spreads, a plain number.

    C1 = 3.8 (s/d) - (s/d)^2 - 2.61 for s/d from 1.4 to 1.9, and its value at 1.9 above (VDI 2230 after Alexander; from
    memory, compared with nothing). Below 1.4 the formula does not reach: the answer is then nan.

    Args:
        flats: across flats, or outer diameter of a sleeve, mm.
        nominal: mm.
    """
    ratio = flats / nominal
    capped = where(ratio > 1.9, 1.9, ratio)
    result: Values = where(ratio < 1.4, float("nan"), 3.8 * capped - capped**2 - 2.61)
    return result


def bolt_bending_factor(ratio: Values) -> Values:
    """C3, what is left of the bolt thread's strength beside a nut thread of another strength, a plain number.

    C3 = 0.728 + 1.769 R - 2.896 R^2 + 1.296 R^3 for R between 0.4 and 1, 0.897 from 1 up (VDI 2230 after Alexander;
    from memory, compared with nothing). At 0.4 and below the formula does not reach: the answer is then nan.

    Args:
        ratio: R, shear strength of the nut's thread over that of the bolt's.
    """
    inside = 0.728 + 1.769 * ratio - 2.896 * ratio**2 + 1.296 * ratio**3
    result: Values = where(ratio >= 1.0, 0.897, where(ratio > 0.4, inside, float("nan")))
    return result


def engagement_vdi(
    thread: Thread, bolt_strength: Values, nut_shear_strength: Values, d_min: Values, D2_max: Values, factors: Values
) -> Values:
    """Engagement that breaks the bolt before the nut's thread strips, mm.

    Rm As P / (C1 C3 tau_B [P/2 + (d - D2) tan 30] pi d) + 0.8 P, the last for the incomplete ends (VDI 2230 after
    Alexander; from memory, compared with nothing).

    Args:
        thread: the thread.
        bolt_strength: Rm, MPa.
        nut_shear_strength: tau_B, MPa.
        d_min, D2_max: limits of bolt and nut, mm.
        factors: C1 times C3 (see `spreading_factor`, `bolt_bending_factor`).

    Raises:
        DataFault: Whitworth form.
    """
    load = bolt_strength * stress_area(thread)
    area = internal_shear_area(thread.pitch, d_min, D2_max) * factors
    return engagement_for_load(load, area, nut_shear_strength) + 0.8 * thread.pitch


def slot_factor(slot: Values, D1: Values) -> Values:
    """Share of a slotted clamp sleeve's thread that is left, a plain number: 1 - w/(pi D1) (own reasoning, no source).

    Such a sleeve also spreads, unless its clamp sits over the thread.

    Args:
        slot: width of the slot, mm.
        D1: minor diameter of the nut thread, mm.
    """
    return 1.0 - slot / (pi * D1)
