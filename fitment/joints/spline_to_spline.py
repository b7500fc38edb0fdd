"""Splined or profiled shaft in a bore: sexes, count, form, diameters, engagement, and what holds it."""

from __future__ import annotations

from dataclasses import replace

from fitment.finding import Figure, Finding, Gap, Use, Verdict, held_back
from fitment.joints import pinch_bolt
from fitment.joints import spline_rules as pages
from fitment.joints.answering import names
from fitment.joints.registration import Feature, JointKind, Setting, as_assembled, assembled_finding, missing
from fitment.joints.spline_ends import PROFILES, Count, Ends, count_of, form_of, same_class, toothed
from fitment.joints.spline_sizes import against_names, failed_trial, profile_sizes, teeth_sizes, trial_between
from fitment.standards.splines import index_step, teeth_in_line

Pair = tuple[Feature, Feature]

#: an index that lets a shaft into one bore only
_KEYED = frozenset({"master spline", "blind tooth"})

_BY_NAME = "The trade name stands for the form of the teeth here, and nobody looked at them."


def check(first: Feature, second: Feature, setting: Setting) -> list[Finding]:
    """The findings for two shaft ends, in the order of the rules."""
    findings = [held_back(finding) for finding in _rules((first, second), setting)]
    together = as_assembled(first, second)
    if together is None:
        return findings
    # what the donor engaged may be short by rule and still be what its maker meant
    failing = [one for one in findings if one.verdict is Verdict.DOES_NOT_FIT and one.rule != pages.ENGAGEMENT.code]
    against = [finding for finding in failing if not finding.on_hearsay]
    if against:
        note = f"although the two are recorded as taken together ({together.use.source})"
        return [replace(finding, because=f"{finding.because}, {note}") for finding in against]
    assembled = held_back(assembled_finding(pages.ASSEMBLED.code, first, second, together))
    return [assembled, *failing] if assembled.verdict is Verdict.FITS else findings


def _rules(pair: Pair, setting: Setting) -> list[Finding]:
    ends = ends_of(pair)
    form = _form(pair)
    profiled = [form_of(one)[0] in PROFILES for one in pair]
    count = [] if any(profiled) else [_count(pair, ends)]
    findings = [_sexes(pair), *count, form]
    if any(finding.verdict is Verdict.DOES_NOT_FIT for finding in findings):
        return findings  # two that cannot go together at all have no fit, and no engagement, to look at
    if ends is None:
        return [*findings, *against_names(Ends(*pair, _joint(pair)))]
    findings += [*_sizes(ends, setting), *against_names(ends), pinch_bolt.engagement(ends, setting)]
    held = pinch_bolt.holds(ends)
    findings.append(held)
    if held.verdict is Verdict.FITS:
        if pinch_bolt.clamp_of(ends) == pinch_bolt.THROUGH:
            findings.append(pinch_bolt.crosses(ends, setting))
        findings.append(pinch_bolt.in_groove(ends, setting))
    return findings


def _joint(pair: Pair) -> tuple[str, str]:
    return pair[0].name, pair[1].name


def ends_of(pair: Pair) -> Ends | None:
    """Which of the two is the shaft; None where their sexes do not say."""
    sexes = [use.word if (use := one.get("sex")) is not None else "" for one in pair]
    if sexes == ["male", "female"]:
        return Ends(pair[0], pair[1], _joint(pair))
    return Ends(pair[1], pair[0], _joint(pair)) if sexes == ["female", "male"] else None


def _sexes(pair: Pair) -> Finding:
    code, uses = pages.SEXES.code, names(pair[0], ["sex"]) + names(pair[1], ["sex"])
    if len(uses) < 2:
        return missing(code, _joint(pair), [one.gap("sex") for one in pair if one.get("sex") is None], uses)
    if uses[0].word == uses[1].word:
        both = {"male": "shafts", "female": "bores"}[uses[0].word]
        return Finding(code, _joint(pair), Verdict.DOES_NOT_FIT, f"both ends are {both}", uses=uses)
    return Finding(code, _joint(pair), Verdict.FITS, "one end is a shaft and the other a bore", uses=uses)


def _count(pair: Pair, ends: Ends | None) -> Finding:
    code, joint = pages.COUNT.code, _joint(pair)
    first, second = count_of(pair[0]), count_of(pair[1])
    if isinstance(first, Gap) or isinstance(second, Gap):
        uses = tuple(use for one in (first, second) if isinstance(one, Count) for use in one.uses)
        return missing(code, joint, [one for one in (first, second) if isinstance(one, Gap)], uses)
    uses = first.uses + second.uses
    if abs(first.teeth - second.teeth) > first.slack + second.slack:
        return Finding(code, joint, Verdict.DOES_NOT_FIT, _collide(first.teeth, second.teeth), uses=uses)
    tried = None if ends is None else trial_between(ends)
    doubtful = [one for one, count in zip(pair, (first, second), strict=True) if count.slack]
    if doubtful and tried is not None and tried.passed and first.teeth == second.teeth:
        finding = _indexed(pair, ends, first.teeth, (*uses, tried.use))
        told = f"the shaft goes home in the bore by hand ({tried.use.source}), which unequal counts never do"
        return replace(finding, because=f"{finding.because}; counted by eye, but {told}")
    if doubtful:
        gaps = [
            Gap(one.name, "spline", "counted by eye, which may be one off: tick every fifth tooth") for one in doubtful
        ]
        counts = f"{first.teeth} and {second.teeth} teeth"
        finding = missing(code, joint, gaps, uses)
        return replace(finding, because=f"{counts}; {finding.because}")
    return _indexed(pair, ends, first.teeth, uses)


def _collide(first: int, second: int) -> str:
    line = teeth_in_line(first, second)
    return (
        f"{first} teeth and {second} teeth: at most {line} {'line' if line > 1 else 'lines'} up and the rest collide; "
        "that is impossible, not tight"
    )


def _indexed(pair: Pair, ends: Ends | None, teeth: int, uses: tuple[Use, ...]) -> Finding:
    """Equal counts: where the shaft can stand, and whether a master spline or blind tooth finds its counterpart."""
    code, joint = pages.COUNT.code, _joint(pair)
    index = [use.word if (use := one.get("index")) is not None else "" for one in pair]
    uses += names(pair[0], ["index"]) + names(pair[1], ["index"])
    if index[0] != index[1] and _KEYED & set(index):
        gaps = [
            Gap(one.name, "index", f"the other has a {other}, which needs its counterpart here")
            for one, other in zip(pair, index[::-1], strict=True)
            if other in _KEYED
        ]
        return missing(code, joint, gaps, uses)
    step = index_step(teeth)
    fixing = fixed_by(ends, index)
    stands = (
        f"{fixing} leaves one position"
        if fixing
        else f"index step {step:.4g} deg, centred to {step / 2:.4g} deg at worst"
    )
    figures = {"index_step": Figure(step, None, "deg"), "positions": Figure(1 if fixing else teeth, None, "")}
    return Finding(code, joint, Verdict.FITS, f"both have {teeth} teeth; {stands}", uses=uses, figures=figures)


def fixed_by(ends: Ends | None, index: list[str]) -> str:
    """What takes the choice of clock position away, "" where nothing does."""
    keyed = next((word for word in index if word not in ("", "none")), "")
    if keyed or ends is None:
        return f"the {keyed}" if keyed else ""
    clamp, groove, pocket = pinch_bolt.clamp_of(ends), ends.male.get("groove"), ends.male.get("pocket")
    if clamp == pinch_bolt.THROUGH and groove is not None and groove.word in ("notch", "flat"):
        return f"the {groove.word} under the pinch bolt"
    pocketed = clamp == pinch_bolt.SET_SCREW and pocket is not None and pocket.word == "yes"
    return "the pocket under the set screw" if pocketed else ""


def _form(pair: Pair) -> Finding:
    code, joint = pages.FORM.code, _joint(pair)
    (first, uses), (second, more) = form_of(pair[0]), form_of(pair[1])
    uses += more
    if first and second:
        if first == second:
            return Finding(code, joint, Verdict.FITS, f"both are {first}", uses=uses)
        because = f"{pair[0].name} is {first} and {pair[1].name} is {second}"
        return Finding(code, joint, Verdict.DOES_NOT_FIT, because, uses=uses)
    teeth = [toothed(one) for one in pair]
    if (first in PROFILES and teeth[1]) or (second in PROFILES and teeth[0]):
        profile, other = (first, pair[1]) if first in PROFILES else (second, pair[0])
        because = f"one end is {profile} and {other.name} has teeth"
        return Finding(code, joint, Verdict.DOES_NOT_FIT, because, uses=uses + teeth[0] + teeth[1])
    named = same_class(*pair)
    if named is not None:
        because = f"both are called {named.name}, which stands for the form of their teeth"
        labels = names(pair[0], ["name"]) + names(pair[1], ["name"])
        return Finding(code, joint, Verdict.FITS, because, uses=uses + labels, cautions=(_BY_NAME,))
    gaps = [_form_gap(one) for one, form in zip(pair, (first, second), strict=True) if not form]
    return missing(code, joint, gaps, uses)


def _form_gap(feature: Feature) -> Gap:
    looked = feature.get("form")
    return feature.gap("form") if looked is None else Gap(feature.name, "form", "looked at, and not recognised")


def _sizes(ends: Ends, setting: Setting) -> list[Finding]:
    """Diameters, as far as form and count are known on both sides: the rules before say what is missing of those."""
    male, female, failed = form_of(ends.male)[0], form_of(ends.female)[0], failed_trial(ends)
    if failed is not None:
        return [failed]
    if male in PROFILES and male == female:
        return [profile_sizes(ends, male, setting)]
    count, other = count_of(ends.male), count_of(ends.female)
    if {male, female} & PROFILES or isinstance(count, Gap) or isinstance(other, Gap) or count.teeth != other.teeth:
        return []
    return [teeth_sizes(ends, count.teeth, male if male == female else "", setting)]


def key(feature: Feature) -> tuple[str, ...] | None:
    """Profile, or count of the teeth, by which both sides must agree; None where it is not known for certain."""
    form, count = form_of(feature)[0], count_of(feature)
    if form in PROFILES:
        return ("profile", form)
    return None if isinstance(count, Gap) or count.slack else ("teeth", str(count.teeth))


_ENDS = frozenset({"spline-end"})
_NEEDED = ("sex", "spline", "form")

KIND = JointKind(
    name="spline",
    between=(_ENDS, _ENDS),
    requires=(_NEEDED, _NEEDED),
    key=key,
    rules=pages.RULES,
    works=(),
    check=check,
    keyed_by=("spline", "form"),
)
