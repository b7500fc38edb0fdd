"""The measurement request: the readings that would settle the verdict, in order of worth, and what each decides."""

from __future__ import annotations

from fitment.catalogue.dictionary.lines import line_name
from fitment.kits.measure_next import Ranked, decides
from fitment.quantity.tools import tool_title
from fitment.sheets.blocks import Blank, Block, Boxes, Bullets, Cell, Heading, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.paper import unit_of

_PLACES = {"yard": "in the yard", "bench": "on the bench", "car": "on the car"}
_TIMES = "three readings each, taken anew"


def sheet(context: SheetContext) -> Sheet | None:
    """The document; None where nothing is left to measure."""
    asked = context.asked
    if asked is None or not asked.readings:
        return None
    minutes = sum(one.task.minutes for one in asked.readings)
    blocks: list[Block] = [
        Heading("This sitting"),
        Boxes(
            (
                "who (initials)",
                "date (year-month-day)",
                "place: yard, shop",
                "part reference or number, and which piece",
                "condition: new, used, worn",
                "photograph numbers",
            )
        ),
        Words(
            f"{len(asked.readings)} readings, about {minutes:g} minutes in all; minutes are our own choice. "
            f"{_TIMES.capitalize()}: cold, clean, on bare metal."
        ),
    ]
    for place, title in _PLACES.items():
        members = [(n, one) for n, one in enumerate(asked.readings, 1) if one.task.place == place]
        if members:
            rows = tuple(_row(context, n, one) for n, one in members)
            headings = ("worth", "of what", "what; tool: how", "why it is asked", "1st", "2nd", "3rd")
            blocks += [
                Heading(f"To be read {title}"),
                Table(f"Readings {title}, the most worth first by number", headings, rows, (13, 28, 0, 34, 18, 18, 18)),
            ]
    blocks += [Heading("Sketch"), Boxes(("sketch of the part, with the names of what was read",), tall=True)]
    if asked.left_out:
        lines = tuple(f"{gap.feature} {gap.dimension}: {gap.why}" for gap in asked.left_out)
        blocks += [Heading("Missing too, and not weighed"), Bullets(lines)]
    lead = "For the yard or another shop. The numbers are the order of worth: begin at 1, stop when time is up."
    return Sheet(tuple(blocks), lead=lead)


def _row(context: SheetContext, number: int, one: Ranked) -> tuple[Cell, ...]:
    task = one.task
    words = f" ({' / '.join(task.dimension.words)})" if task.dimension.words else ""
    what = f"{task.dimension.title}{words}; {tool_title(task.tool)}: {task.dimension.how}; {task.minutes:g} min"
    of = f"{task.thing.reference}: {line_name(task.thing.feature_name, task.dimension.dimension)}"
    unit = unit_of(task.dimension, context.system)
    return (str(number), of, what, decides(one), Blank(unit), Blank(unit), Blank(unit))
