"""A Dask cluster of two workers on this machine, in processes of its own.

python -m tests.support.dask_cluster    # prints its address, and ends with its standard input
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def running_cluster() -> Iterator[str]:
    """The address of a cluster's scheduler; the cluster ends with the block."""
    cluster = subprocess.Popen(
        [sys.executable, "-m", "tests.support.dask_cluster"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        cwd=Path(__file__).parents[2],
    )
    with cluster:
        assert cluster.stdout is not None
        yield cluster.stdout.readline().strip()


def main() -> None:
    from distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        print(cluster.scheduler_address, flush=True)
        sys.stdin.read()


if __name__ == "__main__":
    main()
