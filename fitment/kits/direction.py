"""Which way the kit steers: the direction of the rack as placed, the side of its input, the inner wheel."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from fitment.elementwise import minimum
from fitment.finding import Figure, Finding, Gap, Verdict, held_back
from fitment.geometry.direction import steers_right_way
from fitment.joints.answering import Size, answer, figures_of, formula, size_of, spread
from fitment.joints.registration import Feature, Setting, missing
from fitment.kits import direction_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.direction_signs import LIES, TO, Settled, arms_lie, bar_goes, comes_in, hand_of
from fitment.kits.front_axle import Axle, axle_of, wheel_of
from fitment.kits.kit import Kit
from fitment.kits.rack_place import rack_place, why_not_asked
from fitment.kits.rack_turned import AXES, ends_swap
from fitment.kits.report import JointSummary
from fitment.kits.roles import SIDES
from fitment.kits.whole import Looked, WholeKitCheck

_SIDES = {"LH": "left", "RH": "right"}


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """Direction, side of the input and inner wheel; not looked at where neither rack nor car tells anything of them."""
    rack = assembly.found.get("rack")
    if rack is None:
        return Looked(not_checked=("the kit names no rack",))
    goes, arms = bar_goes(rack, kit.seat.turned), arms_lie(kit, assembly, setting.draws)
    body = rack.features["body"]
    findings: list[Finding] = []
    not_checked: list[str] = []
    if goes.told or arms.told:
        findings.append(_way(kit, assembly, body, goes, arms))
    else:
        not_checked.append(f"nothing tells which way {rack.name} moves its bar, nor where the arms lie")
    side, why = _side(kit, assembly, body)
    findings += [side] if side else []
    not_checked += [why] if why else []
    inner, why = _inner(kit, assembly, setting)
    findings += [inner] if inner else []
    not_checked += [why] if why else []
    if not findings:
        return Looked(not_checked=tuple(not_checked))
    names = (rack.name, f"{assembly.target.name} steering arms")
    summary = JointSummary(CHECK.row, "", "which way it steers", names, tuple(map(held_back, findings)))
    return Looked((summary,), tuple(not_checked))


CHECK = WholeKitCheck("direction", look)


def _names(assembly: Assembly) -> tuple[str, str]:
    return assembly.found["rack"].name, f"{assembly.target.name} steering arms"


def _way(kit: Kit, assembly: Assembly, body: Feature, goes: Settled, arms: Settled) -> Finding:
    names, uses = _names(assembly), (*goes.uses, *arms.uses)
    cautions = (_bench(arms), *_seat(kit, body), *_other_side(kit, assembly, body))
    gaps = [*goes.gaps, *arms.gaps]
    if gaps:
        return replace(missing(pages.WAY.code, names, gaps, uses), cautions=cautions)
    right = bool(steers_right_way(goes.sign, arms.sign))
    because = (
        f"in a turn to the right the bar of {names[0]}, {_sits(kit)}, goes to the car's {TO[goes.sign]} "
        f"({goes.told}); the arms lie {LIES[arms.sign]} the steering axis ({arms.told}), so it must go to the "
        f"{TO[-arms.sign]}"
    )
    if right:
        return Finding(pages.WAY.code, names, Verdict.FITS, because, uses=uses, cautions=cautions)
    turns = (
        "Half a turn that swaps its ends (upside down, back to front) reverses it and takes the pinion to the other "
        "side of the car; no half-turn does one without the other.",
    )
    because = f"{because}: the car would steer the wrong way"
    return Finding(pages.WAY.code, names, Verdict.DOES_NOT_FIT, because, uses=uses, cautions=(*cautions, *turns))


def _sits(kit: Kit) -> str:
    return f"turned {kit.seat.turned} against its donor" if kit.seat.turned in AXES else "as it sat in its donor"


def _bench(arms: Settled) -> str:
    must = (
        f"the bar must go to the car's {TO[-arms.sign]}" if arms.sign else "note to which side of the car the bar goes"
    )
    return (
        "Confirm on the bench: hold the rack as it will sit, look along the pinion shaft as the driver would, turn it "
        f"clockwise: {must}."
    )


def _seat(kit: Kit, body: Feature) -> list[str]:
    """What turning the rack does besides, or that nobody said how it is turned."""
    turned = kit.seat.turned
    if not turned:
        return [
            "The kit does not say how the rack is turned: it is taken to sit as it sat in its donor. Write turned in "
            "[rack] where it does not."
        ]
    if turned not in AXES:
        return []
    told = [f"Turned {turned}, the shaft comes in {way}." for way in (comes_in(body, turned),) if way]
    if ends_swap(turned):
        told.append(
            f"Turned {turned}, the ends of the rack change sides: the left rod screws to the end that lay on the right "
            "in its donor, and the pinion lies on the other side."
        )
    return told


def _other_side(kit: Kit, assembly: Assembly, body: Feature) -> list[str]:
    """A pinion away from the driver, where the kit names a shaft that can cross to it."""
    hand, _ = hand_of(body, kit.seat.turned)
    drive = _vehicle(assembly).get("drive-side")
    if not hand or drive is None or drive.word == hand or not _shaft_named(assembly):
        return []
    offset = size_of(body, "pinion-offset")
    where = f", {offset.central:.0f} mm from the middle of the rack" if offset.known else ""
    return [
        f"The pinion lies on the {_SIDES[hand]}{where}, and the driver sits on the {_SIDES[drive.word]}: the shaft "
        "must cross the car; the check of the shaft's angles says whether it can."
    ]


def _vehicle(assembly: Assembly) -> Feature:
    target = assembly.target
    return target.features.get("body", Feature(f"{target.name} body", "vehicle-body"))


def _shaft_named(assembly: Assembly) -> bool:
    return "column.intermediate_shaft" in assembly.found


def _side(kit: Kit, assembly: Assembly, body: Feature) -> tuple[Finding | None, str]:
    """The finding on the side of the input, or why there is none."""
    hand, uses = hand_of(body, kit.seat.turned)
    vehicle = _vehicle(assembly)
    drive = vehicle.get("drive-side")
    names = (_names(assembly)[0], assembly.target.name)
    gaps = [one.gap(name) for one, name in ((body, "hand"), (vehicle, "drive-side")) if one.get(name) is None]
    if len(gaps) == 2 and "hand" not in body.gaps and "drive-side" not in vehicle.gaps:
        return None, f"neither hand of {names[0]} nor drive-side of {names[1]} is known"
    if gaps or drive is None:
        return missing(pages.SIDE.code, names, gaps, uses), ""
    uses = (*uses, drive)
    if drive.word == hand:
        because = f"the pinion of {names[0]}, {_sits(kit)}, lies on the {_SIDES[hand]}, as the driver does"
        return Finding(pages.SIDE.code, names, Verdict.FITS, because, uses=uses), ""
    if _shaft_named(assembly):
        return None, ""
    why = (
        f"the pinion lies on the {_SIDES[hand]}, the driver sits on the {_SIDES[drive.word]}, and the kit names no "
        "intermediate shaft that crosses to it"
    )
    return missing(pages.SIDE.code, names, [Gap(names[0], "shaft to the pinion", why)], uses), ""


def _inner(kit: Kit, assembly: Assembly, setting: Setting) -> tuple[Finding | None, str]:
    """The finding on the inner wheel, or why there is none."""
    place = rack_place(kit, assembly)
    if isinstance(place, Gap):
        unasked = why_not_asked(kit, assembly)
        finding, told = _mirrored(kit, assembly, setting, unasked or place.why)
        if finding is None and unasked is None:
            return missing(pages.INNER.code, _names(assembly), [place]), ""
        return finding, told
    axle = axle_of(kit, assembly, setting)
    bars = (axle.travel["left"], formula(lambda travel: -1 * travel, axle.travel["right"]))
    more = [formula(_inner_less_outer, axle.steer(bar)) for bar in bars]
    least = setting.limits["ackermann_least"].value
    names = _names(assembly)
    unreached = [one for one in more if one.known and one.central != one.central]
    if unreached:
        gap = Gap(names[0], "travel", "takes a tie rod past dead centre: the wheels have no angle there")
        return missing(pages.INNER.code, names, [gap], unreached[0].uses), ""
    margin = formula(lambda one, other: minimum(one, other) - least, *more)
    finding = answer(pages.INNER.code, names, margin, "deg", setting, lambda: _told(axle, bars, more))
    figures = figures_of(
        {"inner_less_outer_bar_left": (more[0], "deg"), "inner_less_outer_bar_right": (more[1], "deg")}, setting.draws
    )
    return replace(finding, figures=figures, cautions=_arm_cautions(axle)), ""


def _inner_less_outer(four: Any) -> Any:
    """Inner less outer angle (deg) of both wheels' steer: the wheel on the side of the turn is the inner one."""
    import numpy as np

    from fitment.geometry.turning import inner_and_outer

    inner, outer = inner_and_outer(np.asarray(four[0]), np.asarray(four[1]))
    return inner - outer


def _told(axle: Axle, bars: tuple[Size, Size], more: list[Size]) -> str:
    told = []
    for way, bar, one in zip(SIDES, bars, more, strict=True):
        four = axle.steer(bar)
        angles = sorted(abs(axle.part(four, index).central) for index in range(2))
        inner, outer = angles[::-1] if one.central >= 0 else angles
        told.append(
            f"with the bar at its {way} stop the inner wheel turns {inner:.1f} deg and the outer {outer:.1f} deg"
        )
    reversed_ = any(one.central < 0 for one in more)
    return "; ".join(told) + (": the Ackermann is reversed" if reversed_ else "")


def _arm_cautions(axle: Axle) -> tuple[str, ...]:
    upright = [side for side in SIDES if axle.wheels[side].upright]
    if not upright:
        return ()
    return (f"The steering axis is taken as upright by the knuckle's arm, {' and '.join(upright)}: survey its points.",)


def _mirrored(kit: Kit, assembly: Assembly, setting: Setting, why: str) -> tuple[Finding | None, str]:
    """Arms that slant as if made for the other side of the axle, where no rack is placed; *not known*, never a pass."""
    told, gaps, figures = [], [], {}
    for side in SIDES:
        wheel = wheel_of(kit, assembly, side)
        slant = formula(lambda ahead, out: ahead * out, wheel.ahead, wheel.outboard)
        if slant.known and spread(slant, setting.draws)[1] < 0:
            figures[f"eye_outboard_{side}"] = Figure(wheel.outboard.central, None, "mm")
            told.append(side)
            where = f"{abs(wheel.outboard.central):.1f} mm {'outboard' if wheel.outboard.central > 0 else 'inboard'}"
            lies = LIES[1 if wheel.ahead.central > 0 else -1]
            text = f"the {side} eye lies {where} of the steering axis and {lies} it: as if mirrored; {why}"
            gaps.append(Gap(assembly.target.name, f"{side} steering arm", text))
    if not told:
        return None, f"inner and outer wheel: {why}"
    return replace(missing(pages.INNER.code, _names(assembly), gaps), figures=figures), ""
