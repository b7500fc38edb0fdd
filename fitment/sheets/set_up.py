"""The set-up sheet: order of assembly, centring, rods, every fastener, shaft, boots, clearances, locks; to tick."""

from __future__ import annotations

from fitment.kits.roles import SIDES
from fitment.sheets.blocks import Blank, Block, Boxes, Bullets, Cell, Heading, Sheet, Table, Tick, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.fastening import fasteners
from fitment.sheets.showing import figure_cell, figure_of, findings_of, result_text, results, value_of
from fitment.sheets.task_lines import sections

_CLEARANCES = (
    *("rod and joint to rim, left lock", "rod and joint to rim, right lock", "tyre to body, left lock"),
    *("tyre to body, right lock", "rods to crossmember and sump, bump", "rods to crossmember and sump, droop"),
    *(
        "shaft to exhaust",
        "shaft to engine, engine at full roll",
        "boots to exhaust",
        "brake hoses, both locks, bump and droop",
    ),
)


def sheet(context: SheetContext) -> Sheet | None:
    """The document; None where the kit names no part."""
    if not context.report.parts:
        return None
    listed = sections(context, "set-up")
    blocks: list[Block] = [
        *_direction(context),
        *listed["Order of assembly"],
        *_centring(context),
        *_rods(context),
        *_fasteners(context),
        *_shaft(context),
        *_boots(context),
        *listed["On the ground"],
        *_clearances(context),
        *_play_and_lock(context),
    ]
    last = (
        Heading("Signed"),
        Boxes(
            (
                "put together by",
                "date",
                "torque wrench number and its calibration",
                "second person, direction of steering",
            )
        ),
    )
    lead = (
        "For whoever puts it together. Tick as you go. A torque stands here only with its source: an empty box is "
        "to be "
        "filled in from the manual or the maker that is named, never from another thread of that size."
    )
    return Sheet(tuple(blocks), lead=lead, cautions=context.report.cautions, last=last)


def _direction(context: SheetContext) -> tuple[Block, ...]:
    cautions = [caution for _, one in findings_of(context, "direction") for caution in one.cautions]
    told = (
        Bullets(tuple(dict.fromkeys(cautions)))
        if cautions
        else Words("Not known from the catalogue: find it out on the bench and write it down.")
    )
    return (
        Heading("Direction"),
        told,
        Boxes(("bench test: bar went to the car's", "on the car: wheel left, road wheels went", "seen by")),
    )


def _centring(context: SheetContext) -> tuple[Block, ...]:
    _, after = results(context)
    turns = after.get("turns")
    half: Cell = Blank("turns")
    if turns is not None:
        half = f"{turns.value / 2:.2f} turns back from either stop"
    rows: list[tuple[Cell, ...]] = [
        ("turns, stop to stop", result_text(context, "turns", turns) or Blank("turns"), Blank("turns")),
        ("half of them", half, Blank("turns")),
        ("turns from the centre to the left / to the right", "alike", Blank("turns")),
    ]
    for side in ("left", "right"):
        out = value_of(context, "rack", "body", f"out-{side}-centre")
        rows.append((f"bar out of the housing, {side}, centred", out or context.blank("mm"), context.blank("mm")))
    lines = [context.shown(one.because) for _, one in findings_of(context, "centring")]
    offset = context.kit.seat.bar_offset
    if offset:
        lines.append(
            f"The kit sets the bar {context.shown(f'{abs(offset):.2f} mm')} to the {'left' if offset > 0 else 'right'} "
            "of mid-travel with the wheels straight."
        )
    return (
        Heading("Centring the rack"),
        Table(
            "Centre by turns, then by the bar on both sides", ("what", "expected", "found"), tuple(rows), (0, 60, 35)
        ),
        *((Bullets(tuple(lines)),) if lines else ()),
        Boxes(
            (
                "marks on bar and housing made",
                "marks on wheel and column made",
                "wheel stands straight: spline used",
                "left over, deg",
            )
        ),
    )


def _rods(context: SheetContext) -> tuple[Block, ...]:
    wanted = [
        ("ball to ball", "needed_length"),
        ("full thread engaged", "set_engagement"),
        ("thread showing", "exposed_thread"),
        ("thread showing at the longest toe setting", "exposed_at_longest"),
        ("thread showing at the shortest toe setting", "exposed_at_shortest"),
        ("room to lengthen", "range_left_out"),
        ("room to shorten", "range_left_in"),
        ("length for one turn", "length_per_turn"),
    ]
    rows: list[tuple[Cell, ...]] = []
    through = "adapter_engagement"
    if any(figure_of(context, f"{side}.rod-length", through) for side in SIDES):
        wanted.insert(2, ("full thread engaged at the adapter's other end", through))
    for title, name in wanted:
        left, right = (figure_cell(context, f"{side}.rod-length", name, "mm") for side in ("left", "right"))
        rows.append((title, left, right, context.blank("mm"), context.blank("mm")))
    rows.append(("stud goes into the eye from", *(_stud(context, side) for side in SIDES), Blank(), Blank()))
    rows.append(("same turns onto the thread, left and right", Blank("turns"), Blank("turns"), Tick(), Tick()))
    note = (
        "Set by ball-to-ball length first, then by toe. An engagement below what the fit report asks is no setting: "
        "stop "
        "and ask. ± is two standard uncertainties."
    )
    headings = ("tie rod", "left, computed", "right, computed", "left, as set", "right, as set")
    return (
        Heading("Tie rods"),
        Table("Lengths and threads of the tie rods", headings, tuple(rows), (0, 32, 32, 25, 25)),
        Words(note),
    )


def _stud(context: SheetContext, side: str) -> Cell:
    return context.kit.facts.get(side, {}).get("stud_enters", "") or Blank()


def _fasteners(context: SheetContext) -> tuple[Block, ...]:
    rows: list[tuple[Cell, ...]] = []
    for one in fasteners(context):
        sized = f"{one.thread or 'thread: ____'}; class {one.strength or '____'}"
        lock = "; ".join(filter(None, (one.locking, f"new: {one.once}" if one.once else ""))) or "lock: ____"
        spanner, use = one.spanner or context.blank("mm"), Blank("N·m / lbf·ft")
        name = f"{one.title} ({one.part})"
        rows.append((name, sized, spanner, lock, one.lubrication, one.torque, use, Tick(), Tick()))
    if not rows:
        return ()
    headings = ("fastener", "thread, class", "spanner", "lock, new parts", "oiled or dry", "torque and its source")
    note = (
        "Spanners are those of new bolts and nuts by ISO 272, DIN 931/933/934, US inch sizes or Japanese practice of "
        "the period: try the one at hand. Nuts of tapers on to the next slot, never back. Jam nuts last, after the "
        "toe. The whole table once more after 50 to 100 km."
    )
    widths = (27, 18, 15, 25, 19, 0, 25, 11, 11)
    return (
        Heading("Fasteners, in the order of assembly"),
        Table("Every fastener", (*headings, "used, and from where", "tight", "paint"), tuple(rows), widths, small=True),
        Words(note),
        Boxes(("torque wrench used, number", "once more at (km), due", "done at (km), date, by")),
    )


def _shaft(context: SheetContext) -> tuple[Block, ...]:
    if not any(address.startswith("column.") for address in context.parts):
        return (
            Heading("Shaft and column"),
            Words("The kit names no column parts: nothing between rack and wheel was checked."),
        )
    rows: list[tuple[Cell, ...]] = []
    for joint, one in findings_of(context, "pinion-joint", "joint-shaft", "shaft-joint", "joint-column", "shaft-line"):
        if one.rule in ("spline-08", "spline-09", "shaft-05"):
            rows.append((joint.title, context.shown(one.because), context.blank("mm"), Tick()))
    phase = [
        context.shown(one.because) for _, one in findings_of(context, "shaft-line") if one.rule not in ("shaft-05",)
    ]
    blocks: list[Block] = [Heading("Shaft and column")]
    if rows:
        blocks.append(
            Table(
                "Insertion and pinch bolts", ("joint", "as checked", "as built", "seen"), tuple(rows), (38, 0, 22, 12)
            )
        )
    if phase:
        blocks += [Words("Angles, phase and slip as checked:"), Bullets(tuple(phase))]
    blocks.append(
        Boxes(
            (
                "angle at the upper joint, deg",
                "angle at the lower joint, deg",
                "forks set to phase, deg",
                "slip left in / out, mm",
                "support bearing free and in line",
                "each pinch bolt cannot be put in with the shaft out: tried",
            )
        )
    )
    return tuple(blocks)


def _boots(context: SheetContext) -> tuple[Block, ...]:
    rows: list[tuple[Cell, ...]] = []
    for side in ("left", "right"):
        for dimension, title in (
            ("clip-large", "clip at the housing"),
            ("clip-small", "clip at the rod"),
            ("breather", "breather"),
        ):
            said = value_of(context, f"{side}.boot", "body", dimension)
            rows.append((f"{side} boot, {title}", said or Blank(), Tick()))
        lengths = "; ".join(context.shown(one.because) for _, one in findings_of(context, f"{side}.boot-travel"))
        rows.append((f"{side} boot, length at both locks", lengths or context.blank("mm"), Tick()))
    return (
        Heading("Boots"),
        Table(
            "Boots: neither stretched nor solid at any lock", ("boot", "as recorded", "seen"), tuple(rows), (50, 0, 14)
        ),
    )


def _clearances(context: SheetContext) -> tuple[Block, ...]:
    known = [
        (
            f"{one.joint[0]}: {context.shown(one.because)}",
            "see the fit report",
            context.blank("mm"),
            context.blank("mm"),
        )
        for _, one in findings_of(context, "clearance")
        if one.margin
    ]
    rows: list[tuple[Cell, ...]] = [
        *known,
        *((name, "none recorded", context.blank("mm"), context.blank("mm")) for name in _CLEARANCES),
    ]
    note = (
        "No clearance, cold or hot, has a source that this tool could read: the limits are the certifier's and yours."
    )
    return (
        Heading("Clearances"),
        Table("Clearances, measured on this car", ("where", "before", "cold", "hot"), tuple(rows), (0, 30, 25, 25)),
        Words(note),
    )


def _play_and_lock(context: SheetContext) -> tuple[Block, ...]:
    _, after = results(context)
    rows: list[tuple[Cell, ...]] = []
    for name, title in (
        ("rim-play", "free play at the rim"),
        ("lock-left-inner", "left lock, left wheel"),
        ("lock-left-outer", "left lock, right wheel"),
        ("lock-right-inner", "right lock, right wheel"),
        ("lock-right-outer", "right lock, left wheel"),
    ):
        unit = "mm" if name == "rim-play" else "deg"
        rows.append((title, result_text(context, name, after.get(name)) or "not known", context.blank(unit)))
    for side in ("left", "right"):
        stops = "; ".join(context.shown(one.because) for _, one in findings_of(context, f"{side}.stroke"))
        rows.append((f"{side} lock: which stop acts first, what is left at the other", stops or "not known", Blank()))
    return (
        Heading("Free play and lock angles"),
        Table("Computed against measured", ("what", "computed", "measured"), tuple(rows), (60, 0, 30)),
    )
