"""Why a steering does not reach a pose: which link cannot close, and where."""

from __future__ import annotations

import math
from typing import Any

from fitment.finding import Gap
from fitment.kits.car_corner import SIGNS
from fitment.kits.roles import SIDES
from fitment.kits.steering_doubt import FromAdopted
from fitment.kits.steering_solved import Solved

#: mm from pose to pose on the way to a stop or to the end of the travel
_STEP = 0.1

_ELSE = Gap("the surveyed points", "geometry", "do not close: check them on the car")


def why_refused(solved: Solved) -> tuple[Gap, ...]:
    """The links that do not reach at the adopted values; never nothing."""
    adopted = FromAdopted(0)
    found = [*_on_lock(solved, adopted), *_over_bump(solved, adopted)]
    return tuple(dict.fromkeys(found)) or (_ELSE,)


def _on_lock(solved: Solved, adopted: FromAdopted) -> list[Gap]:
    from fitment.geometry.steering import wheels

    if not (solved.racked.known and all(stop.known for stop in solved.model.stops)):
        return []
    steering = solved.racked.at(adopted)
    found = []
    for way, stop in zip(SIDES, solved.model.stops, strict=True):
        end = _plain(stop.at(adopted))
        if not math.isfinite(end):
            found.append(Gap(f"{way} stop", "lock", "no place of the bar gives the lock that was measured"))
            continue
        bars = _steps(end)
        for index, pose in enumerate(wheels(steering, bars)):
            if (first := _first(pose)) is not None:
                link = _link(wheels(steering, float(bars[first, 0]))[index])
                told = f"{link} beyond {abs(float(bars[first - 1, 0])):.1f} mm of bar to the {way}"
                found.append(Gap(f"{SIDES[index]} wheel", "lock", f"{told}; the stop is at {abs(end):.1f} mm"))
    return found


def _over_bump(solved: Solved, adopted: FromAdopted) -> list[Gap]:
    from fitment.geometry.upright import at_travel

    found = []
    for side in SIDES:
        moving = solved.model.wheels[side].moving
        if not (moving.known and solved.model.steering.known):
            continue
        corner, rod = moving.at(adopted), solved.model.steering.at(adopted).rod(SIGNS[side], 0.0)
        for way, end in (("bump", solved.bump), ("rebound", -solved.rebound)):
            travels = _steps(end)
            if (first := _first(at_travel(corner, rod, travels))) is not None:
                link = _link(at_travel(corner, rod, float(travels[first, 0])))
                told = f"{link} beyond {abs(float(travels[first - 1, 0])):.1f} mm of {way}"
                found.append(Gap(f"{side} wheel", way, f"{told}; {abs(end):g} mm is asked"))
    return found


def _plain(value: Any) -> float:
    import numpy as np

    return float(np.atleast_1d(value)[0])


def _steps(end: float) -> Any:
    """From nothing to the end, shape (poses, 1) against the one sample of the points."""
    import numpy as np

    return np.linspace(0.0, end, max(2, math.ceil(abs(end) / _STEP) + 1))[:, np.newaxis]


def _first(pose: Any) -> int | None:
    """The first pose that is not reached; None where all are."""
    import numpy as np

    lost = np.flatnonzero(~np.asarray(pose.reached).reshape(-1))
    return int(lost[0]) if lost.size else None


def _link(pose: Any) -> str:
    """Which link it is, of one pose."""
    from fitment.geometry.steering import why_not_reached

    told = (why_not_reached(pose) or "").partition(": ")[2]
    return told.removesuffix(" in 1 of 1 poses")
