"""The pages of the rules on made parts put between two others, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

ROOM = Rule(
    code="adapter-01",
    title="both threads within the adapter's length",
    checks="Whether the two threads of an adapter, as deep or as long as recorded, have room one behind the other.",
    formula="length - (depth of a + depth of b), above 0.",
    source="Geometry.",
    limits="None.",
    leaves_out="Run-out, undercut and the metal between the threads. Engagement is thread-04 at either end, the net "
    "section net-03, the wall of a taper sleeve sleeve-01.",
)
TRUE = Rule(
    code="adapter-02",
    title="concentricity of a made part",
    checks="Whether the run-out of one end to the other was recorded and is within its limit.",
    formula="adapter_runout - concentricity, half the full swing of a dial gauge between centres.",
    source="Common practice, no source.",
    limits="adapter_runout.",
    leaves_out="Squareness of the faces; a bend that a run-out at one plane does not show.",
)
MARKING = Rule(
    code="adapter-03",
    title="marking of a made part",
    checks="Whether drawing, revision, and a lot or serial number are recorded as marked on the part.",
    formula="None: a made or bought part that cannot be told from another is not known.",
    source="Common practice, no source.",
    limits="None.",
    leaves_out="Whether the part agrees with its drawing beyond what was measured.",
)
MATERIAL = Rule(
    code="adapter-04",
    title="material of a made part",
    checks="Whether material, condition and the certificate of the material are recorded.",
    formula="None: without them, or with a certificate recorded as none, what it is made of is not known.",
    source="Common practice, no source; a recall of steering arms that were not heat-treated as specified.",
    limits="None.",
    leaves_out="Strength, hardness and fatigue. The certificate itself, which the certifier reads.",
)
COATING = Rule(
    code="adapter-05",
    title="coating and baking of a made part",
    checks="Whether its coating is recorded, none included, and for an electroplated one the baking record.",
    formula="None: an electroplated part without a baking record is not known.",
    source="Plating may embrittle steels of high strength: from memory. Rules: fitment explain plating.",
    limits="None.",
    leaves_out="Which baking the steel needs. Coatings whose words do not say that they are electroplated.",
)
RULES = (ROOM, TRUE, MARKING, MATERIAL, COATING)
