"""Curves of a steering as rows of a table, computed beside an empty box for what the car shows."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

from fitment.kits.steering_results import Curve
from fitment.quantity.show import show_quantity
from fitment.sheets.blocks import Blank, Cell

#: wheel travel at which toe is read, mm
_TRAVELS = tuple(range(-50, 51, 10))
#: every how many points of a curve over the lock one is told
_EVERY = 2


def at(curve: Curve, x: float) -> tuple[float, float, float] | None:
    """A curve with its band at x, on the straight line between its points; None where it does not reach."""
    points = [p for p in zip(curve.x, curve.y, curve.low, curve.high, strict=True) if all(map(math.isfinite, p))]
    for (x0, *first), (x1, *second) in pairwise(points):
        if x0 <= x <= x1:
            share = (x - x0) / (x1 - x0)
            y, low, high = (a + share * (b - a) for a, b in zip(first, second, strict=True))
            return y, low, high
    return None


def toe_rows(left: Curve | None, right: Curve | None, system: str) -> tuple[tuple[Cell, ...], ...]:
    """A row for each travel at which toe is read."""
    rows = []
    for travel in _TRAVELS:
        cells: list[Cell] = [show_quantity(float(travel), "length", system)]
        for curve in (left, right):
            cells += [_band(curve, travel, 2), Blank("deg")]
        rows.append(tuple(cells))
    return tuple(rows)


def ackermann_rows(curves: Mapping[str, Curve]) -> tuple[tuple[Cell, ...], ...]:
    """A row for some places between the locks; a few empty ones where nothing is worked out."""
    left, right, error = (curves.get(name) for name in ("steer-left", "steer-right", "ackermann-error"))
    if left is None or right is None:
        return tuple((name, "not known", Blank("deg"), "not known", Blank("deg"), "not known") for name in _PLACES)
    unit = "turn" if left.x_unit == "turn" else left.x_unit
    return tuple(
        (f"{x:+.2f} {unit}", _band(left, x, 1), Blank("deg"), _band(right, x, 1), Blank("deg"), _band(error, x, 1))
        for x in left.x[::_EVERY]
    )


_PLACES = ("full left", "half left", "half right", "full right")


def _band(curve: Curve | None, x: float, decimals: int) -> str:
    if curve is None:
        return "not known"
    found = at(curve, x)
    if found is None:
        return "not reached"
    value, low, high = (f"{round(one, decimals) + 0.0:+.{decimals}f}" for one in found)
    return f"{value} deg ({low} to {high})"
