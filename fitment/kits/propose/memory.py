"""Remembers what the rules of `check` said, so that the next mix asks again only what has changed.

A check of the whole kit sees the mix through a watch that notes everything it asks: which part is at an address, what
the kit says of a side, which threads meet. Its answer is kept under these questions and their answers; a mix that
answers them alike has the same answer, whatever else is in it. Nothing of a check need be declared for that, and the
report of a remembered kit is that of `check`.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import field, fields, replace
from typing import Any, TypeVar

from fitment.catalogue.found import FoundPart
from fitment.finding import Finding
from fitment.frozen import dataclass
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Feature, JointKind, Setting
from fitment.kits.assembly import Assembly
from fitment.kits.joint import Joint
from fitment.kits.kit import Kit
from fitment.kits.roles import WholeKitRow
from fitment.kits.whole import Looked
from fitment.kits.whole_checks import looked

T = TypeVar("T")
#: what a check asks of a mix: ("part", address), ("named", address), ("addresses",), ("fact", side, key),
#: ("facts", side), ("threads",)
Question = tuple[str, ...]


class Watch:
    """One mix, and what has been asked of it."""

    def __init__(self, kit: Kit, assembly: Assembly):
        self._kit, self._assembly = kit, assembly
        self._asked: list[dict[Question, Hashable]] = []

    def answer(self, question: Question) -> Hashable:
        """What this mix answers; two mixes with the same answer are the same to whoever asked."""
        sort, found = question[0], self._assembly.found
        if sort == "part":
            return found[question[1]].name if question[1] in found else None
        if sort == "named":
            return question[1] in found
        if sort == "fact":
            return self._kit.facts.get(question[1], {}).get(question[2])
        if sort == "facts":
            return tuple(self._kit.facts.get(question[1], {}).items())
        if sort == "threads":
            return tuple((one.id, one.names) for one in self._assembly.joints if _is_thread(one))
        return tuple(found)

    def note(self, question: Question) -> None:
        """Notes a question with whoever is asking."""
        if self._asked:
            self._asked[-1].setdefault(question, self.answer(question))

    def listen(self, make: Callable[[], T]) -> tuple[T, dict[Question, Hashable]]:
        """What `make` gives, and all that it asked; whoever asked for it has asked that too."""
        self._asked.append({})
        try:
            made = make()
        finally:
            asked = self._asked.pop()
        for question in asked:
            self.note(question)
        return made, asked


class _Found(Mapping[str, FoundPart]):
    """The parts of a mix by address, under watch."""

    def __init__(self, watch: Watch, found: Mapping[str, FoundPart]):
        self._watch, self._found = watch, found

    def __getitem__(self, address: str) -> FoundPart:
        self._watch.note(("part", address))
        return self._found[address]

    def __contains__(self, address: object) -> bool:
        self._watch.note(("named", str(address)))
        return address in self._found

    def __iter__(self) -> Iterator[str]:
        self._watch.note(("addresses",))
        return iter(self._found)

    def __len__(self) -> int:
        self._watch.note(("addresses",))
        return len(self._found)


class _Facts(Mapping[str, str]):
    """What the kit says of one side, under watch."""

    def __init__(self, watch: Watch, side: str, facts: Mapping[str, str]):
        self._watch, self._side, self._facts = watch, side, facts

    def __getitem__(self, key: str) -> str:
        self._watch.note(("fact", self._side, key))
        return self._facts[key]

    def __iter__(self) -> Iterator[str]:
        self._watch.note(("facts", self._side))
        return iter(self._facts)

    def __len__(self) -> int:
        self._watch.note(("facts", self._side))
        return len(self._facts)


class _Joints(Sequence[Joint]):
    """The joints of a mix, under watch: only those of threads are handed out."""

    def __init__(self, watch: Watch, joints: tuple[Joint, ...]):
        self._watch, self._joints = watch, tuple(filter(_is_thread, joints))

    def __getitem__(self, place: Any) -> Any:
        self._watch.note(("threads",))
        return self._joints[place]

    def __len__(self) -> int:
        self._watch.note(("threads",))
        return len(self._joints)


def _is_thread(joint: Joint) -> bool:
    return joint.kind is not None and joint.kind.name == "thread"


@dataclass(frozen=True)
class _Watched(Assembly):
    """An assembly under watch; what its checks share is worked out once, and counts as asked by each of them."""

    watch: Watch | None = field(default=None, compare=False, repr=False)

    def once(self, name: str, make: Callable[[], T]) -> T:
        assert self.watch is not None
        if name not in self.worked_out:
            self.worked_out[name] = self.watch.listen(make)
        made, asked = self.worked_out[name]
        for question in asked:
            self.watch.note(question)
        found: T = made
        return found


@dataclass(frozen=True)
class Answered:
    """What one check of the whole kit found of a mix, and what it asked for that."""

    looked: Looked
    asked: tuple[Question, ...]


@dataclass
class _Node:
    """One question of a check with what follows upon each answer; a leaf holds what was found."""

    question: Question | None = None
    after: dict[Hashable, _Node] = field(default_factory=dict)
    answered: Answered | None = None


class _Remembered(Mapping[str, JointKind]):
    """The kinds of joints, each asked once about two ends and what the kit says of them."""

    def __init__(self, kinds: Mapping[str, JointKind]):
        self._kinds = kinds
        self._made: dict[str, JointKind] = {}

    def __getitem__(self, name: str) -> JointKind:
        if name not in self._made:
            kind = self._kinds[name]
            self._made[name] = replace(kind, check=_once(kind.check))
        return self._made[name]

    def __contains__(self, name: object) -> bool:
        return name in self._kinds

    def __iter__(self) -> Iterator[str]:
        return iter(self._kinds)

    def __len__(self) -> int:
        return len(self._kinds)


def _once(check: Callable[[Feature, Feature, Setting], list[Finding]]) -> Callable[..., list[Finding]]:
    kept: dict[Hashable, list[Finding]] = {}

    def asked(first: Feature, second: Feature, setting: Setting) -> list[Finding]:
        key = (first.name, second.name, *sorted(setting.facts.items()))
        if key not in kept:
            kept[key] = check(first, second, setting)
        return kept[key]

    return asked


class Memory:
    """What the rules said so far, under one set of limits."""

    def __init__(self) -> None:
        self.kinds: Mapping[str, JointKind] = _Remembered(joint_kinds())
        #: what was found of the mix asked last, by row title
        self.answers: dict[str, Answered] = {}
        self._roots: dict[Hashable, _Node] = {}
        self._watched: tuple[Assembly, Kit, _Watched, Watch] | None = None

    def looking(self, row: WholeKitRow, kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
        """As `whole_checks.looked`, remembered."""
        watched, watch, seen = self._under_watch(kit, assembly)
        made = tuple((one.reference, one.between, one.ends) for one in kit.adapters)
        root = self._roots.setdefault((row.title, made), _Node())
        node: _Node | None = root
        while node is not None and node.answered is None:
            node = None if node.question is None else node.after.get(watch.answer(node.question))
        if node is None:
            found, asked = watch.listen(lambda: looked(row, seen, watched, setting))
            node = _kept(root, Answered(found, tuple(asked)), watch)
        assert node.answered is not None
        self.answers[row.title] = node.answered
        return node.answered.looked

    def _under_watch(self, kit: Kit, assembly: Assembly) -> tuple[_Watched, Watch, Kit]:
        if self._watched is None or self._watched[0] is not assembly:
            watch = Watch(kit, assembly)
            facts = {side: _Facts(watch, side, said) for side, said in kit.facts.items()}
            seen = replace(kit, facts=facts)
            own = {one.name: getattr(assembly, one.name) for one in fields(Assembly)}
            own |= {"found": _Found(watch, assembly.found), "joints": _Joints(watch, assembly.joints)}
            self._watched = (assembly, seen, _Watched(**own, watch=watch), watch)
            self.answers = {}
        _, seen, watched, watch = self._watched
        return watched, watch, seen


def _kept(root: _Node, answered: Answered, watch: Watch) -> _Node:
    """The leaf of a new answer, below the questions that it took; who is answered alike asks them in the same order."""
    node = root
    for question in answered.asked:
        if node.question is None:
            node.question = question
        assert node.question == question, "a check asked otherwise of a mix that had answered alike"
        node = node.after.setdefault(watch.answer(question), _Node())
    node.answered = answered
    return node
