"""A rack anywhere in space: where its inner ball centres are for a position of the bar, and where the bar stops.

`bar` is always the bar's displacement from where it stands with the wheels straight, + to the car's left, in mm. Two
different things are called an off-centre rack: a housing that sits to one side of the car (its `origin`), which leaves
both locks nearly alike; and a bar that does not stand in the middle of its housing when the wheels are straight
(`bar_offset`), which makes one lock longer than the other.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from fitment.frozen import dataclass
from fitment.geometry.frames import Vector

if TYPE_CHECKING:
    from fitment.elementwise import Values


@dataclass(frozen=True, slots=True)
class Rack:
    """A rack as it sits in the car.

    Args:
        origin: midway between the inner ball centres with the bar in the middle of its travel.
        direction: unit vector along the bar, towards the car's left.
        spacing: inner ball centre to inner ball centre, mm.
        bar_offset: where the bar stands in its housing with the wheels straight, mm, + to the left of mid-travel.
    """

    origin: Vector
    direction: Vector
    spacing: Values
    bar_offset: Values = 0.0

    def inner_ball(self, side: int, bar: Values) -> Vector:
        """The inner ball centre on one side (+1 left, -1 right) with the bar displaced."""
        return self.origin + self.direction * (side * self.spacing / 2 + self.bar_offset + bar)

    def stops(self, travel_left: Values, travel_right: Values) -> tuple[Values, Values]:
        """Displacement of the bar at its left and its right stop, mm, the right one negative.

        Args:
            travel_left: travel of the bar in its housing from the middle to the left stop, mm.
            travel_right: and to the right stop, mm.
        """
        return travel_left - self.bar_offset, -1 * travel_right - self.bar_offset

    def moved(self, forward: Values = 0.0, left: Values = 0.0, up: Values = 0.0) -> Rack:
        """The rack with its housing moved, mm; the bar stays where it is in the housing."""
        return replace(self, origin=self.origin + Vector(forward, left, up))


def rack_between(left: Vector, right: Vector) -> Rack:
    """The rack whose inner ball centres are these with the bar in the middle of its travel and the wheels straight."""
    apart = left - right
    return Rack((left + right) * 0.5, apart.unit(), apart.length())


def bar_direction(tilt: Values, skew: Values) -> Vector:
    """Direction of a bar that does not lie square across the car.

    Args:
        tilt: deg, + where its left end is higher.
        skew: deg, + where its left end is farther forward, seen from above.
    """
    import numpy as np

    t, s = np.radians(tilt), np.radians(skew)
    return Vector(np.sin(s) * np.cos(t), np.cos(s) * np.cos(t), np.sin(t))
