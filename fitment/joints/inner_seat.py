"""The inner joint on the rack's bar end: where its shoulder lands, whether it lands at all, and what locks it."""

from __future__ import annotations

from dataclasses import replace

from fitment.elementwise import maximum, minimum
from fitment.finding import Finding, Gap, Verdict
from fitment.frozen import dataclass
from fitment.joints import thread_rules as pages
from fitment.joints.answering import Size, answer, fixed, formula, mm, names, size_of
from fitment.joints.fasteners import nominal_of
from fitment.joints.registration import Feature, Setting, missing

#: dimensions of which any one says that the joint lands on a shoulder
_SEATED = (("bar", ("seat-dia", "counterbore-dia", "counterbore-depth")), ("end", ("shoulder-dia", "shoulder-length")))

#: what each way of locking needs on the bar end or the joint, by any one of these dimensions
_NEEDS: dict[str, tuple[tuple[str, ...], str]] = {
    "tab washer": (("flats", "groove-width", "washer"), "bar"),
    "stake": (("groove-width", "flats"), "bar"),
    "pin": (("cross-hole",), "either"),
    "lock wire": (("cross-hole",), "either"),
}

_LOOK = {
    "tab washer": "A tab washer is new each time: see that its tab stands in its groove before the other is bent.",
    "stake": "A stake holds once: see that fresh metal is left to stake into the groove.",
    "prevailing-torque nut": "A prevailing-torque nut is used once.",
    "jam nut": "A jam nut is the last to be tightened, after the alignment.",
    "thread locker": "Thread locker holds on clean threads only; nothing is left to look at afterwards.",
}


@dataclass(frozen=True)
class Ends:
    """A joint at the bar: the rack's bar end, and the end that screws to it."""

    bar: Feature
    end: Feature
    joint: tuple[str, str]


def ends_of(first: Feature, second: Feature) -> Ends | None:
    """The two ends where the one is a rack's bar end and the other is not; None for any other pair."""
    for bar, end in ((first, second), (second, first)):
        if bar.kind == "bar-end" and end.kind == "thread-end":
            return Ends(bar, end, (first.name, second.name))
    return None


def inner_seat(first: Feature, second: Feature, setting: Setting) -> list[Finding]:
    """What is known of shoulder, seat and locking; nothing of two ends of which none is a bar's."""
    ends = ends_of(first, second)
    if ends is None:
        return []
    findings = [_ring(ends, setting), _lands(ends, setting)] if _seated(ends) else []
    locked = _locked(ends)
    return findings if locked is None else [*findings, locked]


def unlocked_caution(first: Feature, second: Feature) -> tuple[str, ...]:
    """The word of warning where nobody noted how a joint at the bar is locked."""
    ends = ends_of(first, second)
    if ends is None or any("locking" in (one.values.keys() | one.gaps.keys()) for one in (ends.bar, ends.end)):
        return ()
    return (f"How {ends.end.name} is locked to {ends.bar.name} is not recorded: look before it is undone.",)


def _seated(ends: Ends) -> bool:
    sides = {"bar": ends.bar, "end": ends.end}
    return any(name in (sides[side].values.keys() | sides[side].gaps.keys()) for side, of in _SEATED for name in of)


def _or_nothing(feature: Feature, dimension: str) -> Size:
    """A size that is left out where there is none: nought then."""
    if dimension in feature.values or dimension in feature.gaps:
        return size_of(feature, dimension)
    return fixed(0.0)


def _ring(ends: Ends, setting: Setting) -> Finding:
    """thread-05: a ring on which shoulder and seat face meet."""
    code = pages.SEAT.code
    shoulder, seat = size_of(ends.end, "shoulder-dia"), size_of(ends.bar, "seat-dia")
    inner = formula(maximum, _or_nothing(ends.bar, "counterbore-dia"), nominal_of(ends.bar, "thread"))
    outer = formula(minimum, shoulder, seat)
    width = formula(lambda out, hole: (out - hole) / 2, outer, inner)

    def words() -> str:
        told = (
            f"the shoulder is {mm(shoulder.central)}, the seat face {mm(seat.central)} round a hole of "
            f"{mm(inner.central)}"
        )
        if width.central <= 0:
            return f"{told}: the shoulder goes past the seat and lands on nothing"
        return f"{told}: they meet on a ring {mm(width.central)} wide"

    finding = answer(code, ends.joint, width, "mm", setting, words)
    if width.known or not (shoulder.known and inner.known):
        return finding
    # no seat is wide enough for a shoulder that goes into the hole
    alone = answer(
        code,
        ends.joint,
        formula(lambda out, hole: (out - hole) / 2, shoulder, inner),
        "mm",
        setting,
        lambda: f"the shoulder is {mm(shoulder.central)} and goes into a hole of {mm(inner.central)}: it does not land",
    )
    return alone if alone.verdict is Verdict.DOES_NOT_FIT else finding


def _lands(ends: Ends, setting: Setting) -> Finding:
    """thread-06: the shoulder lands before the thread runs out or bottoms."""
    code = pages.LANDS.code
    sexes = {side: use.word for side, use in (("bar", ends.bar.get("sex")), ("end", ends.end.get("sex"))) if use}
    if sorted(sexes.values()) != ["female", "male"]:
        gaps = [one.gap("sex") for one in (ends.bar, ends.end) if one.get("sex") is None]
        gaps = gaps or [Gap(ends.end.name, "sex", f"is {sexes['end']} as the bar end's is")]
        return missing(code, ends.joint, gaps)
    male, female = (ends.end, ends.bar) if sexes["end"] == "male" else (ends.bar, ends.end)
    long, deep = size_of(male, "depth"), size_of(female, "depth")
    sunk = _or_nothing(female, "counterbore-depth")
    washer = formula(maximum, _or_nothing(ends.bar, "washer"), _or_nothing(ends.end, "washer"))
    room = formula(lambda *parts: sum(parts[1:]) - parts[0], long, deep, sunk, washer)

    def words() -> str:
        told = (
            f"the male thread is {mm(long.central)} long; hole, counterbore and washer take "
            f"{mm(long.central + room.central)}"
        )
        if room.central < 0:
            return f"{told}: it bottoms {mm(-room.central)} before the shoulder lands"
        return f"{told}: the shoulder lands with {mm(room.central)} to spare"

    return answer(code, ends.joint, room, "mm", setting, words)


def _locked(ends: Ends) -> Finding | None:
    """thread-07: what locks the joint; None where nobody noted it, which is only a caution."""
    code = pages.LOCKED.code
    noted = [one for one in (ends.bar, ends.end) if "locking" in (one.values.keys() | one.gaps.keys())]
    if not noted:
        return None
    uses = names(ends.bar, ["locking"]) + names(ends.end, ["locking"])
    open_gaps = [one.gap("locking") for one in noted if one.get("locking") is None]
    if open_gaps:
        return missing(code, ends.joint, open_gaps, uses)
    words = [use.word for use in uses]
    if words == ["none", "none"]:
        because = "nothing locks the joint: both ends are recorded without a lock"
        return Finding(code, ends.joint, Verdict.DOES_NOT_FIT, because, uses=uses)
    ways = list(dict.fromkeys(word for word in words if word != "none"))
    if len(ways) != 1:
        told = " and ".join(f"{use.feature} {use.word}" for use in uses)
        gap = Gap(ends.end.name, "locking", "by what will this joint be locked to this bar?")
        because = f"the two were not locked alike: {told}" if ways else f"no lock is recorded: {told}"
        return Finding(code, ends.joint, Verdict.NOT_KNOWN, because, uses=uses, gaps=(gap,))
    return _can_lock(ends, ways[0], replace_none=len(words) == 2 and "none" in words)


def _can_lock(ends: Ends, way: str, replace_none: bool) -> Finding:
    """Whether the ends have what a way of locking needs; `replace_none`: the other end had no lock of its own."""
    code = pages.LOCKED.code
    uses = names(ends.bar, ["locking"]) + names(ends.end, ["locking"])
    needs, where = _NEEDS.get(way, ((), "either"))
    places = (ends.bar,) if where == "bar" else (ends.bar, ends.end)
    found = tuple(use for place in places for use in names(place, needs))
    if needs and not found:
        place = ends.bar if where == "bar" else ends.end
        gaps = [Gap(place.name, name, place.gaps.get(name, f"no reading, and a {way} needs it")) for name in needs]
        if where == "bar" and len(needs) > 1:
            because = f"{ends.bar.name} has nothing recorded that a {way} goes to: any of {', '.join(needs)}"
            return replace(missing(code, ends.joint, gaps, uses), because=because)
        return missing(code, ends.joint, gaps, uses)
    because = f"the joint is locked by {way}"
    if found:
        because += ", for which there is " + ", ".join(f"{use.dimension} on {use.feature}" for use in found)
    if replace_none:
        because += "; the other end had no lock"
    cautions = (_LOOK[way],) if way in _LOOK else ()
    return Finding(code, ends.joint, Verdict.FITS, because, uses=(*uses, *found), cautions=cautions)
