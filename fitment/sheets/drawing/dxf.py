"""A drawing as DXF: true size in mm, one layer for each kind of line, the same bytes for the same drawing."""

from __future__ import annotations

import io
import math
from typing import Any

from fitment.sheets.drawing.model import ScaleDrawing
from fitment.sheets.drawing.shapes import Arc, Circle, Filled, Path, Plain, Slot, Stroke, Text

#: release of the format that almost every program reads, and its code for millimetres
_RELEASE, _MILLIMETRES = "R2010", 4
_TEXT_LAYER = "TEXT"


def dxf(drawing: ScaleDrawing) -> bytes:
    """The drawing's bytes. Nothing is scaled: 1 unit is 1 mm of metal; text is as high as on the paper at its scale."""
    from ezdxf import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # neither the hour nor a chance number goes into the file
    try:
        return _written(drawing)
    finally:
        options.write_fixed_meta_data_for_testing = before


def _written(drawing: ScaleDrawing) -> bytes:
    from ezdxf import new

    document: Any = new(_RELEASE, units=_MILLIMETRES)
    for stroke in Stroke:
        _layer(document, stroke, drawing.scale.factor)
    document.layers.add(_TEXT_LAYER)
    space = document.modelspace()
    for shape in drawing.plain:
        _add(space, shape, drawing.scale.factor)
    out = io.StringIO()
    document.write(out)
    return out.getvalue().encode("utf-8")


def _layer(document: Any, stroke: Stroke, scale: float) -> None:
    kind = "CONTINUOUS"
    if stroke.dashes:
        kind = stroke.layer
        # on and off by sign, as long as on the paper at its scale
        lengths = [(-1.0 if place % 2 else 1.0) * dash / scale for place, dash in enumerate(stroke.dashes)]
        document.linetypes.add(kind, [sum(map(abs, lengths)), *lengths], description=stroke.layer.lower())
    layer = document.layers.add(stroke.layer, linetype=kind)
    layer.dxf.lineweight = round(stroke.width * 100)


def _add(space: Any, shape: Plain, scale: float) -> None:
    if isinstance(shape, Text):
        _text(space, shape, scale)
        return
    where = {"layer": shape.stroke.layer}
    if isinstance(shape, Circle):
        space.add_circle(shape.centre, shape.radius, dxfattribs=where)
    elif isinstance(shape, Arc):
        space.add_arc(shape.centre, shape.radius, shape.start, shape.end, dxfattribs=where)
    elif isinstance(shape, Slot):
        space.add_lwpolyline(_slot(shape), format="xyb", close=True, dxfattribs=where)
    elif isinstance(shape, Filled):
        a, b, c = shape.points
        space.add_solid((a, b, c, c), dxfattribs=where)
    elif isinstance(shape, Path) and len(shape.points) == 2 and not shape.closed:
        space.add_line(*shape.points, dxfattribs=where)
    else:
        space.add_lwpolyline(shape.points, close=shape.closed, dxfattribs=where)


def _slot(slot: Slot) -> list[tuple[float, float, float]]:
    """Corners of a slot anticlockwise with the bulge of what follows each: 1 for its half-round ends."""
    turn = math.atan2(slot.end[1] - slot.start[1], slot.end[0] - slot.start[0])
    x, y = -math.sin(turn) * slot.radius, math.cos(turn) * slot.radius
    start, end = slot.start, slot.end
    return [
        (start[0] - x, start[1] - y, 0.0),
        (end[0] - x, end[1] - y, 1.0),
        (end[0] + x, end[1] + y, 0.0),
        (start[0] + x, start[1] + y, 1.0),
    ]


def _text(space: Any, text: Text, scale: float) -> None:
    from ezdxf.enums import TextEntityAlignment

    align = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }[text.align]
    # control marks of DXF text begin with %% and ^: shown literally here
    words = text.words.replace("%%", "%%%%%%").replace("^", "^ ")
    entity = space.add_text(words, height=text.height / scale, rotation=text.turn, dxfattribs={"layer": _TEXT_LAYER})
    entity.set_placement(text.at, align=align)
