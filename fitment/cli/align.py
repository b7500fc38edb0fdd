"""``fitment align``: alignment arithmetic alone, from what is read at the bay. No catalogue is needed."""

from __future__ import annotations

import typer

from fitment.cli import align_rods, align_strings, align_toe

align = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="At the bay: toe from readings, where strings stand, how far to turn each rod.\n\n"
    'Example: fitment align toe --front 9 --rear "9 1/16" --units inch\n\n'
    "Arithmetic alone: what toe a car is to have is its maker's or builder's to say.",
)

for module in (align_toe, align_rods, align_strings):
    module.register(align)


def register(app: typer.Typer) -> None:
    """Adds the command group."""
    app.add_typer(align, name="align")
