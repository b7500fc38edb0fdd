"""The rack as it sits in the kit's car: its ends and its holes after half a turn against how it sat in its donor."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

from fitment.catalogue.found import FoundPart
from fitment.geometry.direction import HALF_TURNS
from fitment.joints.registration import Feature
from fitment.quantity.points import point_of, point_text

AS_IN_DONOR = "as in its donor"
#: axis of the car about which the rack is turned by half, by the word in the kit file
AXES = {"upside down": "longitudinal", "back to front": "vertical", "end over end": "lateral"}
TURNS = (AS_IN_DONOR, *AXES)

#: sizes of a rack's body that are taken at one of its ends
_AT_AN_END = re.compile(r"(?P<what>travel|out|tube|boot-seat)-(?P<side>left|right)(?P<rest>.*)")
_OTHER = {"left": "right", "right": "left"}
_HOLE = re.compile(r"hole-\d+")

Held = TypeVar("Held")


def ends_swap(turned: str) -> bool:
    """Whether the rack's ends change sides; "" is as it sat in its donor."""
    return turned in AXES and HALF_TURNS[AXES[turned]][1] < 0


def turned_rack(part: FoundPart, turned: str) -> FoundPart:
    """The rack with its ends, and what was taken at them, on the side where they come to lie, and its holes turned.

    Every value keeps the name under which it was read. Words of the body (hand, input, bar-side) stay those of the
    donor: who needs them turns them.
    """
    if turned not in AXES:
        return part
    features = {**part.features, "mount": _mount(part.features["mount"], turned)}
    if ends_swap(turned):
        left, right = part.features["bar-end.left"], part.features["bar-end.right"]
        body = part.features["body"]
        features |= {
            "bar-end.left": right,
            "bar-end.right": left,
            "body": replace(body, values=_swapped(body.values), gaps=_swapped(body.gaps)),
        }
    return replace(part, features=features)


def _swapped(held: Mapping[str, Held]) -> dict[str, Held]:
    """The same by the names of the other end."""
    return {_across(name): one for name, one in held.items()}


def _across(name: str) -> str:
    match = _AT_AN_END.fullmatch(name)
    return f"{match['what']}-{_OTHER[match['side']]}{match['rest']}" if match else name


def _mount(mount: Feature, turned: str) -> Feature:
    """The holes about the rack's own origin; distances alone do not tell from which side they are seen."""
    signs = HALF_TURNS[AXES[turned]]
    values = dict(mount.values)
    for name, use in mount.values.items():
        if _HOLE.fullmatch(name):
            x, y, z = (sign * at for sign, at in zip(signs, point_of(use), strict=True))
            values[name] = replace(use, value=point_text((x, y, z)), shown=f"{use.shown}, {turned}".lstrip(", "))
        elif name == "slot-angle":
            # from straight across, in the face: the other way round where the face is turned over
            values[name] = replace(use, value=signs[0] * signs[1] * use.number)
    gaps = dict(mount.gaps)
    if values.pop("holes", None) is not None:
        gaps["holes"] = f"distances do not tell how the holes lie with the rack {turned}: give points"
    return replace(mount, values=values, gaps=gaps)
