"""How long a command takes to start, as a multiple of `python -c pass` on the same machine in the same run.

    .venv/bin/python benchmarks/startup.py [--rounds N]

The commands take turns, so that whatever else the machine does falls on all of them alike; the median of the rounds
counts. The first turn of each is not counted: it fills the file cache and writes the bytecode. Of the demo kits a small
one, the fully surveyed one and the one that takes longest are timed.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

FITMENT = str(Path(sys.executable).with_name("fitment"))
BARE = "python -c pass"
STUD = "stud taper=1:10 large=14.0 length=20 thread=M12x1.25"
EYE = "eye taper=1:8 large=14.4 thick=16 opens=down"
HOLES = ["1-2 outside 430.2", "2-3 inside 49.1", "1-3 424.1", "--dia-all", "10.5"]
BENCH = {
    "thread": (["thread", "--od", "14.00", "--pitch", "1.5"], 20),
    "taper": (["taper", "--large", "15", "--small", "13.25", "--length", "17.5"], 20),
    "spline": (["spline", "--count", "36", "--od", "17.4"], 20),
    "rack": (["rack", "--travel", "131", "--turns", "3.5"], 20),
    "mate, names": (["mate", "M14x1.5-LH", "9/16-18"], 20),
    "mate, stud and eye": (["mate", STUD, EYE], 20),
    "holes": (["holes", *HOLES], 60),
}
ANSWERS = {0, 1, 3, 4}
"""Exit codes of a command that gave an answer; any other is a fault, and a fault is not worth timing."""

# Without bytecode every start compiles the sources anew, which nobody's installed tool does.
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def seconds(command: list[str]) -> float:
    """Wall time of one run of `command`, from nothing to its end."""
    began = time.perf_counter()
    done = subprocess.run(command, env=ENVIRONMENT, stdin=subprocess.DEVNULL, capture_output=True, text=True)
    took = time.perf_counter() - began
    if done.returncode not in ANSWERS:
        sys.exit(f"{' '.join(command)}: exit {done.returncode}\n{done.stderr}")
    return took


def demo(into: Path) -> tuple[list[Path], list[str]]:
    """The demo kits by name, and the options that name the demo's catalogue, freshly built."""
    seconds([FITMENT, "demo", "--into", str(into)])
    files = (path for path in into.rglob("*") if path.is_file())
    catalogue = next(path for path in files if path.read_bytes()[:15] == b"SQLite format 3")
    return sorted((into / "kits").glob("*.toml")), ["--db", f"sqlite:///{catalogue.as_posix()}"]


def slowest(verb: str, kits: list[Path], of: list[str]) -> Path:
    """The demo kit over which a command takes longest, by the better of two runs of each."""
    return max(kits, key=lambda kit: min(seconds([FITMENT, verb, str(kit), *of]) for _ in range(2)))


def timed_kits(kits: list[Path], of: list[str]) -> dict[str, tuple[list[str], int]]:
    """Check and steer of a small kit, of the fully surveyed one and of the slowest, with their goals."""
    found = {}
    for verb, goal in (("check", 60), ("steer", 75)):
        whole = next(kit for kit in kits if kit.stem == "fits-outright")
        for kit in dict.fromkeys((kits[0], whole, slowest(verb, kits, of))):
            found[f"fitment {verb} {kit.name}"] = ([FITMENT, verb, str(kit), *of], goal)
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=11, help="turns that count (default 11; at least 5)")
    rounds = max(5, parser.parse_args().rounds)
    with tempfile.TemporaryDirectory() as folder:
        commands: dict[str, tuple[list[str], int | None]] = {
            BARE: ([sys.executable, "-c", "pass"], None),
            "fitment --help": ([FITMENT, "--help"], 14),
            "fitment check --help": ([FITMENT, "check", "--help"], 14),
            **timed_kits(*demo(Path(folder) / "demo")),
        }
        for name, (words, goal) in BENCH.items():
            commands[f"fitment bench {name}"] = ([FITMENT, "bench", *words], goal)
        turns = [{name: seconds(command) for name, (command, _) in commands.items()} for _ in range(rounds + 1)][1:]
    medians = {name: statistics.median(turn[name] for turn in turns) for name in commands}
    print(f"{'command':<48} {'ms':>8} {'ratio':>7} {'goal':>6}")
    for name, median in medians.items():
        ratio, goal = median / medians[BARE], commands[name][1]
        verdict = "" if goal is None else f" {goal:>6}  {'pass' if ratio <= goal else 'MISS'}"
        print(f"{name:<48} {median * 1000:>8.1f} {ratio:>7.1f}{verdict}")


if __name__ == "__main__":
    main()
