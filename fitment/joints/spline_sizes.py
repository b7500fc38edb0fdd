"""Whether the diameters of a shaft and a bore go together, and whether a trade name agrees with what was measured."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import reduce
from typing import TYPE_CHECKING

from fitment.elementwise import minimum
from fitment.finding import Basis, Finding, Gap, Use, Verdict
from fitment.joints import spline_rules as pages
from fitment.joints.answering import Size, answer, formula, mm, names, size_of, with_figures
from fitment.joints.registration import Feature, Setting, Trial, missing
from fitment.joints.spline_ends import Ends, diameters, same_class, trade_class
from fitment.standards.serrations import DIN5481_SHAFT_GAP
from fitment.standards.spline_forms import b92_1
from fitment.standards.splines import TradeSpline
from fitment.standards.threads import MM_PER_INCH

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: form -> pressure angle in degrees and root; the flat root is the least deep at 30 degrees
_INVOLUTES: dict[str, tuple[float, str]] = {
    "involute-30": (30, "flat"),
    "involute-37.5": (37.5, "fillet"),
    "involute-45": (45, "fillet"),
}

#: profile -> (dimension of the bore, of the shaft, what it is called)
_PROFILES: dict[str, tuple[tuple[str, str, str], ...]] = {
    "DD": (("od", "od", "over the round"), ("flat", "flat", "across the flats")),
    "triangular": (("across", "across", "across the triangle"),),
    "plain": (("minor", "od", "in diameter"),),
}

_BY_NAME = (
    "Matched on count, measured diameters and a trade name, which is only a label: nobody knows the flanks. "
    "Try the pair by hand over its full length, and record the trial."
)


def involute_bore(minor: Values, teeth: int, form: str) -> tuple[Values, Values]:
    """A standard shaft's outside diameter and a standard bore's bottom, mm, for a bore over its crests, mm.

    Both follow from the ratios of ANSI B92.1 at that count and form, whatever the pitch.
    """
    angle, root = _INVOLUTES[form]
    unit = b92_1(teeth, MM_PER_INCH, angle, root)  # a pitch of 1 mm per tooth and pi
    crests = unit.internal_minor or 0.0
    return minor * unit.external_major / crests, minor * unit.internal_major / crests


def involute_room(od: Values, minor: Values, teeth: int, form: str, least: float) -> Values:
    """How far a shaft is from too large or too small for a bore, mm of diameter; negative where it is either.

    Args:
        od: shaft over its crests, mm.
        minor: bore over its crests, mm.
        teeth: of both.
        form: ``involute-45``.
        least: share of the standard overlap that is asked.
    """
    outside, bottom = involute_bore(minor, teeth, form)
    room: Values = minimum(bottom - od, (od - minor) - least * (outside - minor))
    return room


def crest_overlaps(od: Values, minor: Values, teeth: int, least: float) -> tuple[Values, Values]:
    """Between which overlaps, mm of radius, some form of teeth could be right where only the crests are known.

    From a share of the overlap of 45 degree involutes, 0.8 p/pi (ANSI B92.1), the least of the forms, to the height of
    sharp points, p/(tan 30 + tan(30 - 180/N)), of DIN 5481 (from memory), the greatest; p is the pitch midway between
    the crests. Arguments as for `involute_room`.
    """
    pitch = math.pi * (od + minor) / 2 / teeth
    half_gap, half_tooth = DIN5481_SHAFT_GAP / 2, DIN5481_SHAFT_GAP / 2 - 180 / teeth
    sharp = pitch / (math.tan(math.radians(half_gap)) + math.tan(math.radians(half_tooth)))
    return least * 0.8 * pitch / math.pi, sharp


def crest_room(od: Values, minor: Values, teeth: int, least: float) -> Values:
    """As `involute_room`, where only the crests are known, mm of diameter."""
    low, high = crest_overlaps(od, minor, teeth, least)
    room: Values = minimum(2 * high - (od - minor), (od - minor) - 2 * low)
    return room


def trial_between(ends: Ends) -> Trial | None:
    """The trial of the one in the other, a failed one before any that passed; None where there is none."""
    pairs = ((ends.male, ends.female), (ends.female, ends.male))
    trials = [
        trial
        for one, other in pairs
        for trial in one.trials
        if trial.dimension == "spline-trial" and trial.against == other.name
    ]
    return min(trials, key=lambda trial: trial.passed, default=None)


def failed_trial(ends: Ends) -> Finding | None:
    """*Does not fit* where the two were tried and the shaft did not go home; None where they were not."""
    tried = trial_between(ends)
    if tried is None or tried.passed:
        return None
    because = f"tried by hand, the shaft does not go home in the bore ({tried.use.source})"
    return Finding(pages.SIZES.code, ends.joint, Verdict.DOES_NOT_FIT, because, basis=Basis.TRIAL, uses=(tried.use,))


def teeth_sizes(ends: Ends, teeth: int, form: str, setting: Setting) -> Finding:
    """Whether toothed ends of one count and form go together by their diameters; form "" where only a name stands."""
    od, minor = size_of(ends.male, "od"), size_of(ends.female, "minor")
    labels = names(ends.male, ["name"]) + names(ends.female, ["name"])
    gaps = [*od.gaps, *minor.gaps]
    if gaps:
        return _names_apart(ends, labels) or _not_measured(ends, gaps, od.uses + minor.uses)
    least = setting.limits["spline_overlap"].value
    if form in _INVOLUTES:
        margin = formula(lambda shaft, bore: involute_room(shaft, bore, teeth, form, least), od, minor)
        words = _involute_words(od, minor, teeth, form)
    else:
        margin = formula(lambda shaft, bore: crest_room(shaft, bore, teeth, least), od, minor)
        words = _crest_words(od, minor, teeth, least)
    finding = answer(pages.SIZES.code, ends.joint, margin, "mm", setting, words)
    overlap = formula(lambda shaft, bore: (shaft - bore) / 2, od, minor)
    finding = with_figures(finding, {"overlap": (overlap, "mm")}, setting)
    if form in _INVOLUTES or finding.verdict is not Verdict.FITS:
        return finding
    tried = trial_between(ends)
    if tried is not None and tried.passed:
        because = f"{finding.because}; the shaft goes home in the bore by hand ({tried.use.source})"
        return replace(finding, because=because, uses=(*finding.uses, tried.use))
    if same_class(ends.male, ends.female) is not None:
        return replace(finding, uses=finding.uses + labels, cautions=(_BY_NAME,))
    gap = Gap(
        ends.male.name,
        "over-pins",
        "crests alone do not tell where the flanks lie: record a trial by hand (spline-trial)",
    )
    because = f"{finding.because}; {gap.why}"
    return replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=(gap,))


def _overlap_words(od: float, minor: float) -> str:
    if od <= minor:
        return f"the shaft is {mm(od)} over its crests and the bore {mm(minor)}: it slips through without holding"
    return f"the shaft is {mm(od)} over its crests and the bore {mm(minor)}: teeth overlap {mm((od - minor) / 2)}"


def _involute_words(od: Size, minor: Size, teeth: int, form: str) -> Callable[[], str]:
    def words() -> str:
        outside, bottom = (float(size) for size in involute_bore(minor.central, teeth, form))
        belongs = f"a standard shaft in that bore is {mm(outside)}, the bottoms of its spaces {mm(bottom)}"
        return f"{_overlap_words(od.central, minor.central)}; by {form} of {teeth} teeth {belongs}"

    return words


def _crest_words(od: Size, minor: Size, teeth: int, least: float) -> Callable[[], str]:
    def words() -> str:
        low, high = (float(size) for size in crest_overlaps(od.central, minor.central, teeth, least))
        return f"{_overlap_words(od.central, minor.central)}; {mm(low)} to {mm(high)} is asked for {teeth} teeth"

    return words


def _not_measured(ends: Ends, gaps: list[Gap], uses: tuple[Use, ...]) -> Finding:
    finding = missing(pages.SIZES.code, ends.joint, gaps, uses)
    named = same_class(ends.male, ends.female)
    if named is None:
        return finding
    return replace(finding, because=f"{finding.because}; {named.name} is a label and no diameter")


def _names_apart(ends: Ends, labels: tuple[Use, ...]) -> Finding | None:
    """*Does not fit* where the diameters of two trade names lie apart; None where they may be one."""
    male, female = trade_class(ends.male), trade_class(ends.female)
    if male is None or female is None:
        return None
    (low, high), (other_low, other_high) = diameters(male), diameters(female)
    if low <= other_high and other_low <= high:
        return None
    because = f"{_span(male)} does not go into the bore of {_span(female)}"
    return Finding(pages.SIZES.code, ends.joint, Verdict.DOES_NOT_FIT, because, uses=labels)


def _span(spline: TradeSpline) -> str:
    low, high = diameters(spline)
    return f"{spline.name} ({low:.2f} to {high:.2f} mm over the crests)"


def profile_room(clearances: tuple[Values, ...], play: float) -> Values:
    """How far a profile is from too tight or too loose, mm: the smallest of each clearance and `play` less it."""
    room: Values = reduce(minimum, [minimum(clearance, play - clearance) for clearance in clearances])
    return room


def profile_sizes(ends: Ends, form: str, setting: Setting) -> Finding:
    """Whether two ends of one profile without teeth go together."""
    play = setting.limits["profile_play"].value
    gaps_between = [
        (formula(lambda bore, shaft: bore - shaft, size_of(ends.female, bore), size_of(ends.male, shaft)), title)
        for bore, shaft, title in _PROFILES[form]
    ]
    clearances = [clearance for clearance, _ in gaps_between]
    margin = formula(lambda *each: profile_room(each, play), *clearances)
    finding = answer(
        pages.SIZES.code,
        ends.joint,
        margin,
        "mm",
        setting,
        lambda: (
            " and ".join(f"{mm(clearance.central)} of play {title}" for clearance, title in gaps_between)
            + f"; 0.00 to {mm(play)} is asked"
        ),
    )
    if form != "plain":
        return finding
    return replace(finding, cautions=("Plain ends have nothing that drives: they turn only by their clamp.",))


def against_names(ends: Ends) -> list[Finding]:
    """What contradicts the trade name of an end; empty where nothing does."""
    told: list[str] = []
    gaps: list[Gap] = []
    uses: list[Use] = []
    for feature in (ends.male, ends.female):
        named, label = trade_class(feature), feature.get("name")
        if named is None or label is None:
            continue
        for dimension, why in _contradictions(feature, named):
            told.append(f"{feature.name} is called {named.name}, but {why}")
            gaps.append(Gap(feature.name, dimension, f"in conflict with the trade name {named.name}"))
            uses += [label, *names(feature, [dimension])]
    if not told:
        return []
    because = f"{'; '.join(told)}: the name is not the diameter, and one of the two is wrong"
    return [
        Finding(
            pages.NAMES.code, ends.joint, Verdict.NOT_KNOWN, because, uses=tuple(dict.fromkeys(uses)), gaps=tuple(gaps)
        )
    ]


def _contradictions(feature: Feature, named: TradeSpline) -> list[tuple[str, str]]:
    """Dimensions that contradict a name, each with the reason."""
    found = []
    count, od, sex = feature.get("spline"), feature.get("od"), feature.get("sex")
    if count is not None and named.teeth is not None:
        # a doubt of whole teeth, as the half-width of the tool that counted
        off = abs(count.number - named.teeth) - (count.u or 0.0) * math.sqrt(3.0)
        if off > 1e-6:
            found.append(("spline", f"{count.number:g} teeth were counted"))
    if od is not None and not (sex is not None and sex.word == "female"):
        low, high = diameters(named)
        room = 2 * (od.u or 0.0)
        if not low - room <= od.number <= high + room:
            found.append(
                ("od", f"reads {mm(od.number)} over its crests where {low:.2f} to {high:.2f} mm belongs to it")
            )
    return found
