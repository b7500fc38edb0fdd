"""Torque and preload of a bolt that clamps (VDI 2230, Shigley).

For bolts that clamp, and for nothing else: a taper stud's nut is limited by the stud and its split pin's slot, a jam
nut by the rod end's shank, and neither gets a torque from here.

mm, N, N·mm inside formulas where said, N·m outside; friction coefficients and K are plain numbers.
"""

from __future__ import annotations

from functools import cache
from math import cos, pi, radians
from typing import TYPE_CHECKING

from fitment.elementwise import sqrt
from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.standards.holes import clearance_hole_metric
from fitment.standards.strength_classes import property_class
from fitment.standards.table_files import rows
from fitment.standards.threads import Thread

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: share of the yield stress that tightening may use up (VDI 2230)
YIELD_SHARE = 0.9

#: how torsion counts beside tension: full plastic torsion since 2001, elastic in the editions before (VDI 2230)
PLASTIC_TORSION = 1.5
ELASTIC_TORSION = 2.0


def torque_short(K: Values, preload: Values, nominal: Values) -> Values:
    """Tightening torque of a clamping bolt, N·m: T = K F d (Shigley, 9th ed., section 8-8).

    Never for a taper stud's nut or a jam nut.

    Args:
        K: nut factor, a plain number (see `nut_factors`).
        preload: N.
        nominal: mm.
    """
    return K * preload * nominal / 1e3


@cache
def nut_factors() -> dict[str, float]:
    """K of T = K F d by the surface of a clamping bolt, a plain number (Shigley, 9th ed., table 8-15)."""
    return {row["surface"]: float(row["K"]) for row in rows("fasteners_nut_factors")}


def torque_vdi(
    preload: Values, pitch: Values, d2: Values, mu_thread: Values, mu_head: Values, bearing_diameter: Values
) -> Values:
    """Tightening torque of a clamping bolt, N·m: MA = FM [0.16 P + 0.58 d2 mu_G + (DKm/2) mu_K].

    Source: VDI 2230 (Kellermann and Klein). Never for a taper stud's nut or a jam nut.

    Args:
        preload: FM, N.
        pitch, d2: mm.
        mu_thread, mu_head: mu_G and mu_K, plain numbers.
        bearing_diameter: DKm, the mean of washer face and hole, mm.
    """
    return preload * (0.16 * pitch + 0.58 * d2 * mu_thread + bearing_diameter / 2.0 * mu_head) / 1e3


def preload_vdi(
    d2: Values, d3: Values, pitch: Values, yield_stress: Values, mu_thread: Values, torsion: float = PLASTIC_TORSION
) -> Values:
    """Preload of a clamping bolt at 90 % of yield under tension and torsion together, N.

    FM = 0.9 Rp0.2 A0 / sqrt(1 + 3 [k (d2/d0) (P/(pi d2) + 1.155 mu_G)]^2), d0 = (d2 + d3)/2 (VDI 2230).

    Args:
        d2, d3: pitch and root diameter, mm.
        pitch: mm.
        yield_stress: Rp0.2, MPa.
        mu_thread: mu_G, a plain number.
        torsion: k, `PLASTIC_TORSION` (editions from 2001) or `ELASTIC_TORSION` (before).
    """
    d0 = (d2 + d3) / 2.0
    twist = torsion * d2 / d0 * (pitch / (pi * d2) + 1.155 * mu_thread)
    result: Values = YIELD_SHARE * yield_stress * pi / 4.0 * d0**2 / sqrt(1.0 + 3.0 * twist**2)
    return result


def torque_screw(
    preload: Values, mean_diameter: Values, pitch: Values, friction: Values, collar_friction: Values, collar: Values
) -> Values:
    """Tightening torque of a clamping bolt as a 60 degree screw, N·m.

    T = F (dm/2) (tan l + f sec a)/(1 - f tan l sec a) + F fc rc, with tan l = P/(pi dm) and a = 30 degrees (Shigley,
    9th ed., section 8-8). Never for a taper stud's nut or a jam nut.

    Args:
        preload: F, N.
        mean_diameter: dm, mm.
        pitch: mm.
        friction, collar_friction: f and fc, plain numbers.
        collar: mean radius of the nut's or head's bearing face, mm.
    """
    lead = pitch / (pi * mean_diameter)
    secant = 1.0 / cos(radians(30.0))
    thread = mean_diameter / 2.0 * (lead + friction * secant) / (1.0 - friction * lead * secant)
    return preload * (thread + collar_friction * collar) / 1e3


def torque_screw_linear(
    preload: Values, mean_diameter: Values, pitch: Values, friction: Values, collar_friction: Values, collar: Values
) -> Values:
    """`torque_screw` without the product of friction and lead, N·m: what VDI 2230 writes, 0.3 % below the exact form.

    Arguments as in `torque_screw`.
    """
    secant = 1.0 / cos(radians(30.0))
    thread = pitch / (2.0 * pi) + mean_diameter / 2.0 * friction * secant
    return preload * (thread + collar_friction * collar) / 1e3


@dataclass(frozen=True)
class Tightening:
    """What a clamping bolt may be tightened to.

    Attributes:
        preload: FM at 90 % of yield, N.
        torque: MA, N·m.
    """

    preload: float
    torque: float


def washer_face(nominal: float) -> float:
    """Smallest washer face of a hexagon head, mm (ISO 4014).

    Args:
        nominal: mm, M6 to M22.

    Raises:
        DataFault: no row for this size.
    """
    held = {float(row["bolt_mm"]): float(row["washer_face_min_mm"]) for row in rows("fasteners_washer_faces")}
    if nominal not in held:
        raise DataFault(
            f"no washer face is held for M{nominal:g}",
            mending="held: " + ", ".join(f"M{size:g}" for size in held),
            code="fastener-01",
        )
    return held[nominal]


def tightening(thread: Thread, mark: str, friction: float) -> Tightening:
    """Preload and torque of a hexagon-head bolt in a medium hole, the same friction in thread and under the head.

    No safety factor; 90 % of yield with plastic torsion (VDI 2230, editions from 2001); head ISO 4014, hole ISO 273.
    For a bolt that clamps only, never for a taper stud's nut or a jam nut. Editions before 2001, which manuals of 1970
    to 2000 follow, lie 7 to 10 % lower.

    Args:
        thread: a metric thread, M6 to M22.
        mark: property class ``8.8``, ``10.9`` or ``12.9``.
        friction: mu_G = mu_K, a plain number.

    Raises:
        DataFault: not metric, no such class, or no such size.
    """
    if thread.form != "M":
        raise DataFault(
            f"no tightening torque is held for {thread.designation}",
            mending="use the torque of the vehicle's own manual",
            code="fastener-02",
        )
    # unrounded: the printed table was made so
    d2, d3 = thread.nominal - 0.649519 * thread.pitch, thread.nominal - 1.226869 * thread.pitch
    preload = preload_vdi(d2, d3, thread.pitch, property_class(mark, thread.nominal).yield_stress, friction)
    hole = clearance_hole_metric(thread.nominal, "medium").diameter
    bearing = (washer_face(thread.nominal) + hole) / 2.0
    torque = torque_vdi(preload, thread.pitch, d2, friction, friction, bearing)
    return Tightening(float(preload), float(torque))
