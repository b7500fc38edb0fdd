"""The tables of a kit: which roles there are, which of them join where, and what is still to be built.

All of it is data (``roles.csv``, ``joins.csv``, ``facts.csv``, ``whole_kit_checks.csv``); adding a row adds the role,
the join or the fact everywhere.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from fitment.frozen import dataclass

#: sections of the kit file that are the two sides of the car, in the order of every list
SIDES = ("left", "right")


@dataclass(frozen=True)
class Role:
    """What a part does in a kit.

    Attributes:
        name: ``rod_end``.
        sections: tables of the kit file in which it may stand, ``("left", "right")``.
        key: its key there.
        part_kinds: kinds of part that may take it.
        instead_of: the role that it replaces; "" where none.
        title: the trade's words for it.
    """

    name: str
    sections: tuple[str, ...]
    key: str
    part_kinds: tuple[str, ...]
    instead_of: str
    title: str

    def address(self, section: str) -> str:
        """How a kit file names the part in this role: ``rack``, ``left.rod_end``, ``column.upper_joint``."""
        return section if section == self.name and self.key == "part" else f"{section}.{self.key}"

    def spoken(self, section: str) -> str:
        """The title with its side: ``left rod end``."""
        return f"{section} {self.title}" if section in SIDES else self.title


@dataclass(frozen=True)
class Join:
    """One place where the parts of two roles meet.

    Attributes:
        name: ``stud-eye``.
        per_side: whether it occurs once on each side.
        role_a, feature_a, role_b, feature_b: the two ends; ``{side}`` in a feature stands for the side.
        kind: name of the joint kind; one that is not registered is not built yet.
        required: whether a kit without it is not known.
        adjuster: whether it is where the tie-rod length is set.
        when: roles of which one must be named for this join to occur; empty for always.
        otherwise: what is told where none of those is named; "" for nothing.
        unless: roles of which any one, named, takes its place; empty for none.
        tells: what the joint is told because it is this one, ``side`` = ``left``.
        title: for people.
    """

    name: str
    per_side: bool
    role_a: str
    feature_a: str
    role_b: str
    feature_b: str
    kind: str
    required: bool
    adjuster: bool
    when: tuple[str, ...]
    otherwise: str
    unless: tuple[str, ...]
    tells: Mapping[str, str]
    title: str

    @property
    def in_chain(self) -> bool:
        """Whether it is a link of the chain between rack and knuckle, without which nothing steers."""
        return self.per_side and self.required


@dataclass(frozen=True)
class Fact:
    """Something that a kit file may say of a joint on a side, and no part says by itself.

    Attributes:
        key: key in ``[left]`` and ``[right]``, ``stud_enters``.
        name: name under which the joint is told it, ``enters``.
        join: name of the join that it is about; "" where it is about the side as a whole.
        value_kind: ``word``, or a kind of quantity.
        allowed: the words allowed; empty for any.
        reason: the least and the greatest that is in reason, in the canonical unit; None for a word.
        title: for people.
    """

    key: str
    name: str
    join: str
    value_kind: str
    allowed: tuple[str, ...]
    reason: tuple[float, float] | None
    title: str


@dataclass(frozen=True)
class WholeKitRow:
    """A check of a whole kit.

    Attributes:
        module: module of this folder that holds it as ``CHECK``; "" where none is built.
        when: addresses (``*`` stands for any key) of which the kit must name one for it to look; empty for always.
        otherwise: what is told where it names none.
        title: for people.
    """

    module: str
    when: tuple[str, ...]
    otherwise: str
    title: str


def _rows(name: str) -> list[dict[str, str]]:
    with Path(__file__).with_name(f"{name}.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table, strict=True))


@cache
def roles() -> dict[str, Role]:
    """Every role by name, in the order of lists."""
    return {
        row["role"]: Role(
            row["role"],
            tuple(row["sections"].split()),
            row["key"],
            tuple(row["part_kinds"].split()),
            row["instead_of"],
            row["title"],
        )
        for row in _rows("roles")
    }


@cache
def joins() -> tuple[Join, ...]:
    """Every join, along the chain from the rack outwards, then up the column."""
    return tuple(
        Join(
            row["join"],
            row["per_side"] == "yes",
            row["role_a"],
            row["feature_a"],
            row["role_b"],
            row["feature_b"],
            row["kind"],
            row["required"] == "yes",
            row["adjuster"] == "yes",
            tuple(row["when"].split()),
            row["otherwise"],
            tuple(row["unless"].split()),
            dict(told.split("=") for told in row["tells"].split()),
            row["title"],
        )
        for row in _rows("joins")
    )


@cache
def facts() -> dict[str, Fact]:
    """Every fact by its key in the kit file."""
    return {
        row["key"]: Fact(
            row["key"],
            row["fact"],
            row["join"],
            row["value_kind"],
            tuple(row["allowed"].split("|")) if row["allowed"] else (),
            (float(row["low"]), float(row["high"])) if row["low"] else None,
            row["title"],
        )
        for row in _rows("facts")
    }


@cache
def whole_kit_checks() -> dict[str, WholeKitRow]:
    """The checks of a whole kit, built or not, by name."""
    return {
        row["check"]: WholeKitRow(row["module"], tuple(row["when"].split()), row["otherwise"], row["title"])
        for row in _rows("whole_kit_checks")
    }


@cache
def addresses() -> dict[str, tuple[Role, str]]:
    """Every address that a kit file may name, with its role and section."""
    return {role.address(section): (role, section) for role in roles().values() for section in role.sections}
