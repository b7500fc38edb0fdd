"""Lock, Ackermann and turning circle. Angles in degrees, lengths in mm; numbers or arrays.

`inner` and `outer` are the steer angles, without sign, of the wheel on the inside and on the outside of the turn. The
wheelbase counts from the rear axle's line.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: mm of radius taken off per degree that the outer wheel turns farther than the ideal
#: (formula of an automotive handbook as reproduced on an engineering reference page, second hand)
HANDBOOK_MM_PER_DEGREE = 50.0


def inner_and_outer(steer_left: Values, steer_right: Values) -> tuple[Values, Values]:
    """The inner and the outer angle of a turn from both steer angles, + to the left; the sense is that of their sum."""
    import numpy as np

    to_left = np.asarray(steer_left + steer_right) >= 0
    inner = np.where(to_left, steer_left, -1 * np.asarray(steer_right))
    outer = np.where(to_left, steer_right, -1 * np.asarray(steer_left))
    return inner[()], outer[()]


def ideal_outer(inner: Values, wheelbase: Values, kingpin_track: Values) -> Values:
    """Outer angle (deg) with which both wheels' normals meet on the rear axle's line: cot o = cot i + track/wheelbase.

    Args:
        inner: deg, above 0.
        wheelbase: mm.
        kingpin_track: distance of the two steering axes at the ground, mm.
    """
    import numpy as np

    tan = np.tan(np.radians(inner))
    outer: Values = np.degrees(np.arctan2(tan, 1 + tan * kingpin_track / wheelbase))
    return outer


def ackermann_error(inner: Values, outer: Values, wheelbase: Values, kingpin_track: Values) -> Values:
    """Outer angle less the ideal one (deg): + where the outer wheel turns too far."""
    return outer - ideal_outer(inner, wheelbase, kingpin_track)


def ackermann_percent(inner: Values, outer: Values, wheelbase: Values, kingpin_track: Values) -> Values:
    """Difference of the two angles as a share (%) of the ideal difference: 100 ideal, 0 parallel, minus: outer more.

    Static toe counts in both angles and rules this number near zero lock: print it for real lock only.
    Other definitions of the percentage are in use and give other numbers.
    """
    return 100 * (inner - outer) / (inner - ideal_outer(inner, wheelbase, kingpin_track))


def turning_radius(ahead: Values, outer: Values, offset: Values = 0.0) -> Values:
    """Radius of the outer wheel's contact centre (mm), the turn's centre on the rear axle's line: ahead/sin + offset.

    Args:
        ahead: of the rear axle's line: the contact centre where the wheel really stands, or the wheelbase.
        outer: deg, above 0.
        offset: scrub radius where `ahead` is the wheelbase, which leaves out the trail; else 0.
    """
    import numpy as np

    radius: Values = ahead / np.sin(np.radians(outer)) + offset
    return radius


def handbook_radius(
    inner: Values, outer: Values, wheelbase: Values, kingpin_track: Values, scrub_radius: Values
) -> Values:
    """Handbook's estimate of the same radius (mm): that of the ideal outer angle, less 50 mm per degree beyond it.

    Source: formula of an automotive handbook as reproduced on an engineering reference page, second hand.
    """
    ideal = ideal_outer(inner, wheelbase, kingpin_track)
    return turning_radius(wheelbase, ideal, scrub_radius) - HANDBOOK_MM_PER_DEGREE * (outer - ideal)


def kerb_to_kerb(radius: Values, tyre_width: Values) -> Values:
    """Turning circle (mm, across) over the outer edge of the tyre (common practice, no source)."""
    return 2 * radius + tyre_width


def wall_to_wall(radius: Values, overhang: Values) -> Values:
    """Turning circle (mm, across) over the body (common practice, no source).

    Args:
        radius: of the outer wheel's contact centre.
        overhang: of the body's outermost corner, radially beyond that contact centre.
    """
    return 2 * (radius + overhang)
