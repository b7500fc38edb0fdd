"""How often right readings are called in conflict, and wrong ones are not, by number of origins.

Run from the checkout: ``python benchmarks/conflicts.py [COUNT]``. Origins have the doubts of five tools of unlike
quality; one of them is right, or off by 5 of its own standard uncertainties. Compared: any two beyond 2 (what the limit
would be without a thought for their number), the limit in use, and chi-square of the group.

Goal: right readings are in conflict as often as two of them are, 4.6 %, within 1 % either way.
"""

from __future__ import annotations

import itertools
import math
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from random import Random

from scipy.special import chdtri

from fitment.catalogue.combine import Estimate, chi_square
from fitment.catalogue.contradiction import AGREE, contradiction

ORIGINS = (2, 3, 4, 5, 8, 12, 20)
OFF = 5.0
GOAL = 0.01
TWO = math.erfc(AGREE / math.sqrt(2.0))
#: half-widths of a calliper (three times as common), its inside jaws and its depth rod, mm; those of tools.csv
HALF_WIDTHS = (0.05, 0.05, 0.05, 0.08, 0.10)


def readings(draw: Random, origins: int, off: float) -> list[Estimate]:
    """Readings of 0, of which the first is off by so many of its doubts."""
    us = [draw.choice(HALF_WIDTHS) / math.sqrt(3) * draw.choice((1.0, 1.5)) for _ in range(origins)]
    return [Estimate(draw.gauss(0.0, u) + (off * u if not number else 0.0), u) for number, u in enumerate(us)]


def called(estimates: list[Estimate]) -> tuple[bool, bool, bool]:
    """Whether they are in conflict, by each rule."""
    pairs = itertools.combinations(estimates, 2)
    any_two = any(abs(one.value - two.value) > AGREE * math.hypot(one.u, two.u) for one, two in pairs)
    square = chi_square([one.value for one in estimates], [one.u for one in estimates])
    return any_two, contradiction(estimates) is not None, square > float(chdtri(len(estimates) - 1, TWO))


def main() -> None:
    """Simulates, and prints the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    print(f"{count} seeded trials for each; shares called in conflict\n")
    print(f"{'':>12}{'all right':^33}{f'one off by {OFF:g} u':^33}")
    print(f"{'origins':>12}" + f"{'any two':>11}{'in use':>11}{'chi-square':>11}" * 2)
    missed = False
    for origins in ORIGINS:
        cells = []
        for off in (0.0, OFF):
            draw = Random(origins)
            found = [called(readings(draw, origins, off)) for _ in range(count)]
            shares = [sum(one) / count for one in zip(*found, strict=True)]
            missed |= not off and abs(shares[1] - TWO) > GOAL
            cells += [f"{share:11.2%}" for share in shares]
        print(f"{origins:>12}" + "".join(cells))
    print(f"\ngoal {TWO:.1%} +- {GOAL:.0%} by the limit in use where all are right: {'MISS' if missed else 'pass'}")


if __name__ == "__main__":
    main()
