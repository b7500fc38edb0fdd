"""``fitment donors``: which vehicles carry a part with these dimensions; the scrapyard card of a target."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitment.cli.common import Database, Json, Quiet, Units, hint, say, say_json, units_named, width

if TYPE_CHECKING:
    from fitment.catalogue.donors import Found
    from fitment.catalogue.windows import Window
    from fitment.kits.donor_card import Card

_RANGES = "DIM=RANGE of the part: 600..625, 130.., ..3.6, 24±0.5, a word or a thread."


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("donors")(donors)


def donors(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="rack, tie-rod, rod-end ...; trade words too.")],
    ranges: Annotated[list[str] | None, typer.Argument(metavar="[DIM=RANGE]...", help=_RANGES)] = None,
    near: Annotated[int, typer.Option("--near", min=0, metavar="N", help="How many near misses to list.")] = 5,
    wanted: Annotated[
        str | None, typer.Option("--wanted", metavar="VEHICLE", help="Print the card of the rack that it wants.")
    ] = None,
    toe_limit: Annotated[
        str | None,
        typer.Option(
            "--toe-limit", metavar="DEG", help="With --wanted: toe change per wheel in 25 mm of travel (0.06)."
        ),
    ] = None,
    turns: Annotated[
        str | None, typer.Option("--turns", metavar="RANGE", help="With --wanted: turns lock to lock, 3.0..3.6.")
    ] = None,
    into: Annotated[
        Path | None, typer.Option("--into", metavar="DIR", help="With --wanted: the card as a page to print, too.")
    ] = None,
    db: Database = None,
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Which vehicles carry a part with these dimensions: matches, those that may, near misses with the reason.

    Exit 0 only where one matches for certain, 4 where one may, 1 where none does. A card: 0, or 4 without any window.

    Example: fitment donors rack inner-spacing=600..625 travel=130.. hand=RH bar-end.left.thread=M14x1.5

    Example: fitment donors rack --wanted NORTH/V-1
    """
    from fitment.catalogue.dictionary import find_kind
    from fitment.catalogue.windows import read_windows
    from fitment.errors import UsageFault

    system = units_named(units)
    sought = find_kind(kind)
    if sought.kind == "vehicle":
        raise UsageFault("a vehicle is no part of a donor", mending="name a kind of part: rack", code="donors-15")
    if wanted is not None:
        if ranges or sought.kind != "rack":
            raise UsageFault(
                "--wanted prints the card of a rack",
                mending=f"fitment donors rack --wanted {wanted}, without DIM=RANGE",
                code="donors-12",
            )
        _card(wanted, toe_limit, turns, into, near, db, system, as_json, quiet)
    only = [name for name, given in (("--toe-limit", toe_limit), ("--turns", turns), ("--into", into)) if given]
    if only:
        raise UsageFault(f"{only[0]} belongs to a card", mending="give --wanted VEHICLE too", code="donors-13")
    windows = read_windows(sought, ranges or [], system)
    if not windows:
        raise UsageFault(
            "nothing is wanted of the part",
            mending="give DIM=RANGE, such as inner-spacing=600..625, or --wanted VEHICLE",
            code="donors-11",
        )
    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.donors import find_donors

    engine = open_engine(db)
    with storage_faults(str(engine.url)), engine.connect() as connection:
        found = find_donors(connection, sought.kind, windows, near)
    engine.dispose()
    if as_json:
        from fitment.kits.donors_json import donors_object

        say_json(donors_object(sought.kind, windows, found, near))
    else:
        from fitment.sheets.donors_text import donors_text

        say(donors_text(sought, windows, found, near, width(), system))
    raise typer.Exit(found.exit_code)


def _card(
    vehicle: str,
    toe_limit: str | None,
    turns: str | None,
    into: Path | None,
    near: int,
    db: str | None,
    system: str,
    as_json: bool,
    quiet: bool,
) -> None:
    from fitment.kits.donor_card import TOE_LIMIT

    limit = TOE_LIMIT if toe_limit is None else toe_limit_of(toe_limit)
    card, windows, found = _made(vehicle, limit, turns, near, db, system)
    if into is not None:
        from fitment.sheets.card_html import card_html

        into.mkdir(parents=True, exist_ok=True)
        page = into / f"donor-rack-{card.vehicle.name.replace('/', '-')}.html"
        page.write_text(card_html(card, found, system), encoding="utf-8")
        hint(f"wrote {page}", quiet)
    if as_json:
        from fitment.kits.donors_json import card_object

        say_json(card_object(card, windows, found, near))
    else:
        from fitment.sheets.card_text import card_text

        say(card_text(card, found, width(), system))
    raise typer.Exit(0 if windows else 4)


def toe_limit_of(text: str) -> float:
    """The toe limit of an option, deg.

    Raises:
        DataFault, UsageFault: no angle, or beyond what makes sense.
    """
    from fitment.errors import UsageFault
    from fitment.quantity.parse import parse_quantity

    limit = parse_quantity(text, "angle", "deg").value
    if not 0 < limit <= 2:
        raise UsageFault(
            f'--toe-limit "{text}" is not above 0 and up to 2 deg', mending="the default is 0.06", code="donors-14"
        )
    return limit


def _made(
    vehicle: str, limit: float, turns: str | None, near: int, db: str | None, system: str
) -> tuple[Card, list[Window], Found]:
    """The card of a vehicle, its windows as far as they can be searched by, and what the catalogue has within them."""
    from fitment.catalogue.book import Book
    from fitment.catalogue.database import open_engine, storage_faults
    from fitment.catalogue.dictionary import part_kinds
    from fitment.catalogue.donors import Found, find_donors
    from fitment.catalogue.windows import read_windows
    from fitment.doubt import Draws
    from fitment.kits.donor_card import rack_card

    rack = part_kinds()["rack"]
    wish = read_windows(rack, [f"turns={turns}"], system)[0] if turns is not None else None
    engine = open_engine(db)
    with storage_faults(str(engine.url)), engine.connect() as connection:
        book = Book(connection)
        target = book.find_vehicle(vehicle)
        fitted = [book.find(reference) for reference in book.fitted_to(target.name)]
        card = rack_card(target, fitted, limit, (wish.low, wish.high) if wish else None, Draws())
        windows = read_windows(rack, card.search, "mm")
        found = find_donors(connection, "rack", windows, near) if windows else Found()
    engine.dispose()
    return card, windows, found
