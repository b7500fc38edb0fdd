"""Records that were changed past the program: their ids were made of what they said before."""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.dictionary import dimensions_of, part_kinds
from fitment.catalogue.exchange.form import THINGS, Line
from fitment.catalogue.exchange.rows import stored
from fitment.catalogue.exchange.said import without_mate
from fitment.catalogue.schema import Item, Part, table_of
from fitment.catalogue.values import read_values
from fitment.errors import FitmentError

_SORTS = (*THINGS, "reading", "decision", "statement", "join")


def edited_records(connection: Connection) -> Iterator[str]:
    """A line for each record that does not say what its uid was made of, and each reading whose text says otherwise.

    A reading's doubt is not looked at: it was set by the tools as they were known when it was read.
    """
    kinds = _kinds(connection)
    otherwise: list[tuple[str, Line]] = []
    for sort in _SORTS:
        for uid, line in stored(connection, sort):
            if _made_by_us(uid) and uid != line.uid:
                yield f"{sort} {_name(uid, line)} was changed after it was kept: its id was made of other words"
            if sort == "reading" and not _says_its_text(line.said, kinds):
                otherwise.append((uid, line))
    for uid, line in otherwise:
        said = line.said["word"] if line.said["number"] is None else f"{line.said['number']:g}"
        text = line.said["entered"]
        yield f'reading {_name(uid, line)} has the value {said}, which its text "{text}" does not say'


def _made_by_us(uid: str) -> bool:
    """Whether a uid is of the sort that follows from what a record says."""
    try:
        return uuid.UUID(uid).version == 5
    except ValueError:
        return False


def _name(uid: str, line: Line) -> str:
    if "ref" in line.said:
        return str(line.said["ref"])
    of = " ".join(str(line.said[name]) for name in ("of", "part", "feature", "dimension", "field") if name in line.said)
    return f"{uid[:8]} of {of}"


def _kinds(connection: Connection) -> dict[tuple[str, str], str]:
    """Kind of part of each part and item, by sort and reference."""
    kinds: dict[tuple[str, str], str] = {}
    by_key: dict[int, str] = {}
    for row in connection.execute(sa.select(table_of(Part))):
        by_key[row.id] = kinds["part", f"{row.shop}/{row.ref}"] = row.kind
    for row in connection.execute(sa.select(table_of(Item))):
        kinds["item", f"{row.shop}/{row.ref}"] = by_key[row.part_id]
    return kinds


def _says_its_text(said: Mapping[str, Any], kinds: dict[tuple[str, str], str]) -> bool:
    """Whether a reading's number or word is what its text says; true where this program's dictionary has none such."""
    kind = part_kinds().get(kinds.get((said["of_sort"], said["of"]), "vehicle"))
    feature = kind.features.get(said["feature"]) if kind else None
    if feature is None or said["dimension"] not in dimensions_of(feature):
        return True
    text = (said["entered"], said["bare_unit"], said["tool"])
    return _text_says(feature, said["dimension"], *text, said["number"], said["word"])


@lru_cache(maxsize=20_000)  # readings of many parts say the same
def _text_says(
    feature: str, name: str, entered: str, unit: str, tool: str, number: float | None, word: str | None
) -> bool:
    dimension = dimensions_of(feature)[name]
    try:
        for way in ((tool, True), (tool, False), ("", True), ("", False)):
            for value in read_values(dimension, entered, unit, *way):
                if value.number is None or number is None:
                    if value.number == number and without_mate(value.word) == without_mate(word):
                        return True
                elif math.isclose(value.number, number, rel_tol=1e-12):
                    return True
    except FitmentError:
        return True  # what cannot be read any more by a later rule was read by an earlier one
    return False
