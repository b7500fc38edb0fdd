"""Work that would make a stud seat in an eye: reaming to the stud's own cone, from either face, or a taper sleeve.

After the work the eye is known by the stud: equal cones, at the stand-off at which the work is stopped.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace

from fitment.elementwise import maximum, minimum
from fitment.finding import Basis, Figure, Finding, Gap, Use, Verdict, Work
from fitment.frozen import dataclass
from fitment.joints import stud_rules as pages
from fitment.joints.answering import Size, answer, formula, half_width_u, mm, reading, size_of, spread
from fitment.joints.cone_seat import diameter_at
from fitment.joints.cone_work import large_end_to_seat, least_large_end, ream_to_seat, turned_over
from fitment.joints.stud_nut_rules import stand_offs_wanted
from fitment.joints.stud_seat_rules import Pair
from fitment.joints.stud_sizes import Cone, Seating, at_stand_off
from fitment.quantity.show import show_taper

REAM, REAM_OTHER, SLEEVE = "ream", "ream from the other face", "taper sleeve"
OPERATIONS = (REAM, REAM_OTHER, SLEEVE)

#: marks the stand-off that work aims at; it is no reading
PLANNED = "the stop of the proposed work"

CERTIFY = "Reaming a steering arm is machining of a steering part: have it certified where your authority requires it."
SLEEVES = "Some certifying bodies restrict or forbid sleeves in steering arms: ask before boring."


@dataclass(frozen=True)
class Proposal:
    """Work that seats the stud, metal allowing.

    Attributes:
        operation: one of `OPERATIONS`.
        after: the seat afterwards.
        before, hole: diameter of the eye at the face that the stud enters, before and after, mm (a sleeve: the bore).
        walls: wall left at that face and at the other, mm; not known where the boss is not.
        detail: how to do it, without the wall.
        sizes: what a machinist needs besides, mm: ``depth_extra`` of a reamer, ``sleeve_wall`` of a sleeve,
            ``stand_off_tolerance`` and ``small_old`` of either.
    """

    operation: str
    after: Seating
    before: Size
    hole: Size
    walls: tuple[Size, Size]
    detail: str
    sizes: Mapping[str, float] = field(default_factory=dict)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to say with it."""
        return (CERTIFY, SLEEVES) if self.operation == SLEEVE else (CERTIFY,)


def propose(pair: Pair, seated: Seating, turned: bool) -> Proposal | Gap | str | None:
    """The least work that seats the stud, preferring a stand-off at which nut and split pin are right too.

    Args:
        seated: the stud and the eye as they are.
        turned: whether the stud enters at the small face of the eye.

    Returns:
        the work; the gap for which it cannot be said; the reason for which none helps; None where sizes are missing.
    """
    stud, eye = seated.stud, _seen_from(seated.eye, turned)
    if not all(size.known for size in (stud.large, stud.ratio, stud.length, eye.large, eye.ratio, eye.length)):
        return None
    draws, mismatch = pair.setting.draws, pair.limit("cone_mismatch")
    flattest, steepest = spread(stud.ratio, draws)
    if steepest - flattest > 2 * mismatch:
        return Gap(pair.stud.name, "taper", "not known well enough to choose a reamer")
    tolerance = _slack(pair, stud.ratio.central)
    fraction = pair.limit("contact_fraction")
    least = pair.limit("stand_off_min") + tolerance
    proudest = formula(lambda L, H: L - fraction * H - tolerance, stud.length, eye.length)
    cleans = formula(
        lambda Ds, Cs, De, Ce, H: (Ds - least_large_end(De, Ce, H, Cs)) / Cs - tolerance,
        stud.large,
        stud.ratio,
        eye.large,
        eye.ratio,
        eye.length,
    )
    sure, possible = spread(proudest, draws)
    if possible < least:
        return f"a cone of {mm(stud.length.central)} is too short for an eye of {mm(eye.length.central)}, reamed or not"
    if sure < least:
        return Gap(pair.stud.name, "length", "too coarse to say whether the cone is long enough once reamed")
    clean_sure, clean_possible = spread(cleans, draws)
    if clean_possible < least:
        return _sleeve(pair, stud, eye, turned, _wanted(pair, seated, least, sure)[0])
    if clean_sure < least:
        return Gap(pair.eye.name, "large", "too coarse to say whether a reamer leaves nothing of the old cone")
    proposal = _ream(pair, stud, eye, turned, _wanted(pair, seated, least, min(sure, clean_sure)))
    # with better readings less might have to come off: only then is it said that the metal is not there
    kindest = _reamed(pair, stud, eye, turned, min(possible, clean_possible))
    if _short(pair, proposal) and not _short(pair, kindest):
        return Gap(pair.eye.name, "large", "too coarse to say whether a reamer leaves wall enough")
    return proposal


def _seen_from(eye: Cone, turned: bool) -> Cone:
    """The eye from the face that the stud enters."""
    if not turned:
        return eye
    large = formula(lambda D, C, H: turned_over(D, C, H)[0], eye.large, eye.ratio, eye.length)
    return Cone(large, eye.large, eye.length, formula(lambda C: -C, eye.ratio))


def _wanted(pair: Pair, seated: Seating, least: float, most: float) -> list[float]:
    """Stand-offs to aim at, best first: mid-slot, then ever less metal off; all from `least` to `most`."""
    low, high = stand_offs_wanted(pair, seated)
    wanted = [most]
    if low is not None and high is not None and low <= high:
        low, high = min(max(low, least), most), min(max(high, least), most)
        wanted = [(low + high) / 2, high, most]
    return wanted


def _slack(pair: Pair, taper: float) -> float:
    """How far the stand-off may miss its aim, mm: the reamer's tolerance on diameter over the taper."""
    return pair.limit("ream_tolerance") / taper


def _planned(pair: Pair, stand_off: float, taper: float) -> Size:
    return reading(
        Use(
            pair.eye.name,
            "stand-off",
            stand_off,
            half_width_u(_slack(pair, taper)),
            "mm",
            Basis.STATED,
            source=PLANNED,
            shape="rectangular",
        )
    )


def _bosses(turned: bool) -> tuple[str, str]:
    return ("boss-small", "boss-large") if turned else ("boss-large", "boss-small")


def _walls(pair: Pair, turned: bool, holes: tuple[Size, Size]) -> tuple[Size, Size]:
    near, far = (
        formula(lambda boss, hole: (boss - hole) / 2, size_of(pair.eye, name), hole)
        for name, hole in zip(_bosses(turned), holes, strict=True)
    )
    return near, far


def _stop(pair: Pair, stand_off: float, taper: float) -> str:
    return (
        f"go in small steps, gauge with the actual stud and stop when it stands {mm(stand_off)} proud of the face, "
        f"within {mm(_slack(pair, taper))} either way"
    )


def _ream(pair: Pair, stud: Cone, eye: Cone, turned: bool, wanted: list[float]) -> Proposal:
    """Reamed to the first wanted stand-off that leaves wall enough, else to the one that takes the least metal."""
    proposals = [_reamed(pair, stud, eye, turned, stand_off) for stand_off in wanted]
    return next((one for one in proposals if not _short(pair, one)), proposals[-1])


def _short(pair: Pair, proposal: Proposal) -> bool:
    return wall(pair, proposal).verdict is Verdict.DOES_NOT_FIT


def _reamed(pair: Pair, stud: Cone, eye: Cone, turned: bool, stand_off: float) -> Proposal:
    taper = stud.ratio.central
    after = at_stand_off(stud, eye, _planned(pair, stand_off, taper), "once reamed")
    plan = ream_to_seat(stud.large.central, taper, eye.large.central, eye.ratio.central, eye.length.central, stand_off)
    face = "small" if turned else "large"
    detail = (
        f"{show_taper(taper)} reamer from the old {face} face, to {mm(float(plan.large_new))} there and "
        f"{mm(float(plan.small_new))} at the other, {mm(float(plan.depth_extra))} deeper than first touch; "
        f"{_stop(pair, stand_off, taper)}"
    )
    holes = after.eye.large, after.eye.small
    operation = REAM_OTHER if turned else REAM
    sizes = {"depth_extra": float(plan.depth_extra), "stand_off_tolerance": _slack(pair, taper), **_old_small(eye)}
    return Proposal(operation, after, eye.large, holes[0], _walls(pair, turned, holes), detail, sizes)


def _sleeve(pair: Pair, stud: Cone, eye: Cone, turned: bool, stand_off: float) -> Proposal:
    """Bored straight, with a sleeve that carries the stud's cone."""
    taper, thin = stud.ratio.central, pair.limit("sleeve_wall")
    after = at_stand_off(stud, eye, _planned(pair, stand_off, taper), "once sleeved")
    inside = float(large_end_to_seat(stud.large.central, taper, stand_off))
    widest = formula(lambda D, C, H: maximum(D, diameter_at(D, C, H)), eye.large, eye.ratio, eye.length)
    hole = formula(lambda across: maximum(across, inside + 2 * thin), widest)
    bore = hole.central
    detail = (
        f"bore straight to {mm(bore)}, turn a sleeve of {mm(bore)} outside with a {show_taper(taper)} cone of "
        f"{mm(inside)} at its large end and a flange on the loaded side, wall {mm((bore - inside) / 2)} at its "
        f"thinnest; {_stop(pair, stand_off, taper)}"
    )
    sizes = {"sleeve_wall": (bore - inside) / 2, "stand_off_tolerance": _slack(pair, taper), **_old_small(eye)}
    return Proposal(SLEEVE, after, eye.large, hole, _walls(pair, turned, (hole, hole)), detail, sizes)


def _old_small(eye: Cone) -> dict[str, float]:
    """Diameter of the eye as it is at the face that the stud leaves by, where that is known."""
    return {"small_old": eye.small.central} if eye.small.known else {}


def wall(pair: Pair, proposal: Proposal) -> Finding:
    """cone-07: the wall left at both faces, held against the hole's largest diameter."""
    ratio = pair.limit("wall_ratio")
    # whatever wall the kit asks, a hole that breaks through leaves none
    margin = formula(
        lambda near, far, hole: minimum(minimum(near, far) - ratio * hole, minimum(near, far)),
        *proposal.walls,
        proposal.hole,
    )

    def words() -> str:
        near, far = (size.central for size in proposal.walls)
        hole = proposal.hole.central
        return proposal.after.say(
            f"{mm(near)} of wall is left at the face that the stud enters and {mm(far)} at the other, "
            f"{mm(ratio * hole)} is asked round a hole of {mm(hole)} (outside over hole {(hole + 2 * near) / hole:.2f})"
        )

    finding = answer(pages.WALL.code, pair.joint, margin, "mm", pair.setting, words)
    return replace(finding, cautions=proposal.cautions)


def work_of(pair: Pair, proposal: Proposal) -> Work:
    """The proposal as the report lists it."""
    known = all(size.known for size in proposal.walls)
    remaining = min(size.central for size in proposal.walls) if known else None
    return Work(
        proposal.operation,
        pair.eye.name,
        proposal.before.central,
        proposal.hole.central,
        "mm",
        remaining,
        proposal.detail,
        _sizes(pair, proposal),
    )


def _sizes(pair: Pair, proposal: Proposal) -> dict[str, Figure | str]:
    """Sizes by name, mm and the ratio of the taper; ``entry`` is the face that the stud enters, ``exit`` the other."""
    stud, eye = proposal.after.stud, proposal.after.eye
    found = {
        "stud_large": stud.large,
        "stud_length": stud.length,
        "thick": eye.length,
        "large_old": proposal.before,
        "large_new": eye.large,
        "small_new": eye.small,
        "stand_off": proposal.after.stand_off,
        "hole": proposal.hole,
    }
    for end, wall_left, hole in zip(("entry", "exit"), proposal.walls, _holes(proposal), strict=True):
        found[f"wall_{end}"] = wall_left
        found[f"boss_{end}"] = formula(lambda left, across: across + 2 * left, wall_left, hole)
    sizes: dict[str, Figure | str] = {
        name: Figure(size.central, None, "mm") for name, size in found.items() if size.known
    }
    sizes["taper"] = Figure(stud.ratio.central, None, "")
    return (
        sizes | {name: Figure(value, None, "mm") for name, value in proposal.sizes.items()} | {"stud": pair.stud.name}
    )


def _holes(proposal: Proposal) -> tuple[Size, Size]:
    """The hole in the arm at either face."""
    if proposal.operation == SLEEVE:
        return proposal.hole, proposal.hole
    return proposal.after.eye.large, proposal.after.eye.small


def boss_asked(pair: Pair, proposal: Proposal) -> float:
    """Outside diameter that the eye must have for the wall asked, mm."""
    return proposal.hole.central * (1 + 2 * pair.limit("wall_ratio"))
