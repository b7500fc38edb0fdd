"""What all commands share: the options that are everywhere, how an answer and a fault are printed, exit codes."""

from __future__ import annotations

import json
import os
import shutil
import sys
from typing import Annotated, Any

import typer

from fitment.errors import Faults, FitmentError, StorageFault

Database = Annotated[
    str | None,
    typer.Option("--db", metavar="URL", help="Catalogue: a file or a database URL (else FITMENT_DB, else your own)."),
]
Units = Annotated[str, typer.Option("--units", metavar="mm|inch", help="Units of bare numbers and of what is shown.")]
Json = Annotated[bool, typer.Option("--json", help="One JSON object instead of text.")]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="No hints; a verdict or a caution is never left out.")]
DryRun = Annotated[bool, typer.Option("--dry-run", "-n", help="Do everything but keep nothing; prints the same lines.")]


def say(text: str) -> None:
    """The answer, on stdout; plain ASCII where the terminal is not UTF-8."""
    if sys.stdout is None:
        raise StorageFault("there is no standard output to answer on", mending="do not close it", code="io-02")
    encoding = (sys.stdout.encoding or "ascii").lower().replace("-", "")
    if encoding != "utf8":
        from fitment.quantity.show import plain

        text = plain(text)
    sys.stdout.write(text if text.endswith("\n") else text + "\n")


def hint(text: str, quiet: bool = False) -> None:
    """A hint or a note, on stderr."""
    if not quiet:
        print(f"fitment: {text}", file=sys.stderr)


def say_json(value: dict[str, Any]) -> None:
    """One object on stdout, keys in their given order."""
    say(json.dumps(value, ensure_ascii=False, indent=2))


def program() -> str:
    """Name and version of this program, and the schema that it writes."""
    from importlib.metadata import version

    from fitment.catalogue.schema_number import SCHEMA

    return f"fitment {version('fitment')} (catalogue schema {SCHEMA})"


def width() -> int:
    """Columns of the terminal; 80 where there is none."""
    return max(30, shutil.get_terminal_size((80, 24)).columns) if sys.stdout.isatty() or "COLUMNS" in os.environ else 80


def units_named(units: str) -> str:
    """The unit system.

    Raises:
        UsageFault: neither mm nor inch.
    """
    if units not in ("mm", "inch"):
        from fitment.errors import UsageFault

        raise UsageFault(f'--units is "{units}"', mending="allowed: mm, inch", code="usage-01")
    return units


def fault_lines(fault: FitmentError) -> list[str]:
    """A fault as people read it: what, where, how to mend; several in the order of the file, then their number."""
    if isinstance(fault, Faults) and len(fault.faults) > 1:
        lines = [line for one in fault.faults for line in fault_lines(one)]
        return [*lines, f"fitment: {len(fault.faults)} faults; nothing was changed"]
    where = f"{fault.place}: " if fault.place else ""
    lines = [f"fitment: {where}{fault.message} [{fault.code}]"]
    if fault.mending:
        lines.append(f"  {fault.mending}")
    return lines


def fault_object(fault: FitmentError) -> dict[str, Any]:
    """A fault as an object, for --json."""
    faults = fault.faults if isinstance(fault, Faults) else (fault,)
    return {
        "schema": "fitment.error/1",
        "errors": [
            {"code": one.code, "message": one.message, "place": one.place, "mending": one.mending} for one in faults
        ],
    }
