"""The short names of rows, as they are written on paper, typed with a thumb or answered; quick and full sheets.

A row of the body is named by its dimension alone (``inner-spacing``), any other by feature and dimension
(``bar-end.left thread``). Synonyms, other orders of words and a colon after the name are accepted.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from fitment.catalogue.dictionary import (
    Dimension,
    PartKind,
    dimensions_of,
    find_dimension,
    find_feature,
    find_kind,
)
from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.quantity.written import quoted

#: the longest names have this many words: "left bar end", "thin castle nut height"
_WORDS = 5


@dataclass(frozen=True)
class SheetRow:
    """One row of a sheet.

    Attributes:
        name: how it is written, ``bar-end.left thread``.
        feature, dimension: what it is a reading of.
        why: what it decides; "" on rows that only the full sheet has.
    """

    name: str
    feature: str
    dimension: Dimension
    why: str


def line_name(feature: str, dimension: str) -> str:
    """The short name of a row: ``inner-spacing`` for the body, ``bar-end.left thread`` for any other feature."""
    return dimension if feature == "body" else f"{feature} {dimension}"


@cache
def _whys() -> Mapping[str, Mapping[tuple[str, str], str]]:
    found: dict[str, dict[tuple[str, str], str]] = {}
    with Path(__file__).with_name("quick.csv").open(encoding="utf-8", newline="") as table:
        for row in csv.DictReader(table, strict=True):
            found.setdefault(row["kind"], {})[(row["feature"], row["dimension"])] = row["why"]
    return found


def quick_rows(kind: PartKind) -> tuple[SheetRow, ...]:
    """The dimensions that decide first, at most 15, in the order in which they are taken."""
    return tuple(
        SheetRow(line_name(feature, name), feature, dimensions_of(kind.features[feature])[name], why)
        for (feature, name), why in _whys()[kind.kind].items()
    )


def full_rows(kind: PartKind) -> tuple[SheetRow, ...]:
    """Every dimension of a kind, in the order of its sheet."""
    whys = _whys()[kind.kind]
    return tuple(
        SheetRow(line_name(feature, name), feature, dimension, whys.get((feature, name), ""))
        for feature, of in kind.features.items()
        for name, dimension in dimensions_of(of).items()
    )


def part_kind_in(words: str) -> PartKind:
    """As `find_kind`, but of parts alone.

    Raises:
        DataFault: no such kind, or a vehicle, which has a line of its own.
    """
    kind = find_kind(words)
    if kind.kind == "vehicle":
        raise DataFault("a vehicle is not a part", mending="write: vehicle REF", code="page-06")
    return kind


def split_line(kind: PartKind, text: str, here: str = "") -> tuple[str, Dimension, str]:
    """(feature, dimension, value) of a line ``name value``; the value may be "".

    Args:
        kind: kind of the part that the line is about.
        text: the line.
        here: the feature that is being asked about; a name without a feature means it, then the body's, then the only
            feature that has it.

    Raises:
        DataFault: it does not begin with the name of a row, or with one that several features have.
    """
    words = text.split()
    for count in range(min(_WORDS, len(words)), 0, -1):
        if (named := _with_feature(kind, words[:count])) is not None:
            return (*named, " ".join(words[count:]))
    for count in range(min(_WORDS, len(words)), 0, -1):
        if (features := _features_with(kind, " ".join(words[:count]))) is not None:
            feature = _chosen(kind, features, here, " ".join(words[:count]))
            return (
                feature,
                find_dimension(kind, feature, " ".join(words[:count])),
                " ".join(words[count:]),
            )
    raise _unknown(kind, words)


def _with_feature(kind: PartKind, words: list[str]) -> tuple[str, Dimension] | None:
    """Feature and dimension of words that name both, or of one word that joins them by a dot, as in sheets."""
    splits = [(" ".join(words[:at]), " ".join(words[at:])) for at in range(1, len(words))]
    if len(words) == 1 and "." in words[0]:
        feature, _, dimension = words[0].rpartition(".")
        splits.append((feature, dimension))
    for feature, dimension in splits:
        try:
            name = find_feature(kind, feature)
            return name, find_dimension(kind, name, dimension)
        except DataFault:
            continue
    return None


def _features_with(kind: PartKind, name: str) -> list[str] | None:
    """The features that have a dimension of that name; of that synonym only where it is no dimension's own name."""
    own: list[str] = []
    other: list[str] = []
    for feature in kind.features:
        try:
            dimension = find_dimension(kind, feature, name)
        except DataFault:
            continue
        (own if _letters(dimension.dimension) == _letters(name) else other).append(feature)
    return own or other or None


def _letters(name: str) -> str:
    return "".join(sign for sign in name.casefold() if sign.isalnum())


def _chosen(kind: PartKind, features: list[str], here: str, name: str) -> str:
    for wanted in (here, "body"):
        if wanted in features:
            return wanted
    if len(features) > 1:
        raise DataFault(
            f"{quoted(name)} is on several features of a {kind.title}",
            mending="write which: " + ", ".join(f"{feature} {name}" for feature in features),
            code="page-02",
        )
    return features[0]


def _unknown(kind: PartKind, words: list[str]) -> DataFault:
    """What such a line should have begun with."""
    for count in range(min(3, len(words)), 0, -1):
        feature = _feature(kind, " ".join(words[:count]))
        if feature:
            wanted = " ".join(words[count : count + 1])
            return DataFault(
                f"{kind.title}, {feature} has no dimension {quoted(wanted)}",
                mending=nearest(wanted.casefold(), dimensions_of(kind.features[feature])),
                code="dictionary-03",
            )
    return DataFault(
        f"{quoted(' '.join(words[:3]))} names no row of a {kind.title}",
        mending=nearest(" ".join(words[:2]).casefold(), [row.name for row in full_rows(kind)]),
        code="page-01",
    )


def _feature(kind: PartKind, name: str) -> str:
    try:
        return find_feature(kind, name)
    except DataFault:
        return ""
