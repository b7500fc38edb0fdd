"""``fitment steer``: what the car will do, proposed against original."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitment.cli.common import Database, Json, Quiet, Units, hint, say, say_json, units_named, width

if TYPE_CHECKING:
    from fitment.kits.steer import Comparison


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("steer")(steer)


def steer(
    kits: Annotated[list[Path], typer.Argument(metavar="KIT.toml [KIT.toml ...]", help="Kit files for one car.")],
    toe_limit: Annotated[
        str | None,
        typer.Option(
            "--toe-limit", metavar="DEG", help="For a kit of a target alone: toe change per wheel in 25 mm (0.06)."
        ),
    ] = None,
    full: Annotated[bool, typer.Option("--all", help="Every figure, where its doubt comes from, definitions.")] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="The curves with their bands, one row per point.")] = False,
    svg: Annotated[Path | None, typer.Option("--svg", metavar="FILE", help="Also plots, as a page of SVG.")] = None,
    png: Annotated[Path | None, typer.Option("--png", metavar="FILE", help="Also plots, as a page of PNG.")] = None,
    db: Database = None,
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """What the car will do: every proposed steering beside the original, with doubt, in one table.

    A kit that names only its target: where inner joints would have to be. Exit 0, or 4 where nothing can be worked out.

    Example: fitment steer kits/rescue.toml kits/narrow.toml --png steering.png --db fitment-demo/catalogue.sqlite
    """
    from fitment.catalogue.book import open_catalogue
    from fitment.cli.donors import toe_limit_of
    from fitment.errors import UsageFault
    from fitment.kits.donor_card import TOE_LIMIT
    from fitment.kits.kit_file import load_kit
    from fitment.kits.steer import steer as compare

    system = units_named(units)
    if as_csv and as_json:
        raise UsageFault("--csv and --json are two answers", mending="ask for one of them", code="steer-03")
    if svg is not None and png is not None and svg.absolute() == png.absolute():
        raise UsageFault("--svg and --png name one file", mending="name two files", code="steer-04")
    limit = TOE_LIMIT if toe_limit is None else toe_limit_of(toe_limit)
    asked = [load_kit(kit) for kit in kits]
    with open_catalogue(db) as book:
        comparison = compare(asked, book, limit)
    _draw(comparison, {"svg": svg, "png": png}, system, quiet)
    if as_json:
        from fitment.kits.steer_json import steer_object

        say_json(steer_object(comparison))
    elif as_csv:
        from fitment.sheets.steer_csv import steer_csv

        say(steer_csv(comparison))
    else:
        from fitment.sheets.steer_text import steer_text

        say(steer_text(comparison, width(), system, full))
        more = "" if full else "--all shows every figure, "
        hint(f"{more}--csv gives the curves, --png a page of plots, --json everything", quiet)
    raise typer.Exit(0 if comparison.anything else 4)


def _draw(comparison: Comparison, files: Mapping[str, Path | None], system: str, quiet: bool) -> None:
    """Writes the plots that were asked for, before anything is printed."""
    asked = {form: path for form, path in files.items() if path is not None}
    if not asked:
        return
    from fitment.cli.new_file import write_new
    from fitment.sheets.steer_plots import plotted, steer_plots

    if not plotted(comparison):
        hint(f"{' and '.join(map(str, asked.values()))} not drawn: no curve can be worked out")
        return
    write_new({path: steer_plots(comparison, form, system) for form, path in asked.items()})
    for path in asked.values():
        hint(f"drawn in {path}", quiet)
