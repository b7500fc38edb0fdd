"""The pages of the rules on which way the kit steers, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

WAY = Rule(
    code="way-01",
    title="which way it steers",
    checks="Whether the bar moves the way that the steering arms ask for when the driver turns right, with the rack "
    "as it sits in this kit. Opposite does not fit, whatever else holds.",
    formula="m = s_z r_x - s_x r_z, + to the car's left; s along the pinion shaft from the driver to the pinion, r "
    "from the pinion's axis to the bar (x forward, z up). Arms ahead of the steering axis ask for m < 0, arms behind "
    "it for m > 0. A half-turn of the rack about the car's longitudinal axis (upside down) or its vertical axis (back "
    "to front) swaps its ends and reverses m; one about its lateral axis (end over end) keeps m. The rack's own way: "
    "the bench test (bar-moves), input with bar-side, the steer type of its donor; what is only hearsay counts where "
    "there is nothing better, and what disagrees is not known. The arms': arm-position, the surveyed points, "
    "arm-forward of the knuckles named.",
    source="Derived from the right-hand rule; agrees with reports of list and blog writers (second hand). A bench "
    "test confirms it.",
    limits="None.",
    leaves_out="Gears in the column: an odd number of outside meshes reverses it once more, a chain or belt does not. "
    "A shaft that lies along the bar. Offsets of bar and pinion are recorded without a sign and tell no side.",
)
SIDE = Rule(
    code="way-02",
    title="side of the input",
    checks="Whether the pinion lies on the driver's side of the car, with the rack as it sits in this kit.",
    formula="hand of the rack, the other one where a half-turn swaps its ends, against drive-side.",
    source="common practice, no source",
    limits="None.",
    leaves_out="Whether a shaft can reach the pinion: with an intermediate shaft named that question is left to the "
    "check of the shaft, and the other side is a caution; without one it is not known.",
)
INNER = Rule(
    code="way-03",
    title="inner wheel turns more than the outer",
    checks="Whether the wheel on the inside of the turn is turned farther than the outer one at full travel either "
    "way. The reverse (arms made for the other side of the axle, or mirrored) scrubs and is hard to turn back.",
    formula="Steer angles of both wheels at the rack's stops, from straight ahead, the steering axes held as at ride "
    "height, rods set for straight wheels. Margin: the smaller of inner - outer at both locks, less ackermann_least. "
    "Where the axis was not surveyed it is taken as upright by arm-forward and arm-lateral of the knuckle.",
    source="Geometry. That the inner angle should exceed the outer: accounts of builders (second hand).",
    limits="ackermann_least: how much more the inner wheel must turn.",
    leaves_out="The arm's eye is that of rod-02. Static toe; how near it comes to the ideal; turning circle.",
)
RULES = (WAY, SIDE, INNER)
