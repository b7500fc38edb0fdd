"""The pages of the rules on how far the boots are squashed and stretched, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

_LENGTH = (
    "l = sqrt(q^2 + n^2 + 2 q n cos g), q the inner ball ahead of the boot's seat, n ball to neck along the rod, g the "
    "rod's angle to the bar. Straight (g = 0): seat-short and seat-long as taken in the car, else seat-centre less or "
    "more the rack's travel. n = seat-centre - q, q = bar out of the housing + ball-offset. g: rod-angle of the boot, "
    "else what tilt-02 asks of the inner joint. At g one side of the folds takes outside/2 x g (rad) more"
)
_LEAVES = (
    "Stops that end the lock before the rack does; folds that rub on the rod or the housing; heat; a boot turned about "
    "its axis. Lengths taken in another car than this one."
)

CLOSED = Rule(
    code="boot-03",
    title="boot at the lock that squashes it",
    checks="Whether the boot is not squashed solid at the lock that closes it, with the rod straight and at its "
    "largest angle.",
    formula=f"shortest - boot_closed x solid length. {_LENGTH}, or less on the near side.",
    source="Geometry; outside/2 x g: first-order estimate. Not below about 110 % of the solid length: common practice, "
    "no source.",
    limits="boot_closed.",
    leaves_out=_LEAVES,
)
OPEN = Rule(
    code="boot-04",
    title="boot at the lock that stretches it",
    checks="Whether the boot is not stretched too far at the lock that opens it, with the rod straight and at its "
    "largest angle. Also told: whether both boots have the breather that joins them.",
    formula=f"boot_open x longest length - longest. {_LENGTH} on the far side.",
    source="Geometry; outside/2 x g: first-order estimate. Not above about 90 % of the longest length: common "
    "practice, no source.",
    limits="boot_open.",
    leaves_out=f"{_LEAVES} Whether the rack's boots must be joined by a pipe: nothing recorded says so. Two boots "
    "sealed where they should breathe suck one of them in.",
)
RULES = (CLOSED, OPEN)
