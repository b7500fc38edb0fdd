"""How much two workers gain over one, here and on a Dask cluster on this machine, with the same bytes as the answer.

    .venv/bin/python benchmarks/sweep.py [--rounds N] [--propose]

One kit of the demo is checked with every vehicle and every rack of the demo (with --propose: kits are proposed for two
vehicles with four racks). One process, two processes and two workers of a cluster take turns; wall time, medians, with
the start of processes but without that of the cluster, which stands already. A machine with other work on its cores
shows less than it could.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.support.dask_cluster import running_cluster
from tests.support.demo_shop import demo_catalogue, demo_kit

PROGRAM = [sys.executable, "-c", "from fitment.cli.main import run; run()"]
PROPOSED = ["--for", "V-1", "--for", "V-5", "--rack", "RK-1", "--rack", "RK-2", "--rack", "RK-3", "--rack", "RK-4"]


def timed(words: list[str], into: Path) -> tuple[float, bytes]:
    """Seconds of a sweep, and what it wrote."""
    into.unlink(missing_ok=True)
    began = time.perf_counter()
    subprocess.run([*PROGRAM, "sweep", "--into", str(into), *words], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - began, into.read_bytes()


def main() -> int:
    options = argparse.ArgumentParser()
    options.add_argument("--rounds", type=int, default=3)
    options.add_argument("--propose", action="store_true")
    asked = options.parse_args()
    with TemporaryDirectory() as name, running_cluster() as address:
        folder = Path(name)
        words = ["--db", demo_catalogue(folder)]
        words += PROPOSED if asked.propose else ["--kit", str(demo_kit("fits-outright"))]
        ways = {
            "one process": ["--workers", "1"],
            "two processes": ["--workers", "2"],
            "cluster of two": ["--scheduler", address],
        }
        took: dict[str, list[float]] = {way: [] for way in ways}
        written = set()
        for _ in range(asked.rounds):
            for way, how in ways.items():
                seconds, content = timed([*words, *how], folder / "matrix.csv")
                took[way].append(seconds)
                written.add(content)
    pairs = len(written.copy().pop().splitlines()) - 1
    middle = {way: statistics.median(seconds) for way, seconds in took.items()}
    print(f"{pairs} pairs, {asked.rounds} rounds; load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    for way, seconds in middle.items():
        print(f"{way:15} {seconds:6.1f} s  {middle['one process'] / seconds:5.2f} times one process")
    print("the same bytes" if len(written) == 1 else f"{len(written)} different answers")
    return 0 if len(written) == 1 else 1


if __name__ == "__main__":
    sys.exit(main())
