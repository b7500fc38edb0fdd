"""Worlds: the kit as it might turn out once every reading is in, drawn and checked by the same rules as the kit itself.

Numbers are drawn as the samples of one check; words, which turn rules on and off, and points as several checks. For
ranking readings only: what a world says is never a verdict. A world in which only work that no check proposes for all
of them would make the kit fit counts as one in which it does not.
"""

from __future__ import annotations

import zlib
from collections.abc import Collection, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from fitment.catalogue.dictionary import dimensions_of
from fitment.catalogue.found import PartsBook
from fitment.finding import Finding, Gap, Use, Verdict
from fitment.frozen import dataclass
from fitment.joints.answering import TOO_COARSE
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Feature
from fitment.kits.assembly import assemble
from fitment.kits.check import check
from fitment.kits.filled import FilledBook, FilledDraws, KeptBook, Key
from fitment.kits.kit import Kit
from fitment.kits.needs import Fails, Need, Way
from fitment.kits.odds import margin_behind
from fitment.kits.part_state import RECORDED_FAULTS
from fitment.kits.plausible import Plausible, plausible
from fitment.kits.plausible_points import plausible_point
from fitment.kits.tasks import Task, Thing, task_of
from fitment.kits.trials import At, Tried, felt, recorded, trials_of
from fitment.quantity.points import point_of

if TYPE_CHECKING:
    import numpy as np

#: samples of the numbers; draws of the words for each word that is drawn, at least and at most
NUMBERS, WORDS, LEAST_WORDS, MOST_WORDS = 500, 24, 48, 240
#: the same while missing values are looked for, one of which may hide the next; and how many looks at most
_LOOK_NUMBERS, _LOOK_WORDS, _LOOKS = 100, 4, 12
#: what may be read does not hang on the seed of the worlds
_LOOK_SEED = 20_260


@dataclass(frozen=True)
class Worlds:
    """The kit in many worlds.

    Attributes:
        values: what may be read, in the order in which the rules asked for it; after it the trials.
        tasks: how it is read.
        needs: what is decided, and by what; by nothing, what is decided already.
        trials: keys of the trials among them.
        left_out: what is missing and cannot be drawn, or is not for a reading to tell.
    """

    values: Mapping[Key, Plausible]
    tasks: Mapping[Key, Task]
    needs: tuple[Need, ...]
    left_out: tuple[Gap, ...]
    trials: frozenset[Key] = frozenset()


def worlds_of(kit: Kit, book: PartsBook, on_car: Collection[str] = (), seed: int = 20_260) -> Worlds:
    """Draws worlds of a kit and checks them.

    Args:
        on_car: references of the parts that the vehicle came with.
        seed: the same seed gives the same worlds.
    """
    import numpy as np

    with np.errstate(all="ignore"):  # a drawn size may make no sense; it fails then
        return _Maker(kit, KeptBook(book), on_car, seed).worlds()


class _Maker:
    """Finds what may be read, draws it and checks the kit with it."""

    def __init__(self, kit: Kit, book: KeptBook, on_car: Collection[str], seed: int):
        self.kit, self.book, self.on_car = kit, book, on_car
        self.seed = _LOOK_SEED
        self.worlds_seed = seed
        self.values: dict[Key, Plausible] = {}
        self.tasks: dict[Key, Task] = {}
        self.left_out: dict[Gap, None] = {}
        self.tried: dict[Key, Tried] = {}
        self.things = _things(kit, book)

    def worlds(self) -> Worlds:
        for _ in range(_LOOKS):
            self.left_out = {}
            if not self._look(_LOOK_WORDS if self._several() else 1):
                break
        self.seed = self.worlds_seed
        words = sum(1 for one in self.values.values() if one.words)
        count = min(max(WORDS * words, LEAST_WORDS), MOST_WORDS) if self._several() else 1
        open_features = {feature for feature, _ in self.values}
        self.tried = trials_of(self.kit, self.book, self.things, open_features, self.on_car) if self.values else {}
        needs: dict[tuple[Way, ...], Need] = {}
        for draw in range(count):
            self._check(draw, count, needs)
        of_use = {key for need in needs.values() for way in need.ways for key in way.keys}
        trials = {key: one for key, one in self.tried.items() if key in of_use}
        return Worlds(
            self.values | {key: one.told for key, one in trials.items()},
            self.tasks | {key: one.task for key, one in trials.items()},
            tuple(needs.values()),
            tuple(self.left_out),
            frozenset(trials),
        )

    def _several(self) -> bool:
        """Whether anything is drawn anew for each check: words, and points, which some margins take as they stand."""
        return any(one.words or one.box for one in self.values.values())

    def _stream(self, name: str) -> np.random.Generator:
        import numpy as np

        return np.random.Generator(np.random.PCG64([self.seed, zlib.crc32(name.encode())]))

    def _put_in(self, draw: int, count: int) -> dict[Key, Use]:
        """The values of one draw: each word as often as its odds ask, in an order of its own."""
        found: dict[Key, Use] = {}
        for key, one in self.values.items():
            if one.use is not None and one.box is None:
                found[key] = one.use
                continue
            stream = self._stream("words:" + "|".join(key))
            # evenly spread, started at random, so that each word comes as often as its odds ask
            shares = [float((stream.permutation(count)[draw] + stream.uniform()) / count) for _ in range(4)]
            if one.box is None:
                found[key] = one.word(_picked(one.words, shares[0]))
            else:
                found[key] = one.point(shares[:3], shares[3] < 0.5, self.tasks[key].error)
        return found

    def _samples(self, values: Mapping[Key, Use], count: int) -> tuple[dict[Key, Any], dict[Key, Any]]:
        """Samples of the numbers and points put in, and as their readings would tell them."""
        import numpy as np

        as_read = FilledDraws(count, self.seed, {})
        true, told = {}, {}
        for key, use in values.items():
            name, one = "|".join(key), self.values[key]
            if one.words:
                continue
            if one.box is not None:
                true[key] = np.repeat(np.array(point_of(use))[:, np.newaxis], count, axis=1)
            else:
                true[key] = one.samples(count, as_read.of(use), self._stream(f"value:{name}"))
            error = self.tasks[key].error
            told[key] = true[key] + self._stream(f"error:{name}").uniform(-error, error, true[key].shape)
        return true, told

    def _look(self, count: int) -> bool:
        """Looks for what is missing; whether anything more can be put in."""
        before = len(self.values)
        first = before == 0
        for draw in range(count):
            values = self._put_in(draw, count)
            draws = FilledDraws(_LOOK_NUMBERS, self.seed, self._samples(values, _LOOK_NUMBERS)[0])
            for finding in check(self.kit, FilledBook(self.book, values), draws).findings:
                if finding.verdict is Verdict.NOT_KNOWN:
                    for gap in finding.gaps:
                        self._take(gap, first)
        return len(self.values) > before

    def _take(self, gap: Gap, first: bool) -> None:
        key = (gap.feature, gap.dimension)
        if key in self.values:
            return
        thing = self.things.get(gap.feature)
        value = self._plausible(thing.feature, gap.dimension) if thing else None
        use = thing.feature.get(gap.dimension) if thing else None
        if not first and use is not None and not (use.hearsay or use.assumed):
            return  # a sound reading that only a drawn one puts in question
        if thing is None or value is None or gap.why in RECORDED_FAULTS:
            self.left_out[gap] = None
            return
        coarse = use.u if use is not None and gap.why == TOO_COARSE else None
        self.values[key] = value
        self.tasks[key] = task_of(thing, value.dimension, coarse, self.on_car)

    def _plausible(self, feature: Feature, name: str) -> Plausible | None:
        dimension = dimensions_of(feature.kind).get(name)
        if dimension is not None and dimension.value_kind == "point":
            return plausible_point(feature, dimension, {name: thing.feature for name, thing in self.things.items()})
        return plausible(feature, name)

    def _check(self, draw: int, count: int, needs: dict[tuple[Way, ...], Need]) -> None:
        import numpy as np

        values = self._put_in(draw, count)
        true, told = self._samples(values, NUMBERS)
        draws = FilledDraws(NUMBERS, self.seed, true)
        report = check(self.kit, FilledBook(self.book, values), draws)
        read = FilledDraws(NUMBERS, self.seed, told)
        shortened = self._after_trials(values, draws)
        for joint in report.joints:
            for finding in joint.findings:
                fails, seen = self._fails(finding, draws, read)
                if fails is None:
                    continue
                ways = self._ways((joint.id, finding.rule), self._keys(finding), shortened)
                need = needs.get(ways)
                if need is None:
                    need = needs[ways] = Need(ways, _nowhere(count), _nowhere(count), _nowhere(count))
                need.fails[draw] |= fails
                need.seen[draw] |= seen
                need.felt[draw] |= fails & felt(finding)
                rule = (finding.rule, joint.title)
                need.rules[rule] = need.rules.get(rule, False) or bool(np.any(fails))

    def _after_trials(self, values: Mapping[Key, Use], draws: FilledDraws) -> dict[At, frozenset[Key]]:
        """What each rule still rests on with every trial passed, in the same world; without those left open."""
        found: dict[At, frozenset[Key]] = {}
        if self.tried:
            book = FilledBook(self.book, values, recorded(self.tried.values(), True))
            for joint in check(self.kit, book, draws).joints:
                for finding in joint.findings:
                    at = joint.id, finding.rule
                    if all((gap.feature, gap.dimension) in self.values for gap in finding.gaps):
                        found[at] = found.get(at, frozenset()) | self._keys(finding)
        return found

    def _ways(self, at: At, keys: frozenset[Key], shortened: Mapping[At, frozenset[Key]]) -> tuple[Way, ...]:
        """The ways to decide a rule: its readings; the trial of its ends; that trial with what it leaves to be read."""
        ways = [Way(keys)]
        for key, one in self.tried.items():
            if not keys or at[0] not in one.joints:
                continue
            rest = shortened.get(at, keys)
            if at in one.decides:
                ways.append(Way(frozenset((key,)), tried=True))
            elif rest < keys:
                ways.append(Way(rest | {key}))
            elif at in one.rules_out:
                ways.append(Way(frozenset((key,)), tried=True, settles=False))
        return tuple(ways)

    def _fails(self, finding: Finding, draws: FilledDraws, read: FilledDraws) -> tuple[Any, Any]:
        """In which samples a rule fails, true and as read; None where it stays open whatever is read."""
        behind = margin_behind(finding, draws)
        if behind is not None:
            # what is no number fails too
            return ~(behind.at(draws) > 0), ~(behind.at(read) > 0)
        if finding.verdict is Verdict.NOT_KNOWN:
            if any((gap.feature, gap.dimension) not in self.values for gap in finding.gaps):
                return None, None
            # too coarse by the tool's own error: as its middle has it
            fails = finding.margin is None or finding.margin.value <= 0
            return fails, fails
        fails = finding.verdict is Verdict.DOES_NOT_FIT
        return fails, fails

    def _keys(self, finding: Finding) -> frozenset[Key]:
        """The readings to be taken that a finding rests on."""
        gaps = ((gap.feature, gap.dimension) for gap in finding.gaps)
        uses = ((use.feature, use.dimension) for use in finding.uses)
        return frozenset(key for key in (*uses, *gaps) if key in self.values)


def _nowhere(count: int) -> Fails:
    import numpy as np

    return np.zeros((count, NUMBERS), dtype=bool)


def _picked(words: tuple[tuple[str, float], ...], point: float) -> str:
    """The word at a point of 0 to 1."""
    for word, odds in words:
        point -= odds
        if point < 0:
            return word
    return words[-1][0]


def _things(kit: Kit, book: KeptBook) -> dict[str, Thing]:
    """What each feature of the kit belongs to, by its full name."""
    return {thing.feature.name: thing for thing in _all_things(kit, book)}


def _all_things(kit: Kit, book: KeptBook) -> Iterator[Thing]:
    assembly = assemble(kit, book, joint_kinds())
    adapters = (part for _, part in assembly.adapters)
    for part in (*assembly.found.values(), *adapters):
        for name, feature in part.features.items():
            yield Thing(part.name, part.kind, part.is_item, name, feature)
    for name, feature in assembly.target.features.items():
        yield Thing(assembly.target.name, "vehicle", False, name, feature)
