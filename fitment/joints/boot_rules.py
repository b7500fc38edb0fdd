"""The pages of the rules on a boot's two necks, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

_MATERIAL = (
    "Rubber is told from thermoplastic by the material recorded of the boot; where none is, what would suit one of the "
    "two is not known."
)
_GROOVE = "Whether there is a groove or bead to hold the neck, and a clip that closes on it: look. Age of the rubber."

HOUSING = Rule(
    code="boot-01",
    title="large neck on the rack's housing",
    checks=f"Whether the boot's large neck sits tight on the housing of its own side without tearing. {_MATERIAL}",
    formula="under = seat - neck. Rubber: the smallest of under - boot_land_min, boot_land_max - under and "
    "boot_stretch x neck - under. Thermoplastic: boot_match - |under|.",
    source="1 to 3 mm under the land, rubber stretched up to about 10 %, thermoplastic to match: common practice, no "
    "source. boot_match: own suggestion, no source.",
    limits="boot_land_min, boot_land_max, boot_stretch, boot_match.",
    leaves_out=_GROOVE,
)
ROD = Rule(
    code="boot-02",
    title="small neck on the tie rod",
    checks=f"Whether the boot's small neck sits tight on the tie rod. {_MATERIAL}",
    formula="under = rod - neck. Rubber: the smaller of under - boot_rod_min and boot_rod_max - under. Thermoplastic: "
    "boot_match - |under|.",
    source="0.5 to 2 mm under the rod: common practice, no source. boot_match: own suggestion, no source.",
    limits="boot_rod_min, boot_rod_max, boot_match.",
    leaves_out=f"{_GROOVE} Whether the rod still turns in the neck when the toe is set.",
)
