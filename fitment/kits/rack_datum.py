"""Whether the holes of a rack were taken from midway between its inner balls, as far as its other sizes can tell."""

from __future__ import annotations

import math

from fitment.catalogue.found import FoundPart
from fitment.finding import Gap, Use
from fitment.joints.answering import mm
from fitment.joints.pattern_holes import Pattern, pattern_of

#: mm, and standard uncertainties, by which the bar may seem to lie nearer to or farther from the holes (own choice)
_OFF, _DOUBTS = 3.0, 3.0

#: mm from the holes within which no bar is taken to lie where its height was not recorded (own choice)
_NO_BAR = 5.0

#: holes farther apart across the car than this, mm, are at both ends of the rack (own choice)
_BOTH_ENDS = 150.0

#: mm across the car by which the holes of either end are off the middle at least (own choice)
_OFF_MIDDLE = 20.0


def other_origin(rack: FoundPart) -> Gap | None:
    """The gap where the points of a rack's holes do not look taken from midway between its inner balls.

    Args:
        rack: with points of its holes.
    """
    pattern = pattern_of(rack.features["mount"])
    why = _across(pattern, rack) or _height(pattern, rack)
    if why is None:
        return None
    told = f"its holes do not look taken from midway between the inner balls ({why}): measure them from there"
    return Gap(pattern.feature.name, "hole-1", told)


def _across(pattern: Pattern, rack: FoundPart) -> str | None:
    """What is wrong with how far the holes lie to the left and right."""
    left = [float(at) for at in pattern.central[:, 1]]
    low, high = min(left), max(left)
    if high - low > _BOTH_ENDS and not low < -_OFF_MIDDLE < _OFF_MIDDLE < high:
        return f"they lie at y = {mm(low)} to {mm(high)}, not on both sides of it"
    spacing = rack.features["body"].get("inner-spacing")
    farthest = max(left, key=abs)
    if spacing is not None and abs(farthest) >= spacing.number / 2:
        return f"one lies at y = {mm(farthest)}, and half the inner spacing is {mm(spacing.number / 2)}"
    return None


def _height(pattern: Pattern, rack: FoundPart) -> str | None:
    """What is wrong with how far the bar's axis is from the holes: their plane, or their line where in a row."""
    middle, normal = pattern.central.mean(axis=0), pattern.normal
    if normal is None:
        along = float(middle @ pattern.along)
        off, where = math.sqrt(max(float(middle @ middle) - along**2, 0.0)), "line"
    else:
        off, where = abs(float(middle @ normal)), "plane"
    height = rack.features["body"].get("axis-height")
    if height is None:
        if off > _NO_BAR:
            return None
        return f"it is {mm(off)} from their {where}, and no axis-height is recorded that agrees"
    lacks, room = height.number - off, _room(height, pattern)
    # a row lies anywhere in the mounting face: it may be farther from the bar than the face, never nearer
    if lacks > room or (normal is not None and lacks < -room):
        return f"it is {mm(off)} from their {where}, and the bar {mm(height.number)} above the mounting face"
    return None


def _room(height: Use, pattern: Pattern) -> float:
    points = max(use.u or 0.0 for use in pattern.points.values())
    return max(_DOUBTS * math.hypot(height.u or 0.0, points), _OFF)
