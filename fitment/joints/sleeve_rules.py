"""The pages of the rules on a taper sleeve in its eye, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

WALL = Rule(
    code="sleeve-01",
    title="wall of the taper sleeve",
    checks="Whether the thinnest wall of the sleeve, as measured, is as thick as is asked.",
    formula="wall-small - sleeve_wall. A straight sleeve is thinnest round the large end of its cone.",
    source="Common practice floor 1.5 to 2 mm, no source.",
    limits="sleeve_wall.",
    leaves_out="Strength and hardness. Whether it was measured where it is thinnest.",
)
SEAT = Rule(
    code="sleeve-02",
    title="outside of the sleeve in the eye",
    checks="Whether the sleeve's outside holds in the eye. Straight in a parallel bore: tight, and not so tight that "
    "it cannot be pressed. Straight in an eye that still has its cone: the eye is to be bored. Tapered: the eye's own "
    "cone, and seated no deeper than is asked.",
    formula="Straight: the smaller of od - bore and sleeve_press - (od - bore). To be bored: od - the eye's largest "
    "diameter. Tapered: cone_mismatch - |C outside - C eye|, then (outside-large - large)/C - stand_off_min.",
    source="Geometry; limits: own suggestion, no source.",
    limits="sleeve_press, cone_mismatch, stand_off_min.",
    leaves_out="Whether a flange is strong enough; without one recorded, that nothing keeps the sleeve from being "
    "pulled through is a caution. Creep.",
)
METAL = Rule(
    code="sleeve-03",
    title="wall of the eye round the sleeve",
    checks="Whether the eye keeps enough wall round the sleeve at both faces.",
    formula="The smaller of (boss - outside of the sleeve)/2 at the two faces, less wall_ratio x that outside.",
    source="Half the hole's diameter: common practice, no source.",
    limits="wall_ratio.",
    leaves_out="Strength, material, hidden cracks and a boss that is not round: measure it at its thinnest.",
)
RULES = (WALL, SEAT, METAL)
