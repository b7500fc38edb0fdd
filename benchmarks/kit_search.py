"""How quick the search for kits is, against a general solver and against itself as the catalogue grows.

    .venv/bin/python benchmarks/kit_search.py [--rounds N] [--largest N] [--no-solver]

The market is invented (`tests/support/kit_market.py`): N racks, tie rods, rod ends, joints (lower and upper) and shafts
each, N/10 (20 at least) thread adapters and taper sleeves each, of which a kit may have one; 60 threads of either hand,
12 splines, 8 tapers, skewed; a window for the rods of both sides and one for the column, by rack. Wanted: the 20
cheapest kits, proven. The solver is CP-SAT with two workers, its best kit only. Processor time (against the solver wall
time), medians; what is done once per catalogue (grouping by key) is timed apart. Memory is the peak of a process of its
own that makes the market and searches.

Goals: the solver's first optimum 400 times as long at 1,000 per kind, with the same cost; 100 -> 100,000 per kind at
most 40 times; no kit at all at 10,000 per kind at most 5 times; 300 MB at 100,000 per kind.
"""

from __future__ import annotations

import argparse
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from fitment.kits.search.chains import indexed
from fitment.kits.search.engine import search
from fitment.kits.search.model import Outcome, Problem
from fitment.kits.search.why import why_none
from tests.support.kit_market import NO_ROD, SPLINES, TAPERS, Market

SIZES = (100, 1_000, 10_000, 100_000)
TARGETS = 60


def seconds(work: Callable[[], object]) -> float:
    """Processor time of one turn of the work."""
    began = time.process_time()
    work()
    return time.process_time() - began


def wall_seconds(work: Callable[[], object]) -> float:
    """Wall time of one turn of the work."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def proven(problem: Problem) -> Outcome:
    """The 20 best.

    Raises:
        SystemExit: they are not proven.
    """
    outcome = search(problem)
    if not outcome.proven:
        raise SystemExit("not proven within the budget")
    return outcome


def make_ready(problem: Problem) -> None:
    """Groups by key, once per catalogue."""
    for branch in problem.branches:
        for layout in branch.layouts:
            indexed(layout)


def targets(market: Market) -> Iterator[Problem]:
    """Other cars: every taper, many seats and splines."""
    return (market.target(at % TAPERS, 120 + at * 7 % 50, at * 5 % SPLINES) for at in range(TARGETS))


def peak(n: int) -> tuple[float, float]:
    """Peak memory in MB of a process that makes a market and searches it, and of one that only makes the market.

    To be asked before this process is large: a new process starts with the peak of the one that started it.
    """
    made = []
    for only_make in (False, True):
        command = [sys.executable, __file__, "--memory", str(n), *(["--only-make"] if only_make else [])]
        made.append(float(subprocess.run(command, check=True, capture_output=True, text=True).stdout))
    return made[0], made[1]


def memory(n: int, only_make: bool) -> None:
    """Prints this process's own peak in MB after making a market and, unless told otherwise, searching it."""
    problem = Market(n).target()
    if not only_make:
        proven(problem)
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def growth(largest: int, rounds: int) -> dict[int, float]:
    """Prints times by size; the sizes take turns."""
    sizes = [n for n in SIZES if n <= largest]
    markets = {n: Market(n) for n in sizes}
    problems = {n: market.target() for n, market in markets.items()}
    ready = {n: seconds(lambda n=n: make_ready(problems[n])) for n in sizes}
    taken: dict[int, list[float]] = {n: [] for n in sizes}
    for _ in range(rounds):
        for n in sizes:
            taken[n].append(seconds(lambda n=n: proven(problems[n])))
    middle = {n: statistics.median(taken[n]) for n in sizes}
    print(" per kind  ready ms  search ms  x 100  other cars p50   p95 ms   steps")
    for n in sizes:
        others = []
        for problem in targets(markets[n]):
            make_ready(problem)
            others.append(seconds(lambda problem=problem: proven(problem)))
        others.sort()
        print(
            f"{n:9,} {1e3 * ready[n]:9.1f} {1e3 * middle[n]:10.1f} {middle[n] / middle[100]:6.1f} "
            f"{1e3 * statistics.median(others):15.1f} {1e3 * others[int(0.95 * len(others))]:8.1f} "
            f"{proven(problems[n]).steps:7,}"
        )
    return middle


def impossible(n: int, rounds: int) -> None:
    """Prints how long it takes to prove that there is none, against a search that finds 20, taking turns."""
    market = Market(n)
    one, none = market.target(), market.target(rods=NO_ROD)
    for problem in (one, none):
        make_ready(problem)
    both = [(seconds(lambda: proven(none)), seconds(lambda: proven(one))) for _ in range(rounds)]
    if proven(none).found:
        raise SystemExit("a kit was found where there is none")
    longer = statistics.median(first / second for first, second in both)
    print(f"\nno kit at all, {n:,} per kind, against 20 found: {longer:.2f} times (goal: at most 5)")
    print(f"  why, and what would open one: {seconds(lambda: why_none(none)):.2f} s")


def against_solver(rounds: int) -> None:
    """Prints the solver's time to its first optimum at 1,000 per kind, and whether all 20 costs agree at 100."""
    from tests.support.kit_cp import best_costs

    small = Market(100).target()
    same = [one.cost for one in proven(small).found] == best_costs(small, 20)
    print(f"\nCP-SAT, 100 per kind, 20 best: {'the same costs' if same else 'OTHER COSTS'}")
    problem = Market(1_000).target()
    make_ready(problem)
    before = [wall_seconds(lambda: proven(problem)) for _ in range(rounds)]
    costs: list[int] = []
    solver = wall_seconds(lambda: costs.extend(best_costs(problem, 1)))
    ours = statistics.median(before + [wall_seconds(lambda: proven(problem)) for _ in range(rounds)])
    agree = "the same cost" if costs[0] == proven(problem).found[0].cost else "ANOTHER COST"
    print(f"CP-SAT, 1,000 per kind, best kit: {solver:.1f} s, {agree}; 20 best here: {1e3 * ours:.1f} ms")
    print(f"  {solver / ours:,.0f} times as long (goal: at least 400)")


def main() -> None:
    """Prints the table and the ratios."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--largest", type=int, default=SIZES[-1])
    parser.add_argument("--no-solver", action="store_true")
    parser.add_argument("--memory", type=int, help=argparse.SUPPRESS)
    parser.add_argument("--only-make", action="store_true", help=argparse.SUPPRESS)
    told = parser.parse_args()
    if told.memory:
        memory(told.memory, told.only_make)
        return
    searched, made = peak(told.largest)
    middle = growth(told.largest, told.rounds)
    print(f"\n100 -> {told.largest:,} per kind: {middle[told.largest] / middle[100]:.1f} times (goal: at most 40)")
    impossible(min(10_000, told.largest), told.rounds)
    print(f"\npeak memory at {told.largest:,} per kind: {searched:.0f} MB, of which {made:.0f} to make it (goal: 300)")
    if not told.no_solver:
        against_solver(told.rounds)


if __name__ == "__main__":
    main()
