"""Which changes would open a mix where there is none: single ones, and the fewest where no single one does."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from fitment.frozen import dataclass
from fitment.kits.search.bounds import NEVER, Bounds
from fitment.kits.search.chains import indexed
from fitment.kits.search.changed import joined, joined_anywhere, widened
from fitment.kits.search.forward import Arriving, accepted, arriving, left_over
from fitment.kits.search.lengths import Lengths, spread
from fitment.kits.search.merging import Meter, Pairs, Spent
from fitment.kits.search.mixes import Candidate, Mixes
from fitment.kits.search.model import NO_KEY, Budget, Layout, Mix, Problem
from fitment.kits.search.read import length_of, link_at, links_of, mix_of, parts_of, stands, with_gaps
from fitment.kits.search.reasons import Change, Join, OneAdapterMore, OneGapMore, Opening, Widened
from fitment.kits.search.sides import Tables

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]

#: Whether a mix uses the change; what goes without it is not opened by it
Uses = Callable[[Candidate], bool]


@dataclass(frozen=True)
class _Try:
    """A change to be tried.

    Attributes:
        least: no mix with it costs less.
        changes: what is changed.
        problem: the problem then.
        uses: whether a mix uses all the changes.
    """

    least: int
    changes: tuple[Change, ...]
    problem: Callable[[], Problem]
    uses: Uses


class Openings:
    """Looks for what would open a mix.

    Attributes:
        mixes: those of the problem as it is, up to its worst level.
        in_window: per branch, which racks a chain of it can stand in the window of; shape (racks,).
        pairs: its pair test.
        left_out: how many joins were not tried.
    """

    def __init__(self, problem: Problem, openings: int, cap: int, budget: Budget) -> None:
        self._problem, self._openings, self._cap, self._budget = problem, openings, cap, budget
        self._level = problem.levels - 1
        self.pairs = Pairs(problem.pair)
        self._tables = Tables()
        self.mixes = Mixes(problem, self._level, Meter(0), self.pairs, self._tables)
        self.in_window = [self.mixes.in_window(at) for at in range(len(problem.branches))]
        self.left_out = 0

    def found(self) -> tuple[Opening, ...]:
        """All of them, cheapest first."""
        made = list(self._budget_openings())
        joins, self.left_out = self._tried(sorted(self._joins(), key=lambda one: one.least))
        made += joins
        made += self._tried(list(self._windows()))[0]
        made = made or list(self._smallest())
        return tuple(sorted(made, key=lambda one: (one.cost, one.example.order)))

    # -- single changes

    def _budget_openings(self) -> Iterator[Opening]:
        problem = self._problem
        adapters, unknown = problem.adapters + 1, problem.unknown + 1
        more = replace(problem, adapters=adapters)
        if found := self._counted(_Try(0, (OneAdapterMore(),), lambda: more, lambda one: one.adapters == adapters)):
            yield found
        lacking = replace(problem, unknown=unknown)
        if found := self._counted(_Try(0, (OneGapMore(),), lambda: lacking, lambda one: one.gaps == unknown)):
            yield replace(found, changes=(OneGapMore(with_gaps(problem, found.example)),))

    def _joins(self) -> Iterator[_Try]:
        """Every pair of keys that could be joined, with what a mix through it costs at least."""
        for place, branch in enumerate(self._problem.branches):
            rest = self.mixes.without(place)
            rest[:, :, ~self._others_stand(place)] = NEVER
            for way, layout in enumerate(branch.layouts):
                come = arriving(indexed(layout), self._problem.racks.keys[branch.name], rest, self._level)
                room = self._room(place, way, rest)
                for at, one in enumerate(come):
                    for least, inner, outer in self._pairs_of_keys(place, way, at, one):
                        if not room(at, inner, outer):
                            continue
                        join = Join(branch.name, layout.name, layout.interfaces[at].name, inner, outer)
                        yield self._join_try(least, ((place, layout, at, join),))

    def _room(self, place: int, way: int, rest: Whole) -> Callable[[int, int, int], bool]:
        """Whether lengths leave room for a join at an interface; without windows they always do."""
        problem, branch = self._problem, self._problem.branches[place]
        windows = problem.racks.windows.get(branch.name)
        if windows is None:
            return lambda at, inner, outer: True
        chain = indexed(branch.layouts[way])
        able = (rest.min(axis=(0, 1)) < NEVER) & (windows[:, 0] <= windows[:, 1])
        least, most = windows[able, 0], windows[able, 1].clip(max=chain.reach)
        width = int((most - least).max(initial=0))
        left = left_over(chain, problem.racks.keys[branch.name][able], most, self._level)
        lengths = self._whole_lengths(self.mixes.side(place, way).bounds)

        def room(at: int, inner: int, outer: int) -> bool:
            import numpy as np

            onward = lengths.onward(at, int(chain.rows[at].of(np.array([outer]))[0]))
            return bool(left[at].get(inner, 0) & spread(onward, width))

        return cache(room)

    def _join_try(self, least: int, joins: tuple[tuple[int, Layout, int, Join], ...]) -> _Try:
        def uses(one: Candidate) -> bool:
            return all(
                link_at(self._problem, one.order, place, layout, at) == links_of(layout, at)
                for place, layout, at, _ in joins
            )

        def made() -> Problem:
            problem = self._problem
            for place, layout, at, join in joins:
                problem = joined(problem, place, layout.name, at, join.inner, join.outer)
            return problem

        return _Try(least, tuple(join for *_, join in joins), made, uses)

    def _pairs_of_keys(self, place: int, way: int, at: int, come: Arriving) -> Iterator[tuple[int, int, int]]:
        """(least cost, key before, key after) of all that would not go together."""
        import numpy as np

        layout = self._problem.branches[place].layouts[way]
        keys = np.array([key for key in accepted(layout, at) if key >= 0], dtype=np.int64)
        some = np.flatnonzero(come.keys >= 0)
        if not len(keys) or not len(some):
            return
        bound = self.mixes.side(place, way).bounds.direct[at][:, :, indexed(layout).rows[at].of(keys)]
        best = np.full((len(some), len(keys)), NEVER)
        for adapters in range(bound.shape[0]):
            for gaps in range(bound.shape[1]):
                to = come.cost[: bound.shape[0] - adapters, : bound.shape[1] - gaps, some].min(axis=(0, 1))
                np.minimum(best, to[:, None] + bound[adapters, gaps], out=best)
        for x, y in zip(*np.nonzero(best < NEVER), strict=True):
            if come.keys[some[x]] != keys[y]:
                yield int(best[x, y]), int(come.keys[some[x]]), int(keys[y])

    def _windows(self) -> Iterator[_Try]:
        """The racks that miss a window by least."""
        import numpy as np

        problem, misses = self._problem, []
        for place, branch in enumerate(problem.branches):
            windows = problem.racks.windows.get(branch.name)
            if windows is None:
                continue
            least = self.mixes.least
            out = (least < NEVER) & ~self.in_window[place] & self._others_stand(place)
            ways = ((rack, self._nearest(place, rack)) for rack in np.flatnonzero(out).tolist())
            misses += [(abs(by), int(least[rack]), rack, by, place) for rack, by in ways if by is not None]
        for _, _, rack, by, place in sorted(misses):
            yield self._window_try(place, rack, by)

    def _others_stand(self, place: int) -> npt.NDArray[np.bool_]:
        """Which racks can have every other branch stand in its window."""
        import numpy as np

        others = [some for at, some in enumerate(self.in_window) if at != place]
        able: npt.NDArray[np.bool_] = np.logical_and.reduce(others) if others else np.ones_like(self.in_window[place])
        return able

    def _nearest(self, place: int, rack: int) -> int | None:
        """By how much a rack's window misses the nearest length that its keys allow."""
        least, most = self._problem.racks.windows[self._problem.branches[place].name][rack].tolist()
        sides = (self.mixes.side(place, way) for way in range(len(self._problem.branches[place].layouts)))
        missed = (self._whole_lengths(side.bounds).nearest(int(side.rows[rack]), (least, most)) for side in sides)
        return min((by for by in missed if by is not None), key=lambda by: (abs(by), by), default=None)

    def _whole_lengths(self, bounds: Bounds) -> Lengths:
        """Every length that a layout can come to, not only those in some window."""
        return self._tables.lengths(bounds.chain.layout, bounds.level, bounds.most, bounds.chain.reach)

    def _window_try(self, place: int, rack: int, by: int) -> _Try:
        problem = self._problem
        branch = problem.branches[place]
        least, most = problem.racks.windows[branch.name][rack].tolist()

        def uses(one: Candidate) -> bool:
            low, give = length_of(problem, one.order, place)
            return one.order[0] == rack and not stands(low, give, least, most)

        change = Widened(branch.name, rack, by)
        return _Try(int(self.mixes.least[rack]), (change,), lambda: widened(problem, change), uses)

    # -- trying them

    def _tried(self, tries: list[_Try]) -> tuple[list[Opening], int]:
        """Those that open something, as many as are asked for, and how many were left untried."""
        made: list[Opening] = []
        for place, one in enumerate(tries):
            if len(made) == self._openings or place >= 8 * self._openings:
                return made, len(tries) - place
            if (found := self._counted(one)) is not None:
                made.append(found)
        return made, 0

    def _counted(self, one: _Try) -> Opening | None:
        problem = one.problem()
        mixes = Mixes(problem, self._level, Meter(self._budget.steps), self.pairs, self._tables)
        first: Mix | None = None
        cost = count = 0
        spent = False
        try:
            while count < self._cap and (candidate := mixes.next()) is not None:
                if one.uses(candidate):
                    count += 1
                    if first is None:
                        first, cost = (
                            mix_of(problem, candidate.order, candidate.gaps, candidate.adapters),
                            candidate.cost,
                        )
        except Spent:
            spent = True
        if first is None:
            return None
        return Opening(one.changes, count, spent or count == self._cap, cost, first)

    # -- the fewest that open anything

    def _smallest(self) -> Iterator[Opening]:
        """The fewest joins that open a mix; where lengths forbid even that, with a window widened for one rack."""
        problem = joined_anywhere(self._problem)
        for windows in (problem.racks.windows, {}):
            free = replace(problem, racks=replace(problem.racks, windows=windows))
            mixes = Mixes(free, self._level, Meter(self._budget.steps), Pairs(None))
            try:
                candidate = mixes.next()
            except Spent:
                candidate = None
            if candidate is not None:
                yield from self._changes_for(candidate)
                return

    def _changes_for(self, candidate: Candidate) -> Iterator[Opening]:
        problem = self._problem
        joins: list[tuple[int, Layout, int, Join]] = []
        changes: list[Widened] = []
        for place, (branch, layout, mine) in enumerate(parts_of(problem, candidate.order)):
            key = int(problem.racks.keys[branch.name][candidate.order[0]])
            for at, interface in enumerate(layout.interfaces):
                last = at == len(layout.stations)
                inner = layout.end if last else int(layout.stations[at].inner[mine[2 + 2 * at]])
                if mine[1 + 2 * at] == links_of(layout, at):
                    joins.append((place, layout, at, Join(branch.name, layout.name, interface.name, key, inner)))
                key = NO_KEY if last else int(layout.stations[at].outer[mine[2 + 2 * at]])
            changes += self._miss(place, candidate)
        made = self._join_try(0, tuple(joins))

        def with_windows() -> Problem:
            changed = made.problem()
            for change in changes:
                changed = widened(changed, change)
            return changed

        found = self._counted(_Try(0, (*made.changes, *changes), with_windows, made.uses))
        if found is not None:
            yield found

    def _miss(self, place: int, candidate: Candidate) -> list[Widened]:
        problem, rack = self._problem, candidate.order[0]
        branch = problem.branches[place]
        windows = problem.racks.windows.get(branch.name)
        if windows is None:
            return []
        low, give = length_of(problem, candidate.order, place)
        least, most = windows[rack].tolist()
        if stands(low, give, least, most):
            return []
        longer, shorter = max(low, least) - most, min(low + give, most) - least
        ways = [by for by, able in ((longer, low + give >= least), (shorter, low <= most)) if able]
        by = [min(ways, key=abs)] if ways else [low - most, low - least]
        return [Widened(branch.name, rack, one) for one in by]
