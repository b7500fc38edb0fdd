"""Where a point that is not surveyed might lie: for ranking readings only, never for a verdict.

As its fellow on the other side lies, mirrored, within a little; where that is not known either, in a box beside a
point of the same corner that is (``plausible_points.csv``). What was only said has even odds of lying so.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from fitment.catalogue.dictionary import Dimension
from fitment.frozen import dataclass
from fitment.joints.registration import Feature
from fitment.kits.plausible import Plausible
from fitment.quantity.points import Triple, point_of

#: mm in each coordinate by which a side is unlike the other, and by which what was only said may be off (own choice)
_UNLIKE, _ASTRAY = 10.0, 30.0
_OTHER = {"left": "right", "right": "left"}
#: y is positive to the left
_SIGNS = {"left": 1.0, "right": -1.0}


def plausible_point(feature: Feature, dimension: Dimension, others: Mapping[str, Feature]) -> Plausible | None:
    """Where a point might lie; None where nothing bounds it.

    Args:
        feature: that the point is of.
        dimension: its dimension.
        others: the features of the kit by their full names.
    """
    use = feature.get(dimension.dimension)
    if use is not None:
        if not (use.hearsay or use.assumed):
            box = _about(point_of(use), (use.u or 0.0) * 3**0.5)
            return Plausible(feature.name, dimension, box=box, told="as read so far")
        told = f"as said or, as often, up to {_ASTRAY:g} mm off in each coordinate"
        return Plausible(feature.name, dimension, (), use, said=True, box=_about(point_of(use), _ASTRAY), told=told)
    own, side = feature.name.rsplit(".", 1) if "." in feature.name else (feature.name, "")
    fellow = others.get(f"{own}.{_OTHER[side]}") if side in _OTHER else None
    there = fellow.get(dimension.dimension) if fellow else None
    if there is not None:
        x, y, z = point_of(there)
        told = f"as on the {_OTHER[side]}, up to {_UNLIKE:g} mm off in each coordinate"
        return Plausible(feature.name, dimension, box=_about((x, -y, z), _UNLIKE), told=told)
    row = _table().get(dimension.dimension) if feature.kind == "corner" and side in _SIGNS else None
    beside = feature.get(row.near) if row else None
    if row is None or beside is None:
        return None
    x, y, z = point_of(beside)
    across = sorted(y + _SIGNS[side] * out for out in row.out)
    box = (x + row.ahead[0], across[0], z + row.up[0]), (x + row.ahead[1], across[1], z + row.up[1])
    return Plausible(feature.name, dimension, box=box, told=f"in a box beside the {row.near}")


def _about(at: Triple, off: float) -> tuple[Triple, Triple]:
    x, y, z = at
    return (x - off, y - off, z - off), (x + off, y + off, z + off)


@dataclass(frozen=True)
class _Row:
    near: str
    out: tuple[float, float]
    ahead: tuple[float, float]
    up: tuple[float, float]


@cache
def _table() -> dict[str, _Row]:
    with Path(__file__).with_name("plausible_points.csv").open(encoding="utf-8", newline="") as table:
        return {
            row["dimension"]: _Row(
                row["near"],
                (float(row["out_low"]), float(row["out_high"])),
                (float(row["ahead_low"]), float(row["ahead_high"])),
                (float(row["up_low"]), float(row["up_high"])),
            )
            for row in csv.DictReader(table)
        }
