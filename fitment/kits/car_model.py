"""A car's steering as sizes: the original from survey and fitted parts, a proposed one from a kit."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from fitment.catalogue.found import FoundPart, FoundVehicle
from fitment.doubt import Draws
from fitment.errors import DataFault
from fitment.finding import Gap
from fitment.frozen import dataclass
from fitment.joints.answering import Size, fixed, formula, lacking, names, size_of
from fitment.joints.registration import Feature
from fitment.joints.thread_ends import thread_gap, thread_of
from fitment.kits.assembly import Assembly
from fitment.kits.bar_stops import Stops, first_stops, rack_stops, stops_by_lock
from fitment.kits.car_corner import FrontWheel, front_wheel, surveyed_corner, surveyed_point, wheel_on_car
from fitment.kits.chain import address_of
from fitment.kits.kit import Kit
from fitment.kits.rack_place import rack_place
from fitment.kits.rod_sizes import half_spacing, rod_parts
from fitment.kits.roles import SIDES

#: how far a wheel is taken up and down where its travel was not measured, mm
USUAL_TRAVEL = 25.0


@dataclass(frozen=True)
class CarModel:
    """What moves a car's front wheels.

    Attributes:
        vehicle: the target, measured results and all.
        wheels: by side.
        steering: `geometry.steering.Steering`, rods set; with a gap where a joint's place is missing.
        gear: nothing where a rack moves the wheels (a size of 0); the gap where it is no rack.
        stops: displacement of the bar at the first stop to the left and to the right, mm, + to the left; the right one
            is negative.
        ends: the same of the rack's own stops; as `stops` where these follow from measured locks.
        unread: stops of the knuckles that nobody measured: either may act sooner.
        speed: travel of the bar per turn, mm.
        pitches: by side, how much a turn lengthens its rod, mm.
        backlash: play between bar and pinion, mm.
        measured: whether measured results of the car stand for what cannot be worked out.
        notes: what was taken for granted.
    """

    vehicle: FoundVehicle
    wheels: Mapping[str, FrontWheel]
    steering: Size
    gear: Size
    stops: Stops
    ends: Stops
    unread: tuple[Gap, ...]
    speed: Size
    pitches: Mapping[str, Size]
    backlash: Size
    measured: bool
    notes: tuple[str, ...]

    @property
    def body(self) -> Feature:
        """The body of the target."""
        return self.vehicle.features.get("body", Feature(f"{self.vehicle.name} body", "vehicle-body"))

    def travels(self) -> tuple[tuple[float, float], tuple[str, ...]]:
        """Rebound and bump of a wheel, mm, both above zero, and what was taken for granted of them."""
        found = []
        notes = []
        for name in ("rebound", "bump"):
            uses = [use for side in SIDES if (use := surveyed_corner(self.vehicle, side).get(name)) is not None]
            if not uses:
                notes.append(f"{name} travel not measured: taken as {USUAL_TRAVEL:g} mm")
            found.append(min((use.number for use in uses), default=USUAL_TRAVEL))
        return (found[0], found[1]), tuple(notes)


def original(vehicle: FoundVehicle, fitted: Sequence[FoundPart], draws: Draws) -> CarModel:
    """The car as it came.

    Args:
        vehicle: its survey.
        fitted: parts that were fitted to it.
        draws: samples; points that fall together in any of them are a gap.
    """
    knuckles = {side: _knuckle(fitted, side) for side in SIDES}
    wheels = {side: front_wheel(vehicle, side, knuckles[side], True, None) for side in SIDES}
    racks = [part for part in fitted if part.kind == "rack"]
    rack = racks[0] if racks else None
    notes = [note for wheel in wheels.values() for note in wheel.notes]
    if len(racks) > 1:
        told = ", ".join(part.name for part in racks)
        notes.append(f"several racks were fitted to it ({told}): {racks[0].name} is taken")
    steering = _steering(_rack_as_it_came(vehicle), wheels, (None, None), draws)
    gear = _gear(vehicle)
    unread: tuple[Gap, ...] = ()
    stops = ends = rack_stops(rack, fixed(0.0))
    if all(stop.known for stop in stops):
        stops, unread = first_stops(steering, ends, knuckles)
    else:
        stops = ends = stops_by_lock(vehicle, wheels)
        if all(stop.known for stop in stops):
            notes.append(
                "no travel of its rack on record: the bar is taken to go as far as the measured inner locks ask"
            )
    rods = {side: next((part for part in fitted if part.kind == "tie-rod"), None) for side in SIDES}
    return CarModel(
        vehicle,
        wheels,
        steering,
        gear,
        stops,
        ends,
        unread,
        _speed(rack, vehicle) if gear.known else gear,
        {side: _pitch(rod, None, side) for side, rod in rods.items()},
        size_of(rack.features["body"], "backlash") if rack else lacking(*(gear.gaps or (_no_rack(vehicle),))),
        True,
        tuple(notes),
    )


def proposed(
    kit: Kit, assembly: Assembly, own: Collection[str], toes: tuple[Size | None, Size | None], draws: Draws
) -> CarModel:
    """The car with a kit in it.

    Args:
        kit: as its file states it.
        assembly: the kit put together.
        own: references of the target's own parts and items: its rack sits where it sat.
        toes: toe of each wheel that the rods are set to, deg; None for that of the survey.
        draws: samples, as for `original`.
    """
    target = assembly.target
    wheels = {side: wheel_on_car(kit, assembly, side) for side in SIDES}
    notes = [note for wheel in wheels.values() for note in wheel.notes]
    rack = assembly.found.get("rack")
    offset = fixed(kit.seat.bar_offset)
    placed, told = _placed(kit, assembly, own, offset, draws)
    parts = {side: rod_parts(kit, assembly, side) for side in SIDES}
    body = rack.features["body"] if rack is not None else None
    nothing = lacking(Gap("rack", "part", "is not named in the kit"))
    speed = _speed(rack, None) if rack is not None else nothing
    steering, ends = _steering(placed, wheels, toes, draws), rack_stops(rack, offset)
    knuckles = {side: assembly.found.get(address_of("knuckle", side)) for side in SIDES}
    stops, unread = first_stops(steering, ends, knuckles)
    return CarModel(
        target,
        wheels,
        steering,
        fixed(0.0),
        stops,
        ends,
        unread,
        speed,
        {side: _pitch(one.rod, one.end, side) for side, one in parts.items()},
        size_of(body, "backlash") if body is not None else nothing,
        False,
        (*notes, *told),
    )


def _no_rack(vehicle: FoundVehicle) -> Gap:
    return Gap(vehicle.name, "rack", "no rack on record was fitted to it")


def _knuckle(fitted: Sequence[FoundPart], side: str) -> FoundPart | None:
    """The knuckle of a side among the fitted parts, by what is said of its side."""
    for part in fitted:
        said = part.features["body"].get("side") if part.kind == "knuckle" else None
        if said is not None and said.word == side:
            return part
    return None


def _gear(vehicle: FoundVehicle) -> Size:
    body = vehicle.features.get("body")
    use = body.get("gear") if body else None
    if use is not None and use.word != "rack":
        return lacking(Gap(use.feature, "gear", "is no rack: lock and ratio are those measured on the car"))
    return fixed(0.0)


def _steering(rack: Size, wheels: Mapping[str, FrontWheel], toes: tuple[Any, Any], draws: Draws) -> Size:
    corners = [wheels[side].corner for side in SIDES]
    asked = [toe for toe in toes if toe is not None]

    def make(at: Any, left: Any, right: Any, *wanted: Any) -> Any:
        from fitment.geometry.steering import set_rods

        given = iter(wanted)
        left_toe, right_toe = (None if toe is None else next(given) for toe in toes)
        return set_rods(at, left, right, left_toe, right_toe)

    size = formula(make, rack, *corners, *asked)
    if not size.known:
        return size
    try:
        size.at(draws)
    except DataFault as fault:
        return lacking(Gap(fault.message, "points", "measure them again"))
    return size


def _rack_as_it_came(vehicle: FoundVehicle) -> Size:
    """The rack between the surveyed inner balls."""
    balls = [surveyed_point(vehicle, side, "inner-ball") for side in SIDES]

    def between(left: Any, right: Any) -> Any:
        from fitment.geometry.rack import rack_between

        return rack_between(left, right)

    return formula(between, *balls)


def _placed(
    kit: Kit, assembly: Assembly, own: Collection[str], offset: Size, draws: Draws
) -> tuple[Size, tuple[str, ...]]:
    """The kit's rack in the car."""
    rack, place = assembly.found.get("rack"), rack_place(kit, assembly)
    notes: tuple[str, ...] = ()
    as_it_came = _rack_as_it_came(assembly.target)
    if isinstance(place, Gap) and not (rack is not None and rack.name in own and kit.seat.box is None):
        return lacking(place), ()
    if isinstance(place, Gap):
        at = as_it_came
        notes = (f"{assembly.found['rack'].name} is the car's own rack: it is taken to sit where it sat",)
    else:
        at = formula(_seat, *place.origin, *place.bar)
    if rack is None:
        return lacking(Gap("rack", "part", "is not named in the kit")), notes
    if all(address_of(role, side) not in assembly.found for role in ("tie_rod", "inner_joint") for side in SIDES):
        spacing = size_of(rack.features["body"], "inner-spacing")
        halves = [formula(lambda whole, off, sign=sign: whole / 2 + sign * off, spacing, offset) for sign in (1, -1)]
        notes = (*notes, "no tie rods or inner joints named: the rack's own inner-joint spacing is taken")
    else:
        halves = [half_spacing(rod_parts(kit, assembly, side), draws) for side in SIDES]
    return formula(_rack, at, *halves), notes


def _seat(*six: Any) -> Any:
    from fitment.geometry.frames import Vector
    from fitment.geometry.rack import Rack

    return Rack(Vector(*six[:3]), Vector(*six[3:]), 0.0)


def _rack(at: Any, left: Any, right: Any) -> Any:
    """The rack with its inner balls so far from the middle of the housing, wheels straight; the stops know the rest."""
    return replace(at, origin=at.origin + at.direction * ((left - right) / 2), spacing=left + right)


def _speed(rack: FoundPart | None, vehicle: FoundVehicle | None) -> Size:
    """Rack speed: as read, else travel over turns."""
    if rack is None:
        assert vehicle is not None  # a kit's rack is there
        return lacking(_no_rack(vehicle))
    body = rack.features["body"]
    read = size_of(body, "speed")
    by_turns = formula(lambda travel, turns: travel / turns, size_of(body, "travel"), size_of(body, "turns"))
    return read if read.known or not by_turns.known else by_turns


def _pitch(rod: FoundPart | None, end: FoundPart | None, side: str) -> Size:
    """How much a turn of the rod lengthens it: the pitch of its outer thread."""
    ends = [part.features[name] for part, name in ((rod, "outer"), (end, "shank")) if part is not None]
    if not ends:
        return lacking(Gap(f"{side} tie rod", "thread", "no tie rod is named or on record"))
    for one in ends:
        if (thread := thread_of(one)) is not None:
            return replace(fixed(thread.pitch), uses=names(one, ("thread",)))
    return lacking(thread_gap(ends[0]))
