"""Killed at random moments, the program leaves the catalogue as it was before or as it is after, never in between."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

SCRIPT = Path(__file__).parents[2] / "benchmarks" / "kills.py"


def test_twenty_kills_lose_nothing() -> None:
    said = subprocess.run(
        [sys.executable, str(SCRIPT), "--kills", "20", "--seed", "7"],
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert said.returncode == 0, said.stdout + said.stderr
    assert said.stdout.splitlines()[-1] == "20 kills, 20 survived, 0 lost; seed 7"
