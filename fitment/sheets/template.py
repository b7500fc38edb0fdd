"""A template of the mounting patterns at full size, over as many sheets of paper as it takes, never shrunk."""

from __future__ import annotations

from collections.abc import Sequence

from fitment.joints.pattern_view import SeenHole, SeenPair
from fitment.sheets.blocks import Block, Boxes, Bullets, Drawing, Heading, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.drawing.dxf import dxf
from fitment.sheets.drawing.model import FULL, ScaleDrawing, Shape
from fitment.sheets.drawing.shapes import Stroke
from fitment.sheets.drawing.tiles import OVERLAP, Tile, tile_svg, tiles
from fitment.sheets.machine.patterns import gap_lines, seen_of, worked_holes
from fitment.sheets.machining import works
from fitment.sheets.pattern_plan import compass, every_hole, from_first, hole_shapes, middle_of, numbered, spans

_LEAD = "At full size, for marking out and for laying on the part before it is bought or drilled."
_STEPS = (
    "Print at 100 % on the paper named here, neither fitted to the page nor shrunk.",
    "On every sheet measure the 100 mm bar and 100 mm up the page, and write both in the boxes. Where they are not "
    "100.0 mm, do not use the sheet: print it again, or have the holes marked from the table.",
    f"Each sheet shows {OVERLAP:g} mm of the next. Cut a sheet at its left and upper edge where another joins it, lay "
    "that edge on the dashed line of the sheet before, line on line, and tape.",
    "Wide lines: holes of the crossmember; dashed: those of the rack; narrow round them: as work would leave them.",
    "Before anything is drilled, measure between the farthest holes and compare with the dimension printed there.",
)


def sheet(context: SheetContext) -> Sheet | None:
    """The template of each pair of patterns that the kit brings together; None where it has none."""
    found = [
        (joint.id, joint.title, seen_of(context, joint.id))
        for joint in context.assembly.joints
        if joint.kind is not None and joint.kind.name == "pattern" and joint.ends is not None
    ]
    pairs = [(joint_id, title, seen) for joint_id, title, seen in found if isinstance(seen, SeenPair)]
    lacks = tuple(
        dict.fromkeys(told for _, _, seen in found if not isinstance(seen, SeenPair) for told in gap_lines(seen))
    )
    if not found:
        return None
    if not pairs:
        return Sheet((Heading("No template: this is missing"), Bullets(lacks, ticks=True)), lead=_LEAD)
    blocks: list[Block] = [Bullets(_STEPS, ordered=True)]
    files: dict[str, bytes] = {}
    for joint_id, title, seen in pairs:
        after = [hole for asked in works(context) if asked.joint.id == joint_id for hole in worked_holes(seen, asked)]
        drawing = template(f"template-{joint_id}".replace(".", "-"), seen, after)
        files[f"{drawing.name}.dxf"] = dxf(drawing)
        blocks += [Heading(title), *_printed(drawing, context), *_holes(seen)]
        for tile in _sheets(drawing, context)[0]:
            files[f"{drawing.name}-{tile.name}.svg"] = tile_svg(drawing, tile, context.stamp).encode()
    return Sheet(tuple(blocks), files, _LEAD)


def template(name: str, seen: SeenPair, after: Sequence[SeenHole] = ()) -> ScaleDrawing:
    """Both patterns as registered at full size: the second's holes in wide lines, the first's dashed.

    Args:
        name: for its files.
        seen: the patterns.
        after: holes as work will make them, on the layer for cutting.
    """
    shapes: list[Shape] = []
    middle = middle_of(every_hole(seen))
    for pattern, stroke, letter in ((seen.second, Stroke.OUTLINE, ""), (seen.first, Stroke.HIDDEN, "rack ")):
        for hole in pattern.holes:
            shapes += hole_shapes(hole, stroke, 1.0)
            shapes.append(numbered(hole, f"{letter}{hole.number}{_across(hole)}", 1.0, bool(letter), middle))
    for hole in after:
        shapes += hole_shapes(hole, Stroke.CUT, 1.0)[2:]  # its centre lines stand there already
    shapes += spans(seen.second.holes, 1.0)
    low, high = ScaleDrawing("", "", FULL, tuple(shapes)).extent
    shapes += compass((low[0] + 40.0, (low[1] + high[1]) / 2), 1.0, seen.ways)
    return ScaleDrawing(name, f"{seen.second.name} and {seen.first.name} as registered", FULL, tuple(shapes))


def _across(hole: SeenHole) -> str:
    return "" if hole.diameter is None else f" Ø{hole.diameter:.2f}"


def _sheets(drawing: ScaleDrawing, context: SheetContext) -> tuple[tuple[Tile, ...], bool]:
    """The fewest sheets of the paper, and whether it lies on its side for that; room for the caption is left."""
    upright, lying = (
        tiles(drawing, (wide, high - 20.0)) for wide, high in (context.paper.room, context.paper.room_landscape)
    )
    return (lying, True) if len(lying) < len(upright) else (upright, False)


def _printed(drawing: ScaleDrawing, context: SheetContext) -> list[Block]:
    sheets, landscape = _sheets(drawing, context)
    blocks: list[Block] = [
        Words(f"{len(sheets)} sheets of {context.paper.name}, {'on its side' if landscape else 'upright'}.")
    ]
    names = ", ".join(tile.name for tile in sheets)
    for tile in sheets:
        told = f"Part of the template; the sheets are {names}, rows by letter and columns by number."
        svg = tile_svg(drawing, tile, context.stamp)
        blocks.append(Drawing(f"Template, sheet {tile.name}", told, svg, alone=True, landscape=landscape))
    return blocks


def _holes(seen: SeenPair) -> list[Block]:
    """Each hole's place from the second's first hole, and how far the bolt lies off."""
    rows = []
    for pattern in (seen.second, seen.first):
        for hole in pattern.holes:
            size = "not known" if hole.diameter is None else f"{hole.diameter:.2f}"
            rows.append((f"{pattern.name} {hole.number}", from_first(seen.second, hole, seen.ways), size))
    caption = "Holes as registered, mm from the first one listed"
    table = Table(caption, ("hole", "place", "diameter"), tuple(rows))
    apart = Table(
        f"Holes of the same number; the bolt is {seen.bolt[0]}",
        ("hole", "axes apart, mm", "room for the bolt, mm"),
        tuple(
            (str(hole.number), f"{apart:.2f}", f"{-misfit:.2f}" if misfit <= 0 else f"none, {misfit:.2f} wanting")
            for hole, apart, misfit in zip(seen.first.holes, seen.apart, seen.misfit, strict=True)
        ),
    )
    return [table, apart, Boxes(("measured between the farthest holes, mm", "by, date"))]
