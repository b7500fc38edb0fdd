"""The search itself: the best mixes of a problem, and why there is none."""

from __future__ import annotations

from fitment.kits.search.model import Budget, Outcome, Problem, WhyNone


def search(problem: Problem, top: int = 20, budget: Budget | None = None) -> Outcome:
    """The `top` best mixes of the problem by level, cost and order, proven where the budget lasts.

    A KeyboardInterrupt while it runs (from the keyboard, or raised by a test) ends it: what was found until then is
    returned with a true bound.

    Raises:
        ValueError: the problem is not well formed (a name given twice, a link without key, ...): the caller's fault.
    """
    raise NotImplementedError


def why_none(problem: Problem, openings: int = 12, cap: int = 1_000, budget: Budget | None = None) -> WhyNone:
    """Why the problem has no mix, and what would open one.

    Args:
        problem: one in which `search` found nothing; its pair test is asked, its whole test is not.
        openings: how many single changes to count through, cheapest first.
        cap: where counting the mixes of one change stops.
        budget: for each change.
    """
    raise NotImplementedError
