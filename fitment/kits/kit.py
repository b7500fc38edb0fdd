"""A kit as its file states it, before anything is looked up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from fitment.frozen import dataclass
from fitment.joints.registration import Limit
from fitment.kits.roles import Role

Point = tuple[float, float, float]


@dataclass(frozen=True)
class PartRef:
    """A part or item named for a role.

    Attributes:
        address: ``left.rod_end``.
        role: the role.
        section: the table it stands in, ``left``.
        reference: as written, ``NORTH/RE-3``.
        place: ``kit.toml:14:11``.
    """

    address: str
    role: Role
    section: str
    reference: str
    place: str


@dataclass(frozen=True)
class AdapterRef:
    """A made part put between two named parts.

    Attributes:
        reference: as written.
        between: addresses of the two parts.
        ends: names of the adapter's features, in the order of `between`.
        place: place of its reference.
        between_place, ends_place: places of the two lists.
    """

    reference: str
    between: tuple[str, str]
    ends: tuple[str, str]
    place: str
    between_place: str
    ends_place: str


@dataclass(frozen=True)
class RackSeat:
    """Where the rack sits.

    Attributes:
        sits: ``by mounting``, ``free`` or ``position``.
        position: x, y, z in mm for ``position``.
        box: lowest and highest corner in mm for ``free``.
        turned: how it is turned against how it sat in its donor (`rack_turned.TURNS`); "" where the file does not say.
        tilt, skew: of the bar with `position`, deg: + where its left end is higher, and where it is farther forward.
        bar_offset: where the bar stands in its housing with the wheels straight, mm, + to the left of mid-travel.
    """

    sits: str = "by mounting"
    position: Point | None = None
    box: tuple[Point, Point] | None = None
    turned: str = ""
    tilt: float = 0.0
    skew: float = 0.0
    bar_offset: float = 0.0


@dataclass(frozen=True)
class Kit:
    """A proposed mix.

    Attributes:
        path: the file as it was named.
        digest: SHA-256 of the file's bytes, hexadecimal.
        name: what the fabricator calls it.
        target: reference of the vehicle it is for.
        target_place: place of that reference.
        author, note, jurisdiction: as written; "" where absent.
        seat: where the rack sits.
        parts: in the order of the roles, left before right.
        adapters: in the order of the file.
        facts: by side, then by key (``stud_enters``); lengths are canonical quantities as text, ``2.0 mm``.
        wanted: wanted results by name, as written.
        limits: every limit in force; those that the kit states are marked overridden.
        text: the file itself.
    """

    path: str
    digest: str
    name: str
    target: str
    target_place: str
    author: str
    note: str
    jurisdiction: str
    seat: RackSeat
    parts: tuple[PartRef, ...]
    adapters: tuple[AdapterRef, ...]
    facts: Mapping[str, Mapping[str, str]]
    wanted: Mapping[str, str]
    limits: Mapping[str, Limit] = field(default_factory=dict)
    text: str = ""
