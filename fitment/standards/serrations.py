"""Serrations with straight flanks: SAE J500 by its geometry and table, DIN 5481 from memory."""

from __future__ import annotations

import math
from functools import cache

from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.standards.table_files import rows
from fitment.standards.threads import MM_PER_INCH, inch_size

#: included angle of the shaft's spaces and the hole's teeth, degrees (SAE J500)
J500_SHAFT_SPACE = 90.0

#: included angle of the shaft's gaps and the hub's teeth, degrees (DIN 5481, from memory)
DIN5481_SHAFT_GAP = 60.0


@dataclass(frozen=True)
class SharpSerration:
    """A serration with sharp V flanks, all lengths in the unit of its pitch diameter.

    Attributes:
        teeth: number of serrations, N.
        pitch_diameter: midway between the sharp points.
        sharp_outside, sharp_root: diameters of the sharp points; real crests are flattened.
        tooth_angle: included angle of the shaft's teeth and the hole's spaces, degrees.
        shaft_wire, hole_wire: diameters of wires that touch the flanks on the pitch circle.
        over_wires: measurement over two wires, shaft.
        between_wires: measurement between two wires, hole.
    """

    teeth: int
    pitch_diameter: float
    sharp_outside: float
    sharp_root: float
    tooth_angle: float
    shaft_wire: float
    hole_wire: float
    over_wires: float
    between_wires: float


@dataclass(frozen=True)
class TabledSerration:
    """A row of SAE J500, mm: `over_wires_max` for the shaft, `between_wires_min` for the hole."""

    nominal: float
    teeth: int
    pitch_diameter: float
    over_wires_max: float
    between_wires_min: float
    source: str
    source_kind: str


@dataclass(frozen=True)
class MetricSerration:
    """A row of DIN 5481, mm and degrees.

    Attributes:
        name: ``15x17``, the least diameter of the hub and the largest of the shaft.
        teeth: number of serrations, z.
        pitch_diameter: d5.
        tooth_angle: included angle of the shaft's teeth and the hub's gaps, 60 - 360/z.
        source, source_kind: what it rests on; memory throughout.
    """

    name: str
    teeth: int
    pitch_diameter: float
    tooth_angle: float
    source: str
    source_kind: str


def j500(teeth: int, pitch_diameter: float = 1.0) -> SharpSerration:
    """A sharp serration of SAE J500 from its count, by geometry, for any pitch diameter.

    The flank runs from a sharp root at half the space angle to a sharp crest half a pitch round:
    OD/RD = sin 45 deg / sin(45 deg - 180 deg/N), and the pitch circle lies midway. A wire that touches both flanks on
    the pitch circle is found from the triangle of centre, sharp point and touching point.

    Web copies print .06565005 for the wire of a 36-tooth shaft; the geometry gives .0658499, and so does the standard's
    own table.

    Raises:
        DataFault: a count of 4 or fewer has no such flanks, and an odd one no two wires opposite each other.
    """
    if teeth <= 4 or teeth % 2:
        raise DataFault(
            f"a serration to SAE J500 has an even number of teeth above 4, not {teeth}",
            mending="count again, marking every fifth tooth with a pen",
            code="spline-02",
        )
    half_space = math.radians(J500_SHAFT_SPACE / 2)
    ratio = math.sin(half_space) / math.sin(half_space - math.pi / teeth)
    outside, root = pitch_diameter * 2 * ratio / (1 + ratio), pitch_diameter * 2 / (1 + ratio)
    tooth_angle = J500_SHAFT_SPACE - 360 / teeth
    shaft_centre, shaft_wire = _wire(root / 2, pitch_diameter / 2, half_space, outward=1)
    hole_centre, hole_wire = _wire(outside / 2, pitch_diameter / 2, math.radians(tooth_angle / 2), outward=-1)
    return SharpSerration(
        teeth=teeth,
        pitch_diameter=pitch_diameter,
        sharp_outside=outside,
        sharp_root=root,
        tooth_angle=tooth_angle,
        shaft_wire=shaft_wire,
        hole_wire=hole_wire,
        over_wires=2 * shaft_centre + shaft_wire,
        between_wires=2 * hole_centre - hole_wire,
    )


def _wire(apex: float, pitch_radius: float, half: float, outward: int) -> tuple[float, float]:
    """Distance of its centre from the axis, and diameter, of a wire touching a V on the pitch circle.

    Args:
        apex: distance of the V's point from the axis.
        pitch_radius: radius at which the wire touches.
        half: half the angle of the V, radians.
        outward: 1 where the V opens away from the axis, -1 where towards it.
    """
    root = math.sqrt(pitch_radius**2 - (apex * math.sin(half)) ** 2)
    along_flank = outward * (root - apex * math.cos(half))
    return apex + outward * along_flank / math.cos(half), 2 * along_flank * math.tan(half)


@cache
def j500_table() -> tuple[TabledSerration, ...]:
    """The sizes of SAE J500 that were seen, for service use only: new work goes to involutes."""
    return tuple(
        TabledSerration(
            nominal=float(inch_size(row["nominal_in"])) * MM_PER_INCH,
            teeth=int(row["teeth"]),
            pitch_diameter=float(row["pitch_diameter_in"]) * MM_PER_INCH,
            over_wires_max=float(row["over_wires_max_in"]) * MM_PER_INCH,
            between_wires_min=float(row["between_wires_min_in"]) * MM_PER_INCH,
            source=row["source"],
            source_kind=row["source_kind"],
        )
        for row in rows("splines_j500")
    )


@cache
def din5481_table() -> tuple[MetricSerration, ...]:
    """The serrations of DIN 5481 (1952 edition), from memory, unchecked."""
    return tuple(
        MetricSerration(
            name=row["name"],
            teeth=int(row["teeth"]),
            pitch_diameter=float(row["pitch_diameter_mm"]),
            tooth_angle=DIN5481_SHAFT_GAP - 360 / int(row["teeth"]),
            source=row["source"],
            source_kind=row["source_kind"],
        )
        for row in rows("splines_din5481")
    )


def din5481(name: str) -> MetricSerration:
    """The serration of this name, ``15x17``; from memory, unchecked.

    Raises:
        DataFault: no such name in the table.
    """
    for serration in din5481_table():
        if serration.name == name:
            return serration
    raise DataFault(
        f"'{name}' is no serration of DIN 5481 that is known here",
        mending=nearest(name, (serration.name for serration in din5481_table())),
        code="spline-03",
    )
