"""``fitment catalogue create|status|upgrade|verify|audit|copy|backup``: the database itself."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitment.cli.common import Database, DryRun, Json, Quiet, hint, say, say_json

catalogue = typer.Typer(rich_markup_mode=None, help="The catalogue's database.")


@catalogue.command("create")
def create(
    shop: Annotated[
        str, typer.Option(metavar="CODE", help="Your shop's code, before the slash of references.")
    ] = "OWN",
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
) -> None:
    """Makes a new, empty catalogue.

    Example: fitment catalogue create --db shop.sqlite --shop NORTH
    """
    from fitment.catalogue.database import create as make
    from fitment.catalogue.database import free_place
    from fitment.catalogue.place import as_url, default_url
    from fitment.catalogue.schema_number import SCHEMA
    from fitment.errors import UsageFault

    if not (shop.isalnum() and len(shop) <= 16):
        raise UsageFault(f'--shop is "{shop}"', mending="up to 16 letters and digits", code="usage-04")
    url = as_url(db) if db else default_url()
    if dry_run:
        free_place(url)
    else:
        make(url, shop).dispose()
    if as_json:
        told = {"shop": shop, "catalogue_schema": SCHEMA, "dry_run": dry_run}
        say_json({"schema": "fitment.catalogue-create/1", **told})
    else:
        say(f"{'would make' if dry_run else 'made'} an empty catalogue of shop {shop}")


@catalogue.command("status")
def status(db: Database = None, as_json: Json = False) -> None:
    """Id, revision, and how many there are of everything.

    Example: fitment catalogue status
    """
    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.listing import counts

    engine = open_engine(db)
    with storage_faults(str(engine.url)), engine.connect() as connection:
        told = counts(connection)
    engine.dispose()
    if as_json:
        say_json({"schema": "fitment.catalogue-status/1", **told})
    else:
        say("\n".join(f"{name.replace('_', ' '):12} {value}" for name, value in told.items()))


@catalogue.command("upgrade")
def upgrade(db: Database = None, dry_run: DryRun = False, as_json: Json = False) -> None:
    """Brings the catalogue to this program's schema (any command that opens it does so too).

    It is kept as it was in a file of its own first, which stderr names.

    Example: fitment catalogue upgrade --db shop.sqlite
    """
    from fitment.catalogue.database import found_schema, open_engine
    from fitment.catalogue.schema_number import SCHEMA

    found = found_schema(db) if dry_run else SCHEMA
    if not dry_run:
        open_engine(db).dispose()
    if as_json:
        say_json({"schema": "fitment.catalogue-upgrade/1", "catalogue_schema": found, "dry_run": dry_run})
    else:
        say(f"the catalogue has schema {found}" + ("" if found == SCHEMA else f"; would bring it to {SCHEMA}"))


@catalogue.command("copy")
def copy(
    source: Annotated[str, typer.Argument(metavar="FROM", help="A file or a database URL.")],
    to: Annotated[str, typer.Argument(metavar="TO", help="A new file, or the URL of an empty PostgreSQL database.")],
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Moves a catalogue between a file and a PostgreSQL server; what was written is read back and compared.

    Kept reports and all else come too. The copy is the same catalogue: go on with one of the two alone.

    Example: fitment catalogue copy shop.sqlite postgresql+psycopg://shop@server/parts
    """
    from fitment.catalogue.copying import copy as made
    from fitment.catalogue.database import open_engine

    engine = open_engine(source)
    try:
        told = made(engine, to, dry_run)
    finally:
        engine.dispose()
    if as_json:
        say_json({"schema": "fitment.catalogue-copy/1", "rows": told.rows, "digest": told.digest, "dry_run": dry_run})
    else:
        say(f"{'would copy' if dry_run else 'copied'} {told.rows} rows (digest {told.digest[:12]})")
    if not dry_run:
        hint("go on with one of the two alone; FITMENT_DB says which", quiet)


@catalogue.command("backup")
def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A new file.")],
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
) -> None:
    """Keeps the catalogue as it is now in one new file, while others go on writing; any command opens it with --db.

    Example: fitment catalogue backup monday.sqlite
    """
    from fitment.catalogue.copying import copy as made
    from fitment.catalogue.database import open_engine

    engine = open_engine(db)
    try:
        told = made(engine, str(file), dry_run)
    finally:
        engine.dispose()
    if as_json:
        found = {"file": str(file), "rows": told.rows, "digest": told.digest, "dry_run": dry_run}
        say_json({"schema": "fitment.catalogue-backup/1", **found})
    else:
        say(f"{'would keep' if dry_run else 'kept'} {told.rows} rows in {file} (digest {told.digest[:12]})")


@catalogue.command("verify")
def verify(
    mend: Annotated[bool, typer.Option("--mend", help="Keep the derived data as the readings give them.")] = False,
    db: Database = None,
    as_json: Json = False,
) -> None:
    """Whether references hold, derived data are what the readings give, kept reports and papers as kept; exit 1 if not.

    Example: fitment catalogue verify --mend
    """
    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.verifying import verify as check

    engine = open_engine(db)
    with storage_faults(str(engine.url)):
        wrong = check(engine, mend)
    engine.dispose()
    if as_json:
        say_json({"schema": "fitment.catalogue-verify/1", "whole": not wrong, "mend": mend, "wrong": wrong})
    else:
        say("\n".join(wrong) if wrong else "whole: references hold, and derived data are what the readings give")
    raise typer.Exit(1 if any(not line.endswith("; mended") for line in wrong) else 0)


@catalogue.command("audit")
def audit(db: Database = None, as_json: Json = False) -> None:
    """What deserves a second look; exit 0 where nothing does, 1 where something does.

    Conflicts, dimensions known from one weak source, values outside the usual range, readings better than their tool
    could give, items with welds not known.

    Example: fitment catalogue audit
    """
    from dataclasses import asdict

    from fitment.catalogue.audit import SORTS
    from fitment.catalogue.audit import audit as look
    from fitment.catalogue.database import open_engine, storage_faults

    engine = open_engine(db)
    with storage_faults(str(engine.url)), engine.connect() as connection:
        found = look(connection)
    engine.dispose()
    if as_json:
        say_json(
            {
                "schema": "fitment.catalogue-audit/1",
                "clean": not found,
                "troubles": [asdict(one) for one in found],
            }
        )
    else:
        blocks = []
        for sort, heading in SORTS.items():
            of_sort = [one for one in found if one.sort == sort]
            if of_sort:
                lines = [
                    " ".join(filter(None, (one.of, one.feature, one.dimension))) + f": {one.told}" for one in of_sort
                ]
                blocks.append("\n".join([f"{heading} ({len(lines)})", *(f"  {line}" for line in lines)]))
        say("\n\n".join(blocks) if blocks else "clean: nothing deserves a second look")
    raise typer.Exit(1 if found else 0)


def register(app: typer.Typer) -> None:
    """Adds the command group."""
    app.add_typer(catalogue, name="catalogue")
