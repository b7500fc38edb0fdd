"""Angles of a wheel from its spin axis, and where its tyre meets the ground.

`side` is +1 for the left wheel and -1 for the right one. Angles in degrees. The spin axis points outboard.
Signs follow the sense of ISO 8855 (from memory): steer + to the left; toe + where toed in; camber + where the top leans
outboard. Camber is the inclination of the wheel plane to the vertical; seen from the front it differs on lock.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from fitment.geometry.frames import Vector

if TYPE_CHECKING:
    from fitment.elementwise import Values

LEFT, RIGHT = 1, -1


def spin_axis(toe: Values, camber: Values, side: int) -> Vector:
    """Unit vector along the spin axis, outboard, of a wheel with this toe-in and camber (deg)."""
    import numpy as np

    t, c = np.radians(toe), np.radians(camber)
    return Vector(np.sin(t) * np.cos(c), side * np.cos(t) * np.cos(c), -np.sin(c))


def toe_in(spin: Vector, side: int) -> Values:
    """Toe-in of one wheel (deg): + where the front of the rim is nearer the middle of the car."""
    import numpy as np

    toe: Values = np.degrees(np.arctan2(spin.x, side * spin.y))
    return toe


def steer_angle(spin: Vector, side: int) -> Values:
    """Steer angle about the vertical (deg): + to the left, for both wheels."""
    return -side * toe_in(spin, side)


def camber(spin: Vector) -> Values:
    """Camber as inclination of the wheel plane (deg): + where the top leans outboard."""
    import numpy as np

    angle: Values = np.degrees(np.arcsin(-spin.z))
    return angle


def camber_front_view(spin: Vector, side: int) -> Values:
    """Camber as it looks from straight ahead (deg); equal to `camber` only while the wheel is straight."""
    import numpy as np

    angle: Values = np.degrees(np.arctan2(-spin.z, side * spin.y))
    return angle


def toe_rate(spin: Vector, turning: Vector, side: int) -> Values:
    """Rate of toe-in (deg per unit) of a spin axis that turns with this angular velocity (rad per unit)."""
    moves = turning.cross(spin)
    rate = side * (moves.x * spin.y - spin.x * moves.y) / (spin.x**2 + spin.y**2)
    return rate * (180 / math.pi)


def camber_rate(spin: Vector, turning: Vector) -> Values:
    """Rate of camber (deg per unit) of a spin axis that turns with this angular velocity (rad per unit)."""
    import numpy as np

    rate: Values = -turning.cross(spin).z / np.sqrt(spin.x**2 + spin.y**2) * (180 / math.pi)
    return rate


def contact_centre(wheel_centre: Vector, spin: Vector, loaded_radius: Values) -> Vector:
    """Centre of tyre contact (mm): the loaded radius below the wheel centre, in the wheel's own plane."""
    down = Vector(spin.z * spin.x, spin.z * spin.y, spin.z**2 - 1)
    return wheel_centre + down.unit() * loaded_radius
