"""``fitment build add|list|show|read|check``: a kit as it was really fitted."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fitment.cli.common import Database, DryRun, Json, Quiet, Units, hint, say, say_json, units_named, width

if TYPE_CHECKING:
    from fitment.catalogue.built import BuildLine
    from fitment.kits.kit import Kit
    from fitment.kits.report import Report

builds = typer.Typer(rich_markup_mode=None, help="Builds: a kit as it was really fitted to a car.")

Reference = Annotated[str, typer.Argument(metavar="REF", help="SHOP/REF, or REF of your own shop.")]
Papers = Annotated[
    list[Path] | None,
    typer.Option("--paper", metavar="FILE", help="A photograph or paper: its path and SHA-256 are kept, not the file."),
]


@builds.command("add")
def add(
    reference: Reference,
    kit: Annotated[Path, typer.Option(metavar="KIT.toml", help="The kit that was fitted.")],
    vehicle: Annotated[str | None, typer.Option(metavar="REF", help="The car; the kit's target if left out.")] = None,
    item: Annotated[
        list[str] | None,
        typer.Option(metavar="PLACE=ITEM", help="Which item stands where the kit names a part: left.rod_end=RE-1a."),
    ] = None,
    date: Annotated[str, typer.Option(metavar="DATE", help="Year-month-day; today if left out.")] = "",
    who: Annotated[str, typer.Option(metavar="INITIALS")] = "",
    note: Annotated[str, typer.Option()] = "",
    paper: Papers = None,
    db: Database = None,
    dry_run: DryRun = False,
    quiet: Quiet = False,
) -> None:
    """Adds a build, checks its kit with the items as fitted and keeps the report with it.

    The kit's file is kept as it is now. Items that were left out can be added by the same command later; what was said
    is never changed.

    Example: fitment build add B-1 --kit rescue.toml --item left.rod_end=RE-1a --who AB --date 2026-11-25
    """
    from fitment.catalogue.builds import BuildWords, add_build
    from fitment.cli.report import given
    from fitment.kits.kit_file import load_kit

    asked = load_kit(kit)
    items = _items(item or [])
    report = _as_fitted(asked, _there(db, reference) | items, vehicle, db)
    fitted = {part.address: part.name for part in report.parts if part.is_item}
    said = BuildWords(
        reference=reference,
        vehicle=report.target.name,
        kit=asked.name,
        kit_file=asked.path,
        kit_digest=asked.digest,
        kit_text=asked.text,
        dated=date,
        who=who,
        note=note,
        items=fitted,
        papers=tuple(paper or ()),
    )
    name, uid = add_build(db, said, given(report, asked, fitted, "mm"), dry_run)
    lines = [f"{'would add' if dry_run else 'added'} {name}: {asked.name} in {report.target.name}"]
    lines += [f"  {place} {item}" for place, item in fitted.items()]
    say("\n".join([*lines, f"as fitted: {report.first_line} (report {uid[:8]})"]))
    left = [part.address for part in report.parts if not part.is_item]
    if left:
        hint(f"no item named for {', '.join(left)}: checked by the part's own readings", quiet)


def _items(pairs: list[str]) -> dict[str, str]:
    """``PLACE=ITEM`` pairs.

    Raises:
        UsageFault: one is not such a pair, or a place is named twice.
    """
    from fitment.errors import UsageFault

    found: dict[str, str] = {}
    for pair in pairs:
        place, equals, name = (word.strip() for word in pair.partition("="))
        if not (place and equals and name) or place in found:
            what = f"{place} is named twice" if place in found else f'--item "{pair}" is not PLACE=ITEM'
            raise UsageFault(what, mending="write for example --item left.rod_end=RE-1a", code="usage-30")
        found[place] = name
    return found


def _there(db: str | None, reference: str) -> dict[str, str]:
    """The items that a build of that reference has already; none where there is no such build."""
    from fitment.errors import NotFoundFault

    try:
        return _one(db, reference).fitted
    except NotFoundFault as fault:
        if fault.code == "ref-02":
            return {}
        raise


def _one(db: str | None, reference: str) -> BuildLine:
    from fitment.catalogue.built import builds as found
    from fitment.catalogue.database import connected

    with connected(db) as connection:
        build = found(connection, reference)[0]
    return build


def _as_fitted(kit: Kit, items: Mapping[str, str], vehicle: str | None, db: str | None) -> Report:
    """The kit checked with these items.

    Raises:
        DataFault: the kit names no part there, or is for another vehicle.
    """
    from fitment.catalogue.book import open_catalogue
    from fitment.errors import DataFault
    from fitment.kits.as_built import as_built
    from fitment.kits.check import check

    with open_catalogue(db) as book:
        if vehicle and (name := book.find_vehicle(vehicle).name) != (target := book.find_vehicle(kit.target).name):
            raise DataFault(
                f"the kit is for {target}, not for {name}",
                place=kit.target_place,
                mending=f'write target = "{name}" in the kit, or name the vehicle that it is for',
                code="build-05",
            )
        return check(as_built(kit, items), book)


@builds.command("list")
def list_(db: Database = None, as_json: Json = False) -> None:
    """Every build with its car, kit and latest report.

    Example: fitment build list
    """
    from fitment.catalogue.built import builds as found
    from fitment.catalogue.database import connected

    with connected(db) as connection:
        lines = found(connection)
    if as_json:
        say_json({"schema": "fitment.build-list/1", "builds": [_object(line) for line in lines]})
        return
    from fitment.sheets.tables import table

    rows = [
        (line.reference, line.vehicle, line.dated, line.kit, line.reports[-1].verdict if line.reports else "")
        for line in lines
    ]
    say(table(("build", "vehicle", "date", "kit", "latest report"), rows, width()) if rows else "no builds")


def _object(line: BuildLine) -> dict[str, Any]:
    """A build as both lists and pages of it say it."""
    from dataclasses import asdict

    told = asdict(line)
    del told["id"]
    return told


@builds.command("show")
def show(reference: Reference, db: Database = None, as_json: Json = False) -> None:
    """One build: items, as-built readings, kept reports, photographs and papers.

    Example: fitment build show B-1
    """
    from dataclasses import asdict

    from fitment.catalogue.built import as_built_readings, papers_of
    from fitment.catalogue.built import builds as found
    from fitment.catalogue.database import connected

    with connected(db) as connection:
        line = found(connection, reference)[0]
        read, papers = as_built_readings(connection, line), papers_of(connection, line)
    if as_json:
        more = {"readings": [asdict(one) for one in read], "papers": [asdict(one) for one in papers]}
        say_json({"schema": "fitment.build/1", **_object(line), **more})
        return
    from fitment.sheets.build_text import build_text

    say(build_text(line, read, papers, width()))


@builds.command("read")
def read(
    reference: Reference,
    place: Annotated[str, typer.Argument(metavar="PLACE", help="Where its item stands in the kit: left.rod_end.")],
    feature: Annotated[str, typer.Argument(metavar="FEATURE", help="bar-end.left, stud, eye ...")],
    values: Annotated[list[str], typer.Argument(metavar="NAME=VALUE...", help="As many as were taken.")],
    sitting: Annotated[str, typer.Option(metavar="NAME", help="The sitting that they belong to.")],
    who: Annotated[str | None, typer.Option(metavar="INITIALS", help="For a new sitting.")] = None,
    tool: Annotated[
        str | None, typer.Option(metavar="TOOL", help="For a new sitting; else each dimension's usual one.")
    ] = None,
    condition: Annotated[str, typer.Option(metavar="new|used|worn")] = "",
    paper: Papers = None,
    db: Database = None,
    units: Annotated[
        str | None,
        typer.Option("--units", metavar="mm|inch", help="Units of bare numbers; without it they are refused."),
    ] = None,
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Adds as-built readings: they are of the item that stands there, and the build names their sitting.

    Example: fitment build read B-1 left.rod_end stud "large=14.02 mm" --sitting fitting-1 --who AB
    """
    from fitment.catalogue.builds import add_as_built
    from fitment.cli.reading import added, checked_condition

    system = units_named(units) if units else None
    kept, made = add_as_built(
        db,
        reference,
        place,
        feature,
        values,
        sitting,
        who,
        tool,
        checked_condition(condition),
        system,
        tuple(paper or ()),
        dry_run,
    )
    if made:
        hint(f"made the sitting {made}", quiet)
    if as_json:
        say_json(added(kept, dry_run))
    else:
        say("\n".join(one.line for one in kept))


@builds.command("check")
def check_build(
    reference: Reference,
    keep: Annotated[bool, typer.Option("--keep", help="Keep the report with the build.")] = False,
    verbose: Annotated[
        bool, typer.Option("--verbose", "-v", help="Open the unknowns and show what each answer rests on.")
    ] = False,
    db: Database = None,
    units: Units = "mm",
    dry_run: DryRun = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Checks the build's own kit with the items as fitted, on the readings in force now; answers as fitment check.

    Example: fitment build check B-1 --keep
    """
    from fitment.catalogue.builds import keep_build_report
    from fitment.cli.check import answer
    from fitment.cli.report import given
    from fitment.kits.kit_file import read_kit

    system = units_named(units)
    build = _one(db, reference)
    kit = read_kit(build.kit_text.encode(), build.kit_file)
    report = _as_fitted(kit, build.fitted, None, db)
    if keep:
        kept = keep_build_report(db, reference, given(report, kit, build.fitted, system), dry_run)
        hint(f"{'would be kept' if dry_run else 'kept'} as report {kept[:8]} of {build.reference}", quiet)
    answer(report, system, verbose, as_json, quiet)


def register(app: typer.Typer) -> None:
    """Adds the command group."""
    app.add_typer(builds, name="build")
