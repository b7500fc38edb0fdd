"""``fitment check``: does this mix fit, by what margin, with what work, what is not known."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitment.cli.common import Database, Json, Quiet, Units, hint, say, say_json, units_named, width


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("check")(check)


def check(
    kit: Annotated[Path, typer.Argument(metavar="KIT.toml", help="The kit file.")],
    keep: Annotated[bool, typer.Option("--keep", help="Record the report in the catalogue.")] = False,
    verbose: Annotated[
        bool, typer.Option("--verbose", "-v", help="Open the unknowns and show what each answer rests on.")
    ] = False,
    db: Database = None,
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Does this mix fit? Verdict first, then reasons, joints, what is not known, what was not checked, cautions.

    Example: fitment check kits/rescue.toml --db fitment-demo/catalogue.sqlite
    """
    from fitment.catalogue.book import open_catalogue
    from fitment.kits.check import check as check_kit
    from fitment.kits.kit_file import load_kit

    system = units_named(units)
    asked = load_kit(kit)
    with open_catalogue(db) as book:
        report = check_kit(asked, book)
    if keep:
        from fitment.catalogue.keeping import keep_report
        from fitment.kits.report_json import report_object

        kept = keep_report(db, report_object(report))
        hint(f"kept as report {kept[:8]}", quiet)
    if as_json:
        from fitment.kits.report_json import report_object

        say_json(report_object(report))
    else:
        from fitment.sheets.report_text import report_text

        say(report_text(report, width(), system, verbose))
        if not verbose and report.unknowns:
            hint("-v opens what is not known", quiet)
    raise typer.Exit(report.verdict.exit_code)
