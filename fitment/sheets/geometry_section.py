"""What the car did and what it will do, side by side, as a section of a page: numbers, plots, what is not known."""

from __future__ import annotations

from fitment.kits.steering_results import result_rows
from fitment.sheets.blocks import Block, Bullets, Heading, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.showing import result_text, results
from fitment.sheets.steer_figures import figures
from fitment.sheets.steer_text import GROUPS, NOTES, SIGNS, missing_lines


def geometry(context: SheetContext) -> tuple[Block, ...]:
    """The section, with its heading."""
    before, after = results(context)
    blocks: list[Block] = [Heading("What the car will do, beside what it did")]
    for group, title in GROUPS.items():
        rows = [
            (
                row.title,
                *(result_text(context, row.name, told.get(row.name)) or "not known" for told in (before, after)),
            )
            for row in result_rows().values()
            if row.group == group and (row.name in before or row.name in after)
        ]
        if rows and group != "parts":
            blocks.append(Table(title, ("result", "original", "this kit"), tuple(rows), (0, 45, 45)))
    if len(blocks) == 1:
        blocks.append(Words("Nothing can be worked out: the points of the car or the place of the rack are not known."))
    else:
        blocks += [Words(SIGNS), Bullets(NOTES)]
    for one in context.comparison.steerings:
        lines = missing_lines(one) if one.asked is None else ()
        if lines:
            blocks += [Heading(f"Not known of {one.name}", 2), Bullets(tuple(lines))]
        taken = (*one.told.notes, *one.told.cautions)
        if taken and one.asked is None:
            blocks += [Heading(f"Taken for granted, and to mind, of {one.name}", 2), Bullets(taken)]
    return (*blocks, *figures(context))
