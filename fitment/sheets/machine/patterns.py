"""The operations on mounting patterns: holes opened or slotted, a plate between two patterns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from fitment.finding import Gap
from fitment.joints.pattern_view import SeenHole, SeenPair, SeenPattern, seen_together
from fitment.joints.pattern_work import OPEN, SLOT
from fitment.sheets.blocks import Blank
from fitment.sheets.context import SheetContext
from fitment.sheets.drawing.dimensions import Diameter
from fitment.sheets.drawing.model import SCALES, Scale, ScaleDrawing, Shape, largest_scale
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


def worked_holes(seen: SeenPair, asked: Asked) -> tuple[SeenHole, ...]:
    """The holes that work opens or slots as they will be, registered; none for other work."""
    if asked.work.operation not in (OPEN, SLOT):
        return ()
    own, _ = _own(seen, asked)
    new = holes_after(own, asked).holes
    return tuple(map(seen.placed, new)) if own is seen.first_alone else new


def gap_lines(seen: SeenPair | tuple[Gap, ...]) -> tuple[str, ...]:
    """What is missing to register two patterns; nothing where they are registered."""
    return () if isinstance(seen, SeenPair) else tuple(f"{gap.feature} {gap.dimension}: {gap.why}" for gap in seen)


def opened(asked: Asked, context: SheetContext) -> Job:
    """Every hole of one side opened by the same growth, centred where it is."""
    steps = (
        "Centre-punch nothing anew: each hole is opened about its own centre. Clamp the part, open in two steps.",
        "Break the edges on both faces and look for cracks round each hole.",
        "An opened hole holds by friction only: what locates the part sideways is to be shown to the certifier.",
    )
    return _holes_changed(asked, context, lambda hole, _ways: f"Ø {mm(hole.diameter)}", steps)


def slotted(asked: Asked, context: SheetContext) -> Job:
    """Slots from holes of one side towards where their bolts come to lie."""

    def becomes(hole: SeenHole, ways: tuple[str, str]) -> str:
        along = (2 * hole.half_slot[0], 2 * hole.half_slot[1])
        return "no slot" if along == (0.0, 0.0) else f"by {_way(along, ways)}, Ø kept"

    steps = (
        "File or mill each slot from its hole in the direction that the drawing shows, both sides parallel.",
        "Break the edges on both faces and look for cracks round each slot.",
        "A slot holds by friction only and locates nothing: what does so sideways is to be shown to the certifier.",
    )
    return _holes_changed(asked, context, becomes, steps)


def _holes_changed(
    asked: Asked, context: SheetContext, becomes: Callable[[SeenHole, tuple[str, str]], str], steps: tuple[str, ...]
) -> Job:
    """The page of holes of one side that are made other than they are."""
    seen = seen_of(context, asked.joint.id)
    rows: list[SizeRow] = []
    drawings: tuple[ScaleDrawing, ...] = ()
    if isinstance(seen, SeenPair):
        own, ways = _own(seen, asked)
        new = holes_after(own, asked)
        rows = [_hole_row(own, old, becomes(hole, ways), ways) for old, hole in zip(own.holes, new.holes, strict=True)]
        drawings = (_plan(asked, own, new, ways),)
    record = (*rows, *_edge(asked, context))
    return Job(asked, "slot", drawings, _SEEN, record, steps, gap_lines(seen), _SLOT_RECORD, _limit(context))


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
                size = f"Ø {hole.diameter:.2f} mm" if hole.diameter is not None else "size not known: measure the hole"
                rows.append(
                    SizeRow(f"{pattern.name} hole {hole.number}", size, from_first(seen.second, hole, seen.ways))
                )
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
        (*gap_lines(seen), *wanting, "thickness, material, bolts, grip: whoever designs the plate states them"),
        _MADE,
        _limit(context),
    )


def _limit(context: SheetContext) -> tuple[str, ...]:
    return (rests_on(context.kit.limits["hole_edge_ratio"]),)


_SEEN = "Plan from above, the holes as they will be."
_SLOT_RECORD = ("tool number", "measured by", "looked at for cracks, by", "what locates it sideways")


def _own(seen: SeenPair, asked: Asked) -> tuple[SeenPattern, tuple[str, str]]:
    """The pattern that is worked on in its own coordinates, and which way these run."""
    if asked.work.part == seen.first.name:
        return seen.first_alone, seen.ways_alone
    return seen.second, seen.ways


def holes_after(own: SeenPattern, asked: Asked) -> SeenPattern:
    """A pattern in its own coordinates once its holes are opened or slotted."""
    if asked.work.operation == SLOT:
        return replace(own, holes=tuple(_stretched(hole, asked) for hole in own.holes))
    growth = asked.size("growth") or 0.0
    return replace(
        own,
        holes=tuple(
            hole if hole.diameter is None else replace(hole, diameter=hole.diameter + growth) for hole in own.holes
        ),
    )


def _stretched(hole: SeenHole, asked: Asked) -> SeenHole:
    """The hole as a slot from where it is to the end of its way."""
    forward, left = (asked.size(f"slot_{name}_{hole.number}") or 0.0 for name in ("forward", "left"))
    middle = (hole.at[0] + forward / 2, hole.at[1] + left / 2)
    return replace(hole, at=middle, half_slot=(forward / 2, left / 2))


#: the other way along each
_BACK = {"forward": "rearward", "left": "right", "up": "down", "x": "against x", "y": "against y"}
_BACK |= {back: way for way, back in _BACK.items()}


def _way(along: tuple[float, float], ways: tuple[str, str]) -> str:
    told = [
        f"{abs(size):.2f} mm {way if size > 0 else _BACK[way]}"
        for size, way in zip(along, ways, strict=True)
        if abs(size) >= 0.005
    ]
    return " and ".join(told)


def _hole_row(pattern: SeenPattern, hole: SeenHole, wanted: str, ways: tuple[str, str]) -> SizeRow:
    at = "" if hole is pattern.holes[0] else f": {from_first(pattern, hole, ways)} of hole 1"
    return SizeRow(f"hole {hole.number}{at}", f"Ø {mm(hole.diameter, 'it')}", wanted, "mm")


def _edge(asked: Asked, context: SheetContext) -> tuple[SizeRow, ...]:
    ratio = context.kit.limits["hole_edge_ratio"]
    asks = f"asked {ratio.value:g} hole diameters"
    return (SizeRow("hole's edge to the edge of the part", "", f"{mm(asked.work.remaining)} is left; {asks}", "mm"),)


def _scale_for(patterns: tuple[SeenPattern, ...]) -> Scale:
    points = [on_page(hole.at) for pattern in patterns for hole in pattern.holes]
    across = max(x for x, _ in points) - min(x for x, _ in points)
    up = max(y for _, y in points) - min(y for _, y in points)
    return largest_scale(across, up, (_ROOM[0] - 50.0, _ROOM[1] - 24.0)) or SCALES[-1]


def _plan(asked: Asked, old: SeenPattern, new: SeenPattern, ways: tuple[str, str]) -> ScaleDrawing:
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
        asked.stem, f"{old.name}, {asked.work.operation}", scale, (*shapes, *_front(shapes, scale, ways))
    )


def _front(shapes: list[Shape], scale: Scale, ways: tuple[str, str]) -> list[Shape]:
    low, high = ScaleDrawing("", "", scale, tuple(shapes)).extent
    return compass((high[0] + 6.0 / scale.factor, (low[1] + high[1]) / 2), scale.factor, ways)


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
    return ScaleDrawing(name, title, scale, (*shapes, *_front(shapes, scale, seen.ways)))
