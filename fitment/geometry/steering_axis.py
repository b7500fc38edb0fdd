"""What the steering axis is to its wheel: castor, inclination, scrub radius, trail, arms.

The axis is given by a point on it and a direction up it, of any length (`Upright.lower` and `Upright.space[0]`, or two
surveyed points). Lengths in mm, angles in degrees, `side` +1 left and -1 right; numbers or arrays.

Source: definitions in the sense of ISO 8855 (from memory).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.geometry.frames import Vector

if TYPE_CHECKING:
    from fitment.elementwise import Values


def castor(up: Vector) -> Values:
    """Castor angle (deg): + where the axis leans back at the top."""
    import numpy as np

    angle: Values = np.degrees(np.arctan2(-1 * up.x, up.z))
    return angle


def inclination(up: Vector, side: int) -> Values:
    """Steering-axis inclination (deg): + where the axis leans in at the top."""
    import numpy as np

    angle: Values = np.degrees(np.arctan2(-side * up.y, up.z))
    return angle


def ground_point(lower: Vector, up: Vector, height: Values) -> Vector:
    """Where the axis meets the level plane at this height (mm), which is that of the tyre's contact centre."""
    return lower + up * ((height - lower.z) / up.z)


def scrub_radius(ground: Vector, contact: Vector, side: int) -> Values:
    """Scrub radius (mm): + where the axis meets the ground inboard of the contact centre."""
    return side * (contact.y - ground.y)


def trail(ground: Vector, contact: Vector) -> Values:
    """Trail at the ground (mm): + where the axis meets the ground ahead of the contact centre."""
    return ground.x - contact.x


def arm_radius(lower: Vector, up: Vector, eye: Vector) -> Values:
    """Length of the steering arm (mm): from its eye square to the axis."""
    return up.unit().cross(eye - lower).length()


def moment_arm(lower: Vector, up: Vector, eye: Vector, inner: Vector) -> Values:
    """Arm on which the tie rod pulls about the axis (mm): never above `arm_radius`, 0 at dead centre."""
    import numpy as np

    arm: Values = np.abs(up.unit().dot((eye - lower).cross((eye - inner).unit())))
    return arm
