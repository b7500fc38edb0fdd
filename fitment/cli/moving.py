"""``fitment import``, ``export`` and ``template``: sheets in and out."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Annotated

import typer

from fitment.cli.common import Database, DryRun, Json, Quiet, Units, hint, say, say_json, units_named
from fitment.cli.progress import progress
from fitment.errors import UsageFault


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("import")(import_)
    app.command("export")(export)
    app.command("template")(template)


def counted(added: Counter[str]) -> str:
    """``3 parts, 41 readings``; ``nothing new`` of nothing."""
    names = [
        f"{number} {name}{'' if number == 1 or name in ('fitted to', 'fitted-to') else 's'}"
        for name, number in sorted(added.items())
    ]
    return ", ".join(names) or "nothing new"


def import_(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE...",
            help="CSV sheets or workbooks (.xlsx), a sheet's first heading names its kind; or files of other shops.",
        ),
    ],
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Takes sheets into the catalogue: all of them, or, at the first fault, nothing. Twice changes nothing.

    Files that other shops made with fitment export --exchange come in any order, any number of times, with the same
    result. Their readings stay theirs; parts that may be one of yours are proposed by fitment part join.

    Example: fitment import vehicles.csv sources.csv sittings.csv rod-ends.csv --dry-run
    """
    from fitment.catalogue.database import open_engine
    from fitment.catalogue.exchange.files import is_exchange
    from fitment.catalogue.importing import import_files

    given = [path for path in files if is_exchange(path)]
    if given:
        if len(given) != len(files):
            raise UsageFault(
                "sheets and files of other shops at once", mending="import one after the other", code="usage-36"
            )
        _take(files, db, dry_run, as_json, quiet)
        return
    engine = open_engine(db)
    with progress(quiet) as tell:
        told = import_files(engine, files, dry_run, tell)
    added = told.added
    engine.dispose()
    for note in told.notes:
        hint(note)
    if as_json:
        say_json({"schema": "fitment.import/1", "dry_run": dry_run, "added": dict(sorted(added.items()))})
    else:
        if dry_run:
            say("\n".join([*told.lines, "would add: " + counted(added)]))
        else:
            say("added: " + counted(added))
    if not dry_run and added["reading"]:
        hint("a reading is never deleted; fitment reading withdraw takes it out of force", quiet)


def _take(files: list[Path], db: str | None, dry_run: bool, as_json: bool, quiet: bool) -> None:
    """Takes files of other shops in, and says which parts may be one."""
    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.exchange.taking import take_files
    from fitment.catalogue.joining import alike

    engine = open_engine(db)
    try:
        with progress(quiet) as tell:
            told = take_files(engine, files, dry_run, tell)
        with storage_faults(str(engine.url)), engine.connect() as connection:
            pairs = alike(connection)
    finally:
        engine.dispose()
    for note in (*told.notes, *told.permissions):
        hint(note)
    if as_json:
        say_json({"schema": "fitment.import/1", "dry_run": dry_run, "added": dict(sorted(told.added.items()))})
    elif dry_run:
        say("\n".join([*told.lines, "would add: " + counted(told.added)]))
    else:
        say("added: " + counted(told.added))
    if pairs:
        hint(f"{len(pairs)} pairs of parts may be one; fitment part join shows them", quiet)


def export(
    into: Annotated[Path | None, typer.Option("--into", metavar="DIR", help="CSV, in a new or empty folder.")] = None,
    xlsx: Annotated[Path | None, typer.Option("--xlsx", metavar="FILE", help="One new workbook, all as text.")] = None,
    exchange: Annotated[
        Path | None, typer.Option("--exchange", metavar="FILE", help="One new file for another shop (JSON Lines).")
    ] = None,
    permission: Annotated[
        str, typer.Option(metavar="TEXT", help="With --exchange: what you permit with your records.")
    ] = "",
    parts: Annotated[
        list[str] | None,
        typer.Option("--part", metavar="REF", help="With --exchange: only this part, item or vehicle; repeatable."),
    ] = None,
    kit: Annotated[
        Path | None, typer.Option("--kit", metavar="KIT.toml", help="With --exchange: only the parts and car of a kit.")
    ] = None,
    since: Annotated[
        str, typer.Option(metavar="DATE", help="With --exchange: what was read, withdrawn or decided since.")
    ] = "",
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
) -> None:
    """Writes the whole catalogue as sheets; importing them elsewhere gives the same readings.

    With --exchange: records for another shop, all or those chosen, with all that they rest on. Initials go with them,
    kept reports do not.

    Example: fitment export --exchange for-south.jsonl --part RE-3 --permission "pass on freely"
    """
    if sum(place is not None for place in (into, xlsx, exchange)) != 1:
        raise UsageFault(
            "one place to write to is needed",
            mending="give --into DIR, --xlsx FILE or --exchange FILE",
            code="export-04",
        )
    if exchange is not None:
        if not permission.strip():
            raise UsageFault(
                "say what you permit with your records", mending='--permission "pass on freely"', code="usage-37"
            )
        _send(exchange, permission.strip(), parts or [], kit, since, db, dry_run, as_json)
        return
    if permission or parts or kit or since:
        raise UsageFault(
            "--permission, --part, --kit and --since go with --exchange", mending="sheets hold all", code="usage-38"
        )
    _sheets(into, xlsx, db, dry_run, as_json)


def _send(
    file: Path,
    permission: str,
    parts: list[str],
    kit: Path | None,
    since: str,
    db: str | None,
    dry_run: bool,
    as_json: bool,
) -> None:
    """Writes a file for another shop."""
    from fitment.catalogue.database import connected
    from fitment.catalogue.entering import checked_date
    from fitment.catalogue.exchange.choosing import Choice
    from fitment.catalogue.exchange.sending import send
    from fitment.cli.common import program

    things = list(parts)
    if kit is not None:
        from fitment.kits.kit_file import load_kit

        loaded = load_kit(kit)
        things += [loaded.target, *(one.reference for one in loaded.parts), *(one.reference for one in loaded.adapters)]
    choice = Choice(tuple(dict.fromkeys(things)), checked_date(since) if since else "")
    with connected(db) as connection:
        sent = send(connection, file, choice, permission, program(), dry_run)
    for line in sent.others:
        hint(line)
    if as_json:
        told = {"files": [str(file)], "records": dict(sorted(sent.records.items())), "dry_run": dry_run}
        say_json({"schema": "fitment.export/1", **told})
    else:
        say(f"{file}: {'would hold ' if dry_run else ''}{counted(sent.records)}")


def _sheets(into: Path | None, xlsx: Path | None, db: str | None, dry_run: bool, as_json: bool) -> None:
    """Writes the whole catalogue as sheets."""
    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.exporting import export_folder, export_workbook

    engine = open_engine(db)
    with storage_faults(str(engine.url)), engine.connect() as connection:
        if into is not None:
            written = export_folder(connection, into, dry_run)
        elif xlsx is not None:
            export_workbook(connection, xlsx, dry_run)
            written = [xlsx]
    engine.dispose()
    files = [str(path) for path in written]
    if as_json:
        say_json({"schema": "fitment.export/1", "files": files, "records": {}, "dry_run": dry_run})
    else:
        say("\n".join(files))


def template(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="A kind of part, or vehicle, source, sitting, item.")],
    quick: Annotated[bool, typer.Option("--quick", help="Only the rows that decide first, at most 15.")] = False,
    full: Annotated[bool, typer.Option("--full", help="Every row; a sheet is full unless --quick is given.")] = False,
    print_: Annotated[
        bool, typer.Option("--print", help="A page for pencil, as text; quick unless --full is given.")
    ] = False,
    into: Annotated[
        Path | None,
        typer.Option("--into", metavar="DIR|FILE", help="With --print: .txt or .html, or both into a folder."),
    ] = None,
    xlsx: Annotated[Path | None, typer.Option("--xlsx", metavar="FILE", help="As a new workbook, all as text.")] = None,
    units: Units = "mm",
    dry_run: DryRun = False,
    as_json: Json = False,
) -> None:
    """An empty sheet to fill in, with a units row and a how-to row; or with --print a page to take to the yard.

    The page's short lines, typed into a message or a file, are read back by fitment reading add --from FILE.

    Example: fitment template rod-end > rod-ends.csv; fitment template rack --print --into yard
    """
    if quick and full:
        raise UsageFault("--quick and --full at once", mending="give one of them", code="usage-20")
    if into is not None and not print_:
        raise UsageFault("--into goes with --print", mending="a sheet is written by > FILE", code="usage-21")
    if xlsx is not None and (print_ or dry_run):
        raise UsageFault("--xlsx is a sheet to fill in", mending="leave out --print and --dry-run", code="export-05")
    if as_json and (print_ or xlsx is not None):
        raise UsageFault("--json is of the sheet alone", mending="leave out --print and --xlsx", code="usage-35")
    system = units_named(units)
    if print_:
        _print(kind, full, system, into, dry_run)
        return
    from fitment.catalogue.exporting import template_table
    from fitment.catalogue.sheet_text import write_sheet

    table = template_table(kind, system, quick)
    if as_json:
        told = {"kind": table.headings[0], "headings": table.headings, "rows": table.rows}
        say_json({"schema": "fitment.template/1", **told})
        return
    if xlsx is None:
        say(write_sheet(table))
        return
    from fitment.catalogue.workbook_writing import write_workbook

    write_workbook(xlsx, {table.headings[0]: table})
    say(str(xlsx))


def _print(word: str, full: bool, system: str, into: Path | None, dry_run: bool) -> None:
    """The page on stdout, or as files."""
    from fitment.catalogue.dictionary import find_kind
    from fitment.sheets.paper import paper_for
    from fitment.sheets.paper_files import write_paper
    from fitment.sheets.paper_text import paper_text

    paper = paper_for(find_kind(word), full, system)
    if into is None:
        say(paper_text(paper))
    else:
        say("\n".join(str(path) for path in write_paper(paper, into, dry_run)))
