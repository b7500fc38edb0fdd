"""Which standard thread a set of readings is of, with odds.

A diameter alone never identifies a thread, nor does a pitch alone: what the lists do not name has a share of the odds
that no single measure can take away (`STANDARD`, `OTHER_PITCH`, `OTHER_SIZE`, `NEITHER`).
"""

from __future__ import annotations

import math
from functools import cache

from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.identify.likelihood import (
    FORGOTTEN,
    Band,
    Candidate,
    Identification,
    Possible,
    Reading,
    Rival,
    checked,
    density,
    odds_of,
    shares,
    what_next,
)
from fitment.quantity.tools import find_tool
from fitment.standards.thread_limits import external_limits, internal_limits
from fitment.standards.threads import Thread, all_threads

#: prior shares, of all threads that a shop meets: a listed thread; a listed diameter with a pitch that is not listed
#: for it; a listed pitch on some other diameter; neither. Own choice, no source.
STANDARD, OTHER_PITCH, OTHER_SIZE, NEITHER = 0.80, 0.10, 0.05, 0.05

#: where a diameter, pitch or thread angle that no list names may lie, evenly; mm, degrees. Own choice, no source.
UNLISTED = {"diameter": Band(1.0, 45.0), "pitch": Band(0.25, 5.0), "angle": Band(25.0, 65.0)}

#: prior weight of a preferred thread (ISO 262 selection, UNF) beside 1 for any other. Own choice, no source.
_WEIGHTS = {"flat": 1.0, "common": 10.0}

#: how far a worn crest may lie beyond the limits of the new thread, mm, evenly: a male major diameter below its least,
#: a female minor diameter above its largest. Common practice, no source.
WEAR = 0.15

_STANDARDS = {"M": "ISO 261", "UN": "ASME B1.1", "W": "BS 84"}


@dataclass(frozen=True)
class ThreadReadings:
    """What was read on one thread; each reading is (value, standard uncertainty).

    Attributes:
        sex: "male" or "female".
        od: major diameter over the crests of a male thread, mm.
        pitch: pitch, mm.
        minor: minor diameter in the bore of a female thread, mm.
        angle: thread angle between the flanks, degrees: 60 or 55.
        worn: whether its crests are worn; then sizes up to `WEAR` beyond the limits count as well.
    """

    sex: str
    od: Reading | None = None
    pitch: Reading | None = None
    minor: Reading | None = None
    angle: Reading | None = None
    worn: bool = False

    def taken(self) -> dict[str, Reading]:
        """The readings by measure: "diameter" (major of a male, minor of a female thread), "pitch", "angle".

        Raises:
            DataFault: no readings, a reading that this sex does not have, or one that is not above zero.
        """
        if self.sex not in ("male", "female"):
            raise DataFault(
                f"a thread is male or female, not '{self.sex}'",
                mending="say male for a stud or bar end, female for a nut or sleeve",
                code="identify-03",
            )
        foreign, word = (self.minor, "minor") if self.sex == "male" else (self.od, "major")
        if foreign is not None:
            own = "major diameter over the crests" if self.sex == "male" else "minor diameter in the bore"
            raise DataFault(
                f"the {word} diameter of a {self.sex} thread tells nothing here",
                mending=f"give its {own}",
                code="identify-04",
            )
        diameter = self.od if self.sex == "male" else self.minor
        readings = {"diameter": diameter, "pitch": self.pitch, "angle": self.angle}
        taken = {key: checked(reading, f"a {key}") for key, reading in readings.items() if reading is not None}
        if not taken:
            raise DataFault(
                "there is no reading to go by", mending="give a diameter, a pitch or both", code="identify-05"
            )
        return taken


def identify_threads(readings: ThreadReadings, prior: str = "flat") -> Identification[Thread]:
    """Odds of the standard threads, given readings.

    A diameter lies evenly between the standard's limits of size for the usual class (6g/6H, 2A/2B, medium), a pitch
    is the standard's own; readings err normally. Plated threads and other classes may lie outside these limits: then
    "none of these" rises. The few listed threads whose limits no table here gives are not among the candidates.

    Args:
        readings: what was read.
        prior: "flat": every listed thread alike; "common": preferred threads weigh ten times the others.

    Raises:
        DataFault: readings that make no sense, or no such prior.
    """
    taken = readings.taken()
    if prior not in _WEIGHTS:
        raise DataFault(f"there is no prior '{prior}'", mending=nearest(prior, _WEIGHTS), code="identify-02")
    threads, bands = _candidates(readings.sex, readings.worn)
    prior_shares = shares(_WEIGHTS[prior] if _preferred(thread) else 1.0 for thread in threads)
    unlisted = {key: density(reading, UNLISTED[key]) for key, reading in taken.items()}
    weights, none = [], NEITHER * math.prod(unlisted.values())
    for share, band in zip(prior_shares, bands, strict=True):
        likelihood = {key: density(reading, band[key]) for key, reading in taken.items()}
        weights.append(STANDARD * share * math.prod(likelihood.values()))
        none += OTHER_PITCH * share * math.prod((likelihood | _only(unlisted, "pitch")).values())
        none += OTHER_SIZE * share * math.prod((likelihood | _only(unlisted, "diameter")).values())
    odds, none = odds_of(weights, none)
    found = sorted(zip(odds, threads, bands, strict=True), key=lambda entry: -entry[0])
    rivals = [Rival(thread.designation, share, band) for share, thread, band in found[:2]]
    return Identification(
        candidates=tuple(
            Candidate(thread.designation, _STANDARDS[thread.form], share, thread)
            for share, thread, _ in found
            if share >= FORGOTTEN
        ),
        none_of_these=none,
        next=what_next(rivals, Rival("none of these", none, _none_bands()), _possibles(readings.sex), taken, _trial()),
    )


def _none_bands() -> dict[str, Band]:
    """What tells a listed thread from any other: an unlisted one mostly has the flanks of a listed one."""
    return {key: UNLISTED[key] for key in ("diameter", "pitch")}


def _only(likelihood: dict[str, float], key: str) -> dict[str, float]:
    return {key: likelihood[key]} if key in likelihood else {}


def _preferred(thread: Thread) -> bool:
    """Whether a thread is in the selection of ISO 262, or UNF."""
    return thread.series == "UNF" or (thread.form == "M" and thread.first_choice)


@cache
def _candidates(sex: str, worn: bool) -> tuple[tuple[Thread, ...], tuple[dict[str, Band], ...]]:
    """Every thread that the readings are compared with, and the bands of its measures."""
    threads, bands = [], []
    for thread in all_threads():
        try:
            diameter = _diameter(thread, sex, WEAR if worn else 0.0)
        except DataFault:
            continue  # the tables do not reach it: no limits, no likelihood
        threads.append(thread)
        angle = 2 * thread.half_angle_deg
        bands.append({"diameter": diameter, "pitch": Band(thread.pitch, thread.pitch), "angle": Band(angle, angle)})
    return tuple(threads), tuple(bands)


def _diameter(thread: Thread, sex: str, wear: float) -> Band:
    if sex == "male":
        bolt = external_limits(thread)
        return Band(bolt.d_min - wear, bolt.d_max)
    nut = internal_limits(thread)
    return Band(nut.D1_min, nut.D1_max + wear)


def _trial() -> Possible:
    return Possible("", "fit by hand over the full depth", find_tool("go-gauge").title, 0.0)


@cache
def _possibles(sex: str) -> tuple[Possible, ...]:
    """Readings that could be taken next, the easier first."""
    if sex == "male":
        words, tools = "major diameter over the crests", ("calliper", "micrometer")
    else:
        words, tools = "minor diameter in the bore", ("calliper-inside", "ball-gauge")
    leaves = find_tool("pitch-gauge").title
    return (
        Possible("pitch", "pitch over six threads", leaves, _u("pitch-gauge", "length")),
        *(Possible("diameter", words, find_tool(tool).title, _u(tool, "length")) for tool in tools),
        # judged by eye, like an angle on a protractor: a leaf of 60 and one of 55 degrees against the flanks
        Possible("angle", "thread angle, 60 or 55 degrees, against the light", leaves, _u("protractor", "angle")),
    )


def _u(code: str, kind: str) -> float:
    """Standard uncertainty of a tool whose half-width does not depend on the value."""
    return (find_tool(code).half_width_for(kind, 1.0) or 0.0) / math.sqrt(3)
