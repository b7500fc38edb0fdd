"""Which named cone a measured taper is of, with odds."""

from __future__ import annotations

import math

from fitment.errors import DataFault, nearest
from fitment.identify.likelihood import (
    FORGOTTEN,
    Band,
    Candidate,
    Identification,
    Possible,
    Reading,
    Rival,
    Separating,
    checked,
    density,
    odds_of,
    shares,
    what_next,
)
from fitment.quantity.tools import find_tool
from fitment.standards.cones import Cone, all_cones, ratio_uncertainty

#: how far a cone that was made to a name strays from it: standard uncertainty of the ratio. Own choice, no source
#: (0.0005 at 18 mm of length is 0.009 mm of diameter).
U_MAKE = 0.0005

#: prior share of tapers that no list names, and the ratios among which such a one may lie, evenly. Own choice, no
#: source: from flatter than 1:20 to steeper than 1:4.
NONE_SHARE = 0.10
NONE_RANGE = Band(0.02, 0.32)

#: the flattest and steepest cone that is asked about, where it is not met on steering anyway
_GENERAL = Band(1 / 20, 1 / 5)

#: prior weight of a cone that is met on steering studs, beside 1 for the others. Own choice, no source.
_WEIGHTS = {"flat": 1.0, "common": 5.0}

#: distance between two planes that a stud or eye usually leaves to measure over, mm; only for advice. Own choice.
_USUAL_LENGTH = 16.0


def cone_candidates() -> tuple[Cone, ...]:
    """The cones that a taper is compared with: those met on steering, and ISO 1119 from 1:5 to 1:20."""
    return tuple(
        cone
        for cone in all_cones()
        if cone.met_on_steering or (cone.standard and _GENERAL.low <= cone.ratio <= _GENERAL.high)
    )


def with_make(u: float) -> float:
    """Standard uncertainty of a measured ratio as a reading of the named one: combined with `U_MAKE`."""
    return math.hypot(u, U_MAKE)


def identify_cones(ratio: float, u: float, prior: str = "flat") -> Identification[Cone]:
    """Odds of the named cones, given a measured taper.

    Args:
        ratio: measured C = (D - d) / L.
        u: its standard uncertainty, see `fitment.standards.cones.ratio_uncertainty`; how exactly cones are made is
            added here (`U_MAKE`).
        prior: "flat": every cone alike; "common": those met on steering studs weigh five times the others.

    Raises:
        DataFault: ratio or uncertainty not above zero, or no such prior.
    """
    checked((ratio, u), "a taper")
    if prior not in _WEIGHTS:
        raise DataFault(f"there is no prior '{prior}'", mending=nearest(prior, _WEIGHTS), code="identify-02")
    reading = (ratio, with_make(u))
    cones = cone_candidates()
    prior_shares = shares(_WEIGHTS[prior] if cone.met_on_steering else 1.0 for cone in cones)
    weights = [
        (1 - NONE_SHARE) * share * density(reading, Band(cone.ratio, cone.ratio))
        for cone, share in zip(cones, prior_shares, strict=True)
    ]
    odds, none = odds_of(weights, NONE_SHARE * density(reading, NONE_RANGE))
    found = sorted(
        (Candidate(cone.name, cone.standard, share, cone) for cone, share in zip(cones, odds, strict=True)),
        key=lambda candidate: -candidate.odds,
    )
    return Identification(
        candidates=tuple(candidate for candidate in found if candidate.odds >= FORGOTTEN),
        none_of_these=none,
        next=_next(found, none, reading),
    )


def not_excluded(ratio: float, u: float) -> tuple[Cone, ...]:
    """The named cones within 2 u of a measured taper, the nearest first: the set to report, never its nearest alone.

    u is combined with how exactly cones are made, as in `identify_cones`.

    Raises:
        DataFault: ratio or uncertainty not above zero.
    """
    checked((ratio, u), "a taper")
    near = (cone for cone in cone_candidates() if abs(cone.ratio - ratio) <= 2 * with_make(u))
    return tuple(sorted(near, key=lambda cone: abs(cone.ratio - ratio)))


def _next(found: list[Candidate[Cone]], none: float, reading: Reading) -> Separating | None:
    rivals = [
        Rival(candidate.designation, candidate.odds, {"ratio": Band(candidate.what.ratio, candidate.what.ratio)})
        for candidate in found
    ]
    possibles = [_possible(tool) for tool in ("calliper", "ball-gauge")]
    trial = Possible("", "contact by blueing over the length of the cone", find_tool("blueing").title, 0.0)
    return what_next(rivals, Rival("none of these", none, {"ratio": NONE_RANGE}), possibles, {"ratio": reading}, trial)


def _possible(code: str) -> Possible:
    """Two diameters with one tool, as far apart as cones usually allow."""
    tool = find_tool(code)
    u = (tool.half_width_for("length", _USUAL_LENGTH) or 0.0) / math.sqrt(3)
    words = {
        "calliper": "two diameters of the stud, as far apart as it allows",
        "ball-gauge": "two diameters of the cone, as far apart as it allows",
    }
    return Possible("ratio", words[code], tool.title, with_make(float(ratio_uncertainty(u, u, _USUAL_LENGTH))))
