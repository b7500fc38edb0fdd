"""The sizes of a stud and an eye from whatever readings there are, and where the one sits in the other."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from fitment.elementwise import maximum, minimum
from fitment.errors import DataFault
from fitment.finding import Basis, Use
from fitment.joints.answering import Size, formula, half_width_u, lacking, reading, size_of
from fitment.joints.cone_seat import Seat, elastic_contact_length, elastic_limit, seat
from fitment.joints.registration import Feature, Trial
from fitment.quantity.parse import parse_taper
from fitment.standards.cones import diameter_at, ratio_from_diameters

#: half-width on the ratio that a cone has which passed a blued taper gauge (own reasoning, no source)
GAUGED = 0.001

#: bore over outside diameter for which the elastic give of an eye is reckoned (as in cone_mismatch)
_BORE_RATIO = 0.5


@dataclass(frozen=True)
class Cone:
    """One cone: large and small end, length along the axis, all mm, and its ratio (D - d)/L."""

    large: Size
    small: Size
    length: Size
    ratio: Size


def gauged_ratio(feature: Feature) -> Use | None:
    """The ratio of the taper gauge that the feature passed; None where it passed none that can be read."""
    for trial in feature.trials:
        if trial.dimension != "gauge-trial" or not trial.passed:
            continue
        try:
            ratio = parse_taper(trial.against).ratio
        except DataFault:
            continue
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


def cone_of(feature: Feature, length_name: str) -> Cone:
    """The cone of a stud (`length_name` "length") or an eye ("thick"): any three of its four sizes give the fourth.

    A ratio that was identified, stated or tried on a gauge comes before one that was only measured.
    """
    large, small, length = (size_of(feature, name) for name in ("large", "small", length_name))
    adopted, gauged = feature.get("taper"), gauged_ratio(feature)
    own = size_of(feature, "taper")
    if gauged is not None and (adopted is None or adopted.basis is Basis.MEASURED):
        own = reading(gauged)
    if not own.known and large.known and small.known and length.known:
        own = formula(ratio_from_diameters, large, small, length)
    if not length.known and large.known and small.known and own.known and own.central > 0:
        length = formula(lambda D, d, C: (D - d) / maximum(C, 1e-9), large, small, own)
    if not large.known and small.known:
        large = formula(lambda d, C, L: d + C * L, small, own, length)
    if not small.known:
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

    def contact(*values: Any) -> Any:
        found: Seat = seat(*values)
        give = elastic_limit(values[3], eye_yield, _BORE_RATIO)
        return elastic_contact_length(give, values[1] - values[4], found.overlap)

    return Seating(stud, eye, formula(lambda *values: seat(*values).stand_off, *sizes), formula(contact, *sizes))


def at_stand_off(stud: Cone, eye: Cone, stand_off: Size, note: str = "") -> Seating:
    """Seated at a known stand-off in an eye known by the stud: its cone is the stud's, moved by the stand-off."""
    large = formula(lambda D, C, a: D - C * a, stud.large, stud.ratio, stand_off)
    fitted = Cone(large, formula(diameter_at, large, stud.ratio, eye.length), eye.length, stud.ratio)
    contact = formula(
        lambda L, H, a: maximum(minimum(H, L - a) - maximum(0.0, -a), 0.0), stud.length, eye.length, stand_off
    )
    return Seating(stud, fitted, stand_off, contact, note)


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
    if settled is None:
        return at_first_touch(stud_cone, eye_cone, eye_yield)
    if settled.stand_off is not None:
        return at_stand_off(stud_cone, eye_cone, reading(settled.stand_off))
    if settled.dimension == "reamed-to":  # diameters of the eye may be older than the reaming
        return at_stand_off(stud_cone, eye_cone, lacking(eye.gap("stand-off")))
    fitted = replace(eye_cone, ratio=stud_cone.ratio)
    return at_first_touch(stud_cone, fitted, eye_yield)
