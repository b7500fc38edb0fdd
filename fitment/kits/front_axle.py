"""The steered axle as the survey and the kit tell it: both wheels' steering axes and arms, the rack where it sits.

Steer angles are counted from straight ahead, toe left out, with each steering axis held as at ride height: good for
lock and ratio, never for bump.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from fitment.errors import DataFault
from fitment.finding import Gap
from fitment.frozen import dataclass
from fitment.joints.answering import Size, adopted, formula, lacking, size_of
from fitment.joints.registration import Feature, Setting
from fitment.kits.assembly import Assembly
from fitment.kits.car_corner import astray, surveyed_corner, wheel_on_car
from fitment.kits.chain import address_of
from fitment.kits.kit import Kit
from fitment.kits.rack_place import RackPlace, rack_place
from fitment.kits.rod_sizes import coordinates, half_spacing, point_size, rod_parts
from fitment.kits.roles import SIDES

if TYPE_CHECKING:
    from fitment.geometry.steering import Steering

Point = tuple[Size, Size, Size]

#: +1 left, -1 right, as everywhere in geometry
SIGNS = {"left": 1, "right": -1}
#: mm; any height will do for an upright axis
_UP = 100.0
#: mm; a steering axis whose two points are no farther apart in height is no axis
_APART = 1.0
#: mm of the bar, for an angle that the rod cannot give: farther than any rack travels
_OUT_OF_REACH = 1000.0


@dataclass(frozen=True)
class Wheel:
    """A steered wheel.

    Attributes:
        side: ``left`` or ``right``.
        lower, upper: two points of its steering axis, mm.
        eye: ball centre in the steering arm's eye, mm.
        upright: whether only the knuckle's arm is known, the axis being taken as upright.
    """

    side: str
    lower: Point
    upper: Point
    eye: Point
    upright: bool

    @property
    def ahead(self) -> Size:
        """How far the eye lies ahead of the steering axis at its own height, mm."""
        return formula(_off_axis, *(pair[0] for pair in self._points), *(pair[2] for pair in self._points))

    @property
    def outboard(self) -> Size:
        """How far the eye lies outboard of the steering axis at its own height, mm."""
        sign = SIGNS[self.side]
        points = self._points
        return formula(
            lambda *six: sign * _off_axis(*six), *(pair[1] for pair in points), *(pair[2] for pair in points)
        )

    @property
    def _points(self) -> tuple[Point, Point, Point]:
        return self.lower, self.upper, self.eye


def _off_axis(lower: Any, upper: Any, eye: Any, lower_z: Any, upper_z: Any, eye_z: Any) -> Any:
    """One coordinate of the eye less that of the axis at the eye's height."""
    return eye - (lower + (eye_z - lower_z) / (upper_z - lower_z) * (upper - lower))


def wheel_of(kit: Kit, assembly: Assembly, side: str) -> Wheel:
    """One wheel: its axis by the surveyed points, else upright by the knuckle's arm."""
    target = assembly.target
    corner = surveyed_corner(target, side)
    upper = "strut-top" if corner.get("strut-top") is not None and corner.get("upper-ball") is None else "upper-ball"
    lower_at, upper_at = (point_size(corner, name) for name in ("lower-ball", upper))
    eye = coordinates(wheel_on_car(kit, assembly, side).eye)
    if lower_at[2].known and upper_at[2].known and upper_at[2].central - lower_at[2].central < _APART:
        upper_at = (lacking(Gap(corner.name, upper, "lies no higher than lower-ball: measure both again")),) * 3
    if (gap := astray(target, side)) is not None:
        lower_at = upper_at = (lacking(gap),) * 3
    knuckle = assembly.found.get(address_of("knuckle", side))
    if knuckle is not None and not (lower_at[0].known and upper_at[0].known):
        forward, lateral = (size_of(knuckle.features["body"], name) for name in ("arm-forward", "arm-lateral"))
        if forward.known and lateral.known:
            sign = SIGNS[side]
            x = formula(lambda at, arm: at - arm, eye[0], forward)
            y = formula(lambda at, arm: at - sign * arm, eye[1], lateral)
            above = formula(lambda at: at + _UP, eye[2])
            return Wheel(side, (x, y, eye[2]), (x, y, above), eye, True)
    return Wheel(side, lower_at, upper_at, eye, False)


@dataclass(frozen=True)
class Axle:
    """Both wheels and the rack.

    Attributes:
        wheels: by side.
        place: where the rack sits; None where that is not known, which `gaps` say.
        halves: middle of the bar to the inner ball centre, by side, mm.
        travel: of the bar from where it stands with the wheels straight to its stop, by the side it moves to, mm.
        gaps: why nothing can be worked out, besides what the sizes lack.
    """

    wheels: Mapping[str, Wheel]
    place: RackPlace | None
    halves: Mapping[str, Size]
    travel: Mapping[str, Size]
    gaps: tuple[Gap, ...]

    def steer(self, bar: Size) -> Size:
        """Steer angles left and right, deg + to the left, and both rods' margins to dead centre, shape (4, ...).

        An angle is NaN where its rod does not reach; the margin is below zero there.
        """
        return self._sound(formula(_steered, bar, *self._sizes, costly=True)) if not self.gaps else lacking(*self.gaps)

    def part(self, solved: Size, index: int) -> Size:
        """One of the four numbers of `steer`."""
        return formula(lambda four: four[index], solved)

    def bar_at(self, side: str, angle: Size) -> Size:
        """How far the bar has moved, either way (mm), when one wheel has a steer angle (deg, + to the left).

        The bar is taken to move straight across the car. An angle that the rod cannot give is out of reach of any rack.
        """
        if self.gaps:
            return lacking(*self.gaps)
        index = SIDES.index(side)
        moved = formula(lambda turn, *sizes: _moved(index, turn, *sizes), angle, *self._sizes, costly=True)
        return self._sound(moved)

    @property
    def _sizes(self) -> tuple[Size, ...]:
        assert self.place is not None  # else there is a gap
        points = [
            at for side in SIDES for at in (self.wheels[side].lower, self.wheels[side].upper, self.wheels[side].eye)
        ]
        points += [self.place.origin, self.place.bar]
        return (*(size for at in points for size in at), *(self.halves[side] for side in SIDES))

    def _sound(self, size: Size) -> Size:
        """The size, or what is wrong with points that fall together."""
        if not size.known:
            return size
        try:
            size.at(adopted)
        except DataFault as fault:
            return lacking(Gap("front corners", "points", f"{fault.message}: measure them again"))
        return size


def axle_of(kit: Kit, assembly: Assembly, setting: Setting) -> Axle:
    """The axle of a kit."""
    return assembly.once("front axle", lambda: _axle_of(kit, assembly, setting))


def _axle_of(kit: Kit, assembly: Assembly, setting: Setting) -> Axle:
    place = rack_place(kit, assembly)
    rack = assembly.found.get("rack")
    gaps = () if isinstance(place, RackPlace) else (place,)
    if rack is None:
        gaps = (*gaps, Gap("rack", "part", "is not named in the kit"))
    return Axle(
        {side: wheel_of(kit, assembly, side) for side in SIDES},
        place if isinstance(place, RackPlace) else None,
        {side: half_spacing(rod_parts(kit, assembly, side), setting.draws) for side in SIDES},
        _off_middle(travel_of(rack.features["body"]), kit.seat.bar_offset)
        if rack is not None
        else {side: lacking(*gaps) for side in SIDES},
        tuple(dict.fromkeys(gaps)),
    )


def _off_middle(travel: Mapping[str, Size], offset: float) -> Mapping[str, Size]:
    """Travel to either stop of a bar that stands off the middle of its housing, + to the left, mm."""
    if not offset:
        return travel
    return {side: formula(lambda way, sign=sign: way - sign * offset, travel[side]) for side, sign in SIGNS.items()}


def travel_of(body: Feature) -> dict[str, Size]:
    """Travel of the bar to either side, mm: as taken each way, else half of the whole (centred by its turns)."""
    whole = size_of(body, "travel")
    each = {side: size_of(body, f"travel-{side}") for side in SIDES}
    for side, other in (SIDES, SIDES[::-1]):
        if each[side].known and not each[other].known and whole.known:
            return {side: each[side], other: formula(lambda all_, one: all_ - one, whole, each[side])}
    if each["left"].known and each["right"].known:
        return each
    return {side: formula(lambda all_: all_ / 2, whole) for side in SIDES}


def _steering(values: tuple[Any, ...]) -> Steering:
    from fitment.geometry.frames import Vector
    from fitment.geometry.rack import Rack
    from fitment.geometry.steering import set_rods
    from fitment.geometry.suspension import Corner, FixedAxis

    points = [Vector(*values[start : start + 3]) for start in range(0, 24, 3)]
    left_half, right_half = values[24:]
    left, right = (
        Corner(side, FixedAxis(lower, upper), eye, lower)
        for side, (lower, upper, eye) in zip(SIGNS.values(), (points[:3], points[3:6]), strict=True)
    )
    origin, along = points[6:]
    rack = Rack(origin + along * ((left_half - right_half) / 2), along, left_half + right_half)
    return set_rods(rack, left, right)


def _steered(bar: Any, *values: Any) -> Any:
    import numpy as np

    from fitment.geometry.steering import wheels

    poses = wheels(_steering(values), bar)
    return np.stack(np.broadcast_arrays(*(pose.steer for pose in poses), *(pose.margin for pose in poses)))


def _moved(index: int, turn: Any, *values: Any) -> Any:
    import numpy as np

    from fitment.geometry.ideal_inner import inner_moved

    steering = _steering(values)
    corner = (steering.left, steering.right)[index]
    moved = np.asarray(inner_moved(corner, steering.rack.inner_ball(corner.side, 0.0), turn))
    return np.where(np.isfinite(moved), np.abs(moved), _OUT_OF_REACH)[()]
