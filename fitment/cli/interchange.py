"""``fitment interchange``: what goes in a part's place, as it is or with which work."""

from __future__ import annotations

from typing import Annotated

import typer

from fitment.cli.common import Database, Json, Units, say, say_json, units_named, width

#: words of the option -> operations that they mean; each word of an operation's name is enough
_WORKS = ("none", "ream", "sleeve", "bore", "spacer", "slot", "plate", "thread adapter")


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("interchange")(interchange)


def interchange(
    part: Annotated[str, typer.Argument(metavar="PART", help="A part or an item of the catalogue.")],
    side: Annotated[
        str, typer.Option("--side", metavar="left|right", help="The side of the car; else either will do.")
    ] = "",
    work: Annotated[
        list[str] | None,
        typer.Option("--work", metavar="WORK", help=f"Work that you allow, again for several: {', '.join(_WORKS)}."),
    ] = None,
    near: Annotated[
        int, typer.Option("--near", min=0, metavar="N", help="How many to list of which it is not known.")
    ] = 5,
    db: Database = None,
    units: Units = "mm",
    as_json: Json = False,
) -> None:
    """What goes in a part's place: as it is, with which work, or not known; and the vehicles that carry it.

    Decided by the rules of check, against the parts that it is known to mate with. Exit 0 only where one goes as it is,
    3 only with work, 4 where it is not known of any, 1 where none does.

    Example: fitment interchange NORTH/RE-1 --side left

    Example: fitment interchange NORTH/TR-1 --work "thread adapter" --work ream
    """
    from fitment.errors import UsageFault, nearest

    system = units_named(units)
    if side not in ("", "left", "right"):
        raise UsageFault(f'--side is "{side}"', mending="allowed: left, right", code="interchange-01")
    for word in work or ():
        if word not in _WORKS:
            raise UsageFault(f'--work is "{word}"', mending=nearest(word, _WORKS), code="interchange-02")
    from fitment.catalogue.places import open_places
    from fitment.kits.interchange import interchange as answer

    works = None if not work else [word for word in work if word != "none"]
    with open_places(db) as book:
        told = answer(part, book, side, works)
    if as_json:
        from fitment.kits.interchange_json import interchange_object

        say_json(interchange_object(told))
    else:
        from fitment.sheets.interchange_text import interchange_text

        say(interchange_text(told, near, width(), system))
    raise typer.Exit(told.exit_code)
