"""Work that makes an eye take a straight bolt, bored straight or bored out and sleeved, and the wall that it leaves."""

from __future__ import annotations

from dataclasses import replace

from fitment.elementwise import maximum, minimum
from fitment.finding import Figure, Finding, Gap, Verdict, Work
from fitment.frozen import dataclass
from fitment.joints import bolt_rules as pages
from fitment.joints.answering import Size, answer, fixed, formula, mm, size_of, spread
from fitment.joints.registration import Feature, Setting
from fitment.joints.stud_work import SLEEVES

BORE, SLEEVE = "bore straight", "bore and sleeve"
OPERATIONS = (BORE, SLEEVE)

CERTIFY = "Boring a steering arm is machining of a steering part: have it certified where your authority requires it."


@dataclass(frozen=True)
class Proposal:
    """Work that gives an eye a bore for the bolt, metal allowing.

    Attributes:
        operation: one of `OPERATIONS`.
        before, hole: widest diameter of the eye before, and its bore in the arm afterwards, mm.
        wall: the finding on the wall that it leaves.
        work: as the report lists it.
    """

    operation: str
    before: Size
    hole: Size
    wall: Finding
    work: Work

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to say with it."""
        return (CERTIFY, SLEEVES) if self.operation == SLEEVE else (CERTIFY,)


def propose(joint: tuple[str, str], eye: Feature, bolt: Size, widest: Size, setting: Setting) -> Proposal | Gap | None:
    """The least work by which the eye takes the bolt; the gap for which it cannot be said; None for want of sizes.

    Args:
        joint: names of the two ends.
        eye: the eye.
        bolt: nominal diameter of the bolt, mm.
        widest: the largest diameter of the hole as it is, mm.
        setting: the limits and samples.
    """
    if not (bolt.known and widest.known):
        return None
    diameter, play = bolt.central, setting.limits["bolt_play"].value
    least, most = spread(widest, setting.draws)
    if most <= diameter + play:
        bored = max(diameter + play / 2, most)
        how = f"bore or ream straight to {mm(bored)}, {mm(bored - diameter)} over a bolt of {mm(diameter)}"
        return _proposal(BORE, joint, eye, widest, fixed(bored), how, setting, diameter)
    if least <= diameter + play:
        return Gap(eye.name, "large", "too coarse to say whether boring straight leaves the bolt too much play")
    wall = setting.limits["sleeve_wall"].value
    hole = formula(lambda across: maximum(across, diameter + 2 * wall), widest)
    how = (
        f"bore straight to {mm(hole.central)} and fit a flanged sleeve bored for a bolt of {mm(diameter)}, its wall "
        f"{mm((hole.central - diameter) / 2)}"
    )
    return _proposal(SLEEVE, joint, eye, widest, hole, how, setting, diameter)


def _proposal(
    operation: str,
    joint: tuple[str, str],
    eye: Feature,
    widest: Size,
    hole: Size,
    how: str,
    setting: Setting,
    bolt: float,
) -> Proposal:
    walls = [formula(lambda boss, across: (boss - across) / 2, size_of(eye, f"boss-{end}"), hole) for end in _FACES]
    left = formula(minimum, *walls)
    ratio = setting.limits["wall_ratio"].value
    margin = formula(lambda wall, across: minimum(wall - ratio * across, wall), left, hole)

    def words() -> str:
        asked = f"{mm(ratio * hole.central)} is asked round a hole of {mm(hole.central)}"
        return f"once bored: {mm(left.central)} of wall is left, {asked}"

    wall = answer(pages.WALL.code, joint, margin, "mm", setting, words)
    remaining = left.central if left.known else None
    found = {
        "large_old": widest,
        "hole": hole,
        "bolt": fixed(bolt),
        "thick": size_of(eye, "thick"),
        "boss_large": size_of(eye, "boss-large"),
        "boss_small": size_of(eye, "boss-small"),
        "wall_large": walls[0],
        "wall_small": walls[1],
    }
    sizes = {name: Figure(size.central, None, "mm") for name, size in found.items() if size.known}
    work = Work(operation, eye.name, widest.central, hole.central, "mm", remaining, how, sizes)
    proposal = Proposal(operation, widest, hole, wall, work)
    return replace(proposal, wall=replace(wall, cautions=proposal.cautions))


_FACES = ("large", "small")


def mended(finding: Finding, proposal: Proposal | Gap | None) -> Finding:
    """A failure with the work that would mend it; *not known* where it is not known whether it would."""
    if finding.verdict is not Verdict.DOES_NOT_FIT or proposal is None:
        return finding
    if isinstance(proposal, Gap):
        told = f"{proposal.feature} {proposal.dimension} is {proposal.why}"
        because = f"{finding.because}; whether work would mend it is not known: {told}"
        return replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=(*finding.gaps, proposal))
    uses = tuple(dict.fromkeys((*finding.uses, *proposal.before.uses, *proposal.wall.uses)))
    if proposal.wall.verdict is Verdict.DOES_NOT_FIT:
        asked = f"{proposal.operation} does not leave the wall asked ({pages.WALL.code})"
        return replace(finding, because=f"{finding.because}; {asked}", uses=uses)
    if proposal.wall.verdict is Verdict.NOT_KNOWN:
        names = ", ".join(f"{gap.feature} {gap.dimension}" for gap in proposal.wall.gaps)
        because = f"{finding.because}; whether the metal is there to {proposal.operation} is not known: {names}"
        return replace(finding, verdict=Verdict.NOT_KNOWN, because=because, uses=uses, gaps=proposal.wall.gaps)
    because = f"{finding.because}; {proposal.work.detail}"
    return replace(
        finding,
        verdict=Verdict.FITS_WITH_WORK,
        because=because,
        work=(proposal.work,),
        uses=uses,
        cautions=proposal.cautions,
    )
