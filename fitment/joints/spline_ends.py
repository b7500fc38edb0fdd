"""What a splined or profiled end is, by its readings and its trade name: count, form, class of the trade."""

from __future__ import annotations

import math

from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.joints.registration import Feature
from fitment.standards.splines import TradeSpline, trade_splines

#: profiles that have no teeth to count
PROFILES = frozenset({"DD", "triangular", "plain"})

#: how far diameters lie below the name where nobody measured, and beside what owners measured, mm. Common practice and
#: own choice, no source.
_BELOW_NAME, _BESIDE_OWNERS = 0.8, 0.05

#: fewer teeth than this are no spline of a steering shaft; own choice, no source
_FEWEST = 6


@dataclass(frozen=True)
class Ends:
    """A shaft and a bore.

    Attributes:
        male: the shaft.
        female: the bore.
        joint: names of the two in the order in which they were handed over.
    """

    male: Feature
    female: Feature
    joint: tuple[str, str]


@dataclass(frozen=True)
class Count:
    """Teeth over the full circle.

    Attributes:
        teeth: the count.
        slack: how many teeth it may be off: 1 for a count by eye.
        uses: what it rests on.
    """

    teeth: int
    slack: int
    uses: tuple[Use, ...]


def trade_class(feature: Feature) -> TradeSpline | None:
    """What the trade means by the name of an end; None where it has none, or one that is not in the table."""
    use = feature.get("name")
    if use is None:
        return None
    wanted = " ".join(use.word.split()).casefold()
    return next((spline for spline in trade_splines() if spline.name.casefold() == wanted), None)


def same_class(first: Feature, second: Feature) -> TradeSpline | None:
    """The class of the trade that both are called; None where they are not called the same."""
    one, other = trade_class(first), trade_class(second)
    return one if one is not None and one == other else None


def count_of(feature: Feature) -> Count | Gap:
    """The teeth of an end: counted, or by its trade name where nobody counted; else why it is not known."""
    use, named, label = feature.get("spline"), trade_class(feature), feature.get("name")
    if use is None:
        if "spline" not in feature.gaps and named is not None and named.teeth is not None and label is not None:
            return Count(named.teeth, 0, (label,))
        if "spline" not in feature.gaps and (beside := feature.get("present")) is not None:
            return Gap(feature.name, "spline", f"{beside.number:g} present beside a flat do not tell the full circle")
        return feature.gap("spline")
    teeth = round(use.number)
    if abs(use.number - teeth) > 0.01:
        return Gap(feature.name, "spline", f"counts that disagree ({use.number:.1f} in the mean)")
    if teeth < _FEWEST:
        return Gap(feature.name, "spline", f"{teeth} teeth are too few: count again")
    present = feature.get("present")
    # a tool's half-width as a standard uncertainty is a/sqrt(3); a doubt of less than one tooth leaves one whole count
    slack = math.floor((use.u or 0.0) * math.sqrt(3.0) + 1e-6)
    if present is not None and present.number > teeth + slack + 0.5:
        return Gap(feature.name, "spline", f"{present.number:g} teeth present are more than the {teeth} counted")
    if slack and label is not None and named is not None and named.teeth == teeth:
        return Count(teeth, 0, (use, label))
    return Count(teeth, slack, (use,))


def form_of(feature: Feature) -> tuple[str, tuple[Use, ...]]:
    """The form of an end and what it rests on; "" where nobody knows, "DD" by a trade name that says so."""
    use, named, label = feature.get("form"), trade_class(feature), feature.get("name")
    if use is not None and use.word != "unknown":
        return use.word, (use,)
    if named is not None and named.form == "double-D" and label is not None and "form" not in feature.gaps:
        return "DD", (label,)
    return "", ()


def toothed(feature: Feature) -> tuple[Use, ...]:
    """What says that an end has teeth, whatever their form; empty where nothing does."""
    count = count_of(feature)
    if form_of(feature)[0] in PROFILES or isinstance(count, Gap):
        return ()
    return count.uses


def diameters(spline: TradeSpline) -> tuple[float, float]:
    """Between which diameters a shaft of that name reads, mm."""
    if spline.measured is not None:
        return spline.measured[0] - _BESIDE_OWNERS, spline.measured[1] + _BESIDE_OWNERS
    return spline.nominal_od - _BELOW_NAME, spline.nominal_od
