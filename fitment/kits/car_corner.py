"""One front wheel as far as its survey goes: which suspension its points make, its arm's eye, its wheel centre.

Sizes whose value is a point or a corner of `geometry`; what is missing for one travels with it as a gap.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from fitment.catalogue.found import FoundPart, FoundVehicle
from fitment.doubt import Draws
from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.joints.answering import Size, fixed, formula, lacking, size_of
from fitment.joints.registration import Feature
from fitment.kits.arm_eye import Surveyed, arm_eye
from fitment.kits.assembly import Assembly
from fitment.kits.chain import address_of
from fitment.kits.kit import Kit
from fitment.kits.outer_ball import OuterBall, outer_ball
from fitment.quantity.points import point_of

if TYPE_CHECKING:
    from fitment.geometry.frames import Vector
    from fitment.geometry.suspension import Links

#: +1 left, -1 right, as everywhere in geometry
SIGNS = {"left": 1, "right": -1}

_LOWER = ("lower-front", "lower-rear", "lower-ball")
_UPPER = ("upper-front", "upper-rear", "upper-ball")
_STRUT = ("strut-top", "strut-lower")
#: points that lie on their own side of the middle; pivots and inner balls may lie across it
_OUTER = ("lower-ball", "upper-ball", "strut-top", "arm-eye", "wheel-centre")
#: mm along a steering axis of which only the direction is known; any will do
_ALONG = 100.0


@dataclass(frozen=True)
class FrontWheel:
    """One front wheel.

    Attributes:
        side: ``left`` or ``right``.
        corner: `geometry.suspension.Corner`, good for lock and ratio.
        moving: the same where its suspension is known, good for bump too.
        lower: lower point of the steering axis; not known where that is only taken as upright.
        up: direction up the steering axis; not known likewise.
        centre: wheel centre.
        eye: ball centre of the joint in the steering arm, a `Vector`.
        eye_told: what `eye` takes for granted; "" where there is nothing to tell.
        eye_counted: whether it is counted how high the kit's joint holds its ball.
        notes: what was taken for granted.
    """

    side: str
    corner: Size
    moving: Size
    lower: Size
    up: Size
    centre: Size
    eye: Size
    eye_told: str
    eye_counted: bool
    notes: tuple[str, ...]

    @property
    def sign(self) -> int:
        """+1 left, -1 right."""
        return SIGNS[self.side]


def surveyed_corner(vehicle: FoundVehicle, side: str) -> Feature:
    """The feature of one corner; an empty one where the vehicle has none."""
    name = f"corner.{side}"
    return vehicle.features.get(name, Feature(f"{vehicle.name} {name}", "corner"))


def several_datums(vehicle: FoundVehicle) -> Gap | None:
    """Why the points of a vehicle do not go together; None where they do."""
    if len(vehicle.datums) < 2:
        return None
    return Gap(vehicle.name, "datum", f"its points are taken from several: {'; '.join(vehicle.datums)}")


def astray(vehicle: FoundVehicle, side: str) -> Gap | None:
    """Why the points of a corner cannot be used: several datums, or axes mirrored; None where they can."""
    if (several := several_datums(vehicle)) is not None:
        return several
    uses = [use for name in _OUTER if (use := surveyed_corner(vehicle, side).get(name)) is not None]
    if not any(SIGNS[side] * point_of(use)[1] < 0 for use in uses):
        return None
    other = "right" if side == "left" else "left"
    return Gap(vehicle.name, f"corner.{side}", f"lies {other} of the middle: check the sitting's axes")


def surveyed_point(vehicle: FoundVehicle, side: str, name: str) -> Size:
    """A surveyed point of a corner as a `Vector`."""
    feature = surveyed_corner(vehicle, side)
    use = feature.get(name)
    if use is None:
        return lacking(feature.gap(name))
    if (gap := astray(vehicle, side)) is not None:
        return lacking(gap)
    return Size(lambda pick: _vector(use, pick), (use,))


def _vector(use: Use, pick: Any) -> Vector:
    from fitment.geometry.frames import vector

    return vector(pick.of_point(use) if isinstance(pick, Draws) else point_of(use))


def wheel_on_car(kit: Kit, assembly: Assembly, side: str) -> FrontWheel:
    """One front wheel of the car that a kit makes: the one place that its arm's eye is taken from."""

    def make() -> FrontWheel:
        knuckle, own = assembly.found.get(address_of("knuckle", side)), assembly.target.own
        came = None if knuckle is None or own is None else knuckle.name in own
        return front_wheel(assembly.target, side, knuckle, came, outer_ball(kit, assembly, side))

    return assembly.once(f"{side} front wheel", make)


def front_wheel(
    vehicle: FoundVehicle, side: str, knuckle: FoundPart | None, came: bool | None, ball: OuterBall | None
) -> FrontWheel:
    """One front wheel.

    Args:
        vehicle: the surveyed car.
        side: ``left`` or ``right``.
        knuckle: the knuckle on it, where one is named.
        came: whether that came with the car; else the arm's eye lies where its own dimensions say. None where nothing
            tells.
        ball: the joint in its arm's eye; None for that of the survey.
    """
    feature = surveyed_corner(vehicle, side)
    at = {name: surveyed_point(vehicle, side, name) for name in (*_LOWER, *_UPPER, *_STRUT, "arm-eye", "wheel-centre")}
    links, moves, wanted = _links(at, feature, side)
    notes: list[str] = []
    lower, up = formula(_lower, links), formula(_up, links)
    taken = Surveyed(at["arm-eye"], size_of(feature, "ball-off-eye"), links, SIGNS[side])
    found = arm_eye(knuckle, came, taken, ball)
    eye = found.at
    if found.told:
        notes.append(found.told)
    if not found.moved and not links.known and knuckle is not None and (upright := _upright(knuckle, side, eye)).known:
        links = upright
        notes.append(f"{side} steering axis taken as upright, by the arm of {knuckle.name}: no castor or inclination")
    centre, instead = at["wheel-centre"], at["wheel-centre"]
    if not centre.known and astray(vehicle, side) is None:
        instead = formula(_lower, links)
        if moves:
            notes.append(f"{side} wheel centre not surveyed: travel is that of the lower ball joint")
    angles = {name: size_of(feature, name) for name in ("toe", "camber")}
    for name, angle in angles.items():
        if not angle.known:
            angles[name] = fixed(0.0)
            notes.append(f"{side} {name} not measured: taken as 0")
    corner = formula(_corner(SIGNS[side]), links, eye, instead, angles["toe"], angles["camber"])
    moving = corner if moves else lacking(*(gap for size in wanted for gap in size.gaps))
    return FrontWheel(side, corner, moving, lower, up, centre, eye, found.told, found.counted, tuple(notes))


def _links(at: Mapping[str, Size], feature: Feature, side: str) -> tuple[Size, bool, list[Size]]:
    """The links that the points make, whether the suspension is known, and the points that it takes."""
    strut = at["strut-top"].known and not at["upper-ball"].known
    wanted = [at[name] for name in (*_LOWER, *(_STRUT if strut else _UPPER))]
    if all(size.known for size in wanted):
        return formula(_strut if strut else _wishbones, *wanted), True, wanted
    upper = at["strut-top" if strut else "upper-ball"]
    by_angles = formula(
        lambda lower, castor, inclination: _leaning(lower, castor, inclination, SIGNS[side]),
        at["lower-ball"],
        size_of(feature, "castor"),
        size_of(feature, "inclination"),
    )
    if not upper.known and by_angles.known:
        return by_angles, False, wanted
    return formula(_axis, at["lower-ball"], upper), False, wanted


def _wishbones(*points: Any) -> Links:
    from fitment.geometry.suspension import Wishbones

    return Wishbones(*points)


def _strut(*points: Any) -> Links:
    from fitment.geometry.suspension import Strut

    return Strut(*points)


def _axis(lower: Any, upper: Any) -> Links:
    from fitment.geometry.suspension import FixedAxis

    return FixedAxis(lower, upper)


def _leaning(lower: Any, castor: Any, inclination: Any, sign: int) -> Links:
    import numpy as np

    from fitment.geometry.frames import Vector

    lean = Vector(-np.tan(np.radians(castor)), -sign * np.tan(np.radians(inclination)), 1.0)
    return _axis(lower, lower + lean * _ALONG)


def _lower(links: Any) -> Any:
    return links.lower_ball


def _up(links: Any) -> Any:
    from fitment.geometry.suspension import upper_end

    return upper_end(links) - links.lower_ball


def _corner(sign: int) -> Any:
    def make(links: Any, eye: Any, centre: Any, toe: Any, camber: Any) -> Any:
        from fitment.geometry.suspension import Corner

        return Corner(sign, links, eye, centre, toe, camber)

    return make


def _upright(knuckle: FoundPart, side: str, eye: Size) -> Size:
    """An upright steering axis, where only the arm is known."""
    body = knuckle.features["body"]
    sign = SIGNS[side]

    def stand(at: Any, forward: Any, lateral: Any) -> Any:
        from fitment.geometry.frames import Vector

        foot = at - Vector(forward, sign * lateral, 0.0)
        return _axis(foot, foot + Vector(0.0, 0.0, _ALONG))

    return formula(stand, eye, size_of(body, "arm-forward"), size_of(body, "arm-lateral"))
