"""``fitment measure-next``: the readings that would settle the verdict, in order of worth."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitment.cli.common import Database, Json, Quiet, Units, hint, say, say_json, units_named, width


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("measure-next")(measure_next)


def measure_next(
    kit: Annotated[Path, typer.Argument(metavar="KIT.toml", help="The kit file.")],
    minutes: Annotated[
        float | None, typer.Option("--minutes", metavar="N", min=0, help="Also the best set for so much time.")
    ] = None,
    place: Annotated[
        str | None, typer.Option("--place", metavar="yard|bench|car", help="Only what is read there.")
    ] = None,
    print_: Annotated[bool, typer.Option("--print", help="A page with boxes, of the set where --minutes is given.")] = (
        False
    ),
    into: Annotated[
        Path | None,
        typer.Option("--into", metavar="DIR|FILE", help="With --print: .txt or .html, or both into a folder."),
    ] = None,
    db: Database = None,
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """The readings that would settle the verdict: with what, where, how long, in order, and what each decides.

    For ranking only, what is not measured is drawn from its plausible range. Minutes are our own choice.
    The page, filled in: fitment reading add --from FILE.

    Example: fitment measure-next kits/rescue.toml --minutes 30 --place yard --print --into yard
    """
    from fitment.catalogue.book import open_catalogue
    from fitment.errors import UsageFault
    from fitment.kits.kit_file import load_kit
    from fitment.kits.measure_next import measure_next_of
    from fitment.kits.tasks import PLACES

    system = units_named(units)
    if place not in (None, *PLACES):
        raise UsageFault(f'--place is "{place}"', mending=f"allowed: {', '.join(PLACES)}", code="measure-01")
    if into is not None and not print_:
        raise UsageFault("--into goes with --print", mending="add --print", code="usage-21")
    if print_ and as_json:
        raise UsageFault("--print and --json are two answers", mending="ask for one of them", code="measure-02")
    asked = load_kit(kit)
    with open_catalogue(db) as book:
        told = measure_next_of(asked, book, minutes, place)
    if as_json:
        from fitment.kits.measure_next_json import measure_next_object

        say_json(measure_next_object(asked, told))
    elif print_:
        from fitment.sheets.measure_sheet import measure_sheet, sheet_html, sheet_text
        from fitment.sheets.paper_files import write_pages

        wanted = [one for one in told.readings if told.chosen is None or one.task.key in told.chosen]
        sheet = measure_sheet(asked, wanted, system)
        if into is None:
            say(sheet_text(sheet))
        else:
            pages = {".txt": sheet_text(sheet), ".html": sheet_html(sheet)}
            say("\n".join(f"written: {path}" for path in write_pages("measure-next", pages, into)))
            hint("filled in: fitment reading add --from FILE", quiet)
    else:
        from fitment.sheets.measure_text import measure_text

        say(measure_text(asked, told, minutes, width()))
