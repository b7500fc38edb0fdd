"""The same kit seen otherwise: another datum, the mirror image, inches, another order, more exact readings.

A `Mix` seen otherwise must be answered alike. Only the mirror image needs samples of its own: what lay on the left
draws from the streams of what lies on the right.
"""

from __future__ import annotations

import random
import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any
from unittest.mock import patch

from fitment.doubt import Draws
from fitment.finding import Use
from fitment.kits import checked_car
from fitment.kits.report import Report
from fitment.kits.steering_doubt import FromAdopted
from fitment.quantity.parse import parse_quantity
from fitment.quantity.points import parse_point, point_of, point_text
from tests.support.mix import Mix, Point

if TYPE_CHECKING:
    from fitment.doubt import Sample

#: values whose sign the mirror turns
_TURNED = {"phase", "slot-angle"}
#: words that change with the sides, where the dimension is about a side and not about a thread
_SIDED = {"side", "tooth-side", "stop-ways", "as-left"}
#: features of which LH and RH mean a side of the car
_HANDED = {("rack-body", "hand"), ("vehicle-body", "drive-side")}
_OTHER_HAND = {"LH": "RH", "RH": "LH"}

#: parts whose points are taken in car coordinates; those of a rack go with the rack
_IN_CAR = ("vehicle", "crossmember", "column", "intermediate-shaft")

#: every text says one of the two at most
_SIDE = re.compile(r"(?<![a-z])(left|right)(?![a-z])")


def across(text: str) -> str:
    """A name or word with left and right swapped."""
    return _SIDE.sub(lambda match: {"left": "right", "right": "left"}[match[1]], text)


def moved(mix: Mix, by: Point) -> Mix:
    """The same car surveyed from another datum: every point in car coordinates moved."""
    seen = mix.copy()
    for name, uses in seen.uses.items():
        if mix.kinds[name.partition(" ")[0]] not in _IN_CAR:
            continue
        for dimension, use in uses.items():
            if mix.value_kind(name, dimension) == "point":
                x, y, z = (at + far for at, far in zip(point_of(use), by, strict=True))
                uses[dimension] = replace(use, value=f"{x:.9f}, {y:.9f}, {z:.9f}")
    return seen


def mirrored(mix: Mix) -> Mix:
    """The mirror image: left and right swapped, y turned round, rack and car of the other hand; threads keep theirs."""
    seen = mix.copy()
    seen.uses = {
        across(name): {across(dimension): _mirrored(mix, name, use) for dimension, use in uses.items()}
        for name, uses in mix.uses.items()
    }
    seen.sections = {
        across(section): {across(key): value for key, value in table.items()} for section, table in mix.sections.items()
    }
    seen.adapters = [(part, (across(one), across(other)), ends) for part, (one, other), ends in mix.adapters]
    return seen


def _mirrored(mix: Mix, name: str, use: Use) -> Use:
    kind = mix.value_kind(name, use.dimension)
    value = use.value
    if kind == "point":
        x, y, z = point_of(use)
        value = f"{x:.9f}, {-y:.9f}, {z:.9f}"
    elif use.dimension in _TURNED:
        value = -use.number
    elif use.dimension in _SIDED:
        value = across(use.word)
    elif (mix.feature_kind(name), use.dimension) in _HANDED:
        value = _OTHER_HAND[use.word]
    return replace(use, feature=across(use.feature), dimension=across(use.dimension), value=value)


class _Mirror(Draws):
    """Samples of a mirrored kit: each value's are the mirror image of those of its counterpart."""

    def of(self, use: Use) -> Sample:
        sign = -1.0 if use.dimension in _TURNED else 1.0
        twin = replace(use, feature=across(use.feature), dimension=across(use.dimension), value=sign * use.number)
        return sign * super().of(twin)

    def of_point(self, use: Use) -> Sample:
        x, y, z = point_of(use)
        twin = replace(
            use, feature=across(use.feature), dimension=across(use.dimension), value=f"{x:.9f}, {-y:.9f}, {z:.9f}"
        )
        sample = super().of_point(twin)
        sample[1] = -sample[1]
        return sample


class MirrorDraws(_Mirror):
    """Samples of a mirrored kit for `check`."""


class MirrorFromAdopted(_Mirror, FromAdopted):
    """The same for the checks that draw few samples of their own."""


def mirror_report(mix: Mix, count: int) -> Report:
    """The answer to a mirrored kit, with the mirror image of the samples of the kit itself."""
    with patch.object(checked_car, "FromAdopted", MirrorFromAdopted):
        return mix.report(MirrorDraws(count))


def in_inches(mix: Mix) -> Mix:
    """The same lengths and points, entered in inches and read."""
    seen = mix.copy()
    for name, uses in seen.uses.items():
        for dimension, use in uses.items():
            kind = mix.value_kind(name, dimension)
            if kind == "length":
                uses[dimension] = replace(use, value=parse_quantity(_inches(use.number), "length").value)
            elif kind == "point":
                text = ", ".join(map(_inches, point_of(use)))
                uses[dimension] = replace(use, value=point_text(parse_point(text).mm))
    for table in seen.sections.values():
        for key, value in table.items():
            if isinstance(value, str) and value.endswith(" mm"):
                table[key] = _inches(float(value.removesuffix(" mm")))
    return seen


def _inches(length: float) -> str:
    return f"{length / 25.4:.15f} in"


def shuffled(mix: Mix, seed: int) -> Mix:
    """The same with parts, readings, tables and keys in another order."""
    order, seen = random.Random(seed), mix.copy()

    def turned(held: dict[str, Any]) -> dict[str, Any]:
        keys = list(held)
        order.shuffle(keys)
        return {key: held[key] for key in keys}

    seen.kinds = turned(seen.kinds)
    seen.uses = {name: turned(uses) for name, uses in turned(seen.uses).items()}
    seen.sections = {name: turned(table) for name, table in turned(seen.sections).items()}
    return seen


def tightened(mix: Mix, share: float) -> Mix:
    """The same read more exactly: every doubt times `share`."""
    seen = mix.copy()
    for uses in seen.uses.values():
        for dimension, use in uses.items():
            if use.u is not None:
                uses[dimension] = replace(use, u=use.u * share)
    return seen
