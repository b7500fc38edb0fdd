"""The pages of the rules on threads, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

ASSEMBLED = Rule(
    code="thread-00",
    title="threads taken together from one donor",
    checks="Whether the two ends are recorded as taken together, undisturbed, from one donor.",
    formula="None: a record answers instead of thread-01 to thread-07, unless hand, sex or thread are known "
    "to differ, or an adjuster is known to be short. A misfit that is only hearsay is told beside it.",
    source="None needed: they were one joint. Common practice, no source.",
    limits="None.",
    leaves_out="Wear, stripped or crossed threads, and the engagement once the adjuster is turned.",
)
SEXES = Rule(
    code="thread-01",
    title="one male, one female thread",
    checks="Whether one end has its thread on the outside and the other in a hole.",
    formula="None.",
    source="Geometry.",
    limits="None.",
    leaves_out="Whether an adapter exists that would join two like ends. Where threads, hands and depths are known one "
    "to make is described, and the joint stays a misfit until the kit names it.",
)
HAND = Rule(
    code="thread-02",
    title="hand of the threads",
    checks="Whether both threads are right hand or both left hand. A hand that nobody noted is not known: that "
    "nothing is marked on a part proves nothing. Two that screw together by hand have one hand.",
    formula="None: a thread of the other hand does not start, and no tolerance argument applies.",
    source="ISO 965-1 (LH in the designation; no mark means right hand on a drawing, not on a part).",
    limits="None.",
    leaves_out="The other end of a sleeve: a pair of hands is needed for it to adjust.",
)
SAME = Rule(
    code="thread-03",
    title="same thread, or a near match",
    checks="Whether form, nominal diameter and pitch are the same. If not, what the hand would feel: binds after some "
    "turns, screws fully home and holds on a part of its depth, or does not start. All three do not fit. "
    "Two that do not screw together by hand do not fit; that they do names no thread, as a near match goes home too. "
    "A failed gauge of the very thread that was adopted is a conflict and not known.",
    formula="N = C tan(alpha)/|dP| turns to bind, with C the pitch-diameter clearance of the real pair, (D2 - d2) from "
    "its least to its greatest, alpha the half thread angle; radial overlap (d - D1)/2 from its least to its greatest.",
    source="Limits of size: ISO 965-1, ASME B1.1, BS 84; formula of gauge practice (FED-STD-H28, BS 919; from memory).",
    limits="None. Usual tolerance classes (6g/6H, 2A/2B, medium) where none is known. For the adapter described: "
    "engagement_factor, adjuster_factor, thread_runout, net_section_ratio.",
    leaves_out="Wear, plating and damage; the difference of 55 and 60 degree flanks; counts are good to half a turn.",
)
ENGAGEMENT = Rule(
    code="thread-04",
    title="full thread engaged",
    checks="Whether enough full thread can engage.",
    formula="min(depths) - 2 P, one pitch of each part for its chamfered first thread, at least the larger of "
    "engagement_factor x d and Le = 2 As / (shear area of the bolt's thread per mm), equal steels.",
    source="Le: Machinery's Handbook 24th ed., formula 1, stress area ISO 898-1 or ASME B1.1; one pitch off each part: "
    "own suggestion, no source; engagement_factor and adjuster_factor: common practice, no source.",
    limits="engagement_factor; adjuster_factor gives a caution where the joint is an adjuster.",
    leaves_out="How far the adjuster is really screwed in at its longest set-up; aluminium or other weaker material; "
    "a slotted sleeve; the jam nut, which adds no engagement. Not looked at where the threads differ, not known where "
    "either is not known.",
)
SEAT = Rule(
    code="thread-05",
    title="shoulder of the inner joint on the bar's seat",
    checks="Whether the joint's shoulder and the seat face of the rack's bar end meet on a ring. Looked at where a "
    "shoulder, a seat or a counterbore is recorded.",
    formula="(min(shoulder-dia, seat-dia) - max(counterbore-dia, d))/2, above 0; d the nominal diameter of the bar's "
    "thread. No counterbore recorded means none.",
    source="Geometry.",
    limits="None.",
    leaves_out="How much a shoulder overhangs the bar; whether it is square; what its length does to the rack's stop.",
)
LANDS = Rule(
    code="thread-06",
    title="the shoulder lands before the thread bottoms",
    checks="Whether the inner joint comes home on its shoulder and not on the bottom of the thread: one that bottoms "
    "is tight on the thread alone and works loose.",
    formula="depth of the female thread + counterbore-depth + washer - length of the male thread, above 0. What is "
    "left out of the record counts as 0.",
    source="Geometry.",
    limits="None.",
    leaves_out="Run-out and chamfer at the shoulder, and how far a hole goes on below its last full thread.",
)
LOCKED = Rule(
    code="thread-07",
    title="locking of the inner joint",
    checks="Whether the bar end has what the recorded way of locking needs: a groove, flats or a washer for a tab, a "
    "groove or flats for a stake, a cross hole for a pin or lock wire. Two ways that differ, or none on one end, are "
    "not known; none on both does not fit. Nothing recorded is a caution.",
    formula="None.",
    source="Recalls of racks whose inner joints unscrewed; common practice, no source.",
    limits="None.",
    leaves_out="Whether the lock is used again, and whether it was set. A second plain nut is no lock that is known "
    "here.",
)
RULES = (ASSEMBLED, SEXES, HAND, SAME, ENGAGEMENT, SEAT, LANDS, LOCKED)
