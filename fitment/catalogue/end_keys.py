"""What an end is looked up by: the key of its joint's registration with its sex, its leading size, its cone. Pure."""

from __future__ import annotations

from collections.abc import Mapping

from fitment.catalogue.dictionary import PartKind, leading_sizes
from fitment.finding import Use
from fitment.frozen import dataclass
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Feature

#: feature kinds whose mate must agree with them by a designation -> the joint kind that says which
_KEYED = {"bar-end": "thread", "thread-end": "thread", "spline-end": "spline"}
_SEXES = ("male", "female")
#: dimensions that `near_key` looks at
KEYED = ("thread", "hand", "sex", "spline", "form", "name", "present", "profile")


@dataclass(frozen=True)
class EndKey:
    """What one end is looked up by; None for what is not known of it, or what its kind does not have.

    Attributes:
        near_key: ``M 14.0000x1.5000 RH female``; for an end that mates within a window, a word that all such have.
        size, size_u: its leading size and the standard uncertainty of that, mm.
        taper: the ratio of its cone.
    """

    near_key: str | None
    size: float | None
    size_u: float | None
    taper: float | None


def end_key(feature: Feature) -> EndKey:
    """What an end is looked up by, from its adopted values."""
    leading = feature.get(leading_sizes().get(feature.kind, ""))
    size = _number(leading)
    return EndKey(
        near_key(feature), size, leading.u if leading and size is not None else None, _number(feature.get("taper"))
    )


def _number(use: Use | None) -> float | None:
    return use.value if use is not None and not isinstance(use.value, str) else None


def near_key(feature: Feature) -> str | None:
    if feature.kind in _KEYED:
        key, sex = joint_kinds()[_KEYED[feature.kind]].key(feature), feature.get("sex")
        if key is None or sex is None or sex.word not in _SEXES:
            return None
        return " ".join((*key, sex.word))
    if feature.kind == "rack-body":
        hand = feature.get("hand")
        return None if hand is None else f"{feature.kind} {hand.word}"
    bored = feature.get("profile") if feature.kind == "eye" else None
    return "eye parallel" if bored is not None and bored.word == "parallel" else feature.kind


def far_end(kind: PartKind, feature: str) -> str | None:
    """The name of the other end of a part of just two ends; None where there are fewer or more."""
    ends = [name for name in kind.features if name != "body"]
    return next((name for name in ends if name != feature), None) if len(ends) == 2 and feature in ends else None


def end_keys(features: Mapping[str, Feature]) -> dict[str, EndKey]:
    """`end_key` of every feature that has any value."""
    return {name: end_key(feature) for name, feature in features.items() if feature.values}
