"""Whether two ends named on the spot go together: by the same joint code as a kit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fitment.doubt import Draws
from fitment.errors import DataFault, UsageFault
from fitment.finding import Finding, Gap, Verdict, worst
from fitment.frozen import dataclass
from fitment.joints.kinds import all_rules, joint_kinds
from fitment.joints.limits import default_limits
from fitment.joints.registration import Feature, JointKind, Setting
from fitment.joints.spline_rules import SIZES
from fitment.joints.thread_rules import HAND
from fitment.kits.spot import ASSUMED, RIGHT_BY_STANDARD, Spot, feature_of, said

_SEXES = ("male", "female")
_THREADED = ("thread-end", "bar-end")

_MATES = "a thread with a thread, a stud with an eye (or a bare taper for either), a shaft with a bore"

#: ends that a bare name leaves without a sex
_SEXED = ("thread-end", "spline-end")


@dataclass(frozen=True)
class Mate:
    """The answer for two ends.

    Attributes:
        parts: both as understood, A first.
        features: the same as the joint saw them.
        findings: those that answer, at least one.
        unasked: *not known* of rules that ask for what bare names do not tell.
    """

    parts: tuple[Spot, Spot]
    features: tuple[Feature, Feature]
    findings: tuple[Finding, ...]
    unasked: tuple[Finding, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """The worst of the findings; names that go together are no fit while a rule could not be asked."""
        return self.telling.verdict

    @property
    def telling(self) -> Finding:
        """The finding that the answer is told by: the first of the worst; where all fit, the last of them.

        Where names go together and do not tell the rest, the first rule that could not be asked.
        """
        found = worst(finding.verdict for finding in self.findings)
        of_verdict = [finding for finding in self.findings if finding.verdict is found]
        telling = of_verdict[-1 if found is Verdict.FITS else 0]
        if not self.unasked or found in (Verdict.DOES_NOT_FIT, Verdict.NOT_KNOWN):
            return telling
        first, rest = self.unasked[0], len(self.unasked) - 1
        title = all_rules()[first.rule].title + (f" and {rest} more" if rest else "")
        return replace(first, because=f"{telling.because}; names alone do not tell: {title}")

    @property
    def not_checked(self) -> tuple[str, ...]:
        """The rules that bare names cannot be asked for, as sentences."""
        rules = all_rules() if self.unasked else {}
        return tuple(f"{rules[one.rule].title} ({one.rule}): bare names do not tell" for one in self.unasked)


def mate(first: Spot, second: Spot, facts: Mapping[str, str], right_hand: bool = False) -> Mate:
    """Whether two ends go together, with the default limits.

    Args:
        first, second: as named on the spot.
        facts: what a kit would say of the joint (``enters``, ``nut``, ``washer``).
        right_hand: whether both threads are said to be right hand.

    Raises:
        DataFault: there is no check for two such ends.
        UsageFault: both are said to be right hand, and one is no thread, or is named as left hand.
    """
    if right_hand:
        first, second = _right_handed(first), _right_handed(second)
    parts = _coned(_sexed((first, second)))
    features = (feature_of(parts[0]), feature_of(parts[1]))
    kind, ends = _kind(features)
    found = kind.check(*ends, Setting(default_limits(), Draws(), facts))
    unasked = [one for one in found if _unasked(one)] if first.bare and second.bare else []
    answered = tuple(_hand_marked(finding) for finding in found if finding not in unasked)
    return Mate(parts, features, answered, tuple(unasked))


def _right_handed(part: Spot) -> Spot:
    """The part with its hand said, where it says none itself."""
    hand = next((one for one in part.evidence if one.dimension == "hand"), None)
    if part.kind not in _THREADED:
        raise UsageFault(
            f"--right-hand is about threads, and {part.letter} is none", mending="leave it out", code="usage-14"
        )
    if hand is not None and hand.source != ASSUMED:
        if hand.word == "RH":
            return part
        raise UsageFault(
            f"{part.letter} {part.title} is left hand, and --right-hand says that both are right hand",
            mending="leave --right-hand out, and mark the other with -RH or -LH",
            code="usage-14",
        )
    kept = tuple(one for one in part.evidence if one is not hand)
    assumed = tuple(told for told in part.assumed if told != RIGHT_BY_STANDARD)
    return replace(part, evidence=(*kept, said(part.letter, "hand", "RH")), assumed=assumed)


def _hand_marked(finding: Finding) -> Finding:
    """The finding, *not known* where its hand was only taken for granted."""
    taken = [use.feature for use in finding.uses if use.dimension == "hand" and use.source == ASSUMED]
    if finding.rule != HAND.code or not taken:
        return finding
    because = f"no hand is marked on {'either' if len(taken) > 1 else taken[0]}: say RH or LH"
    gaps = tuple(Gap(feature, "hand", "not marked") for feature in taken)
    if finding.verdict is Verdict.NOT_KNOWN:
        because = f"{finding.because}; {because}"
    return replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=finding.gaps + gaps)


def _unasked(finding: Finding) -> bool:
    """Whether a rule asks for what no name says; the name of a spline says no diameter, and never passes for one."""
    return finding.verdict is Verdict.NOT_KNOWN and finding.margin is None and finding.rule != SIZES.code


def _kind(features: tuple[Feature, Feature]) -> tuple[JointKind, tuple[Feature, Feature]]:
    for kind in joint_kinds().values():
        for ends in (features, features[::-1]):
            if ends[0].kind in kind.between[0] and ends[1].kind in kind.between[1]:
                return kind, ends
    raise DataFault(
        f"no check is built for a {features[0].kind} with a {features[1].kind}",
        mending=f"what can be mated: {_MATES}",
        code="mate-01",
    )


def _sexed(parts: tuple[Spot, Spot]) -> tuple[Spot, Spot]:
    """Threads and splines by name, with their sexes: the other one's opposite, else A male and B female."""
    made = []
    for part, other, default in ((parts[0], parts[1], "male"), (parts[1], parts[0], "female")):
        if part.named and part.kind in _SEXED and part.says("sex") is None:
            opposite = next((sex for sex in _SEXES if other.says("sex") not in (None, sex)), None)
            sex = opposite or default
            why = f"{sex}, as {other.letter} is {other.says('sex')}" if opposite else f"{sex}: taken so, no sex is said"
            part = replace(
                part,
                evidence=(*part.evidence, said(part.letter, "sex", sex, ASSUMED)),
                assumed=(why, *part.assumed),
            )
        made.append(part)
    return made[0], made[1]


def _coned(parts: tuple[Spot, Spot]) -> tuple[Spot, Spot]:
    """Bare tapers as stud or eye: what the other is not, else A the stud and B the eye."""
    made = []
    for part, other, default in ((parts[0], parts[1], "stud"), (parts[1], parts[0], "eye")):
        if part.kind == "taper":
            kind = {"stud": "eye", "eye": "stud"}.get(other.kind, default)
            article = "an" if kind == "eye" else "a"
            part = replace(part, kind=kind, assumed=(f"taken as {article} {kind}",))
        made.append(part)
    return made[0], made[1]
