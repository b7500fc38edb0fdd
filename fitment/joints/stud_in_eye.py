"""Tapered stud in tapered eye: what fits as it is, what a reamer or a sleeve would make fit, what is not known."""

from __future__ import annotations

from dataclasses import replace

from fitment.finding import Finding, Gap, Use, Verdict, Work, held_back
from fitment.joints import stud_rules as pages
from fitment.joints import stud_work as work
from fitment.joints.answering import mm
from fitment.joints.registration import Feature, JointKind, Setting, as_assembled, assembled_finding
from fitment.joints.stud_nut_rules import engaged, nut, pin
from fitment.joints.stud_seat_rules import Pair, cones, direction, out_of_round, passes, seating_rule, worn
from fitment.joints.stud_sizes import Seating, seating, settling, stale_eye, trials_between
from fitment.joints.stud_spacer import SPACER, with_spacer


def check(stud: Feature, eye: Feature, setting: Setting) -> list[Finding]:
    """The findings for a stud in an eye, in the order of the rules.

    Raises:
        DataFault: the kit's washer is no length.
    """
    findings = [held_back(_without_plans(finding)) for finding in _rules(_pair(stud, eye, setting))]
    together = as_assembled(stud, eye)
    if together is None:
        return findings
    against = [one for one in findings if one.verdict in (Verdict.DOES_NOT_FIT, Verdict.FITS_WITH_WORK)]
    doubted = [one for one in against if one.on_hearsay and one.verdict is Verdict.DOES_NOT_FIT]
    doubted = [one for one in doubted if one.rule != pages.WALL.code]
    against = [one for one in against if not one.on_hearsay]
    if any(one.rule != pages.WALL.code for one in against):
        note = f"although the two are recorded as taken together ({together.use.source})"
        return [*(replace(finding, because=f"{finding.because}, {note}") for finding in against), *doubted]
    assembled = held_back(assembled_finding(pages.ASSEMBLED.code, stud, eye, together))
    return [assembled, *doubted] if assembled.verdict is Verdict.FITS else findings


def _pair(stud: Feature, eye: Feature, setting: Setting) -> Pair:
    trials = [] if stale_eye(stud, eye) is not None else trials_between(stud, eye)
    return Pair(stud, eye, setting, tuple(trials), settling(trials, setting.limits["contact_fraction"].value))


def _without_plans(finding: Finding) -> Finding:
    """What work aims at is no reading: it is not shown among the values that a finding rests on."""
    return replace(finding, uses=tuple(use for use in finding.uses if use.source != work.PLANNED))


def seat_in_use(stud: Feature, eye: Feature, setting: Setting) -> Seating | None:
    """Where the stud sits: as it is, or once reamed where that would mend it; None where it would not.

    A sleeve to be made seats it over a flange that nobody has drawn yet: None too.
    """
    pair = _pair(stud, eye, setting)
    seated, findings, turned = _as_it_is(pair)
    if not any(finding.verdict is Verdict.DOES_NOT_FIT for finding in findings):
        return seated
    proposal = work.propose(pair, seated, turned)
    if not isinstance(proposal, work.Proposal) or proposal.operation == work.SLEEVE:
        return None
    return None if work.wall(pair, proposal).verdict is Verdict.DOES_NOT_FIT else proposal.after


def _as_it_is(pair: Pair) -> tuple[Seating, list[Finding], bool]:
    """The seat before any work, what is found of it, and whether the stud enters at the small face."""
    seated = seating(pair.stud, pair.eye, pair.settled, pair.limit("eye_yield"))
    facing = direction(pair)
    turned = facing.verdict is Verdict.DOES_NOT_FIT
    findings = [facing] if turned else [facing, worn(pair, cones(pair, seated)), seating_rule(pair, seated)]
    return seated, findings, turned


def _rules(pair: Pair) -> list[Finding]:
    seated, findings, turned = _as_it_is(pair)
    rests: tuple[Use, ...] = ()
    open_: Gap | None = None
    if any(finding.verdict is Verdict.DOES_NOT_FIT for finding in findings):
        findings, seated, rests, open_ = _mended(pair, seated, findings, turned)
    if turned and findings[0].verdict is not Verdict.FITS_WITH_WORK:
        return findings  # the cones face apart: there is no seat, and nothing beyond it to look at
    walls = [finding for finding in findings if finding.rule == pages.WALL.code]
    before = [finding for finding in findings if finding.rule != pages.WALL.code]
    under = with_spacer(pair, seated, [nut(pair, seated), pin(pair, seated)])
    after = (passes(pair, seated), *under, engaged(pair, seated))
    beyond = [_resting(finding, rests) for finding in after]
    if open_ is not None:  # work that may be the cure would move the seat, and all that is reckoned from it
        beyond = [_unsure(finding, open_) for finding in beyond]
    return [*before, *beyond, *walls]


def _mended(
    pair: Pair, seated: Seating, findings: list[Finding], turned: bool
) -> tuple[list[Finding], Seating, tuple[Use, ...], Gap | None]:
    """The findings with the work that would mend them, the seat after it and what the proposal rests on.

    Where work does not mend them: the findings with what stands in the way, the seat as it is, and nothing; last, what
    is missing to tell whether work would.
    """
    proposal = work.propose(pair, seated, turned)
    if proposal is None:
        return findings, seated, (), None
    if isinstance(proposal, str):
        return [_said(finding, proposal) for finding in findings], seated, (), None
    if isinstance(proposal, Gap):
        return [_unsure(finding, proposal) for finding in findings], seated, (), proposal
    wall = work.wall(pair, proposal)
    if wall.verdict is Verdict.DOES_NOT_FIT:
        asked = f"{proposal.operation} does not leave the wall asked ({pages.WALL.code})"
        return [*(_said(finding, asked) for finding in findings), wall], seated, (), None
    if proposal.operation == work.SLEEVE and not all(size.known for size in proposal.walls):
        asked = f"a taper sleeve would ask for a boss of {mm(work.boss_asked(pair, proposal))} at both faces"
        return [*(_said(finding, asked) for finding in findings), wall], seated, (), None
    wear = out_of_round(pair)
    if wear is not None:  # one diameter more does not say that a reamer leaves nothing of it
        return [_unsure(finding, wear) for finding in findings], seated, (), wear
    worked = _worked(pair, proposal, findings, turned)
    if wall.verdict is Verdict.NOT_KNOWN:
        worked = [_metal_unsure(finding, wall) for finding in worked]
    old = (seated.eye.large, seated.eye.small, seated.eye.length, seated.eye.ratio)
    rests = tuple(dict.fromkeys((*(use for size in old for use in size.uses), *wall.uses)))
    worked = [_resting(one, rests) if one.work else one for one in worked]
    return [*worked, _resting(wall, rests)], proposal.after, rests, None


def _resting(finding: Finding, rests: tuple[Use, ...]) -> Finding:
    """The finding, resting on these values too: what the work aims at follows from the eye as it was."""
    return replace(finding, uses=_both(finding.uses, rests))


def _said(finding: Finding, more: str) -> Finding:
    fails = finding.verdict is Verdict.DOES_NOT_FIT
    return replace(finding, because=f"{finding.because}; {more}") if fails else finding


def _unsure(finding: Finding, gap: Gap) -> Finding:
    """A failure of which work may be the cure is not known while it is not known whether it is."""
    if finding.verdict is not Verdict.DOES_NOT_FIT:
        return finding
    because = f"{finding.because}; whether work would mend it is not known: {gap.feature} {gap.dimension} is {gap.why}"
    return replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=(*finding.gaps, gap))


def _metal_unsure(finding: Finding, wall: Finding) -> Finding:
    """Work for which the metal may not be there is not yet a fit with work."""
    if finding.verdict is not Verdict.FITS_WITH_WORK:
        return finding
    names = ", ".join(f"{gap.feature} {gap.dimension}" for gap in wall.gaps)
    because = f"{finding.because}; whether the metal is there is not known: {names}"
    return replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=wall.gaps)


def _worked(pair: Pair, proposal: work.Proposal, findings: list[Finding], turned: bool) -> list[Finding]:
    """Direction, cones and seat as they are after the work."""
    one = work.work_of(pair, proposal)
    seat = seating_rule(pair, proposal.after)
    if not turned:
        as_is = findings[2]
        seat = replace(seat, because=f"{as_is.because}; {seat.because}", uses=_both(as_is.uses, seat.uses))
    if seat.verdict is Verdict.FITS:
        seat = replace(seat, verdict=Verdict.FITS_WITH_WORK, work=(one,), cautions=proposal.cautions)
    if turned:
        cone = cones(pair, proposal.after)
        return [_done(findings[0], proposal, one), _done(cone, proposal, one), seat]
    facing, cone = findings[0], findings[1]
    return [facing, cone if cone.verdict is Verdict.FITS else _done(cone, proposal, one), seat]


def _done(finding: Finding, proposal: work.Proposal, one: Work) -> Finding:
    """A finding that the work settles: the eye then has the stud's own cone, open to the stud."""
    because = f"{finding.because}; {proposal.after.note} from the stud's side it has the stud's own cone"
    return replace(
        finding,
        verdict=Verdict.FITS_WITH_WORK,
        because=because,
        work=(one,),
        gaps=(),
        cautions=proposal.cautions,
    )


def _both(first: tuple[Use, ...], second: tuple[Use, ...]) -> tuple[Use, ...]:
    return tuple(dict.fromkeys((*first, *second)))


def key(feature: Feature) -> tuple[str, ...] | None:
    """None: tapers agree within a window and an eye may be reamed, so no designation is necessary on both sides."""
    return None


KIND = JointKind(
    name="stud-in-eye",
    between=(frozenset({"stud"}), frozenset({"eye"})),
    requires=(
        ("taper", "large", "length", "thread", "thread-start", "pin-hole", "pin-dia"),
        ("taper", "large", "thick", "opens"),
    ),
    key=key,
    rules=pages.RULES,
    works=(*work.OPERATIONS, SPACER),
    check=check,
)
