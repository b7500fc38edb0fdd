"""The length of the tie rods, left and right: whether either can be set to what the car asks for, and toe set by it."""

from __future__ import annotations

from dataclasses import replace
from functools import reduce

from fitment.elementwise import minimum
from fitment.finding import Figure, Finding, Gap, held_back
from fitment.frozen import dataclass
from fitment.geometry import rod_length as geometry
from fitment.joints.answering import Size, answer, figures_of, formula, lacking, mm
from fitment.joints.registration import Setting, missing
from fitment.kits import rod_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.car_corner import wheel_on_car
from fitment.kits.kit import Kit
from fitment.kits.rack_place import RackPlace, rack_place, why_not_asked
from fitment.kits.report import JointSummary
from fitment.kits.rod_cautions import between_sides, on_adapters, on_turning
from fitment.kits.rod_reach import Reach, reach_of
from fitment.kits.rod_sizes import RodParts, coordinates, half_spacing, rod_parts
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
        counted: whether it is counted how high the kit's joint holds its ball.
        needed: ball centre to ball centre as the car asks for.
        raised: how much `needed` grows per mm by which the outer ball is raised.
    """

    parts: RodParts
    joint: tuple[str, str]
    outer: Point
    needed: Size
    raised: Size
    told: str
    counted: bool


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """The length of either tie rod; not looked at where nothing tells of either of its ends."""
    if (why := why_not_asked(kit, assembly)) is not None:
        return Looked(not_checked=(why,))
    place = rack_place(kit, assembly)
    left, right = (rod_in_car(rod_parts(kit, assembly, side), place, kit, assembly, setting) for side in SIDES)
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


def rod_in_car(parts: RodParts, place: RackPlace | Gap, kit: Kit, assembly: Assembly, setting: Setting) -> Rod:
    """The tie rod of one side: where its balls lie, and how long it must be."""
    side = parts.side
    wheel = wheel_on_car(kit, assembly, side)
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
    return Rod(parts, joint, outer, needed, raised, wheel.eye_told, wheel.eye_counted)


def _findings(rod: Rod, place: RackPlace | Gap, kit: Kit, setting: Setting) -> list[Finding]:
    """The findings of one side, at least one."""
    reach = reach_of(rod.parts, kit, rod.needed, setting)
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
    left, engaged = reach.left(needed, toe), reach.engaged(needed, toe)
    out, back = left[:2]
    margin = formula(lambda *sizes: reduce(minimum, sizes), *left)
    finding = answer(pages.RANGE.code, rod.joint, margin, "mm", setting, lambda: _told(rod, reach, toe, left, engaged))
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
    if reach.fixed is not None:
        both = formula(geometry.engaged_at, reach.rod, reach.end, needed)
        figures |= figures_of({"adapter_engagement": (reach.fixed.engaged(both, thread, toe), "mm")}, setting.draws)
    uses = tuple(dict.fromkeys((*finding.uses, *reach.uses)))
    cautions = (*on_turning(rod.parts), *on_adapters(rod.parts))
    return replace(finding, figures=figures, uses=uses, cautions=cautions)


def _told(rod: Rod, reach: Reach, toe: float, left: tuple[Size, ...], engaged: Size) -> str:
    """The sentence with the numbers: first what fails, else where the adjuster stands."""
    needed, thread, side = rod.needed.central, reach.adjuster, rod.parts.side
    out, back, *rooms = (size.central for size in left)
    fixed = reach.fixed
    least, most = thread.least.central, thread.most.central
    asked = f"{mm(least)} of thread engaged ({mm(thread.full)} of it full, {thread.reason})"
    deepest = f"{mm(most)} engaged"
    if fixed is not None:
        own = f"{mm(fixed.thread.least.central)} where {fixed.name} is locked to {fixed.on}"
        asked, deepest = f"{asked} and {own}", f"{deepest} and {mm(fixed.thread.home.central)} where it is locked"
    failures = []
    if out < 0:
        failures.append(
            f"with {mm(needed + toe)} at the longest toe setting and {asked} it reaches {mm(reach.longest.central)}: "
            f"too short by {mm(-out)}"
        )
    if back < 0:
        failures.append(
            f"with {mm(needed - toe)} at the shortest toe setting it stops at {mm(reach.shortest.central)}, "
            f"{deepest}: too long by {mm(-back)}"
        )
    if fixed is not None and rooms[0] < 0:
        failures.append(f"{mm(most - least)} of thread to adjust with, where the toe range asks for {mm(2 * toe)}")
    if fixed is not None and rooms[1] < 0:
        home = mm(fixed.thread.home.central)
        failures.append(
            f"{fixed.name} goes {home} together with {fixed.on}, and {mm(fixed.thread.least.central)} is asked"
        )
    must = f"the {side} rod must be {mm(needed)} ball to ball"
    if failures:
        return f"{must}; {'; '.join(failures)}"
    full = engaged.central - 2 * thread.thread.pitch
    locked = ""
    if fixed is not None:
        both = formula(geometry.engaged_at, reach.rod, reach.end, rod.needed)
        deep = mm(fixed.engaged(both, thread, toe).central)
        locked = f" with {fixed.name} and {fixed.on} screwed together {deep} deep and locked"
    return (
        f"{must}; set so{locked}, {mm(full)} of full thread is engaged and {mm(thread.male.central - engaged.central)} "
        f"is out, at the longest toe setting {mm(full - toe)} where {mm(thread.full)} is asked ({thread.reason}); "
        f"{mm(out)} is left to lengthen and {mm(back)} to shorten"
    )
