"""A page from paper, typed as short lines, taken in whole or, at the first fault, not at all.

    part RK-7 rack used                     (or: item RK-7a of RK-7, vehicle V-9)
    sitting yard-3 AB 2026-11-24 tool calliper source own-measurement
    units mm
    inner-spacing 612
    bar-end.left thread M14x1.5 RH

Names and value text are those of ``reading add``; ``name=value`` is accepted too. ``#`` starts a comment; a box left
empty (``____``) says nothing. The same page taken in twice is the same readings.
"""

from __future__ import annotations

import difflib
from collections import Counter
from dataclasses import replace

from sqlalchemy.engine import Engine

from fitment.catalogue.dictionary import Dimension, PartKind, part_kinds
from fitment.catalogue.dictionary.lines import part_kind_in, split_line
from fitment.catalogue.entering import Entered, Measured, SittingWords, enter, kind_of, put_sitting
from fitment.catalogue.page_words import opening, pairs, sitting_words, words_of
from fitment.catalogue.records import Pen, writing
from fitment.catalogue.schema import Item, Part, Sitting, Vehicle
from fitment.catalogue.taking_things import CONDITIONS
from fitment.catalogue.values import bare_unit, read_values
from fitment.errors import DataFault, Faults, FitmentError, NotFoundFault
from fitment.frozen import dataclass

_HEADINGS = ("part", "item", "vehicle", "sitting", "units", "datum", "axes", "note")
_SURVEY = {"datum": "datum", "axes": "axes", "ride height": "ride_height", "ride-height": "ride_height"}
_OF_PART = ("name", "maker", "number", "note", "fitted to")
_OF_VEHICLE = ("maker", "model", "years", "note")


@dataclass(frozen=True)
class PageTold:
    """What a page added: how many of each sort, and each reading as understood."""

    added: Counter[str]
    readings: tuple[Entered, ...]


def add_page(engine: Engine, text: str, name: str, system: str | None, dry_run: bool = False) -> PageTold:
    """Takes the page in.

    Args:
        name: of the file, for messages.
        system: "mm" or "inch" for bare numbers where no ``units`` line says; None refuses them.

    Raises:
        Faults: every fault of every line; nothing was changed.
    """
    with writing(engine, dry_run) as pen:
        reader = _Page(pen, name, system)
        for number, line in enumerate(text.splitlines(), 1):
            reader.take(number, line)
        if not reader.faults and reader.kind is None:
            reader.fault(_no_header(), 1)
        if reader.faults:
            raise Faults([fault for _, fault in sorted(reader.faults, key=lambda pair: pair[0])])
    return PageTold(pen.added, tuple(reader.entered))


def _no_header() -> DataFault:
    return DataFault(
        "no line says what was measured",
        mending="begin with a line like: part RK-7 rack, item RK-7a of RK-7, or vehicle V-9",
        code="page-03",
    )


class _Page:
    """Takes one line at a time; keeps its faults, so that all are told at once."""

    def __init__(self, pen: Pen, name: str, system: str | None) -> None:
        self.pen = pen
        self.name = name
        self.system = system
        self.faults: list[tuple[int, FitmentError]] = []
        self.entered: list[Entered] = []
        self.thing: Measured | None = None
        self.kind: PartKind | None = None
        self.lost = False  # after a heading that names nothing, its lines cannot be read
        self.condition = ""
        self.said: tuple[int, SittingWords] | None = None
        self.sitting: Sitting | None = None
        self.sitting_faulty = False

    def fault(self, fault: FitmentError, number: int) -> None:
        """Keeps a fault of a line."""
        self.faults.append((number, fault.at(f"{self.name}, line {number}")))

    def take(self, number: int, line: str) -> None:
        """Reads one line."""
        text, no_second = words_of(line)
        if not text:
            return
        try:
            self._line(number, text, no_second)
        except FitmentError as fault:
            self.fault(fault, number)

    def _line(self, number: int, text: str, no_second: bool) -> None:
        first, _, rest = text.partition(" ")
        word = first.casefold()
        if word in ("part", "item", "vehicle"):
            self._heading(word, [] if no_second else rest.split())
        elif word == "sitting":
            self.sitting, self.sitting_faulty = None, False
            said = sitting_words(rest)
            self.said = (number, said) if said.name else None
        elif word == "units":
            self._units(rest)
        elif (key := opening(text, _SURVEY)) is not None:
            self._survey(_SURVEY[key], text[len(key) :].strip())
        elif self.lost:
            return
        elif self.kind is None:
            self.lost = True
            raise _no_header()
        elif (key := opening(text, self._said_of_it(self.kind))) is not None:
            self._describe(key, text[len(key) :].strip())
        else:
            self._readings(number, text, self.kind)

    def _survey(self, field: str, value: str) -> None:
        if not value:
            return
        if self.said is None:
            raise DataFault(
                f"{field.replace('_', ' ')} of no sitting", mending="write it after: sitting NAME", code="page-07"
            )
        self.said = (self.said[0], replace(self.said[1], **{field: value}))
        self.sitting, self.sitting_faulty = None, False

    def _heading(self, word: str, words: list[str]) -> None:
        self.thing, self.kind, self.lost, self.condition = None, None, True, ""
        self.sitting = None  # found again for the next thing, so that a survey knows its vehicle
        if not words:
            raise DataFault(f"the {word} has no reference", mending=f"write it: {word} REF", code="page-04")
        if word == "vehicle":
            self.kind, self.lost = part_kinds()["vehicle"], False
            self.thing = self.pen.put(Vehicle, " ".join(words))
            return
        if len(words) > 1 and words[-1].casefold() in CONDITIONS:
            self.condition = words.pop().casefold()
        if word == "part":
            self._known(self._part(words[0], " ".join(words[1:])))
        elif len(words) > 2 and words[1].casefold() == "of":
            part = self._part(words[2], " ".join(words[3:]))
            self._known(self.pen.put(Item, words[0], part_id=part.id))
        elif len(words) == 1:
            self._known(self.pen.need(Item, words[0]))
        else:
            raise DataFault("an item is of a part", mending="write: item RK-7a of RK-7", code="page-04")

    def _part(self, reference: str, kind: str) -> Part:
        """The part, added if its kind is said and it is not there yet."""
        if kind:
            # its lines can be looked through even where the reference is refused
            self.kind, self.lost = part_kind_in(kind), False
            made: Part = self.pen.put(Part, reference, kind=self.kind.kind)
            return made
        found = self.pen.find(Part, reference)
        if not isinstance(found, Part):
            raise NotFoundFault(
                f"no part {reference}", mending=f"to add it, say its kind: part {reference} rack", code="page-05"
            )
        return found

    def _known(self, thing: Measured) -> None:
        self.thing, self.kind, self.lost = thing, kind_of(self.pen, thing), False

    def _units(self, rest: str) -> None:
        if rest.casefold() not in ("", "mm", "inch", "in"):
            raise DataFault(f'units are "{rest[:40]}"', mending="allowed: mm, inch", code="sheet-16")
        if rest:
            self.system = "mm" if rest.casefold() == "mm" else "inch"

    @staticmethod
    def _said_of_it(kind: PartKind) -> tuple[str, ...]:
        """Lines about the thing itself; where its body has such a dimension (a made part's maker), that is meant."""
        if kind.kind == "vehicle":
            return _OF_VEHICLE
        return ("name", "note", "fitted to") if kind.kind == "adapter" else _OF_PART

    def _describe(self, key: str, text: str) -> None:
        if not text or self.thing is None:
            return
        if isinstance(self.thing, Vehicle):
            self.pen.put(Vehicle, self.thing.reference, **{key: text})
        elif key == "note":
            self.pen.state(self.thing, "note", text, "")
        else:
            part = self.pen.session.get_one(Part, self.thing.part_id) if isinstance(self.thing, Item) else self.thing
            if key == "fitted to":
                vehicle, _, position = text.partition(" ")
                self.pen.fitted(part, self.pen.need(Vehicle, vehicle), position.strip())
            else:
                self.pen.put(Part, part.reference, **{key: text})

    def _readings(self, number: int, text: str, kind: PartKind) -> None:
        for one in pairs(text):
            try:
                feature, dimension, value = split_line(kind, one)
                if value:
                    self._reading(number, feature, dimension, value)
            except FitmentError as fault:
                near = difflib.get_close_matches(text.partition(" ")[0].casefold(), _HEADINGS, cutoff=0.7)
                if fault.code == "page-01" and near:
                    fault.mending = f"nearest: {near[0]}"
                self.fault(fault, number)

    def _reading(self, number: int, feature: str, dimension: Dimension, value: str) -> None:
        sitting = self._sitting(number)
        if sitting is None or self.thing is None:
            read_values(dimension, value, bare_unit(dimension, self.system), "", True)  # for its faults alone
            return
        self.entered += enter(
            self.pen, self.thing, feature, dimension, value, sitting, self.condition, self.system, again=False
        )

    def _sitting(self, number: int) -> Sitting | None:
        """The sitting, made when its first reading comes; a fault of it is told once, at its own line."""
        if self.sitting is None and not self.sitting_faulty:
            try:
                if self.said is None:
                    raise DataFault(
                        "no line says who measured, when and with what",
                        mending="write before it: sitting yard-3 AB 2026-11-24",
                        code="sheet-15",
                    )
                survey = self.thing if isinstance(self.thing, Vehicle) else None
                self.sitting = put_sitting(self.pen, self.said[1], survey)
            except FitmentError as fault:
                self.sitting_faulty = True
                self.fault(fault, self.said[0] if self.said else number)
        return self.sitting
