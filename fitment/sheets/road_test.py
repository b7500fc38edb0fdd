"""The road-test sheet: what to try, in which order, and what to stop for."""

from __future__ import annotations

from fitment.sheets.blocks import Block, Boxes, Heading, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.showing import result_text, results
from fitment.sheets.task_lines import sections

_STOP = "Stop at once and tow it home"


def sheet(context: SheetContext) -> Sheet | None:
    """The document; None where the kit names no part."""
    if not context.report.parts:
        return None
    listed = sections(context, "road-test")
    stop = listed.pop(_STOP)
    _, after = results(context)
    measured = tuple(
        (title, result_text(context, name, after.get(name)) or "not known", context.blank(unit))
        for name, title, unit in (
            ("turns", "turns, lock to lock", "turns"),
            ("rim-play", "free play at the rim", "mm"),
            ("kerb-left", "circle kerb to kerb, left", "m"),
            ("kerb-right", "circle kerb to kerb, right", "m"),
            ("rim-most-centre", "force at the rim, standing, at most", "N"),
        )
    )
    clear = tuple(
        (place, context.blank("mm"), context.blank("mm"))
        for place in (
            "tyre and rim to rod and joint",
            "tyre to body and arms",
            "rods to crossmember and sump",
            "shaft to exhaust and engine",
        )
    )
    blocks: list[Block] = [
        Words(
            "Do not drive before every box of the first section is ticked. One person drives, one watches.", strong=True
        ),
        *listed.pop("Before the car moves"),
        *stop,
    ]
    for section in listed.values():
        blocks += section
    blocks += [
        Heading("Measured"),
        Table("Computed against the car", ("what", "computed", "measured"), measured, (60, 0, 35)),
        Table("Least clearance at full lock, rolling", ("where", "left lock", "right lock"), clear, (0, 35, 35)),
        Boxes(
            (
                "pull: which way, how much",
                "wheel angle when straight, deg",
                "returns from a quarter turn to, left / right",
                "km at the start",
                "km at the re-torque, date",
                "weather, road",
            )
        ),
    ]
    last = (
        Heading("Signed"),
        Boxes(("driven by", "watched by", "date")),
    )
    lead = "For whoever drives it first. The steps are in their order; each ends with a stop and a look underneath."
    return Sheet(tuple(blocks), lead=lead, last=last)
