"""Two mounting patterns brought together: the bolt, the slack of each hole, the registration and its margin."""

from __future__ import annotations

import math
from functools import cached_property
from itertools import permutations
from typing import Any

from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.joints.answering import Size, adopted, formula, lacking
from fitment.joints.hole_registration import Registration, register
from fitment.joints.pattern_holes import Face, Pattern, faces, half_slot, pattern_of, positions, thread_at
from fitment.joints.registration import Feature, Setting
from fitment.standards.threads import Thread

_WAYS = (("forward", "rearward"), ("left", "right"), ("up", "down"))

#: how much better, mm, another pairing must register before it is worth a word (own choice)
_WORTH_SAYING = 0.5


@dataclass(frozen=True)
class Pair:
    """The two patterns that a rule looks at."""

    first: Pattern
    second: Pattern
    setting: Setting

    #: how a size is worked out at the adopted values
    central = staticmethod(adopted)

    @property
    def sides(self) -> tuple[Pattern, Pattern]:
        """Both patterns."""
        return self.first, self.second

    @property
    def joint(self) -> tuple[str, str]:
        """The names of the two."""
        return self.first.feature.name, self.second.feature.name

    @property
    def clear(self) -> tuple[Pattern, ...]:
        """The sides whose holes the bolt passes without screwing in."""
        return tuple(side for side in self.sides if not side.captive)

    @property
    def threads(self) -> tuple[tuple[Use, Thread | None], ...]:
        """Every bolt and captive thread recorded, the captive ones first."""
        found = []
        for name in ("captive", "bolt"):
            for side in self.sides:
                use = side.feature.get(name)
                if use is not None:
                    found.append((use, thread_at(side.feature, name)))
        return tuple(found)

    @property
    def bolt(self) -> Thread | None:
        """The thread of the bolt; None where nothing tells it."""
        return next((thread for _, thread in self.threads if thread is not None), None)

    @cached_property
    def seen(self) -> tuple[Face | None, Face | None] | Gap:
        """The planes in which points are looked at; None for a side that has distances only."""
        if self.first.points and self.second.points:
            return faces(self.first, self.second)
        own = [faces(side, side) if side.points else None for side in self.sides]
        gap = next((one for one in own if isinstance(one, Gap)), None)
        if gap is not None:
            return gap
        first, second = (one[0] if isinstance(one, tuple) else None for one in own)
        return first, second

    @property
    def unpaired(self) -> tuple[Gap, ...]:
        """Holes that are known on one side only."""
        gaps = []
        for side, other in (self.sides, self.sides[::-1]):
            if side.gaps or other.gaps:
                continue
            for hole in sorted(set(other.numbers) - set(side.numbers)):
                name = f"hole-{hole}" if side.points else "holes"
                why = side.feature.gap(name).why if side.points else "the distances do not reach it"
                gaps.append(Gap(side.feature.name, name, f"{why}, and {other.feature.name} has a hole {hole}"))
        return tuple(gaps)

    @cached_property
    def slack(self) -> Size:
        """How far the axes of each hole may be apart, (n,) or (count, n), mm."""
        if self.bolt is None:
            return lacking(self.first.feature.gap("bolt"))
        nominal, clear = self.bolt.nominal, self.clear
        sizes = [side.diameter(hole) for side in clear for hole in self.first.numbers]

        def summed(*diameters: Any) -> Any:
            import numpy as np

            stacked = np.stack([np.asarray((one - nominal) / 2) for one in diameters], axis=-1)
            return stacked.reshape(*stacked.shape[:-1], len(clear), -1).sum(axis=-2)

        return formula(summed, *sizes)

    @cached_property
    def parts(self) -> tuple[Size, ...]:
        """The registration as the holes are numbered, and what it follows from: holes of both, slack, half slots."""
        return self._registration(mirrored=False)

    @property
    def registered(self) -> Size:
        """The `Registration` as the holes are numbered."""
        return self.parts[0]

    @cached_property
    def mirrored(self) -> Size | None:
        """The registration with the mirror image of a side that distances leave open; None where there is none."""
        if not (self.first.two_ways or self.second.two_ways):
            return None
        return self._registration(mirrored=True)[0]

    def _registration(self, mirrored: bool) -> tuple[Size, ...]:
        gaps = self.unpaired or self._both_slotted()
        if gaps:
            return (lacking(*gaps),)
        if isinstance(self.seen, Gap):
            return (lacking(self.seen),)
        face_p, face_q = self.seen
        on_first = mirrored and self.first.two_ways
        p = positions(self.first, face_p, mirrored=on_first)
        q = positions(self.second, face_q, mirrored=mirrored and not on_first)
        slots = [half_slot(self.first, face_p), half_slot(self.second, face_q)]
        present = [slot for slot in slots if slot is not None]

        def solved(from_p: Any, to_q: Any, room: Any, *halves: Any) -> Registration:
            given = iter(halves)
            on_p, on_q = (next(given) if slot is not None else None for slot in slots)
            return register(from_p, to_q, room, on_p, on_q)

        return (formula(solved, p, q, self.slack, *present, costly=True), p, q, self.slack, *present)

    def direction(self, side: Pattern, way: Any) -> str:
        """A direction (2,) in the plane of a side in words: ``forward and left at 30 deg``, or by its own datum."""
        angle = math.degrees(math.atan2(float(way[1]), float(way[0]))) % 360
        face = None if isinstance(self.seen, Gap) else self.seen[0 if side is self.first else 1]
        if face is None:
            return f"at {angle:.0f} deg to the line from hole {side.numbers[0]} to hole {side.numbers[1]}"
        along = max(range(3), key=lambda axis: abs(float((way @ face.axes[:2])[axis])))
        named = _WAYS[along][0 if float((way @ face.axes[:2])[along]) > 0 else 1]
        off = math.degrees(math.acos(min(1.0, abs(float((way @ face.axes[:2])[along])))))
        return named if off < 0.5 else f"{named} ({off:.0f} deg off)"

    def _both_slotted(self) -> tuple[Gap, ...]:
        slotted = [side.feature for side in self.sides if side.feature.get("slot") is not None]
        numbers = {use.number for one in slotted if (use := one.get("slot-hole")) is not None}
        if len(slotted) < 2 or len(numbers) != 1:
            return ()
        return (Gap(self.second.feature.name, "slot-hole", "the hole is a slot on both sides, which is not reckoned"),)

    def better_pairing(self) -> tuple[tuple[int, ...], float] | None:
        """Another pairing, as the second part's numbers in the first's order, that registers better; and its t*, mm.

        Every order is tried for up to four holes, beyond that those round the pattern either way. Slots count as round.
        """
        import numpy as np

        if not self.registered.known or isinstance(self.seen, Gap):
            return None
        numbers = self.second.numbers
        count = len(numbers)
        orders = list(permutations(range(count))) if count <= 4 else _round_the_pattern(count)
        pick = self.central
        p, q, slack = (np.asarray(size.at(pick)) for size in (*self.parts[1:3], self.slack))
        most = self.registered.at(pick).t_star - _WORTH_SAYING
        orders = [order for order in orders if _least(p, q[list(order)], slack) <= most]
        if not orders:
            return None
        found = register(p, np.stack([q[list(order)] for order in orders]), slack).t_star
        best = int(np.argmin(found))
        if found[best] > most:
            return None
        return tuple(numbers[place] for place in orders[best]), float(found[best])


def _least(p: Any, q: Any, slack: Any) -> float:
    """What t* of two patterns is at the least, mm: two holes differ in pitch by what their slack and t* take up."""
    import numpy as np

    pitches = [np.hypot(*np.moveaxis(one[:, None] - one[None], -1, 0)) for one in (p, q)]
    return float(np.max(abs(pitches[0] - pitches[1]) - slack[:, None] - slack[None])) / 2


def _round_the_pattern(count: int) -> list[tuple[int, ...]]:
    turns = [tuple((place + step) % count for place in range(count)) for step in range(count)]
    return turns + [turn[::-1] for turn in turns]


def pair_of(first: Feature, second: Feature, setting: Setting) -> Pair:
    """The two patterns with what is known of them."""
    return Pair(pattern_of(first), pattern_of(second), setting)
