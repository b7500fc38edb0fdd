"""Strength of bolts and nuts by their marks: ISO 898-1, ISO 898-2, SAE J429; and rules for the length of engagement."""

from __future__ import annotations

from functools import cache
from math import floor, log10

from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.standards.strength import stress_area
from fitment.standards.table_files import rows
from fitment.standards.threads import MM_PER_INCH, SAME, Thread, inch_size

MPA_PER_KSI = 6.894757293168


@dataclass(frozen=True)
class BoltStrength:
    """What a mark on a bolt's head promises, MPa.

    Attributes:
        mark: ``8.8``, ``10.9`` or an SAE grade, ``5``.
        tensile: least tensile strength Rm.
        yield_stress: least 0.2 % proof stress (ISO) or yield strength (SAE).
        proof: proof (test) stress.
        source, source_kind: where the row comes from.
    """

    mark: str
    tensile: float
    yield_stress: float
    proof: float
    source: str
    source_kind: str


@dataclass(frozen=True)
class ProofLoad:
    """A test load.

    Attributes:
        load: N.
        source, source_kind: where it comes from; "computed" where no table is held.
    """

    load: float
    source: str
    source_kind: str


@dataclass(frozen=True)
class EngagementRule:
    """A rule on the length of engagement.

    Attributes:
        name: short name, ``steering adjuster``.
        what: what the value says.
        value: in `unit`.
        unit: "x d" for diameters, "threads", "in", or "" for a plain number.
        source, source_kind, note: where it comes from; most are common practice.
    """

    name: str
    what: str
    value: float
    unit: str
    source: str
    source_kind: str
    note: str


def property_class(mark: str, nominal: float) -> BoltStrength:
    """Strength of a metric bolt by its property class (ISO 898-1).

    Args:
        mark: ``8.8``, ``10.9`` or ``12.9``.
        nominal: mm, up to 39; the values of 8.8 change at 16.

    Raises:
        DataFault: no such class here, or no such size.
    """
    for row in rows("fasteners_property_classes"):
        if row["class"] == mark and float(row["d_over_mm"]) < nominal <= float(row["d_to_mm"]):
            return BoltStrength(
                mark,
                float(row["Rm_min_MPa"]),
                float(row["Rp02_min_MPa"]),
                float(row["proof_MPa"]),
                row["source"],
                row["source_kind"],
            )
    raise DataFault(
        f"no strength is held for property class {mark} at {nominal:g} mm",
        mending="held: "
        + ", ".join(dict.fromkeys(row["class"] for row in rows("fasteners_property_classes")))
        + " up to 39 mm",
        code="strength-02",
    )


def sae_grade(mark: str, nominal: float) -> BoltStrength:
    """Strength of an inch bolt by its SAE J429 grade.

    Args:
        mark: ``5`` or ``8``.
        nominal: mm, from 1/4 to 1-1/2 in.

    Raises:
        DataFault: no such grade here, or no such size.
    """
    for row in rows("fasteners_sae_grades"):
        least, most = (float(inch_size(row[name])) * MM_PER_INCH for name in ("d_from_in", "d_to_in"))
        if row["grade"] == mark and least - SAME <= nominal <= most + SAME:
            return BoltStrength(
                mark,
                float(row["tensile_min_ksi"]) * MPA_PER_KSI,
                float(row["yield_min_ksi"]) * MPA_PER_KSI,
                float(row["proof_ksi"]) * MPA_PER_KSI,
                row["source"],
                row["source_kind"],
            )
    raise DataFault(
        f"no strength is held for SAE grade {mark} at {nominal / MM_PER_INCH:g} in",
        mending="held: grades 5 and 8 from 1/4 to 1-1/2 in",
        code="strength-02",
    )


def bolt_proof_load(thread: Thread, mark: str) -> ProofLoad:
    """Proof load of a metric bolt (ISO 898-1): tabulated, or stress area and proof stress, each to three figures.

    Raises:
        DataFault: not metric, or no such class.
    """
    if thread.form != "M":
        raise DataFault(
            f"no proof load is held for {thread.designation}",
            mending="use a metric thread, or SAE J429 stresses with the stress area",
            code="strength-03",
        )
    for row in rows("fasteners_bolt_proof_loads"):
        if thread.series == "coarse" and row["size"] == f"M{thread.nominal:g}" and row["class"] == mark:
            return ProofLoad(float(row["proof_load_N"]), row["source"], row["source_kind"])
    proof = property_class(mark, thread.nominal).proof
    load = _three_figures(_three_figures(stress_area(thread)) * proof)
    return ProofLoad(load, "ISO 898-1 rule As x Sp", "computed")


def nut_proof_load(nominal: float, mark: str, style: str) -> ProofLoad:
    """Proof load of a coarse metric nut (ISO 898-2). A nut to the old DIN 934 is lower and carries less.

    Args:
        nominal: mm.
        mark: property class ``8``, ``10`` or ``12``.
        style: ``1`` (ISO 4032) or ``2`` (higher).

    Raises:
        DataFault: no such row is held.
    """
    for row in rows("fasteners_nut_proof_loads"):
        if row["size"] == f"M{nominal:g}" and row["class"] == mark and row["style"] == style:
            return ProofLoad(float(row["proof_load_N"]), row["source"], row["source_kind"])
    held = {f"M{nominal:g} class {row['class']} style {row['style']}" for row in rows("fasteners_nut_proof_loads")}
    raise DataFault(
        f"no proof load is held for a nut M{nominal:g} class {mark} style {style}",
        mending=nearest(f"M{nominal:g} class {mark} style {style}", held),
        code="strength-03",
    )


@cache
def engagement_rules() -> dict[str, EngagementRule]:
    """Rules of workshops and of other trades on the length of engagement, by name; none is a law of the road."""
    return {
        row["name"]: EngagementRule(
            row["name"],
            row["what"],
            float(row["value"]),
            row["value_unit"],
            row["source"],
            row["source_kind"],
            row["note"],
        )
        for row in rows("threads_engagement_rules")
    }


def _three_figures(value: float) -> float:
    scale: float = 10.0 ** (floor(log10(value)) - 2)
    return round(value / scale) * scale
