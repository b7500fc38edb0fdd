"""``fitment vehicle|part|item add|list|show`` and ``fitment part history``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from fitment.cli.common import Database, DryRun, Json, say, say_json, units_named, width

if TYPE_CHECKING:
    from fitment.catalogue.adopt import AdoptedValue
    from fitment.catalogue.joining import Alike

vehicles = typer.Typer(rich_markup_mode=None, help="Cars: targets and donors.")
parts = typer.Typer(rich_markup_mode=None, help="Parts (designs, by part number).")
items = typer.Typer(rich_markup_mode=None, help="Items: the one on the shelf, of a part.")

Reference = Annotated[str, typer.Argument(metavar="REF", help="SHOP/REF, or REF of your own shop.")]
Text = Annotated[str | None, typer.Option()]
Ask = Annotated[bool, typer.Option("--ask", help="Ask for its readings one by one; each is kept as it is answered.")]
InSitting = Annotated[
    str | None, typer.Option("--sitting", metavar="NAME", help="With --ask: who, when and source; asked if new.")
]
Full = Annotated[bool, typer.Option("--full", help="With --ask: every row; else the few that decide first.")]
AskUnits = Annotated[
    str | None, typer.Option("--units", metavar="mm|inch", help="With --ask: units of bare numbers; mm if not given.")
]


@vehicles.command("add")
def add_vehicle(
    reference: Reference,
    maker: Text = None,
    model: Text = None,
    years: Text = None,
    note: Text = None,
    ask: Ask = False,
    sitting: InSitting = None,
    full: Full = False,
    units: AskUnits = None,
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
) -> None:
    """Adds a vehicle; with --ask its first survey too, in any order, to be stopped and taken up again.

    Example: fitment vehicle add V-9 --maker Invented --model "Van 2" --years 1961-66 --ask --sitting survey-1
    """
    fields = {"maker": maker, "model": model, "years": years, "note": note}
    if ask:
        _not_asked(as_json)
        _ask("vehicle", reference, fields, sitting, full, units, db, dry_run)
    else:
        _without_ask(sitting, full, units)
        _add("vehicle", reference, db, dry_run, as_json, **fields)


@parts.command("add")
def add_part(
    reference: Reference,
    kind: Annotated[str, typer.Option(metavar="KIND", help="rack, tie-rod, rod-end, knuckle ...; trade words too.")],
    name: Text = None,
    maker: Text = None,
    number: Text = None,
    ask: Ask = False,
    sitting: InSitting = None,
    full: Full = False,
    units: AskUnits = None,
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
) -> None:
    """Adds a part; with --ask its readings too, in any order, to be stopped and taken up again.

    Example: fitment part add RK-7 --kind rack --name "wide rack" --ask --sitting yard-3
    """
    from fitment.catalogue.dictionary.lines import part_kind_in

    fields = {"name": name, "maker": maker, "number": number}
    found = part_kind_in(kind).kind
    if ask:
        _not_asked(as_json)
        _ask(found, reference, fields, sitting, full, units, db, dry_run)
    else:
        _without_ask(sitting, full, units)
        _add("part", reference, db, dry_run, as_json, kind=found, **fields)


@items.command("add")
def add_item(
    reference: Reference,
    part: Annotated[str, typer.Option(metavar="REF", help="The part that it is one of.")],
    condition: Text = None,
    welds: Text = None,
    price: Text = None,
    note: Text = None,
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
) -> None:
    """Adds an item of a part; condition, welds, price and note are kept as dated statements.

    Example: fitment item add RE-9a --part RE-9 --condition used --welds none
    """
    from fitment.catalogue.database import open_engine
    from fitment.catalogue.dates import today
    from fitment.catalogue.records import writing
    from fitment.catalogue.schema import Item, Part

    engine = open_engine(db)
    with writing(engine, dry_run) as pen:
        item = pen.put(Item, reference, part_id=pen.need(Part, part).id)
        for field, text in (("condition", condition), ("welds", welds), ("price", price), ("note", note)):
            if text:
                pen.state(item, field, text, today())
        name, new = item.reference, bool(sum(pen.added.values()))
    engine.dispose()
    _say_added("item", name, new, dry_run, as_json)


def _say_added(sort: str, reference: str, new: bool, dry_run: bool, as_json: bool) -> None:
    if as_json:
        say_json({"schema": f"fitment.{sort}-add/1", "reference": reference, "new": new, "dry_run": dry_run})
    else:
        say(f"added {reference}" if new else f"{reference} is there already")


def _not_asked(as_json: bool) -> None:
    """A dialogue has no one object to print."""
    if as_json:
        from fitment.errors import UsageFault

        raise UsageFault("--json does not go with --ask", mending="leave one of them out", code="usage-34")


def _without_ask(sitting: str | None, full: bool, units: str | None) -> None:
    given = [name for name, value in (("--sitting", sitting), ("--full", full), ("--units", units)) if value]
    if given:
        from fitment.errors import UsageFault

        raise UsageFault(f"{given[0]} goes with --ask", mending="add --ask, or leave it out", code="usage-22")


def _ask(
    kind: str,
    reference: str,
    fields: dict[str, str | None],
    sitting: str | None,
    full: bool,
    units: str | None,
    db: str | None,
    dry_run: bool,
) -> None:
    """The dialogue, and the command that takes it up again."""
    import shlex

    from fitment.catalogue.asking import Entry
    from fitment.catalogue.database import open_engine
    from fitment.catalogue.dictionary import part_kinds
    from fitment.catalogue.dictionary.lines import full_rows, quick_rows
    from fitment.cli.asking import dialogue

    of = part_kinds()[kind]
    again = ["fitment", "vehicle", "add", reference] if kind == "vehicle" else ["fitment", "part", "add", reference]
    again += [] if kind == "vehicle" else ["--kind", kind]
    again += ["--ask", *(["--full"] if full else []), *(["--units", units] if units else [])]
    again += ["--db", db] if db else []
    engine = open_engine(db)
    try:
        entry = Entry(engine, of, reference, fields, units_named(units or "mm"), dry_run)
        dialogue(entry, full_rows(of) if full else quick_rows(of), sitting, shlex.join(again))
    finally:
        engine.dispose()


def _add(sort: str, reference: str, db: str | None, dry_run: bool, as_json: bool, **fields: str | None) -> None:
    from fitment.catalogue.database import open_engine
    from fitment.catalogue.listing import TABLES
    from fitment.catalogue.records import writing

    engine = open_engine(db)
    with writing(engine, dry_run) as pen:
        name = pen.put(TABLES[sort], reference, **fields).reference
        new = bool(sum(pen.added.values()))
    engine.dispose()
    _say_added(sort, name, new, dry_run, as_json)


def _list(sort: str, kind: str | None, db: str | None, as_json: bool) -> None:
    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.listing import things

    engine = open_engine(db)
    with storage_faults(str(engine.url)), engine.connect() as connection:
        found = things(connection, sort, kind)
    engine.dispose()
    if as_json:
        rows = [{"reference": t.reference, "kind": t.kind, "title": t.title} for t in found]
        say_json({"schema": f"fitment.{sort}-list/1", f"{sort}s": rows})
        return
    from fitment.sheets.tables import table

    say(table(("reference", "kind", "title"), [(t.reference, t.kind, t.title) for t in found], width()))


def _show(sort: str, reference: str, db: str | None, as_json: bool) -> None:
    from dataclasses import asdict

    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.listing import described, one, values_of

    engine = open_engine(db)
    with storage_faults(str(engine.url)), engine.connect() as connection:
        row = one(connection, sort, reference)
        said, values = described(connection, sort, row), values_of(connection, sort, row)
    engine.dispose()
    name = f"{row.shop}/{row.ref}"
    if as_json:
        pairs = [{"name": key, "text": text} for key, text in said]
        say_json(
            {"schema": f"fitment.{sort}/1", "reference": name, "said": pairs, "values": [asdict(v) for v in values]}
        )
        return
    from fitment.sheets.tables import table

    lines = [f"{sort} {name}", *(f"  {key}: {text}" for key, text in said), ""]
    rows = [
        (
            f"{v.feature} {v.dimension}",
            "not known" if v.gap else v.shown,
            v.gap or _standing(v.basis, v.hearsay, v.assumed),
            v.source,
        )
        for v in values
    ]
    say(
        "\n".join(lines)
        + "\n"
        + (table(("dimension", "value", "basis", "source"), rows, width()) if rows else "no readings yet")
    )


def _standing(basis: str, hearsay: bool, assumed: bool) -> str:
    return basis + (", hearsay" if hearsay else "") + (", as left" if assumed else "")


def _reading_commands(group: typer.Typer, sort: str) -> None:
    """``list`` and ``show`` of one sort of thing."""

    @group.command("list", help=f"Every {sort}. Example: fitment {sort} list")
    def list_(db: Database = None, as_json: Json = False) -> None:
        _list(sort, None, db, as_json)

    @group.command("show", help=f"One {sort} and what is adopted for it. Example: fitment {sort} show NORTH/REF")
    def show(reference: Reference, db: Database = None, as_json: Json = False) -> None:
        _show(sort, reference, db, as_json)


@parts.command("list")
def list_parts(
    kind: Annotated[str | None, typer.Option(metavar="KIND", help="Only this kind.")] = None,
    db: Database = None,
    as_json: Json = False,
) -> None:
    """Every part, or those of a kind.

    Example: fitment part list --kind rod-end
    """
    from fitment.catalogue.dictionary import find_kind

    _list("part", find_kind(kind).kind if kind else None, db, as_json)


@parts.command("show")
def show_part(reference: Reference, db: Database = None, as_json: Json = False) -> None:
    """One part: what is adopted for each dimension, on what basis, from where.

    Example: fitment part show NORTH/RE-3
    """
    _show("part", reference, db, as_json)


@parts.command("history")
def history(
    reference: Annotated[str, typer.Argument(metavar="REF", help="A part, an item or a vehicle.")],
    dimension: Annotated[
        str, typer.Argument(metavar="[DIMENSION]", help="Only stud.large, or large, or stud.", show_default=False)
    ] = "",
    db: Database = None,
    as_json: Json = False,
) -> None:
    """The story of every dimension in order: readings, withdrawals, decisions, and what was adopted after each.

    Example: fitment part history NORTH/RE-3 stud.large
    """
    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.history import history as told

    engine = open_engine(db)
    with storage_faults(str(engine.url)), engine.connect() as connection:
        name, stories = told(connection, reference, dimension)
    engine.dispose()
    if as_json:
        from dataclasses import asdict

        dimensions = [
            {
                "feature": story.feature,
                "dimension": story.dimension,
                "steps": [asdict(step) | {"adopted": _adopted_object(step.adopted)} for step in story.steps],
            }
            for story in stories
        ]
        say_json({"schema": "fitment.part-history/1", "reference": name, "dimensions": dimensions})
        return
    from fitment.sheets.history_text import history_text

    say(history_text(name, stories))


def _adopted_object(value: AdoptedValue | None) -> dict[str, Any] | None:
    """An adopted value as ``part show`` tells it, with the readings behind it."""
    if value is None:
        return None
    return {
        "value": value.word if value.number is None else value.number,
        "u": value.u,
        "unit": None if value.number is None and not value.unit else value.unit,
        "shown": value.shown,
        "basis": value.basis.value,
        "source": value.source,
        "gap": value.gap,
        "hearsay": value.hearsay,
        "assumed": value.assumed,
        "readings": list(value.readings),
    }


@parts.command("join")
def join(
    first: Annotated[str, typer.Argument(metavar="[REF", help="A part.", show_default=False)] = "",
    second: Annotated[str, typer.Argument(metavar="REF]", help="The other part.", show_default=False)] = "",
    reason: Annotated[str, typer.Option(help="Why; it stays on record.")] = "",
    who: Annotated[str, typer.Option(metavar="INITIALS")] = "",
    undo: Annotated[bool, typer.Option("--undo", help="They are not one design after all.")] = False,
    db: Database = None,
    dry_run: DryRun = False,
    as_json: Json = False,
) -> None:
    """Two references for one design: the readings of each speak for both. Without references: which may be one.

    Nothing is joined unless somebody says so here, with a reason; --undo puts them apart again. Both stay on record.

    Example: fitment part join NORTH/RE-3 SOUTH/B-17 --reason "same number cast in both" --who AB
    """
    from fitment.catalogue.database import connected, open_engine
    from fitment.catalogue.joining import alike, put_together
    from fitment.catalogue.records import writing
    from fitment.errors import UsageFault

    if not first:
        with connected(db) as connection:
            pairs = alike(connection)
        _say_alike(pairs, as_json)
        raise typer.Exit(0 if pairs else 1)
    if not second or not reason.strip():
        raise UsageFault("a join needs two parts and a reason", mending='REF REF --reason "..."', code="usage-39")
    engine = open_engine(db)
    try:
        with writing(engine, dry_run) as pen:
            part, other = put_together(pen, first, second, reason.strip(), who, undo)
    finally:
        engine.dispose()
    if as_json:
        told = {"part": part, "other": other, "joined": not undo, "dry_run": dry_run}
        say_json({"schema": "fitment.part-join/1", "proposed": [], **told})
    elif undo:
        say(f"{part} and {other} stand apart again: each by its own readings")
    else:
        say(f"joined {part} and {other}: the readings of each speak for both")
        say(f'undo: fitment part join {part} {other} --undo --reason "..."')


def _say_alike(pairs: list[Alike], as_json: bool) -> None:
    """Pairs of parts that may be one design."""
    if as_json:
        from dataclasses import asdict

        none = {"part": None, "other": None, "joined": None, "dry_run": False}
        say_json({"schema": "fitment.part-join/1", "proposed": [asdict(one) for one in pairs], **none})
    elif pairs:
        from fitment.sheets.tables import table

        rows = [(one.part, one.other, one.kind, one.because) for one in pairs]
        say(table(("part", "may be", "kind", "because"), rows, width()))
        say('\nLook at both; then: fitment part join REF REF --reason "..."')
    else:
        say("no two parts look like one")


_reading_commands(vehicles, "vehicle")
_reading_commands(items, "item")


def register(app: typer.Typer) -> None:
    """Adds the command group."""
    app.add_typer(vehicles, name="vehicle")
    app.add_typer(parts, name="part")
    app.add_typer(items, name="item")
