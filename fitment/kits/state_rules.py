"""The pages of the rules on the recorded state of the parts, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

WELDS = Rule(
    code="state-01",
    title="repair welds and marks of heat",
    checks="Whether a repair weld or marks of earlier heating are recorded of any part that the kit names, "
    "or stated of an item.",
    formula="None: a part with a repair weld, or with marks of heat, is not known; welds or heat recorded as unknown "
    "are a caution; none, and its maker's own welds, are nothing. Records in conflict are not known.",
    source="Rules that refuse welded or heated steering parts: fitment explain weld. What is held against a record of "
    "them here: own choice, no source.",
    limits="None.",
    leaves_out="Welds and heat that nobody recorded: look at the parts. Hidden cracks. Whether a part may be used is "
    "for the certifier.",
)
WEAR = Rule(
    code="state-02",
    title="wear, play and bends",
    checks="Whether a part that the kit names is recorded or stated as worn, or recorded with play or with a bend or "
    "offset.",
    formula="joint_play - play, of a ball joint along or across its ball, of a spherical rod end across it, of a "
    "universal joint at a 100 mm lever; bend_unlike - |bend - made-offset|. Play and bend beyond the limit, a bend of "
    "a part whose offset as made is not on record, and a part recorded as worn, are not known; less is a caution. "
    "Records in conflict are not known.",
    source="joint_play, bend_unlike: own suggestion, no source. Worn or bent parts are not for use: common practice, "
    "no source.",
    limits="joint_play, bend_unlike.",
    leaves_out="What nobody recorded: push and pull the joints on the car. Play under load, pitting, torn boots.",
)
RULES = (WELDS, WEAR)
