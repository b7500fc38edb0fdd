"""A person's decision between readings in conflict: which are taken, which were set aside, why. Pure.

It settles what was known when it was made: a reading taken in later is neither taken nor set aside, so that it agrees
with what was decided or brings the conflict back. Once every reading that it took is withdrawn, it holds no longer.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import field

from fitment.frozen import dataclass

#: dimensions whose readings bear on the value of another
_BEARING = {
    "thread": ("thread", "od", "pitch", "minor"),
    "hand": ("hand", "thread"),
    "taper": ("taper", "gauge-trial"),
}


@dataclass(frozen=True)
class Decision:
    """One decision.

    Attributes:
        feature, dimension: what it decides.
        taken: uids of the readings that hold.
        over: uids of all readings that it was decided over, the taken ones among them.
        reason, who, dated: why, by whom (initials), when.
        turn: one more than that of the last decision of it that was known then.
    """

    feature: str
    dimension: str
    taken: tuple[str, ...]
    over: tuple[str, ...]
    reason: str
    who: str
    dated: str
    turn: int = field(default=1, compare=False)

    @property
    def aside(self) -> frozenset[str]:
        """Uids of the readings that it set aside."""
        return frozenset(self.over) - frozenset(self.taken)

    @property
    def told(self) -> str:
        """Who decided, when and why, for the source of the value."""
        by = " ".join(filter(None, (self.who and f"by {self.who}", self.dated and f"on {self.dated}")))
        return f"decided {by}: {self.reason}" if by else f"decided: {self.reason}"


def bearing(dimension: str) -> tuple[str, ...]:
    """The dimensions whose readings may speak for or against a value of this one."""
    return _BEARING.get(dimension, (dimension,))


def standing(decisions: Iterable[Decision], feature: str, uids: Collection[str]) -> dict[str, Decision]:
    """The decisions that hold for a feature, by dimension: of several the last.

    Where two shops decided otherwise on one day, neither knowing of the other, none holds until somebody decides again.

    Args:
        decisions: in the order in which they were made.
        uids: readings in force; a decision none of whose readings is among them holds no longer.
    """
    held: dict[str, Decision] = {}
    disputed: dict[str, tuple[str, int]] = {}
    for one in decisions:
        if one.feature != feature or not any(uid in uids for uid in one.taken):
            continue
        before, when = held.get(one.dimension), (one.dated, one.turn)
        if before is not None and when == (before.dated, before.turn) and one.taken != before.taken:
            disputed[one.dimension] = when
        held[one.dimension] = one
    return {name: one for name, one in held.items() if disputed.get(name) != (one.dated, one.turn)}
