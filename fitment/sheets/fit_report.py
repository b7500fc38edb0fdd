"""The fit report: verdict, each joint with requirement, margin and evidence, what the car will do, open points."""

from __future__ import annotations

from collections.abc import Iterable

from fitment.finding import Finding, Gap
from fitment.kits.report import JointSummary
from fitment.sheets.blocks import Block, Boxes, Bullets, Cell, Heading, Pairs, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.evidence_section import evidence
from fitment.sheets.finding_text import margin_text
from fitment.sheets.geometry_section import geometry
from fitment.sheets.showing import findings_of
from fitment.standards.operations import operations

#: rules that tell how far it is to something
_CLEARANCES = ("room-01", "room-02", "room-03", "shaft-08")
_SIGN = ("name", "shop or authority", "date", "signature")


def sheet(context: SheetContext) -> Sheet | None:
    """The document."""
    report = context.report
    blocks: tuple[Block, ...] = (
        *_verdict(context),
        *_parts(context),
        Heading("Interfaces"),
        _joints(context),
        *_open(context),
        *_direction(context),
        *_clearances(context),
        *geometry(context),
        *_refusals(),
        *_certifier_facts(context),
    )
    lead = "For the customer and the certifier: whether these parts go together, by what margin, and on whose word."
    last: tuple[Block, ...] = (
        Heading("Signatures"),
        Words("A signature says that the page was read and the parts are those named. It is no approval of a car."),
        Boxes(tuple(f"fabricator: {name}" for name in _SIGN)),
        Boxes(tuple(f"certifier: {name}" for name in _SIGN)),
        *evidence(context),
    )
    return Sheet(blocks, lead=lead, cautions=report.cautions, last=last)


def _verdict(context: SheetContext) -> tuple[Block, ...]:
    report = context.report
    limits = [f"{one.name} = {one.value:g} {one.unit}".strip() for one in report.options.limits]
    rows: list[tuple[str, Cell]] = [
        ("verdict", report.first_line),
        ("joints", ", ".join(f"{count} {verdict}" for verdict, count in report.counts.items() if count)),
        ("builds", ", ".join(dict.fromkeys(name for one in context.records.kept for name in one.builds)) or "none yet"),
        ("jurisdiction", report.jurisdiction or "none stated in the kit: no rule of any authority was looked up"),
        ("the kit's own limits", "; ".join(limits) or "none: the defaults, of which fitment explain tells the source"),
        ("wanted", "; ".join(f"{name}: {text}" for name, text in report.wanted.items()) or "nothing stated"),
        ("note", report.note or "none"),
        ("kit file", f"{report.kit_file}, SHA-256 {report.kit_digest}"),
        ("doubt", f"{report.options.samples} samples of each value, seed {report.options.seed}"),
    ]
    return (Heading("Verdict"), Pairs("What the check said", tuple(rows)))


def _parts(context: SheetContext) -> tuple[Block, ...]:
    rows = []
    for part in context.report.parts:
        origin = context.origin(part.name)
        donors = "; ".join(dict.fromkeys(f"{one.vehicle} {one.title} {one.years}" for one in origin.carriers))
        which = f"one piece, of {origin.part}" if part.is_item else "the design: no piece is named"
        rows.append((part.role, part.name, part.title, which, donors or "not recorded"))
    if not rows:
        return ()
    headings = ("role", "part", "what", "which", "was fitted to")
    widths = (30, 26, 40, 36, 0)
    return (Heading("Parts"), Table("Parts of the kit, with their donors", headings, tuple(rows), widths))


def _joints(context: SheetContext) -> Table:
    rows = [_joint(context, joint) for joint in context.report.joints]
    headings = ("joint", "verdict", "requirement and what was found", "margin (2.3 % to 97.7 %)", "basis", "rule")
    return Table(
        "Each joint by the rule that decides it; every rule with its readings stands in the annex",
        headings,
        tuple(rows),
        (30, 19, 0, 32, 22, 20),
    )


def _joint(context: SheetContext, joint: JointSummary) -> tuple[str, ...]:
    one = joint.worst_finding
    return (joint.title, str(joint.verdict), context.shown(one.because), _margin(context, one), _basis(one), one.rule)


def _margin(context: SheetContext, finding: Finding) -> str:
    return "no number" if finding.margin is None else margin_text(finding.margin, context.system)


def _basis(finding: Finding) -> str:
    return f"{finding.basis or 'none'}{', hearsay' if finding.on_hearsay else ''}"


def _open(context: SheetContext) -> tuple[Block, ...]:
    lines = [line for part, gaps in context.report.unknowns.items() for line in _folded(part, gaps)]
    work = [
        f"{work.operation} {work.part}: {context.shown(work.detail)}"
        for finding in context.report.findings
        for work in finding.work
    ]
    blocks: list[Block] = [Heading("Open points")]
    blocks.append(Bullets(tuple(lines)) if lines else Words("Nothing that the checks asked for is missing."))
    blocks.append(Heading("Work that it needs"))
    if work:
        blocks.append(Bullets(tuple(dict.fromkeys(work))))
        blocks.append(
            Words("Only a certifier may pass machined steering parts; the machining sheets have the numbers.")
        )
    else:
        blocks.append(Words("None."))
    if context.report.look_at:
        blocks += [
            Heading("To be looked at on the car"),
            Bullets(tuple(f"{one.line} [{one.source}]" for one in context.report.look_at), ticks=True),
        ]
    return tuple(blocks)


def _folded(part: str, gaps: Iterable[Gap]) -> list[str]:
    """What is missing of a part: a line for each reason, ends and dimensions together."""
    whys: dict[str, list[str]] = {}
    for gap in gaps:
        whys.setdefault(gap.why, []).append(f"{gap.feature.removeprefix(part).strip()} {gap.dimension}".strip())
    return [f"{part}: {', '.join(names)}: {why}" for why, names in whys.items()]


def _direction(context: SheetContext) -> tuple[Block, ...]:
    lines = [
        f"{one.verdict}: {context.shown(one.because)} [{one.rule}]" for _, one in findings_of(context, "direction")
    ]
    told = (
        Bullets(tuple(lines)) if lines else Words("Not checked: the kit names no rack, or nothing tells the direction.")
    )
    confirm = "Confirm it on the bench and on the car, with a second person, before the car moves."
    return (Heading("Which way it steers"), told, Words(confirm, strong=True))


def _clearances(context: SheetContext) -> tuple[Block, ...]:
    found = [pair for pair in findings_of(context, "clearance", "shaft-line") if pair[1].rule in _CLEARANCES]
    rows = [
        (f"{one.joint[0]}: {context.shown(one.because)}", str(one.verdict), _margin(context, one)) for _, one in found
    ]
    if not rows:
        return (Heading("Clearances"), Words("None recorded: measure them on the car (set-up sheet)."))
    table = Table("Clearances as recorded", ("clearance", "verdict", "margin"), tuple(rows), (0, 20, 45))
    return (Heading("Clearances"), table)


def _refusals() -> tuple[Block, ...]:
    lines = tuple(one.first_line for one in operations().values() if one.answer == "no")
    return (Heading("What this report does not do"), Bullets(lines))


def _certifier_facts(context: SheetContext) -> tuple[Block, ...]:
    facts = context.report.certifier_facts
    if facts is None:
        return ()
    rows = tuple((one.rule.id, one.rule.substance, one.rule.place, ", ".join(one.touched_by)) for one in facts.rules)
    table = (
        (Table(f"Rules held for {facts.jurisdiction}", ("rule", "in substance", "where", "touched by"), rows),)
        if rows
        else ()
    )
    return (Heading("Facts to take to the certifier"), *table, Words(facts.note))
