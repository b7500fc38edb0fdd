"""The rules on the cones of a stud in an eye: which way it opens, cone against cone, seat, thread through the eye."""

from __future__ import annotations

from dataclasses import replace

from fitment.elementwise import minimum, where
from fitment.finding import Basis, Finding, Gap, Verdict
from fitment.frozen import dataclass
from fitment.joints import stud_rules as pages
from fitment.joints.answering import (
    Size,
    answer,
    formula,
    mm,
    names,
    size_of,
    with_figures,
)
from fitment.joints.cone_seat import (
    Ring,
    rock_half_angle,
    seat,
    thread_clearance,
)
from fitment.joints.registration import Feature, Setting, Trial, missing
from fitment.joints.stud_sizes import Seating
from fitment.joints.thread_ends import thread_gap, thread_of
from fitment.quantity.show import show_taper


@dataclass(frozen=True)
class Pair:
    """The stud and the eye that a rule looks at, with the trials recorded of the two."""

    stud: Feature
    eye: Feature
    setting: Setting
    trials: tuple[Trial, ...]
    settled: Trial | None

    @property
    def joint(self) -> tuple[str, str]:
        """The names of the two."""
        return self.stud.name, self.eye.name

    def limit(self, name: str) -> float:
        """The value of a limit."""
        return self.setting.limits[name].value


def direction(pair: Pair) -> Finding:
    """cone-01: the eye opens to the side from which the stud comes."""
    code = pages.DIRECTION.code
    if pair.settled is not None and pair.settled.dimension == "reamed-to":
        because = f"the eye was reamed to this very stud ({pair.settled.use.source})"
        return Finding(code, pair.joint, Verdict.FITS, because, basis=Basis.TRIAL, uses=(pair.settled.use,))
    opens, enters = pair.eye.get("opens"), pair.setting.facts.get("enters")
    gaps = [] if opens is not None else [pair.eye.gap("opens")]
    if enters not in ("below", "above"):
        gaps.append(Gap(pair.stud.name, "enters", "the kit does not say from which side the stud comes"))
    if opens is None or gaps:
        return missing(code, pair.joint, gaps, () if opens is None else (opens,))
    right = opens.word == ("down" if enters == "below" else "up")
    verdict = Verdict.FITS if right else Verdict.DOES_NOT_FIT
    because = f"the eye opens {opens.word} and the stud comes from {enters}"
    return Finding(code, pair.joint, verdict, because, uses=(opens,))


def cones(pair: Pair, seated: Seating) -> Finding:
    """cone-02: the two tapers agree, by trial where there is one, else by their ratios."""
    code, limit = pages.CONES.code, pair.limit("cone_mismatch")
    profile = pair.eye.get("profile")
    if profile is not None and profile.word == "parallel":
        because = "the eye is parallel, which is no seat for a tapered stud"
        return Finding(code, pair.joint, Verdict.DOES_NOT_FIT, because, uses=(profile,))
    failed = next((trial for trial in pair.trials if not trial.passed), None)
    least = pair.limit("contact_fraction")
    poor = next((trial for trial in pair.trials if trial.contact is not None and trial.contact < least), None)
    if failed is not None:
        because = f"tried stud in eye, they do not seat ({failed.use.source})"
        return Finding(code, pair.joint, Verdict.DOES_NOT_FIT, because, basis=Basis.TRIAL, uses=(failed.use,))
    if poor is not None and poor.contact is not None:
        because = f"blueing shows contact over {poor.contact:.0%} where {least:.0%} is asked ({poor.use.source})"
        return Finding(code, pair.joint, Verdict.DOES_NOT_FIT, because, basis=Basis.TRIAL, uses=(poor.use,))
    if pair.settled is not None:
        trial = pair.settled
        how = "reamed to this very stud" if trial.dimension == "reamed-to" else f"blueing: contact {trial.contact:.0%}"
        because = f"{how} ({trial.use.source})"
        return Finding(code, pair.joint, Verdict.FITS, because, basis=Basis.TRIAL, uses=(trial.use,))
    stud, eye = seated.stud, seated.eye
    margin = formula(lambda s, e: limit - where(s > e, s - e, e - s), stud.ratio, eye.ratio)
    finding = answer(code, pair.joint, margin, "", pair.setting, lambda: _cones_say(seated, limit))
    sizes = (stud.large, stud.ratio, stud.length, eye.large, eye.ratio, eye.length)
    figures = {
        "gap_far": (formula(lambda *values: seat(*values).gap_far, *sizes), "mm"),
        "rock": (formula(rock_half_angle, stud.ratio, eye.ratio), "deg"),
    }
    return with_figures(finding, figures, pair.setting)


def out_of_round(pair: Pair) -> Gap | None:
    """An eye that is oval or worn wide at its mouth beyond the limit, unless it was reamed to this stud since."""
    if pair.settled is not None and pair.settled.dimension == "reamed-to":
        return None
    allowed = pair.limit("eye_oval")
    for name in ("oval", "bell-mouth"):
        off = size_of(pair.eye, name)
        if off.known and off.central > allowed:
            words = "out of round by" if name == "oval" else "wider at its mouth by"
            return Gap(pair.eye.name, name, f"{words} {mm(off.central)}, {mm(allowed)} is allowed")
    return None


def worn(pair: Pair, finding: Finding) -> Finding:
    """cone-02 with what is known of the state of the eye: out of round, or machined without a trial of this stud."""
    gap = out_of_round(pair)
    if gap is not None and finding.verdict is Verdict.FITS:
        because = f"{finding.because}; but the eye is {gap.why}"
        finding = replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=(*finding.gaps, gap))
    machined = pair.eye.get("machined")
    if machined is None or machined.word not in ("reamed", "bored", "sleeved") or pair.settled is not None:
        return finding
    caution = f"The eye was {machined.word} before and no trial with this stud is recorded: try the stud in it, blued."
    return replace(finding, cautions=(*finding.cautions, caution))


def _cones_say(seated: Seating, limit: float) -> str:
    stud, eye = seated.stud, seated.eye
    own, other = stud.ratio.central, eye.ratio.central
    text = f"{show_taper(own)} stud in {show_taper(other)} eye: tapers differ by {abs(own - other):.4f}, "
    text += f"{limit:.4f} is allowed"
    sizes = (stud.large, stud.ratio, stud.length, eye.large, eye.ratio, eye.length)
    if abs(own - other) <= limit or not all(size.known for size in sizes):
        return text
    found = seat(*(size.central for size in sizes))
    ring, gap = Ring(int(found.ring)).words, mm(float(found.gap_far))
    return (
        f"{text}; it touches only at {ring}, gapes {gap} at the far end and rocks {rock_half_angle(own, other):.2f} deg"
    )


def seat_margin(pair: Pair, seated: Seating) -> Size:
    """What cone-03 holds against zero, mm: contact and stand-off at once."""
    fraction, least = pair.limit("contact_fraction"), pair.limit("stand_off_min")
    margin = formula(
        lambda contact, H, a: minimum(contact - fraction * H, a - least),
        seated.contact,
        seated.eye.length,
        seated.stand_off,
    )
    flange = size_of(pair.stud, "flange")
    if flange.known:
        # a flange on the face stops the stud while the cone is still loose
        return formula(
            lambda margin, Df, De, a: where((Df > De) & (a < 0), minimum(margin, a), margin),
            margin,
            flange,
            seated.eye.large,
            seated.stand_off,
        )
    return margin if least >= 0 else formula(lambda margin, Df: margin, margin, flange)


def seating_rule(pair: Pair, seated: Seating) -> Finding:
    """cone-03: stand-off and contact."""
    finding = answer(
        pages.SEAT.code,
        pair.joint,
        seat_margin(pair, seated),
        "mm",
        pair.setting,
        lambda: seated.say(_seat_says(pair, seated)),
    )
    if pair.settled is not None and not seated.note:
        tried = pair.settled.stand_off in seated.stand_off.uses
        basis = Basis.TRIAL if tried else None
        uses = tuple(dict.fromkeys((*finding.uses, pair.settled.use)))
        finding = replace(finding, basis=basis, uses=uses)
    fraction = formula(lambda contact, length: contact / length, seated.contact, seated.eye.length)
    of_stud = formula(lambda contact, length: contact / length, seated.contact, seated.stud.length)
    figures = {
        "stand_off": (seated.stand_off, "mm"),
        "contact_length": (seated.contact, "mm"),
        "contact_fraction": (fraction, ""),
        "contact_fraction_of_stud": (of_stud, ""),
    }
    return with_figures(finding, figures, pair.setting)


def _seat_says(pair: Pair, seated: Seating) -> str:
    a, contact, H = seated.stand_off.central, seated.contact.central, seated.eye.length.central
    stands = f"the stud stands {mm(a)} proud of the large face" if a >= 0 else f"the stud sinks {mm(-a)} below the face"
    least = pair.limit("contact_fraction")
    return f"{stands} and touches over {mm(contact)} of {mm(H)}, {contact / H:.0%} where {least:.0%} is asked"


def passes(pair: Pair, seated: Seating) -> Finding:
    """cone-04: the thread passes the small end."""
    thread = thread_of(pair.stud)
    small = seated.eye.small
    if thread is None:
        return missing(pages.PASSES.code, pair.joint, [thread_gap(pair.stud), *small.gaps])
    finding = answer(
        pages.PASSES.code,
        pair.joint,
        formula(lambda d: thread_clearance(d, thread.nominal), small),
        "mm",
        pair.setting,
        lambda: seated.say(f"the small end is {mm(small.central)} and the thread {mm(thread.nominal)} across"),
    )
    return replace(finding, uses=finding.uses + names(pair.stud, ["thread"]))
