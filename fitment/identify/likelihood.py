"""What all identifications share: how likely a reading is, odds, and the reading that would part two candidates.

A hypothesis says, for each measure, the band in which the true size lies, evenly; a band of no width is one size. A
reading errs normally. Reading the same measure twice errs twice on the same true size.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Generic, TypeVar

from fitment.errors import DataFault
from fitment.frozen import dataclass

#: odds past which a set of readings is taken as *identified*, and the standard's sizes stand for the part's. Our own
#: choice: one in twenty is what a careful person still calls doubt, and "none of these" is among the rest.
ADOPTION_THRESHOLD = 0.95

#: candidates with lower odds are not listed
FORGOTTEN = 1e-9

#: a reading that leaves more than this share of the present doubt parts nothing: then a trial is advised (own choice)
POOR_READING = 0.5

#: a second candidate with lower odds is no rival: then "none of these" is (own choice)
LEAST_RIVAL = 0.01

#: two readings whose remaining doubts differ by less than this, in bits, are equally good: the easier one is advised
SAME_WORTH = 0.02

#: value and standard uncertainty of a reading, in one unit
Reading = tuple[float, float]

Named = TypeVar("Named")


@dataclass(frozen=True)
class Band:
    """Where a true size lies under a hypothesis: anywhere from `low` to `high`, evenly."""

    low: float
    high: float


#: measure -> band
Bands = Mapping[str, Band]


@dataclass(frozen=True)
class Candidate(Generic[Named]):
    """One standard thing that the readings may be of.

    Attributes:
        designation: its name in the standard, ``M14x1.5``.
        standard: the standard that lists it; "" for a name of the trade.
        odds: probability, from 0 to 1, given the readings and the prior.
        what: the thread or cone itself.
    """

    designation: str
    standard: str
    odds: float
    what: Named


@dataclass(frozen=True)
class Separating:
    """The one measurement that best parts the first two possibilities, in words: what, with what, which two."""

    measure: str
    tool: str
    separates: str


@dataclass(frozen=True)
class Identification(Generic[Named]):
    """Which standard things the readings may be of.

    Attributes:
        candidates: the likeliest first; their odds and `none_of_these` sum to 1.
        none_of_these: probability that it is nothing that the standards list.
        next: what to measure next; None once one possibility is past `ADOPTION_THRESHOLD`.
    """

    candidates: tuple[Candidate[Named], ...]
    none_of_these: float
    next: Separating | None

    @property
    def identified(self) -> Candidate[Named] | None:
        """The candidate that is past `ADOPTION_THRESHOLD`; None while there is doubt."""
        first = self.candidates[0] if self.candidates else None
        return first if first is not None and first.odds >= ADOPTION_THRESHOLD else None


@dataclass(frozen=True)
class Possible:
    """A reading that could be taken: of which measure (key of a hypothesis and words), with which tool, how sure.

    A trial, pass or fail, is no reading of any measure: its key is "" and its u is 0.
    """

    key: str
    measure: str
    tool: str
    u: float


@dataclass(frozen=True)
class Rival:
    """One of two possibilities that are to be parted: name, probability, and its band for each measure that tells."""

    name: str
    odds: float
    bands: Bands


def checked(reading: Reading, what: str) -> Reading:
    """The reading, if its value and its standard uncertainty are above zero.

    Raises:
        DataFault: they are not.
    """
    value, u = reading
    if not (0 < value < math.inf and 0 < u < math.inf):
        raise DataFault(
            f"a reading of {what} needs a value and a standard uncertainty above zero, not {value:g} and {u:g}",
            mending="give the value with its ± or its tool",
            code="identify-01",
        )
    return reading


def normal_density(x: float, mean: float, u: float) -> float:
    """Density of the normal distribution at x."""
    z = (x - mean) / u
    return math.exp(-0.5 * z * z) / (u * math.sqrt(2 * math.pi))


def mass_within(mean: float, u: float, band: Band) -> float:
    """Probability that a normal size lies inside a band; keeps its digits far out on either side."""
    low, high = (band.low - mean) / (u * math.sqrt(2)), (band.high - mean) / (u * math.sqrt(2))
    if low + high > 0:
        return 0.5 * (math.erfc(low) - math.erfc(high))
    return 0.5 * (math.erfc(-high) - math.erfc(-low))


def density(reading: Reading, band: Band) -> float:
    """Likelihood of a reading whose true size lies evenly in a band: the convolution of the two, in closed form."""
    value, u = reading
    if band.high == band.low:
        return normal_density(value, band.low, u)
    return mass_within(value, u, band) / (band.high - band.low)


def density_again(value: float, u: float, band: Band, taken: Reading | None) -> float:
    """Likelihood of a further reading of a measure, given the one taken before."""
    if taken is None or band.high == band.low:
        return density((value, u), band)
    before, u_before = taken
    total = u * u + u_before * u_before
    pooled = (value * u_before * u_before + before * u * u) / total
    reachable = mass_within(before, u_before, band)
    if reachable == 0.0:
        return 0.0
    overlap = mass_within(pooled, u * u_before / math.sqrt(total), band)
    return normal_density(value, before, math.sqrt(total)) * overlap / reachable


def shares(weights: Iterable[float]) -> list[float]:
    """Weights scaled so that they sum to 1."""
    listed = list(weights)
    total = math.fsum(listed)
    return [weight / total for weight in listed]


def odds_of(weights: Sequence[float], none: float) -> tuple[list[float], float]:
    """Odds of the candidates and of "none of these" from prior times likelihood of each.

    A reading so far from everything that all of them underflow is of none of these.
    """
    if none == 0.0 and not any(weights):
        return [0.0] * len(weights), 1.0
    *odds, rest = shares((*weights, none))
    return odds, rest


def entropy(share: float) -> float:
    """Doubt between two possibilities, one of which has this share; bits."""
    return -sum(part * math.log2(part) for part in (share, 1 - share) if part > 0)


def doubt_left(first: Rival, second: Rival, possible: Possible, taken: Reading | None) -> float:
    """Expected doubt between two rivals after one more reading, bits.

    The integral over all outcomes of that reading, by the trapezium rule over those that both rivals can give.
    """
    share, other = shares((first.odds, second.odds))
    reach = 5 * possible.u
    bands = (first.bands[possible.key], second.bands[possible.key])
    low = max(band.low for band in bands) - reach
    high = min(band.high for band in bands) + reach
    if low >= high:
        return 0.0
    steps = max(40, min(400, math.ceil(3 * (high - low) / possible.u)))
    width = (high - low) / steps
    total = 0.0
    for step in range(steps + 1):
        value = low + step * width
        ours = share * density_again(value, possible.u, bands[0], taken)
        theirs = other * density_again(value, possible.u, bands[1], taken)
        if ours > 0 and theirs > 0:
            total += (ours + theirs) * entropy(ours / (ours + theirs)) * (0.5 if step in (0, steps) else 1.0)
    return total * width


def what_next(
    candidates: Sequence[Rival],
    none: Rival,
    possibles: Sequence[Possible],
    taken: Mapping[str, Reading],
    trial: Possible,
) -> Separating | None:
    """The reading that best parts the first two possibilities; None where one is past the threshold.

    Args:
        candidates: what it may be, the likeliest first, two at least.
        none: "none of these"; it is one of the two where it is likelier than not, or where one candidate stands alone.
        possibles: readings that could be taken, the easier first. One that is no surer than what is taken is left out.
        taken: the readings at hand, by measure.
        trial: what to do where no reading parts them well.
    """
    first, second = _two(candidates, none)
    if first.odds >= ADOPTION_THRESHOLD:
        return None
    telling = [p for p in possibles if p.key in first.bands and p.key in second.bands]
    better = [p for p in telling if p.key not in taken or p.u < 0.9 * taken[p.key][1]]
    left = [doubt_left(first, second, possible, taken.get(possible.key)) for possible in better]
    best = trial
    if left and min(left) <= POOR_READING * entropy(first.odds / (first.odds + second.odds)):
        best = next(possible for possible, doubt in zip(better, left, strict=True) if doubt <= min(left) + SAME_WORTH)
    return Separating(best.measure, best.tool, f"{first.name} from {second.name}")


def _two(candidates: Sequence[Rival], none: Rival) -> tuple[Rival, Rival]:
    """The two possibilities to part, the likelier first."""
    first, second = candidates[:2]
    if none.odds > 0.5:
        return none, first
    return first, second if second.odds >= LEAST_RIVAL else none
