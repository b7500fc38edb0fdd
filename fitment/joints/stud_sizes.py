"""The sizes of a stud and an eye from whatever readings there are, and where the one sits in the other."""

from __future__ import annotations

import math
from contextlib import suppress
from dataclasses import replace
from typing import Any

from fitment.elementwise import maximum, minimum
from fitment.errors import DataFault
from fitment.finding import Basis, Gap, Use
from fitment.frozen import dataclass
from fitment.joints.answering import Size, formula, half_width_u, lacking, reading, size_of
from fitment.joints.cone_seat import Seat, elastic_contact_length, elastic_limit, seat
from fitment.joints.registration import Feature, Trial
from fitment.quantity.parse import parse_taper
from fitment.quantity.show import show_taper
from fitment.standards.cones import diameter_at, ratio_from_diameters

#: half-width on the ratio that a cone has which passed a blued taper gauge (own reasoning, no source)
GAUGED = 0.001

#: a gauge that passed and differs from the adopted ratio by more than this tells of another cone (own reasoning)
_SAME_CONE = 0.003

#: standard uncertainty of the ratio of a cone as made (own reasoning, no source)
_MADE = 0.0005

#: bore over outside diameter for which the elastic give of an eye is reckoned (as in cone_mismatch)
_BORE_RATIO = 0.5


@dataclass(frozen=True)
class Cone:
    """One cone: large and small end, length along the axis, all mm, and its ratio (D - d)/L."""

    large: Size
    small: Size
    length: Size
    ratio: Size


def gauges_tried(feature: Feature, passed: bool) -> list[tuple[float, Trial]]:
    """The taper gauges that the feature passed, or failed, with their ratios; those that can be read.

    Hearsay of a gauge counts only where no gauge was tried at first hand.
    """
    found = []
    trials = [trial for trial in feature.trials if trial.dimension == "gauge-trial"]
    for trial in [trial for trial in trials if not trial.use.hearsay] or trials:
        if trial.passed is not passed:
            continue
        with suppress(DataFault):
            found.append((parse_taper(trial.against).ratio, trial))
    return found


def gauged_ratio(feature: Feature) -> Use | None:
    """The ratio of the taper gauge that the feature passed; None where it passed none that can be read."""
    for ratio, trial in gauges_tried(feature, True):
        u = half_width_u(GAUGED)
        return replace(
            trial.use,
            feature=feature.name,
            dimension="taper",
            value=ratio,
            u=u,
            unit="",
            basis=Basis.TRIAL,
            shape="rectangular",
        )
    return None


def _gauges_disagree(feature: Feature, own: Size) -> Gap | None:
    """Gauge trials against one another and against the cone that the feature is taken to have."""
    passed, adopted = gauges_tried(feature, True), feature.get("taper")
    ratios = [ratio for ratio, _ in passed]
    if ratios and max(ratios) - min(ratios) > GAUGED:
        both = f"gauges of {show_taper(min(ratios))} and of {show_taper(max(ratios))} both passed"
        return Gap(feature.name, "taper", f"in conflict: {both}")
    if ratios and adopted is not None and not isinstance(adopted.value, str):
        allowed = max(_SAME_CONE, 3 * (adopted.u or 0.0))
        if abs(ratios[0] - adopted.number) > allowed:
            why = f"in conflict: {show_taper(adopted.number)}, but a gauge of {show_taper(ratios[0])} passed"
            return Gap(feature.name, "taper", why)
    for ratio, _ in gauges_tried(feature, False):
        if own.known and abs(ratio - own.central) <= GAUGED:
            why = f"in conflict: {show_taper(own.central)}, but a gauge of {show_taper(ratio)} failed"
            return Gap(feature.name, "taper", why)
    return None


def _contradiction(feature: Feature, large: Size, small: Size, length: Size, own: Size) -> Gap | None:
    """Four sizes of one cone that do not belong together, beyond three standard uncertainties."""
    if not all(size.known for size in (large, small, length, own)):
        return None
    u_large, u_small, u_length, u_own = (size.uses[0].u or 0.0 for size in (large, small, length, own))
    drop, along, ratio = large.central - small.central, length.central, own.central
    u = math.hypot(u_large, u_small, ratio * u_length, along * math.hypot(u_own, _MADE))
    if abs(ratio * along - drop) <= 3 * u or along <= 0:
        return None
    found = show_taper(drop / along) if drop > 0 else "no taper"
    why = f"sizes contradict each other: large, small and length give {found}, the cone is {show_taper(ratio)}"
    return Gap(feature.name, "taper", why)


def cone_of(feature: Feature, length_name: str) -> Cone:
    """The cone of a stud (`length_name` "length") or an eye ("thick"): any three of its four sizes give the fourth.

    A ratio that was identified, stated or tried on a gauge comes before one that was only measured. A size whose
    readings conflict or decide nothing is not derived from the others: it is not known and says why.
    """
    large, small, length = (size_of(feature, name) for name in ("large", "small", length_name))
    adopted, gauged = feature.get("taper"), gauged_ratio(feature)
    own = size_of(feature, "taper")

    def wanting(name: str, size: Size) -> bool:
        return not size.known and name not in feature.gaps

    if "taper" not in feature.gaps and gauged is not None and (adopted is None or adopted.basis is Basis.MEASURED):
        own = reading(gauged)
    contrary = _gauges_disagree(feature, own) or _contradiction(feature, large, small, length, own)
    if contrary is not None:
        return Cone(lacking(contrary), lacking(contrary), length, lacking(contrary))
    if wanting("taper", own) and large.known and small.known and length.known:
        own = formula(ratio_from_diameters, large, small, length)
        refused = _gauges_disagree(feature, own)
        own = own if refused is None else lacking(refused)
    if wanting(length_name, length) and large.known and small.known and own.known and own.central > 0:
        length = formula(lambda D, d, C: (D - d) / maximum(C, 1e-9), large, small, own)
    if wanting("large", large) and small.known:
        large = formula(lambda d, C, L: d + C * L, small, own, length)
    if wanting("small", small):
        small = formula(diameter_at, large, own, length)
    return Cone(large, small, length, own)


@dataclass(frozen=True)
class Seating:
    """A stud in an eye, as it is or as it would be after work.

    Attributes:
        stud, eye: the two cones.
        stand_off: gauge plane proud of the large face, mm.
        contact: length over which the cones touch once tightened, mm.
        note: "" as it is, else "once reamed" and the like, for the sentences.
    """

    stud: Cone
    eye: Cone
    stand_off: Size
    contact: Size
    note: str = ""

    def say(self, sentence: str) -> str:
        """The sentence, with the note before it."""
        return f"{self.note}: {sentence}" if self.note else sentence


def at_first_touch(stud: Cone, eye: Cone, eye_yield: float) -> Seating:
    """Seated from the sizes of both cones; `eye_yield` in MPa bounds the elastic give of unequal ones."""
    sizes = (stud.large, stud.ratio, stud.length, eye.large, eye.ratio, eye.length)

    touch = formula(seat, *sizes)

    def contact(found: Seat, stud_ratio: Any, eye_large: Any, eye_ratio: Any) -> Any:
        give = elastic_limit(eye_large, eye_yield, _BORE_RATIO)
        return elastic_contact_length(give, stud_ratio - eye_ratio, found.overlap)

    return Seating(
        stud,
        eye,
        formula(lambda found: found.stand_off, touch),
        formula(contact, touch, stud.ratio, eye.large, eye.ratio),
    )


def at_stand_off(stud: Cone, eye: Cone, stand_off: Size, note: str = "") -> Seating:
    """Seated at a known stand-off in an eye known by the stud: its cone is the stud's, moved by the stand-off."""
    large = formula(lambda D, C, a: D - C * a, stud.large, stud.ratio, stand_off)
    fitted = Cone(large, formula(diameter_at, large, stud.ratio, eye.length), eye.length, stud.ratio)
    contact = formula(
        lambda L, H, a: maximum(minimum(H, L - a) - maximum(0.0, -a), 0.0), stud.length, eye.length, stand_off
    )
    return Seating(stud, fitted, stand_off, contact, note)


def stale_eye(stud: Feature, eye: Feature) -> Gap | None:
    """Why the sizes of an eye and the trials made in it are not those of its present hole; None where they are."""
    profile = eye.get("profile")
    if profile is not None and profile.word == "parallel":
        return Gap(eye.name, "profile", "parallel: it has no cone")
    for trial in eye.trials:
        if trial.dimension == "reamed-to" and trial.passed and trial.against != stud.name:
            return Gap(eye.name, "reamed-to", f"reamed since to {trial.against}: measure it again")
    return None


def resting_on(size: Size, *evidence: Use) -> Size:
    """The size, resting on a trial or reading besides that does not enter its formula."""
    return replace(size, uses=tuple(dict.fromkeys((*size.uses, *evidence))))


def trials_between(stud: Feature, eye: Feature) -> list[Trial]:
    """Blueing and reaming recorded of these two, on either of them."""
    return [
        trial
        for one, other in ((stud, eye), (eye, stud))
        for trial in one.trials
        if trial.dimension in ("seat-trial", "reamed-to") and trial.against == other.name
    ]


def settling(trials: list[Trial], contact_fraction: float) -> Trial | None:
    """The trial that proves the cones equal: reamed to the stud, or blued with enough contact; none if any failed.

    Of several the reaming counts, then one with a stand-off.
    """
    if any(not trial.passed for trial in trials):
        return None
    for trial in sorted(trials, key=lambda trial: (trial.dimension != "reamed-to", trial.stand_off is None)):
        enough = trial.dimension == "reamed-to" if trial.contact is None else trial.contact >= contact_fraction
        if enough:
            return trial
    return None


def seating(stud: Feature, eye: Feature, settled: Trial | None, eye_yield: float) -> Seating:
    """Where the stud sits as it is: by the stand-off recorded in the trial that settles it, else by the sizes."""
    stud_cone, eye_cone = cone_of(stud, "length"), cone_of(eye, "thick")
    stale = stale_eye(stud, eye)
    if stale is not None:
        unknown = lacking(stale)
        return at_first_touch(stud_cone, Cone(unknown, unknown, eye_cone.length, unknown), eye_yield)
    if settled is None:
        return at_first_touch(stud_cone, eye_cone, eye_yield)
    if settled.stand_off is not None:
        sits = at_stand_off(stud_cone, eye_cone, resting_on(reading(settled.stand_off), settled.use))
        if settled.dimension == "reamed-to" or not eye_cone.small.known:
            return sits
        return replace(sits, eye=replace(sits.eye, small=eye_cone.small))  # blueing leaves the eye as it was measured
    if settled.dimension == "reamed-to":  # diameters of the eye may be older than the reaming
        return at_stand_off(stud_cone, eye_cone, lacking(eye.gap("stand-off")))
    fitted = replace(eye_cone, ratio=resting_on(stud_cone.ratio, settled.use))
    return at_first_touch(stud_cone, fitted, eye_yield)
