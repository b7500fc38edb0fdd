"""Reads a kit file: TOML that can be read aloud, every fault of it reported at once with its line and column."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from fitment.catalogue.bounded_file import read_bounded
from fitment.errors import DataFault, Faults, NotFoundFault, StorageFault
from fitment.joints.registration import Limit
from fitment.kits.chain import placed_joins
from fitment.kits.kit import AdapterRef, Kit, PartRef
from fitment.kits.kit_limits import limits_in_force
from fitment.kits.rack_seat import SEAT_KEYS, read_seat
from fitment.kits.roles import SIDES, addresses, facts, joins, roles
from fitment.kits.table_reader import TableReader, quantity_at
from fitment.kits.toml_places import Places

_TEXTS = ("name", "target", "author", "note", "jurisdiction")
_SYNTAX = re.compile(r"(?P<what>.*) \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)")
_TWICE = re.compile(r"Cannot declare \((?P<keys>.*)\) twice")
_KEY = r"'([^']*)'"
#: bytes; far more than any kit
_LARGEST = 1_000_000


def load_kit(path: str | Path, limits: Mapping[str, Limit] | None = None) -> Kit:
    """The kit in a file.

    Args:
        path: the file.
        limits: the limits in force where the kit states none; None for the defaults.

    Raises:
        NotFoundFault: there is no such file, or it is a folder.
        StorageFault: it cannot be read.
        DataFault: it is not a kit file (`Faults` where several things are wrong with it).
    """
    try:
        content = read_bounded(Path(path), _LARGEST, "kit-file-24")
    except FileNotFoundError:
        raise NotFoundFault(
            f"there is no file {path}", mending="name an existing kit file", code="kit-file-01"
        ) from None
    except IsADirectoryError:
        raise NotFoundFault(f"{path} is a folder", mending="name the kit file in it", code="kit-file-01") from None
    except OSError as fault:
        raise StorageFault(
            f"{path} cannot be read ({fault.strerror})",
            mending="check that it is a file you may read",
            code="kit-file-02",
        ) from None
    return read_kit(content, str(path), limits)


def read_kit(content: bytes, path: str, limits: Mapping[str, Limit] | None = None) -> Kit:
    """The kit in the bytes of a file; arguments and faults as for `load_kit`, `path` being used in messages only."""
    text = _decoded(content, path)
    data = _parsed(text, path)
    top = TableReader(data, (), _placed(text, path), path, [])
    kit = replace(_kit(top, hashlib.sha256(content).hexdigest(), limits), text=content.decode())
    if top.faults:
        ordered = sorted(top.faults, key=lambda fault: [int(number) for number in _numbers(fault.place)])
        raise ordered[0] if len(ordered) == 1 else Faults(ordered)
    return kit


def _numbers(place: str | None) -> list[str]:
    return (place or "0:0").rsplit(":", 2)[-2:]


def _decoded(content: bytes, path: str) -> str:
    try:
        # Some Windows editors put a byte order mark in front, which TOML does not allow.
        return content.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as fault:
        before = content[: fault.start].decode("utf-8")
        line = before.count("\n") + 1
        raise DataFault(
            "the file is not written in UTF-8",
            place=f"{path}:{line}:{len(before) - before.rfind(chr(10))}",
            mending="save it as UTF-8",
            code="kit-file-03",
        ) from None


def _parsed(text: str, path: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        match = _SYNTAX.fullmatch(str(fault))
        what = match["what"] if match else str(fault)
        lines = text.split("\n")
        line = int(match["line"]) if match and match["line"] else len(lines)
        column = int(match["column"]) if match and match["column"] else len(lines[-1]) + 1
        if twice := _TWICE.fullmatch(what):
            section = f"[{'.'.join(re.findall(_KEY, twice['keys']))}]"
            raise DataFault(
                f"{section} stands twice",
                place=f"{path}:{line}:{column}",
                mending=f"join them: put the lines of both under one {section}",
                code="kit-file-04",
            ) from None
        raise DataFault(
            f"this is not TOML: {what[:1].lower()}{what[1:]}",
            place=f"{path}:{line}:{column}",
            mending='a line reads key = "text", a section [left]',
            code="kit-file-04",
        ) from None
    except RecursionError:
        raise _too_deep(path) from None
    except ValueError:
        # Python turns no text of several thousand digits into a number, and tomllib does not say where it stands.
        raise DataFault(
            "a number in this file has too many digits to be read",
            place=path,
            mending="write it with the digits that a tool can read",
            code="kit-file-21",
        ) from None


def _placed(text: str, path: str) -> Places:
    try:
        return Places(text)
    except RecursionError:
        raise _too_deep(path) from None


def _too_deep(path: str) -> DataFault:
    return DataFault(
        "the brackets of this file are nested too deeply to be read",
        place=path,
        mending="a kit needs a section, a key and a value: take the brackets out",
        code="kit-file-20",
    )


def _kit(top: TableReader, digest: str, limits: Mapping[str, Limit] | None) -> Kit:
    sections = {section for role in roles().values() for section in role.sections}
    top.only((*_TEXTS, *sections, "adapter", "wanted", "limits"))
    texts = {key: top.text(key) for key in _TEXTS}
    for key, example in (("name", "Narrow rack, short rods"), ("target", "NORTH/V-1")):
        if key not in top.data:
            top.fault(
                f"the kit has no {key}", (), mending=f'add a line at its top: {key} = "{example}"', code="kit-file-07"
            )
    tables = {section: top.table(section) for section in sorted(sections)}
    wanted = top.table("wanted")
    parts = _parts(tables)
    return Kit(
        path=top.file,
        digest=digest,
        name=texts["name"],
        target=texts["target"],
        target_place=top.place(("target",), value=True),
        author=texts["author"],
        note=texts["note"],
        jurisdiction=texts["jurisdiction"],
        seat=read_seat(tables["rack"]),
        parts=parts,
        adapters=_adapters(top, parts),
        facts={side: _facts(tables[side]) for side in SIDES},
        wanted={key: wanted.text(key) for key in wanted.data},
        limits=limits_in_force(top.table("limits"), limits),
    )


def _parts(tables: Mapping[str, TableReader]) -> tuple[PartRef, ...]:
    for section, table in tables.items():
        keys = [role.key for role in roles().values() if section in role.sections]
        extra = {"rack": SEAT_KEYS}.get(section, tuple(facts()) if section in SIDES else ())
        table.only((*keys, *extra))
        for role in roles().values():
            if role.instead_of and role.key in table.data and roles()[role.instead_of].key in table.data:
                table.fault(
                    f"[{section}] names both a {roles()[role.instead_of].title} and a {role.title}",
                    (role.key,),
                    mending="one takes the place of the other: keep one of them",
                    code="kit-file-09",
                )
    return tuple(
        PartRef(address, role, section, reference, tables[section].place((role.key,), value=True))
        for address, (role, section) in addresses().items()
        if (reference := tables[section].text(role.key))
    )


def _facts(table: TableReader) -> dict[str, str]:
    said: dict[str, str] = {}
    for key, fact in facts().items():
        if not (text := table.text(key, fact.allowed)):
            continue
        if fact.value_kind == "word":
            said[key] = text
        elif quantity := quantity_at(table, (key,), text, fact.value_kind, fact.reason):
            said[key] = f"{quantity.value:g} {quantity.unit}"
    return said


def _adapters(top: TableReader, parts: tuple[PartRef, ...]) -> tuple[AdapterRef, ...]:
    found: list[AdapterRef] = []
    for table in top.tables("adapter"):
        table.only(("part", "between", "ends"))
        table.required(("part", "between", "ends"))
        reference, between, ends = table.text("part"), table.pair("between"), table.pair("ends")
        if not (reference and between and ends) or not _between_named(table, between, parts):
            continue
        if ends[0] == ends[1]:
            table.fault(
                f'both ends are "{ends[0]}": one end cannot meet both parts',
                ("ends",),
                value=True,
                mending="name the end that meets each part, in the order of between",
                code="kit-file-19",
            )
            continue
        if any(set(between) == set(other.between) for other in found):
            table.fault(
                f"there is already an adapter between {between[0]} and {between[1]}",
                ("between",),
                value=True,
                mending="one adapter goes between two parts",
                code="kit-file-12",
            )
            continue
        places = [table.place((key,), value=True) for key in ("part", "between", "ends")]
        found.append(AdapterRef(reference, between, ends, *places))
    return tuple(found)


def _between_named(table: TableReader, between: tuple[str, str], parts: tuple[PartRef, ...]) -> bool:
    """Whether both parts are named in the kit and meet in it; faults say what is wrong."""
    named = {part.address for part in parts}
    for index, address in enumerate(between):
        if address not in named:
            table.fault(
                f'the kit names no part as "{address}"',
                ("between", index),
                value=True,
                near=(address, named),
                code="kit-file-10",
            )
    if not named.issuperset(between):
        return False
    pairs = [{join.a, join.b} for join in placed_joins(named, joins())]
    meeting = [pair for pair in pairs if named.issuperset(pair)]
    if set(between) not in meeting:
        table.fault(
            f"{between[0]} and {between[1]} do not meet, so nothing goes between them",
            ("between",),
            value=True,
            mending="these meet: " + "; ".join(" and ".join(sorted(pair)) for pair in meeting) if meeting else None,
            code="kit-file-11",
        )
        return False
    return True
