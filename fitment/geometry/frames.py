"""Vectors of the car, turning about a line, and where a circle meets a sphere.

A vector holds its three coordinates apart, so that every coordinate may be a number or an array of any shape that
broadcasts with the others: design points of shape (samples,), travel of shape (bumps, 1, 1), bar of shape (bars, 1).
All lengths in mm, all angles in radians here.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from fitment.elementwise import sqrt
from fitment.frozen import dataclass

if TYPE_CHECKING:
    from fitment.elementwise import Values
    from fitment.geometry.operations import Operations


@dataclass(frozen=True, slots=True)
class Vector:
    """A point (mm) or a direction in the car's axes: x forward, y to the car's left, z up (the sense of ISO 8855)."""

    x: Values
    y: Values
    z: Values

    #: numpy leaves `array * vector` to the vector
    __array_ufunc__: ClassVar[None] = None

    def __add__(self, other: Vector) -> Vector:
        return Vector(self.x + other.x, self.y + other.y, self.z + other.z)

    def __sub__(self, other: Vector) -> Vector:
        return Vector(self.x - other.x, self.y - other.y, self.z - other.z)

    def __mul__(self, factor: Values) -> Vector:
        return Vector(self.x * factor, self.y * factor, self.z * factor)

    __rmul__ = __mul__

    def __truediv__(self, divisor: Values) -> Vector:
        return Vector(self.x / divisor, self.y / divisor, self.z / divisor)

    def dot(self, other: Vector) -> Values:
        """Scalar product."""
        return self.x * other.x + self.y * other.y + self.z * other.z

    def cross(self, other: Vector) -> Vector:
        """Vector product, right-handed."""
        return Vector(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )

    def length(self) -> Values:
        """Length, never negative."""
        import numpy as np

        length: Values = np.sqrt(self.dot(self))
        return length

    def unit(self) -> Vector:
        """The same direction with length 1; NaN where there is no direction."""
        import numpy as np

        length = np.asarray(self.length())
        return self / np.where(length > 0, length, np.nan)


def vector(coordinates: Iterable[Any]) -> Vector:
    """The vector of three coordinates, or of an array of shape (3, ...)."""
    x, y, z = coordinates
    return Vector(x, y, z)


@dataclass(frozen=True, slots=True)
class Circle:
    """The path of a point that turns about a line: centre on the line, unit axis, radius in mm."""

    centre: Vector
    axis: Vector
    radius: Values


def circle_of(point: Vector, on_axis: Vector, axis: Vector) -> Circle:
    """The circle on which a point turns about the line through `on_axis` along the unit vector `axis`."""
    centre = on_axis + axis * axis.dot(point - on_axis)
    return Circle(centre, axis, (point - centre).length())


def closed(cosine: Any, square: Any, ops: Operations) -> tuple[Any, Any, Any]:
    """Where a circle meets a sphere: the point's parts along and across, and how near it is to dead centre.

    With d from the circle's centre to the sphere's, D its part in the circle's plane and D' = axis x D, the point is
    the centre + r (along D + across D'), r the circle's radius. It stands at the angle q from D, where
    cos q = (r² + d² - distance²) / (2 r |D|): cos² q is 1 at dead centre, where the two branches meet, and above 1
    where the circle does not reach; the parts are NaN there.

    Source: law of cosines; the same equation as "A cos p + B sin p = C", where it is (C/hypot(A, B))².

    Args:
        cosine: |D| cos q = (r² + d² - distance²) / (2 r), mm.
        square: |D|², mm².

    Returns:
        along, across, cos² q. `across` is that of one branch; the other, on the other side of the plane through axis
        and D, has it with a minus. The branch of the design pose is the one that a linkage can stay on without passing
        through a dead centre.
    """
    inverse = ops.inverse(square)
    along = cosine * inverse
    across = ops.sqrt(square - cosine * cosine) * inverse
    return along, across, along * cosine


def margin_of(cos_square: Values) -> Values:
    """The margin to dead centre, 1 - |cos q|: 0 at dead centre, negative where the circle does not reach the sphere."""
    margin: Values = 1 - sqrt(cos_square)
    return margin
