"""Where a tapered stud stops in a tapered eye, what that leaves for nut and pin, and how far it is then pulled in.

Lengths in mm, tapers as the ratio C = (D - d)/L, forces in N, stresses in MPa, torques in N·m. Every argument is a
float or a numpy array (any shapes that broadcast); results have the broadcast shape. Sizes are taken as positive:
the reader of the values checks that, not these formulas. None of them raises for a number, and none gives nan: what
has no answer comes out as not seated, or as a figure far past every limit.

The stud lies along x: gauge plane (large end of the cone, diameter Ds) at x = 0, cone end at Ls, first full thread
at xt, split-pin hole centre at xp, end at xe. The eye lies along y: large face (De) at 0, small face at H. Seated,
stud plane x lies at eye plane y = x - a; a is the stand-off, how far the gauge plane stands proud of the large face.

Formulas: geometry of two cones at first touch, and the Lame thick-wall equations as machine-design texts give them
(Shigley, press fits; edition and page from memory). None of them says that a part is strong enough.
"""

from __future__ import annotations

import math
from enum import IntEnum
from typing import TYPE_CHECKING, Any, NamedTuple

from fitment.elementwise import is_array, maximum, minimum, sqrt, where

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: steel, MPa (handbook habit)
STEEL = 210_000.0

#: least and greatest gap between joint socket and arm, mm: US passenger-car factory shop manual 1942-47, steering
#: section, p. 308 (3/32 and 1/4 in; handbook). One car: a pattern, not a law.
SOCKET_GAP = (2.38125, 6.35)

#: keeps a division finite where a taper, a wall or a contact has vanished
_TINY = 1e-9


class Ring(IntEnum):
    """Where rigid cones touch first; `Ring(int(code)).words` says it."""

    NONE = 0
    WHOLE = 1
    LARGE_FACE = 2
    STUD_LARGE_EDGE = 3
    SMALL_FACE = 4
    STUD_SMALL_EDGE = 5

    @property
    def words(self) -> str:
        """The place in words."""
        return (
            "nowhere",
            "the whole overlap",
            "a ring at the large face of the eye",
            "the large edge of the stud's cone, inside the eye",
            "a ring at the small face of the eye",
            "the small edge of the stud's cone, inside the eye",
        )[self]


class Seat(NamedTuple):
    """Where a stud stops in an eye; lengths in mm.

    Attributes:
        stand_off: a, gauge plane proud of the large face; negative is sunk. Meaningless where not seated.
        seated: whether the cones overlap at all where they would touch.
        overlap_start, overlap_end: eye planes y between which the cones face one another.
        overlap: its length, 0 where not seated. Equal tapers touch over all of it; unequal ones only at a ring,
            for which see `elastic_contact_length`.
        gap_large, gap_small: radial gap at its large and its small end; one of the two is 0.
        ring: code of `Ring`.
        ring_depth: eye plane y of the ring (equal tapers: the start of the overlap).
    """

    stand_off: Values
    seated: Any
    overlap_start: Values
    overlap_end: Values
    overlap: Values
    gap_large: Values
    gap_small: Values
    ring: Any
    ring_depth: Values

    @property
    def gap_far(self) -> Values:
        """Radial gap at the end of the overlap away from the ring; 0 for equal tapers."""
        gap: Values = maximum(self.gap_large, self.gap_small)
        return gap


def diameter_at(large: Values, taper: Values, depth: Values) -> Values:
    """Diameter of a cone at `depth` from its large end."""
    return large - taper * depth


def seat(Ds: Values, Cs: Values, Ls: Values, De: Values, Ce: Values, H: Values) -> Seat:
    """Where a stud (large end Ds, taper Cs, cone length Ls) stops in an eye (large end De, taper Ce, thickness H).

    Rigid bodies, coaxial, first touch. The gap is linear along the overlap, so the touch is at an end of it; the gap
    at each end only grows with the stand-off, so the stud stops at the greater of the two stand-offs at which one
    end closes. That one rule covers equal and unequal tapers and is continuous between them, with a kink at Cs = Ce.
    The stud's taper is above 0; an eye that is straight or opens the other way (Ce <= 0) is ridden at its large face
    or fallen through.
    """
    stud_taper, eye_taper = maximum(Cs, _TINY), maximum(Ce, _TINY)
    large_excess = Ds - De
    small_excess = diameter_at(Ds, Cs, Ls) - diameter_at(De, Ce, H)
    # the smaller diameter's edge rides on the other part's flank, so that flank's taper turns diameter into travel
    large_closes = large_excess / where(large_excess >= 0, stud_taper, eye_taper)
    small_closes = Ls - H + small_excess / where(small_excess >= 0, eye_taper, stud_taper)
    a = maximum(large_closes, small_closes)
    start, end = maximum(0.0, -a), minimum(H, Ls - a)
    seated = end > start
    overlap = where(seated, end - start, 0.0)
    difference = Cs - Ce
    gap = _magnitude(difference) * overlap / 2
    ring = where(
        difference == 0,
        Ring.WHOLE,
        where(
            difference > 0,
            where(a >= 0, Ring.LARGE_FACE, Ring.STUD_LARGE_EDGE),
            where(Ls - a >= H, Ring.SMALL_FACE, Ring.STUD_SMALL_EDGE),
        ),
    )
    return Seat(
        stand_off=a,
        seated=seated,
        overlap_start=start,
        overlap_end=end,
        overlap=overlap,
        gap_large=where(difference < 0, gap, 0.0),
        gap_small=where(difference > 0, gap, 0.0),
        ring=where(seated, ring, Ring.NONE),
        ring_depth=where(difference < 0, end, start),
    )


def least_clearance(Ds: Values, Cs: Values, Ls: Values, De: Values, Ce: Values, H: Values, stand_off: Values) -> Values:
    """Least radial gap between the cones when the stud is held at `stand_off` (negative: they would interfere).

    Asks for an overlap: -H < stand_off < Ls. Its use is the stud that something else stops, such as a flange.
    """
    start, end = maximum(0.0, -stand_off), minimum(H, Ls - stand_off)
    at_start = diameter_at(De, Ce, start) - diameter_at(Ds, Cs, start + stand_off)
    at_end = diameter_at(De, Ce, end) - diameter_at(Ds, Cs, end + stand_off)
    least: Values = minimum(at_start, at_end) / 2
    return least


def flange_lands_first(Df: Values, De: Values, stand_off: Values) -> Any:
    """Whether a flange of diameter Df at the gauge plane meets the large face before the cones touch.

    The stand-off is then really 0 and the cone loose by `least_clearance` at stand-off 0: a reject.
    """
    return (Df > De) & (stand_off < 0)


def rock_half_angle(Cs: Values, Ce: Values) -> Values:
    """Half-angle in degrees through which a stud that touches at one ring can rock: atan(gap / overlap).

    The gap grows by |Cs - Ce|/2 per unit of overlap, so the overlap drops out. A plane, first-order estimate: tilt
    only, no lift.
    """
    slope = _magnitude(Cs - Ce) / 2
    if is_array(slope):
        import numpy as np

        angle: Values = np.degrees(np.arctan(slope))
        return angle
    return math.degrees(math.atan(slope))


def contact_fractions(overlap: Values, H: Values, Ls: Values) -> tuple[Values, Values]:
    """The overlap as a fraction of the eye's thickness and of the stud's cone: a small one of either is as bad."""
    return overlap / H, overlap / Ls


def seat_shift(diameter_change: Values, taper: Values) -> Values:
    """Axial travel that a change of diameter makes: of the seat, or of a reamer that goes deeper. dD/C."""
    return diameter_change / taper


def taper_protrusion(Ls: Values, H: Values, stand_off: Values) -> Values:
    """Length of cone past the small face; above 0 the nut may land on the cone instead of on the arm."""
    return Ls - H - stand_off


def thread_clearance(eye_small_end: Values, thread_major: Values) -> Values:
    """Diametral room for the thread through the small end of the eye; it passes only above 0."""
    return eye_small_end - thread_major


def nut_seat(H: Values, stand_off: Values, washer: Values) -> Values:
    """Stud plane x on which the nut bears, with a washer or spacer of thickness `washer` under it.

    For the nut after tightening, give the stand-off less the draw-up.
    """
    return H + stand_off + washer


def thread_reserve(nut_plane: Values, xt: Values) -> Values:
    """Full thread left under the nut; below 0 the nut jams on the run-out before the cone pulls up.

    At least one pitch, after the draw-up, is common practice, no source.
    """
    return nut_plane - xt


def stud_past_nut(nut_plane: Values, xe: Values, m: Values) -> Values:
    """How far the stud's end stands past a nut of height m."""
    return xe - nut_plane - m


def pin_hole_height(nut_plane: Values, xp: Values) -> Values:
    """Height hp of the split-pin hole's centre above the nut's seat."""
    return xp - nut_plane


def pin_low_margin(hp: Values, dp: Values, ws: Values) -> Values:
    """Room between the pin (diameter dp) and the base of the slot (height ws); below 0 the pin does not go in."""
    return hp - dp / 2 - ws


def pin_high_margin(hp: Values, dp: Values, m: Values) -> Values:
    """Room between the pin and the top of the nut (height m); below 0 the pin stands out of the slot."""
    return m - hp - dp / 2


def slot_step(pitch: Values) -> Values:
    """Axial travel of a castle nut from one of its six slots to the next: P/6."""
    return pitch / 6


def socket_gap(stand_off: Values, gauge_plane_to_socket: Values) -> Values:
    """Gap between joint socket and arm: the stand-off and the stud's length from gauge plane to socket face."""
    return stand_off + gauge_plane_to_socket


def elastic_limit(d: Values, yield_mpa: Values, Q: Values, E: float = STEEL) -> Values:
    """Diametral interference at which the eye's bore just reaches `yield_mpa`: 2 d sy / (E sqrt(3 + Q^4)).

    Solid stud and plain ring of one material (modulus E, MPa), Q = d/Do, plane stress, von Mises; d is the diameter
    at the ring of contact. It bounds the give that may be counted on, and promises no strength.
    """
    return 2 * d * yield_mpa / (E * _von_mises_root(Q))


def elastic_contact_length(interference: Values, taper_difference: Values, available: Values) -> Values:
    """Length of contact that unequal tapers recover when pulled in: interference/|dC|, at most `available`.

    `interference` is the diametral one at the ring (at most `elastic_limit`), `available` the overlap. Slices along
    the axis are taken as independent: good for a go or no-go on contact, no more.
    """
    difference = _magnitude(taper_difference)
    pressed = maximum(interference, 0.0)
    length: Values = where(pressed >= difference * available, available, pressed / maximum(difference, _TINY))
    return length


def self_holding_friction(taper: Values) -> Values:
    """Coefficient of friction above which a cone holds by itself: tan of the half-angle, C/2."""
    return taper / 2


def clamp_force(torque: Values, nut_factor: Values, thread_diameter: Values) -> Values:
    """Force in N from a nut torque in N·m: T/(K D). K is about 0.2 dry (handbook habit, wide scatter)."""
    return 1000 * torque / (nut_factor * thread_diameter)


class DrawUp(NamedTuple):
    """A pair of equal cones pulled together.

    Attributes:
        pressure: between the cones, MPa.
        interference: diametral, mm.
        draw_up: axial travel after first touch, mm; the stand-off falls by it.
        release_force: N, to press the stud out; below 0 it lets go by itself.
        torque_held: N·m about the stud's axis before it spins.
        von_mises: equivalent stress at the eye's bore, MPa.
    """

    pressure: Values
    interference: Values
    draw_up: Values
    release_force: Values
    torque_held: Values
    von_mises: Values


def draw_up(
    force: Values, taper: Values, d: Values, length: Values, Do: Values, friction: Values, E: float = STEEL
) -> DrawUp:
    """How far `force` (N) pulls a stud in, for equal tapers touching over `length` at mean diameter `d`.

    Solid stud in a plain ring of outside diameter Do, one material (modulus E, MPa), even pressure, friction fully
    used on the way in. A real arm is no plain ring, and the mean diameter understates the torque held by 0.1-0.2 %:
    use it to see whether thread is left after tightening. It promises no strength. Where Do has shrunk to d or less
    the draw-up is beyond all measure, and where `length` is 0 the pressure is.
    """
    tan_h = taper / 2
    area = math.pi * d * maximum(length, _TINY)
    pressure = force / (area * (tan_h + friction))
    interference = interference_of(pressure, d, d / Do, E)
    # cos h = 1/sqrt(1 + tan^2 h)
    held: Values = friction * pressure * area * d / 2 * sqrt(1 + tan_h * tan_h) / 1000
    return DrawUp(
        pressure=pressure,
        interference=interference,
        draw_up=seat_shift(interference, taper),
        release_force=area * pressure * (friction - tan_h),
        torque_held=held,
        von_mises=bore_von_mises(interference, d, d / Do, E),
    )


def pressure_of(interference: Values, d: Values, Q: Values, E: float = STEEL) -> Values:
    """Pressure in MPa of a solid stud in a ring with diametral `interference`: E i (1 - Q^2)/(2 d), Q = d/Do."""
    return E * interference * (1 - Q * Q) / (2 * d)


def interference_of(pressure: Values, d: Values, Q: Values, E: float = STEEL) -> Values:
    """Diametral interference that `pressure` makes: `pressure_of` turned round."""
    interference: Values = 2 * d * pressure / (E * maximum(1 - Q * Q, _TINY))
    return interference


def bore_von_mises(interference: Values, d: Values, Q: Values, E: float = STEEL) -> Values:
    """Von Mises stress in MPa at the bore (plane stress): E i sqrt(3 + Q^4)/(2 d)."""
    return E * interference * _von_mises_root(Q) / (2 * d)


def _von_mises_root(Q: Values) -> Values:
    # products, not powers: numpy's power and Python's may differ in the last digit
    square = Q * Q
    root: Values = sqrt(3 + square * square)
    return root


def _magnitude(difference: Values) -> Values:
    size: Values = maximum(difference, -difference)
    return size
