"""The pages of the rules on lock and turning circle, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

LOCK = Rule(
    code="turn-01",
    title="lock",
    checks="How far the inner and the outer wheel turn at either lock, and how near that is to Ackermann, beside what "
    "was measured on the car as it came. A kit that states lock_least makes it a limit; else figures, no verdict.",
    formula="Steer angle of the inner wheel at the first stop - lock_least, at either lock. First stop: the lesser of "
    "the bar's travel and where the knuckles' stops act. Ackermann 100 (i - o)/(i - o'), cot o' = cot i + kingpin "
    "track/wheelbase.",
    source="Geometry, 500 samples; Ackermann: common definition, others are in use. lock_least: own suggestion, no "
    "source.",
    limits="lock_least, where the kit states it.",
    leaves_out="The arm's eye is that of rod-02. "
    "What the tyres touch before (stop-01). A knuckle's stop that nobody measured may act sooner: then "
    "nothing passes. The outer ball is where the survey has it. Slip angles.",
)
CIRCLE = Rule(
    code="turn-02",
    title="turning circle",
    checks="The circle kerb to kerb at either lock, beside the one measured on the car as it came. A kit that states "
    "turning_circle makes it a limit; else figures, no verdict.",
    formula="turning_circle - circle; circle = 2 (wheelbase/sin(outer angle) + scrub radius of the outer wheel) + "
    "width of the tyre.",
    source="Geometry at walking pace, the turn's centre on the rear axle's line. turning_circle: own suggestion, no "
    "source.",
    limits="turning_circle, where the kit states it.",
    leaves_out="Slip and the tyre's flex: a car measured with chalk turns a little wider or tighter. As turn-01.",
)
RULES = (LOCK, CIRCLE)
