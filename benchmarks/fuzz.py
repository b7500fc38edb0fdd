"""Puts changed inputs to everything that reads what users give, and counts the answers that are none.

    .venv/bin/python benchmarks/fuzz.py [--cases N] [--seed N] [--only TARGET]

Targets, seeds and changes are those of `tests/support/hostile.py`. An answer is a result or a fault in plain words; a
traceback, an exit code of our own fault, more than 5 seconds, or memory beyond the bound is none, and is printed with
the input, as a line for tests/corpus. Exit 1 where there was one.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.support.hostile import TARGETS, mutated, put, seeds
from tests.support.shop import open_shop

#: bytes of address space
MEMORY = 3 << 30


def main() -> int:
    options = argparse.ArgumentParser()
    options.add_argument("--cases", type=int, default=1_000_000)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--only", choices=list(TARGETS))
    asked = options.parse_args()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    whole = sum(share for name, (_, share) in TARGETS.items() if asked.only in (None, name))
    wrong: dict[str, tuple[str, bytes]] = {}
    done = 0
    with TemporaryDirectory() as name:
        os.environ["FITMENT_FUZZ"] = os.environ["XDG_STATE_HOME"] = name
        open_shop(f"sqlite:///{Path(name) / 'shop.sqlite'}", Path(name))
        print(f"{'target':10} {'cases':>8} {'wrong':>6} {'s':>7} {'longest, s':>11}")
        for target, (_, share) in TARGETS.items():
            if asked.only not in (None, target):
                continue
            draw, kept = random.Random(f"{asked.seed} {target}"), seeds(target)
            cases = round(asked.cases * share / whole)
            began, longest, bad = time.monotonic(), 0.0, 0
            for number in range(cases):
                content = kept[number] if number < len(kept) else mutated(draw, target, kept)
                start = time.monotonic()
                told = put(target, content)
                longest = max(longest, time.monotonic() - start)
                if told is not None:
                    bad += 1
                    wrong.setdefault(f"{target}: {told[:60]}", (told, content))
            done += cases
            print(f"{target:10} {cases:8} {bad:6} {time.monotonic() - began:7.1f} {longest:11.3f}", flush=True)
    for told, content in wrong.values():
        print(f"WRONG {told}\n  {content[:2000]!r}")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{done} inputs, {len(wrong)} sorts of wrong answer; peak memory {peak:.0f} MiB; seed {asked.seed}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
