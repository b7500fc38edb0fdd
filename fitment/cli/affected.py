"""``fitment reading affected``: what used a reading, old verdict beside new, and the correction notice."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitment.cli.common import Database, DryRun, Json, Quiet, Units, hint, program, say, say_json, units_named, width

if TYPE_CHECKING:
    from fitment.kits.correction import Notice

#: of the notice's text
_WIDTH = 80


def affected(
    reading: Annotated[str, typer.Argument(metavar="READING", help="The first letters of its id.")],
    notice: Annotated[
        Path | None,
        typer.Option(
            "--notice", metavar="FILE|DIR", help="Write the correction notice: .txt, .html, or both into a folder."
        ),
    ] = None,
    db: Database = None,
    units: Units = "mm",
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Kits, builds and kept reports that used a reading; each kit is checked again as the catalogue now stands.

    The notice is of a reading that was withdrawn, or that a decision set aside. Old and new verdict stand side by side,
    with the rules whose verdict changed. Kept reports are not changed. Exit code 0: some are affected; 1: none is.

    Example: fitment reading affected 3f09ab12 --notice corrections/
    """
    from fitment.catalogue.book import Book
    from fitment.catalogue.corrected import correction
    from fitment.catalogue.database import connected
    from fitment.catalogue.dates import today
    from fitment.kits.correction import notice as made

    system = units_named(units)
    with connected(db) as connection:
        told = made(correction(connection, reading), Book(connection), program(), today())
    if notice is not None:
        for path in _write(told, notice, system, dry_run):
            hint(f"{'would write' if dry_run else 'wrote'} {path}", quiet)
    if as_json:
        from fitment.kits.correction_json import correction_object

        say_json(correction_object(told))
    else:
        from fitment.sheets.correction_text import correction_text

        say(correction_text(told, width(), system))
    raise typer.Exit(0 if told.anything else 1)


def _write(told: Notice, into: Path, system: str, dry_run: bool) -> list[Path]:
    """Writes the notice; returns its files.

    Raises:
        DataFault: the reading is in force; or a file of that name holds something else.
    """
    from fitment.cli.new_file import write_new
    from fitment.errors import DataFault
    from fitment.sheets.correction_html import correction_html
    from fitment.sheets.correction_text import correction_text

    uid = told.correction.reading.uid[:8]
    if not told.correction.corrected:
        raise DataFault(
            f"reading {uid} is in force: there is nothing to give notice of",
            mending=f'fitment reading withdraw {uid} --reason "..." or a decision that sets it aside first',
            code="reading-07",
        )
    texts = {".txt": correction_text(told, _WIDTH, system), ".html": correction_html(told, system)}
    if into.suffix in texts:
        files = {into: texts[into.suffix].encode()}
    else:
        files = {into / f"correction-{uid}{suffix}": text.encode() for suffix, text in texts.items()}
    if not dry_run:
        for path in files:
            path.parent.mkdir(parents=True, exist_ok=True)
        write_new(files)
    return list(files)
