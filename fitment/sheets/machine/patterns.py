"""The operations on mounting patterns: holes opened or slotted, a plate between two patterns."""

from __future__ import annotations

from dataclasses import replace

from fitment.finding import Gap
from fitment.joints.pattern_view import SeenHole, SeenPair, SeenPattern, seen_together
from fitment.sheets.blocks import Blank
from fitment.sheets.context import SheetContext
from fitment.sheets.drawing.dimensions import Diameter
from fitment.sheets.drawing.model import Scale, ScaleDrawing, Shape, largest_scale
from fitment.sheets.drawing.shapes import Path, Stroke
from fitment.sheets.machine.job import Asked, Job, SizeRow, mm, rests_on
from fitment.sheets.pattern_plan import (
    compass,
    every_hole,
    from_first,
    hole_shapes,
    least_outline,
    middle_of,
    numbered,
    on_page,
    plate_cut,
    spans,
)

_ROOM = (150.0, 62.0)
_MADE = (
    "material, condition",
    "certificate, heat number",
    "plate thickness",
    "finish",
    "drawing number, revision",
    "serial marked",
)


def seen_of(context: SheetContext, joint_id: str) -> SeenPair | tuple[Gap, ...]:
    """The registered patterns of a joint of the kit; what is missing where they cannot be registered."""
    joint = next((one for one in context.assembly.joints if one.id == joint_id), None)
    if joint is None or joint.ends is None:
        return (Gap(joint_id, "part", "is not named in the kit"),)
    ends = joint.ends
    return context.once(f"seen {joint_id}", lambda: seen_together(*ends, context.setting))


def opened(asked: Asked, context: SheetContext) -> Job:
    """Every hole of one side opened by the same growth, centred where it is."""
    seen = seen_of(context, asked.joint.id)
    growth = asked.size("growth")
    rows: list[SizeRow] = []
    drawings: tuple[ScaleDrawing, ...] = ()
    if isinstance(seen, SeenPair) and growth is not None:
        own = _own(seen, asked)
        new = replace(own, holes=tuple(_grown(hole, growth) for hole in own.holes))
        rows = [_hole_row(own, old, f"Ø {mm(hole.diameter)}") for old, hole in zip(own.holes, new.holes, strict=True)]
        drawings = (_plan(asked, own, new, seen.in_car),)
    steps = (
        "Centre-punch nothing anew: each hole is opened about its own centre. Clamp the part, open in two steps.",
        "Break the edges on both faces and look for cracks round each hole.",
        "An opened hole holds by friction only: what locates the part sideways is to be shown to the certifier.",
    )
    return Job(
        asked, "slot", drawings, _SEEN, (*rows, *_edge(asked, context)), steps, (), _SLOT_RECORD, _limit(context)
    )


def slotted(asked: Asked, context: SheetContext) -> Job:
    """Slots from holes of one side towards where their bolts come to lie."""
    seen = seen_of(context, asked.joint.id)
    rows: list[SizeRow] = []
    drawings: tuple[ScaleDrawing, ...] = ()
    if isinstance(seen, SeenPair):
        own = _own(seen, asked)
        new = replace(own, holes=tuple(_stretched(hole, asked) for hole in own.holes))
        for old, hole in zip(own.holes, new.holes, strict=True):
            forward, left = (2 * size for size in hole.half_slot)
            away = "no slot" if (forward, left) == (0.0, 0.0) else f"by {_way(forward, left)}, Ø kept"
            rows.append(_hole_row(own, old, away))
        drawings = (_plan(asked, own, new, seen.in_car),)
    steps = (
        "File or mill each slot from its hole in the direction that the drawing shows, both sides parallel.",
        "Break the edges on both faces and look for cracks round each slot.",
        "A slot holds by friction only and locates nothing: what does so sideways is to be shown to the certifier.",
    )
    return Job(
        asked, "slot", drawings, _SEEN, (*rows, *_edge(asked, context)), steps, (), _SLOT_RECORD, _limit(context)
    )


def plate(asked: Asked, context: SheetContext) -> Job:
    """A plate between two patterns: described by its holes, never designed."""
    seen = seen_of(context, asked.joint.id)
    ratio = context.kit.limits["hole_edge_ratio"]
    rows: list[SizeRow] = []
    drawings: tuple[ScaleDrawing, ...] = ()
    wanting: list[str] = []
    if isinstance(seen, SeenPair):
        for pattern in (seen.second, seen.first):
            for hole in pattern.holes:
                forward, left = from_first(seen.second, hole)
                at = f"{forward:.2f} forward, {left:.2f} left"
                size = f"Ø {hole.diameter:.2f} mm" if hole.diameter is not None else "size not known: measure the hole"
                rows.append(SizeRow(f"{pattern.name} hole {hole.number}", size, at))
        drawings = (plate_plan(asked.stem, seen, ratio.value), plate_cut(seen, f"{asked.stem}-cut"))
        wanting = [
            f"{pattern.name} holds the thread: how the plate is bolted to it, studs or bolts, is for you to decide"
            for pattern in (seen.first, seen.second)
            if pattern.captive
        ]
    rows += [
        SizeRow("holes apart, at the least", "", mm(asked.size("between_holes"))),
        SizeRow(
            "metal from each hole's edge to the plate's",
            "",
            f"{ratio.value:g} hole diameters or more: the narrow outline",
        ),
        SizeRow("thickness of the plate: the rack moves by it", "", Blank("mm")),
    ]
    steps = (
        "The file for the laser cutter has the holes alone, at full size in mm; the outline is yours to draw.",
        "Place in mm from hole 1 of the second part in the table; print the template at 100 % and lay it on the metal.",
        "State the plate in the kit with its thickness and where the rack then sits: it is checked again with it.",
    )
    return Job(
        asked,
        "bridging plate",
        drawings,
        "Plan from above. Wide: holes of the crossmember; dashed: those of the rack, as registered.",
        tuple(rows),
        steps,
        (*wanting, "thickness, material, bolts and their grip: whoever designs the plate states them"),
        _MADE,
        _limit(context),
    )


def _limit(context: SheetContext) -> tuple[str, ...]:
    return (rests_on(context.kit.limits["hole_edge_ratio"]),)


_SEEN = "Plan from above, the holes as they will be."
_SLOT_RECORD = ("tool number", "measured by", "looked at for cracks, by", "what locates it sideways")


def _own(seen: SeenPair, asked: Asked) -> SeenPattern:
    return seen.first_alone if asked.work.part == seen.first.name else seen.second


def _grown(hole: SeenHole, growth: float) -> SeenHole:
    return hole if hole.diameter is None else replace(hole, diameter=hole.diameter + growth)


def _stretched(hole: SeenHole, asked: Asked) -> SeenHole:
    """The hole as a slot from where it is to the end of its way."""
    forward, left = (asked.size(f"slot_{name}_{hole.number}") or 0.0 for name in ("forward", "left"))
    middle = (hole.at[0] + forward / 2, hole.at[1] + left / 2)
    return replace(hole, at=middle, half_slot=(forward / 2, left / 2))


def _way(forward: float, left: float) -> str:
    ways = [
        f"{abs(size):.2f} mm {plus if size > 0 else minus}"
        for size, plus, minus in ((forward, "forward", "rearward"), (left, "left", "right"))
        if abs(size) >= 0.005
    ]
    return " and ".join(ways)


def _hole_row(pattern: SeenPattern, hole: SeenHole, wanted: str) -> SizeRow:
    forward, left = from_first(pattern, hole)
    at = "" if hole is pattern.holes[0] else f": {forward:.2f} forward, {left:.2f} left of hole 1"
    return SizeRow(f"hole {hole.number}{at}", f"Ø {mm(hole.diameter, 'it')}", wanted, "mm")


def _edge(asked: Asked, context: SheetContext) -> tuple[SizeRow, ...]:
    ratio = context.kit.limits["hole_edge_ratio"]
    asks = f"asked {ratio.value:g} hole diameters"
    return (SizeRow("hole's edge to the edge of the part", "", f"{mm(asked.work.remaining)} is left; {asks}", "mm"),)


def _scale_for(patterns: tuple[SeenPattern, ...]) -> Scale:
    points = [on_page(hole.at) for pattern in patterns for hole in pattern.holes]
    across = max(x for x, _ in points) - min(x for x, _ in points)
    up = max(y for _, y in points) - min(y for _, y in points)
    scale = largest_scale(across, up, (_ROOM[0] - 50.0, _ROOM[1] - 24.0))
    assert scale is not None  # no pattern is longer than a car
    return scale


def _plan(asked: Asked, old: SeenPattern, new: SeenPattern, in_car: bool) -> ScaleDrawing:
    scale = _scale_for((old,))
    shapes: list[Shape] = []
    for hole, was in zip(new.holes, old.holes, strict=True):
        shapes += hole_shapes(hole, Stroke.OUTLINE, scale.factor)
        shapes.append(numbered(was, str(was.number), scale.factor))
    first = next((hole for hole in new.holes if hole.diameter is not None and hole.half_slot == (0.0, 0.0)), None)
    if first is not None and first.diameter is not None:
        shapes.append(Diameter(on_page(first.at), first.diameter / 2, -60.0, 9.0, after=f" ({len(new.holes)} holes)"))
    shapes += spans(old.holes, scale.factor)
    return ScaleDrawing(
        asked.stem, f"{old.name}, {asked.work.operation}", scale, (*shapes, *_front(shapes, scale, in_car))
    )


def _front(shapes: list[Shape], scale: Scale, in_car: bool) -> list[Shape]:
    low, high = ScaleDrawing("", "", scale, tuple(shapes)).extent
    return compass((high[0] + 6.0 / scale.factor, (low[1] + high[1]) / 2), scale.factor, in_car)


def plate_plan(name: str, seen: SeenPair, edge_ratio: float) -> ScaleDrawing:
    """The plate in plan at scale: holes of both parts, the least metal round them, how far they lie apart."""
    scale = _scale_for((seen.first, seen.second))
    shapes: list[Shape] = []
    middle = middle_of(every_hole(seen))
    for pattern, stroke, letter in ((seen.second, Stroke.OUTLINE, ""), (seen.first, Stroke.HIDDEN, "rack ")):
        for hole in pattern.holes:
            shapes += hole_shapes(hole, stroke, scale.factor)
            shapes.append(numbered(hole, f"{letter}{hole.number}", scale.factor, bool(letter), middle))
    known = [hole for hole in every_hole(seen) if hole.diameter is not None]
    if known:
        edge = edge_ratio * max(hole.diameter or 0.0 for hole in known)
        shapes.append(Path(least_outline(known, edge), Stroke.THIN, closed=True))
    shapes += spans(every_hole(seen), scale.factor)
    title = f"plate between {seen.first.name} and {seen.second.name}"
    return ScaleDrawing(name, title, scale, (*shapes, *_front(shapes, scale, seen.in_car)))
