"""How far the ball joints of a tie rod must tilt over bump and lock, by the linkage where the survey holds its points.

All poses of a grid are worked out at the adopted values. The doubt is sampled at the worst of them and at those
neighbours that come near it: the whole grid in every sample would take minutes and tell the same.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fitment.elementwise import is_array, maximum
from fitment.errors import DataFault
from fitment.finding import Gap
from fitment.frozen import dataclass
from fitment.joints.answering import Size, adopted, fixed, formula, lacking, mm, size_of
from fitment.joints.registration import Setting
from fitment.kits.assembly import Assembly
from fitment.kits.car_corner import astray, surveyed_corner, wheel_on_car
from fitment.kits.chain import address_of
from fitment.kits.front_axle import travel_of
from fitment.kits.kit import Kit
from fitment.kits.outer_ball import azimuth_of
from fitment.kits.rack_place import rack_place
from fitment.kits.rod_sizes import half_spacing, rod_parts

if TYPE_CHECKING:
    from fitment.geometry.suspension import Corner
    from fitment.geometry.upright import WheelPose

#: what tells of a suspension, and not of its steering arm alone
SUSPENSION = frozenset(
    [
        *("lower-front", "lower-rear", "lower-ball", "upper-front", "upper-rear", "upper-ball"),
        *("strut-top", "strut-lower", "bump", "rebound"),
    ]
)
#: shares of the travel to either side at which a grid is taken: seven by seven poses
_STEPS = (-1.0, -2 / 3, -1 / 3, 0.0, 1 / 3, 2 / 3, 1.0)
#: degrees; a neighbour that lies farther below the worst pose does not overtake it within a survey's doubt (own choice)
_RIVAL = 2.0
#: degrees; what a sample counts in which the links do not reach the pose: no joint tilts so far
_NEVER = 90.0


@dataclass(frozen=True)
class Swing:
    """What the linkage asks of the joints of one side.

    Attributes:
        inner: largest angle between tie rod and bar, deg.
        outer: largest angle between the stud and square to the tie rod, deg, whichever way the eye may lean off the
            steering axis.
        outer_least: the same for the kindest way that it may lean.
        inner_at, outer_at: where, in words; "" where they are not known.
    """

    inner: Size
    outer: Size
    outer_least: Size
    inner_at: str = ""
    outer_at: str = ""


def surveyed(assembly: Assembly, side: str) -> bool:
    """Whether any point or travel of a side's suspension was ever taken, adopted or not."""
    corner = surveyed_corner(assembly.target, side)
    return bool(SUSPENSION & (corner.values.keys() | corner.gaps.keys()))


def swing_of(kit: Kit, assembly: Assembly, side: str, setting: Setting) -> Swing:
    """What the linkage asks of one side's joints, or what is missing to know it."""
    return assembly.once(f"{side} swing", lambda: _swing_of(kit, assembly, side, setting))


def _swing_of(kit: Kit, assembly: Assembly, side: str, setting: Setting) -> Swing:
    target, parts = assembly.target, rod_parts(kit, assembly, side)
    corner, place = surveyed_corner(target, side), rack_place(kit, assembly)
    if not surveyed(assembly, side):
        return _unknown(Gap(corner.name, "suspension", "is not surveyed"))
    if isinstance(place, Gap) or parts.rack is None:
        return _unknown(*([place] if isinstance(place, Gap) else []), *parts.gaps)
    knuckle = assembly.found.get(address_of("knuckle", side))
    wheel = wheel_on_car(kit, assembly, side)
    travel = travel_of(parts.rack.features["body"])
    sizes = [wheel.moving, *place.origin, *place.bar, half_spacing(parts, setting.draws)]
    sizes += [size_of(corner, "bump"), size_of(corner, "rebound"), travel["left"], travel["right"]]
    useless = astray(target, side)
    gaps = [useless] if useless is not None else [gap for size in (*sizes, wheel.centre) for gap in size.gaps]
    if gaps:
        return _unknown(*gaps)
    named = Gap(f"{side} knuckle", "part", "is not named in the kit")
    lean = lacking(named) if knuckle is None else size_of(knuckle.features["eye"], "tilt")
    return _known(Linkage(wheel.sign, kit.seat.bar_offset), sizes, (lean, azimuth_of(kit, side)), corner.name, setting)


def _unknown(*gaps: Gap) -> Swing:
    size = lacking(*dict.fromkeys(gaps))
    return Swing(size, size, size)


def _known(linkage: Linkage, sizes: list[Size], eye: tuple[Size, Size | None], corner: str, setting: Setting) -> Swing:
    lean, azimuth = eye
    told = lean.known and azimuth is not None
    along = (lean, azimuth) if lean.known and azimuth is not None else (fixed(0.0), fixed(0.0))
    both = formula(linkage, *sizes, *along, costly=True)
    try:
        both.at(adopted)
        if linkage.unreached:
            return _unknown(Gap(corner, "points", linkage.unreached))
        both.at(setting.draws.few)
    except DataFault as fault:
        return _unknown(Gap(corner, "points", f"{fault.message}: measure them again"))
    inner, outer = (formula(lambda two, index=index: two[index], both) for index in (0, 1))
    if told:
        return Swing(inner, outer, outer, *linkage.where)
    # a stud on the steering axis sees `outer`; leaning any way off it by so much it sees at most so much more or less
    most = formula(lambda by, off: by + off, outer, lean)
    least = formula(lambda by, off: maximum(by - off, 0.0), outer, lean)
    return Swing(inner, most, least, *linkage.where)


class Linkage:
    """The angles of both joints as a function of the sizes; called first with the adopted values, then with samples.

    Attributes:
        unreached: which links do not reach which of the poses; "" where all are reached.
        where: at which pose inner and outer joint tilt most, in words.
    """

    def __init__(self, sign: int, bar_offset: float = 0.0):
        """
        Args:
            sign: +1 left, -1 right.
            bar_offset: where the bar stands with the wheels straight, mm to the left of mid-travel.
        """
        self._sign, self._offset = sign, bar_offset
        self._worst: Any = None
        self._cells: list[tuple[float, float]] = []
        self.unreached = ""
        self.where = ("", "")

    def __call__(self, corner: Corner, *values: Any) -> Any:
        """Largest inner and outer angle, deg, shape (2, ...)."""
        import numpy as np

        if is_array(*values):
            cells = [self._angles(corner, values, *cell)[1] for cell in self._cells]
            return np.stack([np.where(np.isfinite(one), one, _NEVER) for one in cells]).max(axis=0)
        if self._worst is None:
            self._look(corner, values)
        return self._worst

    def _look(self, corner: Corner, values: tuple[Any, ...]) -> None:
        """The whole grid at the adopted values, its worst poses, and these with their neighbours."""
        import numpy as np

        from fitment.geometry.steering import why_not_reached

        steps = np.array(_STEPS)
        pose, angles = self._angles(corner, values, steps[:, np.newaxis], steps)
        self._worst = angles.max(axis=(1, 2))
        self.unreached = why_not_reached(pose) or ""
        if self.unreached:
            return
        peaks = [np.unravel_index(int(one.argmax()), one.shape) for one in angles]
        places = range(len(_STEPS))
        near = {
            (i, j)
            for one, (peak_i, peak_j) in zip(angles, peaks, strict=True)
            for i in places
            for j in places
            if abs(i - peak_i) + abs(j - peak_j) <= 1 and one[i, j] >= one.max() - _RIVAL
        }
        self._cells = [(_STEPS[i], _STEPS[j]) for i, j in sorted(near)]
        first, second = (_told(self._travels(values), _STEPS[i], _STEPS[j]) for i, j in peaks)
        self.where = (first, second)

    def _travels(self, values: tuple[Any, ...]) -> tuple[Any, ...]:
        """Bump, rebound, and how far the bar goes to the left and to the right from where it stands, mm."""
        bump, rebound, left, right = values[7:11]
        return bump, rebound, left - self._offset, right + self._offset

    def _angles(self, corner: Corner, values: tuple[Any, ...], bump: Any, bar: Any) -> tuple[WheelPose, Any]:
        """The poses, and the angles of both joints, shape (2, ...), at shares of the travels."""
        import numpy as np

        from fitment.geometry.frames import Vector
        from fitment.geometry.steering import inner_joint_angle, outer_joint_angle
        from fitment.geometry.suspension import eye_axis
        from fitment.geometry.upright import Rod, at_travel

        origin, along = Vector(*values[:3]), Vector(*values[3:6])
        up, down, left, right = self._travels(values)
        tilt, azimuth = (np.radians(value) for value in values[11:])
        inner = origin + along * (self._sign * values[6] + self._offset)
        rod = Rod(inner + along * (bar * np.where(bar > 0, left, right)), (corner.arm_eye - inner).length(), inner)
        pose = at_travel(corner, rod, bump * np.where(bump > 0, up, down))
        stud = eye_axis(corner.links, self._sign, tilt, azimuth)
        return pose, np.stack(np.broadcast_arrays(inner_joint_angle(pose, along), outer_joint_angle(pose, stud)))


def _told(travels: tuple[float, ...], bump: float, bar: float) -> str:
    """A pose in words, from its shares of bump, rebound and the bar's travel to the left and to the right, mm."""
    up, down, left, right = travels
    height = f"{mm(bump * up)} of bump" if bump > 0 else f"{mm(-bump * down)} of rebound" if bump < 0 else "ride height"
    if bar == 0:
        return f"at {height} with the bar straight"
    moved, way = (bar * left, "left") if bar > 0 else (-bar * right, "right")
    return f"at {height} with the bar {mm(moved)} to the {way}"
