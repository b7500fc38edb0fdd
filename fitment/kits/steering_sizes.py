"""Every result of a steering as a size by its name in ``steering_results.csv``.

What a result lacks stays with it as gaps. A group is a function from the solved steering to named sizes; another group
is one more name in `_GROUPS`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

from fitment.joints.answering import Size, formula, size_of
from fitment.kits.car_corner import SIGNS
from fitment.kits.roles import SIDES
from fitment.kits.steering_effort import effort_sizes
from fitment.kits.steering_measured import tyre_width
from fitment.kits.steering_solved import Solved

#: where the bar stands in the grid of bump and lock over which the joints tilt, as shares of either stop
_LOCKS = (-1.0, -0.5, 0.0, 0.5, 1.0)


def result_sizes(solved: Solved) -> dict[str, Size]:
    """Sizes by name."""
    return {name: size for group in _GROUPS for name, size in group(solved)}


def _gearing(solved: Solved) -> Iterator[tuple[str, Size]]:
    """Rack speed, turns and ratios."""
    from fitment.geometry import results

    model, rate = solved.model, solved.rate

    travel = formula(lambda left, right, _: left - right, *model.stops, model.gear)
    speed = formula(lambda value, _: value, model.speed, model.gear)
    yield "travel", travel
    yield "speed", speed
    yield "turns", formula(results.turns, travel, speed)
    yield "wheel-per-mm", formula(lambda value: 360 / value, speed)
    yield "steer-per-mm", formula(abs, rate)
    yield "ratio-centre", formula(results.steering_ratio, rate, speed)
    yield "ratio-overall", formula(_overall, travel, speed, *(solved.locks[side] for side in SIDES))
    yield (
        "rim-play",
        formula(
            lambda play, per_turn, rim: play / per_turn * math.pi * rim,
            model.backlash,
            speed,
            size_of(model.body, "wheel-dia"),
        ),
    )


def _overall(travel: Any, speed: Any, left: Any, right: Any) -> Any:
    turned = sum(to_left.steer - to_right.steer for to_left, to_right in zip(left, right, strict=True)) / 2
    return travel / speed * 360 / turned


def _locks(solved: Solved) -> Iterator[tuple[str, Size]]:
    """Angles at the stops, Ackermann, circles, and the margin to toggling."""
    from fitment.geometry import turning

    model, track = solved.model, solved.kingpin_track
    base = size_of(model.body, "wheelbase")
    for side, other in (SIDES, SIDES[::-1]):
        poses = solved.locks[side]
        inner, outer = (formula(_angle(SIDES.index(one), SIGNS[side]), poses) for one in (side, other))
        yield f"lock-{side}-inner", inner
        yield f"lock-{side}-outer", outer
        yield f"ackermann-error-{side}", formula(turning.ackermann_error, inner, outer, base, track)
        yield f"ackermann-percent-{side}", formula(turning.ackermann_percent, inner, outer, base, track)
        radius = formula(turning.turning_radius, base, outer, solved.scrub[other])
        yield f"kerb-{side}", formula(turning.kerb_to_kerb, radius, tyre_width(model))
        yield f"wall-{side}", formula(turning.wall_to_wall, radius, size_of(model.body, "overhang"))
        yield f"toggle-{side}", formula(_toggle(SIGNS[side]), solved.racked, *model.stops)


def _angle(index: int, sign: int) -> Callable[[Any], Any]:
    return lambda poses: sign * poses[index].steer


def _toggle(sign: int) -> Callable[[Any, Any, Any], Any]:
    """How far the bar would have to go beyond either stop for one rod to reach dead centre, mm; the lesser."""

    def margin(steering: Any, left: Any, right: Any) -> Any:
        import numpy as np

        from fitment.geometry.steering import dead_centres

        dead_left, dead_right = dead_centres(steering, sign)
        return np.minimum(dead_left - left, right - dead_right)

    return margin


def _bump(solved: Solved) -> Iterator[tuple[str, Size]]:
    """Toe and camber over bump, bump steer, what nulls it, roll steer."""
    from fitment.geometry import results

    model = solved.model
    moving = [model.wheels[side].moving for side in SIDES]
    centred = solved.straight
    moved = formula(results.bump_steer_per_mm, model.steering)
    for index, side in enumerate(SIDES):
        poses = {"bump": solved.travelled(side, solved.bump), "rebound": solved.travelled(side, -solved.rebound)}
        for way, pose in poses.items():
            yield f"toe-{way}-{side}", formula(_gained("toe_in", index), pose, centred)
            yield f"camber-{way}-{side}", formula(_gained("camber", index), pose, centred)
        yield f"bump-steer-{side}", formula(_slope(index), centred, moving[index])
        for what in ("height", "fore-aft", "spacing"):
            yield f"per-{what}-{side}", formula(_of(what, index), moved, moving[index], model.gear)
        ball = formula(_inner(SIGNS[side]), model.steering)
        null = formula(results.null_height, moving[index], ball)
        yield f"null-height-{side}", null
        yield f"packing-{side}", formula(lambda height, at, _: height - at.z, null, ball, model.gear)
    yield "roll-steer", formula(lambda steering, *_: results.roll_steer(steering), model.steering, *moving)


def _gained(name: str, index: int) -> Callable[[Any, Any], Any]:
    return lambda pose, centred: getattr(pose, name) - getattr(centred[index], name)


def _slope(index: int) -> Callable[[Any, Any], Any]:
    def slope(centred: Any, _: Any) -> Any:
        from fitment.geometry.slopes import bump_toe

        return bump_toe(centred[index])

    return slope


def _of(what: str, index: int) -> Callable[[Any, Any, Any], Any]:
    return lambda moved, *_: moved[what][index]


def _inner(sign: int) -> Callable[[Any], Any]:
    return lambda steering: steering.rack.inner_ball(sign, 0.0)


def _axis(solved: Solved) -> Iterator[tuple[str, Size]]:
    """What the steering axis is to its wheel."""
    from fitment.geometry import steering_axis

    for side in SIDES:
        wheel = solved.model.wheels[side]
        yield f"castor-{side}", formula(steering_axis.castor, wheel.up)
        yield f"inclination-{side}", formula(_inclination(wheel.sign), wheel.up)
        yield (
            f"trail-{side}",
            formula(
                steering_axis.trail,
                solved.foot[side],
                solved.contact[side],
            ),
        )
        yield f"scrub-{side}", solved.scrub[side]


def _inclination(sign: int) -> Callable[[Any], Any]:
    def lean(up: Any) -> Any:
        from fitment.geometry.steering_axis import inclination

        return inclination(up, sign)

    return lean


def _rods(solved: Solved) -> Iterator[tuple[str, Size]]:
    """Lengths of the rods, what a turn of one does, and how far their joints must tilt."""
    from fitment.geometry import results

    model, grid = solved.model, _grid(solved)
    for index, side in enumerate(SIDES):
        yield f"rod-{side}", formula(_length(side), model.steering)
        yield (
            f"toe-per-turn-{side}",
            formula(_part(results.toe_per_lengthening, index), model.steering, model.pitches[side]),
        )
        wheel = model.wheels[side]
        for place, which in enumerate(("inner", "outer")):
            yield f"{which}-tilt-{side}", formula(_tilt(index, place), grid, wheel.up, wheel.moving)


def _length(side: str) -> Callable[[Any], Any]:
    return lambda steering: getattr(steering, f"rod_{side}")


def _part(rule: Callable[..., Any], index: int) -> Callable[..., Any]:
    return lambda *values: abs(rule(*values)[index])


def _grid(solved: Solved) -> Size:
    """Both wheels' poses over bump and lock, shapes (travels, bars, samples), and the bar's direction."""

    def poses(steering: Any, left: Any, right: Any) -> Any:
        import numpy as np

        from fitment.geometry.steering import wheels
        from fitment.geometry.suspension import FixedAxis

        bars = np.stack([np.where(share > 0, left, -right) * share for share in _LOCKS])
        travels = [
            0.0 if isinstance(corner.links, FixedAxis) else np.array([-solved.rebound, 0.0, solved.bump])[:, None, None]
            for corner in (steering.left, steering.right)
        ]
        return wheels(steering, bars, *travels), steering.rack.direction

    return formula(poses, solved.racked, *solved.model.stops)


def _tilt(index: int, place: int) -> Callable[..., Any]:
    """The largest angle of one joint over the grid; the outer stud is taken to stand along the steering axis."""

    def most(grid: Any, up: Any, _: Any) -> Any:
        import numpy as np

        from fitment.geometry.steering import inner_joint_angle, outer_joint_angle

        poses, along = grid
        angle = np.asarray(outer_joint_angle(poses[index], up) if place else inner_joint_angle(poses[index], along))
        return angle.max(axis=tuple(range(angle.ndim - 1)))

    return most


_GROUPS: tuple[Callable[[Solved], Iterator[tuple[str, Size]]], ...] = (
    _gearing,
    _locks,
    _bump,
    _axis,
    _rods,
    effort_sizes,
)
