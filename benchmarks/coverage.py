"""Do the intervals of adopted values hold? Prints how often 95 % of them hold the truth, by number of origins.

Run from the checkout: ``python benchmarks/coverage.py [COUNT]`` (trials for each line and number of origins). The
trials are those of ``tests/support/combination.py``; readings in conflict have no interval and are counted apart.

Goal: 95 +- 1 % where the stated doubts are right, and where origins scatter by a quarter of their doubt more. The last
lines show what no rule can mend that sees so few: where doubts are stated far too small, readings that agree do so by
chance. That most such readings are in conflict is what guards against it.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.support.combination import trials

ORIGINS = range(2, 7)
#: scatter beyond the stated doubts -> whether the goal holds there
LINES = {0.0: True, 0.25: True, 0.5: False, 1.0: False}
GOAL = 0.01


def main() -> None:
    """Simulates, and prints the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    print(f"{count} seeded trials for each; share of 95 % intervals that hold, in brackets that of conflicts\n")
    print(f"{'scatter':>8} " + " ".join(f"{f'{origins} origins':>15}" for origins in ORIGINS) + f" {'all':>8}")
    missed = False
    for scatter, asked in LINES.items():
        held = judged = 0
        cells = []
        for origins in ORIGINS:
            made = list(trials(origins, count, scatter))
            sound = [trial for trial in made if not trial.conflict]
            here = sum(trial.held for trial in sound)
            held, judged = held + here, judged + len(sound)
            cells.append(f"{here / len(sound):7.1%} ({1 - len(sound) / len(made):5.1%})")
        share = held / judged
        missed |= asked and abs(share - 0.95) > GOAL
        print(f"{scatter:8.2f} " + " ".join(cells) + f" {share:8.2%}" + ("" if asked else "  (no goal)"))
    print(f"\ngoal 95 +- {GOAL:.0%}: {'MISS' if missed else 'pass'}")


if __name__ == "__main__":
    main()
