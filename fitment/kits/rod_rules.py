"""The pages of the rules on the length of the tie rods, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

PLACE = Rule(
    code="rod-01",
    title="where the rack sits",
    checks="Whether the kit says where the rack sits in the car: without it no tie rod has a length.",
    formula="None: position in [rack], taken as half a millimetre good either way, is the point midway between the two "
    "inner ball centres with the rack centred, in the target's coordinates, the rack square to the car as it sat in "
    "its donor. By mounting, the fitted hole patterns of rack and crossmember tell it.",
    source="Geometry. Half a millimetre: a steel rule, common practice, no source.",
    limits="None.",
    leaves_out="A doubt of tilt, skew and bar_offset, which are taken as stated. A rack free in "
    "a box: state a position once it is chosen. Whether it has room there.",
)
NEEDED = Rule(
    code="rod-02",
    title="length needed, ball centre to ball centre",
    checks="Whether it is known how far apart the two balls of the tie rod are, with the rack where it sits.",
    formula="|outer - inner|; inner = rack -+ half the inner-joint spacing along the bar. outer is the ball "
    "centre in the steering arm's eye: as surveyed with a knuckle that was fitted to the car; with any other it lies "
    "off the eye, whose middle is on the surveyed steering axis, arm-height up from the lower ball joint, and from "
    "there arm-forward ahead and arm-lateral outboard, as that knuckle's body says; without these it is not known. Off "
    "the middle of the eye along its axis the ball lies thick/2 + stand-off + height of the stud (stand-off: cone-03; "
    "of an eye to be reamed, as it will be), or thick/2 + spacer-length + ball-width/2 of a spherical rod end, on the "
    "side that stud_enters says. In a taper sleeve it lies farther by the sleeve's face over the arm: proud as "
    "measured in place, else flange of a straight sleeve, else flange + the stand-off of its outside cone in the eye. "
    "In the car's own eye it is moved by that less ball-off-eye of the corner, where both are on record, unless the "
    "joint came with the car. "
    "Half the spacing: inner-spacing/2 with the rack's own joint; else bar-length/2 "
    "+ ball-offset of the joint fitted; else inner-spacing/2 - joint-offset + ball-offset. An adapter on the bar adds "
    "its shoulder-length to ball-offset.",
    source="Geometry. Bar, joints and spacing that differ by more than three standard uncertainties are in conflict: "
    "own choice, no source.",
    limits="None.",
    leaves_out="The lean of an eye's axis of which it is not known which way it leans: the ball is then moved along "
    "the steering axis. Where the surveyed ball stood in the eye is not known: the figure length_per_mm_raised "
    "says by how much the length follows a stud that holds it higher. A lock washer under the inner joint. Of another "
    "car's knuckle its ball joints, wheel centre and inclination. A toe in [wanted], to which fitment steer sets the "
    "rods: the length here is that of the surveyed toe.",
)
RANGE = Rule(
    code="rod-03",
    title="range of the tie rod's adjuster",
    checks="Whether the assembly can be set to the length needed over the whole wanted toe range, with the least "
    "thread engaged at the longest and without bottoming at the shortest.",
    formula="Length = rod + rod end - engaged. Longest: engaged = full thread asked + 2 pitches (thread-04), or the "
    "insertion mark where that is deeper. Shortest: engaged = the smaller of female depth and male thread less jam "
    "nut. Margin: the smaller of longest - (needed + toe_range) and (needed - toe_range) - shortest. An adapter "
    "between rod and rod end adds its length, and its second thread is engaged too: it is locked at the thread asked "
    "or deeper, home at most, and the other end adjusts, whichever way round leaves more; either end must have its "
    "thread. "
    "Between inner joint and rod: as taken together + engaged then + adapter - engaged at either end as recorded, "
    "or a rod_length that was measured with it on.",
    source="Geometry. Engagement: as thread-04. toe_range: own suggestion, no source; on an arm of 120 mm 1 mm of "
    "rod is nearly half a degree of toe (computed).",
    limits="toe_range, engagement_factor; jam_nut where none is recorded.",
    leaves_out="A second adjuster at an inner joint of its own, which is taken to stay as measured. Bends, wear, and "
    "toe that the car's own wheel alignment asks for beyond the range.",
)
RULES = (PLACE, NEEDED, RANGE)
