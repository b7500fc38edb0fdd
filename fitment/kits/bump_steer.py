"""Bump steer: how much either wheel toes over bump and rebound, and how unlike the two are.

No figure has authority, so that there is a verdict only where the kit states a limit; else the figures are listed.
"""

from __future__ import annotations

from dataclasses import replace
from functools import reduce
from typing import Any

from fitment.elementwise import maximum
from fitment.finding import Finding, held_back
from fitment.joints.answering import Size, formula
from fitment.joints.registration import Rule, Setting
from fitment.kits import bump_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.car_corner import surveyed_corner
from fitment.kits.checked_car import CheckedCar, why_not_solved
from fitment.kits.kit import Kit
from fitment.kits.report import JointSummary
from fitment.kits.roles import SIDES
from fitment.kits.stated import no_verdict, states, told_weak, wanting
from fitment.kits.steering_sizes import result_sizes
from fitment.kits.steering_solved import Solved
from fitment.kits.tilt_grid import SUSPENSION
from fitment.kits.whole import Looked, WholeKitCheck

#: travel of the wheel's centre at which the toe is looked at, mm, + bump
_TRAVELS = (-25.0, -12.5, 12.5, 25.0)

Changes = tuple[Size, ...]


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """The toe of both wheels over 25 mm of bump and rebound."""
    without = [name for name in ("toe_change", "toe_unlike") if not states(setting, name)]
    why = why_not_solved(kit, assembly, SUSPENSION)
    if why and len(without) == 2:
        return Looked(not_checked=(why,))
    car = CheckedCar(kit, assembly, setting)
    solved = Solved(car.model)
    toes = {side: tuple(map(car.settled, _gained(solved, side, _TRAVELS))) for side in SIDES}
    apart = tuple(formula(lambda one, other: one - other, *pair) for pair in zip(*toes.values(), strict=True))
    rack = assembly.found["rack"].name if "rack" in assembly.found else "rack"
    findings: list[Finding] = []
    not_checked: list[str] = []
    if "toe_change" not in without:
        corners = {side: (rack, f"{assembly.target.name} corner.{side}") for side in SIDES}
        findings += [_finding(car, solved, pages.CHANGE, corners[side], toes[side], side) for side in SIDES]
    else:
        not_checked += [_figures(car, solved, side, toes[side]) for side in SIDES]
    names = (rack, f"{assembly.target.name} corners")
    if "toe_unlike" not in without:
        findings.append(_finding(car, solved, pages.UNLIKE, names, apart, ""))
    elif not car.reached(solved, *apart):
        not_checked.append(f"the wheels differ by {_largest(apart).central:.3f} deg of toe at most in the same travel")
    if without:
        not_checked.append(no_verdict(setting, *without))
    told = tuple(map(held_back, findings))
    return Looked((JointSummary(CHECK.row, "", "bump steer", names, told),) if told else (), tuple(not_checked))


CHECK = WholeKitCheck("bump-steer", look)


def _gained(solved: Solved, side: str, travels: tuple[float, ...]) -> Changes:
    """Change of toe-in of one wheel from ride height at every travel, deg; solved together."""
    import numpy as np

    index = SIDES.index(side)

    def gained(pose: Any, straight: Any) -> Any:
        return pose.toe_in - straight[index].toe_in

    every = formula(gained, solved.travelled(side, np.array(travels)[:, np.newaxis]), solved.straight)
    # the model holds both corners; the other wheel's has no part in this one's toe
    other = surveyed_corner(solved.model.vehicle, SIDES[1 - index]).name
    every = replace(every, uses=tuple(use for use in every.uses if use.feature != other))
    return tuple(formula(lambda rows, row=row: rows[row], every) for row in range(len(travels)))


def _largest(changes: Changes) -> Size:
    return formula(lambda *sizes: reduce(maximum, (abs(size) for size in sizes)), *changes)


def _packing(car: CheckedCar, solved: Solved, side: str) -> Size:
    return car.settled(result_sizes(solved)[f"packing-{side}"])


def _finding(
    car: CheckedCar, solved: Solved, rule: Rule, names: tuple[str, str], changes: Changes, side: str
) -> Finding:
    """The largest of several changes of toe against the limit that the kit states."""
    limit = car.setting.limits["toe_change" if side else "toe_unlike"]
    largest = _largest(changes)

    def words() -> str:
        told = f"the {side} wheel toes" if side else "left less right the wheels toe"
        return (
            f"{told} {_over(changes)}, {largest.central:.3f} deg at most, where the kit asks for less than "
            f"{limit.value:g} deg"
        )

    finding = car.finding(rule.code, names, solved, formula(lambda size: limit.value - size, largest), "deg", words)
    sizes = {"toe_in_bump": (changes[-1], "deg"), "toe_in_rebound": (changes[0], "deg"), "largest": (largest, "deg")}
    if side:
        sizes["rack_higher_for_none"] = (_packing(car, solved, side), "mm")
    return replace(finding, figures=car.figures(sizes))


def _figures(car: CheckedCar, solved: Solved, side: str, changes: Changes) -> str:
    """What is known of one wheel, beside what it did as the car came."""
    if gaps := car.reached(solved, *changes):
        return f"{side} wheel not known: {wanting(gaps)}"
    came = [car.as_it_came(change) for change in _gained(car.came, side, (_TRAVELS[-1], _TRAVELS[0]))]
    was = "not surveyed" if None in came else " and ".join(_way(value) for value in came if value is not None)
    doubt = max(car.doubt(change) for change in changes)
    nil = _nil(_packing(car, solved, side))
    return f"the {side} wheel toes {_over(changes)} (u {doubt:.3f} deg; as the car came {was}){nil}{told_weak(changes)}"


def _nil(packing: Size) -> str:
    """What would make bump steer nil on centre."""
    if not packing.known or packing.central != packing.central:
        return ""
    way = "higher" if packing.central >= 0 else "lower"
    return f"; with the rack {abs(packing.central):.1f} mm {way} it would be nil on centre"


def _over(changes: Changes) -> str:
    return f"{_way(changes[-1].central)} in 25 mm of bump and {_way(changes[0].central)} in 25 mm of rebound"


def _way(change: float) -> str:
    return f"{'in' if change >= 0 else 'out'} by {abs(change):.3f} deg"
