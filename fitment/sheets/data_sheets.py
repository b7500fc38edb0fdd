"""The data sheet of each part: every dimension with its value, doubt, source and date, and every reading behind it."""

from __future__ import annotations

from fitment.catalogue.dictionary import dimensions_of, part_kinds
from fitment.catalogue.found import FoundPart
from fitment.catalogue.listing import ReadingLine
from fitment.joints.registration import Feature
from fitment.quantity.tools import tool_title
from fitment.sheets.blocks import Block, Cell, Heading, PageBreak, Pairs, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.showing import use_text

_HEADINGS = (
    "dimension",
    "value adopted",
    "basis and source",
    "readings, in force unless it says withdrawn: value, tool, who, date, condition, id",
)


def sheet(context: SheetContext) -> Sheet | None:
    """The document; None where the kit names no part."""
    found: dict[str, FoundPart] = {}
    for part in (*context.assembly.found.values(), *(part for _, part in context.assembly.adapters)):
        found.setdefault(part.name, part)
    if not found:
        return None
    blocks: list[Block] = []
    for number, part in enumerate(found.values()):
        blocks += [*([PageBreak()] if number else []), *_part(context, part)]
    lead = "For the certifier and other shops: one part a page, its numbers as adopted and the readings that say so."
    return Sheet(tuple(blocks), lead=lead)


def _part(context: SheetContext, part: FoundPart) -> list[Block]:
    origin = context.origin(part.name)
    donors = "; ".join(
        " ".join(filter(None, (one.vehicle, one.title, one.years, one.position))) for one in origin.carriers
    )
    roles = ", ".join(one.role for one in context.report.parts if one.name == part.name)
    said = "; ".join(f"{one.field}: {one.text}{f' ({one.dated})' if one.dated else ''}" for one in origin.said)
    rows: list[tuple[str, Cell]] = [
        ("part", f"{part.name} {part.title}"),
        ("kind", part_kinds()[part.kind].title),
        ("which", f"one piece, of {origin.part}" if part.is_item else "the design: readings of any piece of it"),
        ("in this kit as", roles),
        ("maker, number", f"{origin.maker} {origin.number}".strip() or "not recorded"),
        ("was fitted to", donors or "not recorded"),
        ("stated", said or "nothing"),
        *([("datum of its points", "; ".join(part.datums))] if part.datums else []),
        ("photos and papers", "; ".join(_papers(context, origin.readings)) or "none on record"),
    ]
    blocks: list[Block] = [Heading(f"{part.name} {part.title}"), Pairs(f"What {part.name} is", tuple(rows))]
    known: list[tuple[str, ...]] = []
    lacks: list[Block] = []
    for name, feature in part.features.items():
        lines, empty = _feature(context, name, feature, origin.readings)
        known += [(name,), *lines] if lines else []
        if empty:
            lacks.append(Words(f"Not recorded of {name}: {'; '.join(empty)}.", small=True))
    if known:
        blocks.append(Table(f"Dimensions of {part.name}", _HEADINGS, tuple(known), (42, 34, 40, 0), small=True))
    return [*blocks, *lacks]


def _papers(context: SheetContext, readings: tuple[ReadingLine, ...]) -> list[str]:
    sittings = {f"sitting {line.sitting}" for line in readings}
    return [f"{one.path} ({one.state})" for one in context.records.papers if one.of in sittings]


def _feature(
    context: SheetContext, name: str, feature: Feature, readings: tuple[ReadingLine, ...]
) -> tuple[list[tuple[str, ...]], list[str]]:
    """A row for each dimension that somebody read, and the names of those that nobody did."""
    lines: dict[str, list[ReadingLine]] = {}
    for line in readings:
        if line.feature == name:
            lines.setdefault(line.dimension, []).append(line)
    known = {dimension.dimension: dimension.title for dimension in dimensions_of(feature.kind).values()}
    rows: list[tuple[str, ...]] = []
    for dimension, title in known.items():
        taken = lines.get(dimension, [])
        use = feature.get(dimension)
        if use is None and not taken:
            continue
        if use is None:
            value, source = "none in force", feature.gaps.get(dimension, "a trial, told by the joint")
        else:
            doubt = f", u {use.u:.2g} {use.unit}" if use.u else ""
            weak = (", hearsay" if use.hearsay else "") + (", assumed as left" if use.assumed else "")
            value, source = context.shown(f"{use_text(context, use)}{doubt}"), f"{use.basis}{weak}; {use.source}"
        rows.append(
            (f"{title} ({dimension})", value, source, "; ".join(map(_reading, taken)) or "follows from other readings")
        )
    empty = [title for dimension, title in known.items() if feature.get(dimension) is None and dimension not in lines]
    return rows, empty


def _reading(line: ReadingLine) -> str:
    value = " ".join(filter(None, (line.entered, line.bare_unit)))
    tool = tool_title(line.tool) if line.tool else ""
    status = f"withdrawn: {line.withdrawn}" if line.withdrawn else ""
    return ", ".join(filter(None, (value, tool, line.who, line.dated, line.condition, line.uid[:8], status)))
