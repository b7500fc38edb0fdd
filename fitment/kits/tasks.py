"""Taking a reading: with which tool, where, in how many minutes (``minutes.csv``, own choice), and its error."""

from __future__ import annotations

import csv
from collections.abc import Collection
from dataclasses import replace
from functools import cache
from pathlib import Path

from fitment.catalogue.dictionary import Dimension
from fitment.frozen import dataclass
from fitment.joints.registration import Feature
from fitment.quantity.tools import all_tools

#: where readings are taken
PLACES = ("yard", "bench", "car")


@dataclass(frozen=True)
class Thing:
    """What a feature belongs to: a part, an item or the vehicle, and the feature's name on it."""

    reference: str
    kind: str
    is_item: bool
    feature_name: str
    feature: Feature


@dataclass(frozen=True)
class Task:
    """One reading to take.

    Attributes:
        thing: of what.
        dimension: of which dimension.
        place: ``yard``, ``bench`` or ``car``.
        tool: its code.
        minutes: how long it takes there.
        error: half-width of the tool's error, canonical; 0 for words and for tools that have none.
    """

    thing: Thing
    dimension: Dimension
    place: str
    tool: str
    minutes: float
    error: float

    @property
    def key(self) -> tuple[str, str]:
        """Feature and dimension."""
        return self.thing.feature.name, self.dimension.dimension


def task_of(thing: Thing, dimension: Dimension, read_with: float | None, on_car: Collection[str]) -> Task:
    """How a reading is taken.

    Args:
        read_with: standard uncertainty of a reading that is there and too coarse; None where a new one will do.
        on_car: references of parts that the vehicle came with.
    """
    place = _place(thing, on_car)
    tool = dimension.tool
    if read_with is not None and read_with <= _half_width(tool, dimension) and _minutes()[tool].finer:
        tool = _minutes()[tool].finer
    return Task(thing, dimension, place, tool, _minutes()[tool].at[place], _half_width(tool, dimension))


def trial_task(thing: Thing, other: Thing, dimension: Dimension, on_car: Collection[str]) -> Task | None:
    """How two ends are tried in one another; None where they do not come together before one of them is bought.

    What is on the shelf is taken to the other part, in the yard too; what is on the car stays there.
    """
    places = {_place(thing, on_car), _place(other, on_car)}
    if "yard" in places and places != {"yard", "bench"}:
        return None
    place = next(place for place in ("yard", "car", "bench") if place in places)
    dimension = replace(dimension, how=f"with {other.feature.name}: {dimension.how}")
    return Task(thing, dimension, place, dimension.tool, _minutes()[dimension.tool].at[place], 0.0)


def _place(thing: Thing, on_car: Collection[str]) -> str:
    if thing.kind == "vehicle" or thing.reference in on_car:
        return "car"
    return "bench" if thing.is_item else "yard"


def _half_width(code: str, dimension: Dimension) -> float:
    """The error of a tool, canonical, of a point in each coordinate; a share is one of the usual value; 0 for none."""
    tool = next((tool for tool in all_tools() if tool.code == code), None)
    kind = "length" if dimension.value_kind == "point" else dimension.value_kind
    if tool is None or tool.kind != kind:
        return 0.0
    usual = ((dimension.low or 0.0) + (dimension.high or 0.0)) / 2
    return tool.half_width_for(kind, usual) or 0.0


@dataclass(frozen=True)
class _Row:
    at: dict[str, float]
    finer: str


@cache
def _minutes() -> dict[str, _Row]:
    with Path(__file__).with_name("minutes.csv").open(encoding="utf-8", newline="") as table:
        return {
            row["tool"]: _Row({place: float(row[place]) for place in PLACES}, row["finer"])
            for row in csv.DictReader(table)
        }
