"""How long a command takes to start, as a multiple of `python -c pass` on the same machine in the same run.

    .venv/bin/python benchmarks/startup.py [--rounds N]

The commands take turns, so that whatever else the machine does falls on all of them alike; the median of the rounds
counts. The first turn of each is not counted: it fills the file cache and writes the bytecode.
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

CHECKOUT = Path(__file__).parents[1]
FITMENT = str(Path(sys.executable).with_name("fitment"))
BARE = "python -c pass"
STUD = "stud taper=1:10 large=14.0 length=20 thread=M12x1.25"
EYE = "eye taper=1:8 large=14.4 thick=16 opens=down"
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


def demo(into: Path) -> tuple[Path, Path]:
    """The first demo kit and the demo's catalogue, freshly built."""
    seconds([FITMENT, "demo", "--into", str(into)])
    kit = min((CHECKOUT / "data" / "demo").rglob("*.toml"))
    files = (path for path in into.rglob("*") if path.is_file())
    catalogue = next(path for path in files if path.read_bytes()[:15] == b"SQLite format 3")
    return kit, catalogue


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=11, help="turns that count (default 11; at least 5)")
    rounds = max(5, parser.parse_args().rounds)
    with tempfile.TemporaryDirectory() as folder:
        kit, catalogue = demo(Path(folder) / "demo")
        commands = {
            BARE: [sys.executable, "-c", "pass"],
            "fitment --help": [FITMENT, "--help"],
            "fitment check --help": [FITMENT, "check", "--help"],
            f"fitment check {kit.name}": [FITMENT, "check", str(kit), "--db", f"sqlite:///{catalogue.as_posix()}"],
            f"fitment steer {kit.name}": [FITMENT, "steer", str(kit), "--db", f"sqlite:///{catalogue.as_posix()}"],
            "fitment bench thread": [FITMENT, "bench", "thread", "--od", "14.00", "--pitch", "1.5"],
            "fitment bench taper": [FITMENT, "bench", "taper", "--large", "15", "--small", "13.25", "--length", "17.5"],
            "fitment bench spline": [FITMENT, "bench", "spline", "--count", "36", "--od", "17.4"],
            "fitment bench rack": [FITMENT, "bench", "rack", "--travel", "131", "--turns", "3.5"],
            "fitment bench mate, names": [FITMENT, "bench", "mate", "M14x1.5-LH", "9/16-18"],
            "fitment bench mate, stud and eye": [FITMENT, "bench", "mate", STUD, EYE],
        }
        goals = dict(zip(commands, (None, 14, 14, 60, 75, 20, 20, 20, 20, 20, 20), strict=True))
        turns = [{name: seconds(command) for name, command in commands.items()} for _ in range(rounds + 1)][1:]
    medians = {name: statistics.median(turn[name] for turn in turns) for name in commands}
    print(f"{'command':<40} {'ms':>8} {'ratio':>7} {'goal':>6}")
    for name, median in medians.items():
        ratio, goal = median / medians[BARE], goals[name]
        verdict = "" if goal is None else f" {goal:>6}  {'pass' if ratio <= goal else 'MISS'}"
        print(f"{name:<40} {median * 1000:>8.1f} {ratio:>7.1f}{verdict}")


if __name__ == "__main__":
    main()
