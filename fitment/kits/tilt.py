"""Tilt of the ball joints: what bump and lock ask of the outer and the inner joint, against what either can do."""

from __future__ import annotations

from dataclasses import replace

from fitment.catalogue.found import FoundPart
from fitment.elementwise import maximum
from fitment.finding import Basis, Finding, Gap, Use, Verdict
from fitment.joints.answering import Size, answer, formula, half_width_u, lacking, reading, size_of, with_figures
from fitment.joints.registration import Setting
from fitment.joints.tilt import tilt_between_cheeks, tilt_to_ball_face
from fitment.kits import tilt_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.chain import address_of
from fitment.kits.kit import Kit
from fitment.kits.rack_place import CROSSMEMBER, SAY_WHERE
from fitment.kits.report import JointSummary
from fitment.kits.rod_sizes import RodParts, rod_parts
from fitment.kits.roles import SIDES
from fitment.kits.tilt_grid import Swing, surveyed, swing_of
from fitment.kits.whole import Looked, WholeKitCheck
from fitment.quantity.parse import parse_quantity

#: half-width of an angle of a joint taken on the car, deg; common practice, no source
_TAKEN = 1.0
_LEANS = "write eye_leans in [{side}], in, out, ahead or behind, as the top of its axis leans off the steering axis"
_STATE = "state tilt_inner and tilt_outer in [left] and [right]"


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """The tilt of both joints of either side; not looked at where nothing tells how far they must tilt."""
    if not any(key in kit.facts.get(side, {}) for side in SIDES for key in ("tilt_inner", "tilt_outer")):
        if not any(surveyed(assembly, side) for side in SIDES):
            return Looked(not_checked=(f"the suspension of {assembly.target.name} is not surveyed; {_STATE}",))
        if kit.seat.position is None and kit.seat.box is None and CROSSMEMBER not in assembly.found:
            return Looked(not_checked=(f"the kit does not say where the rack sits: {SAY_WHERE}; or {_STATE}",))
    return Looked(tuple(_summary(kit, assembly, side, setting) for side in SIDES))


CHECK = WholeKitCheck("tilt", look)


def stated(kit: Kit, side: str, key: str) -> Size | None:
    """The extreme that the kit states for one joint, deg."""
    text = kit.facts.get(side, {}).get(key)
    if text is None:
        return None
    value, u = parse_quantity(text, "angle").value, half_width_u(_TAKEN)
    source, shape = "the kit file", "rectangular"
    return reading(Use(f"kit {side}", key, value, u, "deg", Basis.STATED, source=source, shape=shape, shown=text))


def larger(linkage: Size, said: Size | None) -> Size:
    """The larger of what the linkage asks and what the kit states; the one that there is."""
    if said is None:
        return linkage
    return formula(maximum, linkage, said) if linkage.known else said


def _summary(kit: Kit, assembly: Assembly, side: str, setting: Setting) -> JointSummary:
    parts, asked = rod_parts(kit, assembly, side), swing_of(kit, assembly, side, setting)
    findings = (_outer(kit, assembly, parts, asked, setting), _inner(kit, parts, asked, setting))
    return JointSummary(
        f"{side}.{CHECK.row}", side, f"{side} tilt of the ball joints over bump and lock", findings[0].joint, findings
    )


def _inner(kit: Kit, parts: RodParts, asked: Swing, setting: Setting) -> Finding:
    holder = parts.joint or parts.rod
    limit = lacking(*parts.gaps) if holder is None else size_of(holder.features["body"], "tilt")
    needed = larger(asked.inner, stated(kit, parts.side, "tilt_inner"))
    name = holder.name if holder is not None else f"{parts.side} tie rod"
    joint = (f"{name} inner ball", parts.rack.name if parts.rack is not None else "rack")
    finding = _finding(pages.INNER.code, joint, parts.side, needed, limit, asked.inner_at, setting)
    return with_figures(finding, {"needed_tilt": (needed, "deg"), "tilt_limit": (limit, "deg")}, setting)


def _outer(kit: Kit, assembly: Assembly, parts: RodParts, asked: Swing, setting: Setting) -> Finding:
    side, end = parts.side, parts.end
    knuckle = assembly.found.get(address_of("knuckle", side))
    joint = (
        end.name if end is not None else f"{side} rod end",
        knuckle.features["eye"].name if knuckle is not None else f"{side} knuckle",
    )
    said, limit = stated(kit, side, "tilt_outer"), lacking(*parts.gaps) if end is None else _limit(end)
    needed = larger(asked.outer, said)
    finding = _finding(pages.OUTER.code, joint, side, needed, limit, asked.outer_at, setting)
    if finding.verdict is Verdict.DOES_NOT_FIT:
        least = larger(asked.outer_least, said)
        kindest = _finding(pages.OUTER.code, joint, side, least, limit, asked.outer_at, setting)
        if kindest.verdict is not Verdict.DOES_NOT_FIT:
            gap = Gap(joint[1], "tilt", f"which way the eye leans is not said: {_LEANS.format(side=side)}")
            because = f"{finding.because}, where the eye leans the worst way; {gap.why}"
            finding = replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=(gap,))
    sizes = {"needed_tilt": needed, "tilt_limit": limit, "least_tilt": larger(asked.outer_least, said)}
    if end is not None:
        sizes |= _by_sizes(end)
    return with_figures(finding, {name: (size, "deg") for name, size in sizes.items()}, setting)


def _finding(
    code: str, joint: tuple[str, str], side: str, needed: Size, limit: Size, how: str, setting: Setting
) -> Finding:
    which = "outer" if code == pages.OUTER.code else "inner"

    def words() -> str:
        where = f" ({how})" if how else " (as the kit states)"
        return (
            f"the {side} {which} joint must tilt {needed.central:.1f} deg{where}; {limit.central:.1f} deg is its limit"
        )

    return answer(code, joint, formula(lambda can, must: can - must, limit, needed), "deg", setting, words)


def _limit(end: FoundPart) -> Size:
    """How far an outer joint can tilt: as taken; of a spherical rod end else as between flat cheeks."""
    if "stud" in end.features:
        return size_of(end.features["stud"], "tilt")
    taken = size_of(end.features["body"], "tilt")
    by_sizes = _by_sizes(end)["tilt_between_cheeks"]
    return by_sizes if not taken.known and by_sizes.known and "tilt" not in end.features["body"].gaps else taken


def _by_sizes(end: FoundPart) -> dict[str, Size]:
    """Tilt of a spherical rod end by its sizes, deg; of one with a stud nothing."""
    if "stud" in end.features:
        return {}
    ball, head, face, round_ = (
        size_of(end.features["body"], name) for name in ("ball-width", "body-width", "face-dia", "head-dia")
    )
    return {
        "tilt_between_cheeks": formula(tilt_between_cheeks, ball, head, round_),
        "tilt_to_ball_face": formula(tilt_to_ball_face, ball, head, face),
    }
