"""Boots over the travel of the rack: how far each is squashed and stretched at the locks, against what it allows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from fitment.catalogue.found import FoundPart
from fitment.elementwise import minimum
from fitment.finding import Finding, Gap, Use, Verdict
from fitment.frozen import dataclass
from fitment.joints.answering import Size, answer, formula, lacking, mm, names, size_of, with_figures
from fitment.joints.registration import Feature, Setting, missing
from fitment.kits import boot_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.chain import address_of
from fitment.kits.front_axle import travel_of
from fitment.kits.kit import Kit
from fitment.kits.report import JointSummary
from fitment.kits.rod_sizes import ball_offset, rod_parts
from fitment.kits.roles import SIDES
from fitment.kits.tilt import larger, stated
from fitment.kits.tilt_grid import swing_of
from fitment.kits.whole import Looked, WholeKitCheck

if TYPE_CHECKING:
    from fitment.elementwise import Values

_OTHER = {"left": "right", "right": "left"}
_SUCKED = "boots that cannot breathe suck one another in"


def mouth_to_neck(ahead: Values, neck: Values, angle: Values) -> Values:
    """Distance from the boot's seat on the housing to its neck on the rod, mm: sqrt(q² + n² + 2 q n cos g).

    Args:
        ahead: q, the inner ball ahead of the seat, mm; negative where it is inside.
        neck: n, from the ball to the neck along the rod, mm.
        angle: g, between rod and bar, deg.
    """
    import numpy as np

    length: Values = np.sqrt(ahead**2 + neck**2 + 2 * ahead * neck * np.cos(np.radians(angle)))
    return length


def one_sided(outside: Values, angle: Values) -> Values:
    """How much more the far side of the folds is stretched, and the near side squashed, by the rod's angle, mm.

    Args:
        outside: diameter of the folds, mm.
        angle: between rod and bar, deg; first order.
    """
    import numpy as np

    more: Values = outside / 2 * np.radians(angle)
    return more


@dataclass(frozen=True)
class _Lock:
    """One boot at one lock.

    Attributes:
        code: of the rule.
        straight: seat to neck with the rod straight, mm.
        bent: the worse side of the folds with the rod at its largest angle, mm.
        allowed: what the boot allows, mm.
        room: how much is left of that for a length, from the length and what is allowed.
        told: what is allowed, in words.
    """

    code: str
    straight: Size
    bent: Size
    allowed: Size
    room: Callable[[Any, Any], Any]
    told: Callable[[], str]


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """The boots that the kit names."""
    boots = {side: boot for side in SIDES if (boot := assembly.found.get(address_of("boot", side))) is not None}
    caution, breathers = _breathing(boots)
    summaries = []
    for side, boot in boots.items():
        joint = (
            boot.features["body"].name,
            f"{assembly.found['rack'].name if 'rack' in assembly.found else 'rack'} bar",
        )
        angle = _angle(kit, assembly, boot.features["body"], side, setting)
        closed, opened = (
            _finding(lock, angle, joint, setting)
            for lock in _locks(kit, assembly, boot.features["body"], side, angle, setting)
        )
        opened = replace(opened, cautions=(caution,), uses=(*opened.uses, *breathers))
        title = f"{side} boot length at both locks"
        summaries.append(JointSummary(f"{side}.{CHECK.row}", side, title, joint, (closed, opened)))
    without = tuple(f"{side} boot is not named in the kit" for side in SIDES if side not in boots)
    return Looked(tuple(summaries), without)


CHECK = WholeKitCheck("boot-travel", look)


def _angle(kit: Kit, assembly: Assembly, body: Feature, side: str, setting: Setting) -> Size:
    """The largest angle of the rod to the bar, deg: as taken with the boot in the car, else as tilt-02 has it."""
    angle = size_of(body, "rod-angle")
    if angle.known or "rod-angle" in body.gaps:
        return angle
    asked = larger(swing_of(kit, assembly, side, setting).inner, stated(kit, side, "tilt_inner"))
    return asked if asked.known else lacking(*angle.gaps, *asked.gaps)


def _locks(
    kit: Kit, assembly: Assembly, body: Feature, side: str, angle: Size, setting: Setting
) -> tuple[_Lock, _Lock]:
    """The lock that closes the boot and the one that opens it: a bar that moves to a side opens the boot there."""
    parts, centre = rod_parts(kit, assembly, side), size_of(body, "seat-centre")
    nothing = lacking(Gap("rack", "part", "is not named in the kit"))
    travel, out = dict.fromkeys(SIDES, nothing), nothing
    if parts.rack is not None:
        rack = parts.rack.features["body"]
        travel, out = travel_of(rack), size_of(rack, f"out-{side}-centre")
    neck = formula(lambda seat, bar, offset: seat - bar - offset, centre, out, ball_offset(parts))
    short = _either(body, "seat-short", formula(lambda seat, way: seat - way, centre, travel[_OTHER[side]]))
    long = _either(body, "seat-long", formula(lambda seat, way: seat + way, centre, travel[side]))
    sizes = (neck, angle, size_of(body, "outside"))
    least, most = setting.limits["boot_closed"].value, setting.limits["boot_open"].value
    solid, drawn = size_of(body, "solid"), size_of(body, "longest")
    closed = _Lock(
        pages.CLOSED.code,
        short,
        formula(lambda seat, n, g, folds: mouth_to_neck(seat - n, n, g) - one_sided(folds, g), short, *sizes),
        solid,
        lambda length, one: length - least * one,
        lambda: f"{mm(least * solid.central)} is the least, {100 * least:.0f} % of {mm(solid.central)} solid",
    )
    opened = _Lock(
        pages.OPEN.code,
        long,
        formula(lambda seat, n, g, folds: mouth_to_neck(seat - n, n, g) + one_sided(folds, g), long, *sizes),
        drawn,
        lambda length, one: most * one - length,
        lambda: f"{mm(most * drawn.central)} is the most, {100 * most:.0f} % of {mm(drawn.central)} drawn out",
    )
    return closed, opened


def _either(body: Feature, dimension: str, worked_out: Size) -> Size:
    """A length as taken in the car, else as worked out."""
    taken = size_of(body, dimension)
    if taken.known or dimension in body.gaps:
        return taken
    return worked_out if worked_out.known else lacking(*taken.gaps, *worked_out.gaps)


def _finding(lock: _Lock, angle: Size, joint: tuple[str, str], setting: Setting) -> Finding:
    straight, bent = (formula(lock.room, length, lock.allowed) for length in (lock.straight, lock.bent))
    both = formula(minimum, straight, bent)
    side, verb = ("near", "squashed") if lock.code == pages.CLOSED.code else ("far", "stretched")

    def words() -> str:
        told = f"{verb} to {mm(lock.straight.central)} with the rod straight"
        if both.known:
            told += f" and {mm(lock.bent.central)} on the {side} side of the folds at {angle.central:.1f} deg"
        return f"{told}; {lock.told()}"

    finding = answer(lock.code, joint, both if both.known else straight, "mm", setting, words)
    if not both.known and finding.verdict is Verdict.FITS:
        # straight it goes, and bent it is worse
        lacks = missing(lock.code, joint, list(both.gaps), finding.uses)
        finding = replace(lacks, because=f"{finding.because}; with the rod at its largest angle: {lacks.because}")
    return with_figures(finding, {"length_straight": (lock.straight, "mm"), "length_bent": (lock.bent, "mm")}, setting)


def _breathing(boots: Mapping[str, FoundPart]) -> tuple[str, tuple[Use, ...]]:
    """What is to be said of the breathers, and the readings that say it."""
    bodies = [boot.features["body"] for boot in boots.values()]
    uses = tuple(use for body in bodies for use in names(body, ["breather"]))
    unknown = [body.name for body in bodies if body.get("breather") is None]
    if unknown:
        return f"Look whether there is a breather on {' and '.join(dict.fromkeys(unknown))}: {_SUCKED}.", uses
    has = [use.word != "none" for use in uses]
    if all(has):
        return f"Join the boots by a pipe between their breathers: {_SUCKED}.", uses
    if any(has):
        return f"One boot has a breather and the other none, so that no pipe joins them: {_SUCKED}.", uses
    return f"There is no breather on the boots: where a pipe joined the rack's own, {_SUCKED}.", uses
