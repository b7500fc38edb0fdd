"""What the catalogue answers when a kit asks for a part: plain records, free of any database."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from fitment.joints.registration import Feature


@dataclass(frozen=True)
class CatalogueStamp:
    """Which catalogue in which state: its id, revision, and the digest of its readings."""

    id: str
    revision: int
    digest: str


@dataclass(frozen=True)
class FoundPart:
    """A part or an item with its features, each with its adopted values."""

    name: str
    kind: str
    is_item: bool
    title: str
    features: Mapping[str, Feature]


@dataclass(frozen=True)
class FoundVehicle:
    """A vehicle."""

    name: str
    title: str


class PartsBook(Protocol):
    """Where parts are looked up; the catalogue is one, a test may be another."""

    def stamp(self) -> CatalogueStamp:
        """The state of the catalogue that answers."""
        ...

    def find(self, reference: str) -> FoundPart:
        """The part or item of that reference.

        Raises:
            NotFoundFault: with the nearest references.
        """
        ...

    def find_vehicle(self, reference: str) -> FoundVehicle:
        """The vehicle of that reference.

        Raises:
            NotFoundFault: with the nearest references.
        """
        ...
