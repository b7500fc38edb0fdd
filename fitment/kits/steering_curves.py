"""The curves of a steering as sizes over a fixed row of x, the same for every sample."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from fitment.doubt import Draws
from fitment.frozen import dataclass
from fitment.joints.answering import Size, fixed, formula, size_of
from fitment.kits.car_corner import SIGNS
from fitment.kits.roles import SIDES
from fitment.kits.steering_effort import ENDS, kingpin_moments, rim_force
from fitment.kits.steering_solved import Solved

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: points of a curve on either side of its middle
_POINTS = 7


@dataclass(frozen=True)
class CurveSize:
    """A curve to be worked out.

    Attributes:
        title: for people.
        x: where, shape (points,).
        y: its values, shape (points, samples).
        x_title, x_unit, y_unit: what they are.
    """

    title: str
    x: NDArray[np.float64]
    y: Size
    x_title: str
    x_unit: str
    y_unit: str


def curve_sizes(solved: Solved, draws: Draws) -> dict[str, CurveSize]:
    """Curves by name; those over bump first. One that lacks something has a size with gaps."""
    return {**dict(_over_travel(solved)), **dict(_over_lock(solved, draws))}


def _over_travel(solved: Solved) -> Iterator[tuple[str, CurveSize]]:
    import numpy as np

    x = _both_ways(-solved.rebound, solved.bump)
    for index, side in enumerate(SIDES):
        pose = solved.travelled(side, x[:, np.newaxis])
        for name, what in (("toe_in", "toe"), ("camber", "camber")):
            y = formula(_gained(name, index), pose, solved.straight)
            title = f"change of {what} of the {side} wheel over bump and rebound"
            yield f"{what}-{side}", CurveSize(title, x, y, "wheel travel, + bump", "mm", "deg")


def _over_lock(solved: Solved, draws: Draws) -> Iterator[tuple[str, CurveSize]]:
    """Over turns of the steering wheel where the rack's speed is known, else over travel of the bar."""
    import numpy as np

    model = solved.model
    by_turns = model.speed.known
    per_x = model.speed if by_turns else fixed(1.0)
    ways = formula(lambda rate, speed: np.sign(rate) * speed, solved.rate, per_x)
    ends = formula(lambda left, right, way: (left / way, right / way), *(solved.turned[side] for side in SIDES), ways)
    x = np.zeros(1)
    if ends.known:
        left, right = (float(np.atleast_1d(end)[0]) for end in ends.at(draws))
        x = _both_ways(right, left)
    what = "turns of the steering wheel" if by_turns else "travel of the bar"
    x_title, x_unit = f"{what}, + to the left lock", "turn" if by_turns else "mm"
    along = x[:, np.newaxis]
    # the ends are asked for too, so that what is missing of them is missing of the curve
    bar = formula(lambda way, _: along * way, ways, ends)
    poses = solved.at_bar(bar)
    for index, side in enumerate(SIDES):
        title = f"steer angle of the {side} wheel, + to the left"
        yield f"steer-{side}", CurveSize(title, x, formula(_steer(index), poses), x_title, x_unit, "deg")
    rate = formula(_rate, solved.racked, poses)
    if by_turns:
        ratio = formula(lambda value, speed: 360 / speed / abs(value), rate, model.speed)
        yield "ratio", CurveSize("overall ratio", x, ratio, x_title, x_unit, "")
    else:
        yield "steer-per-mm", CurveSize("road wheel per mm of bar", x, formula(abs, rate), x_title, x_unit, "deg/mm")
    error = formula(_ackermann, poses, size_of(model.body, "wheelbase"), solved.kingpin_track)
    title = "outer wheel's angle less the ideal one, + where it turns too far"
    yield "ackermann-error", CurveSize(title, x, error, x_title, x_unit, "deg")
    moments = kingpin_moments(solved)
    for index, end in enumerate(ENDS):
        title = f"force at the rim, car standing, {end}"
        yield f"rim-{end}", CurveSize(title, x, rim_force(solved, moments, poses, index), x_title, x_unit, "N")


def _both_ways(least: float, most: float) -> NDArray[np.float64]:
    import numpy as np

    return np.concatenate([np.linspace(least, 0.0, _POINTS + 1), np.linspace(0.0, most, _POINTS + 1)[1:]])


def _gained(name: str, index: int) -> Callable[[Any, Any], Any]:
    return lambda pose, centred: getattr(pose, name) - getattr(centred[index], name)


def _steer(index: int) -> Callable[[Any], Any]:
    return lambda poses: poses[index].steer


def _rate(steering: Any, poses: Any) -> Any:
    from fitment.geometry.slopes import steer_per_bar

    return sum(steer_per_bar(pose, steering.rack.direction) for pose in poses) / len(SIGNS)


def _ackermann(poses: Any, base: Any, track: Any) -> Any:
    """NaN within a degree of straight ahead, where toe rules the angles."""
    import numpy as np

    from fitment.geometry.turning import ackermann_error, inner_and_outer

    inner, outer = inner_and_outer(*(pose.steer for pose in poses))
    return np.where(np.asarray(inner) > 1.0, ackermann_error(inner, outer, base, track), np.nan)
