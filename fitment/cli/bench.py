"""``fitment bench``: from calliper readings to the standard, and does this go with that. No catalogue is needed."""

from __future__ import annotations

import typer

from fitment.cli import bench_holes, bench_mate, bench_rack, bench_spline, bench_taper, bench_thread

bench = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="At the bench: what standard thread, taper or spline is this; do these two go together.\n\n"
    "Exit codes: 0 one candidate is past the threshold (mate: fits), 1 none of them (does not fit), 3 fits with work, "
    "4 several remain (not known), 65 readings that make no sense.",
)

for module in (bench_thread, bench_taper, bench_spline, bench_holes, bench_mate, bench_rack):
    module.register(bench)


def register(app: typer.Typer) -> None:
    """Adds the command group."""
    app.add_typer(bench, name="bench")
