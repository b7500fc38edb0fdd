"""The search itself: the best mixes of a problem by level and cost, proven, or as far as the budget lasts."""

from __future__ import annotations

from bisect import insort

from fitment.kits.search.merging import Meter, Pairs, Spent
from fitment.kits.search.mixes import Candidate, Mixes
from fitment.kits.search.model import Bound, Budget, Found, Judged, Outcome, Problem
from fitment.kits.search.read import look_over, mix_of


def search(problem: Problem, top: int = 20, budget: Budget | None = None) -> Outcome:
    """The `top` best mixes of the problem by level, cost and order, proven where the budget lasts.

    One pass per level, from the least on: what a pass leaves out is of a worse level. Each has an equal share of what
    is left of the budget, so that a level that can not be settled does not keep the others from being looked at; what
    is left in the end goes to the first again.

    A KeyboardInterrupt while it runs (from the keyboard, or raised by a test) ends it: what was found until then is
    returned with a true bound.

    Raises:
        ValueError: the problem is not well formed (a name given twice, a link without key, ...): the caller's fault.
    """
    look_over(problem)
    return _Search(problem, top, budget or Budget()).run()


class _Search:
    def __init__(self, problem: Problem, top: int, budget: Budget) -> None:
        self._problem, self._top, self._budget = problem, top, budget
        self._meter, self._pairs = Meter(0), Pairs(problem.pair)
        self._tests = self._refused = 0
        self._test_limit = 0
        self._judged: dict[tuple[int, ...], Judged] = {}
        self._known: list[list[tuple[int, tuple[int, ...], Found]]] = [[] for _ in range(problem.levels)]
        self._ruled_out: list[Judged] = []
        # by level that is not complete, what a mix of it that was not looked at costs at least
        self._bounds = dict.fromkeys(range(problem.least_level, problem.levels), 0)

    def run(self) -> Outcome:
        """All passes."""
        stopped = self._round(shared=True)
        if stopped == "budget":  # what later levels left of their shares
            stopped = self._round(shared=False)
        return self._outcome(min(self._bounds.items(), default=None), stopped)

    def _round(self, shared: bool) -> str:
        """A pass for every level that is not complete; why it ended ("done", "budget", "interrupted")."""
        stopped = "done"
        for level in range(self._problem.least_level, self._problem.levels):
            if level not in self._bounds:
                continue
            shares = self._problem.levels - level if shared else 1
            self._meter.limit = self._meter.steps + (self._budget.steps - self._meter.steps) // shares
            self._test_limit = self._tests + (self._budget.tests - self._tests) // shares
            ended, bound = self._pass(level)
            if ended == "complete":
                self._bounds = {of: low for of, low in self._bounds.items() if of > level}
            else:
                self._bounds |= {of: max(low, bound) for of, low in self._bounds.items() if of <= level}
            if ended == "interrupted":
                return ended
            if ended == "budget":
                stopped = ended
            elif ended == "enough":
                break
        return stopped

    def _outcome(self, least: tuple[int, int] | None, stopped: str) -> Outcome:
        found = tuple(one for known in self._known for *_, one in known)[: self._top]
        sure = len(found) if least is None else sum((one.level, one.cost) <= least for one in found)
        proven = sure == len(found) and (least is None or len(found) == self._top)
        bound = None if least is None else Bound(*least)
        refused = {**self._pairs.refused, "": self._refused}
        refused = {name: times for name, times in refused.items() if times}
        return Outcome(
            found, proven, sure, bound, "done" if proven else stopped, self._meter.steps, self._tests, refused
        )

    def _pass(self, level: int) -> tuple[str, int]:
        """How the pass ended ("complete", "enough", "budget", "interrupted"), and what is left costs at least."""
        mixes = None
        try:
            mixes = Mixes(self._problem, level, self._meter, self._pairs)
            for judged in self._ruled_out:
                if judged.because is not None and (judged.level is None or judged.level > level):
                    mixes.drop(judged.because)
            while not self._enough(mixes, level):
                if (candidate := mixes.next()) is None:
                    return "complete", 0
                self._take(candidate, mixes, level)
            head = mixes.head()
            return ("complete", 0) if head is None else ("enough", head[0])
        except Spent:
            return "budget", 0 if mixes is None else mixes.bound
        except KeyboardInterrupt:
            return "interrupted", 0 if mixes is None else mixes.bound

    def _enough(self, mixes: Mixes, level: int) -> bool:
        wanted = self._top - sum(len(known) for known in self._known[:level])
        if wanted <= 0:
            return True
        mine = self._known[level]
        if len(mine) < wanted:
            return False
        head = mixes.head()
        return head is None or mine[wanted - 1][:2] < head

    def _take(self, candidate: Candidate, mixes: Mixes, level: int) -> None:
        if candidate.order in self._judged:
            return
        judged, mix = Judged(candidate.level), None
        if self._problem.whole is not None:
            if self._tests >= self._test_limit:
                raise Spent
            mix = mix_of(self._problem, candidate.order, candidate.gaps, candidate.adapters)
            self._tests += 1
            judged = self._problem.whole(mix)
            if judged.level is None:
                self._refused += 1
            if judged.because is not None and (judged.level is None or judged.level > level):
                self._ruled_out.append(judged)
                mixes.drop(judged.because)
        self._judged[candidate.order] = judged
        if judged.level is None or (worst := max(judged.level, candidate.level)) >= self._problem.levels:
            return
        mix = mix or mix_of(self._problem, candidate.order, candidate.gaps, candidate.adapters)
        cost = candidate.cost + judged.extra
        insort(self._known[worst], (cost, candidate.order, Found(mix, worst, cost, judged.extra)))
