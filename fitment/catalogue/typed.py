"""Readings typed at a terminal: ``REF FEATURE name=value ...``; all of them are kept, or none."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fitment.catalogue.database import open_engine
from fitment.catalogue.dictionary import find_dimension, find_feature
from fitment.catalogue.entering import Entered, Measured, SittingWords, enter, kind_of, measured_thing, put_sitting
from fitment.catalogue.papers import put_paper
from fitment.catalogue.records import Pen, writing
from fitment.catalogue.schema import Sitting
from fitment.errors import DataFault, Faults, FitmentError, NotFoundFault


def add_typed(
    place: str | None,
    reference: str,
    feature: str,
    pairs: list[str],
    sitting: str,
    who: str | None,
    source: str,
    tool: str | None,
    condition: str,
    system: str | None,
    dry_run: bool,
    papers: Sequence[Path] = (),
) -> tuple[list[Entered], str | None]:
    """Adds the readings; returns each as understood, and the reference of a sitting made for them.

    Args:
        papers: photographs and papers of the sitting.

    Raises:
        Faults: every fault of every pair; nothing was kept.
    """
    engine = open_engine(place)
    try:
        with writing(engine, dry_run) as pen:
            thing = measured_thing(pen, reference)
            where, made = typed_sitting(pen, sitting, who, source, tool)
            kept = keep_typed(pen, thing, feature, pairs, where, condition, system)
            for paper in papers:
                put_paper(pen, paper, where)
    finally:
        engine.dispose()
    return kept, made


def typed_sitting(pen: Pen, name: str, who: str | None, source: str, tool: str | None) -> tuple[Sitting, str | None]:
    """The sitting of that name, and its reference if it was made for the readings.

    Raises:
        NotFoundFault: it is not there and nobody is named who measured.
    """
    found = pen.find(Sitting, name)
    if isinstance(found, Sitting):
        return found, None
    if who is None:
        raise NotFoundFault(
            f"no sitting {name}", mending="add --who INITIALS (and --source, --tool) to make it", code="sitting-01"
        )
    made = put_sitting(pen, SittingWords(name, who=who, source=source, tool=tool or ""))
    return made, made.reference


def keep_typed(
    pen: Pen,
    thing: Measured,
    feature: str,
    pairs: list[str],
    sitting: Sitting,
    condition: str,
    system: str | None,
) -> list[Entered]:
    """Enters every ``name=value`` of one feature.

    Raises:
        Faults: every fault of every pair.
    """
    kind = kind_of(pen, thing)
    name = find_feature(kind, feature)
    faults: list[FitmentError] = []
    kept: list[Entered] = []
    for pair in pairs:
        key, equals, text = pair.partition("=")
        try:
            if not equals or not text.strip():
                raise DataFault(
                    f'"{pair}" is not name=value', mending="write for example depth=25mm", code="reading-03"
                )
            dimension = find_dimension(kind, name, key.strip())
            kept += enter(pen, thing, name, dimension, text, sitting, condition, system, again=True)
        except FitmentError as fault:
            faults.append(fault if fault.place else fault.at(f"{name}.{key.strip()}"))
    if faults:
        raise Faults(faults)
    return kept
