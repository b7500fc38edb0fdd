"""The parts of the line from column to pinion, in their order, and how far the shafts go into the yokes."""

from __future__ import annotations

from fitment.catalogue.found import FoundPart
from fitment.finding import Gap
from fitment.frozen import dataclass
from fitment.joints.answering import Size, lacking
from fitment.joints.pinch_bolt import clamp_of, insertion
from fitment.joints.registration import Feature
from fitment.joints.spline_ends import Ends
from fitment.joints.spline_to_spline import ends_of
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.kits.roles import addresses

SECTION = "column"
_SINGLE = ("single_joint",)
_TWO = ("upper_joint", "intermediate_shaft", "lower_joint")
_THREE = ("upper_joint", "upper_shaft", "middle_joint", "intermediate_shaft", "lower_joint")


@dataclass(frozen=True)
class Member:
    """A joint or shaft of the line: its part, and what it is called."""

    title: str
    part: FoundPart

    @property
    def body(self) -> Feature:
        """The features of the whole part."""
        return self.part.features["body"]

    def word(self, dimension: str) -> str:
        """A word that is recorded of it, "" where none is."""
        use = self.body.get(dimension)
        return "" if use is None else use.word


@dataclass(frozen=True)
class Yoke:
    """A shaft in the yoke of a joint.

    Attributes:
        title: ``column in upper universal joint``.
        shaft: the end of column, shaft or pinion.
        bore: the joint's.
    """

    title: str
    shaft: Feature
    bore: Feature

    @property
    def ends(self) -> Ends:
        """Which is the shaft and which the bore; as the names of the parts have it where nobody looked."""
        return ends_of((self.shaft, self.bore)) or Ends(self.shaft, self.bore, (self.shaft.name, self.bore.name))

    @property
    def insertion(self) -> Size:
        """How far the shaft stands in the bore, mm."""
        ends = self.ends
        found = insertion(ends)
        if found is not None:
            return found
        clamp = clamp_of(ends)
        if not clamp:
            return lacking(ends.female.gap("clamp"))
        return lacking(Gap(ends.female.name, "clamp", f"'{clamp}' leaves open how far the shaft goes in"))


@dataclass(frozen=True)
class Line:
    """The line from column to pinion.

    Attributes:
        column, rack: its two ends.
        joints: from the column on.
        shafts: between two joints each, from the column on.
    """

    column: FoundPart
    rack: FoundPart
    joints: tuple[Member, ...]
    shafts: tuple[Member, ...]

    @property
    def yokes(self) -> tuple[Yoke, ...]:
        """Every shaft end with its yoke, from the column on."""
        above = [("column", self.column.features["lower-end"])]
        above += [(shaft.title, shaft.part.features["lower"]) for shaft in self.shafts]
        below = [(shaft.title, shaft.part.features["upper"]) for shaft in self.shafts]
        below.append(("pinion", self.rack.features["pinion"]))
        return tuple(
            Yoke(f"{name} in {joint.title}", end, joint.part.features[yoke])
            for joint, *ends in zip(self.joints, above, below, strict=True)
            for (name, end), yoke in zip(ends, ("upper", "lower"), strict=True)
        )

    def yokes_of(self, number: int) -> tuple[Yoke, Yoke]:
        """The two yokes on a shaft between two joints."""
        yokes = self.yokes
        return yokes[2 * number + 1], yokes[2 * number + 2]


def line_of(kit: Kit, assembly: Assembly) -> Line | tuple[Gap, ...]:
    """The line that the kit names, or what keeps its parts from being one."""
    found = assembly.found

    def part(role: str) -> FoundPart | None:
        return found.get(f"{SECTION}.{role}")

    spoken = {address: role.spoken(section) for address, (role, section) in addresses().items()}
    chain = _SINGLE if part("single_joint") else _THREE if part("middle_joint") or part("upper_shaft") else _TWO
    at = [f"{SECTION}.column", *(f"{SECTION}.{role}" for role in chain), "rack"]
    gaps = [Gap(spoken[address], "part", "is not named in the kit") for address in at if address not in found]
    gaps += [
        Gap(spoken[address], "part", f"is named beside the {spoken[f'{SECTION}.{_SINGLE[0]}']}, which takes its place")
        for address in addresses()
        if address.startswith(f"{SECTION}.") and address not in at and address in found
    ]
    gaps += [
        Gap(spoken[adapter.between[0]], "length", f"an adapter, {adapter.reference}, adds a length that is not counted")
        for adapter in kit.adapters
        if set(adapter.between) <= set(at)
    ]
    if gaps:
        return tuple(gaps)
    members = [Member(spoken[address], found[address]) for address in at[1:-1]]
    return Line(found[at[0]], found["rack"], tuple(members[::2]), tuple(members[1::2]))
