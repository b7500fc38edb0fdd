"""Eight processes that write to one catalogue at once, on SQLite and on PostgreSQL: what was kept, lost, doubled.

``python benchmarks/writers.py [TIMES]`` (100 transactions each unless told otherwise). Each transaction adds a part, a
reading of it, a reading of a part that all write to, and what all others say too. The time of one writer alone, for as
many transactions, is beside that of the eight.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import sqlalchemy as sa

from fitment.catalogue.database import create, open_engine
from fitment.catalogue.verifying import verify
from tests.support import postgres

ROOT = Path(__file__).parents[1]
WRITERS = 8


def run(url: str, writers: int, times: int) -> tuple[float, list[list[int]], str]:
    """Seconds, the revisions that each writer saw, and what went wrong."""
    words = [sys.executable, "-m", "tests.support.writer", url]
    begun = time.perf_counter()
    running = [
        subprocess.Popen(
            [*words, str(n), str(times)], cwd=ROOT, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        for n in range(writers)
    ]
    told = [one.communicate() for one in running]
    wrong = "; ".join(err.strip().splitlines()[-1] for _, err in told if err.strip())
    return time.perf_counter() - begun, [[int(line) for line in out.split()] for out, _ in told], wrong


def report(name: str, url: str, alone: str, times: int) -> None:
    """Prints what eight writers did at `url`, and one for as many transactions at `alone`."""
    for place in (url, alone):
        create(place, "NORTH").dispose()
    seconds, seen, wrong = run(url, WRITERS, times)
    single, _, _ = run(alone, 1, WRITERS * times)
    engine = open_engine(url)
    with engine.connect() as connection:
        count = {
            table: connection.execute(sa.text(f"SELECT count(*) FROM {table}")).scalar_one()
            for table in ("part", "reading")
        }
        revision = connection.execute(sa.text("SELECT revision FROM catalogue")).scalar_one()
    kept = sum(map(len, seen))
    lost = kept + 1 - count["part"], 2 * kept + 1 - count["reading"], kept - revision
    growing = all(one == sorted(set(one)) for one in seen)
    print(f"{name}: {WRITERS} writers x {times}: {kept} transactions kept, refused: {wrong or 'none'}")
    print(f"  parts, readings, revisions lost (-: doubled): {lost}; revision strictly growing: {growing}")
    print(f"  catalogue verify: {verify(engine) or 'whole'}")
    print(f"  {seconds:.1f} s; one writer for as many: {single:.1f} s; ratio {seconds / single:.2f}")
    engine.dispose()


def main() -> None:
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    with tempfile.TemporaryDirectory() as folder:
        report("SQLite", f"sqlite:///{folder}/eight.sqlite", f"sqlite:///{folder}/one.sqlite", times)
    if postgres.what_is_missing():
        print(f"PostgreSQL: not run ({postgres.what_is_missing()})")
        return
    with ExitStack() as stack:
        server = stack.enter_context(postgres.running_server())
        urls = [stack.enter_context(server.fresh_database()) for _ in range(2)]
        report("PostgreSQL", *urls, times)


if __name__ == "__main__":
    main()
