"""``fitment reading add|withdraw|decide|list|affected``."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fitment.cli.affected import affected
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
    paper: Annotated[
        list[Path] | None,
        typer.Option("--paper", metavar="FILE", help="Photograph or paper of the sitting: path and SHA-256 are kept."),
    ] = None,
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
        given = (reference, sitting, who, source, tool, condition, paper)
        if any(value is not None for value in given):
            raise UsageFault(
                "--from takes everything from the page",
                mending="leave out REF, FEATURE, values, --sitting, --who, --source, --tool, --condition and --paper",
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
        checked_condition(condition or ""),
        system,
        dry_run,
        paper or (),
    )
    if made:
        hint(f"made the sitting {made}", quiet)
    if as_json:
        say_json(added(kept, dry_run))
    else:
        say("\n".join(one.line for one in kept))


def checked_condition(condition: str) -> str:
    """The condition of what was read.

    Raises:
        UsageFault: there is no such condition.
    """
    if condition not in ("", "new", "used", "worn", "unknown"):
        from fitment.errors import UsageFault

        raise UsageFault(f'--condition is "{condition}"', mending="allowed: new, used, worn, unknown", code="usage-02")
    return condition


def added(kept: Iterable[Entered], dry_run: bool) -> dict[str, Any]:
    """Readings as they were added, as one object."""
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
        say_json(added(told.readings, dry_run))
        return
    lines = [one.line for one in told.readings]
    say("\n".join([*lines, ("would add: " if dry_run else "added: ") + counted(told.added)]))


@readings.command("withdraw")
def withdraw(
    reading: Annotated[str, typer.Argument(metavar="READING", help="The first letters of its id.")],
    reason: Annotated[str, typer.Option(help="Why; it stays on record.")],
    who: Annotated[str, typer.Option(metavar="INITIALS")] = "",
    instead: Annotated[
        str | None, typer.Option(metavar="READING", help="A reading on record that takes its place.")
    ] = None,
    value: Annotated[
        str | None, typer.Option(metavar="VALUE", help="A new value that takes its place: a reading of its own.")
    ] = None,
    sitting: Annotated[
        str | None, typer.Option(metavar="NAME", help="Of the new value; that of the old one if left out.")
    ] = None,
    db: Database = None,
    units: Annotated[
        str | None, typer.Option("--units", metavar="mm|inch", help="Units of a bare new value; without it refused.")
    ] = None,
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Takes a reading out of force, with a reason; it stays on record, and kept reports that used it stay as they are.

    Example: fitment reading withdraw 3f09ab12 --reason "read the wrong scale" --who AB --value "14.2 mm"
    """
    from fitment.catalogue.corrected import Instead
    from fitment.catalogue.corrected import withdraw as take_out
    from fitment.errors import UsageFault

    if not reason.strip():
        raise UsageFault("a withdrawal needs a reason", mending='--reason "..."', code="usage-03")
    if (instead is not None and value is not None) or (value is None and (sitting or units)):
        raise UsageFault(
            "one reading takes the place of one",
            mending="--instead READING, or --value VALUE (with --sitting and --units where they are needed)",
            code="usage-31",
        )
    how = Instead(instead, value, sitting, units_named(units) if units else None)
    told = take_out(db, reading, reason.strip(), who, how, dry_run)
    if as_json:
        used = _affected(told.uid, told.reports, told.builds)
        found = {"withdrawn": told.uid, "instead": told.instead, "affected": used, "dry_run": dry_run}
        say_json({"schema": "fitment.reading-withdraw/1", **found})
    else:
        say("\n".join(told.lines))
    _hint_affected(told.uid, told.reports, told.builds, quiet)


def _affected(uid: str, reports: int, builds: int) -> dict[str, Any]:
    return {"reading": uid, "kept_reports": reports, "builds": builds}


def _hint_affected(uid: str, reports: int, builds: int, quiet: bool) -> None:
    if reports or builds:
        from collections import Counter

        from fitment.cli.moving import counted

        used = counted(+Counter({"kept report": reports, "build": builds}))
        hint(f"affected: {used}; fitment reading affected {uid[:8]} shows them", quiet)


@readings.command("decide")
def decide(
    reference: Annotated[str, typer.Argument(metavar="REF", help="The part, item or vehicle.")],
    feature: Annotated[str, typer.Argument(metavar="FEATURE", help="bar-end.left, stud, eye ...")],
    dimension: Annotated[str, typer.Argument(metavar="DIMENSION", help="What is in conflict: large, thread ...")],
    take: Annotated[
        str, typer.Option(metavar="READING[,READING]", help="Readings that hold, by the first letters of their ids.")
    ],
    reason: Annotated[str, typer.Option(help="Why; it stays on record.")],
    who: Annotated[str, typer.Option(metavar="INITIALS")] = "",
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Settles a conflict: some readings hold, the others are set aside, and stay on record with the reason.

    It settles what is known now: a later reading agrees with it, or brings the conflict back. Who thinks otherwise
    later decides again. Kept reports that used a reading now set aside stay as they are: fitment reading affected
    shows them and writes the correction notice.

    Example: fitment reading decide NORTH/RE-3 stud large --take 3f09ab12 --reason "the other is over paint" --who AB
    """
    from fitment.catalogue.database import open_engine
    from fitment.catalogue.deciding import decide as settle
    from fitment.catalogue.records import writing
    from fitment.errors import UsageFault

    taken = [one.strip() for one in take.split(",") if one.strip()]
    if not reason.strip() or not taken:
        raise UsageFault(
            "a decision needs readings and a reason", mending='--take READING --reason "..."', code="usage-33"
        )
    engine = open_engine(db)
    with writing(engine, dry_run) as pen:
        settled = settle(pen, reference, feature, dimension, taken, reason.strip(), who)
    engine.dispose()
    decision, value = settled.decision, settled.value
    if as_json:
        say_json(
            {
                "schema": "fitment.reading-decide/1",
                "of": settled.of,
                "feature": decision.feature,
                "dimension": decision.dimension,
                "value": value.shown,
                "source": value.source,
                "taken": list(decision.taken),
                "affected": [_affected(*one) for one in settled.affected],
                "dry_run": dry_run,
            }
        )
    else:
        say(f"{settled.of} {decision.feature} {decision.dimension} = {value.shown} ({value.source})")
        say(f"set aside: {', '.join(sorted(uid[:8] for uid in decision.aside))}")
    for one in settled.affected:
        _hint_affected(*one, quiet)


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


readings.command("affected")(affected)


def register(app: typer.Typer) -> None:
    """Adds the command group."""
    app.add_typer(readings, name="reading")
