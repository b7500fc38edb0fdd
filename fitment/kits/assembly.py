"""Puts a kit together: its parts out of the catalogue, the joints between their features, what stays unchecked."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import field
from typing import Any, TypeVar

from fitment.catalogue.found import FoundPart, FoundVehicle, NoSuchPart, PartsBook
from fitment.errors import DataFault, Faults, FitmentError, NotFoundFault, nearest
from fitment.finding import Gap
from fitment.frozen import dataclass
from fitment.joints.registration import Feature, JointKind
from fitment.kits.chain import PlacedJoin, placed_joins, told_instead
from fitment.kits.joint import Joint
from fitment.kits.kit import AdapterRef, Kit, PartRef
from fitment.kits.rack_turned import turned_rack
from fitment.kits.roles import addresses, facts, joins, roles, whole_kit_checks
from fitment.kits.sides import side_cautions, with_sides

T = TypeVar("T")


@dataclass(frozen=True)
class NamedPart:
    """A part of the kit, found.

    Attributes:
        address: ``left.rod_end``; ``adapter.1`` for the first adapter.
        role: for people, ``left rod end``.
        name: ``NORTH/RE-3``.
        kind: ``rod-end``.
        title: for people.
        is_item: whether it is one piece rather than a design.
        cautions: what is recorded of its state.
    """

    address: str
    role: str
    name: str
    kind: str
    title: str
    is_item: bool
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Assembly:
    """A kit put together.

    Attributes:
        target: the vehicle it is for.
        parts: the parts that the kit names, for the report.
        found: the same by address, with their features, the rack as it sits in the car; adapters left out.
        joints: where they meet.
        not_checked: titles of the joins and of the checks of a whole kit that no joint here answers.
        adapters: those that the kit names, with where they stand.
        worked_out: what several checks of the whole kit need, by name; each is worked out once.
    """

    target: FoundVehicle
    parts: tuple[NamedPart, ...]
    found: Mapping[str, FoundPart]
    joints: tuple[Joint, ...]
    not_checked: tuple[str, ...]
    adapters: tuple[tuple[AdapterRef, FoundPart], ...] = ()
    worked_out: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    def once(self, name: str, make: Callable[[], T]) -> T:
        """What `make` gives, made the first time that `name` is asked for."""
        if name not in self.worked_out:
            self.worked_out[name] = make()
        found: T = self.worked_out[name]
        return found


def assemble(kit: Kit, book: PartsBook, kinds: Mapping[str, JointKind]) -> Assembly:
    """Finds the parts and makes the joints.

    Args:
        kit: as its file states it.
        book: the catalogue.
        kinds: joint kinds by name; a join whose kind is not among them is listed as not checked, but for one of the
            chain between rack and knuckle: that must be looked at whole, so it becomes a joint without a check.

    Raises:
        NotFoundFault: the target or a part is not in the catalogue.
        DataFault: a part is of the wrong kind for its role, an item is named twice, an adapter has no such end.
        Faults: several of these.
    """
    finder = _Finder(book)
    target = finder.target(kit)
    found = {ref.address: part for ref in kit.parts if (part := finder.part(ref))}
    adapters = [(ref, part) for ref in kit.adapters if (part := finder.adapter(ref))]
    finder.items_once(kit.parts, found, adapters)
    if finder.faults or target is None:
        raise finder.faults[0] if len(finder.faults) == 1 else Faults(finder.faults)
    if "rack" in found:
        found["rack"] = turned_rack(found["rack"], kit.seat.turned)
    joints: list[Joint] = []
    left_out = list(told_instead(found, joins()))
    for placed in placed_joins(found, joins()):
        adapter = next((pair for pair in adapters if set(pair[0].between) == {placed.a, placed.b}), None)
        unbuilt = placed.join.kind not in kinds and not placed.join.in_chain
        if unbuilt and not adapter:
            left_out.append(placed.join.title)
            continue
        gaps = tuple(_not_named(address) for address in (placed.a, placed.b) if address not in found)
        if gaps and not placed.join.required:
            left_out.extend(f"{placed.title}: {gap.feature} {gap.why}" for gap in gaps)
        elif gaps:
            joints.append(Joint(placed.id, placed.side, placed.title, _names(placed, found), gaps=gaps))
        else:
            made = _joints(placed, found, adapter, kit, kinds)
            if unbuilt and any(joint.kind is None for joint in made):
                left_out.append(placed.join.title)
                made = [joint for joint in made if joint.kind]
            joints.extend(made)
    joints = with_sides(joints, kit.parts, found)
    on_side = side_cautions(kit.parts, found)
    named = [
        _named(ref.address, ref.role.spoken(ref.section), found[ref.address], on_side.get(ref.address, ()))
        for ref in kit.parts
    ]
    named += [_named(f"adapter.{number}", "adapter", part) for number, (_, part) in enumerate(adapters, 1)]
    not_checked = tuple(dict.fromkeys([*left_out, *(row.title for row in whole_kit_checks().values())]))
    return Assembly(target, tuple(named), found, tuple(joints), not_checked, tuple(adapters))


def _named(address: str, role: str, part: FoundPart, cautions: tuple[str, ...] = ()) -> NamedPart:
    return NamedPart(address, role, part.name, part.kind, part.title, part.is_item, (*part.cautions, *cautions))


def _spoken(address: str) -> str:
    role, section = addresses()[address]
    return role.spoken(section)


def _not_named(address: str) -> Gap:
    return Gap(_spoken(address), "part", "is not named in the kit")


def _names(placed: PlacedJoin, found: Mapping[str, FoundPart]) -> tuple[str, str]:
    a, b = (
        found[address].features[placed.feature(end)].name if address in found else _spoken(address)
        for end, address in (("a", placed.a), ("b", placed.b))
    )
    return a, b


def _joints(
    placed: PlacedJoin,
    found: Mapping[str, FoundPart],
    adapter: tuple[AdapterRef, FoundPart] | None,
    kit: Kit,
    kinds: Mapping[str, JointKind],
) -> list[Joint]:
    """The joint between two named parts; two of them where an adapter stands between."""
    said = kit.facts.get(placed.side, {})
    told = {fact.name: said[key] for key, fact in facts().items() if fact.join == placed.join.name and key in said}
    told.update(placed.join.tells)
    if placed.join.adjuster:
        told["adjuster"] = "yes"
    if placed.side:
        told["side"] = placed.side
    first = found[placed.a].features[placed.feature("a")]
    second = found[placed.b].features[placed.feature("b")]
    if adapter is None:
        return [_joint(placed, placed.id, placed.title, (first, second), told, kinds)]
    ref, part = adapter
    ends = dict(zip(ref.between, ref.ends, strict=True))
    near_first, near_second = part.features[ends[placed.a]], part.features[ends[placed.b]]
    return [
        _joint(
            placed, f"{placed.id}.1", f"{_spoken(placed.a)} to adapter {part.name}", (first, near_first), told, kinds
        ),
        _joint(
            placed, f"{placed.id}.2", f"adapter {part.name} to {_spoken(placed.b)}", (near_second, second), told, kinds
        ),
    ]


def _joint(
    placed: PlacedJoin,
    joint_id: str,
    title: str,
    ends: tuple[Feature, Feature],
    told: Mapping[str, str],
    kinds: Mapping[str, JointKind],
) -> Joint:
    """One joint with the check that answers for its two ends: the join's own kind before any other."""
    names = (ends[0].name, ends[1].name)
    own = [placed.join.kind] if placed.join.kind in kinds else []
    for name in (*own, *kinds):
        kind = kinds[name]
        for one, other in (ends, ends[::-1]):
            if one.kind in kind.between[0] and other.kind in kind.between[1]:
                return Joint(joint_id, placed.side, title, names, kind, (one, other), told)
    return Joint(joint_id, placed.side, title, names, None, ends, told)


class _Finder:
    """Looks references up and collects what is wrong with them."""

    def __init__(self, book: PartsBook):
        self.faults: list[FitmentError] = []
        self._book = book

    def target(self, kit: Kit) -> FoundVehicle | None:
        try:
            return self._book.find_vehicle(kit.target)
        except (NotFoundFault, DataFault) as fault:
            self.faults.append(fault.at(kit.target_place))
            return None

    def _find(self, reference: str, place: str, kinds: Collection[str]) -> FoundPart | None:
        try:
            return self._book.find(reference)
        except NoSuchPart as fault:
            if fault.known:
                fitting = [name for name, kind in fault.known.items() if kind in kinds]
                none = f"the catalogue has no {' or '.join(kind.replace('-', ' ') for kind in kinds)}"
                fault.mending = nearest(reference, fitting) if fitting else none
            self.faults.append(fault.at(place))
            return None
        except (NotFoundFault, DataFault) as fault:
            self.faults.append(fault.at(place))
            return None

    def part(self, ref: PartRef) -> FoundPart | None:
        part = self._find(ref.reference, ref.place, ref.role.part_kinds)
        if part and part.kind not in ref.role.part_kinds:
            self._wrong_kind(part, " or ".join(ref.role.part_kinds), ref.role.spoken(ref.section), ref.place)
            return None
        return part

    def adapter(self, ref: AdapterRef) -> FoundPart | None:
        part = self._find(ref.reference, ref.place, ("adapter",))
        if part is None:
            return None
        if part.kind != "adapter":
            self._wrong_kind(part, "adapter", "adapter", ref.place)
            return None
        for end in ref.ends:
            if end not in part.features:
                self.faults.append(
                    DataFault(
                        f'{part.name} has no end "{end}"',
                        place=ref.ends_place,
                        mending=nearest(end, part.features),
                        code="kit-file-18",
                    )
                )
        return part

    def _wrong_kind(self, part: FoundPart, wanted: str, role: str, place: str) -> None:
        fitting = [other.title for other in roles().values() if part.kind in other.part_kinds]
        self.faults.append(
            DataFault(
                f"{part.name} is {_kind(part.kind)}, and cannot be the {role}",
                place=place,
                mending=f"name {_kind(wanted)} here"
                + (f"; {part.name} can be the {' or '.join(fitting)}" if fitting else ""),
                code="kit-file-16",
            )
        )

    def items_once(
        self,
        refs: tuple[PartRef, ...],
        found: Mapping[str, FoundPart],
        adapters: list[tuple[AdapterRef, FoundPart]],
    ) -> None:
        """One piece of metal is in one place only."""
        uses = [(ref.place, found[ref.address]) for ref in refs if ref.address in found]
        uses += [(ref.place, part) for ref, part in adapters]
        first: dict[str, str] = {}
        for place, part in uses:
            if part.is_item and part.name in first:
                self.faults.append(
                    DataFault(
                        f"{part.name} is one piece, and is named twice (first at {first[part.name]})",
                        place=place,
                        mending="name another item here, or the part that it is one of",
                        code="kit-file-17",
                    )
                )
            first.setdefault(part.name, place)


def _kind(kind: str) -> str:
    words = kind.replace("-", " ")
    return f"an {words}" if words[0] in "aeio" else f"a {words}"
