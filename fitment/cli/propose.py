"""``fitment propose``: the best complete kits out of every part of the catalogue, or why there is none."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitment.cli.common import Database, Json, Quiet, hint, say, say_json, width

if TYPE_CHECKING:
    from fitment.kits.propose.proposal import Proposal


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("propose")(propose)


def propose(
    vehicle: Annotated[str, typer.Option("--for", metavar="VEHICLE", help="The target.")],
    want: Annotated[
        str, typer.Option("--want", metavar="WANTS", help='"turns 3.0..3.6, no machining", or one of the two.')
    ] = "",
    keep: Annotated[
        list[str] | None, typer.Option("--keep", metavar="PART", help="A part or item every kit names; repeatable.")
    ] = None,
    without: Annotated[
        list[str] | None, typer.Option("--without", metavar="DONOR", help="A vehicle that is no donor; repeatable.")
    ] = None,
    adapters: Annotated[
        int, typer.Option("--adapters", metavar="N", min=0, max=4, help="Most adapters; a pair for both sides is one.")
    ] = 0,
    unknown: Annotated[
        int, typer.Option("--unknown", metavar="N", min=0, max=20, help="Most readings that a kit may lack.")
    ] = 0,
    top: Annotated[int, typer.Option("--top", metavar="N", min=1, max=200, help="How many kits.")] = 20,
    into: Annotated[
        Path | None, typer.Option("--into", metavar="DIR", help="Write every proposed kit there as a kit file.")
    ] = None,
    db: Database = None,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """The best complete kits out of every part of the catalogue, each with its ledger; or why there is none.

    Worst verdict first, then points of a ledger of our own. Each is what fitment check says of its kit file. Ctrl-C
    ends the search with what was found. Exit 0 where the best fits, 3 with work, 4 where it is not known, 1 where
    there is none.

    Example: fitment propose --for NORTH/V-1 --want "turns 3.0..3.6, no machining" --top 3 --into proposals
    """
    from fitment.catalogue.stock import open_stock
    from fitment.kits.propose import propose as proposed
    from fitment.kits.propose.proposal import Asked
    from fitment.kits.propose.wants import read_wants

    asked = Asked(vehicle, read_wants(want), tuple(keep or ()), tuple(without or ()), adapters, unknown, top)
    with open_stock(db) as book:
        proposal = proposed(book, asked)
    if into is not None:
        _write(proposal, into, quiet)
    if as_json:
        from fitment.kits.propose.as_json import proposal_object

        say_json(proposal_object(proposal))
    else:
        from fitment.sheets.propose_text import propose_text

        say(propose_text(proposal, width()))
    raise typer.Exit(130 if proposal.stopped == "interrupted" else proposal.exit_code)


def _write(proposal: Proposal, into: Path, quiet: bool) -> None:
    """The kit files, whole or not at all, never over something else."""
    from fitment.cli.new_file import write_new

    into.mkdir(parents=True, exist_ok=True)
    stem = proposal.vehicle.name.replace("/", "-")
    files = {into / f"{stem}-{number:02}.toml": kit.text.encode() for number, kit in enumerate(proposal.kits, 1)}
    write_new(files)
    for path in files:
        hint(f"wrote {path}", quiet)
