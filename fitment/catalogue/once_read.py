"""Derived rows of parts whose dimensions were read once: what a reading makes is made once by the rule, then looked up.

Most parts of a large catalogue have one reading of each dimension, and most of those say what another part's did. What
the rule (`adopt_features`) makes of a reading alone is kept by what it says, and used for the next one with that one's
uid in place. Readings that bear on one another, the diameters and the pitch of a thread or the sizes of a cone, go
through the rule together; what is read twice, copied from the other side or decided by a person goes the long way.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from operator import itemgetter
from typing import Any

from fitment.catalogue.adopt import AdoptedValue, Evidence, adopt
from fitment.catalogue.adopt_features import adopted_of_feature, adopted_values
from fitment.catalogue.decisions import Decision
from fitment.catalogue.dictionary import PartKind, dimensions_of, leading_sizes
from fitment.catalogue.end_keys import KEYED, far_end, near_key
from fitment.finding import Use
from fitment.joints.registration import Feature

#: columns of `adopted` after the three subjects, as `tail` gives them, then the readings
ADOPTED_COLUMNS: tuple[str, ...] = (
    "feature",
    "dimension",
    "number",
    "u",
    "word",
    "unit",
    "basis",
    "gap",
    "hearsay",
    "assumed",
)
ADOPTED_COLUMNS += ("shape", "shared", "source", "shown", "readings")
SUMMARY_COLUMNS: tuple[str, ...] = (
    "part_id",
    "feature",
    "kind",
    "near_key",
    "far_key",
    "size",
    "size_u",
    "taper",
    "thread",
    "hand",
)
SUMMARY_COLUMNS += ("sex", "spline_count", "hole_count")
#: how much is kept before it is made anew, so that memory is bounded
KEPT = 20_000
_THREAD_SIZES = frozenset({"od", "pitch", "minor"})
_OF_THREAD = _THREAD_SIZES | {"thread", "sex"}
#: dimensions that `Maker.looked_up_by` reads, beside the leading size and holes
_LOOKED_UP = frozenset({*KEYED, "taper"})
_CONE_SIZES = frozenset({"large", "small", "length", "thick"})

#: one reading in force: its part's key, its uid, then what it says, last the key of its sitting
Read = tuple[Any, ...]
#: dimension, value (of another part's reading, maybe), the value's columns
Made = tuple[str, AdoptedValue, tuple[Any, ...]]
#: the same with the uids behind the value as JSON
Entry = tuple[str, AdoptedValue, tuple[Any, ...], str]


def tail(value: AdoptedValue) -> tuple[Any, ...]:
    """The columns of an adopted value but the last, its readings."""
    return (
        value.feature,
        value.dimension,
        value.number,
        value.u,
        value.word,
        value.unit,
        value.basis.value,
        value.gap,
        value.hearsay,
        value.assumed,
        value.shape,
        json.dumps(value.shared) if value.shared else "[]",
        value.source,
        value.shown,
    )


def entry_of(value: AdoptedValue) -> Entry:
    return value.dimension, value, tail(value), json.dumps(value.readings)


class Maker:
    """Makes the derived rows of one part after another.

    Args:
        evidence: what the rule needs to know of one reading.
    """

    def __init__(self, evidence: Callable[[Read], Evidence]):
        self._evidence = evidence
        self._alone: dict[str, dict[tuple[Any, ...], list[Made]]] = {}
        self._keys: dict[tuple[Any, ...], str | None] = {}
        self._far: dict[tuple[str, str], str | None] = {}

    def entries(
        self, kind: PartKind, readings: Sequence[Read], decisions: Sequence[Decision] = ()
    ) -> dict[str, list[Entry]]:
        """The adopted values of a part by feature, both in order.

        Args:
            readings: those of the part in force.
            decisions: what persons decided of it, in their order.
        """
        if not decisions:
            by_feature: dict[str, list[Read]] = {}
            for one in readings:
                by_feature.setdefault(one[2], []).append(one)
            found = {name: self._once(kind, name, by_feature[name]) for name in sorted(by_feature)}
            if None not in found.values():
                return {name: entries for name, entries in found.items() if entries is not None}
        told: dict[str, list[Entry]] = {}
        for value in adopted_values(kind.features, map(self._evidence, readings), decisions):
            told.setdefault(value.feature, []).append(entry_of(value))
        return told

    def _once(self, kind: PartKind, feature: str, readings: list[Read]) -> list[Entry] | None:
        """The values of a feature each of whose dimensions was read once; None where one was not."""
        read = {one[3] for one in readings}
        if len(read) < len(readings) or "as-left" in read:
            return None
        of = kind.features[feature]
        together = bearing(of, read)
        entries: list[Entry] = []
        alone = self._alone.setdefault(of, {})
        for one in readings:
            if one[3] not in together:
                uids = f'["{one[1]}"]'
                made = alone.get(one[2:])
                if made is None:
                    if len(alone) >= KEPT:
                        alone.clear()
                    made = alone[one[2:]] = self.by_rule(of, one)
                for dimension, value, columns in made:
                    entries.append((dimension, value, columns, uids))
        if together:
            seen = [self._evidence(one) for one in readings if one[3] in together]
            entries += [entry_of(value) for value in adopted_of_feature(of, seen)]
        entries.sort(key=itemgetter(0))
        # a thread may tell its hand beside the hand's own reading
        return entries if len({entry[0] for entry in entries}) == len(entries) else None

    def by_rule(self, of: str, one: Read) -> list[Made]:
        """What the rule makes of one reading alone.

        Args:
            of: kind of the feature that it was read on.
        """
        evidence = self._evidence(one)
        if evidence.number is not None and evidence.dimension != "taper":
            values = [adopt(dimensions_of(of)[evidence.dimension], [evidence])]  # nothing else follows from a size
        else:
            values = adopted_of_feature(of, [evidence])
        return [(value.dimension, value, tail(value)) for value in values]

    def summaries(self, kind: PartKind, part_id: int, found: dict[str, list[Entry]]) -> list[tuple[Any, ...]]:
        """One row of `end_summary` per end that has anything to search by, from what `entries` gave."""
        told: dict[str, tuple[Any, ...]] = {}
        for feature, entries in found.items():
            known = {entry[0]: entry[1] for entry in entries if not entry[1].gap}
            if known:
                told[feature] = self.looked_up_by(kind.features[feature], known)
        rows = []
        for feature, (near, *others) in told.items():
            far = self.far_end(kind, feature)
            row = (near, told[far][0] if far in told else None, *others)
            if any(cell is not None for cell in row):
                rows.append((part_id, feature, kind.kind, *row))
        return rows

    def looked_up_by(self, of: str, end: dict[str, AdoptedValue]) -> tuple[Any, ...]:
        """The columns of `end_summary` that an end's own values tell: its key, then those after the far end's.

        Args:
            of: its kind.
            end: its values by dimension, those with gaps left out; at least those that tell of it (`tells_of_end`).
        """
        lead = end.get(leading_sizes().get(of, ""))
        size = None if lead is None else lead.number
        return (
            self._near_key(of, end),
            size,
            lead.u if lead is not None and size is not None else None,
            end["taper"].number if "taper" in end else None,
            *_words(end),
            _whole(end.get("spline")),
            len([name for name in end if _is_hole(name)]) or None,
        )

    def _near_key(self, of: str, end: dict[str, AdoptedValue]) -> str | None:
        """The key of an end, kept by what it is made of."""
        keyed = [end[name] for name in KEYED if name in end]
        said = (of, *((value.dimension, value.number, value.word, value.u) for value in keyed))
        if said not in self._keys:
            if len(self._keys) >= KEPT:
                self._keys.clear()
            uses = {value.dimension: use for value in keyed if (use := use_of(value)) is not None}
            self._keys[said] = near_key(Feature("", of, uses))
        return self._keys[said]

    def far_end(self, kind: PartKind, feature: str) -> str | None:
        asked = (kind.kind, feature)
        if asked not in self._far:
            self._far[asked] = far_end(kind, feature)
        return self._far[asked]


def tells_of_end(of: str, dimension: str) -> bool:
    """Whether what is read of a dimension is part of what an end of that kind is looked up by."""
    return dimension in _LOOKED_UP or dimension == leading_sizes().get(of) or _is_hole(dimension)


def _is_hole(dimension: str) -> bool:
    return dimension.startswith("hole-") and dimension[5:].isdecimal()


def _words(end: dict[str, AdoptedValue]) -> tuple[str | None, ...]:
    """Thread, hand where it is one, and sex of an end."""
    thread, hand, sex = (end[name].word if name in end else None for name in ("thread", "hand", "sex"))
    return thread, hand if hand in ("LH", "RH") else None, sex


def _whole(count: AdoptedValue | None) -> int | None:
    return None if count is None or count.number is None else int(count.number)


def use_of(value: AdoptedValue) -> Use | None:
    """An adopted value as a joint sees it; None where there is none."""
    said = value.number if value.number is not None else value.word
    return None if said is None else Use("", value.dimension, said, value.u, value.unit, value.basis)


def bearing(of: str, read: set[str]) -> set[str]:
    """Those of the dimensions that were read that the rule must see together."""
    known = dimensions_of(of)
    together: set[str] = set()
    if "thread" in known and read & _THREAD_SIZES:
        together |= read & _OF_THREAD
    if "taper" in known:
        cone = {name for name in read if name == "taper" or name.startswith("gauge-trial")}
        if "large" in read and "small" in read:
            cone |= read & _CONE_SIZES
        if len(cone) > 1:
            together |= cone
    return together
