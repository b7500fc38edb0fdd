"""Whether following ``measure-next`` in order settles the verdict in fewer minutes than other orders do.

    .venv/bin/python benchmarks/measure_next.py [--orders N] [--seeds N] [KIT.toml ... --db FILE]

Kits: the undecided ones of the demo, which is built anew, unless others are named. The order is made from worlds of one
seed and timed in worlds of other seeds: in each, readings are taken one by one until a rule fails whose readings are
all in, or none is left. Against it: random fixed orders of the same readings, and the orders that people would take
(as the rules ask, part by part, the quickest first).
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from fitment.catalogue.fitted import open_shelf
from fitment.kits.demo import build_demo
from fitment.kits.filled import Key
from fitment.kits.kit_file import load_kit
from fitment.kits.measure_next import measure_next
from fitment.kits.reading_order import Settling
from fitment.kits.worlds import Worlds, worlds_of

UNDECIDED = ["known-in-six", "listing-only", "right-as-left", "sleeve-without-certificate", "shops-in-conflict"]


def orders(worlds: Worlds, count: int) -> dict[str, list[list[Key]]]:
    """Fixed orders of the same readings, by how they were come by."""
    keys, draw = list(worlds.tasks), random.Random(7)
    return {
        "as the rules ask": [keys],
        "part by part": [sorted(keys)],
        "the quickest first": [sorted(keys, key=lambda key: worlds.tasks[key].minutes)],
        f"{count} random": [draw.sample(keys, len(keys)) for _ in range(count)],
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("kits", nargs="*", type=Path, help="kit files; with --db")
    parser.add_argument("--db", help="the catalogue of the kits named")
    parser.add_argument("--orders", type=int, default=300, help="random orders (default 300)")
    parser.add_argument("--seeds", type=int, default=3, help="worlds of so many other seeds (default 3)")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        if not asked.kits:
            build_demo(Path(folder) / "demo")
        kits = asked.kits or [Path(folder) / "demo/kits" / f"{name}.toml" for name in UNDECIDED]
        with open_shelf(asked.db or str(Path(folder) / "demo/catalogue.sqlite")) as book:
            for kit in map(load_kit, kits):
                worlds = worlds_of(kit, book)
                recommended = [one.task.key for one in measure_next(worlds).readings]
                others = [Settling(worlds_of(kit, book, seed=seed)) for seed in range(1, asked.seeds + 1)]

                def minutes(order: list[Key], others: list[Settling] = others) -> float:
                    return statistics.fmean(one.expected(order) for one in others)

                whole = sum(task.minutes for task in worlds.tasks.values())
                print(f"{kit.name}: {len(recommended)} readings, {whole:g} min for all of them")
                print(f"  as recommended: {minutes(recommended):.2f} min until the verdict is settled")
                for name, tried in orders(worlds, asked.orders).items():
                    print(f"  {name}: {min(map(minutes, tried)):.2f} min" + (" for the best" if len(tried) > 1 else ""))


if __name__ == "__main__":
    main()
