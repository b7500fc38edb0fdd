"""The sizes that the length of a tie rod follows from: inner balls, the rod with its joint, the thread at its end."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fitment.catalogue.found import FoundPart
from fitment.doubt import Draws, margin_of
from fitment.finding import Basis, Gap, Use
from fitment.geometry import rod_length as geometry
from fitment.joints.answering import Size, fixed, formula, half_width_u, lacking, mm, names, reading, sampled, size_of
from fitment.joints.registration import Feature, Setting, Trial, as_assembled
from fitment.joints.thread_ends import engagement_needed, thread_gap, thread_of
from fitment.kits.assembly import Assembly
from fitment.kits.chain import address_of
from fitment.kits.kit import Kit
from fitment.kits.roles import addresses
from fitment.quantity.parse import parse_quantity
from fitment.quantity.points import point_of
from fitment.quantity.tools import find_tool
from fitment.standards.threads import Thread, same_thread

#: bar, joints and spacing are in conflict where they differ by more than so many standard uncertainties; own choice
_CONFLICT = 3.0


@dataclass(frozen=True)
class RodParts:
    """The parts of one side that make its length; None where the kit names none, which `gaps` say.

    Attributes:
        joint: an inner joint of its own; None where it is made in one with the rod.
        end: rod end or spherical rod end.
        bar_offset: how far the bar stands towards this side of mid-travel with the wheels straight, mm.
    """

    side: str
    rack: FoundPart | None
    joint: FoundPart | None
    rod: FoundPart | None
    end: FoundPart | None
    gaps: tuple[Gap, ...]
    bar_offset: float = 0.0


def rod_parts(kit: Kit, assembly: Assembly, side: str) -> RodParts:
    """The parts that the kit names for one side."""
    spherical = address_of("spherical_rod_end", side) in assembly.found
    wanted = ("rack", "tie_rod", "spherical_rod_end" if spherical else "rod_end")
    at = [address_of(role, side) for role in wanted]
    rack, rod, end = (assembly.found.get(address) for address in at)
    joint_at = address_of("inner_joint", side)
    spoken = {address: role.spoken(section) for address, (role, section) in addresses().items()}
    gaps = [Gap(spoken[address], "part", "is not named in the kit") for address in at if address not in assembly.found]
    gaps += [
        Gap(spoken[adapter.between[0]], "length", f"an adapter, {adapter.reference}, adds a length that is not counted")
        for adapter in kit.adapters
        if set(adapter.between) <= {*at, joint_at}
    ]
    offset = kit.seat.bar_offset * (1.0 if side == "left" else -1.0)
    return RodParts(side, rack, assembly.found.get(joint_at), rod, end, tuple(gaps), offset)


def point_size(feature: Feature, dimension: str) -> tuple[Size, Size, Size]:
    """x, y and z of a surveyed point; not known where it has none."""
    use = feature.get(dimension)
    if use is None:
        missing = lacking(feature.gap(dimension))
        return missing, missing, missing
    x, y, z = (_coordinate(use, axis) for axis in range(3))
    return x, y, z


def coordinates(at: Size) -> tuple[Size, Size, Size]:
    """x, y and z of a point that is one size."""
    x, y, z = (formula(lambda point, axis=axis: getattr(point, axis), at) for axis in ("x", "y", "z"))
    return x, y, z


def _coordinate(use: Use, axis: int) -> Size:
    return Size(lambda pick: (pick.of_point(use) if isinstance(pick, Draws) else point_of(use))[axis], (use,))


def _resting(size: Size, trial: Trial) -> Size:
    """The size, resting on a record too."""
    return replace(size, uses=(*size.uses, trial.use))


def half_spacing(parts: RodParts, draws: Draws) -> Size:
    """Middle of the housing to the inner ball centre, wheels straight, with the inner joint that the kit names."""
    half = _from_bar(parts, draws)
    return formula(lambda length: length + parts.bar_offset, half) if parts.bar_offset else half


def _from_bar(parts: RodParts, draws: Draws) -> Size:
    """Middle of the bar to the inner ball centre."""
    if parts.rack is None or parts.rod is None:
        return lacking(*parts.gaps)
    body = parts.rack.features["body"]
    spacing, bar, own = (size_of(body, name) for name in ("inner-spacing", "bar-length", "joint-offset"))
    if (conflict := _conflict(body, spacing, formula(lambda b, o: b + 2 * o, bar, own), draws)) is not None:
        return lacking(conflict)
    holder, at_bar = (parts.joint, "bar-side") if parts.joint is not None else (parts.rod, "inner")
    together = as_assembled(parts.rack.features[f"bar-end.{parts.side}"], holder.features[at_bar])
    if together is not None and spacing.known:
        return _resting(formula(lambda s: s / 2, spacing), together)
    offset = size_of(holder.features["body"], "ball-offset")
    by_bar = formula(geometry.half_spacing_by_bar, bar, offset)
    by_joints = formula(geometry.half_spacing_by_joints, spacing, own, offset)
    return by_joints if by_joints.known and not by_bar.known else by_bar


def _conflict(body: Feature, spacing: Size, by_bar: Size, draws: Draws) -> Gap | None:
    """The gap where the rack's own spacing, bar and joints do not agree."""
    difference = formula(lambda one, other: one - other, spacing, by_bar)
    if not difference.known:
        return None
    doubt = margin_of(sampled(difference, draws), "mm").u
    if abs(difference.central) <= max(_CONFLICT * doubt, 1e-6):
        return None
    told = f"in conflict: {mm(spacing.central)}, but bar-length and twice joint-offset make {mm(by_bar.central)}"
    return Gap(body.name, "inner-spacing", told)


def rod_size(parts: RodParts, kit: Kit) -> Size:
    """Inner ball centre to the outer end of the rod's thread, with the inner joint that the kit names."""
    if parts.rod is None:
        return lacking(*parts.gaps)
    length = size_of(parts.rod.features["body"], "length")
    together = None
    if parts.joint is not None:
        together = as_assembled(parts.joint.features["rod-side"], parts.rod.features["inner"])
    if length.known and together is not None:
        return _resting(length, together)
    if length.known and parts.joint is None:
        return length
    if "rod_length" in kit.facts.get(parts.side, {}):
        return reading(_stated(kit.facts[parts.side]["rod_length"], f"{parts.rod.name} {parts.side}"))
    if parts.joint is None:
        return length
    why = (
        f"is not known with {parts.joint.name} on it: write rod_length in [{parts.side}], ball centre to thread end "
        "with that joint on"
    )
    return lacking(Gap(f"{parts.rod.name} body", "length", why))


def _stated(text: str, name: str) -> Use:
    """A length that the kit file states, as good as a tape."""
    value = parse_quantity(text, "length").value
    doubt = half_width_u(find_tool("tape").half_width_for("length", value) or 0.0)
    return Use(
        name, "rod_length", value, doubt, "mm", Basis.STATED, source="the kit file", shape="rectangular", shown=text
    )


@dataclass(frozen=True)
class Adjuster:
    """The thread between tie rod and rod end.

    Attributes:
        thread: its thread.
        full: full thread that is asked for, mm; `reason` says by what rule.
        least, most: how far it must and how far it can go in.
        male: length of the male thread.
        uses: the words that it rests on: threads and sexes.
    """

    thread: Thread
    full: float
    reason: str
    least: Size
    most: Size
    male: Size
    uses: tuple[Use, ...]


def adjuster(rod: FoundPart, end: FoundPart, setting: Setting) -> Adjuster | tuple[Gap, ...]:
    """The thread that sets the length, or what is missing to know it."""
    ends = (rod.features["outer"], end.features["shank"])
    thread, gaps = _thread(ends)
    male, female, told = _sexes(ends)
    if thread is None or told:
        return (*gaps, *told)
    full, reason = engagement_needed(thread, setting.limits["engagement_factor"].value)
    witness = next((size_of(one, "witness") for one in ends if one.get("witness") is not None), fixed(0.0))
    nuts = [size_of(one, "jam-nut") for one in ends if one.get("jam-nut") is not None]
    nut = nuts[0] if nuts else fixed(setting.limits["jam_nut"].value * thread.nominal)
    long, deep = size_of(male, "depth"), size_of(female, "depth")
    return Adjuster(
        thread,
        full,
        reason,
        formula(lambda mark: geometry.least_engaged(full, thread.pitch, mark), witness),
        formula(geometry.most_engaged, long, deep, nut),
        long,
        (*names(ends[0], ("thread", "sex")), *names(ends[1], ("thread", "sex"))),
    )


def _thread(ends: tuple[Feature, Feature]) -> tuple[Thread | None, tuple[Gap, ...]]:
    """The thread of both ends; of one end where the other's is not known."""
    known = [thread for end in ends if (thread := thread_of(end)) is not None]
    if not known:
        return None, tuple(thread_gap(end) for end in ends)
    if len(known) == 2 and not same_thread(*known):
        why = f"is {known[1].designation}, and the rod's is {known[0].designation}: they have no length together"
        return None, (Gap(ends[1].name, "thread", why),)
    return known[0], ()


def _sexes(ends: tuple[Feature, Feature]) -> tuple[Feature, Feature, tuple[Gap, ...]]:
    """The male end and the female one; one that is told tells the other."""
    sexes = [use.word if (use := end.get("sex")) is not None else "" for end in ends]
    if sexes == ["", ""]:
        return *ends, tuple(end.gap("sex") for end in ends)
    if sexes[0] == sexes[1]:
        return *ends, (Gap(ends[1].name, "sex", f"is {sexes[1]} as the rod's is: they have no length together"),)
    male_first = sexes[0] == "male" or sexes[1] == "female"
    return (*(ends if male_first else ends[::-1]), ())
