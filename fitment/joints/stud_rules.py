"""The pages of the rules on a stud in an eye, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

ASSEMBLED = Rule(
    code="cone-00",
    title="stud and eye taken together from one donor",
    checks="Whether the two are recorded as taken together, undisturbed, from one donor.",
    formula="None: a record answers instead of cone-01 to cone-06, unless a value or trial known of the two fails.",
    source="None needed: they were one joint. Common practice, no source.",
    limits="None.",
    leaves_out="Wear of the cone or the eye; another nut or washer than the donor's.",
)
DIRECTION = Rule(
    code="cone-01",
    title="the eye opens towards the stud",
    checks="Whether the large end of the eye faces the side from which the stud comes.",
    formula="A stud that enters from below needs an eye that opens down, one from above an eye that opens up.",
    source="Geometry; a cone reamed from the wrong face is a fault (owner's page, common practice).",
    limits="None; wall_ratio, ream_tolerance and sleeve_wall where work is proposed.",
    leaves_out="Whether the joint may be turned over for its articulation, its boot or the bump steer.",
)
CONES = Rule(
    code="cone-02",
    title="cone against cone",
    checks="Whether both tapers are the same within what a tightened joint takes up. Blueing with enough contact "
    "settles it, a failed trial too. A parallel bore is no seat. Not known: an eye reamed since to another stud, "
    "one out of round or worn at its mouth beyond eye_oval, gauges against the cone or one another, sizes of one "
    "cone that differ from it by more than three standard uncertainties.",
    formula="cone_mismatch - |Cs - Ce|, C = (D - d)/L; for unequal cones the far end gapes by |Cs - Ce|/2 per mm.",
    source="C: ISO 3040. cone_mismatch: contact of about 75 % over 18 mm by independent slices in an assumed 500 MPa "
    "eye, own reasoning; blueing over 75 %: common practice, no source.",
    limits="cone_mismatch; contact_fraction for a recorded blueing; eye_oval.",
    leaves_out="Wear that nobody measured; the doubt of a measured out-of-round. "
    "Two cones measured with a calliper leave about 0.01 on the ratio "
    "and are not known: let the readings be matched to a standard cone, or blue the joint.",
)
SEAT = Rule(
    code="cone-03",
    title="where the stud seats",
    checks="Whether the cones touch over enough of the eye, with the stud's large end not sunk below the face and no "
    "flange landing first.",
    formula="Stand-off a from first touch of the two cones: (Ds - De)/C for equal ones; contact from max(0, -a) to "
    "min(H, Ls - a), for unequal cones no longer than 2 d sy/(E sqrt(3 + Q^4))/|Cs - Ce| with Q = 0.5; the smaller of "
    "contact - contact_fraction x H and a - stand_off_min. A stand-off recorded in a trial counts before diameters.",
    source="Geometry of cones; Lame thick-wall equations (machine-design texts); limits: common practice, no source.",
    limits="contact_fraction, stand_off_min, eye_yield.",
    leaves_out="Gap to the socket or boot, swing lost by a deep seat, strength. 0.10 mm of diameter moves the seat "
    "by 1.00 mm at 1:10 and 0.80 mm at 1:8.",
)
PASSES = Rule(
    code="cone-04",
    title="the thread passes the small end",
    checks="Whether the stud's thread goes through the small end of the eye.",
    formula="de - d, de = De - Ce H, d the nominal diameter of the thread (no bolt thread is larger).",
    source="Geometry; the nominal diameter is the largest that ISO 965-1, ASME B1.1 and BS 84 allow a bolt.",
    limits="None.",
    leaves_out="Threads that bear on the small end when the nut is tight; burrs.",
)
NUT = Rule(
    code="cone-05",
    title="thread under the nut",
    checks="Whether the nut bears on the arm before it jams on the run-out of the thread.",
    formula="(H + a + w - xt) - draw_up - nut_reserve_pitches x P, with w the washer and xt the first full thread.",
    source="Geometry; draw_up is an allowance computed for 40 N·m; one pitch of reserve: common practice, no source.",
    limits="draw_up, nut_reserve_pitches.",
    leaves_out="Torque, which must come from a source for the part; the washer's hardness and bearing face. Where the "
    "nut jams a spacer is described, and the joint stays a misfit until the kit states it as its washer.",
)
PIN = Rule(
    code="cone-06",
    title="split pin in the castle nut",
    checks="Whether the split-pin hole lies wholly in the slots of the nut, before and after the draw-up, with the "
    "lowest nut and the highest slot base that the standard allows.",
    formula="hp = xp - (H + a + w); the smallest of hp - dp/2 - w_max, m_min - hp - draw_up - dp/2 and xe - xp - dp/2 "
    "(the hole ends within the stud).",
    source="DIN 935-1, DIN 937 (nuts); geometry. A measured nut (nut-height, slot-base) where no standard is named.",
    limits="draw_up.",
    leaves_out="Whether the tabled nut is made with the stud's thread: not known for a left-hand stud, a caution for "
    "a pitch that is not a usual one. "
    "The last part of a turn to the next slot, P/6 at most: adjust the nut or its seat, never slacken it. "
    "Prevailing-torque nuts.",
)
WALL = Rule(
    code="cone-07",
    title="wall left round the eye",
    checks="Whether the proposed reaming or boring leaves enough wall at both faces.",
    formula="The smaller of (boss - hole)/2 at the two faces, less wall_ratio x the largest diameter of the hole.",
    source="Half the large-end diameter: common practice, no source.",
    limits="wall_ratio, sleeve_wall, ream_tolerance.",
    leaves_out="Strength, material, hidden cracks and a boss that is not round: measure it at its thinnest.",
)
ENGAGED = Rule(
    code="cone-08",
    title="thread of the stud in the nut",
    checks="Whether the stud's full thread reaches through the castle nut up to the base of its slots.",
    formula="end of full thread - (H + a + w) - slot base; the full thread ends at xt + its length where that was "
    "measured, else one pitch before the end of the stud; never beyond the end. The draw-up helps and is left out.",
    source="Geometry. The whole height below the slots: common practice, no source. One pitch for the point: own "
    "choice, no source.",
    limits="None.",
    leaves_out="Strength of the thread; prevailing-torque nuts, which must show thread beyond their locking part.",
)
RULES = (ASSEMBLED, DIRECTION, CONES, SEAT, PASSES, NUT, PIN, WALL, ENGAGED)
