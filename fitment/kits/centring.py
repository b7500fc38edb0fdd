"""Centring the steering wheel: which positions the splines allow with a centred rack, and what is left over."""

from __future__ import annotations

from dataclasses import replace

from fitment.finding import Figure, Finding, Gap, Use, Verdict, held_back
from fitment.frozen import dataclass
from fitment.geometry.centring import bar_for, finest_step
from fitment.geometry.results import turns as turns_of
from fitment.joints.answering import Size, answer, figures_of, formula, mm, names, size_of
from fitment.joints.registration import Feature, Setting, missing
from fitment.joints.spline_ends import PROFILES, count_of, form_of
from fitment.joints.thread_ends import thread_of
from fitment.kits import centring_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.chain import address_of, placed_joins
from fitment.kits.kit import Kit
from fitment.kits.report import JointSummary
from fitment.kits.roles import SIDES, joins
from fitment.kits.whole import Looked, WholeKitCheck

#: places of ends that have no teeth; a plain round goes anywhere
_PROFILE_PLACES = {"DD": 2, "triangular": 3}
#: what leaves an end one place only
_ONE_PLACE = {
    "index": ("master spline", "blind tooth", "flat", "notch"),
    "groove": ("notch", "flat"),
    "pocket": ("yes",),
}
#: parts whose ends set the phase of the universal joints
_SHAFTS = ("intermediate_shaft", "upper_shaft")


@dataclass(frozen=True)
class Place:
    """A joint between pinion and steering wheel.

    Attributes:
        places: in how many positions it goes together; None for anywhere.
        told: for people, ``pinion to lower universal joint in 36``.
        phase: whether moving it changes the phase of the universal joints.
        uses: what it rests on.
    """

    places: int | None
    told: str
    phase: bool
    uses: tuple[Use, ...]


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """The steps of the steering wheel of a kit that names column parts."""
    rack = assembly.found.get("rack")
    found = _joints(assembly)
    joint = (rack.name if rack is not None else "rack", "steering wheel")
    findings = [_wheel(assembly, joint, found, setting), *_spring(assembly, joint, setting)]
    summary = JointSummary(CHECK.row, "", "wheel centring", joint, tuple(map(held_back, findings)))
    return Looked((summary,))


CHECK = WholeKitCheck("centring", look)


def _joints(assembly: Assembly) -> list[Place | Gap]:
    """Every joint from the pinion up to the wheel, of parts that the kit names."""
    found: list[Place | Gap] = []
    for placed in placed_joins(assembly.found, joins()):
        if placed.join.kind == "spline" and placed.a in assembly.found and placed.b in assembly.found:
            ends = [
                assembly.found[address].features[placed.feature(end)]
                for end, address in (("a", placed.a), ("b", placed.b))
            ]
            phase = placed.join.role_a in _SHAFTS or placed.join.role_b in _SHAFTS
            found.append(_place(ends, placed.title, phase))
    column = assembly.found.get(address_of("column", ""))
    if column is not None:
        found.append(_place([column.features["wheel-end"]], "column to steering wheel", False))
    return found


def _place(ends: list[Feature], title: str, phase: bool) -> Place | Gap:
    keyed = [use for end in ends for name in _ONE_PLACE for use in names(end, (name,)) if use.word in _ONE_PLACE[name]]
    if keyed:
        return Place(1, f"{title} in one place ({keyed[0].dimension} {keyed[0].word})", phase, tuple(keyed[:1]))
    forms = [form_of(end) for end in ends]
    profile = next(((form, uses) for form, uses in forms if form in PROFILES), None)
    if profile is not None:
        places = _PROFILE_PLACES.get(profile[0])
        return Place(
            places, f"{title} {'anywhere' if places is None else f'in {places}'} ({profile[0]})", phase, profile[1]
        )
    counts = [count_of(end) for end in ends]
    known = [count for count in counts if not isinstance(count, Gap)]
    if not known:
        return next(count for count in counts if isinstance(count, Gap))
    end = ends[counts.index(known[0])]
    if len({count.teeth for count in known}) > 1:
        return Gap(end.name, "spline", f"{known[0].teeth} teeth do not go with {known[1].teeth}")
    sure = next((count for count in known if not count.slack), None)
    if sure is None:
        return Gap(end.name, "spline", f"{known[0].teeth} counted by eye may be one off: tick every fifth tooth")
    return Place(sure.teeth, f"{title} in {sure.teeth}", phase, sure.uses)


def _wheel(assembly: Assembly, joint: tuple[str, str], found: list[Place | Gap], setting: Setting) -> Finding:
    places = [one for one in found if isinstance(one, Place)]
    gaps = [one for one in found if isinstance(one, Gap)]
    uses = tuple(dict.fromkeys(use for one in places for use in one.uses))
    if not places:
        gaps = gaps or [Gap("column", "parts", "no two that meet are named")]
        return missing(pages.WHEEL.code, joint, gaps, uses)
    kept = [one for one in places if not one.phase]
    step, any_step = (_step(some) for some in (kept, places))
    left = step / 2
    figures = {
        "finest_step": Figure(step, None, "deg"),
        "left_over_at_most": Figure(left, None, "deg"),
        "finest_step_with_phase_changed": Figure(any_step, None, "deg"),
    }
    told, more = _rods(assembly, left, setting)
    cautions = (*_why_not(left, told), *_centre(assembly), *_sensor(assembly))
    if gaps:
        return replace(missing(pages.WHEEL.code, joint, gaps, uses), figures={**figures, **more}, cautions=cautions)
    because = f"{'; '.join(one.told for one in places)}: the wheel can be set in steps of {step:.2f} deg with the rack "
    because += f"centred and the phase of the universal joints kept, so at most {left:.2f} deg are left over"
    if any_step < step:
        because += f"; with the phase changed too, steps of {any_step:.2f} deg"
    return Finding(
        pages.WHEEL.code, joint, Verdict.FITS, because, uses=uses, figures={**figures, **more}, cautions=cautions
    )


def _step(places: list[Place]) -> float:
    """Finest step, deg; 0 where one of the joints goes together anywhere."""
    return 0.0 if any(one.places is None for one in places) else finest_step(one.places or 1 for one in places)


def _rods(assembly: Assembly, left: float, setting: Setting) -> tuple[str, dict[str, Figure]]:
    """What the rods would do to hide what is left over, in words and as figures."""
    rack = assembly.found.get("rack")
    if rack is None or left == 0:
        return "", {}
    speed = _speed(rack.features["body"])
    if not speed.known:
        return "", {}
    length = formula(lambda travel: bar_for(left, travel), speed)
    figures = figures_of({"rods_to_hide_it": (length, "mm")}, setting.draws)
    told = f"{mm(length.central)} of rod, one longer and the other shorter"
    rods = [assembly.found.get(address_of("tie_rod", side)) for side in SIDES]
    threads = [thread_of(rod.features["outer"]) for rod in rods if rod is not None]
    for thread in threads[:1]:
        if thread is not None:
            turns = length.central / thread.pitch
            figures["rod_turns_to_hide_it"] = Figure(turns, None, "turn")
            told = f"{turns:.2f} turns of either rod ({told})"
    return told, figures


def _speed(body: Feature) -> Size:
    """Travel of the bar per turn of the pinion, mm: as taken, else travel over turns."""
    speed = size_of(body, "speed")
    return speed if speed.known else formula(turns_of, size_of(body, "travel"), size_of(body, "turns"))


def _why_not(left: float, told: str) -> tuple[str, ...]:
    if not told:
        return ()
    return (
        f"Up to {left:.2f} deg would be hidden by {told}. Only what the spline cannot give belongs there: beyond half "
        "a step the rack stands off its centre, so that lock and turns differ left and right.",
    )


def _centre(assembly: Assembly) -> tuple[str, ...]:
    rack = assembly.found.get("rack")
    if rack is None:
        return ()
    body = rack.features["body"]
    turns, kind = size_of(body, "turns"), body.get("speed-kind")
    if kind is not None and kind.word == "variable":
        return (f"{rack.name} is of variable speed: centre it by its own mark, half its turns need not be its centre.",)
    if not turns.known:
        return ("Centre the rack first: count its turns from stop to stop and go back by half of them.",)
    half = turns.central / 2
    return (f"Centre the rack first: {turns.central:.2f} turns from stop to stop, so {half:.2f} back from either.",)


def _sensor(assembly: Assembly) -> tuple[str, ...]:
    column = assembly.found.get(address_of("column", ""))
    if column is None:
        return ()
    sensor = column.features["body"].get("angle-sensor")
    if sensor is None or sensor.word != "yes":
        return ()
    return (f"{column.name} has a steering-angle sensor: its zero must be where the rack is centred.",)


def _spring(assembly: Assembly, joint: tuple[str, str], setting: Setting) -> list[Finding]:
    """The clock spring against half the turns of the rack; nothing where the column has none on record."""
    column, rack = assembly.found.get(address_of("column", "")), assembly.found.get("rack")
    if column is None or rack is None:
        return []
    body = column.features["body"]
    if body.get("clock-spring") is None and "clock-spring" not in body.gaps:
        return []
    spring, turns = size_of(body, "clock-spring"), size_of(rack.features["body"], "turns")
    margin = formula(lambda each, whole: each - whole / 2, spring, turns)
    return [
        answer(
            pages.SPRING.code,
            joint,
            margin,
            "turn",
            setting,
            lambda: (
                f"the clock spring of {column.name} turns {spring.central:.2f} turns either way, the rack "
                f"{turns.central / 2:.2f}"
            ),
        )
    ]
