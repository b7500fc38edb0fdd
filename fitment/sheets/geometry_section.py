"""What the car did and what it will do, side by side, as a section of a page: numbers, plots, what is not known."""

from __future__ import annotations

from fitment.kits.steering_results import result_rows
from fitment.sheets.blocks import Block, Bullets, Heading, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.showing import result_text, results
from fitment.sheets.steer_text import NOTES, SIGNS, missing_lines

#: the groups of results that a page shows whole
_GROUPS = ("rack", "lock", "bump", "axis", "rods", "effort")


def geometry(context: SheetContext) -> tuple[Block, ...]:
    """The section, with its heading."""
    before, after = results(context)
    rows = [
        (
            row.title,
            result_text(context, row.name, before.get(row.name)),
            result_text(context, row.name, after.get(row.name)),
        )
        for row in result_rows().values()
        if row.group in _GROUPS and (row.name in before or row.name in after)
    ]
    blocks: list[Block] = [Heading("What the car will do, beside what it did")]
    if not rows:
        blocks.append(Words("Nothing can be worked out: the points of the car or the place of the rack are not known."))
    else:
        told = tuple((title, old or "not known", new or "not known") for title, old, new in rows)
        blocks.append(Table("Original and proposed steering", ("result", "original", "this kit"), told, (0, 45, 45)))
        blocks.append(Words(SIGNS))
        blocks.append(Bullets(NOTES))
    for one in context.comparison.steerings:
        lines = missing_lines(one) if one.asked is None else ()
        if lines:
            blocks += [Heading(f"Not known of {one.name}", 2), Bullets(tuple(lines))]
        taken = (*one.told.notes, *one.told.cautions)
        if taken and one.asked is None:
            blocks += [Heading(f"Taken for granted, and to mind, of {one.name}", 2), Bullets(taken)]
    return tuple(blocks)
