"""Spherical rod end bolted to a steering arm: bore of the eye, bolt in eye and ball, bending, what holds the rod on."""

from __future__ import annotations

from dataclasses import replace

from fitment.elementwise import maximum, minimum
from fitment.errors import DataFault
from fitment.finding import Finding, Gap, Use, Verdict, held_back
from fitment.frozen import dataclass
from fitment.joints import bolt_rules as pages
from fitment.joints import bolt_work as work
from fitment.joints.answering import Size, answer, formula, lacking, mm, size_of, with_figures
from fitment.joints.registration import Feature, JointKind, Setting, missing
from fitment.standards.thread_names import parse_thread

TAPERED, PARALLEL = "tapered", "parallel"
DOUBLE_SHEAR = "double shear"

_ASK = "Some authorities restrict spherical rod ends and bored steering arms on the road: ask before you build."
_NO_CLASS = "The bolt's strength class is not known: use a bolt that is marked with one."
_STACK = "A stack of spacers puts the bolt in bending; it is not the equal of a cone."
_OUTER = "In double shear the outer plate adds to the stack: measure the whole of it before choosing the bolt."


@dataclass(frozen=True)
class _Pair:
    """The rod end and the eye that a rule looks at."""

    body: Feature
    eye: Feature
    setting: Setting

    @property
    def joint(self) -> tuple[str, str]:
        return self.body.name, self.eye.name

    def limit(self, name: str) -> float:
        return self.setting.limits[name].value

    @property
    def bolt(self) -> Size:
        """Nominal diameter of the bolt, which no bolt exceeds."""
        use = self.body.get("bolt")
        if use is None:
            return lacking(self.body.gap("bolt"))
        try:
            nominal = parse_thread(use.word).thread.nominal
        except DataFault:
            return lacking(Gap(self.body.name, "bolt", f"'{use.word}' cannot be read"))
        return Size(lambda pick: nominal, (use,))

    @property
    def profile(self) -> str:
        """Form of the eye's hole, "" where nobody looked."""
        use = self.eye.get("profile")
        return "" if use is None else use.word

    @property
    def across(self) -> tuple[Size, Size]:
        """The narrowest and the widest diameter of the eye: one of a parallel bore stands for both."""
        large, small = size_of(self.eye, "large"), size_of(self.eye, "small")
        if self.profile == PARALLEL and large.known != small.known:
            one = large if large.known else small
            return one, one
        return formula(minimum, large, small), formula(maximum, large, small)

    def holds(self, told: str) -> bool:
        """Whether the record of what keeps the rod on says this."""
        use = self.body.get("captive-washer")
        return use is not None and use.word == told


def check(body: Feature, eye: Feature, setting: Setting) -> list[Finding]:
    """The findings for a spherical rod end bolted to an eye, in the order of the rules."""
    pair = _Pair(body, eye, setting)
    form, play = _form(pair), _in_eye(pair)
    findings, wall = [form, play], []
    if pair.profile == TAPERED or (pair.profile == PARALLEL and play.verdict is Verdict.DOES_NOT_FIT):
        # without a parallel bore there is no play to speak of: the work answers for both
        widest = size_of(eye, "large") if pair.profile == TAPERED else pair.across[1]
        proposal = work.propose(pair.joint, eye, pair.bolt, widest, setting)
        wall = [proposal.wall] if isinstance(proposal, work.Proposal) else []
        findings = [work.mended(form, proposal)]
        findings += [] if pair.profile == TAPERED else [work.mended(play, proposal)]
    findings += [_in_ball(pair), _captive(pair), _bending(pair), _grip(pair), *wall]
    findings[0] = replace(findings[0], cautions=(*findings[0].cautions, _ASK))
    return [held_back(finding) for finding in findings]


def _form(pair: _Pair) -> Finding:
    code, use = pages.FORM.code, pair.eye.get("profile")
    if use is None:
        return missing(code, pair.joint, [pair.eye.gap("profile")])
    if use.word == PARALLEL:
        return Finding(code, pair.joint, Verdict.FITS, "the eye is bored parallel, for a straight bolt", uses=(use,))
    told = "the eye is tapered: a straight bolt bears on its edge only"
    return Finding(code, pair.joint, Verdict.DOES_NOT_FIT, told, uses=(use,))


def _played(pair: _Pair, narrow: Size, wide: Size) -> Size:
    play = pair.limit("bolt_play")
    return formula(lambda least, most, d: minimum(least - d, d + play - most), narrow, wide, pair.bolt)


def _told_play(pair: _Pair, narrow: Size, wide: Size, what: str) -> str:
    diameter = pair.bolt.central
    if narrow.central < diameter:
        return f"a bolt of {mm(diameter)} does not pass {what} of {mm(narrow.central)}"
    return (
        f"a bolt of {mm(diameter)} has {mm(wide.central - diameter)} of play in {what} of {mm(wide.central)}, "
        f"{mm(pair.limit('bolt_play'))} is allowed"
    )


def _in_eye(pair: _Pair) -> Finding:
    narrow, wide = pair.across
    margin = _played(pair, narrow, wide)
    return answer(
        pages.EYE.code, pair.joint, margin, "mm", pair.setting, lambda: _told_play(pair, narrow, wide, "an eye")
    )


def _in_ball(pair: _Pair) -> Finding:
    bore, reduced = size_of(pair.body, "bore"), size_of(pair.body, "spacer-bore")
    finding = _fit_in(pair, bore, "a ball", "")
    if finding.verdict is not Verdict.DOES_NOT_FIT or bore.central < pair.bolt.central:
        return finding
    small = f"a bolt of {mm(pair.bolt.central)} is {mm(bore.central - pair.bolt.central)} smaller than the ball's bore"
    if not reduced.known:
        lacks = missing(pages.BALL.code, pair.joint, list(reduced.gaps), finding.uses)
        return replace(lacks, because=f"{small}: it needs spacers that reduce it; {lacks.because}")
    found = _fit_in(pair, reduced, "spacers", f"{small}; ")
    return replace(found, uses=tuple(dict.fromkeys((*found.uses, *bore.uses))))


def _fit_in(pair: _Pair, bore: Size, what: str, before: str) -> Finding:
    margin = _played(pair, bore, bore)
    return answer(
        pages.BALL.code,
        pair.joint,
        margin,
        "mm",
        pair.setting,
        lambda: f"{before}{_told_play(pair, bore, bore, what)}",
    )


def _captive(pair: _Pair) -> Finding:
    code, use = pages.CAPTIVE.code, pair.body.get("captive-washer")
    if use is None:
        return missing(code, pair.joint, [pair.body.gap("captive-washer")])
    if use.word == "no":
        told = "in single shear without a captive washer the rod drops if the ball pulls out"
        return Finding(code, pair.joint, Verdict.DOES_NOT_FIT, told, uses=(use,))
    held = "the bolt is held on both sides" if use.word == DOUBLE_SHEAR else "a captive washer keeps the rod on"
    return Finding(code, pair.joint, Verdict.FITS, held, uses=(use,))


def _bending(pair: _Pair) -> Finding:
    ratio = pair.limit("bolt_bending")
    spacer = _spacer(pair)
    offset = formula(lambda width, one: width / 2 + one, size_of(pair.body, "ball-width"), spacer)
    margin = formula(lambda off, d: ratio * d - off, offset, pair.bolt)
    ratios = formula(lambda off, d: off / d, offset, pair.bolt)

    def words() -> str:
        return (
            f"the ball's centre stands {mm(offset.central)} off the arm, {ratios.central:.2f} bolt diameters; "
            f"{ratio:g} is the limit"
        )

    finding = answer(pages.BENDING.code, pair.joint, margin, "mm", pair.setting, words)
    marked = pair.body.get("bolt-class")
    cautions = () if marked is not None and marked.word.casefold() != "none" else (_NO_CLASS,)
    if spacer.known and spacer.central > 0:
        cautions = (*cautions, _STACK)
    uses: tuple[Use, ...] = () if marked is None else (marked,)
    finding = replace(finding, cautions=cautions, uses=(*finding.uses, *uses))
    return with_figures(finding, {"bolt_offset": (offset, "mm"), "bending_ratio": (ratios, "")}, pair.setting)


def _spacer(pair: _Pair) -> Size:
    found = size_of(pair.body, "spacer-length")
    if found.known or "spacer-length" in pair.body.gaps:
        return found
    return lacking(Gap(pair.body.name, "spacer-length", "no reading; write 0 mm where there are no spacers"))


def _grip(pair: _Pair) -> Finding:
    washers, double = pair.limit("bolt_washers"), pair.holds(DOUBLE_SHEAR)
    thick, grip = size_of(pair.eye, "thick"), size_of(pair.body, "grip")
    stack = formula(lambda ball, one, eye: ball + 2 * one + eye, size_of(pair.body, "ball-width"), _spacer(pair), thick)
    least = formula(lambda all_, eye: all_ - eye / 2, stack, thick)
    margin = formula(lambda shank, short: shank - short, grip, least)
    if not double:
        margin = formula(lambda found, all_, shank: minimum(found, all_ + washers - shank), margin, stack, grip)

    def words() -> str:
        told = f"the plain shank is {mm(grip.central)} and the stack {mm(stack.central)}"
        if grip.central < least.central:
            return f"{told}: thread lies where the bolt is sheared, {mm(least.central)} of shank is asked"
        if double or grip.central <= stack.central:
            return f"{told}, {mm(least.central)} of shank is asked"
        over = grip.central - stack.central
        return f"{told}: {mm(over)} of washers make it up, {mm(washers)} at most"

    finding = answer(pages.GRIP.code, pair.joint, margin, "mm", pair.setting, words)
    return replace(finding, cautions=(_OUTER,) if double else ())


def key(feature: Feature) -> tuple[str, ...] | None:
    """None: a bore is made to a bolt within a window, and spacers reduce a ball; no designation must agree."""
    return None


KIND = JointKind(
    name="bolt-in-eye",
    between=(frozenset({"spherical-body"}), frozenset({"eye"})),
    requires=(
        ("bore", "bolt", "ball-width", "spacer-length", "grip", "captive-washer"),
        ("profile", "large", "thick"),
    ),
    key=key,
    rules=pages.RULES,
    works=work.OPERATIONS,
    check=check,
)
