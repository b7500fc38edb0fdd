"""The pages of the rules on a spherical rod end bolted to a steering arm, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

FORM = Rule(
    code="eye-01",
    title="parallel bore for a straight bolt",
    checks="Whether the eye is bored parallel. A straight bolt bears on the edge of a tapered one only. Where it is "
    "tapered: whether it can be bored straight to the bolt, or must be bored out and sleeved.",
    formula="None: tapered or parallel, as looked at. Bored straight where the large end is no larger than bolt + "
    "bolt_play, else a sleeve of sleeve_wall round the bolt.",
    source="Geometry. bolt_play, sleeve_wall: as their rows in the limits say.",
    limits="bolt_play, sleeve_wall, wall_ratio.",
    leaves_out="What an authority says of a steering arm that is bored: ask before boring.",
)
EYE = Rule(
    code="eye-02",
    title="bolt in the eye",
    checks="Whether the bolt passes the bore of the eye and has no more play in it than is allowed.",
    formula="The smaller of narrowest - d and d + bolt_play - widest; d the nominal diameter of the bolt's thread.",
    source="Geometry; no bolt is larger than its nominal diameter. bolt_play: own suggestion, no source.",
    limits="bolt_play.",
    leaves_out="A shank made thinner than its nominal diameter; a bore out of square or bell-mouthed.",
)
BALL = Rule(
    code="eye-03",
    title="bolt in the ball",
    checks="Whether the bolt passes the ball and fits it. A bolt smaller than the ball's bore needs spacers that "
    "reduce it, bored to the bolt.",
    formula="The smaller of bore - d and d + bolt_play - bore; with an undersize bolt the same of the spacers' bore.",
    source="Geometry. bolt_play: own suggestion, no source. Small bolts in big balls bend and clamp badly: common "
    "practice, no source.",
    limits="bolt_play.",
    leaves_out="How the spacers sit in the ball; whether bolt and spacers clamp hard enough.",
)
CAPTIVE = Rule(
    code="eye-04",
    title="captive washer or double shear",
    checks="Whether the rod stays on the arm if the ball pulls out of its head.",
    formula="None: a washer larger than the head's opening on the free side, or the bolt held on both sides.",
    source="A magazine on single-shear rod ends: common practice.",
    limits="None.",
    leaves_out="Whether the washer lets the joint tilt: its clearance over bump and lock.",
)
BENDING = Rule(
    code="eye-05",
    title="bending length of the bolt",
    checks="How far the ball's centre stands off the face of the arm, in bolt diameters.",
    formula="bolt_bending x d - e, e = ball width/2 + one spacer; the moment in the bolt is the rod's force times e.",
    source="Geometry. bolt_bending: own suggestion, no source; the decision is an engineer's.",
    limits="bolt_bending.",
    leaves_out="The force, the bolt's strength and its preload. A stack of spacers that cures bump steer puts the bolt "
    "in bending and is not the equal of a cone. In double shear the same length is shown, though the bolt bends less.",
)
GRIP = Rule(
    code="eye-06",
    title="plain shank through the stack",
    checks="Whether the bolt's plain shank crosses from the ball into the arm, so that no thread lies where it is "
    "sheared, and the nut still clamps before it meets the shank.",
    formula="The smaller of grip - (stack - thick/2) and stack + bolt_washers - grip; stack = ball width + 2 spacers + "
    "thickness of the eye. The head is taken to lie on the ball's side.",
    source="Geometry. Half of the eye on plain shank and bolt_washers: own suggestion, no source.",
    limits="bolt_washers.",
    leaves_out="The outer plate of a double shear, which adds to the stack: there only the shortest shank is held. A "
    "bolt put in from the arm's side.",
)
WALL = Rule(
    code="eye-07",
    title="wall left round the bored eye",
    checks="Whether the proposed boring leaves enough wall at both faces.",
    formula="The smaller of (boss - hole)/2 at the two faces, less wall_ratio x the hole.",
    source="Half of the hole: common practice, no source.",
    limits="wall_ratio, sleeve_wall.",
    leaves_out="Strength, material, hidden cracks and a boss that is not round: measure it at its thinnest.",
)
RULES = (FORM, EYE, BALL, CAPTIVE, BENDING, GRIP, WALL)
