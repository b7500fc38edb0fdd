"""Several values of one measurand made into one: weighted mean and random effects. Pure.

Estimates that share an error (one tool of one shop, measured in several sittings) are pooled first, and that error is
not made smaller by averaging (JCGM 100, 5.2.2 with its example, from memory). What is left is independent and is
combined with a scatter tau between origins beyond their stated doubts, by the estimate of Paule and Mandel: the tau at
which chi-square equals its degrees of freedom (Kacker, Metrologia 41 (2004) 132-136, as statsmodels quotes it). It
needs no distribution, and is exact where doubts differ much, as those of a micrometer and of a tape do.

tau is known poorly where few origins tell it: it has k - 1 degrees of freedom of k origins, the stated doubts none that
are counted, and u has those of Welch and Satterthwaite (JCGM 100, G.4.1, from memory). Its doubt is then drawn by
Student's t. The widening of Hartung and Knapp gives all of u k - 1 degrees of freedom: at this tau its factor is 1, and
of two origins it makes 12.7 u of every interval, or of each with any scatter. How often the intervals hold, by all
three, is simulated in ``benchmarks/coverage.py``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from fitment.frozen import dataclass

#: fewer degrees of freedom are not told: Student's t of 2 has no standard deviation
_LEAST_FREEDOM = 3.0


@dataclass(frozen=True)
class Estimate:
    """One value of the measurand.

    Attributes:
        value: in any unit.
        u: its standard uncertainty, all parts of it.
        common: name of the error that it shares with other estimates of that name; "" where it is independent.
        common_u: the part of `u` that this error makes.
    """

    value: float
    u: float
    common: str = ""
    common_u: float = 0.0


@dataclass(frozen=True)
class Combined:
    """What several estimates come to.

    Attributes:
        value, u: the combined value and its standard uncertainty.
        tau: standard deviation of the scatter between origins beyond their stated doubts.
        shared: the parts of `u` that named common errors make.
        scattered: the part of `u` that tau makes.
        origins: how many independent origins there are.
    """

    value: float
    u: float
    tau: float
    shared: tuple[tuple[str, float], ...]
    scattered: float = 0.0
    origins: int = 1

    def freedom(self, apart_from: float = 0.0) -> float:
        """Degrees of freedom of `u`, or of what is left of it without a part of it; infinite where tau is 0.

        Not below 3: for two origins as far apart as may be they would be 1.8.
        """
        if not self.scattered:
            return math.inf
        rest = self.u**2 - apart_from**2
        return max((self.origins - 1) * rest**2 / self.scattered**4, _LEAST_FREEDOM)


def weighted_mean(values: Sequence[float], us: Sequence[float], tau: float = 0.0) -> tuple[float, float]:
    """The mean with weights 1/(u^2 + tau^2), and its standard uncertainty; every u^2 + tau^2 above 0."""
    weights = [1.0 / (u * u + tau * tau) for u in us]
    total = math.fsum(weights)
    return math.fsum(w * x for w, x in zip(weights, values, strict=True)) / total, 1.0 / math.sqrt(total)


def chi_square(values: Sequence[float], us: Sequence[float], tau: float = 0.0) -> float:
    """Sum of the squared distances from the weighted mean, each by u^2 + tau^2; k - 1 of them are expected."""
    mean, _ = weighted_mean(values, us, tau)
    return math.fsum((x - mean) ** 2 / (u * u + tau * tau) for x, u in zip(values, us, strict=True))


def scatter(values: Sequence[float], us: Sequence[float]) -> float:
    """tau by Paule and Mandel, in the unit of the values; 0 where the stated doubts explain the spread.

    Newton's steps from 0: chi-square falls with tau^2 and is convex in it, so that they never overshoot.
    """
    expected = len(values) - 1
    square = 0.0
    if expected < 1:
        return square
    for _ in range(100):
        mean, _ = weighted_mean(values, us, math.sqrt(square))
        terms = [((x - mean) ** 2, u * u + square) for x, u in zip(values, us, strict=True)]
        excess = math.fsum(distance / spread for distance, spread in terms) - expected
        if excess <= 1e-12 * expected:
            break
        square += excess / math.fsum(distance / spread**2 for distance, spread in terms)
    return math.sqrt(square)


def combine(estimates: Sequence[Estimate]) -> Combined:
    """One value out of at least one; the order of the estimates changes nothing.

    An exact one (u = 0: a count with ticks) stands for all; whether the others agree is for the caller to ask first.
    """
    estimates = sorted(estimates, key=lambda one: (one.u, one.value, one.common))
    if estimates[0].u == 0.0:
        return Combined(estimates[0].value, 0.0, 0.0, ())
    origins = [one for one, _ in pooled(estimates)]
    values, us = [one.value for one in origins], [one.u for one in origins]
    tau = scatter(values, us)
    value, u = weighted_mean(values, us, tau)
    shares = [(one.common, one.common_u * u * u / (one.u**2 + tau * tau)) for one in origins if one.common]
    if len(origins) == 1:
        value, u = origins[0].value, origins[0].u  # to the last digit, as it was stated
    scattered = tau * u * u * math.sqrt(math.fsum((one.u**2 + tau * tau) ** -2 for one in origins))
    return Combined(value, u, tau, tuple(sorted(share for share in shares if share[1] > 0.0)), scattered, len(origins))


def pooled(estimates: Sequence[Estimate]) -> list[tuple[Estimate, tuple[int, ...]]]:
    """Independent origins: the estimates of each common error as one, with that error whole; and which they are."""
    by_error: dict[tuple[str, int], list[int]] = {}
    for place, one in enumerate(estimates):
        by_error.setdefault((one.common, 0) if one.common else ("", place), []).append(place)
    return [(_of_one_error([estimates[place] for place in places]), tuple(places)) for places in by_error.values()]


def _of_one_error(members: list[Estimate]) -> Estimate:
    """Estimates that share an error, as one; what is random in them, by their doubts or by their spread, shrinks."""
    exact = next((one for one in members if one.u == 0.0), None)
    if len(members) == 1 or exact is not None:
        return exact or members[0]
    inverse = [1.0 / one.u**2 for one in members]
    weights = [weight / math.fsum(inverse) for weight in inverse]
    value = math.fsum(weight * one.value for weight, one in zip(weights, members, strict=True))
    whole = math.fsum(weight * one.common_u for weight, one in zip(weights, members, strict=True))
    stated = math.fsum(
        weight**2 * max(one.u**2 - one.common_u**2, 0.0) for weight, one in zip(weights, members, strict=True)
    )
    seen = math.fsum(weight * (one.value - value) ** 2 for weight, one in zip(weights, members, strict=True))
    random = max(stated, seen / (len(members) - 1))
    return Estimate(value, math.hypot(whole, math.sqrt(random)), members[0].common, whole)
