"""The pages of the rules on the line from column to pinion, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

ANGLE = Rule(
    code="shaft-01",
    title="angle of each universal joint",
    checks="Whether every joint works within its own limit, the upper one over the column's tilt range. A "
    "joint of which no limit is recorded passes up to joint_angle, and is not known beyond it: the limit "
    "belongs to the joint.",
    formula="b = atan2(|d1 x d2|, d1.d2) of the two shafts. Column: from its side and plan angles. Pinion: "
    "from its end to its root, placed with the rack. Joint centre = shaft end + (centre-to-face - insertion) "
    "along its axis; failing that, upper-point or lower-point of the intermediate shaft. Limit: the smaller of "
    "angle-limit and angle-contact. Tilt: the slope as measured, and tilt-up and tilt-down from there; where these are "
    "not recorded tilt-range more and tilt-range less, and fits only where all three do. The column turns in its own "
    "upright plane about tilt-pivot, and takes the upper joint's centre along; where no pivot is recorded it turns "
    "about that centre. reach-in and reach-out move the centre along the column. Every pair of extremes counts.",
    source="Geometry. joint_angle: one maker's recommendation as a trade page reports it; 30 to 35 degrees "
    "from others; common practice, no source.",
    limits="joint_angle, where the joint has none of its own.",
    leaves_out="A column whose lower end moves as it tilts or reaches, where that is not recorded. Points of a part "
    "are taken as those of the car of the kit: mind points that were taken in its donor. Flex of bushes.",
)
LENGTH = Rule(
    code="shaft-02",
    title="length and slip",
    checks="Whether every shaft between two joints reaches from centre to centre with slip left both ways over "
    "the movement of body and engine. A single joint has no slip: whether column and pinion put its cross in "
    "one place.",
    formula="Needed = |J2 - J1|, of the shaft next to the column also at each setting that moves J1 (shaft-01). The "
    "smaller of length-long - needed and needed - length-short, less "
    "body_movement and slip_left. One piece: both are its length. Single joint: joint_miss less the distance of "
    "the cross by the column from the cross by the pinion; both axes meet only if that is small.",
    source="Geometry. body_movement, slip_left, joint_miss: own suggestion, no source.",
    limits="body_movement, slip_left, joint_miss.",
    leaves_out="Other joints than those that the shaft was measured with change its length by the difference "
    "of their centre-to-face less insertion. A column's own sliding shaft: not known what it takes up. The meeting of "
    "a single joint over tilt and reach.",
)
RIPPLE = Rule(
    code="shaft-03",
    title="phase of the forks and evenness",
    checks="How uneven the turning is at the best phase, and at the phase that the splines allow. No figure "
    "has authority in steering: it is told without a verdict, with a caution from shaft_ripple and from phase_error "
    "on. A kit that states shaft_ripple makes it a limit, over the column's range too. A phase that must be "
    "known and is not is not known.",
    formula="Each joint maps the fork's pin (in plane, across) by diag(cos b, 1) and a quarter turn, each "
    "shaft by the turn e = phase - angle between the planes of its joints; highest speed ratio = ratio of "
    "singular values of the product, lowest = 1 over it. Torque swings as widely, upside down. Step of the "
    "phase: 360/lcm(N1, N2, 2) degrees; one position only at a notch, flat, pocket, master spline. Phase: "
    "clockwise as seen from the column, upper fork to lower. Where none is recorded the error is taken as half "
    "a step. At every pair of extremes of tilt and reach (shaft-01): the same phase, with the planes and angles there.",
    source="Two joints: equal angles and forks that lie in their planes together give even turning, as Fischer "
    "and Paul have it (ASME, abstract read). Chain: derived, and compared with a simulation of the crosses. 20 "
    "degrees tolerated, 45 felt, 90 bad: a joint maker's note; common practice, no source.",
    limits="shaft_ripple, phase_error.",
    leaves_out="Friction and play. The two halves of a telescopic shaft put together one tooth over. A "
    "recorded phase holds with the joints that it was taken with. A centred double joint is taken as even. Settings "
    "between the extremes, and forks set anew for one of them.",
)
SUPPORT = Rule(
    code="shaft-04",
    title="support bearings",
    checks="Whether there are as many support bearings as the line needs to stay in place.",
    formula="n joints want n - 2 supports. A double joint counts as two unless its centring is recorded as "
    "yes. A shaft with a bearing bore, housing, position or alignment has a bearing.",
    source="Count of freedoms: 1, 2 and 4 for two, three and four joints. Three joints want one: common practice.",
    limits="None.",
    leaves_out="Where the bearing stands and what holds it; a bearing too many, which binds unless it lines itself up.",
)
POKES = Rule(
    code="shaft-05",
    title="shaft end against the cross",
    checks="Whether the shaft's end stays clear of the cross in every yoke.",
    formula="bore-depth - insertion; insertion = bolt-to-end + groove-position (or pocket-position).",
    source="Geometry; hang-up at each half turn: a builder's report.",
    limits="None.",
    leaves_out="A clamp that leaves open how far the shaft goes in: measure and mark. The joint bent: turn it by hand.",
)
SLIP = Rule(
    code="shaft-06",
    title="what keeps a telescopic shaft together",
    checks="Whether a stop or bolt keeps the two pieces together, and they overlap enough at the longest "
    "service length. Plastic pins alone, or nothing, do not fit.",
    formula="overlap - telescope_overlap x section-dia.",
    source="A US recall of 1996 for shafts held by plastic pins; overlap 1.5 to 2 sections: common practice, "
    "no source.",
    limits="telescope_overlap.",
    leaves_out="Wear and play of the slip.",
)
COLLAPSE = Rule(
    code="shaft-07",
    title="means of collapse",
    checks="Whether it is recorded what collapses in column and shafts, and whether the new routing leaves it "
    "free. A column whose collapse is recorded as blocked does not fit. Facts only: whether they count is the "
    "examiner's.",
    formula="None; the angles of the line and the stroke are figures.",
    source="Facts that inspections ask for, as builders quote them; blocked: own rule, no source.",
    limits="None.",
    leaves_out="Whether it would collapse. Steering wheel and boss.",
)
CLEAR = Rule(
    code="shaft-08",
    title="gaps round the shaft",
    checks="Whether the gaps as entered (cold, hot, at full engine roll) are wide enough. None is computed; "
    "those that nobody entered are told as a caution.",
    formula="The smallest gap entered - shaft_gap.",
    source="5 to 15 mm: common practice, no source.",
    limits="shaft_gap.",
    leaves_out="Everything that nobody measured; shields; heat that melts grease and boots without touching.",
)
RULES = (ANGLE, LENGTH, RIPPLE, SUPPORT, POKES, SLIP, COLLAPSE, CLEAR)
