"""The pages of the rules on room round the steering, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

BOX = Rule(
    code="room-01",
    title="rack in the clearance box",
    checks="Whether the rack's recorded sizes go into the clearance box of the car or the crossmember, and, where it "
    "is known where the rack sits, whether its tube lies inside.",
    formula="The least of: width of the box - envelope-length; height and depth of the box less envelope-height and "
    "envelope-depth, the better way round; distance of either end of the tube's axis from the nearest face ahead, "
    "behind, above and below - half the tube. The tube's axis runs through the rack's place along its bar for "
    "envelope-length, half of it either way.",
    source="Geometry.",
    limits="None.",
    leaves_out="How far housing, pinion tower, clamps and hoses reach to either side of the bar, for which there is no "
    "dimension: what this rule lets pass may still touch. Offer the rack up, or a card template of it.",
)
GAPS = Rule(
    code="room-02",
    title="gaps as entered",
    checks="Whether the gaps that were entered are wide enough: rim and tyre to the joint at full lock; sump, "
    "radiator, anti-roll bar and exhaust to the rack's room where the kit states room_gap, else figures. None is "
    "computed. Looked at where the kit names a rack.",
    formula="gap - tyre_gap; gap - room_gap.",
    source="Rim and tyre 5 mm or more: common practice, no source. room_gap: own suggestion, no source; no source was "
    "found for gaps to what is hot.",
    limits="tyre_gap; room_gap, where the kit states it.",
    leaves_out="Everything that nobody measured; an engine that moves; heat. A gap holds for the rim and tyre that it "
    "was measured with.",
)
SCRUB = Rule(
    code="room-03",
    title="steering above the scrub line",
    checks="Whether the lowest point of the steering lies above the lines from either rim's edge to the foot of the "
    "other tyre, so that it does not dig into the road when a tyre loses its air.",
    formula="lowest-point, which is above zero where it lies above the line.",
    source="A street-rod club's voluntary inspection asks for it: a string from the rim's bottom to the other tyre.",
    limits="None.",
    leaves_out="Parts that hang lower than those that the point was measured with: measure again with the kit's in "
    "place.",
)
RULES = (BOX, GAPS, SCRUB)
