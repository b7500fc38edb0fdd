"""A boot's two necks: the large one on the rack's housing, the small one on the tie rod."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from fitment.elementwise import maximum, minimum
from fitment.finding import Finding, Gap, Use, Verdict, held_back
from fitment.frozen import dataclass
from fitment.joints import boot_rules as pages
from fitment.joints.answering import Size, answer, formula, lacking, mm, size_of, with_figures
from fitment.joints.registration import Feature, JointKind, Setting

RUBBER, PLASTIC = "rubber", "thermoplastic"
#: words by which a recorded material is known; a thermoplastic rubber hardly stretches, so that they are asked first
_PLASTICS = ("plastic", "tpe", "tpv", "tpu")
_RUBBERS = ("rubber", "neoprene", "nitrile", "silicone", "epdm")

_GROOVE = "A boot's neck needs a groove or bead to sit in, and a clip: look at both."


def material_of(boot: Feature) -> tuple[str, tuple[Use, ...]] | Gap:
    """`RUBBER` or `PLASTIC` with the reading that says so; the gap where none does."""
    use = boot.get("material")
    if use is None:
        return boot.gap("material")
    for kind, words in ((PLASTIC, _PLASTICS), (RUBBER, _RUBBERS)):
        if any(word in use.word.casefold() for word in words):
            return kind, (use,)
    return Gap(boot.name, "material", f'"{use.word}" names neither rubber nor thermoplastic')


@dataclass(frozen=True)
class _Neck:
    """A neck on its land: their sizes, how far rubber may be under it (mm), and what rubber leaves of that (mm)."""

    code: str
    title: str
    joint: tuple[str, str]
    land: Size
    neck: Size
    least: float
    most: float
    rubber: Callable[[Any, Any], Any]

    @property
    def under(self) -> Size:
        return formula(lambda land, neck: land - neck, self.land, self.neck)


def _housing(rack: Feature, boot: Feature, setting: Setting) -> list[Finding]:
    side = setting.facts.get("side")
    land = (
        size_of(rack, f"boot-seat-{side}")
        if side
        else lacking(Gap(rack.name, "boot-seat", "it is not said on which side the boot sits"))
    )
    least, most, stretch = (setting.limits[name].value for name in ("boot_land_min", "boot_land_max", "boot_stretch"))

    def rubber(land: Any, neck: Any) -> Any:
        under = land - neck
        return minimum(minimum(under - least, most - under), stretch * neck - under)

    joint, neck = (rack.name, boot.name), size_of(boot, "large")
    return [_finding(_Neck(pages.HOUSING.code, "large neck", joint, land, neck, least, most, rubber), boot, setting)]


def _rod(rod: Feature, boot: Feature, setting: Setting) -> list[Finding]:
    least, most = (setting.limits[name].value for name in ("boot_rod_min", "boot_rod_max"))

    def rubber(land: Any, neck: Any) -> Any:
        return minimum(land - neck - least, most - (land - neck))

    joint, land, neck = (rod.name, boot.name), size_of(rod, "rod-dia"), size_of(boot, "small")
    return [_finding(_Neck(pages.ROD.code, "small neck", joint, land, neck, least, most, rubber), boot, setting)]


def _finding(one: _Neck, boot: Feature, setting: Setting) -> Finding:
    match = setting.limits["boot_match"].value
    material = material_of(boot)
    rubber = formula(one.rubber, one.land, one.neck)
    plastic = formula(lambda under: match - abs(under), one.under)
    kind, uses = ("", ()) if isinstance(material, Gap) else material
    margin = {RUBBER: rubber, PLASTIC: plastic}.get(kind) or formula(maximum, rubber, plastic)
    finding = answer(one.code, one.joint, margin, "mm", setting, lambda: _told(one, kind, match))
    finding = replace(finding, uses=(*finding.uses, *uses), cautions=(_GROOVE,))
    if isinstance(material, Gap) and finding.verdict is Verdict.FITS:
        because = f"{finding.because}; of which it is made is not known: {material.why}"
        finding = replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=(material,))
    stretch = formula(lambda under, neck: 100 * under / neck, one.under, one.neck)
    return held_back(with_figures(finding, {"neck_under": (one.under, "mm"), "neck_stretch": (stretch, "%")}, setting))


def _told(one: _Neck, kind: str, match: float) -> str:
    asked = {
        RUBBER: f"{mm(one.least)} to {mm(one.most)} under is usual for rubber",
        PLASTIC: f"a {PLASTIC} boot hardly stretches and must match within {mm(match)}",
    }
    under = one.under.central
    lies = f"{mm(abs(under))} {'under' if under >= 0 else 'over'}"
    told = asked[kind] if kind else "; ".join(asked.values())
    share = 100 * under / one.neck.central
    stretch = f", {share:.1f} % of stretch" if under > 0 else ""
    return f"the {one.title} of {mm(one.neck.central)} is {lies} its seat of {mm(one.land.central)}{stretch}; {told}"


def _no_key(feature: Feature) -> None:
    """A boot has no designation by which it must agree with what it sits on."""


HOUSING = JointKind(
    name="boot-housing",
    between=(frozenset({"rack-body"}), frozenset({"boot-body"})),
    requires=(("boot-seat-left", "boot-seat-right"), ("large", "material")),
    key=_no_key,
    rules=(pages.HOUSING,),
    works=(),
    check=_housing,
)
ROD = JointKind(
    name="boot-rod",
    between=(frozenset({"rod-body"}), frozenset({"boot-body"})),
    requires=(("rod-dia",), ("small", "material")),
    key=_no_key,
    rules=(pages.ROD,),
    works=(),
    check=_rod,
)
