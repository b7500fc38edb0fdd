"""Where the bar comes to its stops: the rack's own, a knuckle's where that acts first, or as the measured locks ask."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fitment.catalogue.found import FoundPart, FoundVehicle
from fitment.finding import Gap
from fitment.joints.answering import Size, formula, lacking, mm, size_of
from fitment.joints.registration import Feature
from fitment.kits.car_corner import SIGNS, FrontWheel, surveyed_corner, surveyed_point
from fitment.kits.front_axle import travel_of
from fitment.kits.roles import SIDES
from fitment.kits.steering_doubt import FromAdopted

#: the other side of the car
OTHER = {"left": "right", "right": "left"}
#: mm; a stop that acts sooner by less than this is not worth a word
_SHOWN = 0.05

#: displacement of the bar at its left and its right stop, mm, + to the left
Stops = tuple[Size, Size]


def rack_stops(rack: FoundPart | None, offset: Size) -> Stops:
    """The rack's own stops, the bar so far off centre with the wheels straight, mm."""
    if rack is None:
        missing = lacking(Gap("rack", "part", "none is named or on record"))
        return missing, missing
    travel = travel_of(rack.features["body"])
    return (
        formula(lambda way, off: way - off, travel["left"], offset),
        formula(lambda way, off: -way - off, travel["right"], offset),
    )


def stops_by_lock(vehicle: FoundVehicle, wheels: Mapping[str, FrontWheel]) -> Stops:
    """Where the bar stands when either wheel has its measured inner lock."""
    reached = []
    for side in SIDES:
        feature = surveyed_corner(vehicle, side)
        ball, lock = surveyed_point(vehicle, side, "inner-ball"), size_of(feature, "lock-inner")
        reached.append(formula(_moved(wheels[side].sign), wheels[side].corner, ball, lock))
    import numpy as np

    left, right = (formula(pick, *reached) for pick in (np.maximum, np.minimum))
    return left, right


def first_stops(steering: Size, rack: Stops, knuckles: Mapping[str, FoundPart | None]) -> tuple[Stops, tuple[Gap, ...]]:
    """The first stop either way, and the knuckles' stops that nobody measured: these may act sooner.

    Args:
        steering: `geometry.steering.Steering`.
        rack: the rack's own stops.
        knuckles: by side; None where none is named.
    """
    reached: list[Size] = []
    unread: list[Gap] = []
    for side in SIDES:
        for at, angle in knuckle_stops(knuckles, side):
            unread += angle.gaps
            reached.append(formula(_bar_at(at, SIGNS[side]), steering, angle))
    known = [one for one in reached if one.known]
    return (formula(_first_left, rack[0], *known), formula(_first_right, rack[1], *known)), tuple(unread)


def told_of(first: Stops, rack: Stops, unread: tuple[Gap, ...], draws: FromAdopted) -> list[str]:
    """Which stops act first, at the adopted values, and which are not counted."""
    notes = []
    if all(stop.known for stop in (*first, *rack)):
        left = [abs(draws.adopted(own) - draws.adopted(at)) for own, at in zip(rack, first, strict=True)]
        ways = [f"{mm(by)} of bar left to the {side}" for side, by in zip(SIDES, left, strict=True) if by > _SHOWN]
        if ways:
            notes.append(
                f"a knuckle's stop acts before the rack's, with {' and '.join(ways)}: lock, turns and circles are "
                "those at the first stop"
            )
    if unread:
        named = ", ".join(dict.fromkeys(f"{gap.feature} {gap.dimension}" for gap in unread))
        notes.append(f"stops not counted, for want of a reading: {named}; a lock may end sooner")
    return notes


def knuckle_stops(knuckles: Mapping[str, FoundPart | None], side: str) -> list[tuple[str, Size]]:
    """The knuckles' stops that act at one lock: side of the wheel, and its angle there, deg without sign.

    Those that were taken; where neither was, the first says what is missing. A stop left out can only act sooner than
    what is counted.
    """
    found = {at: _knuckle_stop(knuckles[at], at, stop) for at, stop in ((side, "stop-in"), (OTHER[side], "stop-out"))}
    stops = [(at, angle) for at, angle in found.items() if angle is not None]
    unread = [(at, angle) for at, angle in stops if any(gap.why == "no reading" for gap in angle.gaps)]
    return [one for one in stops if one not in unread] or unread[:1]


def _knuckle_stop(knuckle: FoundPart | None, side: str, dimension: str) -> Size | None:
    """Stop angle of a knuckle, deg; None where it is recorded as having no stop."""
    if knuckle is None:
        return size_of(Feature(f"{side} knuckle", "knuckle-body"), dimension)
    body = knuckle.features["body"]
    position = body.get("stop-position")
    if body.get(dimension) is None and position is not None and position.word.casefold().startswith("none"):
        return None
    return size_of(body, dimension)


def _moved(sign: int) -> Callable[..., Any]:
    def bar(corner: Any, inner: Any, lock: Any) -> Any:
        from fitment.geometry.ideal_inner import inner_moved

        # counted from straight ahead, toe and all: the wheel's own toe is part of the angle that it stands at
        return inner_moved(corner, inner, sign * lock)

    return bar


def _bar_at(wheel: str, turn: int) -> Callable[[Any, Any], Any]:
    """Where the bar stands when one wheel has an angle into a turn, mm; NaN where its rod does not give it."""

    def bar(steering: Any, angle: Any) -> Any:
        from fitment.geometry.ideal_inner import inner_moved

        corner = getattr(steering, wheel)
        return inner_moved(corner, steering.rack.inner_ball(corner.side, 0.0), turn * angle)

    return bar


def _first_left(rack: Any, *stops: Any) -> Any:
    import numpy as np

    return np.minimum.reduce(np.broadcast_arrays(rack, *(np.where(stop > 0, stop, np.inf) for stop in stops)))


def _first_right(rack: Any, *stops: Any) -> Any:
    import numpy as np

    return np.maximum.reduce(np.broadcast_arrays(rack, *(np.where(stop < 0, stop, -np.inf) for stop in stops)))
