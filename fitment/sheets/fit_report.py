"""The fit report: verdict, each joint with requirement, margin and evidence, what the car will do, open points."""

from __future__ import annotations

from fitment.finding import Finding, Verdict
from fitment.kits.report import JointSummary
from fitment.sheets.blocks import Block, Boxes, Bullets, Cell, Heading, Pairs, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.finding_text import margin_text
from fitment.sheets.geometry_section import geometry
from fitment.sheets.showing import figure_text, findings_of
from fitment.standards.operations import operations

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
        *_evidence(context),
        *_refusals(),
        *_certifier_facts(context),
        Heading("Signatures"),
        Words("A signature says that the page was read and the parts are those named. It is no approval of a car."),
        Boxes(tuple(f"fabricator: {name}" for name in _SIGN)),
        Boxes(tuple(f"certifier: {name}" for name in _SIGN)),
    )
    lead = "For the customer and the certifier: whether these parts go together, by what margin, and on whose word."
    return Sheet(blocks, lead=lead, cautions=report.cautions)


def _verdict(context: SheetContext) -> tuple[Block, ...]:
    report = context.report
    limits = [f"{one.name} = {one.value:g} {one.unit}".strip() for one in report.options.limits]
    rows: list[tuple[str, Cell]] = [
        ("verdict", report.first_line),
        ("joints", ", ".join(f"{count} {verdict}" for verdict, count in report.counts.items() if count)),
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
    return (Heading("Parts"), Table("Parts of the kit, with their donors", headings, tuple(rows)))


def _joints(context: SheetContext) -> Table:
    rows = [_joint(context, joint) for joint in context.report.joints]
    headings = ("joint", "verdict", "requirement and what was found", "margin (2.3 % to 97.7 %)", "basis", "rule")
    return Table(
        "Each joint by the rule that decides it; every rule with its readings stands under Evidence",
        headings,
        tuple(rows),
        (32, 18, 0, 32, 18, 17),
    )


def _joint(context: SheetContext, joint: JointSummary) -> tuple[str, ...]:
    one = joint.worst_finding
    return (joint.title, str(joint.verdict), context.shown(one.because), _margin(context, one), _basis(one), one.rule)


def _margin(context: SheetContext, finding: Finding) -> str:
    if finding.margin is None or finding.verdict is Verdict.NOT_KNOWN:
        return "none: the rule has no number" if finding.margin is None else margin_text(finding.margin, context.system)
    return margin_text(finding.margin, context.system)


def _basis(finding: Finding) -> str:
    return f"{finding.basis or 'none'}{', hearsay' if finding.on_hearsay else ''}"


def _open(context: SheetContext) -> tuple[Block, ...]:
    lines = [f"{gap.feature} {gap.dimension}: {gap.why}" for gaps in context.report.unknowns.values() for gap in gaps]
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
    found = [(joint, one) for joint, one in findings_of(context, "clearance", "shaft-line") if one.rule[:4] != "shaf"]
    rows = [(context.shown(one.because), str(one.verdict), _margin(context, one)) for _, one in found]
    if not rows:
        return (Heading("Clearances"), Words("None recorded: measure them on the car (set-up sheet)."))
    table = Table("Clearances as recorded", ("clearance", "verdict", "margin"), tuple(rows), (0, 20, 45))
    return (Heading("Clearances"), table)


def _evidence(context: SheetContext) -> tuple[Block, ...]:
    blocks: list[Block] = [
        Heading("Evidence"),
        Words(
            "Every rule of every joint: what it asked, what it found, and the readings behind it by the first eight "
            "letters of their ids. u is the standard uncertainty."
        ),
    ]
    headings = ("rule", "verdict", "requirement and what was found", "margin", "values used, u, basis, readings")
    for joint in context.report.joints:
        rows = tuple(
            (
                one.rule,
                str(one.verdict),
                _with_figures(context, one),
                "" if one.margin is None else f"{margin_text(one.margin, context.system)}, u {one.margin.u:.2g}",
                "; ".join(_use(context, one)) or "none",
            )
            for one in joint.findings
        )
        blocks.append(Table(joint.title, headings, rows, (17, 16, 0, 26, 72)))
    return tuple(blocks)


def _with_figures(context: SheetContext, finding: Finding) -> str:
    figures = [f"{name.replace('_', ' ')} {figure_text(context, one)}" for name, one in finding.figures.items()]
    return context.shown(finding.because) + (f" ({'; '.join(figures)})" if figures else "")


def _use(context: SheetContext, finding: Finding) -> list[str]:
    told = []
    for use in finding.uses:
        doubt = f", u {use.u:.2g} {use.unit}".rstrip() if use.u else ""
        shown = context.shown(f"{use.shown or use.value}{doubt}")
        weak = (", hearsay" if use.hearsay else "") + (", assumed as left" if use.assumed else "")
        readings = f" {' '.join(use.readings)}" if use.readings else ""
        told.append(f"{use.feature} {use.dimension} {shown} ({use.basis}{weak}; {use.source};{readings})")
    return told


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
