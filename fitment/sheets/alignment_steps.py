"""What is done at an alignment: strings put up, rods turned, thrust line and steering wheel minded."""

from __future__ import annotations

from fitment.geometry import alignment
from fitment.kits.roles import SIDES
from fitment.quantity.show import show_quantity
from fitment.sheets.blocks import Blank, Block, Boxes, Bullets, Cell, Heading, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.showing import of_target, result_text, results, value_of

#: changes of toe for the table of turns, deg
_CHANGES = (0.05, 0.1, 0.25, 0.5)
_MM = 25.4


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


def strings(context: SheetContext) -> tuple[Block, ...]:
    """Putting up strings along the car, for its tracks and wheels."""
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


def turns(context: SheetContext) -> tuple[Block, ...]:
    """What a turn of either rod does, and which way."""
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


def thrust(context: SheetContext) -> tuple[Block, ...]:
    """The rear axle's direction, by which the front is set."""
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


def wheel(context: SheetContext) -> tuple[Block, ...]:
    """Setting the steering wheel straight."""
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
