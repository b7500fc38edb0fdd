"""Where a steering wheel can come to stand with the rack centred, and what the tie rods would have to do for the rest.

Source: closed forms; a brute force over all positions agrees with the finest step.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fitment.elementwise import Values


def finest_step(places: Iterable[int]) -> float:
    """Finest step (deg) of the steering wheel where every joint goes together in so many places: 360/lcm.

    Args:
        places: of each joint over the full circle: teeth, 2 for a double D, 1 where it goes on in one place only.
    """
    return 360 / math.lcm(*places)


def bar_for(angle: Values, speed: Values) -> Values:
    """Length (mm) by which one rod grows and the other shrinks to turn the wheel by an angle (deg).

    Args:
        angle: of the steering wheel.
        speed: travel of the bar per turn of the pinion, mm.
    """
    return speed * angle / 360
