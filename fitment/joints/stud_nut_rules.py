"""The rules on the nut side of a stud in an eye: thread under the nut, split pin in its slots."""

from __future__ import annotations

from dataclasses import replace

from fitment.elementwise import minimum
from fitment.errors import DataFault
from fitment.finding import Finding, Gap
from fitment.joints import stud_rules as pages
from fitment.joints.answering import Size, answer, fixed, formula, lacking, mm, names, size_of, with_figures
from fitment.joints.cone_seat import (
    nut_seat,
    pin_high_margin,
    pin_hole_height,
    pin_low_margin,
    stud_past_nut,
    taper_protrusion,
    thread_reserve,
)
from fitment.joints.registration import missing
from fitment.joints.stud_seat_rules import Pair
from fitment.joints.stud_sizes import Seating
from fitment.joints.thread_ends import thread_gap, thread_of
from fitment.quantity.parse import parse_quantity
from fitment.standards.nuts import castle_nut
from fitment.standards.threads import Thread

#: how a nut's standard may be written in a kit, and the table's name for it
_NUT_STANDARDS = {"DIN 935": "DIN 935-1", "DIN 935-1": "DIN 935-1", "DIN 937": "DIN 937"}

#: how far a thread may seem to begin before the end of the cone, mm (own reasoning, no source)
_OVERLAP = 1.0


def washer(pair: Pair) -> float:
    """Thickness of what lies under the nut, mm; 0 where the kit names none.

    Raises:
        DataFault: what the kit says is no length, or a negative one.
    """
    text = pair.setting.facts.get("washer")
    if not text:
        return 0.0
    thick = float(parse_quantity(text, "length", bare_unit="mm").value)
    if thick < 0:
        raise DataFault(
            f"the washer of {' - '.join(pair.joint)} is '{text}', less than nothing",
            mending="give its thickness as a length of 0 mm or more",
            code="joint-01",
        )
    return thick


def nut_plane(pair: Pair, seated: Seating) -> Size:
    """Where the nut bears, from the stud's gauge plane, mm, before the draw-up."""
    thick = washer(pair)
    return formula(lambda H, a: nut_seat(H, a, thick), seated.eye.length, seated.stand_off)


def nut(pair: Pair, seated: Seating) -> Finding:
    """cone-05: thread left under the nut."""
    thread, start = thread_of(pair.stud), size_of(pair.stud, "thread-start")
    plane = nut_plane(pair, seated)
    if thread is None:
        return missing(pages.NUT.code, pair.joint, [thread_gap(pair.stud), *start.gaps, *plane.gaps])
    if start.known and seated.stud.length.known and start.central < seated.stud.length.central - _OVERLAP:
        why = (
            f"the first full thread at {mm(start.central)} lies on the cone, which is"
            f" {mm(seated.stud.length.central)} long: measure both again"
        )
        gaps = [Gap(pair.stud.name, dimension, why) for dimension in ("thread-start", "length")]
        return missing(pages.NUT.code, pair.joint, gaps, start.uses + seated.stud.length.uses)
    draw_up, asked = pair.limit("draw_up"), pair.limit("nut_reserve_pitches") * thread.pitch
    reserve = formula(lambda plane, xt: thread_reserve(plane, xt) - draw_up, plane, start)
    finding = answer(
        pages.NUT.code,
        pair.joint,
        formula(lambda left: left - asked, reserve),
        "mm",
        pair.setting,
        lambda: seated.say(_nut_says(reserve.central, asked, draw_up)),
    )
    figures = {
        "thread_reserve": (reserve, "mm"),
        "taper_protrusion": (
            formula(taper_protrusion, seated.stud.length, seated.eye.length, seated.stand_off),
            "mm",
        ),
    }
    finding = with_figures(finding, figures, pair.setting)
    return replace(finding, uses=finding.uses + names(pair.stud, ["thread"]))


def _nut_says(reserve: float, asked: float, draw_up: float) -> str:
    if reserve < 0:
        return f"the nut jams on the run-out {mm(-reserve)} short, with {mm(draw_up)} drawn up"
    return f"{mm(reserve)} of full thread is left under the nut with {mm(draw_up)} drawn up, {mm(asked)} is asked"


def nut_sizes(pair: Pair) -> tuple[Size, Size, str]:
    """Least height of the nut, greatest height of its slot base, mm, and its name, as the kit or the stud tells."""
    named, thread = pair.setting.facts.get("nut"), thread_of(pair.stud)
    if named is None:
        height, base = size_of(pair.stud, "nut-height"), size_of(pair.stud, "slot-base")
        if height.known and base.known:
            return height, base, "its measured nut"
        unknown = lacking(Gap(pair.stud.name, "nut", "the kit names no nut and none was measured"))
        return unknown, unknown, ""
    if thread is None:
        return lacking(thread_gap(pair.stud)), lacking(thread_gap(pair.stud)), named
    hand = pair.stud.get("hand")
    if hand is not None and hand.word != "RH":
        why = f"the tabled nut is right hand and the stud is {hand.word}: check that such a nut exists for this thread"
        unknown = lacking(Gap(pair.stud.name, "nut", why))
        return unknown, unknown, named
    try:
        found = castle_nut(_NUT_STANDARDS.get(named, named), thread.nominal)
    except DataFault as fault:
        unknown = lacking(Gap(pair.stud.name, "nut", f"{fault.message} ({fault.mending})"))
        return unknown, unknown, named
    return fixed(found.m_min), fixed(found.w_max), f"a {named} nut"


def pin(pair: Pair, seated: Seating) -> Finding:
    """cone-06: the split-pin hole lies in the slots of the nut."""
    hole, across = size_of(pair.stud, "pin-hole"), size_of(pair.stud, "pin-dia")
    end = size_of(pair.stud, "end")
    if hole.known and end.known and end.central <= hole.central:
        why = f"the end at {mm(end.central)} is not beyond the split-pin hole at {mm(hole.central)}"
        gaps = [Gap(pair.stud.name, dimension, why) for dimension in ("end", "pin-hole")]
        return missing(pages.PIN.code, pair.joint, gaps, end.uses + hole.uses)
    height, base, name = nut_sizes(pair)
    plane, draw_up = nut_plane(pair, seated), pair.limit("draw_up")
    centre = formula(pin_hole_height, plane, hole)
    margin = formula(
        lambda hp, dp, ws, m, xp, xe: minimum(
            minimum(pin_low_margin(hp, dp, ws), pin_high_margin(hp + draw_up, dp, m)), xe - xp - dp / 2
        ),
        centre,
        across,
        base,
        height,
        hole,
        end,
    )

    def words() -> str:
        low, high = centre.central - across.central / 2, centre.central + across.central / 2 + draw_up
        slot = f"the slot of {name} is sure from {mm(base.central)} to {mm(height.central)}"
        ends = f"the stud ends {mm(end.central - hole.central - across.central / 2)} past the hole"
        return seated.say(
            f"the split-pin hole reaches from {mm(low)} to {mm(high)} above the nut's seat, {slot}, {ends}"
        )

    finding = answer(pages.PIN.code, pair.joint, margin, "mm", pair.setting, words)
    figures = {
        "pin_height": (centre, "mm"),
        "stud_past_nut": (formula(stud_past_nut, plane, end, height), "mm"),
    }
    finding = with_figures(finding, figures, pair.setting)
    return replace(finding, cautions=(*finding.cautions, *_nut_cautions(pair)))


def thread_end(pair: Pair, thread: Thread) -> Size:
    """Where the stud's full thread ends, from the gauge plane, mm: as measured, else one pitch before the stud does."""
    end = size_of(pair.stud, "end")
    if pair.stud.get("thread-length") is None and "thread-length" not in pair.stud.gaps:
        return formula(lambda xe: xe - thread.pitch, end)
    start, full = size_of(pair.stud, "thread-start"), size_of(pair.stud, "thread-length")
    return formula(lambda xt, full, xe: minimum(xt + full, xe), start, full, end)


def engaged(pair: Pair, seated: Seating) -> Finding:
    """cone-08: full thread through the threaded part of the nut."""
    thread, end = thread_of(pair.stud), size_of(pair.stud, "end")
    _, base, name = nut_sizes(pair)
    plane = nut_plane(pair, seated)
    if thread is None:
        return missing(pages.ENGAGED.code, pair.joint, [thread_gap(pair.stud), *end.gaps, *base.gaps])
    last = thread_end(pair, thread)
    reach = formula(lambda last, plane: last - plane, last, plane)

    def words() -> str:
        return seated.say(
            f"{mm(reach.central)} of full thread stands above the nut's seat, where {name} is threaded over"
            f" {mm(base.central)}"
        )

    margin = formula(lambda reach, base: reach - base, reach, base)
    finding = answer(pages.ENGAGED.code, pair.joint, margin, "mm", pair.setting, words)
    return replace(finding, uses=finding.uses + names(pair.stud, ["thread"]))


def _nut_cautions(pair: Pair) -> tuple[str, ...]:
    """A nut tabled by its diameter alone need not exist with the stud's pitch (ISO 262 has the usual ones)."""
    named, thread = pair.setting.facts.get("nut"), thread_of(pair.stud)
    if named is None or thread is None or thread.first_choice:
        return ()
    what = f"The tabled nut is right hand with a usual pitch, and {thread.designation} is not among the usual threads"
    return (f"{what}: check that such a nut exists for this thread.",)


def stand_offs_wanted(pair: Pair, seated: Seating) -> tuple[float | None, float | None]:
    """Least and greatest stand-off that nut and split pin ask for, mm; None where they ask nothing or are not known."""
    H, draw_up, thick = seated.eye.length, pair.limit("draw_up"), washer(pair)
    start, hole, across = (size_of(pair.stud, name) for name in ("thread-start", "pin-hole", "pin-dia"))
    height, base, _ = nut_sizes(pair)
    thread = thread_of(pair.stud)
    least: list[float] = []
    if thread is not None and start.known and H.known:
        asked = pair.limit("nut_reserve_pitches") * thread.pitch
        least.append(start.central + draw_up + asked - H.central - thick)
    if not formula(min, hole, across, base, height, H).known:
        return max(least, default=None), None
    under = hole.central - H.central - thick
    least.append(under - height.central + draw_up + across.central / 2)
    return max(least), under - base.central - across.central / 2
