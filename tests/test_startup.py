"""What asking for help loads: imports are most of a command's start-up time, which `benchmarks/startup.py` measures."""

from __future__ import annotations

import json
import subprocess
import sys

HEAVY = ("alembic", "ezdxf", "jinja2", "matplotlib", "numpy", "openpyxl", "psycopg", "scipy", "sqlalchemy")

# One fresh interpreter for all commands: nothing heavy may be loaded by any of them, so that none can hide another's.
PROBE = """
import json, sys
from typer.main import get_command
from typer.testing import CliRunner
from fitment.cli.main import app_for

app = app_for()

heavy = set(sys.argv[1:])

def walk(command, path):
    yield path
    if hasattr(command, "list_commands"):
        context = command.make_context(path[-1] if path else "fitment", [], resilient_parsing=True)
        for name in command.list_commands(context):
            yield from walk(command.get_command(context, name), [*path, name])

told = {"": {"exit": 0, "loaded": sorted(heavy & set(sys.modules))}}
for path in walk(get_command(app), []):
    result = CliRunner().invoke(app, [*path, "--help"])
    told[" ".join([*path, "--help"])] = {"exit": result.exit_code, "loaded": sorted(heavy & set(sys.modules))}
print(json.dumps(told))
"""


def test_help_of_no_command_loads_the_database_layer_or_arrays() -> None:
    done = subprocess.run([sys.executable, "-c", PROBE, *HEAVY], text=True, capture_output=True)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert {"--help", "check --help", "reading add --help"} <= set(told)
    assert {command: what for command, what in told.items() if what != {"exit": 0, "loaded": []}} == {}


def test_a_command_is_built_alone_just_as_among_all() -> None:
    from typer.main import get_command

    from fitment.cli.main import COMMANDS, app_for

    every = get_command(app_for()).commands
    assert set(every) == set(COMMANDS)
    for name in COMMANDS:
        assert name in get_command(app_for(name)).commands
