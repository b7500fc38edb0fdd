"""Readings typed by people: the thing, the sitting and each value as understood; one way for all that is typed.

Used by ``reading add`` (words on the command line, pages from paper) and by the dialogue of ``part add --ask``.
"""

from __future__ import annotations

import datetime

from fitment.catalogue.adopt import TRUST
from fitment.catalogue.dates import not_to_come, today
from fitment.catalogue.dictionary import Dimension, PartKind, part_kinds
from fitment.catalogue.records import Pen
from fitment.catalogue.schema import Item, Part, Sitting, Source, Vehicle
from fitment.catalogue.values import bare_unit, read_values, shown
from fitment.errors import DataFault, NotFoundFault, nearest
from fitment.frozen import dataclass
from fitment.quantity.axes import parse_axes
from fitment.quantity.tools import find_tool

Measured = Vehicle | Part | Item


@dataclass(frozen=True)
class SittingWords:
    """What is said of a sitting: who, when, from what source, with what; datum, axes and ride height of a survey."""

    name: str
    who: str = ""
    date: str = ""
    source: str = ""
    tool: str = ""
    datum: str = ""
    axes: str = ""
    ride_height: str = ""


@dataclass(frozen=True)
class Entered:
    """One reading as it was understood: its uid, what it is of, and its value with unit, doubt and tool."""

    uid: str
    of: str
    feature: str
    dimension: str
    understood: str

    @property
    def line(self) -> str:
        """For the screen."""
        return f"{self.uid[:8]}  {self.of} {self.feature} {self.dimension} = {self.understood}"


def measured_thing(pen: Pen, reference: str) -> Measured:
    """The item, vehicle or part of that reference.

    Raises:
        NotFoundFault: with the nearest references of parts.
    """
    for table in (Item, Vehicle):
        found = pen.find(table, reference)
        if isinstance(found, Vehicle | Item):
            return found
    part: Part = pen.need(Part, reference)
    return part


def kind_of(pen: Pen, thing: Measured) -> PartKind:
    """The kind of a thing: a vehicle's, a part's, or that of the part which an item is one of."""
    part = pen.session.get_one(Part, thing.part_id) if isinstance(thing, Item) else thing
    return part_kinds()["vehicle" if isinstance(part, Vehicle) else part.kind]


def checked_date(text: str) -> str:
    """A date as year-month-day.

    Raises:
        DataFault: it is no date so written.
    """
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        raise DataFault(
            f'"{text[:40]}" is not a date', mending="write year-month-day, like 2026-11-24", code="sitting-02"
        ) from None


def checked_source(word: str) -> str:
    """A kind of source.

    Raises:
        DataFault: there is no such kind, naming the nearest.
    """
    if word not in TRUST:
        raise DataFault(f'kind of source "{word}" is not known', mending=nearest(word, TRUST), code="source-01")
    return word


def checked_who(text: str) -> str:
    """Initials of whoever measured.

    Raises:
        DataFault: longer than initials are.
    """
    if len(text) > 16:
        raise DataFault(f'"{text[:40]}" is longer than initials are', mending="at most 16 letters", code="sitting-03")
    return text


def checked_axes(text: str) -> str:
    """Axes in words.

    Raises:
        DataFault: they do not say which way x, y and z point.
    """
    parse_axes(text)
    return text


def put_sitting(pen: Pen, said: SittingWords, survey_of: Vehicle | None = None) -> Sitting:
    """The sitting of that name: found, its open fields filled in, or made.

    Args:
        survey_of: the vehicle, where it is a survey of one.

    Raises:
        NotFoundFault: it is not there and nobody is named who measured.
        DataFault: it is there and says something else; or a word of it is not known.
    """
    found = pen.find(Sitting, said.name)
    if found is None and not said.who:
        raise NotFoundFault(
            f"no sitting {said.name}",
            mending="name who measured, to make it: their initials (and source, tool)",
            code="sitting-01",
        )
    fields = {
        "who": checked_who(said.who),
        "dated": not_to_come(checked_date(said.date)) if said.date else "",
        "tool": find_tool(said.tool).code if said.tool else "",
        "datum": said.datum,
        "axes": checked_axes(said.axes) if said.axes else "",
        "ride_height": said.ride_height,
    }
    if isinstance(found, Sitting):
        _same_source(pen, found, said.source)
        if survey_of is not None and found.vehicle_id is None:
            found.vehicle_id = survey_of.id
        again: Sitting = pen.put(Sitting, said.name, **fields)
        return again
    kind = checked_source(said.source or "own-measurement")
    source = pen.put(Source, kind, kind=kind, title=kind.replace("-", " "))
    made: Sitting = pen.put(
        Sitting,
        said.name,
        **(fields | {"dated": fields["dated"] or today()}),
        source_id=source.id,
        vehicle_id=survey_of.id if survey_of else None,
    )
    return made


def _same_source(pen: Pen, found: Sitting, said: str) -> None:
    kind = pen.session.get_one(Source, found.source_id).kind
    if said and checked_source(said) != kind:
        raise DataFault(
            f'{found.reference} is there already with source "{kind}", not "{said}"',
            mending="use another sitting, or leave the source out",
            code="ref-03",
        )


def is_measured(pen: Pen, sitting: Sitting) -> bool:
    """Whether its source is a measurement, so that a tool's doubt applies."""
    return TRUST[pen.session.get_one(Source, sitting.source_id).kind][0] == 0


def enter(
    pen: Pen,
    thing: Measured,
    feature: str,
    dimension: Dimension,
    text: str,
    sitting: Sitting,
    condition: str,
    system: str | None,
    again: bool,
) -> list[Entered]:
    """Reads the text, keeps every value of it and tells each as understood, with its unit.

    Args:
        system: "mm" or "inch" for bare numbers; None refuses them.
        again: whether a reading that is on record already is a repeat.

    Raises:
        DataFault: what is wrong with the text.
    """
    entered = []
    for value in read_values(dimension, text, bare_unit(dimension, system), sitting.tool, is_measured(pen, sitting)):
        uid = pen.read(thing, feature, dimension.dimension, value, sitting, condition, again=again)
        understood = shown(dimension, value.number, value.u, value.word, system or "mm")
        understood += f", u = {value.u:.3g}" if value.u else ""
        understood += f" ({value.tool})" if value.tool else ""
        entered.append(Entered(uid, thing.reference, feature, dimension.dimension, understood))
    return entered
