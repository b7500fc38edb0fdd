"""How right and how quick the registration of hole patterns is.

    .venv/bin/python benchmarks/registration.py [--cases N] [--programs N]

Right: the worst difference, over random patterns of two to eight holes with unequal clearances and slots, from SLSQP on
the epigraph with 30 starts each (needs scipy, the extra `test`). Quick: 20,000 samples of four round holes, against a
loop of scipy's linprog with circles as polygons and golden section in the angle, of which only `--programs` samples are
worked and the rest reckoned; both are timed in one run, in processor time, and told as a ratio.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from fitment.joints.hole_registration import register
from tests.support.registration import by_linprog, by_slsqp, cases

SAMPLES = 20_000


def worst_difference(count: int) -> tuple[float, float]:
    """The least and the largest of ours less SLSQP's t*, mm."""
    draw = np.random.default_rng(11)
    off = [
        float(register(case.p, case.q, case.slack, case.p_slots, case.q_slots).t_star) - by_slsqp(case, draw)
        for case in cases(count)
    ]
    return min(off), max(off)


def speed(programs: int) -> tuple[float, float, float]:
    """Processor seconds for all samples, those that the loop would take for them, the difference of both, mm."""
    draw = np.random.default_rng(5)
    base = np.array([(0, 0), (420.6, 0.3), (421.0, 60.8), (0.4, 60.2)])
    p, q = (base + draw.normal(0, 0.4, (SAMPLES, 4, 2)) for _ in range(2))
    slack = 0.8 + draw.normal(0, 0.1, (SAMPLES, 4))
    ours = []
    for _ in range(3):
        began = time.process_time()
        found = register(p, q, slack).t_star
        ours.append(time.process_time() - began)
    began = time.process_time()
    theirs = [by_linprog(p[index], q[index], slack[index]) for index in range(programs)]
    loop = (time.process_time() - began) / programs * SAMPLES
    return statistics.median(ours), loop, float(np.abs(found[:programs] - theirs).max())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=500, help="random patterns against SLSQP (default 500)")
    parser.add_argument("--programs", type=int, default=10, help="samples worked with linprog (default 10)")
    asked = parser.parse_args()
    low, high = worst_difference(asked.cases)
    print(f"t* less that of SLSQP, {asked.cases} patterns: {low:.1e} to {high:.1e} mm")
    ours, loop, off = speed(asked.programs)
    print(f"{SAMPLES} samples of four holes: {ours:.2f} s of processor time")
    print(f"a loop of linprog would take {loop:.0f} s, {loop / ours:.0f} times as long")
    print(f"largest difference from linprog's polygons: {off:.1e} mm")


if __name__ == "__main__":
    main()
