"""Machining sheets: one operation a page, as the check proposes them, with their drawings as SVG and DXF."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from fitment.finding import Verdict
from fitment.sheets.blocks import Blank, Block, Boxes, Bullets, Drawing, Heading, PageBreak, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.drawing.dxf import dxf
from fitment.sheets.drawing.svg import svg
from fitment.sheets.machine.eyes import bored, reamed, sleeved
from fitment.sheets.machine.job import Asked, Job
from fitment.sheets.machine.patterns import opened, plate, slotted
from fitment.sheets.machine.shafts import shaft_jobs
from fitment.sheets.machine.turned import adapter, lock_spacer, nut_spacer
from fitment.standards.operations import operations

#: the page of each operation that a check proposes; bolts of another length are bought, not made
_PAGES: dict[str, Callable[[Asked, SheetContext], Job]] = {
    "ream": reamed,
    "ream from the other face": reamed,
    "taper sleeve": sleeved,
    "bore straight": bored,
    "bore and sleeve": bored,
    "bore for a sleeve": bored,
    "thread adapter": adapter,
    "spacer": nut_spacer,
    "lock spacer": lock_spacer,
    "open holes": opened,
    "slot holes": slotted,
    "adapter plate": plate,
}

_LEAD = (
    "For the machine shop: one operation a page. A box is for what nobody has measured or stated yet; nothing is "
    "filled in by guess. Every size is in mm."
)


def works(context: SheetContext) -> list[Asked]:
    """The operations that the check proposes, each once, in the order of the joints."""
    found: dict[tuple[str, str, str], Asked] = {}
    for joint in context.report.joints:
        for finding in joint.findings:
            for work in finding.work:
                key = (work.operation, work.part, work.detail)
                if key in found and joint not in found[key].joints:
                    found[key] = replace(found[key], joints=(*found[key].joints, joint))
                elif work.operation in _PAGES:
                    found.setdefault(key, Asked((joint,), finding, work))
    return list(found.values())


def sheet(context: SheetContext) -> Sheet | None:
    """The sheets of a kit; None where nothing is to be machined."""
    jobs = [_PAGES[asked.work.operation](asked, context) for asked in works(context)]
    jobs += shaft_jobs(context)
    if not jobs:
        return None
    limits = tuple(dict.fromkeys(one for job in jobs for one in job.limits))
    blocks: list[Block] = [_contents(jobs), Heading("Limits, and what they rest on"), Bullets(limits)]
    files: dict[str, bytes] = {}
    for number, job in enumerate(jobs, 1):
        blocks += [PageBreak(), *_page(number, len(jobs), job, context)]
        for drawing in job.drawings:
            files[f"{drawing.name}.dxf"] = dxf(drawing)
            files[f"{drawing.name}.svg"] = svg(drawing, job.description, context.stamp).encode()
    cautions = tuple(dict.fromkeys(one for job in jobs for one in job.asked.finding.cautions))
    if cautions or context.report.not_checked:
        blocks.append(PageBreak())
    return Sheet(tuple(blocks), files, _LEAD, cautions)


def _contents(jobs: list[Job]) -> Table:
    rows = tuple(
        (
            str(number),
            job.asked.work.operation,
            job.asked.work.part,
            _joints(job),
            operations()[job.says].passes,
        )
        for number, job in enumerate(jobs, 1)
    )
    return Table(
        "Operations", ("sheet", "operation", "on", "joint", "who passes it"), rows, (14.0, 26.0, 0.0, 0.0, 0.0)
    )


def _joints(job: Job) -> str:
    titles = [joint.title for joint in job.asked.joints]
    return f"{' and '.join(titles)}, {len(titles)} off" if len(titles) > 1 else titles[0]


def _page(number: int, of: int, job: Job, context: SheetContext) -> list[Block]:
    asked, says = job.asked, operations()[job.says]
    blocks: list[Block] = [
        Heading(f"{number} of {of}: {asked.work.operation}, {asked.work.part}"),
        Words(f"For {_joints(job)}. To be passed by {says.passes}."),
    ]
    if asked.finding.verdict not in (Verdict.FITS_WITH_WORK, Verdict.FITS):
        blocks.append(
            Words(
                f"The check does not pass with this alone: {asked.finding.verdict} ({asked.finding.rule}). "
                "Do not begin before it does.",
                strong=True,
            )
        )
    if (told := _on_record(job, context)) is not None:
        blocks.append(Words(told))
    shown = [drawing for drawing in job.drawings if not drawing.name.endswith("-cut")]
    for drawing in shown:
        blocks.append(Drawing(f"Scale {drawing.scale}. {job.description}", "", svg(drawing)))
    if not shown:
        blocks.append(Words("No drawing: the sizes below do not suffice for one."))
    blocks.append(
        Table(
            "Sizes, in mm",
            ("size", "now", "wanted", "measured"),
            tuple((row.what, row.now, row.wanted, "" if row.box is None else Blank(row.box)) for row in job.rows),
            (78.0, 24.0, 0.0, 22.0),
        )
    )
    blocks.append(Bullets(job.steps, ordered=True))
    if job.wanting:
        blocks += [
            Words("Not known yet, to be measured or stated first:", strong=True),
            Bullets(job.wanting, ticks=True),
        ]
    return [*blocks, *_closing(job)]


#: operations that make a part, and leave the part that they are told of as it is
_MADE_NEW = {"thread adapter", "spacer", "bridging plate", "made shaft"}
#: what the catalogue may hold of a part that is worked on
_RECORDED = ("material", "hardness", "condition", "welds", "heat-marks", "machined")


def _on_record(job: Job, context: SheetContext) -> str | None:
    """What is on record of the metal of the part that is worked on; None of a part that is yet to be made."""
    if job.says in _MADE_NEW:
        return None
    found = [part for part in context.assembly.found.values() if job.asked.work.part.startswith(f"{part.name} ")]
    if not found:
        return None
    part = found[0]
    own = part.features.get(job.asked.work.part.removeprefix(f"{part.name} "))
    features = [one for one in (own, part.features["body"]) if one is not None]
    uses = {use: None for one in features for name in _RECORDED if (use := one.get(name)) is not None}
    said = [f"{use.dimension.replace('-', ' ')} {use.shown or use.value}" for use in uses]
    said += [f"{name} {part.stated[name]} (stated)" for name in ("condition", "welds") if part.stated.get(name)]
    return (
        f"On record of {part.name}: {'; '.join(said)}."
        if said
        else f"Nothing is on record of the metal of {part.name}."
    )


def _closing(job: Job) -> list[Block]:
    refused = "; ".join(one.title for one in operations().values() if one.answer == "no")
    return [
        Words(f"Never, whatever the part: {refused}. Nothing that is not on this sheet without the certifier."),
        Boxes((*job.record, "made by, date", "inspected by, date", "certifier, date")),
    ]
