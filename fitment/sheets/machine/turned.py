"""Parts that are turned new: thread adapter, spacer under a nut, spacer that stops a rack's bar."""

from __future__ import annotations

from fitment.sheets.blocks import Blank
from fitment.sheets.context import SheetContext
from fitment.sheets.drawing.dimensions import Linear
from fitment.sheets.drawing.model import SCALES, ScaleDrawing, Shape, largest_scale
from fitment.sheets.drawing.shapes import Path, Stroke, hatched, line
from fitment.sheets.machine.job import Asked, Job, SizeRow, ask, mm, rests_on

_MADE = ("material, condition", "heat number, hardness", "fillet radii", "finish; baked, if plated", "serial, revision")
_RUN_OUT = "Both ends in one setting, or the second on a mandrel true to the first."


_ADAPTER_LIMITS = ("engagement_factor", "thread_runout", "net_section_ratio", "adapter_runout")


def adapter(asked: Asked, context: SheetContext) -> Job:
    """A thread adapter: two threaded ends on one axis."""
    rows = [row for number in (1, 2) for row in _end_rows(asked, number)]
    outside, limit = asked.size("outside"), context.kit.limits["adapter_runout"]
    rows += [
        SizeRow("outside diameter", "", ask(outside, f" or more, a wall of {mm(asked.work.remaining)}"), "mm"),
        SizeRow("length over all", "", ask(asked.size("length"), " or more"), "mm"),
        SizeRow("run-out of one end to the other", "", f"{limit.value:g} mm or less", "mm"),
    ]
    steps = (
        _RUN_OUT,
        "Chamfer the first threads; leave a radius in every undercut and corner: its size is the maker's to state.",
        "Try each end with its mating part and a thread gauge before it leaves the lathe; count the turns.",
        "Mark a serial where it can be read in the car. The kit must then name the adapter, and is checked with it.",
    )
    wanting = [] if outside is not None else ["flats or a hexagon to hold it by, between the two male ends"]
    seen = "Section along the axis; narrow lines: the root of a male thread, the crests of a female one."
    return Job(
        asked,
        "thread adapter",
        _adapter_drawn(asked),
        seen,
        tuple(rows),
        steps,
        tuple(wanting),
        _MADE,
        tuple(rests_on(context.kit.limits[name]) for name in _ADAPTER_LIMITS),
    )


#: the core of a thread as it is drawn, in pitches below its nominal diameter (ISO 68-1, from memory)
_CORE = 1.0825


def _end_rows(asked: Asked, number: int) -> tuple[SizeRow, ...]:
    thread = f"{asked.word(f'sex_{number}')} {asked.word(f'thread_{number}')}"
    full, run = asked.size(f"full_thread_{number}"), asked.size(f"run_out_{number}")
    least = asked.size(f"engagement_{number}")
    return (
        SizeRow(f"end {number}, for {asked.word(f'part_{number}')}", "", thread),
        SizeRow(f"end {number}: full thread, then run-out of {mm(run)}", "", ask(full, " or more"), "mm"),
        SizeRow(f"end {number}: screwed in; count the turns", "", ask(least, " or more"), "turns"),
    )


def _adapter_drawn(asked: Asked) -> tuple[ScaleDrawing, ...]:
    names = ("nominal", "full_thread", "run_out", "pitch")
    ends = [[asked.size(f"{name}_{number}") for name in names] for number in (1, 2)]
    sizes = [size for end in ends for size in end if size is not None]
    length = asked.size("length")
    if len(sizes) < 8 or length is None:
        return ()
    outside = asked.size("outside") or max(sizes[0], sizes[4])
    scale = largest_scale(length, outside, (120.0, 42.0))
    if scale is None:
        return ()
    shapes: list[Shape] = [line((-4 / scale.factor, 0.0), (length + 4 / scale.factor, 0.0), Stroke.CENTRE)]
    for number, (nominal, full, run, pitch) in enumerate((sizes[:4], sizes[4:]), 1):
        start, way = (0.0, 1.0) if number == 1 else (length, -1.0)
        deep, core = full + run, nominal / 2 - _CORE * pitch / 2
        female = asked.word(f"sex_{number}") == "female"
        if female:
            shapes += _female(start, way, (nominal / 2, core, outside / 2), (full, deep), scale.factor)
        else:
            shapes += _male(start, way, (nominal / 2, core), (full, deep))
        off = -(outside / 2 * scale.factor + 7.0)
        at = 0.0 if number == 1 else length - full
        shapes += [
            Linear((at, 0.0), (at + full, 0.0), off, "x"),
            Linear((start, -nominal / 2), (start, nominal / 2), (8.0 if number == 1 else -8.0), "y", before="Ø"),
        ]
    shapes.append(Linear((0.0, 0.0), (length, 0.0), outside / 2 * scale.factor + 7.0, "x"))
    if asked.size("outside") is not None:
        body = next(number for number in (1, 2) if asked.word(f"sex_{number}") == "female")
        x = 0.0 if body == 1 else length
        shapes.append(Linear((x, -outside / 2), (x, outside / 2), 15.0 if body == 1 else -15.0, "y", before="Ø"))
    return (ScaleDrawing(asked.stem, asked.work.part, scale, tuple(shapes)),)


def _female(
    start: float, way: float, radii: tuple[float, float, float], lengths: tuple[float, float], factor: float
) -> list[Shape]:
    """Radii of thread, core and outside; lengths of full thread and bore."""
    shapes: list[Shape] = []
    (thread, core, outside), (full, deep) = radii, lengths
    for side in (-1.0, 1.0):
        corners = tuple(
            (start + way * x, side * y) for x, y in ((0.0, core), (0.0, outside), (deep, outside), (deep, core))
        )
        shapes += [Path(corners, closed=True), *hatched(corners, 1.8 / factor)]
        shapes.append(line((start, side * thread), (start + way * full, side * thread), Stroke.THIN))
    return [*shapes, line((start + way * deep, -outside), (start + way * deep, outside))]


def _male(start: float, way: float, radii: tuple[float, float], lengths: tuple[float, float]) -> list[Shape]:
    """Radii of thread and root; lengths of full thread and of the whole end."""
    (half, core), (full, deep) = radii, lengths
    corners = ((start, -half), (start + way * deep, -half), (start + way * deep, half), (start, half))
    return [
        Path(corners, closed=True),
        *(line((start, side * core), (start + way * full, side * core), Stroke.THIN) for side in (-1.0, 1.0)),
        line((start + way * full, -half), (start + way * full, half)),
    ]


def nut_spacer(asked: Asked, context: SheetContext) -> Job:
    """One hardened spacer under a castle nut."""
    thick, bore = asked.size("thick"), asked.size("bore_over")
    low, high = asked.size("thick_least"), asked.size("thick_most")
    rows = (
        SizeRow(
            "thickness",
            mm(asked.work.before) if asked.work.before else "none",
            ask(thick, f", from {mm(low)} to {mm(high)}"),
            "mm",
        ),
        SizeRow("bore, over the cone or the thread", "", f"over {mm(bore)}", "mm"),
        SizeRow("outside, over the nut's bearing face", "", Blank("mm")),
        SizeRow("faces parallel within", "", Blank("mm")),
        SizeRow("hardness", "", Blank()),
    )
    steps = (
        "In one piece, hardened, both faces flat and parallel; no stack of washers.",
        "It must bear on the arm and the nut on it, not on the cone: look at it with the stud drawn up.",
        "State its thickness in the kit as the washer of this joint: it is then checked with it.",
    )
    wanting = ("the nut's bearing face, for the outside of the spacer", "hardness: whoever hardens it states it")
    seen = "Section along the axis: bore and thickness. Its outside is not known, and is left open."
    drawings = () if thick is None or bore is None else (_ring_drawn(asked, thick, bore),)
    return Job(asked, "spacer", drawings, seen, rows, steps, wanting, ("gauge or tool number", *_MADE))


def lock_spacer(asked: Asked, context: SheetContext) -> Job:
    """A spacer between inner joint and housing that ends the travel of the bar sooner."""
    thick, bar = asked.size("thick"), _bar_diameter(context)
    rows = (
        SizeRow("thickness", "", ask(thick), "mm"),
        SizeRow(
            "travel of the bar to that side", mm(asked.size("travel_before")), mm(asked.size("travel_after")), "mm"
        ),
        SizeRow("bore, over the rack bar", "", Blank("mm") if bar is None else f"over {bar:.2f} mm", "mm"),
        SizeRow("outside, within the end of the housing", "", Blank("mm")),
    )
    steps = (
        "Measure the bar, the end of the housing and the inner joint's shoulder: the spacer bears on both faces all "
        "round.",
        "Fit it, run to both locks by hand, and look that nothing touches and that the boots still clear.",
        "Count the turns to each side and record them on the set-up sheet.",
    )
    wanting = (
        *(() if bar is not None else ("bar diameter",)),
        "face of the housing's end: inside and outside diameter",
        "shoulder of the inner joint",
    )
    return Job(asked, "spacer", (), "", rows, steps, wanting, ("tool number", *_MADE))


def _bar_diameter(context: SheetContext) -> float | None:
    """Diameter of the kit's rack bar, mm; None where nobody measured it."""
    rack = context.assembly.found.get("rack")
    use = rack.features["body"].get("bar-dia") if rack is not None else None
    return None if use is None or use.hearsay or use.assumed else use.number


def _ring_drawn(asked: Asked, thick: float, bore: float) -> ScaleDrawing:
    """A ring of which thickness and bore are known, its outside left open."""
    half = bore / 2
    scale = largest_scale(2 * half + 12.0, thick, (90.0, 40.0)) or SCALES[-1]
    reach = half + 6.0
    shapes: list[Shape] = [line((0.0, -3 / scale.factor), (0.0, thick + 3 / scale.factor), Stroke.CENTRE)]
    for side in (-1.0, 1.0):
        shapes += [line((side * half, y), (side * reach, y)) for y in (0.0, thick)]
        shapes.append(line((side * half, 0.0), (side * half, thick)))
    shapes.append(Linear((-half, 0.0), (half, 0.0), -7.0, "x", before="over Ø"))
    shapes.append(Linear((reach, 0.0), (reach, thick), -7.0, "y"))
    return ScaleDrawing(asked.stem, asked.work.part, scale, tuple(shapes))
