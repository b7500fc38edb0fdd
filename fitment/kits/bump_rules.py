"""The pages of the rules on bump steer, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

_TOE = (
    "change of toe = toe-in at that travel less toe-in at ride height, the bar straight, at 12.5 and 25 mm of bump and "
    "of rebound of the wheel's centre; rigid links, rods as long as the rack's place asks"
)

CHANGE = Rule(
    code="bump-01",
    title="change of toe over bump and rebound",
    checks="How much either wheel toes in or out over 25 mm of bump and rebound with the rack where this kit has it. "
    "No figure has authority: without toe_change in the kit the figures are listed beside those of the car as it came, "
    "without a verdict. A kit that states toe_change makes it a limit.",
    formula=f"toe_change - the largest |change of toe|; {_TOE}. rack_higher_for_none: how "
    "much higher the inner ball would have to be for no bump steer on centre.",
    source="Geometry (spatial linkage in closed form), 500 samples. About 0.05 deg in 25 mm is quoted as typical of "
    "the front of production cars (second hand); toe_change: own suggestion, no source.",
    limits="toe_change, where the kit states it.",
    leaves_out="The arm's eye is that of rod-02. "
    "Travel beyond 25 mm, roll, bushes and play: the curves over all of the travel are in fitment steer. "
    "The outer ball is where the survey has it: another car's knuckle, a taller stud or a spacer moves it.",
)
UNLIKE = Rule(
    code="bump-02",
    title="change of toe alike left and right",
    checks="How much the two wheels differ in their change of toe: a rack that lies tilted or off the middle, or "
    "unequal rods, steer one wheel more than the other. A limit where the kit states toe_unlike, else figures.",
    formula=f"toe_unlike - the largest |left - right| of the change of toe; {_TOE}.",
    source="Geometry, as bump-01. toe_unlike: own suggestion, no source.",
    limits="toe_unlike, where the kit states it.",
    leaves_out="As bump-01.",
)
RULES = (CHANGE, UNLIKE)
