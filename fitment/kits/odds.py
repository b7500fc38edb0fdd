"""The kit as a whole: the chance that each joint and the kit fit, the risk of the verdict, and where the doubt is from.

The same road as `check`, more samples: the formulas that stand behind its margins are sampled again, in blocks, each
value and each shared error once for the whole kit (propagation of distributions, JCGM 101). What no formula decides
is sure, or open where something is missing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field
from typing import Any

from fitment.doubt import Draws, Traced
from fitment.finding import Finding, Gap, Verdict
from fitment.frozen import dataclass
from fitment.joints.answering import TOO_COARSE
from fitment.kits.odds_shares import Contribution, contributions
from fitment.kits.report import JointSummary, Report

#: samples unless told otherwise: a chance of one in a hundred is then known to a twentieth of it
SAMPLES = 100_000
#: samples in a block: few enough to stay in a core's own memory between the steps of a formula
BLOCK = 16_000


@dataclass(frozen=True)
class Deciding:
    """The margin that decides: the one that is likeliest to fall short.

    Attributes:
        rule, joint: of its finding.
        fits: chance that it is above zero.
        contributions: where its doubt is from, the largest share first; empty where it has none.
    """

    rule: str
    joint: tuple[str, str]
    fits: float
    contributions: tuple[Contribution, ...]


@dataclass(frozen=True)
class Chance:
    """The chance that a joint, or the kit, fits.

    Attributes:
        verdict: what the report says of it.
        fits: chance that all of it fits, 0 to 1, given what is known; None where nothing of it could be worked out.
        risk: chance that the stated verdict is wrong; of a stated fit the specific consumer's risk of JCGM 106. None
            for *not known*, which states nothing.
        open: what is missing, which the chance leaves out, and what rests on hearsay or assumption, which it believes.
        deciding: None where no margin is worked out.
    """

    verdict: Verdict
    fits: float | None
    risk: float | None
    open: tuple[Gap, ...]
    deciding: Deciding | None


@dataclass(frozen=True)
class JointOdds:
    """The chance of one joint; `id` and `title` as in the report."""

    id: str
    title: str
    chance: Chance


@dataclass(frozen=True)
class KitOdds:
    """The chances of a kit: how many samples, from which seed, of the kit and of each joint in the report's order."""

    samples: int
    seed: int
    kit: Chance
    joints: tuple[JointOdds, ...]


def odds_of(report: Report, draws: Draws, samples: int) -> KitOdds:
    """The chances of a kit.

    Args:
        report: the answer to its check.
        draws: the samples with which it was checked.
        samples: how many samples to take now, the first of them those of the check.
    """
    joints = [counted(summary, draws) for summary in report.joints]
    whole = count_fits(joints, draws, samples)
    told = tuple(JointOdds(one.summary.id, one.summary.title, _chance(one, samples, draws)) for one in joints)
    chances = [one.chance for one in told]
    kit = Chance(
        report.verdict,
        *_fits_and_risk(report.verdict, whole / samples if any(one.answered for one in joints) else None),
        tuple(dict.fromkeys(gap for one in chances for gap in one.open)),
        min((one.deciding for one in chances if one.deciding), key=lambda one: one.fits, default=None),
    )
    return KitOdds(samples, draws.seed, kit, told)


@dataclass
class Counted:
    """A joint with the margins in it, and in how many samples each of them, and all of them together, are above zero.

    Attributes:
        fails: whether a finding without a margin rules it out.
        answered: whether any finding of it is more than a gap.
    """

    summary: JointSummary
    margins: list[tuple[Finding, Traced]]
    fails: bool
    answered: bool
    fits: int = 0
    each: list[int] = field(default_factory=list)


def counted(summary: JointSummary, draws: Draws) -> Counted:
    """The joint with its margins, nothing counted yet; `draws` are those of its check."""
    margins, fails, answered = [], False, False
    for finding in summary.findings:
        behind = margin_behind(finding, draws)
        if behind:
            margins.append((finding, behind))
        elif finding.verdict is Verdict.DOES_NOT_FIT:
            fails = True
        answered |= behind is not None or finding.verdict is not Verdict.NOT_KNOWN
    return Counted(summary, margins, fails, answered, each=[0] * len(margins))


def margin_behind(finding: Finding, draws: Draws) -> Traced | None:
    """The formula that decides a finding; None where no number does.

    A margin that lies below zero under *fits with work* is that of the joint as it is: the work settles it.
    """
    if finding.margin is None or (finding.verdict is Verdict.FITS_WITH_WORK and finding.margin.value <= 0):
        return None
    return draws.behind(finding.margin)


def count_fits(joints: Sequence[Counted], draws: Draws, samples: int) -> int:
    """Counts the samples in which each margin and each joint fits; returns in how many the whole kit does."""
    import numpy as np

    kit = 0
    for block in draws.blocks(samples, BLOCK):
        whole = np.ones(block.count, dtype=bool)
        for joint in joints:
            passes: Any = np.full(block.count, not joint.fails)
            for place, (_, behind) in enumerate(joint.margins):
                good: Any = behind.at(block) > 0  # of readings without doubt it is one number
                joint.each[place] += int(np.count_nonzero(good)) if np.ndim(good) else block.count * bool(good)
                passes &= good
            joint.fits += int(np.count_nonzero(passes))
            whole &= passes
        kit += int(np.count_nonzero(whole))
    return kit


def _fits_and_risk(verdict: Verdict, fits: float | None) -> tuple[float | None, float | None]:
    if fits is None or verdict is Verdict.NOT_KNOWN:
        return fits, None
    return fits, fits if verdict is Verdict.DOES_NOT_FIT else 1.0 - fits


def _chance(joint: Counted, samples: int, draws: Draws) -> Chance:
    verdict = joint.summary.verdict
    fits, risk = _fits_and_risk(verdict, joint.fits / samples if joint.answered else None)
    return Chance(verdict, fits, risk, _open(joint.summary), _deciding(joint, samples, draws))


def _open(summary: JointSummary) -> tuple[Gap, ...]:
    """Gaps of what is not known; a reading that is there, but too coarse, is in the chance already."""
    unknown = (finding for finding in summary.findings if finding.verdict is Verdict.NOT_KNOWN)
    return tuple(dict.fromkeys(gap for finding in unknown for gap in finding.gaps if gap.why != TOO_COARSE))


def _deciding(joint: Counted, samples: int, draws: Draws) -> Deciding | None:
    if not joint.margins:
        return None
    place = min(range(len(joint.margins)), key=lambda place: (joint.each[place], _distance(joint.margins[place][0])))
    finding, behind = joint.margins[place]
    return Deciding(finding.rule, finding.joint, joint.each[place] / samples, contributions(behind, draws))


def _distance(finding: Finding) -> float:
    """How many standard uncertainties a margin is above zero."""
    margin = finding.margin
    if margin is None or margin.u == 0:
        return float("inf")
    return margin.value / margin.u
