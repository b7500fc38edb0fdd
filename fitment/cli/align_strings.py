"""``fitment align strings``: how far from each hub strings stand that run along the car, tracks unequal or not."""

from __future__ import annotations

import math
from typing import Annotated

import typer

from fitment.cli.align_reading import BEFORE, Shown, as_given, figure, print_answer, shown
from fitment.cli.bench_reading import Taken, take
from fitment.cli.common import Json, Quiet, Units, units_named
from fitment.errors import DataFault, UsageFault
from fitment.frozen import dataclass

_ACROSS = ("--across-front", "--across-rear")
_TRACKS = ("--track-front", "--track-rear")
_CLEAR = "the strings must clear the tyres: look along them before reading"

_OFFSETS = ("--offset-front", "--offset-rear")


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("strings")(strings)


def strings(
    string: Annotated[str, typer.Option("--string", help="String to the measuring face of each front hub.")],
    across_front: Annotated[
        str | None, typer.Option("--across-front", help="Across the front measuring faces (hubs or caps).")
    ] = None,
    across_rear: Annotated[str | None, typer.Option("--across-rear", help="The same at the rear.")] = None,
    track_front: Annotated[
        str | None, typer.Option("--track-front", help="Instead: track, between the middles of the front wheels.")
    ] = None,
    track_rear: Annotated[str | None, typer.Option("--track-rear", help="The same at the rear.")] = None,
    offset_front: Annotated[
        str | None,
        typer.Option("--offset-front", help="Offset of the front wheels; + where the mounting face lies outboard."),
    ] = None,
    offset_rear: Annotated[str | None, typer.Option("--offset-rear", help="The same of the rear wheels.")] = None,
    wheelbase: Annotated[
        str | None, typer.Option("--wheelbase", help="Gives the doubt of the strings' direction in degrees.")
    ] = None,
    tool: Annotated[str, typer.Option("--tool", metavar="NAME", help="What the car was measured with.")] = "tape",
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Where to set both strings so that they run along the car: the distance from the rear hubs' faces.

    With unequal tracks the distances differ: half of what one axle is wider over its measuring faces.

    Example: fitment align strings --across-front 1500 --across-rear 1440 --string 60 --wheelbase 2400
    """
    from fitment.geometry.alignment import rear_distance

    system = units_named(units)
    faces = _faces(
        system,
        tool,
        dict(zip(_ACROSS, (across_front, across_rear), strict=True)),
        dict(zip(_TRACKS, (track_front, track_rear), strict=True)),
        dict(zip(_OFFSETS, (offset_front, offset_rear), strict=True)),
    )
    front, rear, taken = faces.front, faces.rear, list(faces.taken)
    at_front = take("--string", "string to the front hub's face", string, system, "string")
    taken.append(at_front)
    distance = float(rear_distance(at_front.value, front[0], rear[0]))
    if distance <= 0:
        raise DataFault(
            f"the string would run {shown(distance, 'length', system)} inside the rear hubs' faces",
            place="--string",
            mending=f"set it at more than {shown(at_front.value - distance, 'length', system)} at the front",
            code="align-06",
        )
    u = math.hypot(at_front.u, front[1] / 2, rear[1] / 2)
    lines = [
        f"rear {shown(distance, 'length', system, u)} from each hub's face, "
        f"where the front is {shown(at_front.value, 'length', system, at_front.u)}"
    ]
    results: dict[str, object] = {
        "front": figure(at_front.value, at_front.u, "mm"),
        "rear": figure(distance, u, "mm"),
        "apart": None,
        "direction": None,
        "if_set_alike": None,
    }
    cautions = ["the two measuring faces of an axle must stand alike to the car's middle", BEFORE]
    if faces.known:
        apart, u_apart = front[0] + 2 * at_front.value, math.hypot(front[1], 2 * at_front.u)
        results["apart"] = figure(apart, u_apart, "mm")
        lines.append(
            f"the strings then stand {shown(apart, 'length', system, u_apart)} apart at both ends: measure it there"
        )
    else:
        cautions.insert(0, "no wheel offset is given: those of front and rear wheels are taken as alike")
    if wheelbase is not None:
        length = take("--wheelbase", "wheelbase", wheelbase, system, "tape")
        taken.append(length)
        lines += _directions(distance - at_front.value, math.hypot(at_front.u, u), length, results, system)
    print_answer(
        "strings", lines, {"measured": faces.how}, taken, results, cautions, Shown(system, as_json, quiet), _CLEAR
    )


def _directions(out: float, u_out: float, wheelbase: Taken, results: dict[str, object], system: str) -> list[str]:
    """The doubt of each string's direction, and what setting both ends alike would read; fills both into results."""
    from fitment.geometry.alignment import string_yaw
    from fitment.quantity.show import show_quantity

    doubt, yaw = (float(string_yaw(one, wheelbase.value)) for one in (u_out, abs(out)))
    results["direction"] = figure(0.0, doubt, "deg")
    results["if_set_alike"] = figure(math.copysign(yaw, out) if out else 0.0, doubt, "deg")
    lines = [f"each string then runs along the car to within u {show_quantity(doubt, 'angle', system, doubt)}"]
    if out:
        # strings that ought to stand farther out at the rear lean in there when set alike, so that the gap at the
        # front edge of a rim reads large
        false = "toe-in" if out > 0 else "toe-out"
        lines.append(
            f"set alike front and rear they would show {yaw:.2f} deg of false {false} on each wheel, "
            f"{2 * yaw:.2f} deg an axle"
        )
    return lines


@dataclass(frozen=True)
class Faces:
    """Distance across the measuring faces of both axles.

    Attributes:
        front, rear: value and standard uncertainty, mm.
        taken: the readings they come from.
        how: for people.
        known: whether they are the faces' own; else both may be off by the same, unknown offset.
    """

    front: tuple[float, float]
    rear: tuple[float, float]
    taken: tuple[Taken, ...]
    how: str
    known: bool = True


def _faces(
    system: str,
    tool: str,
    across: dict[str, str | None],
    tracks: dict[str, str | None],
    offsets: dict[str, str | None],
) -> Faces:
    """From the faces themselves, or from tracks and the wheels' offsets.

    Raises:
        UsageFault: neither, both, or half of one.
    """
    from fitment.geometry.alignment import across_hubs
    from fitment.quantity.parse import parse_quantity
    from fitment.quantity.units import system_unit

    def both(options: dict[str, str | None]) -> dict[str, str] | None:
        texts = {option: text for option, text in options.items() if text is not None}
        if texts and len(texts) != len(options):
            raise UsageFault(f"{' and '.join(options)} go together", mending="give both", code="usage-24")
        return texts or None

    faces, middles, set_in = both(across), both(tracks), both(offsets)
    if (faces is None) == (middles is None) or (faces is not None and set_in is not None):
        raise UsageFault(
            "the two axles are measured in one way",
            mending=f"give {' and '.join(_ACROSS)}, or {' and '.join(_TRACKS)} with {' and '.join(_OFFSETS)}",
            code="usage-25",
        )
    read = [
        take(option, option.strip("-").replace("-", ", "), text, system, tool)
        for option, text in (faces or middles or {}).items()
    ]
    (front, rear) = read
    if middles is None:
        return Faces(front.reading, rear.reading, tuple(read), "across the faces")
    if set_in is None:
        return Faces(front.reading, rear.reading, tuple(read), "by tracks", known=False)
    wheels = [
        as_given(
            option,
            option.strip("-").replace("-", ", "),
            "length",
            parse_quantity(text, "length", system_unit("length", system)),
            signed=True,
        )
        for option, text in set_in.items()
    ]
    at = [
        (float(across_hubs(track.value, wheel.value)), math.hypot(track.u, 2 * wheel.u))
        for track, wheel in zip(read, wheels, strict=True)
    ]
    return Faces(at[0], at[1], (*read, *wheels), "by tracks and wheel offsets")
