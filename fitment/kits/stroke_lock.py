"""One lock of the car: how far the bar goes to the rack's stop, the knuckles' stops and where the tyres touch."""

from __future__ import annotations

from functools import reduce

from fitment.elementwise import minimum
from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.joints.answering import Size, fixed, formula, size_of
from fitment.joints.registration import Feature
from fitment.kits.assembly import Assembly
from fitment.kits.bar_stops import OTHER, knuckle_stops
from fitment.kits.chain import address_of
from fitment.kits.front_axle import SIGNS, Axle
from fitment.kits.kit import Kit
from fitment.kits.roles import SIDES
from fitment.quantity.parse import parse_quantity


@dataclass(frozen=True)
class Lock:
    """One lock, left or right.

    Attributes:
        side: to which side the car steers; the wheel of that side is the inner one.
        bar: side of the car to which the bar has moved.
        rack: travel of the bar to its stop, mm.
        stops, clear: displacement of the bar, mm, at the knuckles' stops and at the clearance angles, inner and outer
            wheel; a stop that a knuckle has not is left out.
        touching: those of `clear` that are angles at which something touches, not merely the present lock.
        wanted: displacement of the bar, mm, at the lock that the kit wants; None where it says none.
        inner, outer: angles at the rack's stop, deg, without sign.
        toggle: the lesser of both rods' margins to dead centre.
        joint: names of rack and target.
    """

    side: str
    bar: str
    rack: Size
    stops: tuple[Size, ...]
    clear: tuple[Size, ...]
    touching: tuple[Size, ...]
    wanted: Size | None
    inner: Size
    outer: Size
    toggle: Size
    joint: tuple[str, str]

    @property
    def first(self) -> Size:
        """Displacement of the bar at which the first stop acts, mm."""
        return least((self.rack, *self.stops))


def least(sizes: tuple[Size, ...]) -> Size:
    """The least of several sizes."""
    return formula(lambda *values: reduce(minimum, values), *sizes)


def wanted_lock(kit: Kit) -> Size | None:
    """The angle of the inner wheel at full lock that the kit wants, deg; None where it says none."""
    if "lock" not in kit.wanted:
        return None
    try:
        return fixed(parse_quantity(kit.wanted["lock"], "angle").value)
    except DataFault as fault:
        raise fault.at(f"{kit.path} [wanted] lock") from None


def lock_of(assembly: Assembly, axle: Axle, side: str, joint: tuple[str, str], wanted: Size | None) -> Lock:
    """One lock of an axle of which it is known where the arms lie."""
    sign, outer = SIGNS[side], OTHER[side]
    ahead = axle.wheels[side].ahead.central > 0
    bar = side if ahead else outer
    rack, way = axle.travel[bar], SIGNS[bar]
    four = axle.steer(formula(lambda travel: way * travel, rack))
    angles = {at: formula(lambda turn: sign * turn, axle.part(four, SIDES.index(at))) for at in SIDES}
    knuckles = {at: assembly.found.get(address_of("knuckle", at)) for at in SIDES}
    clear, touching = [], []
    for at, part in ((side, "inner"), (outer, "outer")):
        limit, touches = _clearance(assembly, at, part)
        clear.append(_at(axle, at, sign, limit))
        touching += clear[-1:] if touches else []
    return Lock(
        side,
        bar,
        rack,
        tuple(_at(axle, at, sign, angle) for at, angle in knuckle_stops(knuckles, side)),
        tuple(clear),
        tuple(touching),
        None if wanted is None else _at(axle, side, sign, wanted),
        angles[side],
        angles[outer],
        least((axle.part(four, 2), axle.part(four, 3))),
        joint,
    )


def _at(axle: Axle, side: str, sign: int, angle: Size) -> Size:
    """Displacement of the bar when one wheel has turned by an angle, deg without sign, into the lock."""
    return axle.bar_at(side, formula(lambda turn: sign * turn, angle))


def _clearance(assembly: Assembly, side: str, part: str) -> tuple[Size, bool]:
    """Angle to which a wheel is known to clear, deg, and whether something touches there."""
    target = assembly.target
    corner = target.features.get(f"corner.{side}", Feature(f"{target.name} corner.{side}", "corner"))
    touches = corner.get(f"clear-{part}") is not None
    if not touches and f"clear-{part}" not in corner.gaps and corner.get(f"lock-{part}") is not None:
        return size_of(corner, f"lock-{part}"), False
    return size_of(corner, f"clear-{part}"), touches
