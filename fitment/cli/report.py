"""``fitment report list|show``: kept reports as they were given."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated

import typer

from fitment.cli.common import Database, Json, hint, program, say, say_json, width

if TYPE_CHECKING:
    from fitment.catalogue.keeping import Given
    from fitment.kits.kit import Kit
    from fitment.kits.report import Report

reports = typer.Typer(rich_markup_mode=None, help="Kept reports: printed again as they were given, never changed.")

#: columns of the text that is kept
_WIDTH = 80


def given(report: Report, kit: Kit, fitted: Mapping[str, str], system: str, made: str = "") -> Given:
    """A report ready to be kept: as JSON, as text with all that it rests on, and with the kit's file."""
    from fitment.catalogue.keeping import Given
    from fitment.kits.report_json import report_object
    from fitment.sheets.report_text import report_text

    return Given(
        report_object(report), report_text(report, _WIDTH, system, full=True), kit.text, program(), fitted, made
    )


@reports.command("list")
def list_(db: Database = None, as_json: Json = False) -> None:
    """Every kept report, and whether readings behind it were withdrawn since.

    Example: fitment report list
    """
    from dataclasses import asdict

    from fitment.catalogue.database import connected
    from fitment.catalogue.kept import kept_lines

    with connected(db) as connection:
        found = kept_lines(connection)
    if as_json:
        say_json({"schema": "fitment.report-list/1", "reports": [asdict(line) for line in found]})
        return
    from fitment.sheets.tables import table

    rows = [
        (
            line.uid[:8],
            line.made[:16].replace("T", " "),
            line.verdict,
            line.kit,
            ", ".join(line.builds),
            f"{len(line.withdrawn)} withdrawn" if line.withdrawn else "",
        )
        for line in found
    ]
    headings = ("id", "made", "verdict", "kit", "builds", "readings since")
    say(table(headings, rows, width()) if rows else "no kept reports: fitment check KIT.toml --keep keeps one")


@reports.command("show")
def show(
    report: Annotated[str, typer.Argument(metavar="REPORT", help="The first letters of its id.")],
    db: Database = None,
    as_json: Json = False,
) -> None:
    """A kept report as it was given, as text or as the JSON of fitment check; the exit code is that of its verdict.

    Where a reading behind it was withdrawn since, stderr says so; the report itself never changes.

    Example: fitment report show 3f09ab12
    """
    from fitment.catalogue.database import connected
    from fitment.catalogue.kept import kept_report
    from fitment.finding import Verdict

    with connected(db) as connection:
        found = kept_report(connection, report)
    for uid in found.line.withdrawn:
        hint(f"reading {uid[:8]} behind this report was withdrawn since: fitment reading affected {uid[:8]}")
    if as_json or not found.shown:  # before schema 0003 the text was not kept
        say_json(found.body)
    else:
        say(found.shown)
    raise typer.Exit(Verdict(found.line.verdict).exit_code)


def register(app: typer.Typer) -> None:
    """Adds the command group."""
    app.add_typer(reports, name="report")
