"""One road for doubt: a margin is a plain function over arrays; this draws its inputs and reads its quantiles.

Samples are drawn by value, each from a stream of its own named by feature and dimension, so that the order of
parts and of questions changes nothing. Errors that two values share (one uncalibrated tool in one sitting) are
drawn once and used by both. Method: propagation of distributions, JCGM 101.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Callable, Hashable, Iterable, Iterator
from copy import copy
from functools import cache
from statistics import NormalDist
from typing import TYPE_CHECKING, Any

from fitment.finding import Margin, Use, Verdict, freedom_of
from fitment.frozen import dataclass
from fitment.quantity.points import point_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Sample = NDArray[np.float64]

#: one-sided 97.7 %: mean - 2 u where the margin is normal
LOW, HIGH = 0.022750131948179195, 0.9772498680518208

#: samples a value, up to which what was made of them is kept for the next rule; bounds the memory
_KEPT = 100_000

#: samples with which a costly size begins
FEW = 4_000

#: standard errors between a count of samples and that of the very limit, from which on more samples are not asked for:
#: of margins on the very limit one in ten thousand is then taken for clear (binomial; a test works it out)
_CLEAR = 4.0


@dataclass(frozen=True)
class Traced:
    """What stands behind a margin: its formula, given how to pick the value of a reading, and the readings it takes."""

    at: Callable[[Callable[[Use], Any]], Any]
    uses: tuple[Use, ...]


class Draws:
    """Samples of values for one check.

    Args:
        count: how many samples each value has.
        seed: the same seed gives the same samples on every machine.
    """

    def __init__(self, count: int = 20_000, seed: int = 20_260):
        self.seed = seed
        self._begin(count)

    def _begin(self, count: int) -> None:
        self.count = count
        self._streams: dict[str, np.random.Generator] = {}
        self._rooms: dict[str, Sample] = {}
        self._drawn: dict[str, Sample] = {}
        self._of: dict[int, tuple[Use, Sample]] = {}
        self._made: dict[Hashable, Any] = {}
        self._behind: dict[int, tuple[Margin, Traced]] = {}
        self._few: Draws | None = None
        self._all: Draws | None = None

    @property
    def few(self) -> Draws:
        """The first of these samples, `FEW` of each value: enough for a costly size that `is_clear`."""
        if self._few is None:
            self._few = self
            if self.count > FEW:
                self._few = copy(self)
                self._few._begin(FEW)
                self._few._all = self
        return self._few

    def blocks(self, total: int, size: int) -> Iterator[Draws]:
        """The same streams, `total` samples of each in blocks of at most `size`: long samples in little memory.

        A block lasts until the next is asked for, which takes its place.
        """
        last = Draws(size, self.seed)
        for start in range(0, total, size):
            block = Draws(min(size, total - start), self.seed)
            block._streams, block._rooms = last._streams, last._rooms
            yield block

    def trace(self, margin: Margin, behind: Traced) -> None:
        """Keeps what stands behind a margin, for questions that take more samples of it."""
        self._behind[id(margin)] = (margin, behind)

    def behind(self, margin: Margin) -> Traced | None:
        """What stands behind a margin of this check, that very object; None where no formula does."""
        found = self._behind.get(id(margin))
        return found[1] if found else None

    def _stream(self, name: str, shape: str) -> np.random.Generator:
        import numpy as np

        key = f"{shape}:{name}"
        if key not in self._streams:
            seeds = np.array([self.seed, zlib.crc32(name.encode())], dtype=np.uint32)  # half the time of a list
            self._streams[key] = np.random.Generator(np.random.PCG64(seeds))
        return self._streams[key]

    def _standard(self, name: str, shape: str) -> Sample:
        """Samples with mean 0 and standard deviation 1 (Student's t: scale 1), one set per name."""
        key = f"{shape}:{name}"
        if key not in self._drawn and self._all is not None and key in self._all._drawn:
            self._drawn[key] = self._all._drawn[key][: self.count]
        elif key not in self._drawn:
            stream = self._stream(name, shape)
            sample = self._drawn[key] = self._room(key)
            if shape == "rectangular":
                stream.random(out=sample)
                sample *= 2.0 * math.sqrt(3.0)
                sample -= math.sqrt(3.0)
            elif (freedom := freedom_of(shape)) < math.inf:
                sample[:] = stream.standard_t(freedom, sample.size)
            else:
                stream.standard_normal(out=sample)
        return self._drawn[key]

    def _room(self, name: str) -> Sample:
        """Where samples of that name are put; asking the system for it anew costs as much as drawing them."""
        import numpy as np

        if name not in self._rooms:
            self._rooms[name] = np.empty(self.count)
        return self._rooms[name][: self.count]

    def of(self, use: Use) -> Sample:
        """Samples of one value, shape (count,), in the unit of the value; made once, not to be written to."""
        kept = self._of.get(id(use))
        if kept is None:
            kept = self._of[id(use)] = (use, self._sample(use))
        return kept[1]

    def _sample(self, use: Use) -> Sample:
        import numpy as np

        total = use.u or 0.0
        if total == 0.0:
            return np.broadcast_to(use.number, (self.count,))
        sample = self._room(f"of:{id(use)}")
        np.multiply(self._standard(f"{use.feature}|{use.dimension}", use.shape), own_doubt(use), out=sample)
        sample += use.number
        for key, part in use.shared:
            sample += part * self._standard(key, "normal")
        return sample

    def errors(self, use: Use) -> dict[str, Sample]:
        """Samples of the independent errors that a value's doubt is made of, by name; of no doubt none.

        A value's own error is named ``""``, one that it shares by the key of it; a point has its three coordinates.
        """
        if not use.u:
            return {}
        if isinstance(use.value, str):
            return {axis: self._standard(f"{use.feature}|{use.dimension}|{axis}", use.shape) for axis in "xyz"}
        found = {key: self._standard(key, "normal") for key, _ in use.shared}
        if own_doubt(use):
            found[""] = self._standard(f"{use.feature}|{use.dimension}", use.shape)
        return found

    def of_point(self, use: Use) -> Sample:
        """Samples of an adopted point, shape (3, count), mm: each coordinate from a stream of its own; as `of`."""
        kept = self._of.get(id(use))
        if kept is None:
            kept = self._of[id(use)] = (use, self._sample_of_point(use))
        return kept[1]

    def _sample_of_point(self, use: Use) -> Sample:
        import numpy as np

        sample = np.empty((3, self.count))
        for row, axis, at in zip(sample, "xyz", point_of(use), strict=True):
            row[:] = at
            if use.u:
                row += use.u * self._standard(f"{use.feature}|{use.dimension}|{axis}", use.shape)
        return sample

    def __call__(self, use: Use) -> Sample:
        """The same as `of`: how a formula picks the value of a reading."""
        return self.of(use)

    def once(self, formula: Hashable, make: Callable[[], Any]) -> Any:
        """What `formula` makes of these samples, made once however many rules ask; large samples are not kept."""
        if self.count > _KEPT:
            return make()
        if formula not in self._made:
            self._made[formula] = make()
        return self._made[formula]

    def leading(self, margin: Sample, uses: Iterable[Use]) -> Use | None:
        """The value whose doubt explains most of the margin's spread (largest squared correlation)."""
        import numpy as np

        best: tuple[float, Use] | None = None
        for use in uses:
            if not use.u:
                continue
            # the coordinates of a point are independent, so that their shares add up
            samples = self.of_point(use) if isinstance(use.value, str) else [self.of(use)]
            spread = float(np.std(margin)) > 0
            share = sum(float(np.corrcoef(one, margin)[0, 1] ** 2) for one in samples) if spread else 0.0
            if best is None or share > best[0]:
                best = (share, use)
        return best[1] if best else None


@cache
def reach(shape: str, share: float = LOW) -> float:
    """How far the quantiles lie from a value that leave a share of its samples out on either side, in its doubts."""
    if shape == "rectangular":
        return math.sqrt(3.0) * (1.0 - 2.0 * share)
    freedom = freedom_of(shape)
    if freedom == math.inf:
        return NormalDist().inv_cdf(1.0 - share)
    low, high = 0.0, math.pi / 2
    while high - low > 1e-12:
        middle = (low + high) / 2
        low, high = (middle, high) if _within(middle, freedom) < 1.0 - 2.0 * share else (low, middle)
    return math.sqrt(freedom) * math.tan(low)


def _within(angle: float, freedom: float) -> float:
    """The chance that Student's t is at most sqrt(freedom) tan(angle) either way, by Simpson's rule over the angle."""
    steps = 200
    heights = [math.pow(math.cos(angle * step / steps), freedom - 1) for step in range(steps + 1)]
    area = angle / steps / 3 * (heights[0] + 4 * sum(heights[1::2]) + 2 * sum(heights[2:-1:2]) + heights[-1])
    return 2 * area * math.exp(math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2)) / math.sqrt(math.pi)


def own_doubt(use: Use) -> float:
    """The standard uncertainty of a value that it shares with no other."""
    total = use.u or 0.0
    return math.sqrt(max(total**2 - sum(part**2 for _, part in use.shared), 0.0)) if use.shared else total


def margin_of(sample: Sample | float, unit: str) -> Margin:
    """Mean, standard uncertainty and the 2.3 % and 97.7 % quantiles of a sampled margin."""
    import numpy as np

    values = np.atleast_1d(np.asarray(sample, dtype=float))
    low, high = quantiles(values)
    return Margin(float(values.mean()), float(values.std()), low, high, unit, values.size)


def is_clear(sample: Sample) -> bool:
    """Whether a sample, shape (n,), tells on which side of its limit each end of a margin lies, more samples or not.

    The low end is above zero where no more than 2.3 % of all samples are not, the high end below it where no more
    than 2.3 % are not. Of n samples as many as that are n p on average, with the standard error sqrt(n p (1 - p)) of a
    binomial count; a count that is several of them away from it is on its side for good.
    """
    import numpy as np

    room = _CLEAR * math.sqrt(sample.size * LOW * (1 - LOW))
    counts = (np.count_nonzero(sample <= 0), np.count_nonzero(sample >= 0))
    return all(abs(count - sample.size * LOW) > room for count in counts)


def quantiles(sample: Sample) -> tuple[float, float]:
    """The 2.3 % and 97.7 % quantiles of a sample, shape (n,), linear between neighbours."""
    import numpy as np

    ordered = np.sort(sample)  # quicker here than numpy's own quantile, which is built for any number of axes
    return _at(ordered, LOW * (ordered.size - 1)), _at(ordered, HIGH * (ordered.size - 1))


def _at(ordered: Sample, place: float) -> float:
    """The value at a place between two neighbours."""
    below = int(place)
    low, high = ordered[below], ordered[min(below + 1, ordered.size - 1)]
    return float(low + (place - below) * (high - low)) if low != high else float(low)


def judged(margin: Margin) -> Verdict:
    """*fits* only where the low end is above zero, *does not fit* only where the high end is below it."""
    if margin.low > 0:
        return Verdict.FITS
    if margin.high < 0:
        return Verdict.DOES_NOT_FIT
    return Verdict.NOT_KNOWN
