"""The line from column to pinion: angles of its joints, length and slip of its shafts, and what else it asks for."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import reduce
from typing import Any

from fitment.elementwise import maximum, minimum
from fitment.finding import Finding, Gap, Verdict, held_back
from fitment.geometry.frames import Vector
from fitment.geometry.joint_chain import Chain, chain_between, lines_apart
from fitment.joints.answering import (
    Size,
    answer,
    fixed,
    formula,
    lacking,
    mm,
    names,
    size_of,
    with_figures,
)
from fitment.joints.registration import Setting, as_assembled, missing
from fitment.kits import shaft_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.kits.report import JointSummary
from fitment.kits.shaft_adjust import Adjusted, adjusted
from fitment.kits.shaft_facts import cautions_on, facts_of
from fitment.kits.shaft_parts import Line, Member, line_of
from fitment.kits.shaft_phase import evenness
from fitment.kits.shaft_place import Placed, placed
from fitment.kits.whole import Looked, WholeKitCheck

_TITLE = "column to pinion"
_OTHER_JOINTS = (
    "The length of {} is that between the joints that it was measured with: another joint changes it by the difference "
    "of centre-to-face less insertion."
)


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """The line from column to pinion of a kit that names some part of it."""
    line = line_of(kit, assembly)
    if not isinstance(line, Line):
        joint = ("column", "pinion")
        return Looked((JointSummary(CHECK.row, "", _TITLE, joint, (missing(pages.ANGLE.code, joint, list(line)),)),))
    joint = (line.column.features["lower-end"].name, line.rack.features["pinion"].name)
    place = placed(line, kit, assembly)
    chain = formula(lambda down, out, *at: chain_between(down, at, out), place.column, place.pinion, *place.corners)
    moved = adjusted(line.column.features["body"], place, place.pivot)
    findings = _angles(line, moved, chain, joint, setting)
    findings += _lengths(line, place, moved, chain, joint, setting)
    even = evenness(line, chain, moved, joint, setting)
    findings += [*([even.finding] if even.finding else []), *facts_of(line, joint, setting)]
    last = findings[-1]
    findings[-1] = replace(last, cautions=(*last.cautions, *even.cautions, *moved.told, *cautions_on(line)))
    told = (even.told,) if even.told else ()
    return Looked((JointSummary(CHECK.row, "", _TITLE, joint, tuple(map(held_back, findings))),), told)


CHECK = WholeKitCheck("shaft-line", look)


def _angles(line: Line, moved: Adjusted, chain: Size, joint: tuple[str, str], setting: Setting) -> list[Finding]:
    """One finding for each joint; one for all where the line does not lie in the car."""
    if not chain.known:
        return [missing(pages.ANGLE.code, joint, list(chain.gaps), chain.uses)]
    return [_angle(member, chain, moved, number, setting) for number, member in enumerate(line.joints)]


def _degrees(number: int) -> Any:
    def angle(chain: Chain) -> Any:
        return chain.angles[number] * (180 / math.pi)

    return angle


def _angle(member: Member, chain: Size, moved: Adjusted, number: int, setting: Setting) -> Finding:
    """The angle of one joint against its own limit, over the tilt and reach of the column where they move it."""
    code, named = pages.ANGLE.code, (member.body.name, member.title)
    measured = formula(_degrees(number), chain)
    limit, told, own = _limit(member, setting)
    reached = number == 0 or (number == 1 and moved.moves)
    elsewhere = [formula(_degrees(number), one) for one in moved.chains if reached]
    worst = moved.largest(measured, elsewhere) if reached else measured
    margin = formula(lambda most, angle: most - angle, limit, worst)

    def words() -> str:
        of = "the column's adjustment" if moved.moves else "its tilt"
        over = f", {moved.spoken(elsewhere, 1, 'deg')} over {of}" if elsewhere else ""
        works = f"the {member.title} works at {measured.central:.1f} deg{over}"
        return f"{works}, and {told} allows {limit.central:.1f} deg"

    finding = answer(code, named, margin, "deg", setting, words)
    as_taken = answer(
        code, named, formula(lambda most, angle: most - angle, limit, measured), "deg", setting,
        lambda: f"the {member.title} works at {measured.central:.1f} deg as measured, and {told} allows "
        f"{limit.central:.1f} deg",
    )  # fmt: skip
    finding = moved.over_range(finding, as_taken)
    if not own and finding.verdict is Verdict.DOES_NOT_FIT:
        gap = member.body.gap("angle-limit")
        because = f"{finding.because}: the limit of the joint itself decides"
        finding = replace(finding, verdict=Verdict.NOT_KNOWN, gaps=(gap,), because=because)
    sizes = {"angle": (measured, "deg"), "angle_worst": (worst, "deg")}
    sizes |= {f"angle_{name}": (one, "deg") for name, one in moved.keyed(elsewhere).items()}
    finding = with_figures(finding, sizes, setting)
    return replace(finding, cautions=_on_limit(member, own))


def _all(pick: Callable[[Any, Any], Any]) -> Callable[..., Any]:
    def picked(*sizes: Any) -> Any:
        return reduce(pick, sizes)

    return picked


def _limit(member: Member, setting: Setting) -> tuple[Size, str, bool]:
    """The angle that a joint may work at, whose limit it is, and whether it is its own."""
    body = member.body
    own = [size for name in ("angle-limit", "angle-contact") if (size := size_of(body, name)).known]
    if own:
        least = formula(lambda *sizes: reduce(minimum, sizes), *own)
        return least, "its own limit", True
    if member.word("joints") == "double" or "angle-limit" in body.gaps or "angle-contact" in body.gaps:
        return lacking(body.gap("angle-limit")), "", True
    return fixed(setting.limits["joint_angle"].value), "the default for a joint without a limit of its own", False


def _on_limit(member: Member, own: bool) -> tuple[str, ...]:
    if not own:
        return (f"No limit of its own is recorded of the {member.title} {member.part.name}: a default stands for it.",)
    if member.body.get("angle-limit") is not None and member.body.get("angle-source") is None:
        return (f"Where the angle limit of {member.part.name} comes from is not recorded.",)
    return ()


def _lengths(
    line: Line, place: Placed, moved: Adjusted, chain: Size, joint: tuple[str, str], setting: Setting
) -> list[Finding]:
    if not line.shafts:
        return [_meeting(place, joint, setting)]
    told = set(chain.gaps)
    found = []
    for number, shaft in enumerate(line.shafts):
        needed = formula(_apart, *place.centres[number : number + 2])
        others = [formula(_apart, first, place.centres[1]) for first in moved.firsts] if number == 0 else []
        finding = _length(line, number, (needed, *(others if moved.moves else ())), setting)
        # what the angles lack too is told there
        left = tuple(gap for gap in finding.gaps if gap not in told)
        if needed.known or left:
            found.append(finding if needed.known else missing(pages.LENGTH.code, _named(shaft), list(left)))
    return found


def _apart(first: Vector, second: Vector) -> Any:
    return (second - first).length()


def _named(shaft: Member) -> tuple[str, str]:
    return shaft.body.name, shaft.title


def _length(line: Line, number: int, lengths: tuple[Size, ...], setting: Setting) -> Finding:
    """The length of one shaft against those needed: as surveyed, then at each setting of the column that moves it."""
    needed = lengths[0]
    least, most = (formula(_all(pick), *lengths) for pick in (minimum, maximum))
    shaft, code = line.shafts[number], pages.LENGTH.code
    moves, left = (setting.limits[name].value for name in ("body_movement", "slip_left"))
    one_piece = shaft.word("slip-retention") == "one piece"
    kinds = ("length", "length") if one_piece else ("length-short", "length-long")
    short, long = (size_of(shaft.body, name) for name in kinds)
    inward = formula(lambda length, closed: length - closed, least, short)
    outward = formula(lambda length, opened: opened - length, most, long)
    margin = formula(lambda close, open_: minimum(close, open_) - moves - left, inward, outward)

    def words() -> str:
        must = f"the {shaft.title} must be {mm(needed.central)} joint centre to joint centre"
        if len(lengths) > 1:
            must += f", {mm(least.central)} to {mm(most.central)} over the column's adjustment,"
        asked = f"{mm(moves + left)} is asked each way, {mm(moves)} of it for movement"
        if one_piece:
            return f"{must} and is {mm(short.central)} in one piece: it has no slip, and {asked}"
        runs = f"{must} and runs from {mm(short.central)} to {mm(long.central)}"
        rest = (inward.central, "too long", "to close"), (outward.central, "too short", "to open")
        ways = [f"{way} by {mm(-size)}" if size < 0 else f"{mm(size)} is left {to}" for size, way, to in rest]
        return f"{runs}: {', '.join(ways)}; {asked}"

    finding = answer(code, _named(shaft), margin, "mm", setting, words)
    if one_piece:
        finding = replace(finding, uses=(*finding.uses, *names(shaft.body, ("slip-retention",))))
        slides = line.column.features["body"].get("shaft")
        if finding.verdict is Verdict.DOES_NOT_FIT and slides is not None and slides.word == "sliding":
            gap = Gap(slides.feature, "shaft", "slides: how much of the length it takes up is not recorded")
            because = f"{finding.because}; the column's own shaft {gap.why}"
            finding = replace(finding, verdict=Verdict.NOT_KNOWN, gaps=(gap,), because=because)
    inside = formula(lambda overlap, open_: overlap + open_, size_of(shaft.body, "overlap"), outward)
    sizes = {"needed_length": (needed, "mm"), "slip_in": (inward, "mm"), "slip_out": (outward, "mm")}
    finding = with_figures(finding, {**sizes, "overlap_in_place": (inside, "mm")}, setting)
    if all(as_assembled(yoke.shaft, yoke.bore) is not None for yoke in line.yokes_of(number)):
        return finding
    return replace(finding, cautions=(_OTHER_JOINTS.format(shaft.part.name),))


def _meeting(place: Placed, joint: tuple[str, str], setting: Setting) -> Finding:
    """Whether column and pinion put the cross of a single joint in one place."""
    code, most = pages.LENGTH.code, setting.limits["joint_miss"].value
    apart = formula(lambda first, second: (second - first).length(), place.centres[0], place.by_pinion)
    lines = formula(
        lambda end, along, tip, beside: lines_apart(end, along, tip, -1 * beside),
        place.ends[0], place.column, place.ends[1], place.pinion,
    )  # fmt: skip
    beside, above, below = (formula(lambda found, part=part: found[part], lines) for part in range(3))

    def words() -> str:
        where = ""
        if math.isfinite(above.central):
            where = f", nearest {mm(above.central)} beyond the column's end and {mm(below.central)} beyond the pinion's"
        pass_by = f"the axes of column and pinion pass {mm(beside.central)} apart{where}"
        cross = f"; they put the cross {mm(apart.central)} apart" if apart.known else ""
        return f"{pass_by}{cross}, and a single joint allows {mm(most)}"

    finding = answer(code, joint, formula(lambda miss: most - miss, apart), "mm", setting, words)
    if not apart.known and lines.known:
        alone = answer(code, joint, formula(lambda miss: most - miss, beside), "mm", setting, words)
        finding = alone if alone.verdict is Verdict.DOES_NOT_FIT else finding
    sizes = {"cross_apart": (apart, "mm"), "axes_apart": (beside, "mm")}
    if lines.known and math.isfinite(above.central):
        sizes |= {"beyond_column": (above, "mm"), "beyond_pinion": (below, "mm")}
    return with_figures(finding, sizes, setting)
