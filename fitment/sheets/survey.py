"""The survey sheet of the car that the kit is for: what is on record, and a box beside it for what is read now."""

from __future__ import annotations

from pathlib import Path

from fitment.catalogue.dictionary import part_kinds
from fitment.quantity.axes import OWN_AXES
from fitment.sheets.blocks import Blank, Block, Boxes, Cell, Drawing, Heading, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.paper import PaperRow, paper_for
from fitment.sheets.showing import of_target


def sheet(context: SheetContext) -> Sheet | None:
    """The document."""
    paper = paper_for(part_kinds()["vehicle"], True, context.system)
    by_feature: dict[str, list[PaperRow]] = {}
    for row in paper.rows:
        by_feature.setdefault(row.name.rpartition(" ")[0] or "body", []).append(row)
    blocks: list[Block] = [
        Heading("This sitting"),
        Boxes(
            (
                *(
                    "sitting",
                    "who (initials)",
                    "date (year-month-day)",
                    "tool, if one for all",
                    "source (own-measurement)",
                ),
                *("datum: where x = y = z = 0", f"axes: {OWN_AXES}", "ride height, load, fuel", "photograph numbers"),
            )
        ),
        Words(
            f"Bare numbers are in {'inches' if context.system == 'inch' else 'millimetres'}; write the unit where "
            "it is "
            "another. Leave empty what is not known. Typed back one line each, as the name in the first column and the "
            "value, fitment reading add --from FILE takes them."
        ),
    ]
    for feature, rows in by_feature.items():
        blocks += [Heading(_title(feature)), _table(context, feature, rows)]
    blocks.insert(2, _sketch())
    lead = "For whoever measures the car. What is read twice, on another day or by another hand, is worth most."
    return Sheet(tuple(blocks), lead=lead)


def _sketch() -> Drawing:
    return Drawing(
        "Where the points of a corner lie: a sketch, to no scale",
        "Pivots on the axis of their bolt, in the middle of the bush; balls at the centre of the ball, not at the face "
        "of the eye. Dashed: upper arm, or strut. The right corner is its mirror image; measure it too.",
        (Path(__file__).parent / "templates" / "survey_sketch.svg").read_text(encoding="utf-8"),
    )


def _title(feature: str) -> str:
    return {"body": "The car", "corner.left": "Left front corner", "corner.right": "Right front corner"}.get(
        feature, feature
    )


def _table(context: SheetContext, feature: str, rows: list[PaperRow]) -> Table:
    made: list[tuple[Cell, ...]] = []
    for row in rows:
        dimension = row.name.rpartition(" ")[2]
        words = f" ({' / '.join(row.words)})" if row.words else ""
        what = f"{row.title}{words}; {row.tool}: {row.how}"
        made.append((row.name, what, of_target(context, feature, dimension) or "not recorded", Blank(row.unit)))
    headings = ("type as", "what; tool: how", "on record", "now")
    return Table(f"{_title(feature)}: what to read", headings, tuple(made), (34, 0, 34, 42))
