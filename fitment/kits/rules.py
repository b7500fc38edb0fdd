"""The rules of a kit as a whole; those of the joints stand with the joints."""

from __future__ import annotations

from fitment.joints.clamp_rules import LATERAL
from fitment.joints.registration import Rule
from fitment.kits import (
    adapter_rules,
    boot_rules,
    bump_rules,
    centring_rules,
    direction_rules,
    net_rules,
    pair_rules,
    place_rules,
    rod_rules,
    room_rules,
    shaft_rules,
    state_rules,
    stroke_rules,
    tilt_rules,
    turn_rules,
)

PART_NOT_NAMED = "kit-01"
NO_CHECK = "kit-02"
OTHER_SIDE = "kit-03"


def kit_rules() -> tuple[Rule, ...]:
    """Every rule of the kit, with its page for ``fitment explain``."""
    return (
        Rule(
            code=PART_NOT_NAMED,
            title="a part is not named",
            checks="Whether the kit names both parts of every joint that a kit must have.",
            formula="None: a joint of which a part is not named is not known.",
            source="common practice, no source",
            limits="None.",
            leaves_out="Joints whose check is not built yet: they are listed as not checked.",
        ),
        Rule(
            code=NO_CHECK,
            title="no check for this pair of ends",
            checks="Whether there is a check for the two ends that meet, such as either end of an adapter.",
            formula="None: a joint that no check answers for is not known.",
            source="common practice, no source",
            limits="None.",
            leaves_out="Everything about that joint.",
        ),
        Rule(
            code=OTHER_SIDE,
            title="part of the other side",
            checks="Whether a part that is recorded as made for one side of the car is named on that side.",
            formula="None: a part recorded as left does not fit under right, nor the reverse; a side on which the "
            "readings disagree is not known. Knuckles are handed: one of which no side is recorded, named on "
            "both sides, be it by two items, is not known either.",
            source="common practice, no source",
            limits="None.",
            leaves_out="Other parts of which no side is recorded; of two knuckles without a side a caution says so. "
            "Whether a part could be turned round by other work.",
        ),
        *adapter_rules.RULES,
        *direction_rules.RULES,
        *rod_rules.RULES,
        *stroke_rules.RULES,
        *boot_rules.RULES,
        *tilt_rules.RULES,
        *bump_rules.RULES,
        *turn_rules.RULES,
        *shaft_rules.RULES,
        *centring_rules.RULES,
        *net_rules.RULES,
        *pair_rules.RULES,
        *room_rules.RULES,
        *state_rules.RULES,
        *place_rules.RULES,
        LATERAL,
    )
