"""Are the odds of identified threads honest? Prints, by decile of odds given, how often the candidate was the true one.

Run from the checkout: ``python benchmarks/calibration.py [COUNT]``. The threads are drawn with the prior that the odds
assume and read with noise of the stated size, so that a difference is a fault of the likelihood, not of the prior.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.identify.test_identify_threads import simulated

#: what the odds and the share may differ by in any decile with enough entries
GOAL = 0.03
FEWEST = 250


def main() -> None:
    """Simulates, and prints the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 80_000
    deciles: list[list[tuple[float, bool]]] = [[] for _ in range(10)]
    for odds, true in simulated(count, 1.0):
        deciles[min(int(odds * 10), 9)].append((odds, true))
    print(f"{count} simulated threads, calliper and pitch-gauge noise as stated\n")
    print(f"{'odds given':>12} {'entries':>8} {'mean odds':>10} {'true':>8} {'gap':>7}")
    worst = 0.0
    for number, entries in enumerate(deciles):
        if not entries:
            continue
        mean = math.fsum(odds for odds, _ in entries) / len(entries)
        share = sum(true for _, true in entries) / len(entries)
        enough = len(entries) >= FEWEST
        worst = max(worst, abs(mean - share)) if enough else worst
        note = "" if enough else "  (too few to judge)"
        print(
            f"{number / 10:8.1f}-{number / 10 + 0.1:.1f} {len(entries):8} {mean:10.3f}"
            f" {share:8.3f} {share - mean:+7.3f}{note}"
        )
    print(f"\nworst gap {worst:.3f}, goal {GOAL}: {'pass' if worst <= GOAL else 'MISS'}")


if __name__ == "__main__":
    main()
