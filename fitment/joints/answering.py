"""Sizes as formulas of readings, and the one way from a margin to a finding.

A `Size` is evaluated twice: over samples for the doubt, and at the adopted values for the words. A size that lacks a
reading carries the gap instead, so that a formula of it is not known either and names what is missing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from itertools import chain
from typing import TYPE_CHECKING, Any, TypeVar

from fitment.doubt import Draws, Traced, is_clear, judged, margin_of, quantiles
from fitment.finding import Figure, Finding, Gap, Use, Verdict
from fitment.frozen import dataclass
from fitment.joints.registration import Feature, Setting, missing

if TYPE_CHECKING:
    from fitment.doubt import Sample

T = TypeVar("T")
Pick = Callable[[Use], Any]

#: why a reading that is there leaves a gap
TOO_COARSE = "too coarse for this margin"


def adopted(use: Use) -> float:
    """How a size is worked out at the adopted values, which is done once."""
    return use.number


@dataclass(frozen=True)
class Size:
    """A size that follows from readings.

    Attributes:
        at: its value, given how to pick the value of a reading: a number, or samples of it.
        uses: the readings that it follows from.
        gaps: what is missing for it; a size with gaps has no value.
        costly: whether samples of it cost so much that few are taken where these tell (`drawn`).
    """

    at: Callable[[Pick], Any]
    uses: tuple[Use, ...] = ()
    gaps: tuple[Gap, ...] = ()
    costly: bool = False

    @property
    def known(self) -> bool:
        """Whether nothing is missing for it."""
        return not self.gaps

    @property
    def central(self) -> float:
        """Its value at the adopted values."""
        return float(self.at(adopted))


def _no_value(pick: Pick) -> Any:
    raise LookupError("a size with gaps has no value")


def reading(use: Use) -> Size:
    """A size that is one reading."""
    return Size(lambda pick: pick(use), (use,))


def fixed(value: float) -> Size:
    """A size that is a plain number, without doubt."""
    return Size(lambda pick: value)


def lacking(*gaps: Gap) -> Size:
    """A size that is not known."""
    return Size(_no_value, gaps=gaps)


def size_of(feature: Feature, dimension: str) -> Size:
    """The adopted value of a dimension as a size; not known where it has none, or where it is a word."""
    use = feature.get(dimension)
    return lacking(feature.gap(dimension)) if use is None or isinstance(use.value, str) else reading(use)


def _each_once(lists: list[tuple[T, ...]]) -> tuple[T, ...]:
    """Their members in order, each once; lists that are one and the same are looked through once."""
    some = {id(one): one for one in lists if one}
    if len(some) < 2:
        return next(iter(some.values()), ())
    return tuple(dict.fromkeys(chain.from_iterable(some.values())))


def formula(rule: Callable[..., Any], *sizes: Size, costly: bool = False) -> Size:
    """A size that follows from others; `rule` takes their values, floats or arrays. What is costly makes it so."""
    uses, gaps = _each_once([size.uses for size in sizes]), _each_once([size.gaps for size in sizes])
    if gaps:
        return Size(_no_value, uses, gaps)

    central: list[Any] = []

    def at(pick: Pick) -> Any:
        def make() -> Any:
            return rule(*[size.at(pick) for size in sizes])

        if pick is adopted:
            if not central:
                central.append(make())
            return central[0]
        return pick.once(at, make) if isinstance(pick, Draws) else make()

    return Size(at, uses, costly=costly or any(size.costly for size in sizes))


def sampled(size: Size, draws: Draws) -> Any:
    """Samples of a size, shape (draws.count,)."""
    import numpy as np

    return np.broadcast_to(np.asarray(size.at(draws), dtype=float), (draws.count,))


def drawn(size: Size, draws: Draws) -> tuple[Sample, Draws]:
    """Samples of a size that is asked which side of zero it lies on, and the draws that they are of.

    Of a costly size the first few samples where they tell, of any other all.
    """
    if size.costly and draws.few is not draws:
        sample = sampled(size, draws.few)
        if is_clear(sample):
            return sample, draws.few
    return sampled(size, draws), draws


def spread(size: Size, draws: Draws) -> tuple[float, float]:
    """The 2.3 % and 97.7 % quantiles of a size."""
    return quantiles(drawn(size, draws)[0])


def doubt_of(size: Size, draws: Draws) -> float:
    """Standard uncertainty of a size; a few samples tell it to 1.1 % where it is costly (1/sqrt(2 n))."""
    return float(sampled(size, draws.few if size.costly else draws).std())


def figures_of(sizes: Mapping[str, tuple[Size, str]], draws: Draws) -> dict[str, Figure]:
    """Figures from named sizes with their units; those not known are left out."""
    return {
        name: Figure(size.central, doubt_of(size, draws), unit) for name, (size, unit) in sizes.items() if size.known
    }


def answer(
    rule: str, joint: tuple[str, str], margin: Size, unit: str, setting: Setting, words: Callable[[], str]
) -> Finding:
    """The finding of a rule that is one margin.

    A margin that the doubt carries to one side while the adopted values lie on the other proves nothing: near a kink
    (equal cones, two limits at once) the samples all fall short of the adopted values. It is *not known* then.

    Args:
        words: the sentence with the numbers; called only where nothing is missing.
    """
    if not margin.known:
        return missing(rule, joint, list(margin.gaps), margin.uses)
    sample, draws = drawn(margin, setting.draws)
    found = margin_of(sample, unit)
    setting.draws.trace(found, Traced(margin.at, margin.uses))
    verdict = judged(found)
    middle = margin.central
    if (verdict is Verdict.FITS and not middle > 0) or (verdict is Verdict.DOES_NOT_FIT and not middle < 0):
        verdict = Verdict.NOT_KNOWN
    finding = Finding(rule, joint, verdict, words(), margin=found, uses=margin.uses)
    if verdict is not Verdict.NOT_KNOWN:
        return finding
    # a doubt that vanishes beside its value draws samples that are all alike, of which no share can be told
    doubtful = [use for use in margin.uses if use.u and not _certain(use, draws.count)]
    leading = draws.leading(sample, doubtful)
    if leading is None:
        return replace(finding, because=f"{finding.because}; that is exactly on the limit")
    gap = Gap(leading.feature, leading.dimension, TOO_COARSE)
    because = f"{finding.because}; the doubt is larger than the margin, and most of it is {gap.feature} {gap.dimension}"
    return replace(finding, because=because, gaps=(gap,))


def _certain(use: Use, count: int) -> bool:
    """Whether the doubt of a number vanishes beside it; a point's is weighed as it is."""
    return not isinstance(use.value, str) and use.number + (use.u or 0.0) / count == use.number


def mm(value: float) -> str:
    """A length as the sentences say it, to 0.01 mm."""
    text = f"{value:.2f}"
    return f"{'0.00' if text == '-0.00' else text} mm"


def with_figures(finding: Finding, sizes: Mapping[str, tuple[Size, str]], setting: Setting) -> Finding:
    """The finding with figures added."""
    return replace(finding, figures={**finding.figures, **figures_of(sizes, setting.draws)})


def names(feature: Feature, dimensions: Iterable[str]) -> tuple[Use, ...]:
    """The adopted values of these dimensions, those that there are."""
    return tuple(use for dimension in dimensions if (use := feature.get(dimension)) is not None)


def half_width_u(half_width: float) -> float:
    """Standard uncertainty of a rectangular half-width: a/sqrt(3) (JCGM 100, 4.3.7)."""
    return half_width / math.sqrt(3.0)
