"""Kills the program at random moments while it writes, and looks whether the catalogue holds what was acknowledged.

    .venv/bin/python benchmarks/kills.py [--kills N] [--seed N]

A command is run in a process of its own, from a fresh copy of a small invented shop, and killed (signal 9) after a
random part of the time that it takes undisturbed. Then the catalogue must open, verify as whole, and be just as
before the command or just as after it; as after it where the command had answered. Commands: a sheet taken in,
readings added, an older catalogue brought up to this program's schema, a catalogue copied. Processes are forked with
all modules loaded, so that the moments fall into the work and not the start. Exit 1 where anything was lost, doubled
or half done.
"""

from __future__ import annotations

import argparse
import io
import os
import random
import shutil
import signal
import sqlite3
import sys
import time
from collections import Counter
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1]))

from fitment.catalogue.schema_number import SCHEMA
from fitment.cli.main import answer
from tests.support.shop import Shop, open_shop

#: of what it takes undisturbed, the latest moment of a kill
LATEST = 1.1
#: the schema of the older catalogue
OLDER = "0003"


@dataclass
class Work:
    """A command that writes.

    Attributes:
        words: the command line, given the folder.
        base: the folder that every turn begins with a copy of.
        before, after: what the catalogue says of itself before the command and after it, undisturbed.
        seconds: what the command takes undisturbed.
        outcomes: how many turns ended how.
    """

    name: str
    words: Callable[[Path], list[str]]
    base: Path
    written: str = "shop.sqlite"
    before: str = ""
    after: str = ""
    seconds: float = 0.0
    outcomes: Counter[str] = field(default_factory=Counter)


def said(words: list[str]) -> tuple[int, str]:
    """Exit code and answer of a command in this process."""
    out = io.StringIO()
    with redirect_stdout(out), redirect_stderr(out):
        code = answer(words)
    return code, out.getvalue()


def started(words: list[str]) -> int:
    """The process that runs a command; it answers with the command's exit code."""
    process = os.fork()
    if process == 0:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        os.dup2(1, 2)
        os._exit(answer(words))
    return process


def ended(process: int) -> int | None:
    """Its exit code; None where it was killed."""
    status = os.waitpid(process, 0)[1]
    return None if os.WIFSIGNALED(status) else os.WEXITSTATUS(status)


def state(file: Path) -> str:
    """What a catalogue says of itself, and whether it is whole; "none" where there is none."""
    if not file.exists():
        return "none"
    code, told = said(["catalogue", "status", "--json", "--db", str(file)])
    if code:
        return f"does not open: {told}"
    whole, wrong = said(["catalogue", "verify", "--db", str(file)])
    counts = told[told.index("{") :].strip()
    return f"{counts} {digest(file)}" + ("" if whole == 0 else wrong)


def digest(file: Path) -> str:
    """That of the readings, as the file has it; `verify` has compared it with the readings themselves."""
    with sqlite3.connect(file) as opened:
        found: str = opened.execute("SELECT digest FROM catalogue").fetchone()[0]
    opened.close()
    return found


def schema(file: Path) -> str:
    """The schema in a file, which is not brought up by asking."""
    with sqlite3.connect(file) as opened:
        found: str = opened.execute("SELECT version_num FROM alembic_version").fetchone()[0]
    opened.close()
    return found


def older(shop: Shop) -> None:
    """Takes a shop's catalogue down to an older schema."""
    from unittest.mock import patch

    from alembic import command

    from fitment.catalogue import database

    engine = database.open_engine(shop.url)
    with (
        patch.object(command, "upgrade", lambda config, _head: command.downgrade(config, OLDER)),
        engine.begin() as connection,
    ):
        database.migrate(connection)
    engine.dispose()


def works(folder: Path) -> list[Work]:
    """The commands, each with its shop."""
    made = []

    def work(name: str, words: Callable[[Path], list[str]], written: str = "shop.sqlite") -> Work:
        base = folder / f"base {name}"
        base.mkdir()
        shop = open_shop(f"sqlite:///{base / 'shop.sqlite'}", base)
        rows = "".join(f"RE-{100 + n},T-1,mm,new,M14x1.5,female,RH,{30 + n % 10}\n" for n in range(150))
        head = "rod-end,sitting,units,condition,shank.thread,shank.sex,shank.hand,shank.depth\n"
        (base / "more.csv").write_text(head + rows, encoding="utf-8")
        if name == "upgrade":
            shop.done("import", base / "more.csv")
            older(shop)
        made.append(Work(name, words, base, written))
        return made[-1]

    def on(at: Path) -> list[str]:
        return ["--db", str(at / "shop.sqlite")]

    work("import", lambda at: ["import", str(at / "more.csv"), *on(at)])
    work("reading add", lambda at: ["reading", "add", "RE-1", "shank", "depth=37 mm", "--sitting", "T-1", *on(at)])
    work("upgrade", lambda at: ["catalogue", "upgrade", *on(at)])
    if said(["catalogue", "copy", "--help"])[0] == 0:
        work("copy", lambda at: ["catalogue", "copy", str(at / "shop.sqlite"), str(at / "copy.sqlite")], "copy.sqlite")
    return made


def fresh(work: Work, folder: Path) -> Path:
    """A copy of its shop."""
    place = folder / "turn"
    shutil.rmtree(place, ignore_errors=True)
    return Path(shutil.copytree(work.base, place))


def learn(work: Work, folder: Path) -> None:
    """What it does undisturbed, and how long that takes.

    Raises:
        SystemExit: it fails undisturbed.
    """
    place = fresh(work, folder)
    work.before = "older" if work.name == "upgrade" else state(place / work.written)
    took = []
    for _ in range(3):
        place = fresh(work, folder)
        began = time.monotonic()
        code = ended(started(work.words(place)))
        took.append(time.monotonic() - began)
        if code != 0:
            raise SystemExit(f"{work.name}: exit {code} undisturbed: {said(work.words(fresh(work, folder)))}")
    work.after = state(place / work.written)
    work.seconds = min(took)


def turn(work: Work, folder: Path, part: float) -> str | None:
    """One turn, killed after a part of its time; what is wrong afterwards, None where nothing is."""
    place = fresh(work, folder)
    process = started(work.words(place))
    time.sleep(part * work.seconds)
    os.kill(process, signal.SIGKILL)  # of one that has ended, which waits to be asked for, nothing comes
    code = ended(process)
    if code not in (None, 0):
        return f"exit {code}"
    file = place / work.written
    if work.name == "upgrade":
        found = schema(file)
        if found not in (OLDER, SCHEMA) or (code == 0 and found != SCHEMA):
            return f"schema {found}"
        outcome = "before" if found == OLDER else "after"
        if state(file) != work.after:
            return f"after being opened again: {state(file)}"
    else:
        found = state(file)
        if found not in (work.before, work.after) or (code == 0 and found != work.after):
            return f"neither as before nor as after: {found}"
        outcome = "before" if found == work.before else "after"
    if work.name == "copy" and state(place / "shop.sqlite") != work.after:
        return "what was copied has changed"
    work.outcomes["answered" if code == 0 else f"killed, {outcome}"] += 1
    return None


def main() -> int:
    options = argparse.ArgumentParser()
    options.add_argument("--kills", type=int, default=200)
    options.add_argument("--seed", type=int, default=1)
    asked = options.parse_args()
    draw, lost = random.Random(asked.seed), 0
    with TemporaryDirectory() as name:
        folder = Path(name)
        os.environ["XDG_STATE_HOME"] = os.environ["XDG_DATA_HOME"] = name
        found = works(folder)
        for work in found:
            learn(work, folder)
        kills = 0
        while kills < asked.kills:
            work = draw.choice(found)
            wrong = turn(work, folder, draw.uniform(0.0, LATEST))
            if wrong is not None:
                print(f"LOST: {work.name}: {wrong}")
                lost += 1
            kills = lost + sum(count for one in found for how, count in one.outcomes.items() if how != "answered")
    print(f"{'command':12} {'s':>6} {'killed, as before':>18} {'killed, as after':>17} {'answered first':>15}")
    for work in found:
        counts = [work.outcomes[how] for how in ("killed, before", "killed, after", "answered")]
        print(f"{work.name:12} {work.seconds:6.2f} {counts[0]:18} {counts[1]:17} {counts[2]:15}")
    print(f"{kills} kills, {kills - lost} survived, {lost} lost; seed {asked.seed}")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
