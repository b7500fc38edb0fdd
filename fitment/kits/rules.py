"""The rules of a kit as a whole; those of the joints stand with the joints."""

from __future__ import annotations

from fitment.joints.registration import Rule

PART_NOT_NAMED = "kit-01"
NO_CHECK = "kit-02"


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
    )
