"""Screw thread to screw thread: sexes, hand, same thread or near match, engagement."""

from __future__ import annotations

from dataclasses import replace

from fitment.elementwise import minimum
from fitment.errors import DataFault
from fitment.finding import Basis, Figure, Finding, Gap, Use, Verdict, held_back
from fitment.joints import thread_rules as pages
from fitment.joints.answering import answer, formula, mm, names, size_of, with_figures
from fitment.joints.inner_seat import inner_seat, unlocked_caution
from fitment.joints.near_match import BINDS, HOME_BUT_WEAK, NearMatch, near_match
from fitment.joints.registration import (
    Feature,
    JointKind,
    Setting,
    Trial,
    as_assembled,
    assembled_finding,
    missing,
)
from fitment.joints.thread_adapter import ADAPTER, CERTIFY, LENGTH, adapter_for
from fitment.joints.thread_ends import engagement_needed, thread_gap, thread_of
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import Thread, same_thread

#: basic height of a 60 degree thread, in pitches: 5H/8 (ISO 68-1)
_BASIC_HEIGHT = 0.541266

_TRIAL_CAUTION = (
    "A thread that screws fully home by hand may still be a near match that holds on a part of its depth: "
    "identify the thread that has no designation."
)

Pair = tuple[Feature, Feature]


def check(first: Feature, second: Feature, setting: Setting) -> list[Finding]:
    """The findings for two threaded ends, in the order of the rules."""
    pair = (first, second)
    findings = [held_back(finding) for finding in _rules(pair, setting)]
    together = as_assembled(first, second)
    if together is None:
        return _with_adapter(pair, findings, setting)
    # what the donor engaged may be short by rule and still be what its maker meant, but not in an adjuster
    lets_pass = () if setting.facts.get("adjuster") == "yes" else (pages.ENGAGEMENT.code,)
    failing = [one for one in findings if one.verdict is Verdict.DOES_NOT_FIT and one.rule not in lets_pass]
    against = [finding for finding in failing if not finding.on_hearsay]
    if against:
        note = f"although the two are recorded as taken together ({together.use.source})"
        return [replace(finding, because=f"{finding.because}, {note}") for finding in against]
    assembled = held_back(assembled_finding(pages.ASSEMBLED.code, first, second, together))
    return [assembled, *failing] if assembled.verdict is Verdict.FITS else findings


def _with_adapter(pair: Pair, findings: list[Finding], setting: Setting) -> list[Finding]:
    """The findings, the gravest of those that an adapter would get round saying what to make.

    It stays a misfit: the kit does not hold the adapter, and a near match must never read as a fit.
    """
    order = [pages.SAME.code, pages.HAND.code, pages.SEXES.code]
    failing = [one for one in findings if one.rule in order and one.verdict is Verdict.DOES_NOT_FIT]
    if not failing or any(one.basis is Basis.TRIAL for one in failing):
        return findings
    proposal = adapter_for(*pair, setting)
    if proposal is None:
        return findings
    worst = min(failing, key=lambda one: order.index(one.rule))
    told = (
        replace(worst, cautions=(*worst.cautions, proposal))
        if isinstance(proposal, str)
        else replace(worst, work=(proposal,), cautions=(*worst.cautions, CERTIFY, LENGTH))
    )
    return [told if one is worst else one for one in findings]


def _rules(pair: Pair, setting: Setting) -> list[Finding]:
    trials = [
        trial
        for one, other in (pair, pair[::-1])
        for trial in one.trials
        if trial.dimension == "thread-trial" and trial.against == other.name
    ]
    failed = next((trial for trial in trials if not trial.passed), None)
    passed = next((trial for trial in trials if trial.passed), None) if failed is None else None
    findings = [_sexes(pair, passed), _hand(pair, passed), _same(pair, failed, passed)]
    first, second = thread_of(pair[0]), thread_of(pair[1])
    if first is None or second is None or same_thread(first, second):
        findings.append(_engagement(pair, first if second is not None else None, setting))
        findings += inner_seat(*pair, setting)
    findings[-1] = replace(findings[-1], cautions=(*findings[-1].cautions, *unlocked_caution(*pair)))
    return findings


def _joint(pair: Pair) -> tuple[str, str]:
    return pair[0].name, pair[1].name


def _missing_or_tried(code: str, pair: Pair, gaps: list[Gap], uses: tuple[Use, ...], passed: Trial | None) -> Finding:
    """*Not known*, unless the two were screwed together: that answers for what nobody noted."""
    if passed is None:
        return missing(code, _joint(pair), gaps, uses)
    lacking = " and ".join(f"{gap.feature} {gap.dimension}" for gap in gaps)
    return Finding(
        code,
        _joint(pair),
        Verdict.FITS,
        f"the two screw together by hand over the full depth ({passed.use.source}), which answers for {lacking}",
        basis=Basis.TRIAL,
        uses=(*uses, passed.use),
    )


def _other_word(code: str, pair: Pair, uses: tuple[Use, ...], asked: tuple[str, str]) -> Finding | None:
    """*Not known* where a value is none of the two words asked; None where all are."""
    why = f"is neither {asked[0]} nor {asked[1]}"
    gaps = [Gap(use.feature, use.dimension, f"'{use.word}' {why}") for use in uses if use.word not in asked]
    return missing(code, _joint(pair), gaps, uses) if gaps else None


def _sexes(pair: Pair, passed: Trial | None) -> Finding:
    code, uses = pages.SEXES.code, names(pair[0], ["sex"]) + names(pair[1], ["sex"])
    if len(uses) < 2:
        return _missing_or_tried(code, pair, [one.gap("sex") for one in pair if one.get("sex") is None], uses, passed)
    unread = _other_word(code, pair, uses, ("male", "female"))
    if unread is not None:
        return unread
    if uses[0].word == uses[1].word:
        return Finding(code, _joint(pair), Verdict.DOES_NOT_FIT, f"both threads are {uses[0].word}", uses=uses)
    return Finding(code, _joint(pair), Verdict.FITS, "one thread is male and the other female", uses=uses)


def _hand(pair: Pair, passed: Trial | None) -> Finding:
    code, uses = pages.HAND.code, names(pair[0], ["hand"]) + names(pair[1], ["hand"])
    if len(uses) < 2:
        return _missing_or_tried(code, pair, [one.gap("hand") for one in pair if one.get("hand") is None], uses, passed)
    unread = _other_word(code, pair, uses, ("RH", "LH"))
    if unread is not None:
        return unread
    spoken = {"RH": "right hand", "LH": "left hand"}
    first, second = (spoken[use.word] for use in uses)
    if first == second:
        return Finding(code, _joint(pair), Verdict.FITS, f"both threads are {first}", uses=uses)
    return Finding(
        code,
        _joint(pair),
        Verdict.DOES_NOT_FIT,
        f"{pair[0].name} is {first} and {pair[1].name} is {second}; no tolerance helps",
        uses=uses,
    )


def _same(pair: Pair, failed: Trial | None, passed: Trial | None) -> Finding:
    code, joint = pages.SAME.code, _joint(pair)
    uses = names(pair[0], ["thread"]) + names(pair[1], ["thread"])
    if failed is not None:
        because = f"tried one in the other, they do not screw together by hand ({failed.use.source})"
        return Finding(code, joint, Verdict.DOES_NOT_FIT, because, basis=Basis.TRIAL, uses=(*uses, failed.use))
    first, second = thread_of(pair[0]), thread_of(pair[1])
    if first is None or second is None:
        gaps = [thread_gap(feature) for feature in pair if thread_of(feature) is None]
        finding = missing(code, joint, gaps, uses)
        # by hand a near match goes fully home too, so that a passed trial names no thread
        return finding if passed is None else replace(finding, cautions=(_TRIAL_CAUTION,))
    refused = [gap for feature, thread in zip(pair, (first, second), strict=True) for gap in _refused(feature, thread)]
    if refused:
        return missing(code, joint, refused, uses)
    if same_thread(first, second):
        return Finding(code, joint, Verdict.FITS, f"both threads are {first.designation}", uses=uses)
    return _different(pair, (first, second), uses)


def _refused(feature: Feature, thread: Thread) -> list[Gap]:
    """The failed gauges of the very thread that a feature is taken to have."""
    gaps = []
    for trial in feature.trials:
        if trial.dimension != "thread-trial" or trial.passed:
            continue
        try:
            gauge = parse_thread(trial.against).thread
        except DataFault:
            continue  # tried against a part, not a gauge
        if same_thread(gauge, thread):
            why = f"in conflict: {thread.designation}, but a gauge of {trial.against} failed ({trial.use.source})"
            gaps.append(Gap(feature.name, "thread", why))
    return gaps


def _different(pair: Pair, threads: tuple[Thread, Thread], uses: tuple[Use, ...]) -> Finding:
    """Two threads that are not the same do not fit; the numbers say what the hand would feel."""
    code, joint = pages.SAME.code, _joint(pair)
    sexes = [use.word if (use := feature.get("sex")) is not None else "" for feature in pair]
    if sorted(sexes) != ["female", "male"]:
        because = f"{threads[0].designation} and {threads[1].designation} are different threads"
        return Finding(code, joint, Verdict.DOES_NOT_FIT, because, uses=uses)
    male, female = threads if sexes[0] == "male" else threads[::-1]
    depths = [size_of(feature, "depth") for feature in pair]
    known = all(depth.known for depth in depths)
    engagement = min(depth.central for depth in depths) if known else min(male.nominal, female.nominal)
    try:
        match = near_match(male, female, engagement)
    except DataFault:
        because = f"{male.designation} and {female.designation} are different threads"
        return Finding(code, joint, Verdict.DOES_NOT_FIT, because, uses=uses)
    over = "of full thread" if known else "over one diameter, the depths not being known"
    return Finding(
        code,
        joint,
        Verdict.DOES_NOT_FIT,
        f"{male.designation} in {female.designation} {_felt(match, male)} ({mm(engagement)} {over})",
        uses=uses,
        figures=_match_figures(match),
    )


def _felt(match: NearMatch, male: Thread) -> str:
    if match.outcome == HOME_BUT_WEAK:
        overlap = f"{match.overlap_min:.2f} to {mm(match.overlap_max)} of {mm(_BASIC_HEIGHT * male.pitch)}"
        return f"screws fully home and holds on {overlap} of thread height"
    if match.outcome == BINDS:
        turns = f"{match.turns_min:.1f} to {match.turns_max:.1f} of {match.turns_engaged:.1f} turns"
        return f"starts by hand and binds after {turns}"
    if match.overlap_max <= 0:
        return f"passes without holding, the crests clear by {mm(-match.overlap_max)} or more"
    return f"does not start, it would bind after {match.turns_min:.1f} to {match.turns_max:.1f} turns"


def _match_figures(match: NearMatch) -> dict[str, Figure]:
    figures = {
        "overlap_min": Figure(match.overlap_min, None, "mm"),
        "overlap_max": Figure(match.overlap_max, None, "mm"),
        "turns_engaged": Figure(match.turns_engaged, None, "turn"),
        "lead_error": Figure(match.lead_error, None, "mm"),
    }
    if match.turns_max != float("inf"):  # equal pitches never bind
        figures["turns_to_bind_min"] = Figure(match.turns_min, None, "turn")
        figures["turns_to_bind_max"] = Figure(match.turns_max, None, "turn")
    return figures


def _engagement(pair: Pair, thread: Thread | None, setting: Setting) -> Finding:
    code, joint = pages.ENGAGEMENT.code, _joint(pair)
    depths = [size_of(feature, "depth") for feature in pair]
    gaps = [gap for depth in depths for gap in depth.gaps]
    if thread is None:
        return missing(code, joint, [*(thread_gap(one) for one in pair if thread_of(one) is None), *gaps])
    pitch, nominal = thread.pitch, thread.nominal
    need, reason = engagement_needed(thread, setting.limits["engagement_factor"].value)
    have = formula(lambda one, other: minimum(one, other) - 2 * pitch, *depths)
    margin = formula(lambda length: length - need, have)
    finding = answer(
        code,
        joint,
        margin,
        "mm",
        setting,
        lambda: (
            f"{mm(have.central)} of full thread engages, first threads left out, and {mm(need)} is asked ({reason})"
        ),
    )
    designations = names(pair[0], ["thread"]) + names(pair[1], ["thread"])
    finding = replace(finding, uses=finding.uses + designations)
    finding = with_figures(finding, {"engagement": (have, "mm")}, setting)
    finding = replace(finding, figures={**finding.figures, "engagement_needed": Figure(need, None, "mm")})
    wanted = setting.limits["adjuster_factor"].value
    if setting.facts.get("adjuster") == "yes" and have.known and have.central < wanted * nominal:
        caution = (
            f"An adjuster with less than {wanted:g} d of full thread ({mm(wanted * nominal)}) is short by common "
            f"practice; here it is {mm(have.central)} at the deepest, less at its longest set-up."
        )
        finding = replace(finding, cautions=(*finding.cautions, caution))
    return finding


def key(feature: Feature) -> tuple[str, ...] | None:
    """Form, size, pitch and hand by which both sides must agree; None where thread or hand is not known."""
    thread, hand = thread_of(feature), feature.get("hand")
    if thread is None or hand is None:
        return None
    return thread.form, f"{thread.nominal:.4f}x{thread.pitch:.4f}", hand.word


_ENDS = frozenset({"bar-end", "thread-end"})
_NEEDED = ("thread", "sex", "hand", "depth")

KIND = JointKind(
    name="thread",
    between=(_ENDS, _ENDS),
    requires=(_NEEDED, _NEEDED),
    key=key,
    rules=pages.RULES,
    works=(ADAPTER,),
    check=check,
    keyed_by=("thread", "hand"),
)
