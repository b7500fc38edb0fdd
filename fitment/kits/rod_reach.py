"""What a tie rod and its rod end can be set to: the thread between them, or those of an adapter between them."""

from __future__ import annotations

from fitment.catalogue.found import FoundPart
from fitment.elementwise import minimum
from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.geometry import rod_length as geometry
from fitment.joints.answering import Size, fixed, formula, names, size_of
from fitment.joints.registration import Feature, Setting
from fitment.joints.thread_ends import engagement_needed, thread_gap, thread_of
from fitment.kits.kit import Kit
from fitment.kits.rod_sizes import Between, RodParts, rod_size
from fitment.standards.threads import Thread, same_thread

Ends = tuple[Feature, Feature]


@dataclass(frozen=True)
class Adjuster:
    """A thread that is screwed in and out.

    Attributes:
        thread: its thread.
        full: full thread that is asked for, mm; `reason` says by what rule.
        least, most: how far it must go in, and how far it can with a jam nut on it.
        home: how far it goes in without one.
        male: length of the male thread.
        uses: the words that it rests on: threads and sexes.
    """

    thread: Thread
    full: float
    reason: str
    least: Size
    most: Size
    home: Size
    male: Size
    uses: tuple[Use, ...]


@dataclass(frozen=True)
class Fixed:
    """The end of an adapter that does not adjust: screwed in as far as the length asks, and locked there.

    Attributes:
        thread: its thread.
        name: of the adapter.
        on: name of the part that it is locked to.
    """

    thread: Adjuster
    name: str
    on: str

    def engaged(self, both: Size, adjusts: Adjuster, toe: float) -> Size:
        """How far it goes in where both ends together are `both` deep: home, if the adjuster keeps enough."""
        return formula(
            lambda deep, home, least: minimum(home, deep - least - toe), both, self.thread.home, adjusts.least
        )


@dataclass(frozen=True)
class Reach:
    """What an assembly can be set to.

    Attributes:
        adjuster: the thread that adjusts.
        fixed: the other end of an adapter; None where there is no adapter.
        rod, end: what either side of the thread is long, from its ball centre to its end; an adapter is part of `rod`.
        longest, shortest: ball centre to ball centre.
    """

    adjuster: Adjuster
    fixed: Fixed | None
    rod: Size
    end: Size
    longest: Size
    shortest: Size

    def engaged(self, needed: Size, toe: float) -> Size:
        """How far the thread that adjusts goes in at a length."""
        both = formula(geometry.engaged_at, self.rod, self.end, needed)
        if self.fixed is None:
            return both
        return formula(lambda deep, other: deep - other, both, self.fixed.engaged(both, self.adjuster, toe))

    def left(self, needed: Size, toe: float) -> tuple[Size, ...]:
        """What is left to lengthen and to shorten beyond the toe range.

        With an adapter also what its ends have over: the one that adjusts beyond the toe range, the locked one beyond
        the thread asked.
        """
        out = formula(lambda longest, length: longest - (length + toe), self.longest, needed)
        back = formula(lambda length, shortest: (length - toe) - shortest, needed, self.shortest)
        if self.fixed is None:
            return out, back
        own, other = self.adjuster, self.fixed.thread
        return (
            out,
            back,
            formula(lambda most, least: most - least - 2 * toe, own.most, own.least),
            formula(lambda home, least: home - least, other.home, other.least),
        )

    @property
    def uses(self) -> tuple[Use, ...]:
        """The words that it rests on."""
        return self.adjuster.uses if self.fixed is None else (*self.adjuster.uses, *self.fixed.thread.uses)


def reach_of(parts: RodParts, kit: Kit, needed: Size, setting: Setting) -> Reach | tuple[Gap, ...]:
    """What one side can be set to, or what is missing to know it.

    Of an adapter between rod and rod end one end adjusts and the other is locked: the way round that leaves more.
    """
    if parts.gaps or parts.rod is None or parts.end is None:
        return parts.gaps
    rod, end = rod_size(parts, kit), size_of(parts.end.features["body"], "centre")
    outer, shank = parts.rod.features["outer"], parts.end.features["shank"]
    if parts.at_end is None:
        return _reach(rod, end, adjuster((outer, shank), setting), None)
    made = parts.at_end
    rod = formula(lambda length, more: length + more, rod, size_of(made.part.features["body"], "length"))
    at_rod, at_end = adjuster((outer, made.near), setting), adjuster((made.far, shank), setting)
    ways = [
        _reach(rod, end, at_end, _fixed(at_rod, made, parts.rod)),
        _reach(rod, end, at_rod, _fixed(at_end, made, parts.end)),
    ]
    toe = setting.limits["toe_range"].value
    known = [way for way in ways if isinstance(way, Reach)]
    if len(known) < 2 or not needed.known:
        return ways[0]
    return max(known, key=lambda way: min(size.central for size in way.left(needed, toe)))


def _fixed(thread: Adjuster | tuple[Gap, ...], made: Between, on: FoundPart) -> Fixed | tuple[Gap, ...]:
    return Fixed(thread, made.part.name, on.name) if isinstance(thread, Adjuster) else thread


def _reach(
    rod: Size, end: Size, own: Adjuster | tuple[Gap, ...], other: Fixed | tuple[Gap, ...] | None
) -> Reach | tuple[Gap, ...]:
    told = [*(() if isinstance(own, Adjuster) else own), *(other if isinstance(other, tuple) else ())]
    if not isinstance(own, Adjuster) or isinstance(other, tuple):
        return tuple(dict.fromkeys((*rod.gaps, *end.gaps, *told)))
    least, most = [own.least], [own.most]
    if other is not None:
        least, most = [*least, other.thread.least], [*most, other.thread.home]
    longest, shortest = (
        formula(lambda one, two, *deep: geometry.assembled_length(one, two, sum(deep)), rod, end, *threads)
        for threads in (least, most)
    )
    gaps = tuple(dict.fromkeys((*longest.gaps, *shortest.gaps)))
    return gaps or Reach(own, other, rod, end, longest, shortest)


def adjuster(ends: Ends, setting: Setting) -> Adjuster | tuple[Gap, ...]:
    """The thread of two ends, that towards the rack first, or what is missing to know it."""
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
        formula(minimum, long, deep),
        long,
        (*names(ends[0], ("thread", "sex")), *names(ends[1], ("thread", "sex"))),
    )


def _whose(end: Feature) -> str:
    return "the rod's" if end.name.endswith(" outer") else "the adapter's"


def _thread(ends: Ends) -> tuple[Thread | None, tuple[Gap, ...]]:
    """The thread of both ends; of one end where the other's is not known."""
    known = [thread for end in ends if (thread := thread_of(end)) is not None]
    if not known:
        return None, tuple(thread_gap(end) for end in ends)
    if len(known) == 2 and not same_thread(*known):
        why = (
            f"is {known[1].designation}, and {_whose(ends[0])} is {known[0].designation}: they have no length together"
        )
        return None, (Gap(ends[1].name, "thread", why),)
    return known[0], ()


def _sexes(ends: Ends) -> tuple[Feature, Feature, tuple[Gap, ...]]:
    """The male end and the female one; one that is told tells the other."""
    sexes = [use.word if (use := end.get("sex")) is not None else "" for end in ends]
    if sexes == ["", ""]:
        return *ends, tuple(end.gap("sex") for end in ends)
    if sexes[0] == sexes[1]:
        return *ends, (
            Gap(ends[1].name, "sex", f"is {sexes[1]} as {_whose(ends[0])} is: they have no length together"),
        )
    male_first = sexes[0] == "male" or sexes[1] == "female"
    return (*(ends if male_first else ends[::-1]), ())
