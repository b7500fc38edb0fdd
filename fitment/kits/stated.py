"""Limits that are limits only where a kit states them: what is said of a figure that nothing is held against."""

from __future__ import annotations

from collections.abc import Iterable

from fitment.finding import Gap, Use
from fitment.joints.answering import Size
from fitment.joints.registration import Limit, Setting


def states(setting: Setting, name: str) -> bool:
    """Whether the kit states a limit itself."""
    return name in setting.limits and setting.limits[name].overridden


def no_verdict(setting: Setting, *names: str) -> str:
    """That a kit states no limit, and how it would."""
    limits = [setting.limits[name] for name in names]
    told = " and ".join(f"{limit.name} = {_value(limit)}" for limit in limits)
    return f"no verdict, as the kit states no limit and none has authority; {told} in [limits] would be one"


def _value(limit: Limit) -> str:
    """A limit as a kit file has it."""
    return f'"{limit.value:g} {limit.unit}"' if limit.unit else f"{limit.value:g}"


def told_weak(sizes: Iterable[Size]) -> str:
    """That figures rest on weak evidence; nothing where they do not."""
    weak = {use: None for size in sizes for use in size.uses if use.hearsay or use.assumed}
    return f"; on hearsay or assumption: {', '.join(map(_named, weak))}" if weak else ""


def _named(use: Use) -> str:
    return f"{use.feature} {use.dimension}"


def wanting(gaps: Iterable[Gap]) -> str:
    """What is missing, briefly: the dimensions of one feature together."""
    folded: dict[tuple[str, str], list[str]] = {}
    for gap in dict.fromkeys(gaps):
        folded.setdefault((gap.feature, gap.why), []).append(gap.dimension)
    return "; ".join(f"{feature} {', '.join(names)}: {why}" for (feature, why), names in folded.items())
