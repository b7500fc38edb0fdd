"""The pages of the rules on net sections, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

_NONE = "A ratio of sections and no promise of strength: material, heat treatment, notches, bending and fatigue."

PLAIN = Rule(
    code="net-01",
    title="plain part of the tie rod against its thread",
    checks="Whether the rod at its thinnest is no thinner than the root of its own weakest thread, as one that was "
    "turned down may be. Looked at where the plain diameter is recorded.",
    formula="(pi/4) rod-dia^2 / A, at least net_section_ratio; A the stress area of the rod's weakest male thread.",
    source="Stress area: ISO 898-1, ASME B1.1. The ratio: common practice, no source.",
    limits="net_section_ratio.",
    leaves_out=_NONE,
)
WALL = Rule(
    code="net-02",
    title="wall over a female thread against the thread in it",
    checks="Whether the ring of metal over a female thread is no smaller than the root of the male thread in it. "
    "Looked at where the wall is recorded.",
    formula="pi w (d + w) / A, at least net_section_ratio; w the wall at its thinnest, d the nominal diameter, A the "
    "stress area of the male thread.",
    source="Geometry. Stress area: ISO 898-1, ASME B1.1. The ratio: common practice, no source.",
    limits="net_section_ratio.",
    leaves_out=f"{_NONE} A slot, a cross hole or a witness hole in the wall.",
)
ADAPTER = Rule(
    code="net-03",
    title="adapter against the parts that it joins",
    checks="Whether the net section of an adapter is at least that of the thinner of the two parts that it joins.",
    formula="Net section of an adapter: the least of its ends; a male end has the stress area of its thread, a female "
    "one pi w (d + w), w its wall, or the adapter's section where that is not recorded. Its ratio to the lesser of "
    "the joined parts' threads, at least net_section_ratio.",
    source="Geometry. Stress area: ISO 898-1, ASME B1.1. The thinner of the joined parts: common practice, no source.",
    limits="net_section_ratio.",
    leaves_out=f"{_NONE} Undercuts and the bore between two ends; taper sleeves.",
)
RULES = (PLAIN, WALL, ADAPTER)
