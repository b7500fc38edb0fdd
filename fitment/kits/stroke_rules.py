"""The pages of the rules on rack travel against the stops, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

TYRE = Rule(
    code="stop-01",
    title="tyre clear of everything at the stop",
    checks="Whether rack or knuckle stops the wheels before a tyre or rim touches, at either lock, inner and outer "
    "wheel. Where a spacer on the bar would do it, the check says how thick.",
    formula="All as displacement of the bar: x(angle) of the wheel that has that angle, its rod's length kept. "
    "Margin: the least x(clearance angle) - the least of rack travel, x(stop-in), x(stop-out). The clearance angle is "
    "clear-inner and clear-outer; where they were not taken, the lock that the car has now, which is known to clear: "
    "beyond it nothing is known. A stop-out that nobody took counts for nothing where stop-in is known. Spacer: rack "
    "travel - least x(clearance angle) + 2 u, up to the next half millimetre.",
    source="Geometry. Lock limiters on the bar: common practice, no source.",
    limits="None; [wanted] lock asks for the spacer of a lock of the inner wheel.",
    leaves_out="The arm's eye is that of rod-02. "
    "Bump and droop, which move tyre and stop; tyres of another size than surveyed; the steering axis is "
    "held as at ride height.",
)
FIRST = Rule(
    code="stop-02",
    title="which stop acts first",
    checks="Whether the rack or the knuckle stops the wheels, and how much travel is left at the rack when the "
    "knuckle does. A rack that has no stop of its own (external) must not come first.",
    formula="Gap = rack travel - least of x(stop-in of the inner knuckle), x(stop-out of the outer one), at the bar. "
    "Margin: gap - rack_reserve where the kit states rack_reserve, or where the rack's stop is external; else the "
    "figures are told without a verdict. Not known where the rack may come first and nobody recorded what ends its "
    "travel.",
    source="One off-road maker's manual asks for 1/8 in left at the rack when the knuckle's stop is hit (second "
    "hand). Which stop a car was designed to meet first: no source found.",
    limits="rack_reserve, where it is asked.",
    leaves_out="How much the parts give under load; whether the stop is strong enough for it.",
)
TOGGLE = Rule(
    code="stop-03",
    title="tie rods short of dead centre at full travel",
    checks="Whether either arm is kept from going over-centre at the rack's stops.",
    formula="m = 1 - |cos q|, q between the arm's radius and the line to the inner ball, seen along the steering "
    "axis: 0 where rod and arm lie in line. Margin: least m of both wheels - toggle_margin.",
    source="Law of cosines, closed form.",
    limits="toggle_margin.",
    leaves_out="Bump and droop; play and bent parts, which bring dead centre nearer.",
)
JOINT = Rule(
    code="stop-04",
    title="the inner joint as the rack's stop",
    checks="Whether the recorded travel holds with the inner joint of this kit, where the joint's shoulder is what "
    "stops the rack.",
    formula="None: with another joint than the rack's own (assembled-with) the travel is not known until it is "
    "measured with that joint on. A shoulder 1 mm longer takes 1 mm off the travel to that end's side.",
    source="Common practice, no source; a report of 1.25 turns one way and over 1.5 the other (second hand).",
    limits="None.",
    leaves_out="Racks of which it is not recorded what ends the travel: the caution says so.",
)
RULES = (TYRE, FIRST, TOGGLE, JOINT)
