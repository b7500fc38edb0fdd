"""Finds a listed thread from its numbers, and words what is near when there is none."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from math import ceil, floor

from fitment.standards.threads import MM_PER_INCH, Thread, all_threads, inch_size

#: how far nominal and pitch may be off for one thread to be taken for another with a calliper and a gauge, mm
_MISTAKEN = (0.35, 0.05)


def size_text(designation: str) -> str:
    """The size in an inch designation: ``1-1/8`` of ``1-1/8-12 UNF``."""
    return designation.rpartition(" ")[0].rpartition("-")[0]


@cache
def metric_index() -> dict[tuple[float, float], Thread]:
    """Listed metric threads by nominal diameter and pitch, mm."""
    return {(thread.nominal, thread.pitch): thread for thread in all_threads() if thread.form == "M"}


@cache
def coarse_index() -> dict[float, Thread]:
    """Listed coarse metric threads by nominal diameter, mm."""
    return {thread.nominal: thread for thread in all_threads() if thread.series == "coarse"}


@cache
def inch_index() -> dict[Fraction, tuple[Thread, ...]]:
    """Listed inch threads by nominal diameter in inches."""
    found: dict[Fraction, list[Thread]] = {}
    for thread in all_threads():
        if thread.tpi is not None:
            found.setdefault(inch_size(size_text(thread.designation)), []).append(thread)
    return {size: tuple(threads) for size, threads in found.items()}


@cache
def decimal_sizes() -> dict[Fraction, Fraction]:
    """Sizes by their value to three places, rounded either way: 0.562 and 0.563 are both 9/16."""
    return {
        Fraction(rounded, 1000): size for size in inch_index() for rounded in (floor(size * 1000), ceil(size * 1000))
    }


def neighbours(nominal: float, pitch: float, form: str | None = None) -> list[Thread]:
    """The three listed threads nearest to a nominal diameter and a pitch in mm, of one form or of all.

    The pitch counts four times: a pitch gauge separates what a calliper does not.
    """
    among = [thread for thread in all_threads() if form in (None, thread.form)]
    return sorted(among, key=lambda thread: abs(thread.nominal - nominal) + 4.0 * abs(thread.pitch - pitch))[:3]


def mistaken_inch(nominal: float, pitch: float) -> Thread | None:
    """The inch thread that these millimetres may have been measured on; None where none is so near."""
    for thread in neighbours(nominal, pitch):
        near = abs(thread.nominal - nominal) <= _MISTAKEN[0] and abs(thread.pitch - pitch) <= _MISTAKEN[1]
        if thread.tpi is not None and near:
            return thread
    return None


def nearest_in_inches(size: Fraction, tpi: Fraction) -> list[Thread]:
    """Listed inch threads to offer instead: those of the size, nearest pitch first, else the nearest of all."""
    of_size = inch_index().get(size, ())
    if of_size:
        return sorted(of_size, key=lambda thread: abs((thread.tpi or 0.0) - float(tpi)))[:3]
    near = neighbours(float(size) * MM_PER_INCH, MM_PER_INCH / float(tpi), "UN")
    return [thread for thread in near if abs(thread.nominal - float(size) * MM_PER_INCH) < MM_PER_INCH / 8]
