"""``fitment reading add|withdraw|list``."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fitment.cli.common import Database, DryRun, Json, Quiet, hint, say, say_json, units_named, width

if TYPE_CHECKING:
    from fitment.catalogue.entering import Entered

readings = typer.Typer(rich_markup_mode=None, help="Readings: never changed, only added or withdrawn.")


@readings.command("add")
def add(
    reference: Annotated[
        str | None, typer.Argument(metavar="REF", help="The part, item or vehicle.", show_default=False)
    ] = None,
    feature: Annotated[
        str | None, typer.Argument(metavar="FEATURE", help="bar-end.left, stud, eye ...", show_default=False)
    ] = None,
    values: Annotated[
        list[str] | None, typer.Argument(metavar="NAME=VALUE...", help="As many as were taken.", show_default=False)
    ] = None,
    sitting: Annotated[
        str | None, typer.Option(metavar="NAME", help="The sitting that they belong to; needed without --from.")
    ] = None,
    who: Annotated[str | None, typer.Option(metavar="INITIALS", help="For a new sitting.")] = None,
    source: Annotated[
        str | None, typer.Option(metavar="KIND", help="For a new sitting: own-measurement (if not given), listing, ...")
    ] = None,
    tool: Annotated[
        str | None, typer.Option(metavar="TOOL", help="For a new sitting; else each dimension's usual one.")
    ] = None,
    condition: Annotated[str | None, typer.Option(metavar="new|used|worn")] = None,
    from_: Annotated[
        Path | None,
        typer.Option("--from", metavar="FILE", help="A page of fitment template KIND --print, typed; - is stdin."),
    ] = None,
    db: Database = None,
    units: Annotated[
        str | None,
        typer.Option("--units", metavar="mm|inch", help="Units of bare numbers; without it they are refused."),
    ] = None,
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Adds readings, many at once, and echoes each as understood; all of them, or, at the first fault, none.

    With --from, a page of short lines: what was measured (part RK-7 rack; item RK-7a of RK-7; vehicle V-9; a part or
    vehicle that is new is added), who and when (sitting yard-3 AB 2026-11-24 tool calliper source listing), units mm,
    then a line each: inner-spacing 612, bar-end.left thread M14x1.5 RH. Faults are named by line.

    Example: fitment reading add RK-7 bar-end.left thread=M14x1.5-RH "depth=25 mm" --sitting yard-3 --who AB
    """
    from fitment.errors import UsageFault

    system = units_named(units) if units else None
    if from_ is not None:
        given = (reference, sitting, who, source, tool, condition)
        if any(value is not None for value in given):
            raise UsageFault(
                "--from takes everything from the page",
                mending="leave out REF, FEATURE, values, --sitting, --who, --source, --tool and --condition",
                code="usage-23",
            )
        _add_page(from_, db, system, dry_run, as_json)
        return
    if not reference or not feature or not values or not sitting:
        raise UsageFault(
            "REF, FEATURE, NAME=VALUE and --sitting are needed, or --from FILE",
            mending="fitment reading add --help shows how it is asked",
            code="usage-24",
        )
    if (condition or "") not in ("", "new", "used", "worn", "unknown"):
        raise UsageFault(f'--condition is "{condition}"', mending="allowed: new, used, worn, unknown", code="usage-02")
    from fitment.catalogue.typed import add_typed

    kept, made = add_typed(
        db,
        reference,
        feature,
        values,
        sitting,
        who,
        source or "own-measurement",
        tool,
        condition or "",
        system,
        dry_run,
    )
    if made:
        hint(f"made the sitting {made}", quiet)
    if as_json:
        say_json(_added(kept, dry_run))
    else:
        say("\n".join(one.line for one in kept))


def _added(kept: Iterable[Entered], dry_run: bool) -> dict[str, Any]:
    from dataclasses import asdict

    return {"schema": "fitment.reading-add/1", "dry_run": dry_run, "readings": [asdict(one) for one in kept]}


def _add_page(file: Path, db: str | None, system: str | None, dry_run: bool, as_json: bool) -> None:
    """A typed page, from a file or from stdin."""
    from fitment.catalogue.database import open_engine
    from fitment.catalogue.page import add_page
    from fitment.cli.moving import counted
    from fitment.cli.page_file import page_text

    name, text = page_text(file)
    engine = open_engine(db)
    try:
        told = add_page(engine, text, name, system, dry_run)
    finally:
        engine.dispose()
    if as_json:
        say_json(_added(told.readings, dry_run))
        return
    lines = [one.line for one in told.readings]
    say("\n".join([*lines, ("would add: " if dry_run else "added: ") + counted(told.added)]))


@readings.command("withdraw")
def withdraw(
    reading: Annotated[str, typer.Argument(metavar="READING", help="The first letters of its id.")],
    reason: Annotated[str, typer.Option(help="Why; it stays on record.")],
    who: Annotated[str, typer.Option(metavar="INITIALS")] = "",
    db: Database = None,
    dry_run: DryRun = False,
) -> None:
    """Takes a reading out of force, with a reason; it stays on record.

    Example: fitment reading withdraw 3f09ab12 --reason "read the wrong scale" --who AB
    """
    from fitment.catalogue.database import open_engine
    from fitment.catalogue.records import writing
    from fitment.errors import UsageFault

    if not reason.strip():
        raise UsageFault("a withdrawal needs a reason", mending='--reason "..."', code="usage-03")
    engine = open_engine(db)
    with writing(engine, dry_run) as pen:
        found = pen.reading(reading)
        pen.withdraw(found, reason.strip(), who)
        told = f"withdrew {found.uid[:8]}: {found.feature} {found.dimension} {found.entered}"
    engine.dispose()
    say(told)


@readings.command("list")
def list_(
    reference: Annotated[
        str | None, typer.Argument(metavar="[REF]", help="Only of this part, item or vehicle.")
    ] = None,
    db: Database = None,
    as_json: Json = False,
) -> None:
    """Readings with who, when, tool and source; withdrawn ones with the reason.

    Example: fitment reading list NORTH/RE-3
    """
    from dataclasses import asdict

    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.listing import readings as found_readings

    engine = open_engine(db)
    with storage_faults(str(engine.url)), engine.connect() as connection:
        found = found_readings(connection, reference)
    engine.dispose()
    if as_json:
        say_json({"schema": "fitment.reading-list/1", "readings": [asdict(reading) for reading in found]})
        return
    from fitment.sheets.tables import table

    rows = [
        (
            r.uid[:8],
            f"{r.of} {r.feature} {r.dimension}",
            " ".join(filter(None, (r.entered, r.bare_unit))),
            " ".join(filter(None, (r.who, r.dated, r.tool, r.condition))),
            f"withdrawn: {r.withdrawn}" if r.withdrawn else r.source + (" (hearsay)" if r.hearsay else ""),
        )
        for r in found
    ]
    say(table(("id", "of", "entered", "who, when, tool", "source"), rows, width()) if rows else "no readings")


def register(app: typer.Typer) -> None:
    """Adds the command group."""
    app.add_typer(readings, name="reading")
