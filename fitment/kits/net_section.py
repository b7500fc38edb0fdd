"""Net sections of the rods' threads and of adapters, as ratios to the parts that they join; no promise of strength."""

from __future__ import annotations

from dataclasses import replace
from math import pi
from typing import TYPE_CHECKING

from fitment.catalogue.found import FoundPart
from fitment.elementwise import minimum
from fitment.errors import DataFault
from fitment.finding import Finding, Gap, Verdict, held_back
from fitment.joints.answering import Size, answer, formula, lacking, size_of, with_figures
from fitment.joints.registration import Feature, Setting, missing
from fitment.joints.thread_ends import thread_gap, thread_of
from fitment.kits import net_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.chain import address_of
from fitment.kits.joint import Joint
from fitment.kits.kit import Kit
from fitment.kits.report import JointSummary
from fitment.kits.roles import SIDES
from fitment.kits.whole import Looked, WholeKitCheck
from fitment.standards.strength import stress_area

if TYPE_CHECKING:
    from fitment.elementwise import Values

Pair = tuple[str, str]


def round_area(diameter: Values) -> Values:
    """Area of a round section, mm2: (pi/4) d^2; d in mm."""
    return pi / 4.0 * diameter**2


def ring_area(hole: Values, wall: Values) -> Values:
    """Area of a ring round a hole, mm2: pi w (d + w).

    Args:
        hole: d, its diameter, mm; of a female thread its nominal diameter, the largest of the hole.
        wall: w, at its thinnest, mm.
    """
    return pi * wall * (hole + wall)


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """The net sections of either side; what no reading tells is listed as not checked."""
    summaries, lacks = [], []
    for side in SIDES:
        findings, lacking_here = _side(assembly, side, setting)
        lacks += lacking_here
        if findings:
            joint = (findings[0].joint[0], findings[-1].joint[1])
            told = tuple(held_back(finding) for finding in findings)
            summaries.append(JointSummary(f"{side}.{CHECK.row}", side, f"{side} net sections", joint, told))
    unread = list(dict.fromkeys(lacks))
    if unread:
        why = f"nothing is recorded of {', '.join(unread)}"
    elif not summaries:
        why = "the kit names no tie rod and no threads that meet"
    else:
        why = ""
    return Looked(tuple(summaries), (why,) if why else ())


CHECK = WholeKitCheck("net-section", look)


def _side(assembly: Assembly, side: str, setting: Setting) -> tuple[list[Finding], list[str]]:
    findings, lacks = [], []
    rod = assembly.found.get(address_of("tie_rod", side))
    if rod is not None:
        plain = _plain(rod, setting)
        findings += [plain] if plain is not None else []
        lacks += [f"{rod.name} body rod-dia"] if plain is None else []
    joints = [one for one in assembly.joints if one.side == side and one.kind is not None and one.kind.name == "thread"]
    made = [part for ref, part in assembly.adapters if any(at.startswith(f"{side}.") for at in ref.between)]
    for joint in joints:
        female = _female(joint)
        if female is None or any(female.name.startswith(f"{part.name} ") for part in made):
            continue
        if "wall" in female.values or "wall" in female.gaps:
            findings.append(_wall(joint, female, setting))
        else:
            lacks.append(f"{female.name} wall")
    findings += [found for part in made if (found := _adapter(part, joints, setting)) is not None]
    return findings, lacks


def _sex(end: Feature) -> str:
    use = end.get("sex")
    return "" if use is None else use.word


def _female(joint: Joint) -> Feature | None:
    """The female end of two of which the one is male and the other female."""
    ends = joint.ends or ()
    if sorted(_sex(end) for end in ends) != ["female", "male"]:
        return None
    return next(end for end in ends if _sex(end) == "female")


def _root(end: Feature) -> Size:
    """Stress area of a male thread, mm2."""
    thread, use = thread_of(end), end.get("thread")
    if thread is None or use is None:
        return lacking(thread_gap(end))
    try:
        area = stress_area(thread)
    except DataFault as fault:
        return lacking(Gap(end.name, "thread", fault.message))
    return Size(lambda pick: area, (use,))


def _ring(end: Feature, wall: Size) -> Size:
    """Area of the metal over a female thread, mm2."""
    thread, use = thread_of(end), end.get("thread")
    if thread is None or use is None:
        return lacking(thread_gap(end), *wall.gaps)
    nominal = thread.nominal
    return replace(formula(lambda thin: ring_area(nominal, thin), wall), uses=(*wall.uses, use))


def _section(end: Feature, wall: Size) -> Size:
    """Net section of a threaded end, mm2; `wall` is the metal over it where it is female."""
    sex = _sex(end)
    if sex == "male":
        return _root(end)
    return _ring(end, wall) if sex == "female" else lacking(end.gap("sex"))


def _least(*sizes: Size) -> Size:
    least = sizes[0]
    for size in sizes[1:]:
        least = formula(minimum, least, size)
    return least


def _ratio(code: str, joint: Pair, section: Size, parent: Size, told: tuple[str, str], setting: Setting) -> Finding:
    """The finding on a section and what it is held against; `told` names the two."""
    least = setting.limits["net_section_ratio"].value
    ratio = formula(lambda one, other: one / other, section, parent)

    def words() -> str:
        return (
            f"{told[0]} has {section.central:.1f} mm2 and {told[1]} {parent.central:.1f} mm2, a ratio of "
            f"{ratio.central:.2f} where {least:g} at least is asked; a ratio is no promise of strength"
        )

    finding = answer(code, joint, formula(lambda value: value - least, ratio), "", setting, words)
    if finding.margin is not None and finding.margin.u == 0 and finding.margin.value == 0:
        # one thread on both: at least is met, and no reading can move it
        finding = replace(finding, verdict=Verdict.FITS, because=words(), gaps=())
    return with_figures(finding, {"net_section_ratio": (ratio, "")}, setting)


def _plain(rod: FoundPart, setting: Setting) -> Finding | None:
    """net-01; None where nothing is recorded of the rod's plain part."""
    body = rod.features["body"]
    if "rod-dia" not in body.values and "rod-dia" not in body.gaps:
        return None
    ends = [rod.features[name] for name in ("inner", "outer")]
    joint = (body.name, ends[1].name)
    roots = [root for end in ends if _sex(end) != "female" and (root := _root(end)).known]
    if not roots:
        return missing(pages.PLAIN.code, joint, [thread_gap(end) for end in ends if thread_of(end) is None])
    plain = formula(round_area, size_of(body, "rod-dia"))
    told = (f"the plain part of {rod.name}", "the root of its weakest thread")
    return _ratio(pages.PLAIN.code, joint, plain, _least(*roots), told, setting)


def _wall(joint: Joint, female: Feature, setting: Setting) -> Finding:
    """net-02."""
    (male,) = (end for end in joint.ends or () if end is not female)
    ring, told = _ring(female, size_of(female, "wall")), (f"the metal over {female.name}", f"the root of {male.name}")
    return _ratio(pages.WALL.code, joint.names, ring, _root(male), told, setting)


def _adapter(part: FoundPart, joints: list[Joint], setting: Setting) -> Finding | None:
    """net-03; None where the adapter does not stand between two threads."""
    ends: list[Feature] = []
    parents: list[Feature] = []
    for joint in joints:
        if joint.ends is None:
            continue
        for one, other in (joint.ends, joint.ends[::-1]):
            if one.name.startswith(f"{part.name} "):
                ends.append(one)
                parents.append(other)
    if len(ends) != 2:
        return None
    body = part.features["body"]
    own = _least(*(_section(end, _wall_of(end, body)) for end in ends))
    sections = [_section(parent, size_of(parent, "wall")) for parent in parents]
    known = [section for section in sections if section.known]
    pair, told = (parents[0].name, parents[1].name), (f"adapter {part.name}", "the thinner of the parts that it joins")
    if not known:
        gaps = [gap for section in sections for gap in section.gaps]
        return missing(pages.ADAPTER.code, pair, [*own.gaps, *gaps], own.uses)
    finding = _ratio(pages.ADAPTER.code, pair, own, _least(*known), told, setting)
    # the thinner of two is no thicker than the one that is known: enough to pass, not enough to fail
    if len(known) == 2 or finding.verdict is not Verdict.DOES_NOT_FIT:
        return finding
    gaps = [gap for section in sections for gap in section.gaps]
    because = f"{finding.because}; of the other part no section is recorded, which may be thinner"
    return replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=tuple(gaps))


def _wall_of(end: Feature, body: Feature) -> Size:
    """Metal over a female end of an adapter: its own wall, or the thinnest section of the whole adapter."""
    wall = size_of(end, "wall")
    return wall if wall.known or "wall" in end.gaps else size_of(body, "section")
