"""The certifier's dossier: what is in the folder, who stated what of welds, heat and material, sources, change log."""

from __future__ import annotations

from fitment.sheets.blocks import Blank, Block, Boxes, Cell, Heading, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.documents import documents
from fitment.sheets.task_lines import sections

#: what is asked of every part: title, and the dimensions of any of its features that tell of it
_STATED = (
    ("welds", ("welds",)),
    ("heating, bending", ("heat-marks", "machined")),
    ("material", ("material",)),
    ("certificate, heat number", ("certificate", "heat-number")),
    ("hardness", ("hardness", "hardness-brinell", "hardness-evidence")),
    ("plating, baking", ("coating", "baking")),
)
_MADE = (
    *("drawing", "revision", "maker", "date", "lot", "serial", "material", "condition", "certificate", "heat-number"),
    *("hardness", "fillet", "finish", "coating", "baking"),
)


def sheet(context: SheetContext) -> Sheet | None:
    """The document; None where the kit names no part."""
    if not context.report.parts:
        return None
    blocks: tuple[Block, ...] = (
        Heading("In this folder"),
        Table(
            "Documents made from a kit, where it has something for them; files.json has the SHA-256 of every file",
            ("document", "for", "file"),
            tuple((one.title, one.reader, f"{one.name}.html") for one in documents().values() if one.name != "dossier"),
        ),
        *_statements(context),
        *_made(context),
        *_sources(context),
        *_papers(context),
        *_calculations(context),
        *_changes(context),
        *sections(context, "dossier", ordered=False)["To be put with it"],
    )
    last: tuple[Block, ...] = (
        Heading("Signatures"),
        Boxes(("put together by: name, shop", "date", "signature")),
        Boxes(("received by: name, authority", "date", "signature")),
    )
    return Sheet(
        blocks,
        lead="For the certifier: what is stated of every part, by whom, on which readings, and what changed since.",
        last=last,
    )


def _statements(context: SheetContext) -> tuple[Block, ...]:
    rows: list[tuple[Cell, ...]] = []
    for part in context.report.parts:
        cells: list[Cell] = [f"{part.role} {part.name}"]
        for title, dimensions in _STATED:
            said = _said(context, part.address, dimensions)
            own = context.origin(part.name).latest("welds") if title == "welds" else ""
            cells.append("; ".join(filter(None, (said, f"{own} (stated of it)" if own else ""))) or Blank())
        rows.append(tuple(cells))
    note = (
        'An empty box is not a clean part: nobody has stated anything. "none" stands only where somebody looked and '
        "said so. This tool proposes no welding, heating, bending, plating or splicing of a steering part."
    )
    return (
        Heading("Welds, heat, material: what is stated of each part"),
        Table("Statements on record", ("part", *(title for title, _ in _STATED)), tuple(rows), (40, 0, 0, 0, 0, 0, 0)),
        Words(note),
        Boxes(("stated by, for the empty boxes", "how it was looked at", "date", "signature")),
    )


def _said(context: SheetContext, address: str, dimensions: tuple[str, ...]) -> str:
    part = context.assembly.found.get(address)
    if part is None and address.startswith("adapter."):
        part = context.assembly.adapters[int(address.removeprefix("adapter.")) - 1][1]
    told = []
    # the hardness of a bush is that of its rubber
    for name, feature in part.features.items() if part is not None and part.kind != "mount" else ():
        for dimension in dimensions:
            use = feature.get(dimension)
            if use is not None:
                word = context.shown(use.shown or str(use.value))
                where = "" if name == "body" else f" ({name})"
                told.append(f"{word}{where}{', hearsay' if use.hearsay else ''}")
    return "; ".join(dict.fromkeys(told))


def _made(context: SheetContext) -> tuple[Block, ...]:
    blocks: list[Block] = []
    for number, (_, part) in enumerate(context.assembly.adapters, 1):
        rows = tuple(
            (name.replace("-", " "), _said(context, f"adapter.{number}", (name,)) or Blank()) for name in _MADE
        )
        blocks.append(Table(f"Made part {part.name} {part.title}", ("what", "as recorded"), rows, (60, 0)))
    work = dict.fromkeys(
        f"{work.operation} {work.part}: {context.shown(work.detail)}"
        for one in context.report.findings
        for work in one.work
    )
    if work:
        done: tuple[tuple[Cell, ...], ...] = tuple((line, Blank(), Blank()) for line in work)
        blocks.append(
            Table(
                "Machining proposed by the check",
                ("operation", "done by, tool number", "measured after"),
                done,
                (0, 40, 40),
            )
        )
    return (Heading("Made and machined parts"), *(blocks or [Words("None.")]))


def _sources(context: SheetContext) -> tuple[Block, ...]:
    rows = tuple(
        (
            one.reference,
            one.who or "not recorded",
            one.dated or "not recorded",
            one.tool or "by reading",
            f"{one.source} ({one.kind})",
            one.note,
        )
        for one in context.records.sittings
    )
    weak = [f"{use.feature} {use.dimension}" for one in context.report.findings for use in one.uses if use.hearsay]
    told = (
        f"Resting on a listing, a forum post or memory alone: {', '.join(dict.fromkeys(weak))}."
        if weak
        else "No value that a rule used rests on a listing, a forum post or memory alone."
    )
    return (
        Heading("Sources of the readings"),
        Table(
            "Sittings behind the values of this kit and car",
            ("sitting", "who", "date", "tool", "source", "note"),
            rows,
            (28, 18, 24, 26, 0, 40),
        ),
        Words(told),
    )


def _papers(context: SheetContext) -> tuple[Block, ...]:
    rows = tuple((one.path, one.of, one.digest[:16], one.state) for one in context.records.papers)
    if not rows:
        return (
            Heading("Photographs and papers"),
            Words("None is on record: fitment build add and reading add take them by --paper."),
        )
    return (
        Heading("Photographs and papers"),
        Table(
            "On record, looked at as this page was made", ("file", "of", "SHA-256 begins", "now"), rows, (0, 40, 38, 24)
        ),
    )


def _calculations(context: SheetContext) -> tuple[Block, ...]:
    options = context.report.options
    told = (
        f"Every margin by {options.samples} samples of each value (seed {options.seed}) through the rule's own "
        "formula; "
        "fitment explain RULE prints each rule with its formula, source and limits. The steering is a model of rigid "
        "links. No stress, fatigue or impact was worked out by this tool."
    )
    return (Heading("Calculations"), Words(told))


def _changes(context: SheetContext) -> tuple[Block, ...]:
    changes = tuple(
        (
            f"{one.reading.of} {one.reading.feature} {one.reading.dimension}",
            f"{one.reading.entered} {one.reading.bare_unit}".strip(),
            one.reason,
            f"{one.who} {one.dated}".strip(),
            one.reading.uid[:8],
        )
        for one in context.records.changes
    )
    kept = tuple(
        (
            one.uid[:8],
            one.made,
            one.verdict,
            str(one.revision),
            ", ".join(one.builds) or "none",
            ", ".join(uid[:8] for uid in one.withdrawn) or "none",
        )
        for one in context.records.kept
        if one.uid != context.report_id
    )
    blocks: list[Block] = [Heading("Change log")]
    blocks.append(
        Table("Readings withdrawn", ("what", "value", "reason", "who, when", "reading"), changes)
        if changes
        else Words("No reading of these parts was withdrawn.")
    )
    blocks.append(
        Table(
            "Earlier reports of a kit of this name",
            ("report", "made", "verdict", "catalogue revision", "builds", "readings withdrawn since"),
            kept,
        )
        if kept
        else Words("No earlier report of a kit of this name is kept.")
    )
    return tuple(blocks)
