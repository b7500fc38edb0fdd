"""What an unmeasured dimension might turn out to be: for ranking readings only, never for a verdict.

Numbers are spread evenly over the plausible range of the dictionary, or of ``plausible.csv`` where it has none; words
over those that the dictionary allows; a cone over those met on steering; a free word is recorded or not. What was only
said, or copied from the other side, has even odds of being so; what was read too coarsely is what it was read as.
Points are in `plausible_points`.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitment.catalogue.dictionary import Dimension, dimensions_of
from fitment.finding import Basis, Use
from fitment.frozen import dataclass
from fitment.joints.registration import Feature
from fitment.quantity.points import Triple, point_text
from fitment.quantity.units import canonical_unit, unit_named
from fitment.standards.cones import all_cones

if TYPE_CHECKING:
    import numpy as np

#: source of a value that was drawn, in place of a reading's
DRAWN = "drawn for ranking only"
#: a free word: something is recorded, or the box stays empty
RECORDED = ("recorded", "none")
#: odds that what was only said, or copied from the other side, is so
_SAID = 0.5
_NO_VALUES = ("point", "distances", "trial")


@dataclass(frozen=True)
class Plausible:
    """What a dimension of one feature might be.

    Attributes:
        feature, dimension: the full name of the feature, and the dimension.
        words: what a word might be, with its odds; empty for a number.
        use: the value put in for a number, which the samples replace; None for a word; of a point as it was said.
        low, high: the range that a number is drawn from; both None where it is drawn as it was read or from `steps`.
        steps: the values that a number is drawn from, for what comes in steps.
        box: lowest and highest corner, mm, that a point is drawn between; None for what is no point.
        said: whether half of the samples are what was said.
        told: the range in words.
    """

    feature: str
    dimension: Dimension
    words: tuple[tuple[str, float], ...] = ()
    use: Use | None = None
    low: float | None = None
    high: float | None = None
    steps: tuple[float, ...] = ()
    said: bool = False
    told: str = ""
    box: tuple[Triple, Triple] | None = None

    @property
    def key(self) -> tuple[str, str]:
        """Feature and dimension."""
        return self.feature, self.dimension.dimension

    def word(self, word: str) -> Use:
        """A word, as a value in force."""
        return Use(*self.key, word, None, None, Basis.MEASURED, source=DRAWN, shown=word)

    def point(self, where: Sequence[float], as_said: bool, error: float) -> Use:
        """A point, as a value in force that a tool has read.

        Args:
            where: how far through the box in x, y and z, 0 to 1.
            as_said: whether it lies as it was said, if it was.
            error: half-width of the tool's error, mm.

        Raises:
            ValueError: it is no point.
        """
        if self.box is None:
            raise ValueError(f"{self.dimension.dimension} is no point")
        x, y, z = (low + (high - low) * share for low, high, share in zip(*self.box, where, strict=True))
        text = point_text((x, y, z))
        if self.said and as_said and self.use is not None:
            text = self.use.word
        u = error / 3**0.5
        return Use(*self.key, text, u, "mm", Basis.MEASURED, source=DRAWN, shape="rectangular", shown=text)

    def samples(self, count: int, as_read: Any, draw: np.random.Generator) -> Any:
        """Samples of a number, shape (count,), in its canonical unit; `as_read` those of the value as it was read."""
        if self.steps:
            found: Any = draw.choice(self.steps, count)
        elif self.low is not None and self.high is not None:
            found = draw.uniform(self.low, self.high, count)
        else:
            return as_read
        if self.said:
            import numpy as np

            found = np.where(draw.uniform(size=count) < _SAID, as_read, found)
        return found


def plausible(feature: Feature, name: str) -> Plausible | None:
    """What a dimension might be; None where nothing bounds it, or where it is no dimension of the feature."""
    dimension = dimensions_of(feature.kind).get(name)
    if dimension is None or dimension.value_kind in _NO_VALUES:
        return None
    use = feature.get(name)
    said = use is not None and (use.hearsay or use.assumed)
    if dimension.value_kind in ("word", "thread"):
        return _word(feature, dimension, use.word if use is not None else "")
    bounds = _bounds(feature.kind, dimension)
    steps = tuple(cone.ratio for cone in all_cones() if cone.met_on_steering) if name == "taper" else ()
    if use is not None and not isinstance(use.value, str):
        value = replace(use, hearsay=False, assumed=False, source=DRAWN)
        spread = bounds if said and not steps else None
        told = "as said or, as often, anything usual" if said else "as read so far"
        low, high = spread or (None, None)
        return Plausible(feature.name, dimension, (), value, low, high, steps if said else (), said, told)
    if steps:
        value = _put_in(feature, dimension, min(steps), max(steps))
        return Plausible(feature.name, dimension, (), value, steps=steps, told="a cone met on steering")
    if bounds is None:
        return None
    value, symbol = _put_in(feature, dimension, *bounds), canonical_unit(dimension.value_kind).symbol
    told = f"{bounds[0]:g} to {bounds[1]:g} {symbol}".strip()
    return Plausible(feature.name, dimension, (), value, *bounds, told=told)


def _put_in(feature: Feature, dimension: Dimension, low: float, high: float) -> Use:
    unit = "" if dimension.value_kind == "taper" else canonical_unit(dimension.value_kind).symbol
    half = (high - low) / 2
    return Use(
        feature.name,
        dimension.dimension,
        (low + high) / 2,
        half / 3**0.5,
        unit,
        Basis.MEASURED,
        source=DRAWN,
        shape="rectangular",
    )


def _word(feature: Feature, dimension: Dimension, said: str) -> Plausible:
    row = _table().get((feature.kind, dimension.dimension))
    words = row.words if row else dimension.words or RECORDED
    if said:
        others = [word for word in words if word != said]
        odds = ((said, _SAID if others else 1.0), *((word, (1 - _SAID) / len(others)) for word in others))
        return Plausible(feature.name, dimension, odds, told="as said or, as often, any other")
    told = " or ".join(words) if len(words) < 4 else f"any of {len(words)}: {words[0]} to {words[-1]}"
    return Plausible(feature.name, dimension, tuple((word, 1 / len(words)) for word in words), told=told)


def _bounds(kind: str, dimension: Dimension) -> tuple[float, float] | None:
    """The plausible range in the canonical unit."""
    row = _table().get((kind, dimension.dimension))
    low, high, unit = (row.low, row.high, row.unit) if row else (dimension.low, dimension.high, dimension.unit)
    if low is None or high is None or dimension.value_kind == "taper":
        return None
    factor = unit_named(unit, dimension.value_kind) if unit else canonical_unit(dimension.value_kind)
    return float(factor.to_canonical(low)), float(factor.to_canonical(high))


@dataclass(frozen=True)
class _Row:
    low: float | None
    high: float | None
    unit: str
    words: tuple[str, ...]


@cache
def _table() -> dict[tuple[str, str], _Row]:
    with Path(__file__).with_name("plausible.csv").open(encoding="utf-8", newline="") as table:
        return {
            (kind, row["dimension"]): _Row(
                float(row["low"]) if row["low"] else None,
                float(row["high"]) if row["high"] else None,
                row["unit"],
                tuple(row["words"].split("|")) if row["words"] else (),
            )
            for row in csv.DictReader(table)
            for kind in row["feature_kinds"].split()
        }
