"""A taper and its uncertainty from what was read: gauge balls in a cone; and how far apart two planes must lie.

Errors of the readings are independent; they carry over by the law of propagation (JCGM 100, clause 5.1.2).
"""

from __future__ import annotations

import math

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.identify.cones import U_MAKE
from fitment.identify.likelihood import Reading


@dataclass(frozen=True)
class Bore:
    """A tapered bore from two gauge balls: ratio (D - d)/L, and diameter at the large face in mm, each with u."""

    ratio: Reading
    large: Reading


def bore_from_balls(smaller: Reading, depth_smaller: Reading, larger: Reading, depth_larger: Reading) -> Bore:
    """A tapered bore from two balls that jam in it.

    The centres lie (R2 - R1)/sin h apart along the axis, with h the half angle; a ball of radius R whose centre is
    z below the large face touches a cone of diameter 2 (R/cos h + z tan h) there. Geometry.

    Args:
        smaller, larger: diameters of the balls, mm.
        depth_smaller, depth_larger: from the large face to the top of each ball, mm; less than zero where it stands
            proud.

    Raises:
        DataFault: balls of one size, or the smaller one not deep enough for a cone.
    """
    values = [smaller, depth_smaller, larger, depth_larger]
    if not smaller[0] < larger[0]:
        raise DataFault(
            f"two balls of {smaller[0]:g} and {larger[0]:g} mm give no taper",
            mending="give the smaller ball first, the larger second",
            code="bench-07",
        )
    ratio, large = _bore(*(value for value, _ in values))
    if not (0 < ratio < 2 * math.tan(math.radians(30))):
        raise DataFault(
            "the smaller ball does not lie as deep as in a taper",
            mending="look whether the depths are swapped; both are from the large face to the top of the ball",
            code="bench-08",
        )
    squares = [0.0, 0.0]
    for index, (value, u) in enumerate(values):
        moved = [reading[0] for reading in values]
        moved[index] = value + u / 100
        shifted = _bore(*moved)
        squares[0] += (100 * (shifted[0] - ratio)) ** 2
        squares[1] += (100 * (shifted[1] - large)) ** 2
    return Bore((ratio, math.sqrt(squares[0])), (large, math.sqrt(squares[1])))


def _bore(smaller: float, depth_smaller: float, larger: float, depth_larger: float) -> tuple[float, float]:
    """Ratio and diameter at the large face; a ratio of infinity where no cone holds both balls."""
    apart = (depth_smaller + smaller / 2) - (depth_larger + larger / 2)
    sine = (larger - smaller) / 2 / apart if apart > 0 else math.inf
    if sine >= 1:
        return math.inf, math.nan
    half = math.asin(sine)
    return 2 * math.tan(half), 2 * (larger / 2 / math.cos(half) + (depth_larger + larger / 2) * math.tan(half))


def length_to_tell(first: float, second: float, u_diameter: float) -> float | None:
    """How far apart two planes must lie, mm, for two diameters to exclude one of two ratios, whichever it is.

    The difference is then four standard uncertainties, so that what lies within two of the one does not lie within two
    of the other. None where no length does, as the making of cones alone (`U_MAKE`) leaves more.

    Args:
        first, second: the ratios.
        u_diameter: standard uncertainty of each diameter, mm.
    """
    room = (abs(first - second) / 4) ** 2 - U_MAKE**2
    return math.sqrt(2) * u_diameter / math.sqrt(room) if room > 0 else None
