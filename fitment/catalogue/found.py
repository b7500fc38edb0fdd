"""What the catalogue answers when a kit asks: plain records, free of any database; a test may stand in for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

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
    """

    name: str
    kind: str
    is_item: bool
    title: str
    features: Mapping[str, Feature]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class FoundVehicle:
    """A vehicle: ``NORTH/V-1`` and its title for people."""

    name: str
    title: str


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
