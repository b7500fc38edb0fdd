"""Where the joint centres of the line from column to pinion lie in the car, and which way column and pinion point."""

from __future__ import annotations

import math
from typing import Any

from fitment.catalogue.found import FoundPart, FoundVehicle
from fitment.finding import Gap
from fitment.frozen import dataclass
from fitment.geometry.direction import HALF_TURNS
from fitment.geometry.frames import Vector
from fitment.geometry.joint_chain import axis_direction
from fitment.joints.answering import Size, adopted, formula, lacking, mm, size_of
from fitment.joints.registration import Feature
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.kits.rack_place import CROSSMEMBER, RackPlace, rack_place
from fitment.kits.rack_turned import AXES
from fitment.kits.rod_sizes import point_size
from fitment.kits.roles import SIDES
from fitment.kits.shaft_parts import Line, Yoke

#: points that both corners have
_OF_BOTH = ("arm-eye", "lower-ball", "upper-ball", "strut-top", "wheel-centre")
#: a column whose axis passes nearer than this to the middle of the car has no outboard side, mm; own choice
_MIDDLE = 1.0


@dataclass(frozen=True)
class Placed:
    """The line in the car; every size is a `Vector` in car coordinates, mm or of length 1.

    Attributes:
        column, pinion: directions down the line.
        ends: the lower end of the column and the end of the pinion.
        centres: joint centres from the column on; of a single joint as the column puts it.
        by_pinion: the centre of the lowest joint as the pinion puts it.
        pivot: of the column's tilt; not known where it is not recorded.
    """

    column: Size
    pinion: Size
    ends: tuple[Size, Size]
    centres: tuple[Size, ...]
    by_pinion: Size
    pivot: Size

    @property
    def corners(self) -> tuple[Size, ...]:
        """The centres that directions follow from; the one of a single joint may lie anywhere."""
        return self.centres if len(self.centres) > 1 else (Size(lambda pick: Vector(0.0, 0.0, 0.0)),)


def placed(line: Line, kit: Kit, assembly: Assembly) -> Placed:
    """The line in the car; what is not known carries its gaps."""
    frame = _frame(kit, assembly)
    yokes = line.yokes
    column_end = _in_car(line.column, "axis-point", frame)
    shaft_top = _in_car(line.shafts[0].part, "upper-point", frame) if line.shafts else None
    middle = _middle(assembly.target)
    column = _column(line.column.features["body"], _either(column_end, shaft_top or column_end), middle)
    end, root = _pinion(line.rack, kit.seat.turned, rack_place(kit, assembly))
    pinion = formula(lambda tip, base: (base - tip).unit(), end, root)
    first = formula(lambda tip, along, out: tip + along * out, column_end, column, _stand_off(yokes[0]))
    last = formula(lambda tip, along, out: tip - along * out, end, pinion, _stand_off(yokes[-1]))
    centres = [first]
    if shaft_top is not None:
        centres = [_either(first, shaft_top)]
        for above, below in zip(line.shafts[:-1], line.shafts[1:], strict=True):
            own = _in_car(below.part, "upper-point", frame)
            centres.append(_either(own, _in_car(above.part, "lower-point", frame)))
        centres.append(_either(last, _in_car(line.shafts[-1].part, "lower-point", frame)))
    return Placed(column, pinion, (column_end, end), tuple(centres), last, _in_car(line.column, "tilt-pivot", frame))


def _either(first: Size, second: Size) -> Size:
    return second if second.known and not first.known else first


def _stand_off(yoke: Yoke) -> Size:
    """Joint centre beyond the end of the shaft, along it."""
    face, depth = size_of(yoke.bore, "centre-to-face"), size_of(yoke.bore, "bore-depth")
    if face.known and depth.known and face.central <= depth.central:
        why = f"is {mm(face.central)}, and the bore is {mm(depth.central)} deep: take it from cross to bore's mouth"
        return lacking(Gap(yoke.bore.name, "centre-to-face", why))
    return formula(lambda whole, deep: whole - deep, face, yoke.insertion)


def _vector(x: Any, y: Any, z: Any) -> Vector:
    return Vector(x, y, z)


def _frame(kit: Kit, assembly: Assembly) -> tuple[str, tuple[str, ...]]:
    """Whose datums the points of the line must share, and which they are."""
    crossmember = assembly.found.get(CROSSMEMBER)
    if crossmember is not None and crossmember.datums and kit.seat.position is None:
        return crossmember.name, crossmember.datums
    return assembly.target.name, assembly.target.datums


def _in_car(part: FoundPart, dimension: str, frame: tuple[str, tuple[str, ...]]) -> Size:
    """A point of a part that was taken in car coordinates."""
    body, (name, datums) = part.features["body"], frame
    if body.get(dimension) is not None and part.datums and datums and set(part.datums) != set(datums):
        told = f"{'; '.join(part.datums)}, and the points of {name} from {'; '.join(datums)}"
        return lacking(Gap(part.name, "datum", f"its points are taken from {told}"))
    return formula(_vector, *point_size(body, dimension))


def _middle(target: FoundVehicle) -> float:
    """y of the middle of the car, mm: between two surveyed points of its corners, else where the datum has its 0."""
    for name in _OF_BOTH:
        ways = [_across(target, side, name) for side in SIDES]
        if ways[0].known and ways[1].known:
            return (ways[0].central + ways[1].central) / 2
    return 0.0


def _across(target: FoundVehicle, side: str, name: str) -> Size:
    """y of a surveyed point of a corner, mm."""
    corner = target.features.get(f"corner.{side}", Feature(f"{target.name} corner.{side}", "corner"))
    return point_size(corner, name)[1]


def _column(body: Feature, point: Size, middle: float) -> Size:
    """Direction of the column towards the pinion; `middle` is y of the middle of the car."""
    slope, slant = size_of(body, "axis-side"), size_of(body, "axis-plan")
    if not (point.known and slant.known):
        return formula(_vector, slope, slant, point)
    across = float(point.at(adopted).y) - middle
    if abs(across) < _MIDDLE and slant.central:
        return lacking(Gap(body.name, "axis-plan", "has no outboard side: the column lies in the middle of the car"))
    outboard = math.copysign(1.0, across)

    def direction(side: Any, plan: Any) -> Vector:
        import numpy as np

        return axis_direction(np.radians(side), np.radians(plan), outboard)

    return formula(direction, slope, slant)


def _pinion(rack: FoundPart, turned: str, place: RackPlace | Gap) -> tuple[Size, Size]:
    """End and root of the pinion in the car."""
    ways = HALF_TURNS[AXES[turned]] if turned in AXES else (1, 1, 1)

    def sitting(x: Any, y: Any, z: Any) -> Vector:
        return Vector(ways[0] * x, ways[1] * y, ways[2] * z)

    own = [formula(sitting, *point_size(rack.features["body"], name)) for name in ("pinion-end", "pinion-root")]
    if isinstance(place, Gap):
        end, root = (lacking(*point.gaps, place) for point in own)
        return end, root
    axes = [formula(_vector, *sizes) for sizes in (place.origin, place.forward, place.bar, place.up)]
    end, root = (
        formula(lambda at, origin, x, y, z: origin + x * at.x + y * at.y + z * at.z, point, *axes) for point in own
    )
    return end, root
