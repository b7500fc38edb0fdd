"""``fitment check``: does this mix fit, by what margin, with what work, what is not known."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from fitment.cli.common import Database, DryRun, Json, Quiet, Units, hint, say, say_json, units_named, width

if TYPE_CHECKING:
    from fitment.kits.report import Report


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("check")(check)


def check(
    kit: Annotated[Path, typer.Argument(metavar="KIT.toml", help="The kit file.")],
    keep: Annotated[
        bool, typer.Option("--keep", help="Record the report; fitment report show prints it again.")
    ] = False,
    verbose: Annotated[
        bool, typer.Option("--verbose", "-v", help="Open the unknowns and show what each answer rests on.")
    ] = False,
    odds: Annotated[
        bool,
        typer.Option("--odds", help="Add the chances that kit and joints fit, and the risk of the verdict."),
    ] = False,
    samples: Annotated[
        int | None,
        typer.Option("--samples", metavar="N", min=1000, max=100_000_000, help="For --odds (100,000)."),
    ] = None,
    db: Database = None,
    units: Units = "mm",
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Does this mix fit? Verdict first, then reasons, joints, what is not known, what was not checked, cautions.

    Example: fitment check kits/rescue.toml --db fitment-demo/catalogue.sqlite
    """
    from fitment.catalogue.book import open_catalogue
    from fitment.doubt import Draws
    from fitment.errors import UsageFault
    from fitment.kits.check import check as check_kit
    from fitment.kits.kit_file import load_kit

    system = units_named(units)
    if samples is not None and not odds:
        raise UsageFault("--samples goes with --odds", mending="add --odds", code="odds-01")
    asked, draws = load_kit(kit), Draws()
    with open_catalogue(db) as book:
        report = check_kit(asked, book, draws)
    if odds:
        from dataclasses import replace

        from fitment.kits.odds import SAMPLES, odds_of

        report = replace(report, odds=odds_of(report, draws, samples or SAMPLES))
    if keep:
        from fitment.catalogue.keeping import keep_report
        from fitment.cli.report import given

        kept = keep_report(db, given(report, asked, {}, system), dry_run)
        hint(f"{'would be kept' if dry_run else 'kept'} as report {kept[:8]}", quiet)
    answer(report, system, verbose, as_json, quiet)


def answer(report: Report, system: str, verbose: bool, as_json: bool, quiet: bool) -> NoReturn:
    """Prints a report and leaves with the exit code of its verdict."""
    if as_json:
        from fitment.kits.report_json import report_object

        say_json(report_object(report))
    else:
        from fitment.sheets.report_text import report_text

        say(report_text(report, width(), system, verbose))
        if not verbose and report.unknowns:
            hint("-v opens what is not known", quiet)
    raise typer.Exit(report.verdict.exit_code)
