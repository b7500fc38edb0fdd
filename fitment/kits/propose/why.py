"""Why there is no kit: where the chains break off, what `check` refused, and which single change would open some.

What readings, adapters, work or length would open is asked of the same search with that much more allowed, so that
`check` has looked at every kit that is counted; what a join would open is counted by keys alone, and says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING

from fitment.catalogue.dictionary import dimensions_of
from fitment.catalogue.values import NUMERIC
from fitment.finding import Basis, Use, Verdict
from fitment.kits.check import check
from fitment.kits.filled import FilledBook
from fitment.kits.plausible import DRAWN, plausible
from fitment.kits.propose.kit_of import kit_of
from fitment.kits.propose.ledger import STEP
from fitment.kits.propose.problem import Allowed, Proposed, Query
from fitment.kits.propose.proposal import Bottleneck, Opens, OutOfReach, Refusal, WhyNone
from fitment.kits.propose.rod_windows import RODS
from fitment.kits.tasks import Thing, task_of
from fitment.quantity.units import canonical_unit

if TYPE_CHECKING:
    from fitment.kits.search.model import Outcome, Problem
    from fitment.kits.search.reasons import Bottleneck as BrokenOff
    from fitment.kits.search.reasons import Join
    from fitment.kits.search.reasons import WhyNone as ByKeys

#: how many openings and refusals are told; own choice
_TOLD = 8
#: kits counted for one change, and whole mixes tested for it; own choice
_COUNTED, _TESTS = 60, 500
#: most readings that are tried together; own choice
_TOGETHER = 4


#: a number to imagine where nothing bounds it, in its canonical unit: only whether something is then known is asked
_ANY = 10.0
#: readings, (feature, dimension)
Gaps = tuple[tuple[str, str], ...]


def why_none(query: Query, problem: Problem | None, outcome: Outcome | None) -> WhyNone:
    """The reasons.

    Args:
        query: the question to which nothing was found.
        problem, outcome: as the search was asked and answered; None where there was nothing to search.
    """
    if problem is None or outcome is None:
        return WhyNone(lacks=tuple(query.left_out))
    refusals = _refusals(query, outcome)
    if outcome.stopped == "interrupted":
        return WhyNone(refusals=refusals)
    from fitment.kits.search.reasons import Join
    from fitment.kits.search.why import why_none as by_keys

    keys = by_keys(problem, openings=_TOLD, cap=_COUNTED)
    openings = _openings(query)
    # a join is worth telling where it is the keys that fail; else what `check` refused would refuse it too
    for one in keys.openings if keys.bottlenecks else ():
        joins = [change for change in one.changes if isinstance(change, Join)]
        if joins and len(joins) == len(one.changes):
            told = tuple(_joined(query, join) for join in joins)
            openings.append(Opens("join", told, one.count, one.capped, one.cost / STEP, None, ()))
    return WhyNone(
        bottlenecks=tuple(_broken(query, one) for one in keys.bottlenecks if one.interface),
        refusals=refusals,
        openings=tuple(sorted(openings, key=_order))[:_TOLD],
        out_of_reach=_out_of_reach(keys),
    )


def _out_of_reach(keys: ByKeys) -> OutOfReach | None:
    """The racks that rods go onto by their keys, and by their lengths do not."""
    racks = keys.completing[RODS]
    out = racks - keys.in_window[RODS]
    return OutOfReach(out, racks) if out else None


def _openings(query: Query) -> list[Opens]:
    """What `check` says would open a kit; Ctrl-C ends the looking with what was found."""
    found: list[Opens] = []
    try:
        for changes in (_readings, _adapters, _work, _lengths):
            found.extend(changes(query))
    except KeyboardInterrupt:
        pass
    return found


def _order(one: Opens) -> tuple[int, bool, float, tuple[str, ...]]:
    """The fewest changes first, then those that `check` has looked at, then the cheapest."""
    return len(one.changes), one.sort == "join", one.cost, one.changes


def _refusals(query: Query, outcome: Outcome) -> tuple[Refusal, ...]:
    """What was refused, pairs by their place and mixes by their joint on whichever side, most often first."""
    counts: dict[tuple[bool, str], int] = {}
    for place, times in outcome.refused.items():
        if place:
            at = (True, _either_side(place.rpartition(", ")[2]))
            counts[at] = counts.get(at, 0) + times
    for title, times in query.refused.items():
        # a mix is refused on both sides at once, or on one of them
        at = (False, _either_side(title))
        counts[at] = max(times, counts.get(at, 0))
    found = [Refusal(title, times, pairs) for (pairs, title), times in counts.items()]
    return tuple(sorted(found, key=lambda one: (one.pairs, -one.count, one.title)))


def _either_side(title: str) -> str:
    return title.removeprefix("left ").removeprefix("right ")


def _found(query: Query, allowed: Allowed, forgiven: str = "") -> tuple[list[Proposed], bool]:
    """The kits that the same search finds with more allowed, the cheapest first; and whether counting stopped."""
    from fitment.kits.search.engine import search
    from fitment.kits.search.model import Budget

    more = query.again(allowed, forgiven)
    problem = more.problem()
    if problem is None:
        return [], False
    outcome = search(problem, _COUNTED, Budget(tests=_TESTS))
    if outcome.stopped == "interrupted":
        raise KeyboardInterrupt
    return [more.passed[one.mix.order] for one in outcome.found], len(outcome.found) == _COUNTED or not outcome.proven


def _readings(query: Query) -> Iterator[Opens]:
    """The fewest readings that would open a kit, set by set."""
    for more in range(1, _TOGETHER + 1):
        allowed = replace(query.allowed, unknown=query.allowed.unknown + more)
        found, capped = _found(query, allowed)
        lacking: dict[Gaps, list[Proposed]] = {}
        for one in found:
            lacking.setdefault(tuple(sorted(one.gaps)), []).append(one)
        sets: dict[Gaps, list[Proposed]] = {}
        for gaps, kits in lacking.items():
            sets.setdefault(_fewest(query, kits[0], gaps) if len(sets) < _TOLD else gaps, []).extend(kits)
        for gaps, kits in sets.items():
            told = tuple(" ".join(gap) for gap in gaps)
            yield _opens("reading", told, kits, capped, _minutes(query, gaps))
        if found:
            return


def _fewest(query: Query, proposed: Proposed, gaps: Gaps) -> Gaps:
    """The fewest of the readings that a kit lacks which leave nothing unknown of it, whichever way they turn out.

    A check may name several readings of which one would do: what is imagined read says which.
    """
    for number in range(1, len(gaps)):
        for some in combinations(gaps, number):
            values = {gap: use for gap in some if (use := _imagined(query, *gap)) is not None}
            if len(values) == number and not _unknown(query, proposed, values):
                return some
    return gaps


def _imagined(query: Query, name: str, dimension: str) -> Use | None:
    """A value such as might be read; None where nothing tells what it might be."""
    reference, _, end = name.partition(" ")
    stocked = query.shelf.by_name.get(reference)
    feature = stocked.part.features.get(end) if stocked is not None else query.judge.book.vehicle.features.get(end)
    if feature is None or dimension not in dimensions_of(feature.kind):
        return None
    might = plausible(feature, dimension)
    if might is not None and might.words:
        return might.word(might.words[0][0])
    kind = dimensions_of(feature.kind)[dimension].value_kind
    if might is None and (kind not in NUMERIC or kind == "taper"):
        return None
    # as sure as can be: that it is imagined is no reason for a margin not to be known
    if might is not None and might.use is not None:
        return replace(might.use, u=0.0)
    return Use(feature.name, dimension, _ANY, 0.0, canonical_unit(kind).symbol, Basis.MEASURED, source=DRAWN)


def _unknown(query: Query, proposed: Proposed, values: Mapping[tuple[str, str], Use]) -> bool:
    """Whether anything is not known of the kit with these values put in."""
    report = check(kit_of(proposed.named), FilledBook(query.judge.book, values), query.judge.draws())
    return any(finding.verdict is Verdict.NOT_KNOWN for finding in report.findings)


def _adapters(query: Query) -> Iterator[Opens]:
    """One adapter more."""
    found, capped = _found(query, replace(query.allowed, adapters=query.allowed.adapters + 1))
    made: dict[tuple[str, ...], list[Proposed]] = {}
    for one in found:
        told = (f"{adapter.stocked.design} between {' and '.join(adapter.between)}" for adapter in one.named.adapters)
        made.setdefault(tuple(told), []).append(one)
    for adapters, kits in made.items():
        yield _opens("adapter", ("; ".join(adapters),), kits, capped)


def _work(query: Query) -> Iterator[Opens]:
    """Work, where none was wanted."""
    if query.allowed.no_work:
        found, capped = _found(query, replace(query.allowed, no_work=False))
        if found:
            yield _opens("work", ("work on the parts",), found, capped)


def _lengths(query: Query) -> Iterator[Opens]:
    """Tie rods that reach farther, or draw in farther, than those on record."""
    found, capped = _found(query, query.allowed, "rod_length")
    for way in ("longer", "shorter"):
        kits = [one for one in found if one.wants and all(want.way == way for want in one.wants)]
        if kits:
            least = min(kits, key=lambda one: max(want.by for want in one.wants))
            by = max(want.by for want in least.wants)
            told = f"tie rods that can be set {by:.1f} mm {way}"
            yield _opens("length", (told,), [least, *(one for one in kits if one is not least)], capped)


def _opens(
    sort: str, changes: tuple[str, ...], kits: Sequence[Proposed], capped: bool, minutes: float | None = None
) -> Opens:
    cost = sum(entry.cost for entry in kits[0].entries if not (sort == "reading" and entry.weight.line == "gap"))
    names = dict.fromkeys(one.part.name for one in kits[0].named.parts.values())
    return Opens(sort, changes, len(kits), capped, cost / STEP, minutes, tuple(names))


def _minutes(query: Query, gaps: Sequence[tuple[str, str]]) -> float | None:
    """How long the readings take; None where one of them is nothing that a tool reads."""
    minutes = 0.0
    for name, dimension in gaps:
        reference, _, end = name.partition(" ")
        stocked = query.shelf.by_name.get(reference)
        feature = stocked.part.features.get(end) if stocked is not None else None
        if stocked is None or feature is None or dimension not in dimensions_of(feature.kind):
            return None
        thing = Thing(reference, stocked.part.kind, stocked.part.is_item, end, feature)
        on_car = [reference] if query.shelf.own(stocked) else []
        minutes += task_of(thing, dimensions_of(feature.kind)[dimension], None, on_car).minutes
    return minutes


def _joined(query: Query, join: Join) -> str:
    inner, outer = (query.keys.told(key) for key in (join.inner, join.outer))
    return f"{inner} joined to {outer} at the {join.interface.rpartition(', ')[2]} ({join.branch}, {join.layout})"


def _broken(query: Query, one: BrokenOff) -> Bottleneck:
    def told(keys: dict[int, int]) -> tuple[tuple[str, int], ...]:
        return tuple((query.keys.told(key) or "no key", number) for key, number in sorted(keys.items()))

    where = f"{one.branch} ({one.layout}), at the {one.interface.rpartition(', ')[2]}"
    return Bottleneck(where, told(dict(one.arriving)), told(dict(one.accepted)))
