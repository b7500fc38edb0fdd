"""What would make two patterns meet: holes opened or slotted where the edge allows, else an adapter plate."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import partial
from typing import Any

from fitment.doubt import judged, margin_of
from fitment.errors import DataFault
from fitment.finding import Figure, Finding, Gap, Margin, Verdict, Work
from fitment.frozen import dataclass
from fitment.joints import pattern_rules as pages
from fitment.joints.answering import Size, answer, drawn, formula, mm, size_of
from fitment.joints.hole_registration import Registration, misfit_at, turned
from fitment.joints.pattern_holes import Pattern
from fitment.joints.pattern_pair import Pair
from fitment.standards.holes import clearance_hole_inch, clearance_hole_metric

OPEN, SLOT, PLATE = "open holes", "slot holes", "adapter plate"
OPERATIONS = (OPEN, SLOT, PLATE)

#: mm to which a drill or file is asked: upwards, so that a bolt passes
_STEP = 0.1


@dataclass(frozen=True)
class Proposal:
    """Work that makes the bolts pass, and the edge distance that it leaves (None for a plate)."""

    works: tuple[Work, ...]
    edge: Finding | None
    says: str


def propose(pair: Pair, margin: Margin) -> Proposal | str | tuple[Gap, ...]:
    """The work, why there is none, or what is missing to tell.

    Args:
        margin: -t* with its doubt; `low` is what the work must make up for.
    """
    gaps: list[Gap] = []
    reasons = [why for side in pair.sides if (why := _barred(side))]
    free = [side for side in pair.sides[::-1] if not _barred(side)]
    both = [tuple(free)] if len(free) == 2 else []
    for sides in [*((side,) for side in free), *both]:
        made = _opened(pair, sides, -margin.low)
        if isinstance(made, Proposal):
            return made
        gaps += made or ()
    for side in free:
        made = _slotted(pair, side, margin)
        if isinstance(made, Proposal):
            return made
        gaps += made or ()
    if gaps:
        return tuple(dict.fromkeys(gaps))
    if free:
        which = "the other holes" if reasons else "the holes"
        reasons.append(f"{which} cannot be opened or slotted and keep their edge distance")
    return _plate(pair, reasons)


def _barred(side: Pattern) -> str:
    if side.captive:
        return f"{side.feature.name} holds the thread"
    if side.locating:
        holes = ", ".join(map(str, sorted(side.locating)))
        return f"{side.feature.name} locates by hole {holes}"
    return ""


def _stepped(length: float) -> float:
    return math.ceil(length / _STEP - 1e-9) * _STEP


def _largest(side: Pattern) -> Size:
    def most(*diameters: Any) -> Any:
        import numpy as np

        return np.max(np.stack([np.asarray(one) for one in diameters]), axis=0)

    return formula(most, *(side.diameter(hole) for hole in side.numbers))


def _coarse(pair: Pair) -> float:
    """The coarse clearance hole of the bolt, mm; 1.2 diameters where none is tabled (own choice)."""
    bolt = pair.bolt
    assert bolt is not None
    try:
        if bolt.form == "M":
            return clearance_hole_metric(bolt.nominal, "coarse").diameter
        return clearance_hole_inch(bolt.nominal, "loose").diameter
    except DataFault:
        return 1.2 * bolt.nominal


@dataclass(frozen=True)
class _Kept:
    """pattern-04 of the side that keeps least, and the edge distance left of each side, mm."""

    finding: Finding
    left: tuple[float, ...]


def _edges(pair: Pair, sides: tuple[Pattern, ...], used: float, wider: float) -> _Kept | tuple[Gap, ...] | None:
    """Whether the sides keep their edge when holes lose `used` mm of it and are `wider` mm wider.

    The gaps where that is not known; None where they do not.
    """
    ratio = pair.setting.limits["hole_edge_ratio"].value
    found: list[tuple[Finding, float]] = []
    for side in sides:
        edge = formula(lambda before: before - used, size_of(side.feature, "edge"))
        if not edge.known:
            return edge.gaps
        asked = formula(lambda hole: ratio * (hole + wider), _largest(side))
        says = f"{side.feature.name}: {mm(edge.central)} from hole to edge is left, {mm(asked.central)} is asked"
        sentence = partial(str, says)
        margin = formula(lambda left, least: left - least, edge, asked)
        one = answer(pages.EDGE.code, pair.joint, margin, "mm", pair.setting, sentence)
        if one.verdict is not Verdict.FITS:
            return one.gaps if one.verdict is Verdict.NOT_KNOWN else None
        found.append((one, edge.central))
    worst = min((one for one, _ in found), key=lambda one: one.margin.low if one.margin else 0.0)
    return _Kept(worst, tuple(left for _, left in found))


def _opened(pair: Pair, sides: tuple[Pattern, ...], wanting: float) -> Proposal | tuple[Gap, ...] | None:
    """Opening every hole of the sides: 2 t* in diameter on one of them, or t* on both, at the doubtful end of t*."""
    growth = _stepped(2 * wanting / len(sides))
    if any(_largest(side).central + growth > _coarse(pair) for side in sides):
        return None
    kept = _edges(pair, sides, growth / 2, growth)
    if not isinstance(kept, _Kept):
        return kept
    works = []
    for side, left in zip(sides, kept.left, strict=True):
        before = _largest(side).central
        detail = f"every hole by {growth:.1f} mm in diameter, centred where it is; {mm(left)} from hole to edge is left"
        sizes = {"growth": growth, "edge_left": left}
        works.append(Work(OPEN, side.feature.name, before, before + growth, "mm", left, detail, _figures(sizes)))
    names = " and ".join(side.feature.name for side in sides)
    return Proposal(tuple(works), kept.finding, f"holes of {names} opened by {growth:.1f} mm would let the bolts pass")


def _slotted(pair: Pair, side: Pattern, margin: Margin) -> Proposal | tuple[Gap, ...] | None:
    """Slots from the holes of one side towards where their bolts come to lie, once they are seen to let them pass."""
    import numpy as np

    own, p, q, slack, *others = pair.parts
    if side.feature.get("slot") is not None or others:
        return None  # a slot that is there already would have to be turned
    found: Registration = own.at(pair.central)
    spare = 2 * (-margin.low - found.t_star)
    lengths = np.array([_stepped(max(float(misfit) + spare, 0.0)) for misfit in found.misfit])
    way = turned(np.asarray(p.at(pair.central)), np.radians(found.angle)) + found.shift - q.at(pair.central)
    way = way / np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-300)[:, None]
    if side is pair.first:  # its holes must reach the other way, seen in the part itself
        way = turned(-way, -np.radians(found.angle))
    half = way * (lengths / 2)[:, None]

    def room(best: Registration, from_p: Any, to_q: Any, slacks: Any) -> Any:
        """Room at the transform that is best without the slots: there may be a better one, so it is never too much."""
        at = (slacks, best.angle, best.shift)
        if side is pair.first:
            return -misfit_at(from_p + half, to_q, *at, p_slots=half).max(axis=-1)
        return -misfit_at(from_p, to_q + half, *at, q_slots=half).max(axis=-1)

    kept = _edges(pair, (side,), float(lengths.max()), 0.0)
    if kept is None:
        return None  # told before the room is, of which the slots are made to leave just enough: few samples never tell
    passes = formula(room, own, p, q, slack)
    if judged(margin_of(drawn(passes, pair.setting.draws)[0], "mm")) is not Verdict.FITS:
        return None
    if not isinstance(kept, _Kept):
        return kept
    says = "; ".join(
        f"hole {number} by {length:.1f} mm {pair.direction(side, toward)}"
        for number, length, toward in zip(side.numbers, lengths, way, strict=True)
        if length > 0
    )
    before, detail = _largest(side).central, f"{says}; {mm(kept.left[0])} from hole to edge is left"
    # each slot as a vector from the hole to the far end of its middle line, in the plane in which the side is seen
    ways = {
        f"{name}_{number}": float(size)
        for number, vector in zip(side.numbers, 2 * half, strict=True)
        for name, size in zip(("slot_forward", "slot_left"), vector, strict=True)
    }
    sizes = _figures({**ways, "edge_left": kept.left[0]})
    work = Work(SLOT, side.feature.name, before, before + float(lengths.max()), "mm", kept.left[0], detail, sizes)
    return Proposal((work,), kept.finding, f"slots in {side.feature.name} would let the bolts pass")


def _figures(sizes: Mapping[str, float]) -> dict[str, Figure | str]:
    return {name: Figure(value, None, "mm") for name, value in sizes.items()}


def _plate(pair: Pair, reasons: list[str]) -> Proposal | str:
    """A plate made to the registered patterns, where its own holes do not run into one another."""
    import numpy as np

    found: Registration = pair.registered.at(pair.central)
    _, p, q, *_ = pair.parts
    bolts = turned(np.asarray(p.at(pair.central)), np.radians(found.angle)) + found.shift
    apart = np.hypot(*np.moveaxis(bolts[:, None] - np.asarray(q.at(pair.central))[None], -1, 0)).min()
    bolt = pair.bolt
    assert bolt is not None
    asked = (1 + pair.setting.limits["hole_edge_ratio"].value) * bolt.nominal
    why = "; ".join(reasons)
    if apart < asked:
        near = f"in an adapter plate two holes would lie {mm(float(apart))} apart, {mm(asked)} is asked"
        return f"{why}; {near}"
    detail = (
        f"made to both patterns as registered, holes {mm(float(apart))} apart or more; the rack moves by its thickness"
    )
    sizes = _figures({"between_holes": float(apart), "between_holes_asked": asked})
    return Proposal(
        (Work(PLATE, pair.joint[0], None, None, "mm", None, detail, sizes),), None, f"{why}; an adapter plate is left"
    )
