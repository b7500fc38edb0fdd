"""What a cell of a sheet gives, ready to be kept: parsed once, however many rows say the same; and uids of readings."""

from __future__ import annotations

import hashlib
import json
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from json.encoder import encode_basestring_ascii
from typing import Any

from fitment.catalogue.values import StoredValue

#: the mate that a trial names
MATE = re.compile(r"with (?P<ref>\S+) (?P<feature>\S+)", re.IGNORECASE)
#: what uids are made in
SPACE = uuid.UUID("6f1d0f0e-9a5c-5c1e-8a55-8f17f17e0001")
_SPACE_BYTES = SPACE.bytes
#: the two highest bits of the digit that says how a uid was made are 10 (RFC 9562, 4.1)
_VARIANT = dict(zip("0123456789abcdef", "89ab" * 4, strict=True))


@dataclass(slots=True, eq=False)
class Cell:
    """One value of a cell.

    Attributes:
        feature, dimension: what it is a reading of, both also as `of`.
        value: as it is kept.
        name: its part of the name of which the reading's uid is made.
        told: feature, dimension and text, for people.
        columns: what a row of `reading` says from its feature to its tool.
        mated: whether it names a mate, which must be on record.
    """

    feature: str
    dimension: str
    of: tuple[str, str]
    value: StoredValue
    name: str
    told: str
    columns: tuple[Any, ...]
    mated: bool


def cell_of(feature: str, dimension: str, value: StoredValue) -> Cell:
    """A cell's value as a reading of a dimension."""
    entered = f"{value.entered} {value.bare_unit}".rstrip()
    said = (feature, dimension, value.entered, value.bare_unit)
    columns = (*said, value.number, value.u, value.word, value.tool)
    told, mated = (
        f"{feature} {dimension} = {entered}",
        value.number is None and MATE.search(value.word or "") is not None,
    )
    return Cell(feature, dimension, (feature, dimension), value, listed(*said, value.tool), told, columns, mated)


def listed(*words: str) -> str:
    """Words as they stand within a JSON list."""
    return ", ".join(map(encode_basestring_ascii, words))


def reading_name(said: Mapping[str, Any]) -> str:
    """What a reading's uid is made of, beside which repeat it is: whose, what, the text, the sitting."""
    of = str(said["of_sort"]).capitalize()
    names = ("of", "feature", "dimension", "entered", "bare_unit", "tool", "condition", "sitting")
    return json.dumps([of, *(said[name] for name in names)])


def uid_of(*words: object) -> str:
    """The uid that follows from what a record says."""
    return named_uid(json.dumps(words))


def named_uid(name: str) -> str:
    """The uid of a name: version 5 in `SPACE` (RFC 9562, 5.5), as `uuid.uuid5` gives it and in a third of the time."""
    digits = hashlib.sha1(_SPACE_BYTES + name.encode(), usedforsecurity=False).hexdigest()
    tail = f"{_VARIANT[digits[16]]}{digits[17:20]}-{digits[20:32]}"
    return f"{digits[:8]}-{digits[8:12]}-5{digits[13:16]}-{tail}"
