"""``fitment sweep``: a matrix of many vehicles and racks, by check or by propose, on all cores or on a cluster."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fitment.cli.common import Database, DryRun, Json, Quiet, hint, say, say_json, width
from fitment.errors import DataFault, UsageFault

if TYPE_CHECKING:
    from fitment.kits.sweep import Stamp, Sweep


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("sweep")(sweep)


def sweep(
    into: Annotated[Path, typer.Option("--into", metavar="FILE.csv", help="The matrix, a new file.")],
    vehicle: Annotated[
        list[str] | None, typer.Option("--for", metavar="VEHICLE", help="A target; repeatable. All if left out.")
    ] = None,
    rack: Annotated[
        list[str] | None, typer.Option("--rack", metavar="RACK", help="A part or item; repeatable. All parts else.")
    ] = None,
    kit: Annotated[
        Path | None,
        typer.Option(
            "--kit", metavar="KIT.toml", help="Check this kit, with each target and rack in place of its own."
        ),
    ] = None,
    want: Annotated[str, typer.Option("--want", metavar="WANTS", help="As for fitment propose.")] = "",
    keep: Annotated[list[str] | None, typer.Option("--keep", metavar="PART", help="As for fitment propose.")] = None,
    without: Annotated[
        list[str] | None, typer.Option("--without", metavar="DONOR", help="As for fitment propose.")
    ] = None,
    adapters: Annotated[int, typer.Option("--adapters", metavar="N", min=0, max=4, help="As for propose.")] = 0,
    unknown: Annotated[int, typer.Option("--unknown", metavar="N", min=0, max=20, help="As for propose.")] = 0,
    workers: Annotated[
        int | None,
        typer.Option("--workers", metavar="N", min=1, max=512, help="Processes here; all cores if left out."),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option("--scheduler", metavar="ADDRESS", help="A Dask scheduler that you trust, tcp://HOST:8786."),
    ] = None,
    resume: Annotated[
        bool, typer.Option("--resume", help="Go on where a sweep into this file was broken off.")
    ] = False,
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Which racks go in which vehicles: a row for each pair, the best kit with that rack, or one kit checked.

    Same rows in the same order on one core, on all, or on a cluster. What is done is kept beside the file until it is
    whole. Exit 0 when done, whatever the rows say; 65 where some pair could not be asked.

    Example: fitment sweep --for NORTH/V-1 --for NORTH/V-2 --want "no machining" --into matrix.csv
    """
    from fitment.cli.progress import progress
    from fitment.cli.sweep_run import Journal, on_cluster, on_cores, swept
    from fitment.kits.sweep import Sweep, planned

    if kit is not None and (want or keep or without or adapters or unknown):
        raise UsageFault("--kit is checked as it is", mending="leave out what goes with proposals", code="sweep-11")
    if scheduler is not None and workers is not None:
        raise UsageFault("--workers is of this machine", mending="leave it out with --scheduler", code="sweep-12")
    if into.exists():
        raise DataFault("the file is there already", place=str(into), mending="name a new one", code="export-01")
    place = _reached(db)
    asked, stamp = planned(
        place,
        Sweep(
            tuple(vehicle or ()),
            tuple(rack or ()),
            _bytes(kit) if kit else b"",
            str(kit or ""),
            want,
            tuple(keep or ()),
            tuple(without or ()),
            adapters,
            unknown,
        ),
    )
    if dry_run:
        if as_json:
            say_json(_object(into, asked, stamp, {}, True))
        else:
            say(f"would sweep {_pairs(asked)} into {into}")
        return
    journal = Journal(into, _heading(asked, stamp))
    journal.read(resume)
    engine = on_cluster(scheduler) if scheduler else on_cores(workers or os.cpu_count() or 1)
    try:
        with progress(quiet) as tell:
            rows = swept(place, asked, stamp, engine, journal, tell)
    except KeyboardInterrupt:
        hint(f"broken off with {len(journal.rows)} of {len(asked.pairs)} pairs done; --resume goes on")
        raise
    _write(into, rows)
    journal.path.unlink(missing_ok=True)
    _tell(into, asked, stamp, rows, as_json)


def _reached(db: str | None) -> str:
    """The catalogue by a name that holds in other processes, and on other machines where the folder is shared."""
    from fitment.catalogue.place import as_url, default_url, sqlite_file

    url = as_url(db) if db is not None else default_url()
    file = sqlite_file(url)
    return url if file is None else f"sqlite:///{file.absolute()}"


def _bytes(kit: Path) -> bytes:
    from fitment.kits.kit_file import load_kit

    return load_kit(kit).text.encode()


def _pairs(asked: Sweep) -> str:
    counted = [(len(asked.pairs), "pair"), (len(asked.vehicles), "vehicle"), (len(asked.racks), "rack")]
    pairs, vehicles, racks = (f"{count} {word}{'' if count == 1 else 's'}" for count, word in counted)
    return f"{pairs} ({vehicles}, {racks})"


def _heading(asked: Sweep, stamp: Stamp) -> dict[str, Any]:
    """What a journal must be of, to be gone on with."""
    import hashlib
    from dataclasses import asdict

    from fitment.cli.common import program

    question = {**asdict(asked), "kit": hashlib.sha256(asked.kit).hexdigest() if asked.kit else ""}
    return {"schema": "fitment.sweep-journal/1", "program": program(), "catalogue": list(stamp), **question}


def _write(into: Path, rows: list[tuple[str, ...]]) -> None:
    from fitment.catalogue.sheet_text import Table, write_sheet
    from fitment.catalogue.whole_file import write_whole
    from fitment.kits.sweep import COLUMNS

    write_whole(into, write_sheet(Table(list(COLUMNS), [list(row) for row in rows])).encode())


def _object(into: Path, asked: Sweep, stamp: Stamp, verdicts: dict[str, int], dry_run: bool) -> dict[str, Any]:
    from fitment.kits.report import STANDING_CAUTIONS

    return {
        "schema": "fitment.sweep/1",
        "file": str(into),
        "dry_run": dry_run,
        "vehicles": list(asked.vehicles),
        "racks": list(asked.racks),
        "kit": asked.kit_file or None,
        "catalogue": {"id": stamp[0], "revision": stamp[1], "digest": stamp[2]},
        "verdicts": verdicts,
        "cautions": list(STANDING_CAUTIONS),
    }


def _tell(into: Path, asked: Sweep, stamp: Stamp, rows: list[tuple[str, ...]], as_json: bool) -> None:
    import textwrap

    from fitment.kits.report import STANDING_CAUTIONS
    from fitment.kits.sweep import NOT_ASKED, tallied

    verdicts = tallied(rows)
    if as_json:
        say_json(_object(into, asked, stamp, verdicts, False))
    else:
        told = [
            f"{count} {word}{' (dimensions only)' if word.startswith('fits') else ''}"
            for word, count in verdicts.items()
        ]
        lines = [f"{_pairs(asked)}: {', '.join(told)}", f"Written to {into}.", "", *STANDING_CAUTIONS]
        say("\n".join(textwrap.fill(line, width(), break_on_hyphens=False) for line in lines))
    raise typer.Exit(65 if NOT_ASKED in verdicts else 0)
