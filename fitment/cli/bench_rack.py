"""``fitment bench rack``: travel per turn of the pinion, and where the centre lies."""

from __future__ import annotations

import math
from typing import Annotated

import typer

from fitment.cli.bench_reading import take
from fitment.cli.common import Json, Quiet, Units, hint, say, say_json, units_named


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("rack")(rack)


def rack(
    travel: Annotated[str, typer.Option("--travel", help="Travel of the bar, lock to lock.")],
    turns: Annotated[str, typer.Option("--turns", help="Turns of the pinion, lock to lock.")],
    tool: Annotated[str, typer.Option("--tool", metavar="NAME", help="What the travel was read with.")] = "rule",
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Rack speed: travel over turns, lock to lock; the centre is half the turns from either lock.

    Common practice, no source.

    Example: fitment bench rack --travel 131 --turns 3.5
    """
    from fitment.quantity.show import show_quantity

    system = units_named(units)
    length = take("--travel", "travel", travel, system, tool)
    count = take("--turns", "turns", turns, system, "turns", "turns")
    speed = length.value / count.value
    u = speed * math.hypot(length.u / length.value, count.u / count.value)
    centre, u_centre = count.value / 2, count.u / 2
    if as_json:
        say_json(
            {
                "schema": "fitment.bench-rack/1",
                "understood": {"readings": [length.object(), count.object()]},
                "speed": {"value": speed, "u": u, "unit": "mm/turn"},
                "centre": {"value": centre, "u": u_centre, "unit": "turn"},
            }
        )
        return
    lines = [
        f"{show_quantity(speed, 'rate', system)} (u {show_quantity(u, 'rate', system, u)}), "
        f"centre {show_quantity(centre, 'turns', system)}s from either lock",
        "",
        "understood:",
        *(f"  {one.words(system)}" for one in (length, count)),
    ]
    say("\n".join(lines))
    hint("a rack of variable ratio is faster or slower about its centre: measure one turn there as well", quiet)
