"""Where the rack of a kit sits in the car: as its file says, or as the holes of rack and crossmember do."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from fitment.catalogue.dictionary import dimensions_of
from fitment.catalogue.found import FoundPart, FoundVehicle
from fitment.doubt import Draws
from fitment.finding import Basis, Gap, Use
from fitment.frozen import dataclass
from fitment.joints.answering import Pick, Size, fixed, half_width_u, reading
from fitment.joints.pattern_place import Placement, placement
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.kits.rack_datum import other_origin
from fitment.quantity.tools import find_tool

#: address of the part that the rack is mounted to
CROSSMEMBER = "mounting.crossmember"
_POSITION = 'position = {x = "0 mm", y = "0 mm", z = "0 mm"} in [rack]'
#: what to write in a kit that does not say where its rack sits
SAY_WHERE = f"write {_POSITION}, or name the crossmember in [mounting]"

Sizes = tuple[Size, Size, Size]


@dataclass(frozen=True)
class RackPlace:
    """A rack in the car.

    Attributes:
        origin: x, y, z of the middle between its two inner ball centres, rack centred, in car coordinates, mm.
        forward, bar, up: where the rack's own three axes point in the car, each of length 1; `bar` is the bar's
            direction towards the car's left.
    """

    origin: Sizes
    forward: Sizes
    bar: Sizes
    up: Sizes


def why_not_asked(kit: Kit, assembly: Assembly) -> str | None:
    """Why nothing is asked of where the rack sits: neither survey nor kit speaks of it; None where one does."""
    if kit.seat.position is not None or kit.seat.box is not None:
        return None
    if not surveyed(assembly.target):
        return f"{assembly.target.name} has no surveyed points"
    return None


def surveyed(target: FoundVehicle) -> bool:
    """Whether any point of the target's corners was ever taken, adopted or not."""
    points = {name for name, one in dimensions_of("corner").items() if one.value_kind == "point"}
    corners = [feature for feature in target.features.values() if feature.kind == "corner"]
    return any(points & (corner.values.keys() | corner.gaps.keys()) for corner in corners)


def rack_place(kit: Kit, assembly: Assembly) -> RackPlace | Gap:
    """Where the rack sits, or what is lacking to know it."""
    return assembly.once("rack place", lambda: _rack_place(kit, assembly))


def _rack_place(kit: Kit, assembly: Assembly) -> RackPlace | Gap:
    rack, crossmember = assembly.found.get("rack"), assembly.found.get(CROSSMEMBER)
    if kit.seat.position is not None:
        x, y, z = (reading(_stated(axis, value)) for axis, value in zip("xyz", kit.seat.position, strict=True))
        return RackPlace((x, y, z), *_askew(kit.seat.tilt, kit.seat.skew))
    if kit.seat.box is not None:
        name = rack.name if rack is not None else "rack"
        return Gap(name, "place in the car", f"is free in a box, and no place is chosen: write {_POSITION}")
    if rack is None or crossmember is None:
        return Gap("rack", "place in the car", f"the kit does not say where it sits: {SAY_WHERE}")
    if any(set(adapter.between) == {"rack", CROSSMEMBER} for adapter in kit.adapters):
        return Gap(rack.name, "place in the car", f"an adapter stands between rack and crossmember: write {_POSITION}")
    return other_datum(crossmember, assembly.target) or _mounted(rack, crossmember)


def _stated(axis: str, value: float) -> Use:
    """A coordinate that the kit file states: no nearer than a steel rule would find it."""
    u = half_width_u(find_tool("rule").half_width_for("length", value) or 0.0)
    source, shape = "the kit file", "rectangular"
    shown = f"{value:g} mm"
    return Use("kit rack", f"position {axis}", value, u, "mm", Basis.STATED, source=source, shape=shape, shown=shown)


def _askew(tilt: float, skew: float) -> tuple[Sizes, Sizes, Sizes]:
    """The rack's forward, bar and up where the bar's left end is higher (tilt) and farther forward (skew), deg."""
    t, s = math.radians(tilt), math.radians(skew)
    forward = (math.cos(s), -math.sin(s), 0.0)
    bar = (math.sin(s) * math.cos(t), math.cos(s) * math.cos(t), math.sin(t))
    up = (-math.sin(s) * math.sin(t), -math.cos(s) * math.sin(t), math.cos(t))
    first, second, third = ((fixed(x), fixed(y), fixed(z)) for x, y, z in (forward, bar, up))
    return first, second, third


def other_datum(crossmember: FoundPart, target: FoundVehicle) -> Gap | None:
    """The gap where the crossmember's points and the car's are not taken from one datum."""
    if not crossmember.datums or not target.datums or set(crossmember.datums) == set(target.datums):
        return None
    told = f"{'; '.join(crossmember.datums)}, and the points of {target.name} from {'; '.join(target.datums)}"
    return Gap(crossmember.name, "datum", f"its points are taken from {told}")


def _mounted(rack: FoundPart, crossmember: FoundPart) -> RackPlace | Gap:
    first, second = rack.features["mount"], crossmember.features["mount"]
    middle = placement(first, second)
    if isinstance(middle, Gap):
        return middle
    if (doubtful := other_origin(rack)) is not None:
        return doubtful

    def placed(draws: Draws) -> Placement:
        found = placement(first, second, draws)
        if isinstance(found, Gap):  # what can be placed as adopted can be placed in every sample
            raise LookupError(f"{found.feature} {found.dimension}: {found.why}")
        return found

    def size(part: Callable[[Placement], Any]) -> Size:
        def at(pick: Pick) -> Any:
            if isinstance(pick, Draws):
                return part(placed(pick))
            return float(part(middle))  # a number, so that nobody takes the adopted place for samples

        return Size(at, middle.uses, costly=True)

    def shift(axis: int) -> Size:
        return size(lambda found: found.shift[..., axis])

    def turned(own: int, axis: int) -> Size:
        return size(lambda found: found.rotation[..., axis, own])

    origin = (shift(0), shift(1), shift(2))
    forward, bar, up = ((turned(own, 0), turned(own, 1), turned(own, 2)) for own in range(3))
    return RackPlace(origin, forward, bar, up)
