"""The curves of a comparison as one long table."""

from __future__ import annotations

import csv
import io
import math

from fitment.kits.steer import Comparison

_HEADINGS = ("steering", "curve", "x", "x unit", "y", "low", "high", "y unit")


def steer_csv(comparison: Comparison) -> str:
    """One row per point of every curve; an empty cell where a pose is not reached."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(_HEADINGS)
    for one in comparison.steerings:
        for name, curve in one.told.curves.items():
            for x, *rest in zip(curve.x, curve.y, curve.low, curve.high, strict=True):
                y, low, high = (repr(value) if math.isfinite(value) else "" for value in rest)
                table.writerow((one.name, name, repr(x), curve.x_unit, y, low, high, curve.y_unit))
    return out.getvalue()
