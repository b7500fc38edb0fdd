"""A pattern of holes as a picture to scale (SVG, sizes in mm of paper)."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from fitment.identify.holes import HolePosition
from fitment.sheets.drawing.model import FULL, SCALES, ScaleDrawing, Shape, largest_scale
from fitment.sheets.drawing.shapes import Circle, Text, cross
from fitment.sheets.drawing.svg import BAR_INCH, BAR_MM, svg

#: paper that the picture has to go on: A4 upright less its margins and what stands at the foot, mm
_ROOM = (152.0, 206.0)


def holes_svg(positions: Sequence[HolePosition], diameters: Mapping[int, float], system: str = "mm") -> str:
    """The holes as circles with their numbers, and a bar to check a print by; x to the right and y up, as one looks.

    Args:
        positions: the holes; mm.
        diameters: of the holes where known, mm; a hole of unknown diameter is a cross.
        system: "mm" or "inch", of the bar.
    """
    radii = {p.hole: diameters.get(p.hole, 0.0) / 2 for p in positions}
    across = max(p.x + radii[p.hole] for p in positions) - min(p.x - radii[p.hole] for p in positions)
    up = max(p.y + radii[p.hole] for p in positions) - min(p.y - radii[p.hole] for p in positions)
    scale = largest_scale(across, up, _ROOM, most=FULL) or SCALES[-1]
    shapes: list[Shape] = []
    for p in positions:
        radius, aside = radii[p.hole], radii[p.hole] * math.sqrt(0.5) + 1.0 / scale.factor
        shapes += cross((p.x, p.y), radius + 1.5 / scale.factor)
        shapes += [Circle((p.x, p.y), radius)] if radius else []
        shapes.append(Text((p.x + aside, p.y + aside), str(p.hole)))
    title = f"Hole pattern, {len(positions)} holes, scale {scale}"
    described = "; ".join(f"hole {p.hole} at x {p.x:.2f}, y {p.y:.2f} mm" for p in positions)
    drawing = ScaleDrawing("holes", title, scale, tuple(shapes))
    return svg(drawing, described, bar=BAR_INCH if system == "inch" else BAR_MM) + "\n"
