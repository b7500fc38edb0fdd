"""The sizes that the length of a tie rod follows from: the parts of a side, the inner balls, the rod with its joint."""

from __future__ import annotations

from dataclasses import replace

from fitment.catalogue.found import FoundPart
from fitment.doubt import Draws
from fitment.finding import Basis, Gap, Use
from fitment.frozen import dataclass
from fitment.geometry import rod_length as geometry
from fitment.joints.answering import Size, doubt_of, formula, half_width_u, lacking, mm, reading, size_of
from fitment.joints.registration import Feature, Trial, as_assembled
from fitment.kits.assembly import Assembly
from fitment.kits.chain import address_of
from fitment.kits.kit import Kit
from fitment.kits.roles import addresses
from fitment.quantity.parse import parse_quantity
from fitment.quantity.points import point_of
from fitment.quantity.tools import find_tool

#: bar, joints and spacing are in conflict where they differ by more than so many standard uncertainties; own choice
_CONFLICT = 3.0


@dataclass(frozen=True)
class Between:
    """A made part between two parts of the chain.

    Attributes:
        near, far: its ends, that towards the rack first.
    """

    part: FoundPart
    near: Feature
    far: Feature


@dataclass(frozen=True)
class RodParts:
    """The parts of one side that make its length; None where the kit names none, which `gaps` say.

    Attributes:
        joint: an inner joint of its own; None where it is made in one with the rod.
        end: rod end or spherical rod end.
        bar_offset: how far the bar stands towards this side of mid-travel with the wheels straight, mm.
        at_bar, at_joint, at_end: adapters on the bar's end, between inner joint and rod, between rod and rod end.
    """

    side: str
    rack: FoundPart | None
    joint: FoundPart | None
    rod: FoundPart | None
    end: FoundPart | None
    gaps: tuple[Gap, ...]
    bar_offset: float = 0.0
    at_bar: Between | None = None
    at_joint: Between | None = None
    at_end: Between | None = None


def rod_parts(kit: Kit, assembly: Assembly, side: str) -> RodParts:
    """The parts that the kit names for one side."""
    spherical = address_of("spherical_rod_end", side) in assembly.found
    wanted = ("rack", "tie_rod", "spherical_rod_end" if spherical else "rod_end")
    at = [address_of(role, side) for role in wanted]
    rack, rod, end = (assembly.found.get(address) for address in at)
    joint_at = address_of("inner_joint", side)
    spoken = {address: role.spoken(section) for address, (role, section) in addresses().items()}
    gaps = [Gap(spoken[address], "part", "is not named in the kit") for address in at if address not in assembly.found]
    offset = kit.seat.bar_offset * (1.0 if side == "left" else -1.0)
    joint = assembly.found.get(joint_at)
    rack_at, rod_at, end_at = at
    return RodParts(
        side,
        rack,
        joint,
        rod,
        end,
        tuple(gaps),
        offset,
        _between(assembly, rack_at, rod_at if joint is None else joint_at),
        _between(assembly, joint_at, rod_at),
        _between(assembly, rod_at, end_at),
    )


def _between(assembly: Assembly, inner: str, outer: str) -> Between | None:
    """The adapter between two parts by their addresses, the inner one first; None where there is none."""
    for ref, part in assembly.adapters:
        if set(ref.between) == {inner, outer}:
            near, far = (part.features[ref.ends[ref.between.index(at)]] for at in (inner, outer))
            return Between(part, near, far)
    return None


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
    if together is not None and spacing.known and parts.at_bar is None:
        return _resting(formula(lambda s: s / 2, spacing), together)
    offset = ball_offset(parts)
    by_bar = formula(geometry.half_spacing_by_bar, bar, offset)
    by_joints = formula(geometry.half_spacing_by_joints, spacing, own, offset)
    return by_joints if by_joints.known and not by_bar.known else by_bar


def ball_offset(parts: RodParts) -> Size:
    """Ball centre of the inner joint to the bar end face, with what stands between."""
    holder = parts.joint or parts.rod
    if holder is None:
        return lacking(*parts.gaps)
    offset = size_of(holder.features["body"], "ball-offset")
    if parts.at_bar is None:
        return offset
    return formula(
        lambda ball, more: ball + more, offset, size_of(parts.at_bar.part.features["body"], "shoulder-length")
    )


def _conflict(body: Feature, spacing: Size, by_bar: Size, draws: Draws) -> Gap | None:
    """The gap where the rack's own spacing, bar and joints do not agree."""
    difference = formula(lambda one, other: one - other, spacing, by_bar)
    if not difference.known:
        return None
    doubt = doubt_of(difference, draws)
    if abs(difference.central) <= max(_CONFLICT * doubt, 1e-6):
        return None
    told = f"in conflict: {mm(spacing.central)}, but bar-length and twice joint-offset make {mm(by_bar.central)}"
    return Gap(body.name, "inner-spacing", told)


def rod_size(parts: RodParts, kit: Kit) -> Size:
    """Inner ball centre to the outer end of the rod's thread, with the inner joint that the kit names."""
    if parts.rod is None:
        return lacking(*parts.gaps)
    length = size_of(parts.rod.features["body"], "length")
    if length.known and parts.joint is None:
        return length
    together = None
    if parts.joint is not None:
        together = as_assembled(parts.joint.features["rod-side"], parts.rod.features["inner"])
    if length.known and together is not None:
        one = _resting(length, together)
        if parts.at_joint is None:
            return one
        if (parted := _parted(one, parts.joint, parts.rod, parts.at_joint)).known:
            return parted
    if "rod_length" in kit.facts.get(parts.side, {}):
        return reading(stated_length(kit.facts[parts.side]["rod_length"], f"{parts.rod.name} {parts.side}"))
    if parts.joint is None:
        return length
    on = parts.joint.name if parts.at_joint is None else f"{parts.joint.name} and {parts.at_joint.part.name}"
    those = "that joint" if parts.at_joint is None else "both"
    why = f"is not known with {on} on it: write rod_length in [{parts.side}], ball centre to thread end with {those} on"
    return lacking(Gap(f"{parts.rod.name} body", "length", why))


def _parted(together: Size, joint: FoundPart | None, rod: FoundPart, adapter: Between) -> Size:
    """A rod taken with its joint on, once both are parted and screwed to an adapter as far as is recorded."""
    assert joint is not None  # there is nothing to part else
    was = [size_of(end, "engaged") for end in (joint.features["rod-side"], rod.features["inner"])]
    return formula(
        geometry.parted_length,
        together,
        was[0] if was[0].known else was[1],
        size_of(adapter.part.features["body"], "length"),
        size_of(adapter.near, "engaged"),
        size_of(adapter.far, "engaged"),
    )


def stated_length(text: str, name: str) -> Use:
    """A length that the kit file states, as good as a tape."""
    value = parse_quantity(text, "length").value
    doubt = half_width_u(find_tool("tape").half_width_for("length", value) or 0.0)
    return Use(
        name, "rod_length", value, doubt, "mm", Basis.STATED, source="the kit file", shape="rectangular", shown=text
    )
