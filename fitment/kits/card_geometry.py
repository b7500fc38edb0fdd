"""What a target's survey tells of the rack that it wants: inner-joint spacing and height, stroke, direction.

Samples of the surveyed points go through the geometry; a window is what holds for 97.7 % of them at either end.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from fitment.doubt import HIGH, LOW, Draws
from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.joints.registration import Feature
from fitment.quantity.points import point_of

if TYPE_CHECKING:
    from fitment.geometry.frames import Vector
    from fitment.geometry.suspension import Corner

SIDES = {"left": 1, "right": -1}
_LOWER = ("lower-front", "lower-rear", "lower-ball")
_WISHBONES = (*_LOWER, "upper-front", "upper-rear", "upper-ball")
_STRUT = (*_LOWER, "strut-top", "strut-lower")
#: travel over which a toe change is stated, mm
TRAVEL = 25.0


@dataclass(frozen=True)
class Reach:
    """A number that the survey tells, with its window.

    Attributes:
        value: the ideal or wanted value, mm.
        u: its standard uncertainty from the survey alone.
        low, high: the window, narrowed by that uncertainty; where `low` exceeds `high` the survey is too coarse for it.
            `low` is None where it has no lower end.
        uses: what it rests on.
        notes: what was assumed.
        leading: the surveyed value whose doubt moves it most; None where none does.
    """

    value: float
    u: float
    low: float | None
    high: float
    uses: tuple[Use, ...]
    notes: tuple[str, ...] = ()
    leading: Use | None = None


@dataclass(frozen=True)
class _Side:
    """One front corner as far as it was surveyed."""

    feature: Feature
    corner: Corner
    upper: Vector
    uses: tuple[Use, ...]


@dataclass(frozen=True)
class _Ideal:
    """The ideal inner joint of one side, and the ends of what the toe limit leaves of its width (samples)."""

    inner: Vector
    near: Any
    far: Any
    height: Any
    uses: tuple[Use, ...]


class Survey:
    """The front corners of a target; what is missing is told as gaps."""

    def __init__(self, features: Mapping[str, Feature], toe_limit: float, draws: Draws):
        """
        Args:
            features: the vehicle's, by name.
            toe_limit: toe change of one wheel in `TRAVEL` mm of bump or droop, deg; half for height, half for width.
            draws: samples of the surveyed values.
        """
        self._corners = {side: features[f"corner.{side}"] for side in SIDES}
        self._toe = toe_limit / 2
        self._draws = draws
        self._ideals = {side: ideal for side in SIDES if (ideal := self._ideal(side)) is not None}

    @property
    def suspension_gaps(self) -> list[Gap]:
        """Points without which there is no ideal inner joint, of the left corner (one corner would do)."""
        left = self._corners["left"]
        wanted = _STRUT if left.get("strut-top") else _WISHBONES
        return _missing(left, (*wanted, "arm-eye"))

    @property
    def lock_gaps(self) -> list[Gap]:
        """Points and angles without which there is no stroke, of the left corner (one corner would do)."""
        left = self._corners["left"]
        return _missing(left, ("lower-ball", "upper-ball", "arm-eye", "inner-ball", "lock-inner"))

    def _point(self, use: Use) -> Vector:
        from fitment.geometry.frames import vector

        return vector(self._draws.of_point(use))

    def _side(self, side: str, names: Iterable[str]) -> _Side | None:
        """The corner with its links, where the named points are all there."""
        from fitment.geometry.suspension import Corner, FixedAxis, Strut, Wishbones

        feature = self._corners[side]
        found = {name: feature.values[name] for name in (*names, "arm-eye") if name in feature.values}
        if len(found) < len({*names, "arm-eye"}):
            return None
        at = {name: self._point(use) for name, use in found.items()}
        links: Wishbones | Strut | FixedAxis
        if "upper-front" in at:
            links = Wishbones(*(at[name] for name in _WISHBONES))
        elif "lower-front" in at:
            links = Strut(*(at[name] for name in _STRUT))
        else:
            links = FixedAxis(at["lower-ball"], at["upper-ball" if "upper-ball" in at else "strut-top"])
        upper = at["upper-ball" if "upper-ball" in at else "strut-top"]
        angles = {name: feature.values[name] for name in ("toe", "camber") if name in feature.values}
        centre = feature.get("wheel-centre")
        corner = Corner(
            SIDES[side],
            links,
            at["arm-eye"],
            # without its centre the wheel's travel is taken as the lower ball's, which moves the ideal point but little
            self._point(centre) if centre else at["lower-ball"],
            **{name: self._draws.of(use) for name, use in angles.items()},
        )
        return _Side(feature, corner, upper, (*found.values(), *angles.values(), *((centre,) if centre else ())))

    def _known(self, side: str) -> _Side | None:
        """The corner with the most of its suspension that was surveyed; its steering axis alone will do."""
        ways: tuple[tuple[str, ...], ...] = (
            _WISHBONES,
            _STRUT,
            ("lower-ball", "upper-ball"),
            ("lower-ball", "strut-top"),
        )
        return next((known for names in ways if (known := self._side(side, names)) is not None), None)

    def _ideal(self, side: str) -> _Ideal | None:
        import numpy as np

        from fitment.geometry.ideal_inner import height_tolerance, ideal_inner, rod_tolerance
        from fitment.geometry.steering_axis import moment_arm

        known = self._side(side, _WISHBONES) or self._side(side, _STRUT)
        if known is None:
            return None
        corner, uses = known.corner, known.uses
        came = known.feature.get("inner-ball")
        along = self._point(came).x if came else corner.arm_eye.x
        inner = ideal_inner(corner, along, TRAVEL)
        rod = (inner - corner.arm_eye).length()
        lower = corner.links.lower_ball
        arm = moment_arm(lower, known.upper - lower, corner.arm_eye, inner)
        short, long = rod_tolerance(self._toe, TRAVEL, rod, arm)
        direction = np.abs(inner.y - corner.arm_eye.y) / rod
        eye = np.abs(corner.arm_eye.y)
        endless = long < short
        near = np.where(endless, 0.0, np.maximum(eye - np.where(endless, 0.0, long) * direction, 0.0))
        return _Ideal(
            inner,
            near,
            eye - short * direction,
            height_tolerance(self._toe, TRAVEL, rod, arm),
            (*uses, came) if came else uses,
        )

    def as_it_came(self) -> float | None:
        """Inner-joint spacing that the car came with, mm; None where its inner balls were not surveyed."""
        left, right = (self._corners[side].get("inner-ball") for side in SIDES)
        return abs(point_of(left)[1] - point_of(right)[1]) if left and right else None

    def spacing(self) -> Reach | None:
        """Inner-joint spacing; None where no corner was surveyed far enough."""
        import numpy as np

        ideals = list(self._ideals.values())
        if not ideals:
            return None
        times = 2 / len(ideals)
        notes = () if len(ideals) == 2 else ("the other side is taken as the mirror of the one surveyed",)
        found = self._reach(
            sum(np.abs(one.inner.y) for one in ideals) * times,
            sum(one.near for one in ideals) * times,
            sum(one.far for one in ideals) * times,
            [use for one in ideals for use in one.uses],
            notes,
        )
        # a rod that may be as long as it likes leaves no lower end
        return replace(found, low=None) if found and found.low is not None and found.low <= 0 else found

    def height(self) -> Reach | None:
        """Height of the inner joints above the survey's datum, at the ideal spacing; None as for `spacing`."""
        ideals = list(self._ideals.values())
        if not ideals:
            return None
        middle = sum(one.inner.z for one in ideals) / len(ideals)
        # both wheels have their own limit: the tighter of what either leaves
        low, high = (
            (max if sign < 0 else min)(
                (one.inner.z + sign * one.height for one in ideals), key=lambda z: float(z.mean())
            )
            for sign in (-1, 1)
        )
        return self._reach(middle, low, high, [use for one in ideals for use in one.uses])

    def stroke(self, spread: float) -> Reach | None:
        """Travel of the bar, lock to lock, for the lock that the inner wheel has now, give or take `spread` degrees."""
        import numpy as np

        from fitment.geometry.ideal_inner import inner_moved

        found = []
        for side, feature in self._corners.items():
            known = self._known(side)
            lock, came = feature.get("lock-inner"), feature.get("inner-ball")
            if known is None or lock is None:
                continue
            if side in self._ideals:
                inner = self._ideals[side].inner
            elif came is not None:
                inner = self._point(came)
            else:
                continue
            steer = [SIDES[side] * (lock.number + more) for more in (0.0, -spread, spread)]
            moved = [np.abs(inner_moved(known.corner, inner, angle)) for angle in steer]
            found.append((moved, (*known.uses, lock, *((came,) if came else ()))))
        if not found:
            return None
        times = 2 / len(found)
        value, low, high = (sum(moved[index] for moved, _ in found) * times for index in range(3))
        notes = () if len(found) == 2 else ("the other side is taken as the mirror of the one surveyed",)
        return self._reach(value, low, high, [use for _, uses in found for use in uses], notes)

    def arm_ahead(self) -> tuple[float, tuple[Use, ...]] | None:
        """How far the arm's eye lies ahead of the steering axis, mm, where that is certain; with what it rests on."""
        import numpy as np

        for side in SIDES:
            known = self._known(side)
            if known is None:
                continue
            lower, eye = known.corner.links.lower_ball, known.corner.arm_eye
            share = (eye.z - lower.z) / (known.upper.z - lower.z)
            ahead = eye.x - (lower.x + share * (known.upper.x - lower.x))
            low, high = np.quantile(ahead, [LOW, HIGH])
            if low > 0 or high < 0:
                return float(np.mean(ahead)), known.uses
        return None

    def _reach(self, value: Any, low: Any, high: Any, uses: list[Use], notes: tuple[str, ...] = ()) -> Reach | None:
        import numpy as np

        if not np.all(np.isfinite(value)):
            return None
        return Reach(
            float(np.mean(value)),
            float(np.std(value)),
            float(np.quantile(low, HIGH)),
            float(np.quantile(high, LOW)),
            tuple(dict.fromkeys(uses)),
            notes,
            self._draws.leading(value, uses),
        )


def _missing(feature: Feature, names: Iterable[str]) -> list[Gap]:
    return [feature.gap(name) for name in names if name not in feature.values]
