"""A kit and its parts as plain values, that answers as a catalogue does: what generated and seeded kits are made of."""

from __future__ import annotations

import csv
from copy import deepcopy
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

import fitment.catalogue.dictionary
from fitment.catalogue.found import CatalogueStamp, FoundPart, FoundVehicle
from fitment.doubt import Draws
from fitment.finding import Basis, Finding, Use, Verdict
from fitment.joints.registration import Feature, Trial
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report import Report

Point = tuple[float, float, float]
Given = float | str | Point

SIDES = ("left", "right")
CAR = "NORTH/V-1"

#: standard uncertainty of a value that is set without one, by kind of value
_DOUBT = {
    "length": 0.01,
    "angle": 0.1,
    "taper": 0.0002,
    "turns": 0.005,
    "count": 0.0,
    "point": 0.03,
    "force": 1.0,
    "number": 0.1,
    "fraction": 0.1,
    "rate": 0.05,
    "mass": 0.05,
    "torque": 0.1,
}
_UNITS = {"length": "mm", "angle": "deg", "turns": "turn", "point": "mm", "force": "N", "rate": "mm/turn"}


@cache
def part_features() -> dict[str, dict[str, str]]:
    """Features of every kind of part, feature kind by name, as the dictionary has them."""
    with (Path(fitment.catalogue.dictionary.__file__).parent / "kinds.csv").open(encoding="utf-8") as table:
        return {
            row["kind"]: dict(entry.split(":") for entry in row["features"].split()) for row in csv.DictReader(table)
        }


@cache
def value_kinds() -> dict[tuple[str, str], str]:
    """Kind of value by feature kind and dimension, as the dictionary has it."""
    with (Path(fitment.catalogue.dictionary.__file__).parent / "dimensions.csv").open(encoding="utf-8") as table:
        return {
            (kind, row["dimension"]): row["value_kind"]
            for row in csv.DictReader(table)
            for kind in row["feature_kinds"].split()
        }


@dataclass
class Mix:
    """A kit and the parts that it names, as plain values.

    Attributes:
        kinds: kind of part by reference; the target is a ``vehicle``.
        uses: adopted values by feature name and dimension.
        trials: by feature name.
        sections: tables of the kit file: key to text.
        adapters: reference, the two addresses, the two ends.
    """

    kinds: dict[str, str] = field(default_factory=dict)
    uses: dict[str, dict[str, Use]] = field(default_factory=dict)
    trials: dict[str, list[Trial]] = field(default_factory=dict)
    sections: dict[str, dict[str, str | float]] = field(default_factory=dict)
    adapters: list[tuple[str, tuple[str, str], tuple[str, str]]] = field(default_factory=list)

    def copy(self) -> Mix:
        return deepcopy(self)

    def feature_kind(self, name: str) -> str:
        reference, _, end = name.partition(" ")
        return part_features()[self.kinds[reference]][end]

    def value_kind(self, name: str, dimension: str) -> str:
        return value_kinds()[self.feature_kind(name), dimension]

    def set(self, feature: str, u: float | None = None, /, **values: Given) -> Mix:
        """Sets values of a feature: numbers in mm, deg, turns; words; points as three numbers."""
        for key, value in values.items():
            dimension = key.replace("_", "-")
            kind = self.value_kind(feature, dimension)
            number = not isinstance(value, str)
            text = value if not isinstance(value, tuple) else ", ".join(f"{at:.9f}" for at in value)
            self.uses.setdefault(feature, {})[dimension] = Use(
                feature,
                dimension,
                text,
                (_DOUBT[kind] if u is None else u) if number else None,
                _UNITS.get(kind, "") if number else None,
                Basis.IDENTIFIED if kind == "taper" else Basis.MEASURED,
                source="own measurement",
            )
        return self

    def also(self, reference: str, name: str) -> Mix:
        """Another design, alike in everything that was measured."""
        self.kinds[name] = self.kinds[reference]
        for feature, uses in list(self.uses.items()):
            if feature.startswith(f"{reference} "):
                own = feature.replace(reference, name)
                self.uses[own] = {dimension: replace(use, feature=own) for dimension, use in uses.items()}
        return self

    def take(self, name: str, *dimensions: str) -> Mix:
        """Takes values away: nobody measured them."""
        for dimension in dimensions:
            del self.uses[name][dimension]
        return self

    def say(self, section: str, **facts: str | float) -> Mix:
        """Writes keys of a table of the kit file."""
        self.sections.setdefault(section, {}).update(facts)
        return self

    def unsay(self, section: str, *keys: str) -> Mix:
        for key in keys:
            del self.sections[section][key]
        return self

    def try_(self, dimension: str, first: str, second: str, passed: bool = True, hearsay: bool = False) -> Mix:
        """Records a trial of two features, or that they were taken together (``assembled-with``)."""
        basis = Basis.AS_ASSEMBLED if dimension == "assembled-with" else Basis.TRIAL
        use = Use(first, dimension, "as entered", None, None, basis, source="shop card 4", hearsay=hearsay)
        self.trials.setdefault(first, []).append(Trial(dimension, passed, second, None, None, use))
        return self

    def text(self) -> str:
        """The kit file."""
        blocks = [f'name = "Good"\ntarget = "{CAR}"\n']
        for section, table in self.sections.items():
            lines = (f"{key} = {value!r}" if isinstance(value, float) else f'{key} = "{value}"'
                     for key, value in table.items())  # fmt: skip
            blocks.append("\n".join([f"[{section}]", *lines, ""]))
        for reference, between, ends in self.adapters:
            lists = (f'["{first}", "{second}"]' for first, second in (between, ends))
            blocks.append(f'[[adapter]]\npart = "{reference}"\nbetween = {next(lists)}\nends = {next(lists)}\n')
        return "\n".join(blocks)

    def feature(self, name: str) -> Feature:
        return Feature(
            name, self.feature_kind(name), dict(self.uses.get(name, {})), {}, tuple(self.trials.get(name, ()))
        )

    def _features(self, reference: str) -> dict[str, Feature]:
        return {end: self.feature(f"{reference} {end}") for end in part_features()[self.kinds[reference]]}

    # the catalogue, as a kit sees it

    def stamp(self) -> CatalogueStamp:
        return CatalogueStamp("0d6f", 41, "ab12")

    def find(self, reference: str) -> FoundPart:
        kind = self.kinds[reference]
        return FoundPart(reference, kind, False, f"{kind} {reference}", self._features(reference))

    def find_vehicle(self, reference: str) -> FoundVehicle:
        return FoundVehicle(reference, "Kestrel 12 (invented)", self._features(reference))

    def report(self, draws: Draws | None = None) -> Report:
        """The answer to the kit."""
        return check(read_kit(self.text().encode(), "good.toml"), self, draws or Draws(2000))


#: joint, rule, names of what it is between whichever comes first, and place among several of the same
Key = tuple[str, str, frozenset[str], int]


def answers(report: Report) -> dict[Key, Finding]:
    """Every finding by what it is about."""
    found: dict[Key, Finding] = {}
    for joint in report.joints:
        for one in joint.findings:
            about = (joint.id, one.rule, frozenset(one.joint))
            found[*about, sum(key[:3] == about for key in found)] = one
    return found


def failing(report: Report) -> dict[str, Verdict]:
    """The rules that do not answer *fits*, with the gravest of their answers."""
    found: dict[str, Verdict] = {}
    for one in report.findings:  # worst first
        if one.verdict is not Verdict.FITS:
            found.setdefault(one.rule, one.verdict)
    return found
