"""The way in: the commands, and the one handler that maps every stray exception to an exit code of its own.

Only 0 ever means yes; an exception must never read as an answer (1), nor a broken pipe.
"""

from __future__ import annotations

import errno
import json
import os
import re
import sys
from importlib import import_module
from typing import Any

import typer

from fitment.cli.common import fault_lines, fault_object, program, say
from fitment.errors import FitmentError, StorageFault, UsageFault

#: what Typer raises for a wrong command line; it carries its own copy of Click, so Click's own class would not match
_UsageError: Any = typer.BadParameter.__bases__[0]

#: what Python makes of bytes that are no text; neither a database nor a terminal takes it
_NO_TEXT = re.compile("[\ud800-\udfff]")

#: command -> the module that registers it; only the one that is asked for is loaded and built
COMMANDS = {
    "check": "check",
    "steer": "steer",
    "measure-next": "measure_next",
    "sheet": "sheet",
    "propose": "propose",
    "sweep": "sweep",
    "donors": "donors",
    "interchange": "interchange",
    "demo": "demo",
    "bench": "bench",
    "align": "align",
    "explain": "explain",
    "schema": "explain",
    "import": "moving",
    "export": "moving",
    "template": "moving",
    "vehicle": "things",
    "part": "things",
    "item": "things",
    "reading": "reading",
    "build": "build",
    "report": "report",
    "catalogue": "catalogue",
}


def app_for(command: str | None = None) -> typer.Typer:
    """The command line with one command (and what its module registers beside it), or with all where it is not known.

    --version is answered before Typer, which would load pydantic to parse it, for every command.
    """
    app = typer.Typer(
        name="fitment",
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["--help", "-h"]},
        help="Whether donor steering parts mate, by what margin, and on whose word.\n\n"
        "Example: fitment demo, then fitment check fitment-demo/kits/NAME.toml --db fitment-demo/catalogue.sqlite\n\n"
        "Dimensional compatibility only; not an approval. Exit codes: 0 fits or done, 1 does not fit, 3 fits with "
        "work, 4 not known, 2 usage, 65 input wrong, 66 not found, 70 our fault, 74 disk or database. "
        "fitment --version says which this is.",
    )
    app.callback()(lambda: None)
    known = [COMMANDS[command]] if command in COMMANDS else dict.fromkeys(COMMANDS.values())
    for module in known:
        import_module(f"fitment.cli.{module}").register(app)
    return app


def run() -> None:
    """Entry point of the installed command."""
    import gc

    # loading modules makes much that lives and nothing to collect: looking for it costs a twelfth of a check
    gc.set_threshold(100_000, 20, 20)
    sys.exit(answer(sys.argv[1:]))


def answer(arguments: list[str]) -> int:
    """Runs one command line and returns its exit code; whatever happens, no traceback reaches the screen."""
    if not arguments:
        arguments = ["--help"]
    if any(_NO_TEXT.search(word) for word in arguments):
        _tell(UsageFault("an argument is not UTF-8 text", mending="write it anew", code="usage-00"), False)
        return 2
    if arguments[0] == "--version":
        say(program())
        return 0
    try:
        code = app_for(arguments[0])(arguments, prog_name="fitment", standalone_mode=False)
        sys.stdout.flush()
        return int(code or 0)
    except FitmentError as fault:
        _tell(fault, "--json" in arguments)
        return fault.exit_code
    except (KeyboardInterrupt, typer.Abort):
        return 130
    except _UsageError as error:
        told = UsageFault(
            error.format_message(),
            mending="fitment --help, or --help after a command, shows how it is asked",
            code="usage-00",
        )
        _tell(told, "--json" in arguments)
        return 2
    except BrokenPipeError:
        _nothing_more()
        return 141
    except SystemExit as stop:
        # Typer turns a broken pipe into exit 1 by itself, which would read as "does not fit"
        if isinstance(stop.__context__, OSError) and stop.__context__.errno == errno.EPIPE:
            _nothing_more()
            return 141
        return _our_fault(stop, "--json" in arguments)
    except OSError as error:
        _nothing_more()
        _tell(StorageFault(f"{error.strerror or error}", place=error.filename, code="io-01"), "--json" in arguments)
        return 74
    except Exception as error:
        return _our_fault(error, "--json" in arguments)


def _tell(fault: FitmentError, as_json: bool) -> None:
    if as_json:
        print(json.dumps(fault_object(fault), ensure_ascii=False, indent=2), file=sys.stderr)
    else:
        print("\n".join(fault_lines(fault)), file=sys.stderr)


def _nothing_more() -> None:
    """Keeps the interpreter from writing to a stdout that is gone or full when it ends."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _our_fault(error: BaseException, as_json: bool) -> int:
    """Saves what happened where it can be sent from, and says so in one line."""
    import tempfile
    import traceback

    text = "".join(traceback.format_exception(error))
    try:
        from platformdirs import user_state_path

        folder = user_state_path("fitment", ensure_exists=True)
        with tempfile.NamedTemporaryFile("w", dir=folder, prefix="fault-", suffix=".txt", delete=False) as file:
            file.write(text)
        where = f"the report is in {file.name}"
    except OSError:
        where = "the report could not be saved"
    first = str(error).splitlines()[0] if str(error) else "no word"
    fault = FitmentError(f"our own fault ({type(error).__name__}: {first}); {where}", code="fault-70")
    _tell(fault, as_json)
    return fault.exit_code
