"""What a reamer makes of an eye: cleaning up the old cone, seating a given stud, entering from the other face, wall.

Lengths in mm, tapers as the ratio C = (D - d)/L. Every argument is a float or a numpy array (any shapes that
broadcast), sizes positive. Geometry throughout, but for the Lame factor of a thick ring; no strength promise follows.
After any of it, seat, thread reserve and pin must be worked out anew (`cone_seat`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from fitment.elementwise import maximum, minimum
from fitment.joints.cone_seat import diameter_at, seat_shift

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: mm of diameter; an eye that is already the wanted one must not fail to clean up by the last digit
_ROUNDING = 1e-9

#: keeps the factor finite where no wall is left
_TINY = 1e-9


class ReamPlan(NamedTuple):
    """An eye reamed to one stud's own taper; mm.

    Attributes:
        large_new, small_new: diameters at the face from which the reamer enters and at the other.
        depth_extra: travel of the reamer beyond where it first touches the old cone.
        cleans_up: whether nothing of the old cone is left.
        margin_clean: `large_new` less the least that cleans up; below 0 a band of the old cone stays.
    """

    large_new: Values
    small_new: Values
    depth_extra: Values
    cleans_up: Any
    margin_clean: Values


class Walls(NamedTuple):
    """Wall round a cone at its large end and its small end, mm."""

    large_end: Values
    small_end: Values


def large_end_to_seat(Ds: Values, C: Values, stand_off: Values) -> Values:
    """Large end of an eye of the stud's own taper in which it stands off as wanted: Ds - C a."""
    return Ds - C * stand_off


def least_large_end(De_old: Values, Ce_old: Values, H: Values, C_new: Values) -> Values:
    """Smallest large end, reamed from the same face, that clears the old cone everywhere.

    D_old where the new taper is the flatter, d_old + C_new H where it is the steeper: the greater of the two.
    """
    least: Values = maximum(De_old, diameter_at(De_old, Ce_old, H) + C_new * H)
    return least


def turned_over(De: Values, Ce: Values, H: Values) -> tuple[Values, Values]:
    """The same eye seen from its other face: (diameter there, taper), the taper negative since it opens away.

    What it returns goes in for De_old and Ce_old wherever the eye is to be reamed from its small face.
    """
    return diameter_at(De, Ce, H), -Ce


def least_large_end_turned_over(De_old: Values, Ce_old: Values, H: Values, C_new: Values) -> Values:
    """Smallest large end that clears the old cone when the stud is to enter from the old small face.

    The new small end lies where the old large end was: D_old + C_new H.
    """
    large, taper = turned_over(De_old, Ce_old, H)
    return least_large_end(large, taper, H, C_new)


def ream_to_seat(Ds: Values, Cs: Values, De_old: Values, Ce_old: Values, H: Values, stand_off: Values) -> ReamPlan:
    """Ream an eye (De_old, Ce_old, thickness H) to the taper Cs of a stud so that it stands off by `stand_off`.

    Equal tapers result, so the new large end is Ds - Cs a. For reaming from the other face, give the eye as
    `turned_over` returns it; the stand-off then counts from that face.
    """
    large = large_end_to_seat(Ds, Cs, stand_off)
    small = diameter_at(large, Cs, H)
    # a steeper reamer first touches the old mouth, a flatter one the old small end
    first_touch = minimum(De_old, diameter_at(De_old, Ce_old, H) + Cs * H)
    margin = large - least_large_end(De_old, Ce_old, H, Cs)
    return ReamPlan(
        large_new=large,
        small_new=small,
        depth_extra=seat_shift(large - first_touch, Cs),
        cleans_up=margin >= -_ROUNDING,
        margin_clean=margin,
    )


def walls(outside: Values, large: Values, taper: Values, length: Values) -> Walls:
    """Wall between a cone and a round outside, at both ends: (Do - D)/2 and (Do - d)/2.

    For an eye `outside` is the least diameter of its boss and `length` the thickness; for a straight taper bush they
    are its outside diameter and its length. A wall at the large end of at least half the large end is common
    practice, no source; 1.5-2 mm at the thinnest of a bush likewise.
    """
    return Walls((outside - large) / 2, (outside - diameter_at(large, taper, length)) / 2)


def bore_ratio(bore: Values, outside: Values) -> Values:
    """Q = d/Do, bore over outside diameter of a ring."""
    return bore / outside


def hoop_factor(Q: Values) -> Values:
    """Hoop stress at the bore of a thick ring over the pressure in it: (1 + Q^2)/(1 - Q^2), Q = d/Do.

    Lame, thick cylinder under internal pressure. It turns sharply upwards past Q = 0.6; beyond all measure from 1.
    """
    square = Q * Q
    factor: Values = (1 + square) / maximum(1 - square, _TINY)
    return factor
