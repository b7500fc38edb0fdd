"""Bump steer: how much either wheel toes over bump and rebound, and how unlike the two are."""

from __future__ import annotations

from dataclasses import replace
from functools import reduce
from typing import Any

from fitment.elementwise import maximum
from fitment.finding import Figure, Finding, Verdict, held_back
from fitment.joints.answering import Size, answer, figures_of, formula
from fitment.joints.registration import Rule, Setting, missing
from fitment.kits import bump_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.car_model import proposed
from fitment.kits.chain import address_of
from fitment.kits.kit import Kit
from fitment.kits.rack_place import CROSSMEMBER, SAY_WHERE
from fitment.kits.report import JointSummary
from fitment.kits.roles import SIDES
from fitment.kits.steering_solved import Solved
from fitment.kits.tilt_grid import surveyed
from fitment.kits.whole import Looked, WholeKitCheck

#: travel of the wheel's centre at which the toe is looked at, mm, + bump
_TRAVELS = (-25.0, -12.5, 12.5, 25.0)

Pair = tuple[str, str]


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """The toe of both wheels; not looked at where no suspension is surveyed, or nothing says where the rack sits."""
    target, rack = assembly.target, assembly.found.get("rack")
    if rack is None:
        return Looked(not_checked=("the kit names no rack",))
    if not any(surveyed(assembly, side) for side in SIDES):
        return Looked(not_checked=(f"the suspension of {target.name} is not surveyed",))
    if kit.seat.position is None and kit.seat.box is None and CROSSMEMBER not in assembly.found:
        return Looked(not_checked=(f"the kit does not say where the rack sits: {SAY_WHERE}",))
    # the eyes are taken where they were surveyed, as every other check of a kit takes them
    knuckles = [part.name for side in SIDES if (part := assembly.found.get(address_of("knuckle", side)))]
    solved = Solved(proposed(kit, assembly, knuckles, (None, None), setting.draws))
    toes = {side: tuple(_gained(solved, side, travel) for travel in _TRAVELS) for side in SIDES}
    findings = [
        _finding(pages.CHANGE, (rack.name, f"{target.name} corner.{side}"), toes[side], "toe_change", side, setting)
        for side in SIDES
    ]
    apart = tuple(formula(lambda one, other: one - other, *pair) for pair in zip(*toes.values(), strict=True))
    names = (rack.name, f"{target.name} corners")
    findings.append(_finding(pages.UNLIKE, names, apart, "toe_unlike", "", setting))
    summary = JointSummary(CHECK.row, "", "bump steer", names, tuple(map(held_back, findings)))
    return Looked((summary,))


CHECK = WholeKitCheck("bump-steer", look)


def _gained(solved: Solved, side: str, travel: float) -> Size:
    """Change of toe-in of one wheel from ride height, deg."""
    index = SIDES.index(side)

    def gained(pose: Any, straight: Any) -> Any:
        return pose.toe_in - straight[index].toe_in

    return formula(gained, solved.travelled(side, travel), solved.straight)


def _finding(
    rule: Rule, names: Pair, changes: tuple[Size, ...], limit_name: str, side: str, setting: Setting
) -> Finding:
    """The largest of several changes of toe against its limit; figures and a caution where the kit states none."""
    limit = setting.limits[limit_name]
    largest = formula(lambda *sizes: reduce(maximum, (abs(size) for size in sizes)), *changes)
    if not largest.known:
        return missing(rule.code, names, list(largest.gaps), largest.uses)
    if largest.central != largest.central:
        return replace(
            missing(rule.code, names, [], largest.uses),
            because="the links do not reach 25 mm of bump or rebound: measure the points of the survey again",
        )
    told = _told(side, changes[-1].central, changes[0].central)
    figures = figures_of(
        {"toe_in_bump": (changes[-1], "deg"), "toe_in_rebound": (changes[0], "deg"), "largest": (largest, "deg")},
        setting.draws,
    )
    figures[limit_name] = Figure(limit.value, None, "deg")
    if limit.overridden:
        margin = formula(lambda size: limit.value - size, largest)
        asked = f"{told}, {largest.central:.3f} deg at most, and the kit asks for less than {limit.value:g} deg"
        return replace(answer(rule.code, names, margin, "deg", setting, lambda: asked), figures=figures)
    cautions = (f"{told[:1].upper()}{told[1:]}, more than {limit.value:g} deg.",)
    return Finding(
        rule.code,
        names,
        Verdict.FITS,
        told,
        uses=largest.uses,
        figures=figures,
        cautions=cautions if largest.central > limit.value else (),
    )


def _told(side: str, bump: float, rebound: float) -> str:
    over = ((bump, "25 mm of bump"), (rebound, "25 mm of rebound"))
    if not side:
        apart = " and ".join(f"{abs(change):.3f} deg over {travel}" for change, travel in over)
        return f"the wheels part in toe by {apart}"
    ways = (f"{abs(change):.3f} deg {'in' if change >= 0 else 'out'} over {travel}" for change, travel in over)
    return f"the {side} wheel toes {' and '.join(ways)}"
