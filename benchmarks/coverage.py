"""Do the intervals of adopted values hold? Prints how often 95 % of them hold the truth, by number of origins.

Run from the checkout: ``python benchmarks/coverage.py [COUNT]`` (trials for each line and number of origins). The
trials are those of ``tests/support/combination.py``; readings in conflict have no interval and are counted apart.

Three rules are compared at the same scatter (Paule and Mandel): u taken as known (normal), with the degrees of freedom
of Welch and Satterthwaite (the one in use), and with k - 1 wherever there is scatter (Hartung and Knapp). Behind each
share stands the half-width that one interval in ten exceeds, in half-widths by the stated doubts alone.

Goal: 95 +- 1 % by the rule in use over all origins where they scatter by nothing, a quarter and a half of their doubt
beyond it. The last lines show what no rule can mend that sees so few: where doubts are stated far too small, readings
that agree do so by chance. That most such readings are in conflict is what guards against it.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.support.combination import Trial, reach, trials

ORIGINS = (2, 3, 5, 10)
#: scatter beyond the stated doubts -> whether the goal counts it
LINES = {0.0: True, 0.25: True, 0.5: True, 1.0: False, 3.0: False}
GOAL = 0.01


def of_rule(rule: str, trial: Trial) -> float:
    """How many standard uncertainties the interval reaches."""
    combined = trial.combined
    if rule == "normal" or not combined.tau:
        return reach(math.inf)
    return reach(combined.freedom() if rule == "in use" else combined.origins - 1)


def cell(rule: str, sound: list[Trial]) -> tuple[int, str]:
    """How many intervals hold, and what is printed."""
    held, wide = 0, []
    for trial in sound:
        combined = trial.combined
        half = of_rule(rule, trial) * combined.u
        held += abs(combined.value) <= half
        wide.append(half / (reach(math.inf) * math.sqrt(combined.u**2 - combined.scattered**2)))
    return held, f"{held / len(sound):6.1%} {sorted(wide)[int(0.9 * len(wide))]:5.2f}"


def main() -> None:
    """Simulates, and prints the tables."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    print(f"{count} seeded trials for each; share of 95 % intervals that hold, and the width one in ten exceeds")
    shares: dict[str, list[float]] = {}
    conflicts = []
    for scatter, asked in LINES.items():
        made = {origins: list(trials(origins, count, scatter)) for origins in ORIGINS}
        sound = {origins: [one for one in of if not one.conflict] for origins, of in made.items()}
        conflicts.append(" ".join(f"{1 - len(sound[origins]) / count:13.1%}" for origins in ORIGINS))
        print(f"\nscatter {scatter:g}  " + " ".join(f"{f'{origins} origins':>13}" for origins in ORIGINS) + "      all")
        for rule in ("normal", "in use", "k - 1"):
            cells = [cell(rule, sound[origins]) for origins in ORIGINS]
            share = sum(held for held, _ in cells) / sum(map(len, sound.values()))
            print(f"{rule:>10}  " + " ".join(f"{text:>13}" for _, text in cells) + f"  {share:6.2%}")
            if asked:
                shares.setdefault(rule, []).append(share)
        print(f"{'conflicts':>10}  {conflicts[-1]}")
    print()
    for rule, found in shares.items():
        mean = sum(found) / len(found)
        verdict = "pass" if abs(mean - 0.95) <= GOAL else "MISS"
        print(
            f"{rule:>10}: {mean:.2%} over scatter 0 to 0.5"
            + (f"; goal 95 +- {GOAL:.0%}: {verdict}" * (rule == "in use"))
        )


if __name__ == "__main__":
    main()
