"""The pages of the rules on clamps and bushes round a rack's housing and on their bolts, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

GRIP = Rule(
    code="clamp-01",
    title="saddle or bush on the housing",
    checks="Whether a rigid saddle has the right room round the housing before clamping, or whether the clamp squeezes "
    "its bush as it should. A clamp of which any size of a bush is recorded has a bush.",
    formula="Rigid: bore - housing, from 0 to saddle_play. Bush: squeeze = (t_free - t_clamped)/t_free, t_free = "
    "(bush outside - bush inside)/2, t_clamped = (bore - housing)/2, from bush_squeeze_min to bush_squeeze_max. "
    "Margin: the smaller distance to either limit. The housing is that of the side on which the clamp sits.",
    source="Geometry. 0 to 0.1 mm and 5 to 15 %: common practice, no source.",
    limits="saddle_play, bush_squeeze_min, bush_squeeze_max.",
    leaves_out="D-shaped bushes, which are not known; the hardness of a bush; paint and steps of the housing. A bore "
    "too wide with no bush recorded and no metal named is not known: it may have one.",
)
GAP = Rule(
    code="clamp-02",
    title="gap between the clamp's feet",
    checks="Whether the clamp still has a gap between its feet when it grips: without one it bottoms on itself first "
    "and the rack is loose in it.",
    formula="gap + housing - tube-dia, above 0: the gap as measured, and how much larger this housing is than the one "
    "that it was measured on, whose diameter is needed.",
    source="Geometry: the feet part by what the housing is larger. That it must be above 0: owners' reports of racks "
    "that slid; common practice, no source.",
    limits="None.",
    leaves_out="A bush that takes a set, and the torque at which the gap was measured.",
)
LATERAL = Rule(
    code="clamp-03",
    title="positive stop against sliding sideways, both ways",
    checks="Whether the two clamps together stop the rack both ways by something solid: a shoulder, plate or pin. "
    "Friction alone, or a stop one way only, does not fit. One clamp may do it for both.",
    formula="None: the ways in which either clamp is recorded to stop the housing, taken together.",
    source="Owners' reports of racks that slid in their clamps; common practice, no source.",
    limits="None.",
    leaves_out="Whether the stop meets a face of this housing; stops of the rack's own pattern, which pattern-05 looks "
    "at; a rack held by ears.",
)
HOLE = Rule(
    code="clamp-04",
    title="the bolt passes the clamp's hole",
    checks="Whether the hole in the foot of the clamp, or the width of its slot, is larger than its bolt. Shows the "
    "spanners that the bolt may want.",
    formula="D - d, above 0; d the nominal diameter of the bolt. Spanners: as many as the standards differ.",
    source="Geometry; the nominal diameter is the largest that ISO 965-1, ASME B1.1 and BS 84 allow a bolt. Across "
    "flats: ISO 272, DIN 931, BS 1083; Japanese and inch sizes from memory.",
    limits="None.",
    leaves_out="Burrs and paint; strength of the bolts: the class is shown as it is marked.",
)
MOVEMENT = Rule(
    code="clamp-05",
    title="movement sideways under load",
    checks="Whether the rack moved little enough when pulled and pushed sideways with 300 N; looked at where it was "
    "measured.",
    formula="lateral_movement - movement.",
    source="0.5 mm wanted: common practice, no source.",
    limits="lateral_movement.",
    leaves_out="A trial on another rack or crossmember says little of this one; wear in use.",
)
PAIR = Rule(
    code="bolts-01",
    title="clamp bolt and crossmember",
    checks="Whether the clamp's bolt is the thread that the crossmember holds (weld nut, tapped boss), or else passes "
    "its holes to a nut of its own.",
    formula="Held thread: form, nominal diameter and pitch are the same or they are not. Clear holes: D - d above 0, "
    "the least of the holes.",
    source="ISO 965-1, ASME B1.1, BS 84 (designations); geometry.",
    limits="None.",
    leaves_out="Which hole belongs to which clamp; the nut's own class and height; bolts or nuts used before.",
)
ENGAGED = Rule(
    code="bolts-02",
    title="thread engaged in the crossmember",
    checks="Whether the crossmember is thick enough for the thread that it holds. In aluminium more is asked. Steel "
    "thinner than asked is not known: the thread may sit in a weld nut.",
    formula="thick - factor x d: engagement_factor in steel, aluminium_factor in aluminium, aluminium_factor_strong "
    "there for bolts of class 10.9 and above.",
    source="2 d in aluminium, 2.5 d for class 10.9: common practice, no source; 1 d in steel: common practice, no "
    "source.",
    limits="engagement_factor, aluminium_factor, aluminium_factor_strong.",
    leaves_out="How far the bolt reaches in; inserts; the alloy. A torque is for the alloy as much as for the bolt: "
    "none is given.",
)
STACK = Rule(
    code="bolts-03",
    title="grip of the bolts and what they clamp",
    checks="Whether what the bolts clamp now is as thick as the grip that was recorded of them.",
    formula="grip_difference - |stack - bolt-grip|; stack = foot + thick through clear holes, foot alone where the "
    "crossmember holds the thread.",
    source="Geometry; grip_difference: own suggestion, no source.",
    limits="grip_difference.",
    leaves_out="Washers, spacers and crush tubes, which belong to the stack; whether the feet close on one another or "
    "on the crossmember. Looked at where a grip is recorded.",
)
CLAMP_RULES = (GRIP, GAP, HOLE, MOVEMENT)
BOLT_RULES = (PAIR, ENGAGED, STACK)
