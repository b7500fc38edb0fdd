"""Involute splines by formula: ANSI B92.1 (inch), ISO 4156 and DIN 5480 (metric), and measurement over pins. All mm.

None of the standards was seen; the relations are those that a CAD vendor's help pages tabulate, or a worked row.
"""

from __future__ import annotations

import math

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.standards.threads import MM_PER_INCH

#: (pressure angle in degrees, root) -> numbers c in (N + c)/P for the diameters, and k in (pi/2 + k)/P for the space;
#: in the order external major, internal major, internal minor, external minor (coarse, from 16/32 on), space
_B92_1: dict[tuple[float, str], tuple[float, ...]] = {
    (30, "flat"): (1, 1.35, -1, -1.35, -1.35, 0.0),
    (30, "fillet"): (1, 1.8, -1, -1.8, -2, 0.0),
    (37.5, "fillet"): (1, 1.6, -0.8, -1.3, -1.3, 0.1),
    (45, "fillet"): (1, 1.4, -0.6, -1, -1, 0.2),
}

#: (pressure angle in degrees, root) -> numbers c in m (z + c): external major, internal major
_ISO_4156: dict[tuple[float, str], tuple[float, ...]] = {
    (30, "flat"): (1.0, 1.5),
    (30, "fillet"): (1.0, 1.8),
    (37.5, "fillet"): (0.9, 1.4),
    (45, "fillet"): (0.8, 1.2),
}

#: how a shaft to DIN 5480 is cut -> its dedendum in modules; the figure for hobbing is from memory
_DIN_5480_DEDENDUM = {"broached": 0.55, "hobbed": 0.60}


@dataclass(frozen=True)
class InvoluteSpline:
    """Diameters of an involute spline, mm; external is the shaft, internal the hole.

    Attributes:
        standard: ``ANSI B92.1``, ``ISO 4156`` or ``DIN 5480``.
        teeth: number of teeth, N or z.
        pressure_angle: degrees.
        pitch_diameter, base_diameter: D and D cos(pressure angle).
        external_major, internal_major: tips of the shaft's teeth, bottoms of the hole's spaces.
        internal_minor, external_minor: tips of the hole's teeth, bottoms of the shaft's spaces; None where the
            relations that were seen do not give them.
        space_width: least effective width of the hole's spaces on the pitch circle; None where not given.
        external_form: form diameter of the shaft; None where not given.
        profile_shift: of the basic rack (DIN 5480); 0 elsewhere.
    """

    standard: str
    teeth: int
    pressure_angle: float
    pitch_diameter: float
    base_diameter: float
    external_major: float
    internal_major: float
    internal_minor: float | None = None
    external_minor: float | None = None
    space_width: float | None = None
    external_form: float | None = None
    profile_shift: float = 0.0


def b92_1(teeth: int, pitch: float, pressure_angle: float = 45, root: str = "fillet") -> InvoluteSpline:
    """A spline of ANSI B92.1.

    Args:
        teeth: N.
        pitch: diametral pitch P in 1/in: 48 for 48/96.
        pressure_angle: 30, 37.5 or 45 degrees.
        root: "fillet" or, at 30 degrees, "flat" (side fit).

    The form diameter takes twice the form clearance, 0.001 D held between .002 and .010 in, from the tips of the hole.
    One column of the source drops the factor 2, which is taken as a misprint. At 45 degrees another web copy repeats
    the 37.5 degree column, which its own form diameter contradicts.

    Raises:
        DataFault: no such pressure angle and root.
    """
    major, hole_major, hole_minor, minor_coarse, minor_fine, widening = _relations(_B92_1, pressure_angle, root)
    unit = MM_PER_INCH / pitch
    diameter = teeth * unit
    clearance = min(max(0.001 * diameter, 0.002 * MM_PER_INCH), 0.010 * MM_PER_INCH)
    return InvoluteSpline(
        standard="ANSI B92.1",
        teeth=teeth,
        pressure_angle=pressure_angle,
        pitch_diameter=diameter,
        base_diameter=diameter * math.cos(math.radians(pressure_angle)),
        external_major=(teeth + major) * unit,
        internal_major=(teeth + hole_major) * unit,
        internal_minor=(teeth + hole_minor) * unit,
        external_minor=(teeth + (minor_fine if pitch >= 16 else minor_coarse)) * unit,
        space_width=(math.pi / 2 + widening) * unit,
        external_form=(teeth + hole_minor) * unit - 2 * clearance,
    )


def iso4156(teeth: int, module: float, pressure_angle: float = 45, root: str = "fillet") -> InvoluteSpline:
    """A spline of ISO 4156: largest major diameter of the shaft before the fit's shift, least of the hole.

    Args:
        teeth: z.
        module: m, mm.
        pressure_angle: 30, 37.5 or 45 degrees.
        root: "fillet" or, at 30 degrees, "flat".

    Raises:
        DataFault: no such pressure angle and root.
    """
    major, hole_major = _relations(_ISO_4156, pressure_angle, root)
    diameter = teeth * module
    return InvoluteSpline(
        standard="ISO 4156",
        teeth=teeth,
        pressure_angle=pressure_angle,
        pitch_diameter=diameter,
        base_diameter=diameter * math.cos(math.radians(pressure_angle)),
        external_major=module * (teeth + major),
        internal_major=module * (teeth + hole_major),
    )


def din5480(reference_diameter: float, module: float, teeth: int, cut: str = "broached") -> InvoluteSpline:
    """A spline of DIN 5480, 30 degrees, ``25 x 1.25 x 30 x 18``.

    Args:
        reference_diameter: dB, mm.
        module: m, mm.
        teeth: z.
        cut: "broached" (dedendum 0.55 m) or "hobbed" (0.60 m, from memory).

    Tips da1 = dB - 0.2 m and da2 = dB - 2 m; bottoms df1 from the cut, df2 = dB; shift (dB - m z - 1.1 m)/2.
    Source: a worked row in a public spreadsheet, reproduced.

    Raises:
        DataFault: no such cut.
    """
    if cut not in _DIN_5480_DEDENDUM:
        raise DataFault(
            f"a shaft to DIN 5480 is not '{cut}' here", mending="allowed: broached, hobbed", code="spline-05"
        )
    shift = (reference_diameter - module * teeth - 1.1 * module) / 2
    return InvoluteSpline(
        standard="DIN 5480",
        teeth=teeth,
        pressure_angle=30,
        pitch_diameter=module * teeth,
        base_diameter=module * teeth * math.cos(math.radians(30)),
        external_major=reference_diameter - 0.2 * module,
        internal_major=reference_diameter,
        internal_minor=reference_diameter - 2 * module,
        external_minor=reference_diameter - (1.1 + 2 * _DIN_5480_DEDENDUM[cut]) * module,
        profile_shift=shift,
    )


def involute(angle: float) -> float:
    """The involute of an angle, both in radians: tan(a) - a."""
    return math.tan(angle) - angle


def angle_of_involute(value: float) -> float:
    """The angle, radians, whose involute this is; for value >= 0, by Newton's method."""
    # inv(a) is about a^3/3 near nought, and tan grows without bound near a right angle: start above the root
    angle: float = min((3 * value) ** (1 / 3), math.atan(value + math.pi / 2))
    for _ in range(50):
        step = (involute(angle) - value) / max(math.tan(angle) ** 2, 1e-12)
        angle -= step
        if abs(step) < 1e-15:
            break
    return angle


def over_pins(spline: InvoluteSpline, tooth_thickness: float, pin: float) -> float:
    """Measurement over two pins of a shaft, mm.

    inv(a) = t/D + inv(pressure angle) + pin/Db - pi/N; Db/cos(a) + pin for even counts, Db cos(90 deg/N)/cos(a) + pin
    for odd ones.

    Args:
        spline: the shaft.
        tooth_thickness: on the pitch circle, mm.
        pin: diameter of the pins, mm.

    Raises:
        DataFault: a pin so small that it lies on the bottom of the space without touching both flanks.
    """
    value = (
        tooth_thickness / spline.pitch_diameter
        + involute(math.radians(spline.pressure_angle))
        + pin / spline.base_diameter
        - math.pi / spline.teeth
    )
    if value <= 0:
        raise DataFault(
            f"a pin of {pin:g} mm is too small to touch both flanks of {spline.teeth} teeth",
            mending="use a thicker pin",
            code="spline-06",
        )
    opposite = 1.0 if spline.teeth % 2 == 0 else math.cos(math.pi / (2 * spline.teeth))
    return spline.base_diameter * opposite / math.cos(angle_of_involute(value)) + pin


def _relations(
    table: dict[tuple[float, str], tuple[float, ...]], pressure_angle: float, root: str
) -> tuple[float, ...]:
    """The numbers of one form, or a fault that names the forms there are."""
    found = table.get((pressure_angle, root))
    if found is None:
        forms = ", ".join(f"{angle:g} degrees {name}" for angle, name in table)
        raise DataFault(
            f"no spline of {pressure_angle:g} degrees with a {root} root is known here",
            mending=f"allowed: {forms}",
            code="spline-04",
        )
    return found
