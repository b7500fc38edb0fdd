"""Layout drawing: the steering in plan and from the front to scale, and the mounting patterns laid over each other."""

from __future__ import annotations

from fitment.joints.pattern_view import SeenPair
from fitment.kits.laid_out import LaidOut, Point, laid_out
from fitment.sheets.blocks import Block, Bullets, Drawing, Heading, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.drawing.dxf import dxf
from fitment.sheets.drawing.model import ScaleDrawing
from fitment.sheets.drawing.svg import svg
from fitment.sheets.layout_views import layout_drawing, overlay_drawing
from fitment.sheets.machine.patterns import seen_of

#: what stands beside a drawing on its page: caption, description, bar and words, mm
_BESIDE = 42.0

_LEAD = (
    "Where everything lies at ride height with the wheels straight, as the survey and the kit have it; for card "
    "templates and for comparing with the car."
)
_SEEN = (
    "Third-angle: plan above, view from the front below; the car's left is on the right. Wide: bar, tie rods, steering "
    "arms. Narrow: steering axes, suspension arms, column line, crossmember's holes. Rods are as set, ball to ball in "
    "space; how much lower or higher a ball is counts from the inner one; angles are those that the joints work at."
)


def sheet(context: SheetContext) -> Sheet | None:
    """The drawing of a kit's car; None where neither kit nor survey says where anything lies."""
    found = laid_out(context.kit, context.assembly, context.car)
    if found is None:
        return None
    if not isinstance(found, LaidOut):
        lacks = tuple(f"{gap.feature} {gap.dimension}: {gap.why}" for gap in found)
        return Sheet((Heading("No drawing: these points are missing"), Bullets(lacks, ticks=True)), lead=_LEAD)
    body = context.assembly.target.features["body"]
    use = body.get("rolling-radius")
    blocks: list[Block] = []
    files: dict[str, bytes] = {}
    made = _views(found, None if use is None else use.number, context)
    if made is not None:
        _put(made[0], _SEEN, made[1], context, blocks, files)
    else:
        blocks.append(Words("No scale of drawings goes on this paper."))
    overlay = _overlay(context)
    if overlay is not None:
        told = "Wide: holes of the crossmember. Dashed: those of the rack, as registered. An arrow tells what is up."
        _put(overlay, told, False, context, blocks, files)
    return Sheet((*_tables(found), *blocks, *_taken(found)), files, _LEAD)


def _views(found: LaidOut, radius: float | None, context: SheetContext) -> tuple[ScaleDrawing, bool] | None:
    """The views at the larger scale of the paper upright and on its side; whether it lies on its side."""
    made = [
        (drawing, landscape)
        for landscape, (wide, high) in enumerate((context.paper.room, context.paper.room_landscape))
        if (drawing := layout_drawing(found, radius, (wide, high - _BESIDE))) is not None
    ]
    if not made:
        return None
    drawing, landscape = max(made, key=lambda one: (one[0].scale.factor, -one[1]))
    return drawing, bool(landscape)


def _overlay(context: SheetContext) -> ScaleDrawing | None:
    for joint in context.assembly.joints:
        if joint.kind is not None and joint.kind.name == "pattern" and joint.ends is not None:
            seen = seen_of(context, joint.id)
            made = overlay_drawing(seen, (context.paper.room[0], 110.0)) if isinstance(seen, SeenPair) else None
            if made is not None:
                return made
    return None


def _put(
    drawing: ScaleDrawing,
    told: str,
    landscape: bool,
    context: SheetContext,
    blocks: list[Block],
    files: dict[str, bytes],
) -> None:
    """A drawing as a page's block and as files."""
    title = f"{drawing.title}: scale {drawing.scale}"
    alone = drawing.name == "layout"
    blocks.append(Drawing(title, told, svg(drawing), alone=alone, landscape=landscape))
    files[f"{drawing.name}.svg"] = svg(drawing, told, context.stamp).encode()
    files[f"{drawing.name}.dxf"] = dxf(drawing)


def _tables(found: LaidOut) -> tuple[Block, ...]:
    left, right = (found.sides[name] for name in ("left", "right"))
    rows = [
        ("inner ball", left.inner, right.inner),
        ("outer ball, in the arm's eye", left.eye, right.eye),
        ("steering axis, lower point", left.lower, right.lower),
        ("steering axis, upper point", left.upper, right.upper),
        ("wheel centre", left.centre, right.centre),
    ]
    cells = tuple((what, *_three(one), *_three(other)) for what, one, other in rows)
    heads = ("point", *(f"{side} {axis}" for side in ("left", "right") for axis in "xyz"))
    off = found.rack[1] - found.middle
    sizes = [
        ("left tie rod, ball to ball as set", f"{left.rod:.2f} mm"),
        ("right tie rod, ball to ball as set", f"{right.rod:.2f} mm"),
        ("rack from the middle between the outer balls", f"{abs(off):.2f} mm{_to(off)}"),
    ]
    if found.column is not None:
        sizes += [(f"joint {n} works at", f"{angle:.1f} deg") for n, angle in enumerate(found.column.angles, 1)]
        sizes += [
            (f"joint {n} to joint {n + 1}, centre to centre", f"{length:.1f} mm")
            for n, length in enumerate(found.column.lengths, 1)
        ]
    return (
        Table("Lengths and angles", ("what", "size"), tuple(sizes)),
        Table("Points in the car's axes, mm: x forward, y to the left, z up", heads, cells, (46.0,)),
    )


def _taken(found: LaidOut) -> tuple[Block, ...]:
    if not (found.told or found.notes):
        return ()
    return (Heading("Not drawn, or taken for granted"), Bullets((*found.told, *found.notes)))


def _to(off: float) -> str:
    return "" if abs(off) < 0.005 else " to the left" if off > 0 else " to the right"


def _three(point: Point | None) -> tuple[str, str, str]:
    if point is None:
        return "", "", ""
    x, y, z = point
    return f"{x:.1f}", f"{y:.1f}", f"{z:.1f}"
