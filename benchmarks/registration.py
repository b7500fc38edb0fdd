"""How right and how quick the registration of hole patterns is.

    .venv/bin/python benchmarks/registration.py [--cases N] [--programs N]

Right: the worst difference, over random patterns of two to eight holes with unequal clearances and slots, from SLSQP on
the epigraph with 30 starts each (needs scipy, the extra `test`). Quick: 20,000 samples of two to eight holes, in
processor time; those of four round holes against a loop of scipy's linprog with circles as polygons and golden section
in the angle, timed in the same run and told as a ratio, of which only `--programs` samples are worked and the rest
reckoned.
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

#: invented patterns, mm, by their number of holes
BASES = {
    "2": [(0, 0), (420, 0)],
    "3": [(0, 0), (400, 0), (204, 70)],
    "4": [(0, 0), (420.6, 0.3), (421, 60.8), (0.4, 60.2)],
    "6": [(0, 0), (180, -8), (420, 0), (420, 60), (240, 66), (0, 60)],
    "8": [(0, 0), (140, -8), (280, -5), (420, 0), (420, 60), (280, 68), (140, 64), (0, 60)],
}


def worst_difference(count: int) -> tuple[float, float]:
    """The least and the largest of ours less SLSQP's t*, mm."""
    draw = np.random.default_rng(11)
    off = [
        float(register(case.p, case.q, case.slack, case.p_slots, case.q_slots).t_star) - by_slsqp(case, draw)
        for case in cases(count)
    ]
    return min(off), max(off)


def samples(name: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Holes of both patterns, each off by 0.4 mm, and slack; the same for every run."""
    draw, base = np.random.default_rng(5), np.array(BASES[name], dtype=float)
    p, q = (base + draw.normal(0, 0.4, (SAMPLES, *base.shape)) for _ in range(2))
    return p, q, 0.8 + draw.normal(0, 0.1, p.shape[:2])


def seconds(name: str, slotted: bool) -> float:
    """Processor seconds for all samples, the median of three runs; the first hole a slot of 4 mm where `slotted`."""
    p, q, slack = samples(name)
    half = np.zeros(p.shape[1:])
    half[0] = (2.0, 0.5)
    took = []
    for _ in range(3):
        began = time.process_time()
        register(p, q, slack, q_slots=half if slotted else None)
        took.append(time.process_time() - began)
    return statistics.median(took)


def loop_of_linprog(programs: int) -> tuple[float, float]:
    """Processor seconds that linprog would take for all samples of four round holes; the difference from it, mm."""
    p, q, slack = samples("4")
    found = register(p[:programs], q[:programs], slack[:programs]).t_star
    began = time.process_time()
    theirs = [by_linprog(p[index], q[index], slack[index]) for index in range(programs)]
    took = (time.process_time() - began) / programs * SAMPLES
    return took, float(np.abs(found - theirs).max())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=500, help="random patterns against SLSQP (default 500)")
    parser.add_argument("--programs", type=int, default=10, help="samples worked with linprog (default 10)")
    asked = parser.parse_args()
    low, high = worst_difference(asked.cases)
    print(f"t* less that of SLSQP, {asked.cases} patterns: {low:.1e} to {high:.1e} mm")
    loop, off = loop_of_linprog(asked.programs)
    ours = seconds("4", slotted=False)
    print(
        f"{SAMPLES} samples of four holes: a loop of linprog would take {loop:.0f} s, {loop / ours:.0f} times as long"
    )
    print(f"largest difference from linprog's polygons: {off:.1e} mm")
    print(f"processor time of {SAMPLES} samples, s")
    print("holes   round   one a slot")
    for name in BASES:
        print(f"{name:>5} {seconds(name, slotted=False):7.3f} {seconds(name, slotted=True):12.3f}")


if __name__ == "__main__":
    main()
