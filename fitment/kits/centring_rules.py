"""The pages of the rules on centring the steering wheel, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

WHEEL = Rule(
    code="ctr-01",
    title="wheel positions with the rack centred",
    checks="In what steps the steering wheel can be set with the rack centred, what at most is left over, and how "
    "many turns of the rods would hide that.",
    formula="Every splined joint between pinion and wheel goes together in N places (its teeth; 2 for a double D, 3 "
    "for a triangle, 1 where a master spline, blind tooth, notch, flat or pocket leaves no choice). Finest step = "
    "360/lcm over the joints; left over at most half a step. A joint at a shaft's own end is left out: moving it "
    "changes the phase of the universal joints; with it the step is told apart. Rods: speed * angle/360, one longer, "
    "the other shorter; turns = that / pitch.",
    source="Closed form, agrees with brute force. That whole teeth belong on the spline and only the rest on the "
    "rods: common practice, no source.",
    limits="None: figures. Not known where column parts are named and a count is missing.",
    leaves_out="Ends clamped on a plain round, which go anywhere. Where the wheel stands before anything is moved; "
    "thrust angle of the rear axle.",
)
SPRING = Rule(
    code="ctr-02",
    title="turns of the clock spring",
    checks="Whether the column's clock spring allows as many turns either way as the rack makes to its stop.",
    formula="Margin = clock-spring - turns / 2, the rack centred.",
    source="Arithmetic. That wiring tears where a column is off its centre: one account, second hand.",
    limits="None.",
    leaves_out="A rack off its centre, or stops that act before the rack's. Steering-angle sensors: a caution of "
    "ctr-01 names them.",
)
RULES = (WHEEL, SPRING)
