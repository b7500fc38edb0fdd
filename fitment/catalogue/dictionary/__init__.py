"""The typed dictionary: which kinds of part there are, which features each has, which dimensions each feature has.

Belongs here: the tables (``kinds.csv``, ``dimensions.csv``, ``sizes.csv``) and how people's words find their rows.
Does not belong: readings and adopted values, how a value is parsed, what a joint does with it.

A new kind of part, feature or dimension is a row, not code. Ranges are the usual ones of the trade, carried over as
they stand: a value outside wants confirming, but can be entered, since uncommon parts are those that get measured.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import field
from functools import cache
from pathlib import Path

from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.quantity.written import quoted

_FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Dimension:
    """One thing that can be measured or noted on a feature.

    Attributes:
        dimension: its name, ``groove-position``.
        title: what it is, for people.
        value_kind: length, angle, mass, force, torque, turns, rate, count, fraction, number, word, thread, taper,
            point, distances or trial.
        unit: unit of a bare value, of `low` and of `high`; "" where its kind has none. A point and a set of distances
            have it for each number.
        inch_unit: the same in an inch shop.
        low, high: the usual range in `unit` (a taper's as a ratio); None where no limit is known. A low of zero without
            a high is a size of which no more is known than that it is above zero.
        words: the words allowed for a word; empty where any will do.
        synonyms: other names that are accepted.
        tool: code of the tool usually used; ``look`` and ``paper`` for what is not measured.
        how: how to take it, one line, printed on sheets.
        range_source: where the range comes from; "" where there is none.
        section: number of the list of dimensions that it belongs to, ``4.8``.
    """

    dimension: str
    title: str
    value_kind: str
    unit: str
    inch_unit: str
    low: float | None
    high: float | None
    words: tuple[str, ...]
    synonyms: tuple[str, ...]
    tool: str
    how: str
    range_source: str
    section: str

    @property
    def above_zero(self) -> bool:
        """Whether it is a size, which cannot be zero or less: its range begins above zero, or at zero without an end.

        An angle may be laid the other way, whatever is usual.
        """
        return (
            self.value_kind != "angle" and self.low is not None and (self.low > 0 or (self.low, self.high) == (0, None))
        )


@dataclass(frozen=True)
class PartKind:
    """A kind of part.

    Attributes:
        kind: its name, ``rod-end``.
        title: the word that is printed.
        synonyms: trade words that are accepted.
        features: name of a feature (``bar-end.left``) -> kind of feature (``bar-end``), in the order of sheets.
        section: number of the list of dimensions that describes it.
        note: what tells it from its neighbours; "" where nothing needs saying.
    """

    kind: str
    title: str
    synonyms: tuple[str, ...]
    features: Mapping[str, str] = field(hash=False)
    section: str
    note: str


def _rows(name: str) -> Iterator[dict[str, str]]:
    with (_FOLDER / name).open(encoding="utf-8", newline="") as table:
        yield from csv.DictReader(table, strict=True)


def _several(cell: str) -> tuple[str, ...]:
    """The parts of a cell that holds several, divided by bars."""
    return tuple(cell.split("|")) if cell else ()


def _tokens(name: str) -> list[str]:
    return re.findall(r"[^\W_]+", name.casefold())


def _key(name: str) -> str:
    """A name without what people do not mean by it: case, spaces, hyphens, dots and commas."""
    return "".join(_tokens(name))


@cache
def part_kinds() -> dict[str, PartKind]:
    """Every kind of part by its name, in the order of the table."""
    return {
        row["kind"]: PartKind(
            kind=row["kind"],
            title=row["title"],
            synonyms=_several(row["synonyms"]),
            features=dict(_pair(feature) for feature in row["features"].split()),
            section=row["section"],
            note=row["note"],
        )
        for row in _rows("kinds.csv")
    }


def _pair(feature: str) -> tuple[str, str]:
    name, _, kind = feature.partition(":")
    return name, kind


@cache
def _kinds_by_word() -> dict[str, PartKind]:
    return {_key(word): kind for kind in part_kinds().values() for word in (kind.kind, kind.title, *kind.synonyms)}


def find_kind(word: str) -> PartKind:
    """The kind of part that a trade word means: name, title or synonym; case, spaces and hyphens do not matter.

    Raises:
        DataFault: no such kind, naming the nearest.
    """
    kind = part_kinds().get(word) or _kinds_by_word().get(_key(word))
    if kind is None:
        words = (word for known in part_kinds().values() for word in (known.title, *known.synonyms))
        raise DataFault(
            f"there is no kind of part {quoted(word)}",
            mending=nearest(word.casefold(), words),
            code="dictionary-01",
        )
    return kind


def find_feature(kind: PartKind, name: str) -> str:
    """The name of a feature as the dictionary has it: ``bar-end.left`` for "left bar end" and "bar end, left".

    Raises:
        DataFault: this kind of part has no such feature, naming the nearest.
    """
    wanted = sorted(_tokens(name))
    found = next((feature for feature in kind.features if sorted(_tokens(feature)) == wanted), None)
    if found is None:
        raise DataFault(
            f"{kind.title} has no feature {quoted(name)}",
            mending=nearest(name.casefold(), kind.features),
            code="dictionary-02",
        )
    return found


@cache
def _by_feature_kind() -> dict[str, dict[str, Dimension]]:
    found: dict[str, dict[str, Dimension]] = {}
    for row in _rows("dimensions.csv"):
        dimension = _dimension(row)
        for feature_kind in row["feature_kinds"].split():
            found.setdefault(feature_kind, {})[dimension.dimension] = dimension
    return found


def _dimension(row: dict[str, str]) -> Dimension:
    return Dimension(
        dimension=row["dimension"],
        title=row["title"],
        value_kind=row["value_kind"],
        unit=row["unit"],
        inch_unit=row["inch_unit"],
        low=float(row["low"]) if row["low"] else None,
        high=float(row["high"]) if row["high"] else None,
        words=_several(row["words"]),
        synonyms=_several(row["synonyms"]),
        tool=row["tool"],
        how=row["how"],
        range_source=row["range_source"],
        section=row["section"],
    )


def dimensions_of(feature_kind: str) -> dict[str, Dimension]:
    """The dimensions of a kind of feature by name, in the order of sheets.

    Args:
        feature_kind: one that some kind of part has, ``thread-end``; ours, never a user's.
    """
    return _by_feature_kind()[feature_kind]


@cache
def leading_sizes() -> dict[str, str]:
    """The one dimension by which an end or a body of each feature kind is looked up first; not every kind has one."""
    return {row["feature_kind"]: row["dimension"] for row in _rows("sizes.csv")}


@cache
def _dimensions_by_word(feature_kind: str) -> dict[str, Dimension]:
    return {
        _key(word): dimension
        for dimension in dimensions_of(feature_kind).values()
        for word in (dimension.dimension, *dimension.synonyms)
    }


def find_dimension(kind: PartKind, feature: str, name: str) -> Dimension:
    """The dimension that a word means on a feature of a kind of part: its name or a synonym.

    Args:
        kind: the kind of part.
        feature: the feature, in any spelling that `find_feature` understands.
        name: the dimension; case, spaces and hyphens do not matter.

    Raises:
        DataFault: no such feature, or no such dimension, saying where it is if elsewhere, or else the nearest.
    """
    feature = find_feature(kind, feature)
    found = _dimensions_by_word(kind.features[feature]).get(_key(name))
    if found is None:
        raise DataFault(
            f"{kind.title}, {feature} has no dimension {quoted(name)}",
            mending=_elsewhere(kind, name) or _nearest_dimension(kind.features[feature], name),
            code="dictionary-03",
        )
    return found


def _elsewhere(kind: PartKind, name: str) -> str:
    """Where else on this kind of part there is such a dimension; "" where nowhere."""
    key = _key(name)
    features = [feature for feature, of in kind.features.items() if key in _dimensions_by_word(of)]
    return f"write it under {' or '.join(features)}" if features else ""


def _nearest_dimension(feature_kind: str, name: str) -> str:
    dimensions = dimensions_of(feature_kind).values()
    return nearest(name.casefold(), (word for known in dimensions for word in (known.dimension, *known.synonyms)))
