"""A pattern of holes as a picture to scale (SVG, sizes in mm of paper)."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from fitment.identify.holes import HolePosition

#: paper that the picture has to go on: A4 upright less a margin, mm
_PAPER = (180.0, 250.0)
_MARGIN = 14.0
_FOOT = 16.0
_TEXT = 4.0

#: scales of drawings (ISO 5455, from memory): paper to part
_SCALES = (1.0, 1 / 2, 1 / 5, 1 / 10, 1 / 20, 1 / 50, 1 / 100)


def holes_svg(positions: Sequence[HolePosition], diameters: Mapping[int, float], system: str = "mm") -> str:
    """The holes as circles with their numbers, and a scale bar; x to the right and y up, as one looks at the face.

    Args:
        positions: the holes; mm.
        diameters: of the holes where known, mm; a hole of unknown diameter is a cross.
        system: "mm" or "inch", of the scale bar.
    """
    radii = {p.hole: diameters.get(p.hole, 0.0) / 2 for p in positions}
    left, right = min(p.x - radii[p.hole] for p in positions), max(p.x + radii[p.hole] for p in positions)
    low, high = min(p.y - radii[p.hole] for p in positions), max(p.y + radii[p.hole] for p in positions)
    room = (_PAPER[0] - 2 * _MARGIN, _PAPER[1] - 2 * _MARGIN - _FOOT)
    fits = [scale for scale in _SCALES if (right - left) * scale <= room[0] and (high - low) * scale <= room[1]]
    scale = fits[0] if fits else min(room[0] / (right - left), room[1] / (high - low))
    bar, bar_words = _bar(room[0] / scale, system)
    wide = max((right - left) * scale, bar * scale, 60.0) + 2 * _MARGIN
    tall = (high - low) * scale + 2 * _MARGIN + _FOOT
    shapes = [
        _hole(p.hole, _MARGIN + (p.x - left) * scale, _MARGIN + (high - p.y) * scale, radii[p.hole] * scale)
        for p in positions
    ]
    ratio = f"1:{1 / scale:.3g}"
    foot = tall - _MARGIN
    end = _MARGIN + bar * scale
    described = "; ".join(f"hole {p.hole} at x {p.x:.2f}, y {p.y:.2f} mm" for p in positions)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}mm" height="{tall:.2f}mm" '
            f'viewBox="0 0 {wide:.2f} {tall:.2f}" role="img">',
            f"<title>Hole pattern, {len(positions)} holes, scale {ratio}</title>",
            f"<desc>{described}</desc>",
            f'<rect width="{wide:.2f}" height="{tall:.2f}" fill="white"/>',
            '<g fill="none" stroke="black" stroke-width="0.35">',
            *(shape for shape, _ in shapes),
            f'<path d="M{_MARGIN:.2f} {foot - 1.5:.2f}v3m0 -1.5H{end:.2f}m0 -1.5v3"/>',
            "</g>",
            f'<g font-family="sans-serif" font-size="{_TEXT:g}" fill="black">',
            *(number for _, number in shapes),
            f'<text x="{_MARGIN:.2f}" y="{foot - 3:.2f}">{bar_words}; scale {ratio}</text>',
            "</g>",
            "</svg>",
            "",
        ]
    )


def _hole(number: int, x: float, y: float, radius: float) -> tuple[str, str]:
    """Circle with its centre lines, and the number beside it."""
    reach = radius + 1.5
    lines = f"M{x - reach:.2f} {y:.2f}h{2 * reach:.2f}M{x:.2f} {y - reach:.2f}v{2 * reach:.2f}"
    cross = f'<path stroke-width="0.18" d="{lines}"/>'
    circle = f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:.2f}"/>' if radius else ""
    aside = radius * math.sqrt(0.5) + 1.0
    return circle + cross, f'<text x="{x + aside:.2f}" y="{y - aside:.2f}">{number}</text>'


def _bar(longest: float, system: str) -> tuple[float, str]:
    """Length of the scale bar in mm, a round figure of at most a third of what there is, and its words."""
    unit, symbol = (25.4, "in") if system == "inch" else (1.0, "mm")
    room = longest / 3 / unit
    decade = 10.0 ** math.floor(math.log10(room))
    length = max(step * decade for step in (1, 2, 5) if step * decade <= room)
    return length * unit, f"{length:g} {symbol}"
