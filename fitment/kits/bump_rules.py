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
    "No figure has authority: it is reported, with a caution from toe_change on. A kit that states toe_change makes it "
    "a limit.",
    formula=f"toe_change - the largest |change of toe|; {_TOE}.",
    source="Geometry (spatial linkage in closed form). toe_change: own suggestion, no source.",
    limits="toe_change.",
    leaves_out="Travel beyond 25 mm, roll, bushes and play. The curves over all of the travel: fitment steer.",
)
UNLIKE = Rule(
    code="bump-02",
    title="change of toe alike left and right",
    checks="How much the two wheels differ in their change of toe: a rack that lies tilted or off the middle, or "
    "unequal rods, steer one wheel more than the other. Reported likewise; a limit where the kit states toe_unlike.",
    formula=f"toe_unlike - the largest |left - right| of the change of toe; {_TOE}.",
    source="Geometry, as bump-01. toe_unlike: own suggestion, no source.",
    limits="toe_unlike.",
    leaves_out="As bump-01.",
)
RULES = (CHANGE, UNLIKE)
