"""A page for the yard as HTML: one file, nothing fetched, black on white, on A4 and on Letter."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from fitment.quantity.axes import OWN_AXES
from fitment.sheets.pages import rendered
from fitment.sheets.paper import CAUTIONS, Paper, PaperRow, has_points, is_vehicle

#: label and width of a box: "wide", or ""
Box = tuple[str, str]

SITTING_BOXES: list[Box] = [
    ("sitting", ""),
    ("who (initials)", ""),
    ("date (year-month-day)", ""),
    ("tool, if one for all", ""),
    ("source (own-measurement)", ""),
]
SURVEY_BOXES: list[Box] = [("datum: where x = y = z = 0", "wide"), (f"axes: {OWN_AXES}", ""), ("ride height", "")]


def paper_html(paper: Paper) -> str:
    """The page, a whole document."""
    title = f"{paper.title} ({len(paper.rows)} of {paper.of} rows)"
    return yard_html(
        title, paper.system, _boxes(paper), [("", paper.rows)], note=paper.kind.note, example=_example(paper)
    )


def yard_html(
    title: str,
    system: str,
    boxes: Iterable[Box],
    tables: Iterable[tuple[str, Sequence[PaperRow]]],
    note: str = "",
    example: Sequence[str] = (),
    closing: str = "",
) -> str:
    """A page with boxes for readings, with the standing cautions.

    Args:
        title: what it is.
        system: "mm" or "inch", of bare numbers.
        boxes: of the heading.
        tables: rows, each with a box, under the line that they are typed back after; "" for none.
        note: on the kind of part.
        example: lines to type back.
        closing: what is said at the end.
    """
    values = {
        "title": title,
        "paper": None,
        "top_left": "",
        "top_right": "",
        "stamp": f"fitment: {title}",
        "cautions": CAUTIONS,
        "system": system,
        "boxes": list(boxes),
        "tables": list(tables),
        "note": note,
        "example": example,
        "closing": closing,
    }
    return rendered("yard.html", values)


def _example(paper: Paper) -> tuple[str, ...]:
    first = "vehicle REF" if is_vehicle(paper) else f"part REF {paper.kind.kind} used"
    return first, "sitting NAME INITIALS DATE", f"units {paper.system}", f"{paper.rows[0].name} VALUE"


def _boxes(paper: Paper) -> list[Box]:
    boxes: list[Box]
    if is_vehicle(paper):
        boxes = [("vehicle", ""), ("maker, model, years", "wide")]
    else:
        boxes = [(f"part (or item ... of part ...), {paper.kind.kind}", "wide"), ("new, used or worn", "")]
        boxes += [("name", "wide"), ("fitted to", "")]
    boxes += SITTING_BOXES
    if has_points(paper):
        boxes += SURVEY_BOXES
    return [*boxes, ("note", "wide")]
