"""The certifier-first sheet: what to ask before anything is bought or cut, and what the kit would change."""

from __future__ import annotations

from fitment.sheets.blocks import Blank, Block, Boxes, Bullets, Cell, Heading, Pairs, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.showing import of_target
from fitment.sheets.task_lines import task_lines
from fitment.standards.jurisdictions import find_jurisdiction, rules_in
from fitment.standards.operations import ANSWERS, operations

_DOCUMENT = "certifier-first"


def sheet(context: SheetContext) -> Sheet | None:
    """The document."""
    blocks: list[Block] = [
        *_change(context),
        *_questions(context),
        *_rules(context),
        *_operations(),
        Heading("Answered"),
        Boxes(("authority", "name and office", "date", "document and its date", "reference of the answer")),
    ]
    lead = "For the first talk with whoever will certify or inspect the car, before work starts. It decides nothing."
    return Sheet(tuple(blocks), lead=lead)


def _change(context: SheetContext) -> tuple[Block, ...]:
    named = "; ".join(f"{part.role} {part.name}" for part in context.report.parts) or "nothing chosen yet"
    work = dict.fromkeys(f"{work.operation} {work.part}" for one in context.report.findings for work in one.work)
    made = [part.name for part in context.report.parts if part.kind == "adapter"]
    known = [
        ("vehicle", f"{context.report.target.name} {context.report.target.title}"),
        ("year of first registration", of_target(context, "body", "first-registered")),
        ("category", of_target(context, "body", "category")),
        ("jurisdiction", context.report.jurisdiction),
        ("steering gear as the car came", of_target(context, "body", "gear")),
        ("assisted as built", of_target(context, "body", "assisted")),
        ("hand of drive", of_target(context, "body", "drive-side")),
        ("load on the front axle", of_target(context, "body", "load-front")),
    ]
    rows: list[tuple[str, Cell]] = [(name, value or Blank()) for name, value in known]
    rows += [
        ("proposed parts", named),
        ("work proposed on parts", "; ".join(work) or "none"),
        ("made parts", ", ".join(made) or "none"),
        ("welds, heat, bending, plating", "none proposed; this tool gives no instruction for any"),
    ]
    return (Heading("What is planned"), Pairs("The car, and what would be changed", tuple(rows)))


def _questions(context: SheetContext) -> tuple[Block, ...]:
    rows = tuple(
        (line.line, Blank()) for line in task_lines() if line.document == _DOCUMENT and line.touches(context.parts)
    )
    return (
        Heading("Ask before anything is bought or cut"),
        Table("Questions", ("question", "answer, by whom, when"), rows, (95, 0)),
    )


def _rules(context: SheetContext) -> tuple[Block, ...]:
    facts = context.report.certifier_facts
    place = find_jurisdiction(context.report.jurisdiction) if context.report.jurisdiction else None
    if place is None or facts is None:
        held = "no jurisdiction is named in the kit" if not context.report.jurisdiction else "none is held for it"
        return (
            Heading("Rules as read"),
            Words(f"No rule of an authority is shown: {held}. That says nothing of yours: ask."),
        )
    touched = {one.rule.id: ", ".join(one.touched_by) for one in facts.rules}
    rows = tuple((rule.id, rule.substance, rule.place, touched.get(rule.id, "not touched")) for rule in rules_in(place))
    return (
        Heading("Rules as read"),
        Table(
            f"Rules held for {place.title}, in our own words",
            ("rule", "in substance", "where and when read", "touched by"),
            rows,
            (16, 0, 50, 40),
        ),
        Words(facts.note),
    )


def _operations() -> tuple[Block, ...]:
    lines = tuple(f"{one.title}: {ANSWERS[one.answer]}; {one.says}" for one in operations().values())
    return (Heading("What this tool says of work on steering parts"), Bullets(lines))
