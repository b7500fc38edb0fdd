"""The pages of the rules on one part in another's place, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

SIZE = Rule(
    code="place-01",
    title="what the car depends on, of a part in another's place",
    checks="Whether a part that goes on at its ends also has the sizes on which the car's steering depends.",
    formula="within, taken up: tolerance - |new - old|; not less: new - old; not more: old - new; same: the two words. "
    "What is taken up is set anew by the adjustment of the rod; how much of it a rod really has is for fitment check "
    "to say, so that here a little is allowed.",
    source="common practice, no source",
    limits="place_sizes.csv: own choice, no source. A part beyond them is not known, not refused: what it does to the "
    "car is for fitment check and fitment steer to say.",
    leaves_out="Sizes that are not in the table, and everything that only the whole kit shows.",
)
NO_MATE = Rule(
    code="place-02",
    title="an end whose mate is not on record",
    checks="Whether an end of a part shows the same as the end in whose place it is to come, where no part that "
    "mates with it is on record.",
    formula="A thread is held against one of its own designation and depth. Any other end whose key differs from the "
    "old one's does not fit; where the two keys are the same, whether it mates is not known.",
    source="common practice, no source",
    limits="None.",
    leaves_out="Everything that only the mate would show: seat, clearance, engagement in it.",
)
RULES = (SIZE, NO_MATE)
