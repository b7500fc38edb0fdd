"""What a million samples of a kit's closed-form joints cost, against drawing the numbers that they take.

    .venv/bin/python benchmarks/odds.py [--samples N] [--rounds N]

The kit is the invented one of the tests in which every rule fits; of it every joint whose margins are formulas: all but
the hole pattern, whose registration is a search, and the checks of the whole kit, which move the car. Both are timed
in one run, in turn, in processor time, and told as a ratio of medians.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from fitment.doubt import Draws
from fitment.finding import Use
from fitment.joints.kinds import joint_kinds
from fitment.kits.assembly import assemble
from fitment.kits.kit_file import read_kit
from fitment.kits.odds import BLOCK, Counted, count_fits, counted
from tests.support.good_kit import good

SEARCHES = ("pattern",)


def closed_form(draws: Draws) -> list[Counted]:
    """The joints of the kit whose margins are formulas."""
    mix = good()
    report = mix.report(draws)
    assembly = assemble(read_kit(mix.text().encode(), "good.toml"), mix, joint_kinds())
    wanted = {joint.id for joint in assembly.joints if joint.kind and joint.kind.name not in SEARCHES}
    return [counted(summary, draws) for summary in report.joints if summary.id in wanted]


def in_doubt(joints: list[Counted]) -> list[Use]:
    """The values with doubt in their margins, each once."""
    uses = (use for joint in joints for _, behind in joint.margins for use in behind.uses if use.u)
    return list({(use.feature, use.dimension): use for use in uses}.values())


def drawing(joints: list[Counted], draws: Draws, samples: int) -> None:
    """Draws the numbers alone: samples of every value that the margins take, in the same blocks."""
    uses = in_doubt(joints)
    for block in draws.blocks(samples, BLOCK):
        for use in uses:
            block.of(use)


def _seconds(work: Callable[[], object]) -> float:
    began = time.process_time()
    work()
    return time.process_time() - began


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--samples", type=int, default=1_000_000, help="samples of each value (default 1,000,000)")
    parser.add_argument("--rounds", type=int, default=3, help="rounds, of which the median counts (default 3)")
    asked = parser.parse_args()
    draws = Draws()
    joints = closed_form(draws)
    margins = sum(len(joint.margins) for joint in joints)
    values = len(in_doubt(joints))
    print(f"{len(joints)} joints, {margins} margins of {values} values in doubt, {asked.samples} samples of each")
    drawn, whole = [], []
    for _ in range(asked.rounds):
        drawn.append(_seconds(lambda: drawing(joints, draws, asked.samples)))
        whole.append(_seconds(lambda: count_fits(joints, draws, asked.samples)))
    numbers, odds = statistics.median(drawn), statistics.median(whole)
    print(f"drawing the numbers: {numbers:.2f} s of processor time; the odds, drawing included: {odds:.2f} s")
    print(f"ratio {odds / numbers:.2f}")


if __name__ == "__main__":
    main()
