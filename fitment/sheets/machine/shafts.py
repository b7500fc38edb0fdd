"""A shaft made new where the one that the kit names is too short or too long: its length and where its grooves lie."""

from __future__ import annotations

from fitment.finding import Figure, Finding, Verdict, Work
from fitment.joints.answering import Size, formula, size_of
from fitment.kits import shaft_rules as rules
from fitment.kits.report import JointSummary
from fitment.kits.shaft_parts import Line, Member, Yoke, line_of
from fitment.sheets.blocks import Blank
from fitment.sheets.context import SheetContext
from fitment.sheets.drawing.dimensions import Linear
from fitment.sheets.drawing.model import ScaleDrawing, Shape, largest_scale
from fitment.sheets.drawing.shapes import Stroke, line, rectangle
from fitment.sheets.machine.job import Asked, Job, SizeRow, ask

_RECORD = (
    "material, heat number",
    "hardness",
    "splines cut by, gauge",
    "welds: none, or whose",
    "drawing number, serial",
)


def shaft_jobs(context: SheetContext) -> list[Job]:
    """A page for each shaft of the line whose length does not fit and whose needed length is known."""
    line_found = line_of(context.kit, context.assembly)
    if not isinstance(line_found, Line):
        return []
    jobs = []
    for number, shaft in enumerate(line_found.shafts):
        found = _length(context, shaft)
        if found is not None:
            jobs.append(_job(*found, shaft, line_found.yokes_of(number), context))
    return jobs


def _length(context: SheetContext, shaft: Member) -> tuple[JointSummary, Finding] | None:
    """The finding that the shaft's length does not fit, where it says which length is needed."""
    for joint in context.report.joints:
        for finding in joint.findings:
            if finding.rule == rules.LENGTH.code and finding.joint == (shaft.body.name, shaft.title):
                fails = finding.verdict is Verdict.DOES_NOT_FIT and "needed_length" in finding.figures
                return (joint, finding) if fails else None
    return None


def _job(joint: JointSummary, finding: Finding, shaft: Member, yokes: tuple[Yoke, Yoke], context: SheetContext) -> Job:
    needed = finding.figures["needed_length"].value
    insertions = [yoke.insertion for yoke in yokes]
    faces = [size_of(yoke.ends.female, "centre-to-face") for yoke in yokes]
    grooves = [_groove(yoke) for yoke in yokes]
    every = (*insertions, *faces)
    cut = (
        needed - sum(size.central for size in faces) + sum(size.central for size in insertions)
        if all(size.known for size in every)
        else None
    )
    sizes = {"needed_length": Figure(needed, None, "mm")} | ({} if cut is None else {"cut": Figure(cut, None, "mm")})
    work = Work("made shaft", shaft.body.name, None, cut, "mm", None, finding.because, sizes)
    asked = Asked((joint,), finding, work)
    rows = [
        SizeRow("joint centre to joint centre, as the line lies", "", ask(needed)),
        SizeRow("shaft, end to end", "", ask(cut), "mm"),
    ]
    wanting = [f"{gap.feature} {gap.dimension}: {gap.why}" for size in every for gap in size.gaps]
    for end, insertion, face, groove in zip(("upper", "lower"), insertions, faces, grooves, strict=True):
        rows += [
            SizeRow(f"{end} end: stands in the yoke by", "", ask(insertion.central if insertion.known else None), "mm"),
            SizeRow(f"{end} yoke: centre of the cross to its mouth", "", ask(face.central if face.known else None)),
            SizeRow(f"{end} end: to the middle of its groove", "", ask(groove.central if groove.known else None), "mm"),
        ]
    rows.append(SizeRow("slip of the shaft, each way, if it is to slide", "", Blank("mm")))
    moves, left = (context.kit.limits[name] for name in ("body_movement", "slip_left"))
    steps = (
        "Mock it up first in wood or pipe, engine and exhaust in place, and measure between the crosses once more.",
        f"A shaft in one piece has no slip: {moves.value:g} mm of movement and {left.value:g} mm besides are asked "
        "each way. How it slides and how it collapses is for whoever designs it to state.",
        "Each groove lies under its bolt with the shaft as far in as the table says; the bolt must pass through it.",
        "It is not made by cutting and joining another.",
    )
    seen = "Side view, the upper end on the left: length end to end, and the middle of each groove."
    drawings = () if cut is None else _drawn(asked, cut, [g.central if g.known else None for g in grooves])
    return Job(
        asked,
        "made shaft",
        drawings,
        seen,
        tuple(rows),
        steps,
        (*dict.fromkeys(wanting), "section, material and collapse: whoever designs the shaft states them"),
        _RECORD,
    )


def _groove(yoke: Yoke) -> Size:
    """End of the shaft to the middle of its groove, mm: how far it stands in less where the bolt lies."""
    return formula(lambda deep, bolt: deep - bolt, yoke.insertion, size_of(yoke.ends.female, "bolt-to-end"))


def _drawn(asked: Asked, cut: float, grooves: list[float | None]) -> tuple[ScaleDrawing, ...]:
    """The shaft as a line of its length: its section is not known, and is drawn open."""
    scale = largest_scale(cut, 1.0, (120.0, 40.0))
    if scale is None:
        return ()
    half = 5.0 / scale.factor
    shapes: list[Shape] = [
        rectangle((0.0, -half), (cut, half), Stroke.HIDDEN),
        line((0.0, -half), (0.0, half)),
        line((cut, -half), (cut, half)),
        line((-5 / scale.factor, 0.0), (cut + 5 / scale.factor, 0.0), Stroke.CENTRE),
        Linear((0.0, half), (cut, half), 14.0, "x"),
    ]
    for groove, end, way in zip(grooves, (0.0, cut), (1.0, -1.0), strict=True):
        if groove is not None:
            at = end + way * groove
            shapes.append(line((at, -half * 1.6), (at, half * 1.6), Stroke.CENTRE))
            first, last = sorted((end, at))
            shapes.append(Linear((first, -half), (last, -half), -9.0, "x"))
    return (ScaleDrawing(asked.stem, f"{asked.work.part}, made new", scale, tuple(shapes)),)
