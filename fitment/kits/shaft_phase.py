"""Phase of the forks from column to pinion: the best one, what the splines allow, and how uneven it turns."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from functools import reduce
from typing import Any

from fitment.elementwise import maximum
from fitment.finding import Finding, Gap, Use
from fitment.frozen import dataclass
from fitment.geometry.joint_chain import (
    Chain,
    fluctuation,
    highest_ratio,
    index_step,
    least_uneven,
    nearest_error,
    single_angle,
)
from fitment.joints.answering import Size, answer, fixed, formula, lacking, names, size_of, with_figures
from fitment.joints.registration import Setting, missing
from fitment.joints.spline_ends import count_of, form_of
from fitment.joints.spline_to_spline import fixed_by
from fitment.kits import shaft_rules as pages
from fitment.kits.shaft_adjust import Adjusted
from fitment.kits.shaft_parts import Line, Member, Yoke
from fitment.kits.stated import no_verdict, told_weak, wanting

_DEGREES = 180 / math.pi
#: in how many places a yoke goes on a profile
_PROFILES = {"DD": 2, "triangular": 3}


@dataclass(frozen=True)
class Phase:
    """What can be done about the phase of one shaft.

    Attributes:
        off: how far from the best phase it ends up, radians, the yokes moved to the best setting.
        known: whether its sign is known; else either may be.
        step: finest step, radians; 0 where any phase can be set, pi where there is only one.
        uses: the words that it rests on.
    """

    off: Size
    known: bool
    step: float
    uses: tuple[Use, ...]


@dataclass(frozen=True)
class Evenness:
    """How evenly the line turns.

    Attributes:
        finding: against the limit that the kit states, or what is missing to tell; None where it states none.
        told: the figures where it states none; "" else.
        cautions: what to mind in either case.
    """

    finding: Finding | None
    told: str = ""
    cautions: tuple[str, ...] = ()


def evenness(line: Line, chain: Size, moved: Adjusted, joint: tuple[str, str], setting: Setting) -> Evenness:
    """How unevenly the line turns at the phase that can be had, as surveyed and over the column's tilt and reach.

    The forks stay on their shafts as they were set for the surveyed setting; the planes of the joints turn.
    A figure that the kit states no limit for is told, never a pass; what keeps it from being known is a gap either way.
    """
    code = pages.RIPPLE.code
    loose = [
        Gap(member.body.name, "centring", "a double joint without it leaves the direction of its middle piece open")
        for member in line.joints
        if member.word("joints") == "double" and member.word("centring") != "yes"
    ]
    if loose or not chain.known:
        return Evenness(missing(code, joint, [*chain.gaps, *loose], chain.uses))
    best = formula(lambda found: highest_ratio(*_crosses(line, found, _best(line, found))), chain)
    phases = [_phase(line, number, chain) for number in range(len(line.shafts))]
    gaps = [gap for phase in phases for gap in phase.off.gaps]
    sizes = {
        "speed_highest_at_best": (best, ""),
        "fluctuation_at_best": (formula(fluctuation, best), ""),
        **_figures(line, chain, phases),
    }
    if gaps:
        return Evenness(with_figures(missing(code, joint, gaps, chain.uses), sizes, setting))
    ratio, *others = (
        formula(_worst(line, phases), chain, there, *(phase.off for phase in phases))
        for there in (chain, *moved.chains)
    )
    swing, *elsewhere = (formula(fluctuation, one) for one in (ratio, *others))
    worst = moved.largest(swing, elsewhere)
    uses = tuple(dict.fromkeys((*swing.uses, *worst.uses, *(use for phase in phases for use in phase.uses))))
    limit = setting.limits["shaft_ripple"]
    words = _words(line, phases, best, ratio, _over_range(moved, elsewhere))
    cautions = tuple(_cautions(line, phases, swing if moved.gaps else worst, bool(elsewhere), setting))
    if not limit.overridden:
        weak = told_weak([replace(swing, uses=uses)])
        return Evenness(None, f"{words()}{weak}; {no_verdict(setting, limit.name)}", cautions)
    finding, as_surveyed = (
        answer(code, joint, formula(lambda size: limit.value - size, size), "", setting, words)
        for size in (worst, swing)
    )
    finding = moved.over_range(finding, as_surveyed)
    told = f"{finding.because}; the kit asks for less than {100 * limit.value:.1f} %"
    sizes |= {
        "speed_highest": (ratio, ""),
        "speed_lowest": (formula(lambda size: 1 / size, ratio), ""),
        "fluctuation": (swing, ""),
        "fluctuation_worst": (worst, ""),
        **{f"fluctuation_{name}": (size, "") for name, size in moved.keyed(elsewhere).items()},
        "single_angle": (formula(lambda size: single_angle(size) * _DEGREES, ratio), "deg"),
    }
    return Evenness(with_figures(replace(finding, because=told, uses=uses), sizes, setting), cautions=cautions)


def _crosses(line: Line, chain: Chain, errors: Any) -> tuple[list[Any], list[Any]]:
    """Angles and phase errors cross by cross; a centred double joint halves its angle, its inner forks in line."""
    angles: list[Any] = []
    between: list[Any] = []
    for number, (member, angle) in enumerate(zip(line.joints, chain.angles, strict=True)):
        double = member.word("joints") == "double"
        angles += [angle / 2, angle / 2] if double else [angle]
        between += [0.0] if double else []
        between += [errors[number]] if number < len(errors) else []
    return angles, between


def _best(line: Line, chain: Chain) -> tuple[Any, ...]:
    """The phase errors of least ripple; a double joint is even by itself, and two others want their planes."""
    if len(line.joints) == 1:
        return ()
    if any(member.word("joints") == "double" for member in line.joints):
        return (0.0,) * len(line.shafts)
    return least_uneven(chain.angles)


def _worst(line: Line, phases: list[Phase]) -> Any:
    """The highest speed ratio where the column stands, the forks set for where it was surveyed."""
    ways = [(1.0,) if phase.known else (1.0, -1.0) for phase in phases]

    def worst(surveyed: Chain, there: Chain, *off: Any) -> Any:
        best = _best(line, surveyed)
        turned = [before - after for before, after in zip(surveyed.twists, there.twists, strict=True)]
        settings = (
            [wanted + sign * size + turn for wanted, sign, size, turn in zip(best, signs, off, turned, strict=True)]
            for signs in itertools.product(*ways)
        )
        return reduce(maximum, (highest_ratio(*_crosses(line, there, errors)) for errors in settings))

    return worst


def _over_range(moved: Adjusted, elsewhere: list[Size]) -> str:
    """The ripple at the ends of the column's tilt and reach, the forks left as they are; "" where it has none."""
    if moved.gaps:
        return f"; what its tilt makes of that is not known ({wanting(moved.gaps)})"
    if not elsewhere:
        return ""
    return f"; over the column's range, the forks left as they are, {moved.spoken(elsewhere, 1, '%', 100.0)}"


def _phase(line: Line, number: int, chain: Size) -> Phase:
    """How near the best phase of a shaft its two yokes can be brought."""
    ends = [_positions(yoke) for yoke in line.yokes_of(number)]
    body = line.shafts[number].body
    uses = tuple(use for _, found in ends for use in (() if isinstance(found, Gap) else found))
    counts = [count for count, _ in ends]
    if 0 in counts:
        return Phase(fixed(0.0), True, 0.0, uses)
    gaps = [found for _, found in ends if isinstance(found, Gap)]
    if gaps:
        return Phase(lacking(*gaps), True, math.pi, uses)
    step, recorded = index_step(counts), size_of(body, "phase")
    if recorded.known:
        off = formula(
            lambda found, phase: nearest_error(
                phase / _DEGREES - found.twists[number] - _best(line, found)[number], step
            ),
            chain,
            recorded,
        )
        return Phase(off, True, step, uses)
    if step == math.pi or "phase" in body.gaps:
        why = body.gaps.get("phase", "no reading, and both yokes go on in one place only")
        return Phase(lacking(Gap(body.name, "phase", why)), True, step, uses)
    return Phase(fixed(step / 2), False, step, uses)


def _positions(yoke: Yoke) -> tuple[int, tuple[Use, ...] | Gap]:
    """In how many places a yoke goes on, 0 for any; and what that rests on, or what is missing to know it."""
    ends = yoke.ends
    pair = ends.male, ends.female
    index = [use.word if (use := one.get("index")) is not None else "" for one in pair]
    uses = tuple(use for one in pair for use in names(one, ("index", "form", "groove", "pocket", "clamp")))
    if fixed_by(ends, index):
        return 1, uses
    clamp = ends.female.get("clamp")
    forms = [form_of(one)[0] for one in pair]
    if "plain" in forms or (clamp is not None and clamp.word == "weld-on"):
        return 0, uses
    for form in forms:
        if form in _PROFILES:
            return _PROFILES[form], uses
    found = [count_of(one) for one in pair]
    sure = [one for one in found if not isinstance(one, Gap) and not one.slack]
    if sure:
        return sure[0].teeth, (*uses, *sure[0].uses)
    counted = next((one for one in found if isinstance(one, Gap)), None)
    return 1, counted or Gap(ends.male.name, "spline", "counted by eye, which may be one off: tick every fifth tooth")


def _figures(line: Line, chain: Size, phases: list[Phase]) -> dict[str, tuple[Size, str]]:
    """Best phase, step and error of each shaft; the upper one's first where there are two."""
    sizes: dict[str, tuple[Size, str]] = {}
    for number, phase in enumerate(phases):
        prefix = "" if len(phases) == 1 else ("upper_", "lower_")[number]
        best = formula(_best_phase(line, number), chain)
        sizes |= {f"{prefix}phase_best": (best, "deg"), f"{prefix}phase_step": (fixed(phase.step * _DEGREES), "deg")}
        sizes[f"{prefix}phase_error"] = (formula(lambda off: off * _DEGREES, phase.off), "deg")
    return sizes


def _best_phase(line: Line, number: int) -> Any:
    def best(chain: Chain) -> Any:
        return nearest_error(chain.twists[number] + _best(line, chain)[number], math.pi) * _DEGREES

    return best


def _words(line: Line, phases: list[Phase], best: Size, ratio: Size, over_range: str) -> Any:
    def words() -> str:
        swing = 100 * fluctuation(ratio.central)
        told = (
            f"the speed of the pinion swings between {1 / ratio.central:.3f} and {ratio.central:.3f} of the wheel's, "
            f"{swing:.1f} % twice a turn, and the torque as widely{over_range}"
        )
        if not phases:
            return told
        least = f"the best phase leaves {100 * fluctuation(best.central):.1f} %"
        shafts = [_told(shaft, phase) for shaft, phase in zip(line.shafts, phases, strict=True)]
        return f"{told}; {least}; {'; '.join(shafts)}"

    return words


def _told(shaft: Member, phase: Phase) -> str:
    if phase.step == 0:
        return f"any phase can be set on the {shaft.title}"
    off = abs(phase.off.central) * _DEGREES
    error = f"{off:.1f} deg off the best phase" if phase.known else f"up to {off:.1f} deg off the best phase"
    steps = "in one position" if phase.step == math.pi else f"in steps of {phase.step * _DEGREES:.3g} deg"
    return f"the yokes of the {shaft.title} go on {steps}, {error}"


def _cautions(line: Line, phases: list[Phase], swing: Size, ranges: bool, setting: Setting) -> list[str]:
    told, where = [], " at worst of the column's range" if ranges else ""
    most, felt = setting.limits["shaft_ripple"].value, setting.limits["phase_error"].value
    if swing.central > most:
        told.append(
            f"The speed swings by {100 * swing.central:.1f} % twice a turn{where}, more than {100 * most:.1f} %."
        )
    for shaft, phase in zip(line.shafts, phases, strict=True):
        off = abs(phase.off.central) * _DEGREES
        if off > felt:
            told.append(f"The forks of the {shaft.title} are {off:.0f} deg off their best phase, over {felt:g} deg.")
        if 0 < phase.step < math.pi:
            told.append(
                f"Set the forks of the {shaft.title} by eye against its best phase: a yoke one tooth over, or the two "
                "halves of a telescope put together one tooth over, changes it."
            )
    return told
