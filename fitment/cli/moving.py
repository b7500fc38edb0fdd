"""``fitment import``, ``export`` and ``template``: sheets in and out."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Annotated

import typer

from fitment.cli.common import Database, DryRun, Json, Quiet, Units, hint, say, say_json, units_named


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("import")(import_)
    app.command("export")(export)
    app.command("template")(template)


def counted(added: Counter[str]) -> str:
    """``3 parts, 41 readings``; ``nothing new`` of nothing."""
    names = [
        f"{number} {name}{'' if number == 1 or name == 'fitted to' else 's'}" for name, number in sorted(added.items())
    ]
    return ", ".join(names) or "nothing new"


def import_(
    files: Annotated[
        list[Path], typer.Argument(metavar="FILE...", help="CSV sheets; the first heading names the kind.")
    ],
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Takes sheets into the catalogue: all of them, or, at the first fault, nothing. Twice changes nothing.

    Example: fitment import vehicles.csv sources.csv sittings.csv rod-ends.csv --dry-run
    """
    from fitment.catalogue.database import open_engine
    from fitment.catalogue.importing import import_files

    engine = open_engine(db)
    told = import_files(engine, files, dry_run)
    added = told.added
    engine.dispose()
    if as_json:
        say_json({"schema": "fitment.import/1", "dry_run": dry_run, "added": dict(sorted(added.items()))})
    else:
        if dry_run:
            say("\n".join([*told.lines, "would add: " + counted(added)]))
        else:
            say("added: " + counted(added))
    if not dry_run and added["reading"]:
        hint("a reading is never deleted; fitment reading withdraw takes it out of force", quiet)


def export(
    into: Annotated[Path, typer.Option("--into", metavar="DIR", help="A new or empty folder.")],
    db: Database = None,
) -> None:
    """Writes the whole catalogue as sheets; importing them elsewhere gives the same readings.

    Example: fitment export --into backup-sheets
    """
    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.exporting import export_folder

    engine = open_engine(db)
    with storage_faults(str(engine.url)), engine.connect() as connection:
        written = export_folder(connection, into)
    engine.dispose()
    say("\n".join(str(path) for path in written))


def template(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="A kind of part, or vehicle, source, sitting, item.")],
    units: Units = "mm",
) -> None:
    """An empty sheet to fill in, with a units row and a how-to row.

    Example: fitment template rod-end > rod-ends.csv
    """
    from fitment.catalogue.exporting import template as sheet

    say(sheet(kind, units_named(units)))
