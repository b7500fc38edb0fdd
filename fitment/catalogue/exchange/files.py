"""Exchange files read and written. What is read is looked at line by line before anything of it is believed."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from fitment.catalogue.bounded_file import read_bounded
from fitment.catalogue.collecting import Collector
from fitment.catalogue.exchange.form import (
    FIELDS,
    FORMAT,
    LIMITS,
    OWNERS,
    SUBJECTS,
    Line,
    canonical,
    of_all,
)
from fitment.errors import DataFault, FitmentError, NotFoundFault, nearest
from fitment.frozen import dataclass

#: longest line, bytes: the text of a kit file and some
_LONGEST = 4_000_000
#: bytes of a file, all of which is in memory at once
_LARGEST = 500_000_000
#: faults of one file that are told
_MANY = 20
_INTEGER = 2**31 - 1
#: kind of field -> what it must be, for people
_WORDS = {
    "count": "a whole number",
    "flag": "true or false",
    "number": "a number",
    "uids": "a list of uids",
    "subject": "one of " + ", ".join(SUBJECTS),
    "owner": "one of " + ", ".join(OWNERS),
}


@dataclass(frozen=True)
class Header:
    """The first line: whose records they are, as of which state, on what terms.

    Attributes:
        shop, catalogue: code of the shop and uid of its catalogue.
        revision: of its catalogue, then.
        made: the day, ISO 8601.
        program: name and version of the program.
        permission: what the shop permits with its records.
        records: how many lines follow.
        content: SHA-256 of their digests, one after the other.
    """

    shop: str
    catalogue: str
    revision: int
    made: str
    program: str
    permission: str
    records: int
    content: str


_HEADER = {
    **{"shop": "code", "catalogue": "uid", "revision": "count", "made": "date", "program": "words"},
    **{"permission": "words", "records": "count", "content": "sha256"},
}


@dataclass(frozen=True)
class Exchanged:
    """A file as it was read."""

    path: str
    header: Header
    lines: tuple[Line, ...]


def is_exchange(path: Path) -> bool:
    """Whether a file begins as an exchange file does; a sheet never does."""
    try:
        with path.open("rb") as file:
            return file.read(1) == b"{"
    except OSError:
        return False


def file_text(header: Header, lines: Sequence[Line]) -> bytes:
    """The bytes of a file."""
    return "".join(f"{text}\n" for text in (_header_text(header), *(line.text for line in lines))).encode()


def _header_text(header: Header) -> str:
    return canonical({"format": FORMAT, **{name: getattr(header, name) for name in _HEADER}})


def read_file(path: Path) -> Exchanged:
    """An exchange file; every line of it is as its digest and its uid say.

    Raises:
        NotFoundFault: there is no such file.
        Faults, DataFault: what is wrong, by line; the first 20 of a file.
    """
    collector = Collector()
    try:
        content = read_bounded(path, _LARGEST, "exchange-17")
    except FileNotFoundError:
        raise NotFoundFault(
            "there is no such file", place=str(path), mending="name an existing one", code="exchange-01"
        ) from None
    pieces = content.split(b"\n")
    if pieces.pop():
        raise DataFault(
            "the last line is cut short",
            place=f"{path}:{len(pieces) + 1}",
            mending="the file was damaged on its way: ask for it again",
            code="exchange-02",
        )
    found: list[Line] = []
    digests: list[str] = []
    header = _header(pieces[0] if pieces else b"", f"{path}:1")
    for number, piece in enumerate(pieces[1:], 2):
        place = f"{path}:{number}"
        try:
            line, digest = _line(piece, place)
        except FitmentError as fault:
            collector.take(fault, place)
            if len(collector.faults) >= _MANY:
                break
        else:
            found.append(line)
            digests.append(digest)
    collector.end()
    if len(found) != header.records or of_all(digests) != header.content:
        raise DataFault(
            f"the lines are not those that the first line speaks of ({header.records} were written, {len(found)} are"
            " here): some are missing, added, or in another order",
            place=f"{path}:1",
            mending="the file was damaged or changed on its way: ask for it again",
            code="exchange-03",
        )
    return Exchanged(str(path), header, tuple(found))


def _header(piece: bytes, place: str) -> Header:
    said = _object(piece, place)
    if said.pop("format", None) != FORMAT:
        raise DataFault(
            "the first line is not that of an exchange file of this program",
            place=place,
            mending=f'it says "format": "{FORMAT}"; a later format needs a newer program',
            code="exchange-04",
        )
    _checked(said, _HEADER, place)
    return Header(**said)


def _line(piece: bytes, place: str) -> tuple[Line, str]:
    said = _object(piece, place)
    sort, uid, digest = (said.pop(name, None) for name in ("sort", "uid", "digest"))
    if not isinstance(sort, str) or sort not in FIELDS:
        known = nearest(str(sort)[:40], FIELDS)
        raise DataFault(f'sort "{str(sort)[:40]}" is not known', place=place, mending=known, code="exchange-05")
    _checked(said, FIELDS[sort], place)
    line = Line(sort, said, place)
    if uid != line.uid or digest != line.digest:
        what = "digest" if uid == line.uid else "uid"
        raise DataFault(
            f"this {sort} does not say what its {what} was made of",
            place=place,
            mending="the line was damaged or changed: ask for the file again",
            code="exchange-06",
        )
    return line, line.digest


def _object(piece: bytes, place: str) -> dict[str, Any]:
    def no_number(word: str) -> None:
        raise ValueError(f"{word} is no number")

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        made = dict(pairs)
        if len(made) != len(pairs):
            raise ValueError("a field is there twice")
        return made

    try:
        if len(piece) > _LONGEST:
            raise ValueError(f"longer than {_LONGEST} bytes")
        said = json.loads(piece.decode(), parse_constant=no_number, object_pairs_hook=once)
        if not isinstance(said, dict):
            raise ValueError("not an object")
    except (ValueError, RecursionError) as error:
        told = "too deeply nested" if isinstance(error, RecursionError) else str(error).partition(":")[0]
        raise DataFault(
            f"this line cannot be read: {told}",
            place=place,
            mending="the file was damaged on its way: ask for it again",
            code="exchange-07",
        ) from None
    return said


def _checked(said: dict[str, Any], fields: Mapping[str, str], place: str) -> None:
    """Fields and their kinds; numbers become floats.

    Raises:
        DataFault: a field is unknown, missing, or not what it must be.
    """
    for name in said:
        if name not in fields:
            raise DataFault(
                f'field "{name[:40]}" is not known',
                place=place,
                mending=f"{nearest(name[:40], fields)}; a later format needs a newer program",
                code="exchange-08",
            )
    for name, kind in fields.items():
        if name not in said:
            raise DataFault(
                f'field "{name}" is missing', place=place, mending="ask for the file again", code="exchange-08"
            )
        value, may_be_none = said[name], kind.endswith("?")
        if value is None and may_be_none:
            continue
        kind = kind.removesuffix("?")
        if kind == "number" and type(value) is int:
            value = said[name] = float(value) if abs(value) <= 10**15 else math.inf
        if not _is(value, kind):
            limit = f"text of at most {LIMITS[kind]} characters" if kind in LIMITS else _WORDS.get(kind, "text")
            raise DataFault(
                f"{name} is {json.dumps(value)[:60]}, which is not {limit}",
                place=place,
                mending="initials only, no names" if kind == "initials" else "ask for the file again",
                code="exchange-09",
            )


def _is(value: Any, kind: str) -> bool:
    if kind == "flag":
        return isinstance(value, bool)
    if kind == "count":
        return type(value) is int and 0 <= value <= _INTEGER
    if kind == "number":
        return isinstance(value, float) and math.isfinite(value)
    if kind == "uids":
        return isinstance(value, list) and all(_is(one, "uid") for one in value)
    if kind in ("subject", "owner"):
        return value in (SUBJECTS if kind == "subject" else OWNERS)
    if not isinstance(value, str) or "\0" in value or len(value) > LIMITS.get(kind, _LONGEST):
        return False
    try:
        value.encode()
    except UnicodeEncodeError:
        return False
    return kind != "reference" or "/" in value
