"""How many whole kits `fitment propose` asks of `check` on a large catalogue of a surveyed car, and whether it proves.

    .venv/bin/python benchmarks/propose.py [--designs N ...] [--top N] [--tests N]

The car and what is its own are those of `tests/support/good_kit.py`. The rest is invented and skewed as catalogues are:
N donors, each with a rack, an inner joint, a tie rod and a rod end of its own, threads by a rank-power law, rods and
racks of all lengths, every part of another mass, which is what its ledger
counts. All racks have the car's own holes, so that the tie rods decide. Processor time.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from itertools import accumulate
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from fitment.kits.propose import propose
from fitment.kits.propose.proposal import Asked
from fitment.kits.search.model import Budget
from tests.support.every_mix import PlainStock
from tests.support.good_kit import good
from tests.support.mix import CAR, SIDES

THREADS = ("M14x1.5", "M16x1.5", "M12x1.25", "M14x2", "M12x1.5", "M18x1.5", "M10x1.25", "M16x2")
POWER = 1.2
#: the car's own, and what every kit shares
SHARED = ("knuckle", "column", "crossmember", "mount", "boot", "universal-joint", "intermediate-shaft", "vehicle")


def market(designs: int, seed: int = 1) -> PlainStock:
    """The surveyed car, with so many designs of rack, inner joint, tie rod and rod end each."""
    draw, mix = random.Random(seed), good()
    weights = list(accumulate((rank + 1) ** -POWER for rank in range(len(THREADS))))
    fitted: dict[str, str] = {}
    for at in range(designs):
        bar, outer = (draw.choices(THREADS, cum_weights=weights)[0] for _ in range(2))
        spacing, ball = draw.gauss(660, 40), draw.gauss(20, 2)
        made = {
            "RK": {"bar-end": {"thread": bar}, "body": {"inner_spacing": spacing, "bar_length": spacing - 40.0}},
            "IJ": {"bar-side": {"thread": bar}, "rod-side": {"thread": bar}, "body": {"ball_offset": ball}},
            "TR": {"inner": {"thread": bar}, "outer": {"thread": outer}, "body": {"length": draw.gauss(270, 40)}},
            "RE": {"shank": {"thread": outer}, "body": {"centre": draw.gauss(45, 5)}},
        }
        for kind, changes in made.items():
            name = f"NORTH/{kind}-{at + 101}"
            mix.also(f"NORTH/{kind}-1", name)
            for feature, values in changes.items():
                for end in (feature,) if feature != "bar-end" else (f"bar-end.{side}" for side in SIDES):
                    mix.set(f"{name} {end}", **values)
            mix.set(f"{name} body", mass=(8.0 if kind == "RK" else 1.0) * draw.lognormvariate(0, 0.6))
            fitted[name] = f"NORTH/V-{at + 101}"
    for name, kind in list(mix.kinds.items()):
        number = int(name.rpartition("-")[2])
        if number < 100 and (kind not in SHARED or (number == 2 and kind != "knuckle")):
            del mix.kinds[name]
    own = {name: CAR for name, kind in mix.kinds.items() if kind in ("knuckle", "column", "crossmember")}
    return PlainStock(mix, {**fitted, **own})


def main() -> None:
    """Prints one line per size."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--designs", type=int, nargs="+", default=[30, 100, 300, 1_000])
    parser.add_argument("--top", type=int, default=5)
    parser.add_argument("--tests", type=int, default=Budget().tests, help="whole kits that may be checked")
    told = parser.parse_args()
    print("designs   kits  proven  ended     whole kits checked  seconds")
    for designs in told.designs:
        stock = market(designs)
        began = time.process_time()
        made = propose(stock, Asked(CAR, top=told.top), Budget(tests=told.tests))
        taken = time.process_time() - began
        proven = "yes" if made.proven else "no"
        print(
            f"{designs:7,} {len(made.kits):6}  {proven:6}  {made.stopped:8} {made.tests:19,} {taken:8.1f}", flush=True
        )


if __name__ == "__main__":
    main()
