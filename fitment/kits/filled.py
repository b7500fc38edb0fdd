"""The catalogue with values put in for what is missing, and samples that stand for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from fitment.catalogue.found import CatalogueStamp, FoundPart, FoundVehicle, PartsBook
from fitment.doubt import Draws
from fitment.finding import Use
from fitment.joints.registration import Feature, Trial
from fitment.kits.plausible import DRAWN

#: a feature and a dimension
Key = tuple[str, str]


class FilledDraws(Draws):
    """Samples in which those of the values put in are given."""

    def __init__(self, count: int, seed: int, given: Mapping[Key, Any]):
        super().__init__(count, seed)
        self._given = given

    def _sample(self, use: Use) -> Any:
        given = self._of_drawn(use)
        return super()._sample(use) if given is None else given

    def of_point(self, use: Use) -> Any:
        """As `Draws.of_point`; of a point put in, the samples given."""
        given = self._of_drawn(use)
        return super().of_point(use) if given is None else given

    def _of_drawn(self, use: Use) -> Any:
        return self._given.get((use.feature, use.dimension)) if use.source == DRAWN else None


class FilledBook:
    """The catalogue with values put in, and trials recorded on features by their names."""

    def __init__(
        self, book: PartsBook, values: Mapping[Key, Use], trials: Mapping[str, tuple[Trial, ...]] | None = None
    ):
        self._book = book
        self._trials = trials or {}
        self._values: dict[str, dict[str, Use]] = {}
        for (feature, dimension), use in values.items():
            self._values.setdefault(feature, {})[dimension] = use

    def stamp(self) -> CatalogueStamp:
        """The catalogue's own."""
        return self._book.stamp()

    def find(self, reference: str) -> FoundPart:
        """The part or item, filled; faults as the catalogue's own."""
        found = self._book.find(reference)
        return replace(found, features=self._filled(found.features))

    def find_vehicle(self, reference: str) -> FoundVehicle:
        """The vehicle, filled; faults as the catalogue's own."""
        found = self._book.find_vehicle(reference)
        return replace(found, features=self._filled(found.features))

    def _filled(self, features: Mapping[str, Feature]) -> dict[str, Feature]:
        made = dict(features)
        for name, feature in features.items():
            if put := self._values.get(feature.name):
                gaps = {dimension: why for dimension, why in feature.gaps.items() if dimension not in put}
                made[name] = replace(feature, values={**feature.values, **put}, gaps=gaps)
            if tried := self._trials.get(feature.name):
                made[name] = replace(made[name], trials=(*feature.trials, *tried))
        return made


class KeptBook:
    """The catalogue asked once for each part, however many worlds there are."""

    def __init__(self, book: PartsBook):
        self._stamp = book.stamp()
        self._book = book
        self._parts: dict[str, FoundPart] = {}
        self._vehicles: dict[str, FoundVehicle] = {}

    def stamp(self) -> CatalogueStamp:
        """The catalogue's stamp."""
        return self._stamp

    def find(self, reference: str) -> FoundPart:
        """The part or item; faults as the catalogue's own."""
        if reference not in self._parts:
            self._parts[reference] = self._book.find(reference)
        return self._parts[reference]

    def find_vehicle(self, reference: str) -> FoundVehicle:
        """The vehicle; faults as the catalogue's own."""
        if reference not in self._vehicles:
            self._vehicles[reference] = self._book.find_vehicle(reference)
        return self._vehicles[reference]
