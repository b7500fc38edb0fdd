"""The alignment sheet: what to set, by how many turns, how to put up the strings, and computed against measured."""

from __future__ import annotations

from collections.abc import Iterable

from fitment.geometry import alignment
from fitment.kits.roles import SIDES
from fitment.kits.steering_results import Curve
from fitment.quantity.parse import parse_quantity
from fitment.quantity.show import show_quantity
from fitment.sheets.blocks import Blank, Block, Boxes, Bullets, Cell, Heading, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.curve_rows import ackermann_rows, toe_rows
from fitment.sheets.showing import of_target, result_text, results, value_of

#: distances over which a rim is read, mm: 13 in nominal, its flange edge, 15 in nominal
_BASES = (330.2, 364.0, 381.0)
#: changes of toe for the table of turns, deg
_CHANGES = (0.05, 0.1, 0.25, 0.5)
_MM = 25.4


def sheet(context: SheetContext) -> Sheet | None:
    """The document."""
    blocks = (
        *_before(context),
        *_angles(context),
        *_toe(context),
        *_strings(context),
        *_turns(context),
        *_thrust(context),
        *_wheel(context),
        *_curves(context),
        Heading("Signed"),
        Words("Jam nuts tightened last, rods not twisted, boots not twisted: seen.", strong=True),
        Boxes(
            (
                "alignment bay",
                "name",
                "date",
                "jam nuts tight and marked: left",
                "jam nuts tight and marked: right",
                "before and after print attached",
            )
        ),
    )
    lead = (
        "For the alignment bay. Rack centred and steering wheel straight before anything is read. Toe is + where toed "
        "in."
    )
    return Sheet(blocks, lead=lead)


def _before(context: SheetContext) -> tuple[Block, ...]:
    wheels = ("left front", "right front", "left rear", "right rear")
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (name, *(context.blank(unit) for _ in wheels))
        for name, unit in (
            ("ride height", "mm"),
            ("tyre pressure", "bar"),
            ("run-out of the rim", "mm"),
            ("wheel bearing play", ""),
        )
    )
    return (
        Heading("Before reading"),
        Boxes(
            (
                "instruments and their u",
                "level floor: checked how",
                "load in the car, fuel",
                "rack centred: half the turns",
                "steering wheel straight and clamped",
                "car rolled back and forth after jacking",
            )
        ),
        Table("The car as it stands", ("what", *wheels), rows),
    )


def _angles(context: SheetContext) -> tuple[Block, ...]:
    _, after = results(context)
    rows: list[tuple[Cell, ...]] = []
    for name in ("camber", "castor", "inclination"):
        for side in SIDES:
            survey = of_target(context, f"corner.{side}", name)
            new = result_text(context, f"{name}-{side}", after.get(f"{name}-{side}"))
            title = "steering-axis inclination" if name == "inclination" else name
            rows.append((f"{title}, {side}", survey or "not recorded", new or "not known", Blank("deg"), Blank("deg")))
    note = (
        "This kit changes none of these where the knuckles stay; they are read because toe means nothing without them."
    )
    headings = ("angle", "as surveyed", "of the model", "before", "after")
    return (
        Heading("Camber, castor, inclination"),
        Table("Angles of each front wheel", headings, tuple(rows), (0, 30, 34, 26, 26)),
        Words(note),
    )


def wanted_toe(context: SheetContext) -> tuple[float | None, str]:
    """Toe of one wheel to set, deg, and on whose word; None where nobody has said."""
    if "toe" in context.kit.wanted:
        return float(parse_quantity(context.kit.wanted["toe"], "angle", "deg").value), "as the kit wants it"
    body = context.assembly.target.features.get("body")
    use = body.get("toe-total") if body is not None else None
    if use is None or isinstance(use.value, str):
        return None, "nobody has said: the car's manual"
    return use.value / 2, f"half the total that {context.assembly.target.name} was recorded with; see its manual"


def _toe(context: SheetContext) -> tuple[Block, ...]:
    toe, why = wanted_toe(context)
    rows: list[tuple[Cell, ...]] = []
    for title, times in (("left", 1), ("right", 1), ("total", 2)):
        set_to: Cell = Blank("deg") if toe is None else f"{times * toe:.2f} deg"
        rows.append((title, set_to, Blank("deg"), Blank("mm"), Blank("in"), Blank("deg"), Blank("mm"), Blank("in")))
    lengths = tuple(_length_row(toe, base) for base in _bases(context)) if toe is not None else ()
    blocks: list[Block] = [
        Heading("Toe"),
        Words(f"To be set, each wheel: {'____ deg' if toe is None else f'{toe:.2f} deg'} ({why})."),
        Table(
            "Toe, before and after",
            ("wheel", "to set", "before, deg", "mm", "in", "after, deg", "mm", "in"),
            tuple(rows),
            (18, 20, 0, 0, 0, 0, 0, 0),
        ),
        Boxes(
            (
                "distance between the points at which a rim is read: flange edge to flange edge, not its nominal size",
                "read at ride height, wheels straight ahead",
            )
        ),
        Words(
            "Length = distance times sin(angle), of one wheel; both add up to the total. A figure in mm or inch "
            "without the distance it was read over is no figure. Between the rims, or outwards from inside: toe-in = "
            "rear - front. "
            "From a string outside: toe-in = front - rear."
        ),
    ]
    if lengths:
        headings = ("read over", "one wheel, mm", "one wheel, in", "total, mm", "total, in")
        blocks.append(Table(f"{toe:.2f} deg of toe of one wheel as a length", headings, lengths))
    return tuple(blocks)


def _bases(context: SheetContext) -> Iterable[float]:
    body = context.assembly.target.features.get("body")
    use = body.get("toe-base") if body is not None else None
    own = (use.number,) if use is not None and not isinstance(use.value, str) else ()
    return dict.fromkeys((*own, *_BASES))


def _length_row(toe: float, base: float) -> tuple[Cell, ...]:
    one = float(alignment.toe_length(toe, base))
    return (_both(base), f"{one:.2f} mm", f"{one / _MM:.3f} in", f"{2 * one:.2f} mm", f"{2 * one / _MM:.3f} in")


def _both(length: float) -> str:
    return f"{length:.1f} mm ({length / _MM:.2f} in)"


def rear_less_front(context: SheetContext) -> float | None:
    """How much farther from a rear hub's face than from a front one's a string stands that runs along the car, mm.

    From the tracks; the wheels' offset is recorded once, so that front and rear wheels are taken to be alike.
    """
    body = context.assembly.target.features.get("body")
    tracks = [body.get(name) if body is not None else None for name in ("track-front", "track-rear")]
    if any(use is None or isinstance(use.value, str) for use in tracks):
        return None
    front, rear = (use.number for use in tracks if use is not None)
    return float(alignment.rear_distance(0.0, front, rear))


def _strings(context: SheetContext) -> tuple[Block, ...]:
    apart = rear_less_front(context)
    lines = [
        "Two strings, one each side, at hub height, parallel to the middle of the car, the same distance apart at "
        "both ends."
    ]
    if apart is None:
        lines.append("Front and rear track are not both recorded: measure across the measuring faces of each axle.")
    else:
        far = "further from" if apart >= 0 else "closer to"
        lines.append(
            f"With wheels of equal offset, {of_target(context, 'body', 'track-front')} of track in front and "
            f"{of_target(context, 'body', 'track-rear')} at the rear, each string stands {abs(apart):.1f} mm "
            f"({abs(apart) / _MM:.2f} in) {far} the rear hub than the front one."
        )
        body = context.assembly.target.features["body"]
        base = body.get("wheelbase")
        if base is not None and not isinstance(base.value, str) and apart:
            yaw = abs(float(alignment.string_yaw(apart, base.number)))
            lines.append(f"Set alike at both ends they would show {yaw:.2f} deg of false toe on each wheel.")
    lines += [
        "With wheels of other offset at the rear, correct that by the difference: rear = front + (across front "
        "faces - across rear faces) / 2, the faces being those that you measure from.",
        "Check: distance between the strings, front and rear, alike.",
    ]
    rows = (
        ("across the front measuring faces", context.blank("mm")),
        ("across the rear measuring faces", context.blank("mm")),
        ("string to the front face", context.blank("mm")),
        ("string to the rear face = front + half the difference", context.blank("mm")),
        ("between the strings, front / rear", context.blank("mm")),
    )
    source = "Common practice, no source; the arithmetic is geometry. fitment align strings does it for measured faces."
    return (
        Heading("Strings"),
        Bullets(tuple(lines)),
        Table("Putting up the strings", ("what", "measured"), rows, (0, 50)),
        Words(source),
    )


def _turns(context: SheetContext) -> tuple[Block, ...]:
    _, after = results(context)
    per = {side: after.get(f"toe-per-turn-{side}") for side in SIDES}
    rows: list[tuple[Cell, ...]] = []
    for change in _CHANGES:
        cells = [
            f"{change / abs(one.value):.2f} turn, {6 * change / abs(one.value):.1f} flats"
            if (one := per[side]) is not None and one.value
            else Blank("turn")
            for side in SIDES
        ]
        rows.append((f"{change:g} deg towards toe-in", *cells))
    told = [
        f"{side}: {result_text(context, f'toe-per-turn-{side}', one)} for one turn"
        for side, one in per.items()
        if one is not None
    ]
    ahead = _ahead(context)
    if ahead is None:
        told.append(
            "Whether the rods lie ahead of the steering axes or behind is not recorded: try a quarter turn and read."
        )
    else:
        told.append(
            f"The rods lie {'ahead of' if ahead else 'behind'} the steering axes: {'shorter' if ahead else 'longer'} "
            "is toe-in."
        )
        told += [line for side in SIDES if (line := _sense(context, side, ahead))]
    headings = ("change of one wheel", "left rod", "right rod")
    return (
        Heading("Turns of the rods"),
        Table("Turns for a change of toe", headings, tuple(rows), (0, 60, 60)),
        Bullets(tuple(told)),
        Boxes(
            ("left rod turned by", "right rod turned by", "thread engaged after, left", "thread engaged after, right")
        ),
    )


def _ahead(context: SheetContext) -> bool | None:
    said = of_target(context, "body", "arm-position")
    return {"front-steer": True, "rear-steer": False}.get(said)


def _sense(context: SheetContext, side: str, ahead: bool) -> str:
    hand = value_of(context, f"{side}.rod_end", "shank", "hand") or value_of(
        context, f"{side}.tie_rod", "outer", "hand"
    )
    if hand not in ("RH", "LH"):
        return ""
    lengthens = float(alignment.longer(1.0, ahead)) > 0
    clockwise = alignment.clockwise(lengthens, hand)
    top = "front" if alignment.top_goes_forward(clockwise, side == "left") else "rear"
    return (
        f"{side} rod, {hand} thread at its outer end: towards toe-in the top of the rod goes to the {top} of the car."
    )


def _thrust(context: SheetContext) -> tuple[Block, ...]:
    _, after = results(context)
    ratio = after.get("ratio-centre")
    lines = [
        "Thrust angle, + to the left = (toe-in of the right rear wheel - toe-in of the left rear wheel) / 2. Where "
        "the rear cannot be set, set the front to that line and not to the car's middle."
    ]
    if ratio is not None:
        off = ratio.value * 0.1
        lines.append(
            f"With the overall ratio of {ratio.value:.1f} on centre, 0.10 deg of thrust angle stands for {off:.1f} "
            "deg at the steering wheel."
        )
    return (
        Heading("Thrust line"),
        Bullets(tuple(lines)),
        Boxes(("toe of the left rear wheel, deg", "toe of the right rear wheel, deg", "thrust angle, deg")),
    )


def _wheel(context: SheetContext) -> tuple[Block, ...]:
    _, after = results(context)
    speed = after.get("speed")
    lines = [
        "Steering wheel crooked with toe right: one rod longer, the other shorter by the same. Never by more than "
        "half a spline tooth: that puts the rack off its centre; move the wheel on its spline."
    ]
    if speed is not None:
        length = float(alignment.rod_length_for_wheel(10.0, speed.value))
        shown = show_quantity(length, "length", context.system)
        lines.append(
            f"10 deg at the wheel is {shown} of each rod, at a rack speed of {result_text(context, 'speed', speed)}."
        )
    return (
        Heading("Steering wheel"),
        Bullets(tuple(lines)),
        Boxes(("wheel stood off by, deg", "corrected by spline / rods", "rack centre seen again")),
    )


def _curves(context: SheetContext) -> tuple[Block, ...]:
    curves: dict[str, Curve] = {}
    if context.comparison.proposals:
        curves = dict(context.comparison.proposals[0].told.curves)
    toe = Table(
        "Change of toe over bump and rebound, + toe-in; computed with its band, beside what the car shows",
        ("wheel travel, + bump", "left, computed", "left, measured", "right, computed", "right, measured"),
        toe_rows(curves.get("toe-left"), curves.get("toe-right"), context.system),
        (30, 0, 30, 0, 30),
    )
    ackermann = Table(
        "Angles over the lock, + to the left; and the outer wheel's angle less the ideal",
        (
            "turns of the steering wheel",
            "left, computed",
            "left, measured",
            "right, computed",
            "right, measured",
            "outer less ideal",
        ),
        ackermann_rows(curves),
        (28, 0, 25, 0, 25, 34),
    )
    note = (
        "Springs out, wheel moved by a jack at hub height, gauge plate against two dial gauges or a laser. A "
        "difference beyond the band: measure the points again before the car is driven."
    )
    return (Heading("Toe over bump"), toe, Words(note), Heading("Ackermann"), ackermann)
