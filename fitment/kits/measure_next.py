"""Which readings would settle the verdict: ranked by how far each lets its entropy fall, per minute.

The verdict meant is the one that will stand when all readings are in. A rule is decided once everything that it takes
is read, so that readings are weighed in the sets that decide something together, one after the other: each set by the
expected fall of the entropy (mutual information of its outcome, as the tools would tell it, with the final verdict)
after the readings above it. Where moving a set is expected to settle the verdict in fewer minutes, it is moved. A trial
of one end in the other stands for the readings of what it decides, and they for it: whichever comes first, what the
other would still tell is left over.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from functools import cache
from typing import Any

from fitment.catalogue.found import CarBook
from fitment.errors import DataFault, NotFoundFault
from fitment.finding import Gap
from fitment.frozen import dataclass
from fitment.joints.kinds import all_rules
from fitment.kits.filled import Key
from fitment.kits.kit import Kit
from fitment.kits.reading_order import Settling
from fitment.kits.rules import kit_rules
from fitment.kits.tasks import Task
from fitment.kits.worlds import Worlds, worlds_of

#: worlds, and draws of the words, that must be left for a set to be weighed in them; else all are taken again
_FEW, _FEW_DRAWS = 200, 24
#: rules named of a reading
_TOLD = 2


@dataclass(frozen=True)
class Step:
    """A set of readings that decides something together.

    Attributes:
        keys: the readings, the quickest first.
        minutes: of all of them.
        gain: expected fall of the entropy of the final verdict, bits, as seen before any reading is taken.
        rules_out: chance that they rule the kit out, given that nothing above does.
        rules: (code, title of the joint) of the rules that they decide, those that may fail first.
        spare: whether what stands above decides all of it: only for where that cannot be done.
    """

    keys: tuple[Key, ...]
    minutes: float
    gain: float
    rules_out: float
    rules: tuple[tuple[str, str], ...]
    spare: bool = False

    @property
    def set_of(self) -> frozenset[Key]:
        """The readings as a set."""
        return frozenset(self.keys)


@dataclass(frozen=True)
class Ranked:
    """One reading in its place.

    Attributes:
        task: how it is taken.
        worth: bits per minute: the fall of its set over the minutes of its set.
        step: its set.
        drawn: the range that it was drawn from, in words.
    """

    task: Task
    worth: float
    step: Step
    drawn: str


@dataclass(frozen=True)
class MeasureNext:
    """The readings to take.

    Attributes:
        readings: the most worth first.
        chosen: keys of those for the time that was given; None where none was.
        worlds: how many worlds were drawn.
        fits: share of them in which the kit fits.
        entropy: of the final verdict, bits.
        ruled_out: whether it fits in none of them whatever is read: nothing is left to settle.
        left_out: what is missing and was not weighed.
    """

    readings: tuple[Ranked, ...]
    chosen: tuple[Key, ...] | None
    worlds: int
    fits: float
    entropy: float
    ruled_out: bool
    left_out: tuple[Gap, ...]


def measure_next_of(
    kit: Kit, book: CarBook, minutes: float | None = None, place: str | None = None, seed: int = 20_260
) -> MeasureNext:
    """The readings to take for a kit; `minutes` and `place` as for `measure_next`.

    Raises:
        NotFoundFault, DataFault, Faults: the kit names what is not there, or in the wrong role.
    """
    try:
        on_car = book.came_with(book.find_vehicle(kit.target)).own
    except (NotFoundFault, DataFault) as fault:
        raise fault.at(kit.target_place) from None
    return measure_next(worlds_of(kit, book, on_car, seed), minutes, place)


def measure_next(worlds: Worlds, minutes: float | None = None, place: str | None = None) -> MeasureNext:
    """Ranks the readings.

    Args:
        minutes: time to be filled; None for none.
        place: readings there alone; those elsewhere are taken as read by then. None for all.
    """
    told = _Told(worlds)
    ruled_out = any(need.already and bool(need.fails.all()) for need in worlds.needs)
    here = [key for key, task in worlds.tasks.items() if place in (None, task.place) and not ruled_out]
    sets = [step.keys for step in told.greedy(here, math.inf)]
    if place is None and sets:
        sets = Settling(worlds).better(sets)
    ranked = tuple(
        Ranked(worlds.tasks[key], step.gain / step.minutes, step, worlds.values[key].told)
        for step in told.in_order(here, sets)
        for key in step.keys
    )
    chosen = None if minutes is None else tuple(key for step in told.greedy(here, minutes) for key in step.keys)
    fits = float(told.fits.mean())
    return MeasureNext(ranked, chosen, told.fits.size, fits, entropy(fits), ruled_out, worlds.left_out)


def entropy(share: float) -> float:
    """Entropy of a yes or no whose yes has this share, bits."""
    return sum(-p * math.log2(p) for p in (share, 1 - share) if p > 0)


class _Told:
    """What the worlds tell of the final verdict."""

    def __init__(self, worlds: Worlds):
        import numpy as np

        self.tasks = worlds.tasks
        self.trials = worlds.trials
        self.needs = worlds.needs
        fails = [need.fails for need in self.needs]
        self.fits: Any = ~np.any(fails, axis=0) if fails else np.ones((1, 1), dtype=bool)

    def elsewhere(self, here: Collection[Key]) -> frozenset[Key]:
        """What is taken as read by then: readings of another place, but no trial, which stands for readings here."""
        return frozenset(self.tasks).difference(here, self.trials)

    def greedy(self, here: Collection[Key], minutes: float) -> Iterator[Step]:
        """Sets of readings, the most worth per minute first, as many as the time holds; those of no worth last.

        Then, where time does not matter, what the sets above stand for.
        """
        read, left = self.elsewhere(here), minutes
        while True:
            alive = self._alive(read)
            able = [step for step in self._steps(read, frozenset(here), alive) if step.minutes <= left]
            if not able:
                break
            best = max(able, key=lambda step: (step.gain / step.minutes, -step.minutes, step.keys))
            yield best
            read |= frozenset(best.keys)
            left -= best.minutes
        of_use = {key for need in self.needs for way in need.ways for key in way.keys}
        for key in here:  # asked for by a rule that no world came to, or decided by what stands above
            if key not in read and self.tasks[key].minutes <= left and (key not in of_use or minutes == math.inf):
                left -= self.tasks[key].minutes
                yield Step((key,), self.tasks[key].minutes, 0.0, 0.0, (), key in of_use)

    def _steps(self, read: frozenset[Key], here: frozenset[Key], alive: Any) -> Iterator[Step]:
        """Every set of readings, or trial, that would decide something yet open."""
        sets: dict[frozenset[Key], None] = {}
        for need in self.needs:
            told = need.told_by(read)
            if told is None or not told.settles:
                sets |= {way.keys - read: None for way in need.ways if way.settles or told is None}
        return (self._step(read, keys, alive) for keys in sets if keys and keys <= here)

    def in_order(self, here: Collection[Key], sets: Iterable[tuple[Key, ...]]) -> Iterator[Step]:
        """The sets in this order, each weighed in its turn."""
        read = self.elsewhere(here)
        for keys in sets:
            step = self._step(read, frozenset(keys), self._alive(read))
            of_it = [need for need in self.needs if any(way.keys & step.set_of for way in need.ways)]
            spare = bool(of_it) and all((told := need.told_by(read)) and told.settles for need in of_it)
            yield replace(step, spare=spare)
            read |= step.set_of

    def _alive(self, read: frozenset[Key]) -> Any:
        """The worlds that nothing read rules out; all of them where too few draws of the words are left to weigh in."""
        alive = ~self._seen(read)
        if alive.any(axis=1).sum() < min(_FEW_DRAWS, len(alive)) or alive.sum() < _FEW:
            alive[:] = True
        return alive

    def _step(self, read: frozenset[Key], keys: frozenset[Key], alive: Any) -> Step:
        after = read | keys
        told = [(need, way, need.told_by(read)) for need in self.needs if (way := need.told_by(after)) is not None]
        new = [(need, way) for need, way, before in told if way != before and not (before and before.settles)]
        out = alive & self._any(need.outcome(way) for need, way in new)
        rules = {rule: failed for need, _ in new for rule, failed in need.rules.items()}
        return Step(
            tuple(sorted(keys, key=lambda key: (self.tasks[key].minutes, key))),
            sum(self.tasks[key].minutes for key in keys),
            float(alive.mean()) * _information(self.fits[alive], out[alive]),
            float(out.sum() / alive.sum()),
            tuple(sorted(rules, key=lambda rule: (not rules[rule], *rule))),
        )

    def _seen(self, read: frozenset[Key]) -> Any:
        ways = ((need, need.told_by(read)) for need in self.needs if not need.already)
        return self._any(need.outcome(way) for need, way in ways if way is not None)

    def _any(self, seen: Iterable[Any]) -> Any:
        import numpy as np

        found = np.zeros(self.fits.shape, dtype=bool)
        for one in seen:
            found |= one
        return found


def _information(fits: Any, out: Any) -> float:
    """Mutual information of the final verdict and of whether the readings rule the kit out, bits.

    Where no world fits, half a world is taken to: what rules out most is worth most then too.
    """
    whole, ruled, good, kept = int(fits.size), int(out.sum()), float(fits.sum()), float((fits & out).sum())
    good = good or 0.5
    rest = whole - ruled
    after = ruled * entropy(kept / ruled) if ruled else 0.0
    after += rest * entropy(min((good - kept) / rest, 1.0)) if rest else 0.0
    return max((whole * entropy(good / whole) - after) / whole, 0.0)


def decides(one: Ranked) -> str:
    """What a reading decides, in words: the rules, and how often they would rule the kit out."""
    if one.step.spare:
        return "what stands above decides it: only for where that cannot be done"
    titles = rule_titles()
    by_title: dict[str, dict[str, None]] = {}
    for code, joint in one.step.rules:
        by_title.setdefault(f"{titles.get(code, code)} [{code}]", {})[joint] = None
    if not by_title:
        return "asked for by a rule that no world came to"
    told = [f"{title}: {', '.join(joints)}" for title, joints in list(by_title.items())[:_TOLD]]
    if len(by_title) > _TOLD:
        told.append(f"and {len(by_title) - _TOLD} more")
    return "; ".join(told)


@cache
def rule_titles() -> dict[str, str]:
    """Title of every rule by its code."""
    return {rule.code: rule.title for rule in (*all_rules().values(), *kit_rules())}
