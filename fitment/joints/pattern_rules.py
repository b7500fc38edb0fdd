"""The pages of the rules on mounting patterns, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

ASSEMBLED = Rule(
    code="pattern-00",
    title="rack and crossmember taken together from one donor",
    checks="Whether the two mounting patterns are recorded as taken together, undisturbed, from one donor.",
    formula="None: a record answers instead of pattern-01 to pattern-05, unless a value known of the two fails.",
    source="None needed: they were one joint. Common practice, no source.",
    limits="None.",
    leaves_out="Holes worn long, cracked ears, bushes gone soft.",
)
BOLT = Rule(
    code="pattern-01",
    title="one bolt for both sides",
    checks="Whether the bolts of both patterns, and a captive thread (weld nut, tapped boss or stud) where there is "
    "one, are the same thread. One side may name no bolt: its holes then answer for it.",
    formula="None: form, nominal diameter and pitch are the same or they are not. Two captive threads take no bolt.",
    source="ISO 965-1, ASME B1.1, BS 84 (designations).",
    limits="None.",
    leaves_out="Length, grip and strength class of the bolts; whether larger holes for a larger bolt are wanted.",
)
HOLES = Rule(
    code="pattern-02",
    title="the bolt passes every hole",
    checks="Whether every clear hole is larger than the bolt.",
    formula="The least of D - d over the clear holes, d the nominal diameter of the bolt, D the hole or width of the "
    "slot.",
    source="Geometry; the nominal diameter is the largest that ISO 965-1, ASME B1.1 and BS 84 allow a bolt.",
    limits="None.",
    leaves_out="Burrs, paint, and holes that are not round.",
)
REGISTER = Rule(
    code="pattern-03",
    title="the bolts pass all holes at once",
    checks="Whether the two patterns can be turned and shifted so that every bolt passes both its holes, hole to the "
    "hole of the same number. Distances alone do not tell a pattern from its mirror image: both are then "
    "tried, and must agree.",
    formula="-t*, t* = min over turn and shift of max of (distance of the axes - s): s = (D1 - d)/2 + (D2 - d)/2 for "
    "two clear holes, (D - d)/2 against a captive thread; for a slot the distance to its centre-line. Work: "
    "opening the holes of one part by 2 t* in diameter, or of both by t*; slots by what each hole wants. What "
    "is shown as shift and turn (least squares) is where the rack's origin, midway between its inner balls, "
    "comes to lie in the car.",
    source="Position tolerances: a floating fastener has H - F on each part, a fixed one half (ASME Y14.5-2009 "
    "appendix B, as quoted). Search: own formulation. Which side a face is seen from: own choice, on either "
    "part x forward, y left, z up as it sat in its car.",
    limits="hole_edge_ratio where work is proposed.",
    leaves_out="Whether the shift and turn suit the bump steer; the height of either face; a rack turned over; holes "
    "not square to the face; strength of a bracket.",
)
EDGE = Rule(
    code="pattern-04",
    title="edge distance left by opened holes",
    checks="Whether opened or slotted holes keep enough distance to the edge of the plate. As found it is only "
    "shown. Holes that locate are never opened or slotted, nor are captive threads.",
    formula="(edge - growth of the radius) - hole_edge_ratio x diameter after; edge from the edge of the hole to that "
    "of the plate, the least of all holes. Opened no larger than the coarse clearance hole of the bolt; "
    "beyond it slotted. Where neither is possible an adapter plate is left, if its own holes keep as far from "
    "one another.",
    source="1.5 diameters: common practice, no source. Coarse clearance holes: ISO 273, ASME B18.2.8 (loose).",
    limits="hole_edge_ratio.",
    leaves_out="Strength; where the nearest weld lies (shown, if measured); what a plate's thickness does to the "
    "rack's height and the bump steer.",
)
STOP = Rule(
    code="pattern-05",
    title="positive stop against sliding sideways",
    checks="Whether something solid holds the rack sideways. Ears bolted through and studs do, by their bolts. "
    "Saddle clamps and bushes hold by friction alone: one of the two patterns must have lateral-stop yes.",
    formula="None.",
    source="Owners' reports of racks that slid in their clamps; common practice, no source.",
    limits="None.",
    leaves_out="Whether a stop that belongs to one part meets a face of the other; a stop in a bush or clamp that the "
    "kit names: record it on the pattern too.",
)
RULES = (ASSEMBLED, BOLT, HOLES, REGISTER, EDGE, STOP)
