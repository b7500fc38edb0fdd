"""``fitment align toe``: toe, split and thrust line from readings between the rims or to strings."""

from __future__ import annotations

import math
from typing import Annotated, Any

import typer

from fitment.cli.align_reading import (
    AFTER,
    BEFORE,
    RUN_OUT,
    Base,
    Shown,
    figure,
    in_range,
    inch_fraction,
    nominal_rim,
    print_answer,
    shown,
    side_words,
    take_base,
    toe_words,
)
from fitment.cli.bench_reading import Taken, take
from fitment.cli.common import Json, Quiet, Units, units_named
from fitment.errors import UsageFault
from fitment.frozen import dataclass

_GAPS = ("--left-front", "--left-rear", "--right-front", "--right-rear")

#: a shorter reading (mm) is not between the two rims of a car
_NARROWEST = 500.0

_NONE = {"left": None, "right": None, "direction": None}


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("toe")(toe)


@dataclass(frozen=True)
class Toe:
    """Toe of one wheel, or of both together.

    Attributes:
        length, u_length: mm over the base.
        angle, u_angle: deg; None without a base.
    """

    length: float
    u_length: float
    angle: float | None
    u_angle: float | None

    def words(self, system: str) -> str:
        """``toe-in 0.8 mm (u 0.4 mm), 0.13 deg (u 0.06 deg)``."""
        text = f"{toe_words(self.length)} {shown(self.length, 'length', system, self.u_length)}"
        text += inch_fraction(self.length, system)
        return text if self.angle is None else f"{text}, {shown(self.angle, 'angle', system, self.u_angle)}"

    def object(self) -> dict[str, Any]:
        """For --json: toe-in is plus."""
        angle = None if self.angle is None or self.u_angle is None else figure(self.angle, self.u_angle, "deg")
        return {"length": figure(self.length, self.u_length, "mm"), "angle": angle}


def toe(
    front: Annotated[
        str | None, typer.Option("--front", help="Between both rims (or from a datum inside to one), front edge.")
    ] = None,
    rear: Annotated[str | None, typer.Option("--rear", help="The same, rear edge.")] = None,
    left_front: Annotated[
        str | None, typer.Option("--left-front", help="Left wheel: string to the front edge of the rim.")
    ] = None,
    left_rear: Annotated[str | None, typer.Option("--left-rear", help="Left wheel: to the rear edge.")] = None,
    right_front: Annotated[str | None, typer.Option("--right-front", help="Right wheel: to the front edge.")] = None,
    right_rear: Annotated[str | None, typer.Option("--right-rear", help="Right wheel: to the rear edge.")] = None,
    inside: Annotated[
        bool, typer.Option("--inside", help="The strings run inside the wheels, gaps are read outwards.")
    ] = False,
    base: Base = None,
    axle: Annotated[
        str, typer.Option("--axle", metavar="front|rear", help="Of which axle; the rear one gives the thrust line.")
    ] = "front",
    tool: Annotated[
        str | None, typer.Option("--tool", metavar="NAME", help="What was read with: tape or string, unless said.")
    ] = None,
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Toe from two readings between the rims (total), or from four gaps to strings beside the car (each wheel).

    Between the rims toe-in is rear less front; to a string outside the wheels it is front less rear.

    Example: fitment align toe --front 9 --rear "9 1/16" --units inch
    """
    system = units_named(units)
    how = Shown(system, as_json, quiet)
    if axle not in ("front", "rear"):
        raise UsageFault(f'--axle is "{axle}"', mending="allowed: front, rear", code="usage-21")
    over = take_base(base, system)
    texts = zip(_GAPS, (left_front, left_rear, right_front, right_rear), strict=True)
    gaps = {option: text for option, text in texts if text is not None}
    if front is not None and rear is not None and not gaps:
        if inside:
            raise UsageFault("--inside is of gaps to strings", mending="leave it out", code="usage-22")
        _total(front, rear, over, axle, tool, how)
        return
    if front is None and rear is None and len(gaps) == len(_GAPS):
        _each(gaps, inside, over, axle, tool or "string", how)
        return
    raise UsageFault(
        "toe is read in one of two ways, and wholly",
        mending=f"give --front and --rear (between the rims), or {', '.join(_GAPS)} (gaps to strings)",
        code="usage-23",
    )


def _toe(length: float, front: Taken, rear: Taken, over: Taken | None, how: Shown, wheels: int = 1) -> Toe:
    """The toe of a difference of two readings; of the total of two wheels each has half."""
    from fitment.geometry.alignment import toe_angle, toe_angle_u

    in_range(f"--{front.name}, --{rear.name}", length / wheels, None if over is None else over.value, how.system)
    u = math.hypot(front.u, rear.u)
    if over is None:
        return Toe(length, u, None, None)
    angle = wheels * float(toe_angle(length / wheels, over.value))
    return Toe(length, u, angle, wheels * float(toe_angle_u(length / wheels, u / wheels, over.value, over.u)))


def _total(front: str, rear: str, over: Taken | None, axle: str, tool: str | None, how: Shown) -> None:
    """From two readings between the rims; readings too short for that are of one wheel, from a datum inside it."""
    from fitment.geometry.alignment import toe_between

    system = how.system
    one = max(take("--front", "", text, system, "tape").value for text in (front, rear)) < _NARROWEST
    used = tool or ("string" if one else "tape")
    where = "from a datum inside to the" if one else "between the"
    ahead, behind = (
        take(option, f"{where} {end} {'edge of the rim' if one else 'edges of the rims'}", text, system, used)
        for option, end, text in (("--front", "front", front), ("--rear", "rear", rear))
    )
    toe = _toe(float(toe_between(ahead.value, behind.value)), ahead, behind, over, how, 1 if one else 2)
    results = {"total": None if one else toe.object(), "wheel": toe.object() if one else None} | _NONE
    if one:
        lines = [f"{toe.words(system)}, of that wheel{_no_base(over)}", *_slip(toe, over, "the tyre drags")]
    else:
        half = "" if toe.angle is None else f", {shown(toe.angle / 2, 'angle', system)}"
        lines = [
            f"total {toe.words(system)}{_no_base(over)}",
            *_slip(toe, over),
            f"half of it to each wheel, if both stand alike: {shown(toe.length / 2, 'length', system)}{half}",
        ]
    read = "from a datum inside to one wheel (too short for between two rims)" if one else "between the rims"
    taken, cautions = _with(over, ahead, behind), _cautions([toe], over)
    print_answer("toe", lines, {"axle": axle, "read": read}, taken, results, cautions, how, RUN_OUT)


def _each(gaps: dict[str, str], inside: bool, over: Taken | None, axle: str, tool: str, how: Shown) -> None:
    """From the gaps of both wheels to strings that run along the car."""
    from fitment.geometry.alignment import mean_steer, toe_between, toe_from_string

    system = how.system
    measure = toe_between if inside else toe_from_string
    read = [
        take(option, f"{option.strip('-').replace('-', ' wheel, ')} edge of the rim to the string", text, system, tool)
        for option, text in gaps.items()
    ]
    left, right = (
        _toe(float(measure(ahead.value, behind.value)), ahead, behind, over, how)
        for ahead, behind in ((read[0], read[1]), (read[2], read[3]))
    )
    total = _sum(left, right)
    lines = [f"left {left.words(system)}; right {right.words(system)}; total {total.words(system)}{_no_base(over)}"]
    lines += _slip(total, over)
    direction = None
    if left.angle is not None and right.angle is not None and total.u_angle is not None:
        steer, u = float(mean_steer(left.angle, right.angle)), total.u_angle / 2
        direction = figure(steer, u, "deg")
        what = "thrust line" if axle == "rear" else "both wheels together point"
        lines.append(f"{what} {shown(steer, 'angle', system, u)} {side_words(steer)}")
        if axle == "rear":
            sign = "-" if steer < 0 else ""
            lines.append(f'set the front toe to it: fitment align rods ... --thrust "{sign}{abs(steer):.2f} deg"')
    sides = {"left": left.object(), "right": right.object(), "direction": direction}
    results = {"total": total.object(), "wheel": None} | sides
    facts = {"axle": axle, "read": "from strings inside the wheels" if inside else "to strings outside the wheels"}
    cautions = [
        "both strings must run along the car: check with fitment align strings",
        *_cautions([left, right], over),
    ]
    print_answer("toe", lines, facts, _with(over, *read), results, cautions, how, RUN_OUT)


def _sum(left: Toe, right: Toe) -> Toe:
    u = math.hypot(left.u_length, right.u_length)
    if left.angle is None or right.angle is None or left.u_angle is None or right.u_angle is None:
        return Toe(left.length + right.length, u, None, None)
    return Toe(left.length + right.length, u, left.angle + right.angle, math.hypot(left.u_angle, right.u_angle))


def _with(over: Taken | None, *read: Taken) -> list[Taken]:
    return [*read, *([] if over is None else [over])]


def _no_base(over: Taken | None) -> str:
    return "" if over is not None else "; in degrees with --base"


def _slip(toe: Toe, over: Taken | None, drags: str = "both tyres together drag") -> list[str]:
    """How far the tyres drag sideways."""
    from fitment.geometry.alignment import side_slip

    if over is None:
        return []
    return [f"{drags} {abs(side_slip(toe.length, over.value)):.1f} m sideways in each km"]


def _cautions(read: list[Toe], over: Taken | None) -> list[str]:
    """What stands before and after any reading of toe, and what these readings cannot tell."""
    cautions = nominal_rim(over)
    if any(abs(one.length) < 2 * one.u_length for one in read):
        cautions.append("within twice its u a reading does not tell toe-in from toe-out: read again, or finer")
    return [*cautions, BEFORE, AFTER]
