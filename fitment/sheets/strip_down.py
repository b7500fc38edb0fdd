"""The strip-down list: what comes off, in what order, what is measured and marked before, what is kept."""

from __future__ import annotations

from fitment.sheets.blocks import Blank, Block, Boxes, Cell, Heading, Sheet, Table, Tick, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.fastening import fasteners
from fitment.sheets.showing import of_target
from fitment.sheets.task_lines import sections

#: what is gone once the old steering is out: feature, dimension, title, unit
_BEFORE = (
    ("corner.{side}", "ride-ground", "fixed point to the ground, {side}", "mm"),
    ("corner.{side}", "arm-eye", "outer ball centre x, y, z, {side}", "mm"),
    ("corner.{side}", "inner-ball", "inner ball centre x, y, z, {side}", "mm"),
    ("corner.{side}", "toe", "toe, {side}", "deg"),
    ("corner.{side}", "lock-inner", "lock, {side} wheel inside the turn", "deg"),
    ("corner.{side}", "lock-outer", "lock, {side} wheel outside the turn", "deg"),
    ("body", "turns", "turns lock to lock", "turns"),
    ("body", "turning-circle", "turning circle", "m"),
    ("body", "rim-force", "force at the rim, standing", "N"),
    ("body", "rim-play", "play at the rim", "mm"),
)
_PULLERS = (
    ("ball stud from its eye", "screw puller that takes the arm's boss and the stud; boss width", "mm"),
    ("steering wheel from the column", "puller with the hub's threads", ""),
    ("universal joint from a spline", "spreader wedge, or puller behind the yoke", ""),
    ("inner joint from the bar", "crow's-foot or tube spanner over the joint's flats", "mm"),
)


def sheet(context: SheetContext) -> Sheet | None:
    """The document."""
    listed = sections(context, "strip-down")
    blocks: list[Block] = [
        *listed["Before anything moves"],
        _measured(context),
        Boxes(
            (
                "threads showing, left rod",
                "threads showing, right rod",
                "turns off, left rod end",
                "turns off, right rod end",
                "shims and packing: where, thickness",
                "photographs, numbers",
            )
        ),
        *listed["Fluids and lines"],
        Table(
            "Drained and capped",
            ("line", "fluid and amount", "capped", "to be bled"),
            tuple((f"line {n}", Blank(), Tick(), Tick()) for n in range(1, 5)),
            (30, 0, 20, 20),
        ),
        *listed["What comes off"],
        *_off(context),
        Table(
            "Pullers and other tools",
            ("for", "tool", "size at hand"),
            tuple((a, b, context.blank(c)) for a, b, c in _PULLERS),
            (50, 0, 40),
        ),
        *listed["Kept parts"],
        *_kept(context),
    ]
    lead = "For whoever takes the old steering out. Read it whole before the first nut is turned."
    return Sheet(tuple(blocks), lead=lead)


def _measured(context: SheetContext) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for feature, dimension, title, unit in _BEFORE:
        for side in ("left", "right") if "{side}" in title else ("",):
            known = of_target(context, feature.format(side=side), dimension)
            rows.append((title.format(side=side), known or "not recorded", context.blank(unit)))
    return Table(
        f"Measured on {context.report.target.name} before it is taken apart",
        ("what", "on record", "now"),
        tuple(rows),
        (0, 62, 45),
    )


def _off(context: SheetContext) -> tuple[Block, ...]:
    came = sorted(context.assembly.target.own or ())
    rows: list[tuple[Cell, ...]] = [
        (str(n), what, Blank(), Blank(), Blank(), Tick())
        for n, what in enumerate(
            (
                "jam nuts",
                "ball stud nuts",
                "pinch bolts of the shaft",
                "rack or box mountings",
                "brackets and shields",
                "column mountings",
            ),
            1,
        )
    ]
    told = (
        f"On record as having come with this car: {', '.join(came)}."
        if came
        else "The catalogue does not record the parts that the car came with."
    )
    return (
        Words(told),
        Table(
            "Fasteners of the old steering, as found",
            ("order", "what", "thread", "spanner", "how many, length", "off"),
            tuple(rows),
            (14, 0, 30, 26, 34, 10),
        ),
        *_of_donors(context),
    )


def _of_donors(context: SheetContext) -> tuple[Block, ...]:
    rows = tuple(
        (one.title, one.part, one.thread or "not recorded", one.spanner or "not recorded") for one in fasteners(context)
    )
    if not rows:
        return ()
    return (
        Table(
            "Fasteners of the parts that go in, for taking them off their donors",
            ("what", "part", "thread", "spanner"),
            rows,
            (60, 32, 30, 0),
        ),
    )


def _kept(context: SheetContext) -> tuple[Block, ...]:
    own = context.assembly.target.own or frozenset()
    kept = [part for part in context.report.parts if part.name in own]
    rows = tuple((part.role, part.name, Blank(), Tick()) for part in kept)
    table = (
        (
            Table(
                "Parts of the car that stay in use",
                ("what", "part", "state as found", "bagged, labelled"),
                rows,
                (50, 40, 0, 30),
            ),
        )
        if rows
        else (Words("The kit names no part that came with this car, by the catalogue."),)
    )
    return (
        Heading("Parts of the car that stay"),
        *table,
        Boxes(("threads in aluminium chased: which", "damaged: which", "taken apart by", "date")),
    )
