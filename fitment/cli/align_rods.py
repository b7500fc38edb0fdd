"""``fitment align rods``: how far to turn each tie rod to the wanted toe with the steering wheel straight."""

from __future__ import annotations

import math
import re
from typing import Annotated

import typer

from fitment.cli.align_reading import (
    AFTER,
    BEFORE,
    Base,
    Shown,
    figure,
    nominal_rim,
    print_answer,
    shown,
    take_angle,
    take_base,
    take_toe,
    toe_words,
)
from fitment.cli.align_turn import Adjuster, Turn, rods_ahead, take_adjuster, take_hands, turn_of
from fitment.cli.align_wheel import take_wheel
from fitment.cli.bench_reading import Taken
from fitment.cli.common import Json, Quiet, Units, units_named
from fitment.errors import DataFault, UsageFault

_WANT = re.compile(r"(?P<toe>.*?)[\s,]*\b(?P<which>total|each|(?:per|a) (?:wheel|side))(?P<sense>\s.*)?", re.IGNORECASE)

_THREAD = "count the threads left in each rod end before and after; fitment check says how much must stay in"

#: a larger change is set in steps, deg: the rule holds near where the rod stands
_STEP = 2.0


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("rods")(rods)


def rods(
    want: Annotated[str, typer.Option("--want", metavar='"TOE total|each"', help='Wanted toe: "1.5 mm total".')],
    arm: Annotated[str, typer.Option("--arm", help="Arm of the rod about the steering axis, square to the rod.")],
    toe_left: Annotated[
        str | None, typer.Option("--toe-left", help="Toe-in of the left wheel, steering wheel straight; out is minus.")
    ] = None,
    toe_right: Annotated[str | None, typer.Option("--toe-right", help="The same of the right wheel.")] = None,
    toe: Annotated[
        str | None, typer.Option("--toe", help="Instead: total toe-in; half the change to each side.")
    ] = None,
    pitch: Annotated[str | None, typer.Option("--pitch", help="Pitch of the adjusting thread.")] = None,
    tpi: Annotated[str | None, typer.Option("--tpi", help="Or its threads per inch.")] = None,
    sleeve: Annotated[
        bool, typer.Option("--sleeve", help="A sleeve with a right-hand and a left-hand thread: two pitches a turn.")
    ] = False,
    rack: Annotated[
        str | None, typer.Option("--rack", metavar="ahead|behind", help="Rods ahead of or behind the steering axes.")
    ] = None,
    hand: Annotated[
        str | None,
        typer.Option("--hand", metavar="RH|LH|RH,LH", help="Thread at the outer end of the rods; or left, right."),
    ] = None,
    base: Base = None,
    castor: Annotated[str, typer.Option("--castor", help="Castor, deg.")] = "0",
    kpi: Annotated[str, typer.Option("--kpi", help="Steering-axis (kingpin) inclination, deg.")] = "0",
    thrust: Annotated[
        str | None, typer.Option("--thrust", help="Thrust angle of the rear axle, deg, + to the left.")
    ] = None,
    rack_speed: Annotated[
        str | None, typer.Option("--rack-speed", help="Travel of the rack per turn of the steering wheel.")
    ] = None,
    wheel_off: Annotated[
        str | None,
        typer.Option(
            "--wheel-off", metavar='"DEG left|right"', help="Where the steering wheel stands, driving straight."
        ),
    ] = None,
    spline: Annotated[str | None, typer.Option("--spline", help="Teeth of the steering wheel's spline.")] = None,
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Turns of each tie rod to the wanted toe, the steering wheel kept straight. A flat is a sixth of a turn.

    Toe of each wheel is read with the steering wheel held straight; from the total alone both rods turn alike.

    Example: fitment align rods --toe-left "0.3 deg" --toe-right "-0.1 deg" --want "0.2 deg total" --pitch 1.5 --arm 130
    """
    from fitment.geometry.alignment import mean_steer, toe_along

    system = units_named(units)
    over = take_base(base, system)
    left, right = _present(toe, toe_left, toe_right, over, system)
    if toe is not None and thrust is not None:
        raise UsageFault(
            "--thrust needs the toe of each wheel", mending="give --toe-left and --toe-right", code="usage-26"
        )
    each = _wanted(want, over, system)
    direction = take_angle("--thrust", "thrust angle", thrust) if thrust is not None else None
    adjuster, taken = take_adjuster(pitch, tpi, sleeve, arm, castor, kpi, system)
    hands, ahead = take_hands(hand), rods_ahead(rack)
    off = take_wheel(wheel_off, rack_speed, spline, toe is not None, system)

    along = 0.0 if direction is None else direction.value
    u_along = 0.0 if direction is None else direction.u
    # of a total each wheel is taken to have half
    share = 1.0 if toe is None else 0.5
    shifts, u_shift = off.shifts(adjuster.per_turn)
    sides = []
    for number, (now, goal) in enumerate(zip((left, right), toe_along(each.value, along), strict=True)):
        change = float(goal - now.value * share) / adjuster.toe
        u_read = math.hypot(now.u * share, u_along) / adjuster.toe
        u = math.hypot(u_read, change * adjuster.u_share, u_shift)
        sides.append(turn_of(change + shifts[number], u, ahead, hands[number], left=number == 0))
    read = [left, right] if toe is None else [left]
    taken = [
        *read,
        each,
        *taken,
        *([] if direction is None else [direction]),
        *off.taken,
        *([] if over is None else [over]),
    ]
    lines = _lines(sides, adjuster, system)
    if toe is None:
        lines += off.standing(float(mean_steer(left.value, right.value)) - along, adjuster.toe / adjuster.per_turn)
    lines += off.lines(adjuster.per_turn)
    cautions = [*nominal_rim(over), *off.cautions, *_cautions(sides, adjuster, castor == kpi == "0"), BEFORE, AFTER]
    results = {
        "left": sides[0].object(),
        "right": sides[1].object(),
        "per_turn": {
            "length": figure(adjuster.per_turn, 0.0, "mm"),
            "toe": figure(adjuster.toe, adjuster.toe * adjuster.u_share, "deg"),
        },
        "spline_teeth": off.teeth,
    }
    facts = {
        "rods": {True: "ahead of the steering axes", False: "behind the steering axes", None: None}[ahead],
        "outer_threads": None if hand is None else f"{hands[0]} left, {hands[1]} right",
    }
    print_answer("rods", lines, facts, taken, results, cautions, Shown(system, as_json, quiet), _THREAD)


def _present(
    toe: str | None, left: str | None, right: str | None, over: Taken | None, system: str
) -> tuple[Taken, Taken]:
    """Toe of both wheels as it is; the same reading twice where only the total is given."""
    if toe is not None and left is None and right is None:
        total = take_toe("--toe", "total toe", toe, over, system, wheels=2)
        return total, total
    if toe is None and left is not None and right is not None:
        return (
            take_toe("--toe-left", "toe of the left wheel", left, over, system),
            take_toe("--toe-right", "toe of the right wheel", right, over, system),
        )
    raise UsageFault(
        "the present toe is given in one of two ways",
        mending="give --toe-left and --toe-right, or --toe for the total alone",
        code="usage-27",
    )


def _wanted(text: str, over: Taken | None, system: str) -> Taken:
    """Wanted toe of each wheel.

    Raises:
        DataFault: it does not say whether it is the total.
    """
    match = _WANT.fullmatch(text.strip())
    if match is None:
        raise DataFault(
            f'"{text}" may be of each wheel or of both together',
            place="--want",
            mending='write "1.5 mm total" or "0.1 deg each"',
            code="align-07",
        )
    wheels = 2 if match["which"].casefold() == "total" else 1
    wanted = take_toe("--want", "wanted toe of each wheel", match["toe"] + (match["sense"] or ""), over, system, wheels)
    return Taken("want", wanted.title, "angle", wanted.value / wheels, 0.0, "taken as exact", text.strip())


def _lines(sides: list[Turn], adjuster: Adjuster, system: str) -> list[str]:
    """The turns, how they are seen, what one turn does."""
    left, right = sides
    lines = [f"left {left.words()}; right {right.words()}"]
    moves = left.moves or right.moves
    if left.sense and moves:
        lines.append(
            "seen from the middle of the car towards each wheel; "
            f"the top of the rod goes to the {left.top} on the left, to the {right.top} on the right"
        )
    if left.rod and moves:
        lines.append(f"which is towards {toe_words(left.turns)} on the left, {toe_words(right.turns)} on the right")
    return [
        *lines,
        f"one turn is {shown(adjuster.per_turn, 'length', system)} of rod and changes its wheel by "
        f"{shown(adjuster.toe, 'angle', system, adjuster.toe * adjuster.u_share)}",
    ]


def _cautions(sides: list[Turn], adjuster: Adjuster, upright: bool) -> list[str]:
    """What these numbers do not tell, or not well."""
    cautions = []
    if sides[0].rod is None:
        cautions.append(
            "which rod gets longer is not said without --rack: ahead of the steering axis a longer rod gives toe-out, "
            "behind it toe-in"
        )
    elif sides[0].sense is None:
        cautions.append("which way to turn is not said without --hand: look at the thread, no mark proves nothing")
    if upright:
        cautions.append(
            "the steering axis is taken as upright; at 5 deg of castor and 10 deg of inclination (--castor, --kpi) a "
            "turn does 2 % less"
        )
    if max(abs(side.turns) for side in sides) * adjuster.toe > _STEP:
        cautions.append(
            f"over {_STEP:g} deg the rule is coarse: go most of the way, roll the car, read and reckon again"
        )
    return cautions
