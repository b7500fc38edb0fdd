"""Does the rack steer the right way? Which way its bar moves, and what turning the rack round does to that.

Car axes: x forward, y to the car's left, z up. Derived from the right-hand rule; a bench test confirms it: hold the
rack as it will sit, look along the pinion shaft as the driver would, turn it clockwise, note the bar.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.errors import DataFault, nearest
from fitment.geometry.frames import Vector

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from fitment.elementwise import Values

    Flags = NDArray[np.bool_]

#: direction of the pinion shaft, from driver to pinion, by where it comes in from
SHAFT = {
    "from behind": Vector(1.0, 0.0, 0.0),
    "from above": Vector(0.0, 0.0, -1.0),
    "from in front": Vector(-1.0, 0.0, 0.0),
    "from below": Vector(0.0, 0.0, 1.0),
}

#: direction from the pinion's axis to the bar, by where the bar lies
BAR = {
    "above": Vector(0.0, 0.0, 1.0),
    "below": Vector(0.0, 0.0, -1.0),
    "ahead": Vector(1.0, 0.0, 0.0),
    "behind": Vector(-1.0, 0.0, 0.0),
}

#: signs of x, y, z after half a turn of the rack about an axis of the car
HALF_TURNS = {"longitudinal": (1, -1, -1), "lateral": (-1, 1, -1), "vertical": (-1, -1, 1)}


def bar_moves(shaft: Vector, to_bar: Vector) -> Values:
    """m = s_z r_x - s_x r_z: + where a turn to the right moves the bar to the car's left; 0 decides nothing.

    Args:
        shaft: direction s of the pinion shaft, from driver to pinion.
        to_bar: r from the pinion's axis to the bar's pitch line.
    """
    return shaft.z * to_bar.x - shaft.x * to_bar.z


def steers_right_way(moves: Values, steer_per_bar: Values) -> bool | Flags:
    """Whether a turn to the right steers right: the bar moves the way that the arms ask for; no where m is 0.

    Args:
        moves: m of `bar_moves`.
        steer_per_bar: rate of the wheels, + to the left, per mm of the bar to the left: + with the arms ahead of the
            steering axis, - with them behind (`slopes.steer_per_bar`; its sign is enough).
    """
    return moves * steer_per_bar < 0


def half_turned(direction: Vector, about: str) -> Vector:
    """A direction of the rack after half a turn about the car's `longitudinal`, `lateral` or `vertical` axis.

    Raises:
        DataFault: for another axis.
    """
    if about not in HALF_TURNS:
        raise DataFault(f'no axis "{about}"', mending=nearest(about, HALF_TURNS), code="geometry-03")
    x, y, z = HALF_TURNS[about]
    return Vector(x * direction.x, y * direction.y, z * direction.z)
