"""``fitment demo``: the invented catalogue, its kits checked, their reports written."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitment.cli.common import Json, Quiet, hint, say, say_json, width


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("demo")(demo)


def demo(
    into: Annotated[Path, typer.Option("--into", metavar="DIR", help="Folder to make.")] = Path("fitment-demo"),
    yes: Annotated[bool, typer.Option("--yes", help="Replace an earlier demo in that folder.")] = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Builds the demo catalogue from invented parts, checks every demo kit and writes its report.

    Example: fitment demo --into try-it
    """
    import textwrap

    from fitment.kits.demo import build_demo
    from fitment.sheets.report_text import report_text

    reports = build_demo(into, replace=yes)
    folder = into / "reports"
    folder.mkdir()
    lines, kits = [], []
    for stem, report in reports:
        file = folder / f"{stem}.txt"
        kit = {"kit": str(into / "kits" / f"{stem}.toml"), "report": str(file)}
        kits.append({**kit, "verdict": str(report.verdict), "ruling": report.ruling})
        file.write_text(report_text(report, 80, "mm", True), encoding="utf-8")
        line = f"{report.verdict!s:15} {stem}: {report.ruling}"
        lines.append(textwrap.fill(line, width(), subsequent_indent=" " * 16, break_on_hyphens=False))
    if as_json:
        catalogue = str(into / "catalogue.sqlite")
        say_json({"schema": "fitment.demo/1", "folder": str(into), "catalogue": catalogue, "kits": kits})
        return
    say(f"The demo is in {into} (invented cars, parts and shops). Every kit of it, checked:\n")
    say("\n".join(lines))
    say(f"\nReports: {folder}/*.txt   sheets as a user writes them: {into / 'sheets'}   kits: {into / 'kits'}")
    example = reports[0][0] if reports else "NAME"
    hint(f"look closer: fitment check {into / 'kits' / example}.toml --db {into / 'catalogue.sqlite'}", quiet)
