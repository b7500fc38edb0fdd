"""The kit of a mix, as a value and as a file: what it names, and the facts of a kit that follow from its parts.

What follows: from which side a stud enters, by the eye's recorded opening; what a rod is long with its inner joint
on, where both are known from one donor that has one kind of inner joint. What is chosen: the rack sits by its mounting,
as it sat in its donor. What cannot be known is left out, so that `check` names it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from functools import cache

from fitment.catalogue.stock import Stocked
from fitment.frozen import dataclass
from fitment.joints.kinds import joint_kinds
from fitment.joints.limits import default_limits
from fitment.joints.registration import Feature, Limit
from fitment.kits.chain import placed_joins
from fitment.kits.kit import AdapterRef, Kit, PartRef, RackSeat
from fitment.kits.rack_turned import AS_IN_DONOR
from fitment.kits.roles import SIDES, addresses, joins

#: balls of several inner joints lie alike where they differ by no more than this, mm; own choice, no source
_BALLS_ALIKE = 0.5
#: which way an eye opens, and the side from which its stud then enters
_ENTERS = {"down": "below", "up": "above"}

_NOTE = "Proposed by fitment propose. Dimensional compatibility only; not an approval."


@dataclass(frozen=True)
class Adapter:
    """A made part of a mix, between two addresses, with its ends in that order."""

    stocked: Stocked
    between: tuple[str, str]
    ends: tuple[str, str]


@dataclass(frozen=True)
class Named:
    """What a mix names.

    Attributes:
        target: reference of the vehicle.
        parts: by address.
        adapters: in the order of their places, left before right.
        rod_lengths: what a tie rod is long with an inner joint on, mm, with the donor that tells, by design of both.
    """

    target: str
    parts: Mapping[str, Stocked]
    adapters: tuple[Adapter, ...] = ()
    rod_lengths: Mapping[tuple[str, str], tuple[float, str]] = field(default_factory=dict)


def rod_lengths(stock: Sequence[Stocked]) -> dict[tuple[str, str], tuple[float, str]]:
    """The recorded length of a rod with an inner joint on, by (joint, rod), where one donor tells which joint that was.

    The length is read from the ball to the thread's end, with the joint on that the rod came with. A donor of which
    several inner joints are on record that could be screwed on tells only where their balls lie alike: then any of them
    can be set to the same length on its thread.
    """
    joints: dict[str, list[Stocked]] = {}
    for one in stock:
        if one.part.kind == "inner-joint" and not one.part.is_item:
            for vehicle in dict.fromkeys(vehicle for vehicle, _ in one.fitted):
                joints.setdefault(vehicle, []).append(one)
    found: dict[tuple[str, str], tuple[float, str]] = {}
    for one in stock:
        length = one.part.features["body"].get("length") if one.part.kind == "tie-rod" else None
        if length is None or one.part.is_item or length.hearsay or length.assumed:
            continue
        donors = [vehicle for vehicle, _ in one.fitted if vehicle in joints]
        came = {joint.design: joint for donor in donors for joint in joints[donor] if _screws_on(joint, one)}
        if came and (len(came) == 1 or _balls_alike(list(came.values()))):
            found |= {(joint, one.part.name): (length.number, donors[0]) for joint in came}
    return found


def _screws_on(joint: Stocked, rod: Stocked) -> bool:
    """Whether nothing recorded keeps a joint from having been on a rod."""
    key = joint_kinds()["thread"].key
    keys = {key(joint.part.features["rod-side"]), key(rod.part.features["inner"])} - {None}
    return len(keys) < 2


def _balls_alike(joints: Sequence[Stocked]) -> bool:
    offsets = [joint.part.features["body"].get("ball-offset") for joint in joints]
    numbers = [use.number for use in offsets if use is not None]
    return len(numbers) == len(joints) and max(numbers) - min(numbers) <= _BALLS_ALIKE


def facts_of(named: Named) -> dict[str, dict[str, str]]:
    """What the kit says of either side, and no part says by itself."""
    return {side: {key: text for key, (text, _) in _facts(named, side).items()} for side in SIDES}


def _facts(named: Named, side: str) -> dict[str, tuple[str, str]]:
    """The facts of a side, each with what it follows from."""
    found: dict[str, tuple[str, str]] = {}
    rod_end, knuckle = f"{side}.rod_end", f"{side}.knuckle"
    if rod_end in named.parts and knuckle in named.parts:
        eye = _eye(named, rod_end, knuckle)
        opens = eye.get("opens")
        if opens is not None and opens.word in _ENTERS:
            found["stud_enters"] = (_ENTERS[opens.word], f"{eye.name} opens {opens.word}")
    joint, rod = (named.parts.get(f"{side}.{role}") for role in ("inner_joint", "tie_rod"))
    apart = any(set(one.between) == {f"{side}.inner_joint", f"{side}.tie_rod"} for one in named.adapters)
    if joint is not None and rod is not None and not apart and (joint.design, rod.design) in named.rod_lengths:
        length, donor = named.rod_lengths[joint.design, rod.design]
        told = f"{rod.design} as read with its inner joint on; {joint.design} is of {donor} too: set it so, and lock it"
        found["rod_length"] = (f"{length:g} mm", told)
    return found


def _eye(named: Named, rod_end: str, knuckle: str) -> Feature:
    """What the stud of a side enters: the sleeve where one is named, else the knuckle's eye."""
    for one in named.adapters:
        if set(one.between) == {rod_end, knuckle}:
            return one.stocked.part.features[one.ends[one.between.index(rod_end)]]
    return named.parts[knuckle].part.features["eye"]


def kit_of(named: Named, limits: Mapping[str, Limit] | None = None) -> Kit:
    """The mix as `check` takes it; but for name, digest and places the same as its file read in."""
    parts = tuple(
        PartRef(address, role, section, named.parts[address].part.name, "")
        for address, (role, section) in addresses().items()
        if address in named.parts
    )
    adapters = tuple(
        AdapterRef(one.stocked.part.name, one.between, one.ends, "", "", "") for one in named.adapters
    )  # fmt: skip
    return Kit(
        path="",
        digest="",
        name="",
        target=named.target,
        target_place="",
        author="",
        note=_NOTE,
        jurisdiction="",
        seat=RackSeat(turned=AS_IN_DONOR),
        parts=parts,
        adapters=adapters,
        facts=facts_of(named),
        wanted={},
        limits=default_limits() if limits is None else limits,
    )


def kit_text(named: Named, name: str) -> str:
    """The mix as a kit file, with what was chosen and what its facts follow from in comments."""
    blocks = [f'name = "{name}"\ntarget = "{named.target}"\nnote = "{_NOTE}"']
    sections: dict[str, list[str]] = {}
    for address, (role, section) in addresses().items():
        if address in named.parts:
            sections.setdefault(section, []).append(f'{role.key} = "{named.parts[address].part.name}"')
        if address == "rack" and address in named.parts:
            sections[section] += ['sits = "by mounting"', "# chosen", f'turned = "{AS_IN_DONOR}"']
    for side in SIDES:
        for key, (text, told) in _facts(named, side).items():
            sections[side] += [f"# {told}", f'{key} = "{text}"']
    blocks += ["\n".join((f"[{section}]", *lines)) for section, lines in sections.items()]
    for one in named.adapters:
        between, ends = (", ".join(f'"{end}"' for end in pair) for pair in (one.between, one.ends))
        blocks.append(
            f'[[adapter]]\npart = "{one.stocked.part.name}"\nbetween = [{between}]\nends = [{ends}]'
        )  # fmt: skip
    return "\n\n".join(blocks) + "\n"


@dataclass(frozen=True)
class Meeting:
    """Where a part of one place meets a part of another: kind of joint, and address and feature of either."""

    kind: str
    first: tuple[str, str]
    second: tuple[str, str]


@cache
def meetings(first: tuple[str, ...], second: tuple[str, ...]) -> tuple[Meeting, ...]:
    """Where parts at these addresses meet, in the order of the joins."""
    found = []
    for placed in placed_joins({*first, *second}, joins()):
        ends = ((placed.a, placed.feature("a")), (placed.b, placed.feature("b")))
        for one, other in (ends, ends[::-1]):
            if one[0] in first and other[0] in second:
                found.append(Meeting(placed.join.kind, one, other))
    return tuple(found)
