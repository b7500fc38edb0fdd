"""What is decided by readings or by trials, in many worlds, and in which of them it fails."""

from __future__ import annotations

from dataclasses import field
from typing import Any

from fitment.frozen import dataclass
from fitment.kits.filled import Key

#: booleans, shape (draws of the words, samples of the numbers)
Fails = Any


@dataclass(frozen=True)
class Way:
    """One way to decide a rule.

    Attributes:
        keys: the readings that it takes.
        tried: whether it is a trial alone.
        settles: whether it decides the rule however it comes out; else only where it fails.
    """

    keys: frozenset[Key]
    tried: bool = False
    settles: bool = True


@dataclass
class Need:
    """What is decided together: rules that the same readings, or the same trials in their place, decide.

    Attributes:
        ways: of which any one decides; the first takes readings alone.
        fails: whether such a rule fails, by draw of the words and sample of the numbers.
        seen: the same as the readings tell it, each with the error of its tool.
        felt: the same as a trial tells it.
        rules: (code, title of the joint) of each such rule; whether it failed in any world.
    """

    ways: tuple[Way, ...]
    fails: Fails
    seen: Fails
    felt: Fails
    rules: dict[tuple[str, str], bool] = field(default_factory=dict)

    @property
    def already(self) -> bool:
        """Whether nothing has to be read for it."""
        return not self.ways[0].keys

    def told_by(self, read: frozenset[Key]) -> Way | None:
        """The way that these readings complete, one that settles before one that may only rule out; None of none."""
        complete = [way for way in self.ways if way.keys <= read]
        return max(complete, key=lambda way: (way.settles, not way.tried), default=None)

    def outcome(self, way: Way) -> Fails:
        """In which worlds it fails as that way tells it."""
        return self.felt if way.tried else self.seen
