"""The curves of a comparison as drawings of a page."""

from __future__ import annotations

import re

from fitment.sheets.blocks import Drawing
from fitment.sheets.context import SheetContext


def figures(context: SheetContext) -> tuple[Drawing, ...]:
    """The plots, on a page of their own; none where no curve can be worked out."""
    from fitment.sheets.steer_plots import plotted, steer_plots

    if not plotted(context.comparison):
        return ()
    wide, high = context.paper.room_landscape
    # a little larger than the room, so that there is more of the curves and less of the letters
    size = (wide / _LETTERS, (high - _ABOVE) / _LETTERS)
    text = steer_plots(context.comparison, "svg", context.system, size).decode()
    svg = _fitted(text[text.index("<svg") :], wide, high)
    # what says who made it and when is no picture
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, count=1, flags=re.DOTALL)
    return (
        Drawing(
            "Curves of the original steering and of this kit, with their bands",
            "The figures stand in the tables above; the toe and Ackermann curves in the alignment sheet's tables too.",
            svg,
            alone=True,
            landscape=True,
        ),
    )


#: height that title and description take, mm, and how large the letters of the curves are printed
_ABOVE, _LETTERS = 22.0, 0.85


def _fitted(svg: str, width: float, height: float) -> str:
    """The picture made as large as a page has room for; curves have no scale that this could falsify."""
    head = re.match(r"<svg[^>]*>", svg)
    box = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', head[0]) if head else None
    if head is None or box is None:
        return svg
    across, down = float(box[1]), float(box[2])
    scale = min(width / across, (height - _ABOVE) / down)
    sized = re.sub(
        r'width="[^"]*" height="[^"]*"', f'width="{across * scale:.2f}mm" height="{down * scale:.2f}mm"', head[0]
    )
    return sized + svg[head.end() :]
