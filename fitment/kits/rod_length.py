"""The length of the tie rods, left and right: whether either can be set to what the car asks for, and toe set by it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fitment.elementwise import minimum
from fitment.finding import Figure, Finding, Gap, held_back
from fitment.geometry import rod_length as geometry
from fitment.joints.answering import Size, answer, figures_of, formula, lacking, mm, size_of
from fitment.joints.registration import Setting, missing
from fitment.kits import rod_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.car_corner import wheel_on_car
from fitment.kits.kit import Kit
from fitment.kits.rack_place import RackPlace, rack_place, why_not_asked
from fitment.kits.report import JointSummary
from fitment.kits.rod_cautions import between_sides, on_turning
from fitment.kits.rod_sizes import Adjuster, RodParts, adjuster, coordinates, half_spacing, rod_parts, rod_size
from fitment.kits.roles import SIDES
from fitment.kits.whole import Looked, WholeKitCheck

#: which way along the bar the inner ball of a side lies: the car's left is positive
_WAY = {"left": 1.0, "right": -1.0}

Point = tuple[Size, Size, Size]


@dataclass(frozen=True)
class Rod:
    """The tie rod of one side in the car.

    Attributes:
        parts: what it is made of.
        joint: names of its two balls.
        outer: where its outer ball is, in car coordinates.
        told: what that takes for granted; "" where there is nothing to tell.
        needed: ball centre to ball centre as the car asks for.
        raised: how much `needed` grows per mm by which the outer ball is raised.
    """

    parts: RodParts
    joint: tuple[str, str]
    outer: Point
    needed: Size
    raised: Size
    told: str


@dataclass(frozen=True)
class Reach:
    """What an assembly can be set to.

    Attributes:
        adjuster: its thread.
        rod, end: what either side of the thread is long, from its ball centre to its end.
        longest, shortest: ball centre to ball centre.
    """

    adjuster: Adjuster
    rod: Size
    end: Size
    longest: Size
    shortest: Size


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """The length of either tie rod; not looked at where nothing tells of either of its ends."""
    if (why := why_not_asked(kit, assembly)) is not None:
        return Looked(not_checked=(why,))
    place = rack_place(kit, assembly)
    left, right = (_rod(rod_parts(kit, assembly, side), place, assembly, setting) for side in SIDES)
    origin = None if isinstance(place, Gap) else place.origin[1]
    shared, figures = between_sides(left, right, origin, setting)
    summaries = []
    for rod in (left, right):
        findings = _findings(rod, place, kit, setting)
        last = findings[-1]
        told_of_eye = (rod.told,) if rod.told else ()
        last = replace(last, figures={**last.figures, **figures}, cautions=(*last.cautions, *told_of_eye, *shared))
        side = rod.parts.side
        told = tuple(held_back(one) for one in (*findings[:-1], last))
        summaries.append(JointSummary(f"{side}.{CHECK.row}", side, f"{side} tie-rod length", rod.joint, told))
    return Looked(tuple(summaries))


CHECK = WholeKitCheck("rod-length", look)


def _rod(parts: RodParts, place: RackPlace | Gap, assembly: Assembly, setting: Setting) -> Rod:
    side = parts.side
    wheel = wheel_on_car(assembly, side)
    outer, half, way = coordinates(wheel.eye), half_spacing(parts, setting.draws), _WAY[side]
    origin, bar = ((lacking(place),) * 3,) * 2 if isinstance(place, Gap) else (place.origin, place.bar)
    x, y, z = (
        formula(lambda middle, along, length: middle + way * along * length, *pair, half)
        for pair in zip(origin, bar, strict=True)
    )
    needed, raised = (
        formula(lambda *six, of=of: of(six[:3], six[3:]), x, y, z, *outer) for of in (geometry.distance, geometry.slope)
    )
    rack = parts.rack.name if parts.rack is not None else "rack"
    joint = (f"{rack} {side} inner ball", f"{assembly.target.name} {side} outer ball")
    return Rod(parts, joint, outer, needed, raised, wheel.eye_told)


def _reach(parts: RodParts, kit: Kit, setting: Setting) -> Reach | tuple[Gap, ...]:
    if parts.gaps or parts.rod is None or parts.end is None:
        return parts.gaps
    thread = adjuster(parts.rod, parts.end, setting)
    rod, end = rod_size(parts, kit), size_of(parts.end.features["body"], "centre")
    if not isinstance(thread, Adjuster):
        return (*rod.gaps, *end.gaps, *thread)
    longest, shortest = (formula(geometry.assembled_length, rod, end, deep) for deep in (thread.least, thread.most))
    gaps = tuple(dict.fromkeys((*longest.gaps, *shortest.gaps)))
    return gaps or Reach(thread, rod, end, longest, shortest)


def _findings(rod: Rod, place: RackPlace | Gap, kit: Kit, setting: Setting) -> list[Finding]:
    """The findings of one side, at least one."""
    reach = _reach(rod.parts, kit, setting)
    findings = [missing(pages.PLACE.code, rod.joint, [place])] if isinstance(place, Gap) else []
    lacks = [gap for gap in rod.needed.gaps if gap != place and gap not in rod.parts.gaps]
    if lacks:
        findings.append(missing(pages.NEEDED.code, rod.joint, lacks, rod.needed.uses))
    if not isinstance(reach, Reach):
        findings.append(missing(pages.RANGE.code, rod.joint, list(reach)))
    elif rod.needed.known:
        findings.append(_range(rod, reach, setting))
    else:
        figures = figures_of({"longest": (reach.longest, "mm"), "shortest": (reach.shortest, "mm")}, setting.draws)
        findings[-1] = replace(findings[-1], figures=figures)
    return findings


def _range(rod: Rod, reach: Reach, setting: Setting) -> Finding:
    toe, thread, needed = setting.limits["toe_range"].value, reach.adjuster, rod.needed
    out = formula(lambda longest, length: longest - (length + toe), reach.longest, needed)
    back = formula(lambda length, shortest: (length - toe) - shortest, needed, reach.shortest)
    engaged = formula(geometry.engaged_at, reach.rod, reach.end, needed)
    margin = formula(minimum, out, back)
    finding = answer(
        pages.RANGE.code, rod.joint, margin, "mm", setting, lambda: _told(rod, reach, toe, out, back, engaged)
    )
    sizes = {
        "needed_length": (needed, "mm"),
        "set_engagement": (engaged, "mm"),
        "exposed_thread": (formula(lambda male, deep: male - deep, thread.male, engaged), "mm"),
        "exposed_at_longest": (formula(lambda male, deep: male - (deep - toe), thread.male, engaged), "mm"),
        "exposed_at_shortest": (formula(lambda male, deep: male - (deep + toe), thread.male, engaged), "mm"),
        "full_thread_at_longest": (formula(lambda deep: deep - toe - 2 * thread.thread.pitch, engaged), "mm"),
        "range_left_out": (out, "mm"),
        "range_left_in": (back, "mm"),
        "range_total": (formula(lambda out_to, in_to: out_to - in_to, reach.longest, reach.shortest), "mm"),
        "longest": (reach.longest, "mm"),
        "shortest": (reach.shortest, "mm"),
        "length_per_mm_raised": (rod.raised, ""),
    }
    figures = figures_of(sizes, setting.draws) | {
        "full_thread_needed": Figure(thread.full, None, "mm"),
        "length_per_turn": Figure(thread.thread.pitch, None, "mm"),
        "length_per_half_turn": Figure(thread.thread.pitch / 2, None, "mm"),
    }
    uses = tuple(dict.fromkeys((*finding.uses, *thread.uses)))
    return replace(finding, figures=figures, uses=uses, cautions=on_turning(rod.parts))


def _told(rod: Rod, reach: Reach, toe: float, out: Size, back: Size, engaged: Size) -> str:
    """The sentence with the numbers: first what fails, else where the adjuster stands."""
    needed, thread, side = rod.needed.central, reach.adjuster, rod.parts.side
    asked = f"{mm(thread.least.central)} of thread engaged ({mm(thread.full)} of it full, {thread.reason})"
    failures = []
    if out.central < 0:
        failures.append(
            f"with {mm(needed + toe)} at the longest toe setting and {asked} it reaches {mm(reach.longest.central)}: "
            f"too short by {mm(-out.central)}"
        )
    if back.central < 0:
        failures.append(
            f"with {mm(needed - toe)} at the shortest toe setting it stops at {mm(reach.shortest.central)}, "
            f"{mm(thread.most.central)} engaged: too long by {mm(-back.central)}"
        )
    must = f"the {side} rod must be {mm(needed)} ball to ball"
    if failures:
        return f"{must}; {'; '.join(failures)}"
    full = engaged.central - 2 * thread.thread.pitch
    return (
        f"{must}; set so, {mm(full)} of full thread is engaged and {mm(thread.male.central - engaged.central)} is out, "
        f"at the longest toe setting {mm(full - toe)} where {mm(thread.full)} is asked ({thread.reason}); "
        f"{mm(out.central)} is left to lengthen and {mm(back.central)} to shorten"
    )
