"""Rack travel against the stops: which acts first at either lock, whether the tyres clear, how far from dead centre."""

from __future__ import annotations

import math
from dataclasses import replace

from fitment.finding import Figure, Finding, Gap, Use, Verdict, Work, held_back
from fitment.joints.answering import Size, answer, doubt_of, figures_of, formula, mm, names, size_of, spread
from fitment.joints.registration import Feature, Setting, as_assembled, missing
from fitment.kits import stroke_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.bar_stops import OTHER
from fitment.kits.front_axle import axle_of
from fitment.kits.kit import Kit
from fitment.kits.rack_place import why_not_asked
from fitment.kits.report import JointSummary
from fitment.kits.rod_sizes import rod_parts
from fitment.kits.roles import SIDES
from fitment.kits.stated import no_verdict, told_weak
from fitment.kits.stroke_lock import Lock, least, lock_of, wanted_lock
from fitment.kits.whole import Looked, WholeKitCheck


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """Both locks; not looked at where nothing tells where the rack sits."""
    rack = assembly.found.get("rack")
    why = "the kit names no rack" if rack is None else why_not_asked(kit, assembly)
    if rack is None or why is not None:
        return Looked(not_checked=(why or "",))
    axle, body = axle_of(kit, assembly, setting), rack.features["body"]
    wanted = wanted_lock(kit)
    ahead = [axle.wheels[side].ahead for side in SIDES]
    lacks = tuple(dict.fromkeys([*axle.gaps, *(gap for size in ahead for gap in size.gaps)]))
    summaries, figures = [], []
    for side in SIDES:
        joint = (f"{rack.name} bar", f"{assembly.target.name} {side} lock")
        told = [missing(pages.FIRST.code, joint, list(lacks))]
        if not lacks:
            lock = lock_of(assembly, axle, side, joint, wanted)
            told = _findings(lock, body, setting)
            figures += _figures(lock, body, setting)
        told += _shoulder(kit, assembly, side, joint, setting)
        title = f"{side} lock against the stops"
        summaries.append(JointSummary(f"{side}.{CHECK.row}", side, title, joint, tuple(map(held_back, told))))
    return Looked(tuple(summaries), tuple(figures))


CHECK = WholeKitCheck("stroke", look)


def _findings(lock: Lock, body: Feature, setting: Setting) -> list[Finding]:
    asked = setting.limits["toggle_margin"].value
    margin = formula(lambda m: m - asked, lock.toggle)
    toggle = answer(pages.TOGGLE.code, lock.joint, margin, "", setting, lambda: _short_of(lock, asked))
    if lock.toggle.known and lock.toggle.central <= 0:
        gap = Gap(lock.joint[0], "travel", "takes a tie rod past dead centre: the wheels have no angle there")
        return [toggle, missing(pages.TYRE.code, lock.joint, [gap]), missing(pages.FIRST.code, lock.joint, [gap])]
    figures = figures_of(
        {
            "rack_travel": (lock.rack, "mm"),
            "inner_at_rack_stop": (lock.inner, "deg"),
            "outer_at_rack_stop": (lock.outer, "deg"),
        },
        setting.draws,
    )
    if lock.stops:
        figures |= figures_of({"left_at_rack_when_knuckle_stops": (_left(lock), "mm")}, setting.draws)
    first, tyre = _first(lock, body, setting), _tyre(lock, setting)
    if isinstance(first, Finding):
        return [replace(first, figures=figures), tyre, toggle]
    return [replace(tyre, figures={**tyre.figures, **figures}, cautions=(*tyre.cautions, *first)), toggle]


def _left(lock: Lock) -> Size:
    """Travel left at the rack when the first of the knuckles' stops acts, mm."""
    return formula(lambda travel, stop: travel - stop, lock.rack, least(lock.stops))


def _short_of(lock: Lock, asked: float) -> str:
    return (
        f"at the rack's stop, {mm(lock.rack.central)} of bar to the {lock.bar}, the nearer rod's margin to dead centre "
        f"is {lock.toggle.central:.3f} (0 in line with its arm, 1 square to it), where {asked:g} is asked"
    )


def _first(lock: Lock, body: Feature, setting: Setting) -> Finding | tuple[str, ...]:
    """Which stop acts first, where that can pass or fail or is not known; else the cautions on it."""
    code, reserve, ends = pages.FIRST.code, setting.limits["rack_reserve"], body.get("stop")
    external, uses = ends is not None and ends.word == "external", names(body, ("stop",))
    if not lock.stops:
        if ends is None:
            return missing(code, lock.joint, [body.gap("stop")])
        if external:
            why = "is external, and the knuckles are recorded as having no stop: nothing stops the bar"
            return Finding(code, lock.joint, Verdict.DOES_NOT_FIT, f"{body.name} stop {why}", uses=uses)
        if not lock.rack.known:
            return missing(code, lock.joint, list(lock.rack.gaps), lock.rack.uses)
        because = "the knuckles are recorded as having no stop: the rack's own is the only one"
        return Finding(code, lock.joint, Verdict.FITS, because, uses=(*lock.rack.uses, *uses))
    gap = _left(lock)
    if external or reserve.overridden:
        asks = reserve.value if reserve.overridden else 0.0
        asked = "the rack has no stop of its own" if external else f"{mm(asks)} left at the rack is asked"
        margin = formula(lambda left: left - asks, gap)
        finding = answer(code, lock.joint, margin, "mm", setting, lambda: f"{_acts(lock)}; {asked}")
        return replace(finding, uses=tuple(dict.fromkeys((*finding.uses, *uses))), cautions=_no_words(ends))
    if not gap.known:
        return missing(code, lock.joint, list(gap.gaps), gap.uses)
    cautions = (*_no_words(ends), *_shock(gap, setting))
    if ends is None and spread(gap, setting.draws)[0] <= 0:
        # a rack without a stop of its own must not come first
        lacks = missing(code, lock.joint, [body.gap("stop")], gap.uses)
        return replace(lacks, because=f"{_acts(lock)}, and {lacks.because}", cautions=cautions)
    return cautions


def _acts(lock: Lock) -> str:
    """Which stop acts first, in words."""
    knuckle, gap = least(lock.stops), _left(lock)
    if gap.central >= 0:
        return (
            f"the knuckle's stop acts first, at {mm(knuckle.central)} of bar to the {lock.bar}, with "
            f"{mm(gap.central)} left at the rack ({mm(lock.rack.central)} of travel)"
        )
    return (
        f"the rack's stop acts first, at {mm(lock.rack.central)} of bar to the {lock.bar}, {mm(-gap.central)} "
        f"before the knuckle's; the inner wheel stands at {lock.inner.central:.1f} deg"
    )


def _figures(lock: Lock, body: Feature, setting: Setting) -> list[str]:
    """What is told of the stops where nothing is held against it."""
    past = lock.toggle.known and lock.toggle.central <= 0
    if past or isinstance(_first(lock, body, setting), Finding):
        return []
    weak = told_weak([_left(lock)])
    return [f"at {lock.side} lock {_acts(lock)}{weak}; {no_verdict(setting, 'rack_reserve')}"]


def _no_words(ends: Use | None) -> tuple[str, ...]:
    if ends is not None:
        return ()
    return ("What ends the rack's travel is not recorded: strip a boot, run to the lock and see what touches what.",)


def _shock(gap: Size, setting: Setting) -> tuple[str, ...]:
    if not gap.known:
        return ()
    low, high = spread(gap, setting.draws)
    if low < 0 < high:
        return ("Rack and knuckle stop within the doubt of each other: see on the car which acts first.",)
    asks = "One off-road maker's manual asks for 3.2 mm (1/8 in) left at the rack when the knuckle's stop is hit"
    if gap.central < 0:
        return (f"The rack takes the blow at full lock. {asks}; find out which stop the car was designed to meet.",)
    return (f"{asks} (second hand).",) if gap.central < 3.2 else ()


def _tyre(lock: Lock, setting: Setting) -> Finding:
    """Whether the tyres clear at the first stop; a spacer on the bar where they do not."""
    code, clear = pages.TYRE.code, least(lock.clear)
    margin = formula(lambda limit, stop: limit - stop, clear, lock.first)
    finding = answer(code, lock.joint, margin, "mm", setting, lambda: _clears(lock, clear, margin))
    figures = figures_of({"bar_at_clearance": (clear, "mm"), "bar_at_first_stop": (lock.first, "mm")}, setting.draws)
    if lock.wanted is not None and lock.wanted.known and lock.rack.known:
        spare = formula(lambda travel, at: travel - at, lock.rack, lock.wanted)
        figures |= figures_of({"spacer_for_wanted_lock": (spare, "mm")}, setting.draws)
    if finding.verdict is not Verdict.DOES_NOT_FIT:
        return replace(finding, figures=figures)
    touching = least(lock.touching) if lock.touching else clear
    over = formula(lambda travel, limit: travel - limit, lock.rack, touching)
    hard = formula(lambda limit, stop: limit - stop, touching, lock.first)
    if not lock.touching or answer(code, lock.joint, hard, "mm", setting, str).verdict is not Verdict.DOES_NOT_FIT:
        part = "inner" if lock.clear[0].central <= lock.clear[1].central else "outer"
        corner = next(use.feature for use in lock.clear[part == "outer"].uses if use.dimension == f"lock-{part}")
        gap = Gap(corner, f"clear-{part}", "no reading, and the stop lies beyond the lock that the car has now")
        return replace(missing(code, lock.joint, [gap], finding.uses), margin=finding.margin, figures=figures)
    thick = _spacer(over, setting)
    work = Work(
        "lock spacer",
        f"{lock.joint[0]}, {OTHER[lock.bar]} end",
        lock.rack.central,
        lock.rack.central - thick,
        "mm",
        None,
        f"a spacer {mm(thick)} thick between the {OTHER[lock.bar]} inner joint and the end of the housing leaves "
        f"{mm(lock.rack.central - thick)} of travel to the {lock.bar}; run to the lock and look that nothing touches",
        {
            "thick": Figure(thick, None, "mm"),
            "travel_before": Figure(lock.rack.central, None, "mm"),
            "travel_after": Figure(lock.rack.central - thick, None, "mm"),
        },
    )
    figures["spacer"] = Figure(thick, None, "mm")
    return replace(finding, verdict=Verdict.FITS_WITH_WORK, figures=figures, work=(work,))


def _spacer(over: Size, setting: Setting) -> float:
    """Thickness that takes the travel back by `over` with two standard uncertainties, up to the next half mm."""
    return math.ceil((over.central + 2 * doubt_of(over, setting.draws)) * 2 - 1e-9) / 2


def _clears(lock: Lock, clear: Size, margin: Size) -> str:
    touches = "where something touches" if lock.touching else "to which the car is known to clear"
    told = f"the first stop acts at {mm(lock.first.central)} of bar to the {lock.bar}"
    if margin.central >= 0:
        return f"{told}, {mm(margin.central)} before the angle {touches} ({mm(clear.central)} of bar)"
    return f"{told}, {mm(-margin.central)} beyond the angle {touches} ({mm(clear.central)} of bar)"


def _shoulder(kit: Kit, assembly: Assembly, side: str, joint: tuple[str, str], setting: Setting) -> list[Finding]:
    """Whether the joint at one end of the bar, where its shoulder is the rack's stop, is the rack's own."""
    rack, parts = assembly.found["rack"], rod_parts(kit, assembly, side)
    body, code = rack.features["body"], pages.JOINT.code
    ends = body.get("stop")
    if ends is None or ends.word != "inner-joint shoulder":
        return []
    holder, at_bar = (parts.joint, "bar-side") if parts.joint is not None else (parts.rod, "inner")
    if holder is None:
        return [missing(code, joint, list(parts.gaps), (ends,))]
    end, shoulder = rack.features[f"bar-end.{side}"], holder.features[at_bar]
    if parts.at_bar is not None:
        made = parts.at_bar.part.name
        why = f"was taken with the rack's own joints, whose shoulder is its stop; {made} stands there: measure again"
        return [missing(code, joint, [Gap(body.name, "travel", why)], (ends,))]
    if (together := as_assembled(end, shoulder)) is not None:
        because = (
            f"the shoulder of {holder.name} is the rack's stop, and it is the rack's own joint ({together.use.source})"
        )
        return [Finding(code, joint, Verdict.FITS, because, uses=(ends, together.use))]
    why = (
        f"was taken with the rack's own joints, whose shoulder is its stop; {holder.name} on the {side} is another: "
        "measure the travel with it on"
    )
    figures = figures_of(
        {name.replace("-", "_"): (size_of(shoulder, name), "mm") for name in ("shoulder-length", "shoulder-dia")},
        setting.draws,
    )
    return [replace(missing(code, joint, [Gap(body.name, "travel", why)], (ends,)), figures=figures)]
