"""Readings typed at a terminal: ``REF FEATURE name=value ...``; all of them are kept, or none."""

from __future__ import annotations

from fitment.catalogue.adopt import TRUST
from fitment.catalogue.database import open_engine
from fitment.catalogue.dictionary import find_dimension, find_feature, part_kinds
from fitment.catalogue.records import Pen, today, writing
from fitment.catalogue.schema import Item, Part, Sitting, Source, Vehicle
from fitment.catalogue.values import bare_unit, read_values, shown
from fitment.errors import DataFault, Faults, FitmentError, NotFoundFault, nearest
from fitment.quantity.tools import find_tool


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
) -> tuple[list[str], str | None]:
    """Adds the readings; returns a line for each as understood, and the reference of a sitting made for them.

    Raises:
        Faults: every fault of every pair; nothing was kept.
    """
    engine = open_engine(place)
    try:
        with writing(engine, dry_run) as pen:
            thing = _thing(pen, reference)
            where, made = _sitting(pen, sitting, who, source, tool)
            lines = _keep(pen, thing, feature, pairs, where, condition, system)
    finally:
        engine.dispose()
    return lines, made


def _thing(pen: Pen, reference: str) -> Vehicle | Part | Item:
    for table in (Item, Vehicle):
        found = pen.find(table, reference)
        if isinstance(found, Vehicle | Item):
            return found
    part: Part = pen.need(Part, reference)
    return part


def _sitting(pen: Pen, name: str, who: str | None, source: str, tool: str | None) -> tuple[Sitting, str | None]:
    found = pen.find(Sitting, name)
    if isinstance(found, Sitting):
        return found, None
    if who is None:
        raise NotFoundFault(
            f"no sitting {name}", mending="add --who INITIALS (and --source, --tool) to make it", code="sitting-01"
        )
    if source not in TRUST:
        raise DataFault(f'kind of source "{source}" is not known', mending=nearest(source, TRUST), code="source-01")
    origin = pen.put(Source, source, kind=source, title=source.replace("-", " "))
    made = pen.put(
        Sitting, name, who=who, dated=today(), source_id=origin.id, tool=find_tool(tool).code if tool else None
    )
    return made, made.reference


def _keep(
    pen: Pen,
    thing: Vehicle | Part | Item,
    feature: str,
    pairs: list[str],
    sitting: Sitting,
    condition: str,
    system: str | None,
) -> list[str]:
    part = pen.session.get_one(Part, thing.part_id) if isinstance(thing, Item) else thing
    kind = part_kinds()["vehicle" if isinstance(part, Vehicle) else part.kind]
    name = find_feature(kind, feature)
    measured = TRUST[pen.session.get_one(Source, sitting.source_id).kind][0] == 0
    faults: list[FitmentError] = []
    lines: list[str] = []
    for pair in pairs:
        key, equals, text = pair.partition("=")
        try:
            if not equals or not text.strip():
                raise DataFault(
                    f'"{pair}" is not name=value', mending="write for example depth=25mm", code="reading-03"
                )
            dimension = find_dimension(kind, name, key.strip())
            for value in read_values(dimension, text, bare_unit(dimension, system), sitting.tool, measured):
                uid = pen.read(thing, name, dimension.dimension, value, sitting, condition, again=True)
                understood = shown(dimension, value.number, value.u, value.word, system or "mm")
                doubt = f", u = {value.u:.3g}" if value.u else ""
                lines.append(
                    f"{uid[:8]}  {thing.reference} {name} {dimension.dimension} = {understood}{doubt}"
                    + (f" ({value.tool})" if value.tool else "")
                )
        except FitmentError as fault:
            faults.append(fault if fault.place else fault.at(f"{name}.{key.strip()}"))
    if faults:
        raise Faults(faults)
    return lines
