"""What happens when one thread is screwed into another: how many turns, how deep the flanks hold, what one notices.

Lengths in mm. The formula is the usual one of gauge practice (FED-STD-H28, BS 919; from memory, derived again): over N
turns a pitch difference dP shifts the flanks by N |dP|, and they have C tan(alpha) of axial play, C being the clearance
of the pitch diameters and alpha the half angle of the thread.
"""

from __future__ import annotations

from math import inf, radians, tan
from typing import TYPE_CHECKING

from fitment.elementwise import maximum, where
from fitment.frozen import dataclass
from fitment.standards.thread_limits import ExternalLimits, InternalLimits, external_limits, internal_limits
from fitment.standards.threads import SAME, Thread, same_thread

if TYPE_CHECKING:
    from fitment.elementwise import Values

SAME_THREAD = "same"
HOME_BUT_WEAK = "home but weak"
BINDS = "binds"
DOES_NOT_START = "does not start"


@dataclass(frozen=True)
class NearMatch:
    """One thread in another. The order counts: the smaller male in the larger female goes home, the other way it binds.

    Attributes:
        turns_min, turns_max: turns until the flanks bind, tightest and loosest parts; inf where the pitches are equal;
            0 where the pitch diameters already interfere.
        overlap_min, overlap_max: radial overlap of the crests, mm; negative where they miss one another.
        turns_engaged: turns that the engagement asks for.
        lead_error: how far the pitches have drifted apart over the engagement, mm.
        outcome: "same"; "home but weak" (screws fully home on a part of its depth, and nobody feels anything wrong);
            "binds" (starts by hand, then is forced); "does not start" (less than one turn, or no contact at all).
    """

    turns_min: float
    turns_max: float
    overlap_min: float
    overlap_max: float
    turns_engaged: float
    lead_error: float
    outcome: str


def turns_to_bind(clearance: Values, pitch_difference: Values, half_angle: float) -> Values:
    """Turns until the flanks bind: N = C tan(alpha) / |dP|; 0 without clearance, inf without pitch difference.

    It counts the first and last partial ridge as whole; laid out flank by flank the count differs by up to half a turn.
    Source: FED-STD-H28, BS 919 (from memory).

    Args:
        clearance: pitch diameter of the female less that of the male, mm; negative where they interfere.
        pitch_difference: mm, of either sign.
        half_angle: half of the thread angle, degrees.
    """
    drift = maximum(pitch_difference, -pitch_difference)
    equal = drift < SAME
    turns = maximum(clearance, 0.0) * tan(radians(half_angle)) / where(equal, 1.0, drift)
    result: Values = where(clearance < 0.0, 0.0, where(equal, inf, turns))
    return result


def radial_overlap(male_major: Values, female_minor: Values) -> Values:
    """How deep the crests overlap, mm: half the male's major diameter less the female's minor diameter."""
    return (male_major - female_minor) / 2.0


def lead_error(engagement: Values, pitch_difference: Values, mean_pitch: Values) -> Values:
    """How far the pitches have drifted apart over an engagement, mm: Le |dP| / P_mean."""
    drift: Values = engagement * maximum(pitch_difference, -pitch_difference) / mean_pitch
    return drift


def near_match(
    male: Thread,
    female: Thread,
    engagement_mm: float,
    male_limits: ExternalLimits | None = None,
    female_limits: InternalLimits | None = None,
) -> NearMatch:
    """What one thread does in another.

    With 55 in 60 degrees the larger half angle is taken and the difference of the flanks ignored, so the real count of
    turns is lower, by up to a fifth. The loosest parts decide the outcome: the dangerous one is the one that goes home.

    Args:
        male, female: the threads.
        engagement_mm: length of the engagement, mm.
        male_limits, female_limits: limits of the real parts, mm; None for the usual classes of the two threads.

    Raises:
        DataFault: no limits were given and no table reaches the thread.
    """
    bolt = male_limits if male_limits is not None else external_limits(male)
    nut = female_limits if female_limits is not None else internal_limits(female)
    difference = male.pitch - female.pitch
    half_angle = max(male.half_angle_deg, female.half_angle_deg)
    turns_min, turns_max = (
        float(turns_to_bind(clearance, difference, half_angle))
        for clearance in (nut.D2_min - bolt.d2_max, nut.D2_max - bolt.d2_min)
    )
    overlap_max = float(radial_overlap(bolt.d_max, nut.D1_min))
    # the coarser thread sets the pace, which is the more cautious count
    turns_engaged = engagement_mm / max(male.pitch, female.pitch)
    return NearMatch(
        turns_min=turns_min,
        turns_max=turns_max,
        overlap_min=float(radial_overlap(bolt.d_min, nut.D1_max)),
        overlap_max=overlap_max,
        turns_engaged=turns_engaged,
        lead_error=float(lead_error(engagement_mm, difference, (male.pitch + female.pitch) / 2.0)),
        outcome=_outcome(same_thread(male, female), turns_max, turns_engaged, overlap_max),
    )


def _outcome(same: bool, turns_max: float, turns_engaged: float, overlap_max: float) -> str:
    if same:
        return SAME_THREAD
    if turns_max < min(1.0, turns_engaged) or overlap_max <= 0.0:
        return DOES_NOT_START
    return HOME_BUT_WEAK if turns_max >= turns_engaged else BINDS
