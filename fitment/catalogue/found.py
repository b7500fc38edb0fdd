"""What the catalogue answers when a kit asks: plain records, free of any database; a test may stand in for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from types import MappingProxyType
from typing import Protocol

from fitment.errors import NotFoundFault
from fitment.frozen import dataclass
from fitment.joints.registration import Feature


@dataclass(frozen=True)
class CatalogueStamp:
    """Which catalogue, in which state, a report rests on.

    Attributes:
        id: uid of the catalogue.
        revision: its revision.
        digest: digest of the readings used.
    """

    id: str
    revision: int
    digest: str


@dataclass(frozen=True)
class FoundPart:
    """A part or an item.

    Attributes:
        name: ``NORTH/RE-3``.
        kind: kind of part, ``rod-end``.
        is_item: whether it is one piece on a shelf rather than a design.
        title: for people.
        features: every feature of its kind by name (``stud``), empty ones included.
        cautions: what is recorded of its state, and what its points leave open.
        datums: the datums that its adopted points are taken from, in the words of their sittings.
        stated: the latest statements on an item by field, ``condition``, ``welds``.
        design: reference of the part that an item is one of; "" for a part.
    """

    name: str
    kind: str
    is_item: bool
    title: str
    features: Mapping[str, Feature]
    cautions: tuple[str, ...] = ()
    datums: tuple[str, ...] = ()
    stated: Mapping[str, str] = field(default_factory=dict)
    design: str = ""


@dataclass(frozen=True)
class FoundVehicle:
    """A vehicle.

    Attributes:
        name: ``NORTH/V-1``.
        title: for people.
        features: every feature of a vehicle by name (``body``, ``corner.left``), empty ones included.
        cautions: what its points leave open: several datums, sittings without axes.
        datums: the datums that its adopted points are taken from, in the words of their sittings.
        own: references of the parts that were fitted to it and of their items; None where the book cannot say.
    """

    name: str
    title: str
    features: Mapping[str, Feature] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    datums: tuple[str, ...] = ()
    own: frozenset[str] | None = None


@dataclass(frozen=True)
class Carrier:
    """A vehicle that a part was fitted to, and where; `position` "" where none was recorded."""

    vehicle: str
    title: str
    years: str
    position: str


class NoSuchPart(NotFoundFault):
    """No part or item of a reference; `known` has those that there are, with their kinds."""

    known: Mapping[str, str] = MappingProxyType({})


class PartsBook(Protocol):
    """The catalogue as a kit sees it."""

    def stamp(self) -> CatalogueStamp:
        """The catalogue's stamp, after everything was asked of it that a report needs."""
        ...

    def find(self, reference: str) -> FoundPart:
        """The part or item of that reference.

        Raises:
            NotFoundFault: there is none; its mending offers the nearest.
        """
        ...

    def find_vehicle(self, reference: str) -> FoundVehicle:
        """The vehicle of that reference.

        Raises:
            NotFoundFault: there is none; its mending offers the nearest.
        """
        ...


@dataclass(frozen=True)
class CameWith:
    """What a vehicle came with.

    Attributes:
        parts: the parts that were fitted to it.
        own: references of these and of their items.
        prices: by reference, what the items of the catalogue were priced at, as stated last.
    """

    parts: tuple[FoundPart, ...] = ()
    own: frozenset[str] = frozenset()
    prices: Mapping[str, str] = field(default_factory=dict)


class CarBook(PartsBook, Protocol):
    """The catalogue as a comparison with the original sees it."""

    def came_with(self, vehicle: FoundVehicle) -> CameWith:
        """What the vehicle came with, and prices."""
        ...
