"""What is said with the effort on the spot: how it was found, over what it ranges, and figures that rules have."""

from __future__ import annotations

from fitment.geometry.effort import BIAS, METHOD
from fitment.kits.steer import Comparison
from fitment.kits.steering_effort import RESULTS, assumed
from fitment.standards.effort import REGULATED, effort_limits


def effort_notes(comparison: Comparison) -> list[str]:
    """Sentences to put under a comparison; none where no effort could be worked out."""
    if not any(name in one.told.results for one in comparison.steerings for name in RESULTS):
        return []
    body = comparison.vehicle.features.get("body")
    category = body.get("category") if body else None
    limits = effort_limits(category.word if category else "")
    return [
        f"Effort: {METHOD}. Least to most: {assumed()}. {BIAS[0].upper()}{BIAS[1:]}.",
        f"The next {len(limits)} are figures of rules, {REGULATED}.",
        *(f"{one.told}." for one in limits),
    ]
