"""``fitment sheet``: what is handed over for a kit, as pages, drawings and tables in a folder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fitment.cli.common import Database, DryRun, Json, Quiet, Units, hint, program, say, say_json, units_named, width

if TYPE_CHECKING:
    from fitment.sheets.context import SheetContext
    from fitment.sheets.handover import HandOver


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("sheet")(sheet)


def sheet(
    kit: Annotated[Path, typer.Argument(metavar="KIT.toml", help="The kit file.")],
    into: Annotated[Path, typer.Option("--into", metavar="DIR", help="Folder to write to.")],
    only: Annotated[
        list[str] | None,
        typer.Option(
            "--only", metavar="NAME", help="This document alone, by its page's name (set-up); may be repeated."
        ),
    ] = None,
    paper: Annotated[str, typer.Option("--paper", metavar="A4|letter", help="Size of the paper.")] = "A4",
    yes: Annotated[
        bool, typer.Option("--yes", help="Replace what an earlier fitment sheet wrote there, if unchanged since.")
    ] = False,
    db: Database = None,
    units: Units = "mm",
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Writes what is handed over: reports and sheets as pages to print, parts list as CSV, drawings as SVG and DXF.

    The report is recorded, as by fitment check --keep. Exit code 0 says that the sheets were written, not that the kit
    fits: the verdict is the first line told, and stands on every page.

    Example: fitment sheet kits/rescue.toml --into rescue-sheets --paper letter
    """
    from fitment.catalogue.fitted import open_shelf
    from fitment.catalogue.keeping import keep_report, made_now
    from fitment.cli.report import given
    from fitment.kits.kit_file import load_kit
    from fitment.kits.report import Report
    from fitment.sheets.documents import asks_for_readings, chosen
    from fitment.sheets.gathering import gather
    from fitment.sheets.handover import hand_over, may_write
    from fitment.sheets.paper_size import paper_size

    system, size = units_named(units), paper_size(paper)
    asking = asks_for_readings(chosen(only or ()))
    asked, made = load_kit(kit), made_now()

    def keep(report: Report, dry: bool) -> str:
        return keep_report(db, given(report, asked, {}, system, made), dry)

    with open_shelf(db) as shelf:
        context = gather(asked, shelf, size, system, made[:10], program(), lambda report: keep(report, True), asking)
    written = hand_over(context, only or ())
    told = _object(context, written, into)
    files = {**written.files, "files.json": _bytes(told)}
    stale = may_write(into, files, yes)
    if not dry_run:
        into.mkdir(parents=True, exist_ok=True)
        keep(context.report, False)
        _write(into, files, stale)
    if as_json:
        say_json(told)
    else:
        say(_lines(context, written, into, dry_run))
        hint(f"kept as report {context.report_id[:8]}; print at 100 %, not fitted to the page", quiet or dry_run)


def _write(into: Path, files: dict[str, bytes], stale: list[Path]) -> None:
    from fitment.catalogue.whole_file import write_all

    write_all({into / name: content for name, content in files.items()})
    for path in stale:
        path.unlink()


def _object(context: SheetContext, written: HandOver, into: Path) -> dict[str, Any]:
    from fitment.sheets.handover import digests

    report = context.report
    return {
        "schema": "fitment.sheet/1",
        "verdict": str(report.verdict),
        "first_line": report.first_line,
        "kit": report.kit,
        "kit_file": {"path": report.kit_file, "sha256": report.kit_digest},
        "catalogue": {
            "id": report.catalogue.id,
            "revision": report.catalogue.revision,
            "digest": report.catalogue.digest,
        },
        "report": context.report_id,
        "paper": context.paper.name,
        "folder": str(into),
        "documents": [
            {"name": document.name, "title": document.title, "files": list(names)} for document, names in written.made
        ],
        "left_out": [{"name": document.name, "title": document.title} for document in written.left_out],
        "files": digests(written.files),
    }


def _bytes(told: dict[str, Any]) -> bytes:
    import json

    return (json.dumps(told, ensure_ascii=False, indent=2) + "\n").encode()


def _lines(context: SheetContext, written: HandOver, into: Path, dry_run: bool) -> str:
    import textwrap

    columns = width()

    def wrapped(line: str, hang: int = 0) -> str:
        return textwrap.fill(line, columns, subsequent_indent=" " * hang, break_on_hyphens=False)

    where = f"{'Would be written' if dry_run else 'Written'} to {into}:"
    lines = [wrapped(context.report.first_line), wrapped(where), ""]
    pad = max(len(names[0]) for _, names in written.made) + 2 if written.made else 0
    for document, (page, *beside) in written.made:
        lines.append(wrapped(f"{page:{pad}}{document.title}, for {document.reader}{_with(beside)}", pad))
    if "report.html" in written.files:
        lines.append(wrapped(f"{'report.html':{pad}}all of them in one page", pad))
    if written.left_out:
        titles = ", ".join(one.title[0].lower() + one.title[1:] for one in written.left_out)
        lines += ["", wrapped(f"Nothing to say in this kit for: {titles}.")]
    return "\n".join(lines)


def _with(names: list[str]) -> str:
    """What goes with a page: its name where it is one file, else how many of each sort."""
    if len(names) == 1:
        return f"; with {names[0]}"
    sorts = [Path(name).suffix.removeprefix(".").upper() for name in names]
    return f"; with {' and '.join(f'{sorts.count(sort)} {sort}' for sort in sorted(set(sorts)))}" if names else ""
