"""The thread of an end as it was adopted, and how much of it must engage."""

from __future__ import annotations

from fitment.errors import DataFault
from fitment.finding import Gap
from fitment.joints.registration import Feature
from fitment.standards.strength import engagement_equal, external_shear_area, stress_area
from fitment.standards.thread_limits import external_limits, internal_limits
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import Thread


def thread_of(feature: Feature) -> Thread | None:
    """The thread of a feature by its adopted designation; None where it has none, or one that cannot be read."""
    use = feature.get("thread")
    if use is None:
        return None
    try:
        return parse_thread(use.word).thread
    except DataFault:
        return None


def thread_gap(feature: Feature) -> Gap:
    """Why a feature has no thread."""
    use = feature.get("thread")
    return feature.gap("thread") if use is None else Gap(feature.name, "thread", f"'{use.word}' cannot be read")


def engagement_needed(thread: Thread, factor: float) -> tuple[float, str]:
    """Full thread that is asked for, mm, and why: `factor` diameters, or the computed Le of equal steels."""
    rule = factor * thread.nominal
    try:
        bolt, nut = external_limits(thread), internal_limits(thread)
        area = external_shear_area(thread.pitch, nut.D1_max, bolt.d2_min)
        computed = float(engagement_equal(stress_area(thread), area))
    except DataFault:
        return rule, f"{factor:g} d; no length is computed for {thread.designation}"
    if computed > rule:
        return computed, "computed for equal steels"
    return rule, f"{factor:g} d"
