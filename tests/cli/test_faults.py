"""Disk full, read-only, locked, damaged, foreign or newer files, a clock set back: one clear line, nothing lost.

Each command runs as a process of its own, as from a shell.
"""

from __future__ import annotations

import ctypes
import os
import resource
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from tests.support.shop import Said, Shop, open_shop

PROGRAM = [sys.executable, "-c", "from fitment.cli.main import run; run()"]
#: just what opening the catalogue takes (the index of its journal)
ROOM = 32_768
#: the capability by which root writes where permissions forbid it; linux/prctl.h and linux/capability.h
PR_CAPBSET_DROP, CAP_DAC_OVERRIDE = 24, 1

#: commands that write, in their own words; a catalogue is named to each
WRITING: dict[str, list[str]] = {
    "import": ["import", "{folder}/more.csv"],
    "reading add": ["reading", "add", "RE-1", "shank", "depth=37 mm", "--sitting", "T-1"],
    "reading withdraw": ["reading", "withdraw", "{uid}", "--reason", "wrong end"],
    "part add": ["part", "add", "RE-99", "--kind", "rod-end"],
    "check --keep": ["check", "{folder}/rod.toml", "--keep"],
    "build add": ["build", "add", "B-1", "--kit", "{folder}/rod.toml"],
    "verify --mend": ["catalogue", "verify", "--mend"],
    "export --into": ["export", "--into", "{folder}/out/sheets"],
    "export --xlsx": ["export", "--xlsx", "{folder}/out/all.xlsx"],
    "export --exchange": ["export", "--exchange", "{folder}/out/all.jsonl", "--permission", "pass on freely"],
    "catalogue backup": ["catalogue", "backup", "{folder}/out/kept.sqlite"],
    "sheet": ["sheet", "{folder}/rod.toml", "--into", "{folder}/out/handed"],
}
OUTWARD = ("export --into", "export --xlsx", "export --exchange", "catalogue backup", "sheet")


def ran(words: list[str], before: Callable[[], object] | None = None, **environment: str) -> Said:
    """The answer of a command as a process of its own; `before` runs in it first."""
    done = subprocess.run(
        [*PROGRAM, *words],
        capture_output=True,
        text=True,
        timeout=120,
        preexec_fn=before,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), **environment},
        check=False,
    )
    return Said(done.returncode, done.stdout, done.stderr)


def more(count: int) -> str:
    """A sheet of so many rod ends."""
    head = "rod-end,sitting,units,condition,shank.thread,shank.sex,shank.hand,shank.depth\n"
    return head + "".join(f"RE-{100 + n},T-1,mm,new,M14x1.5,female,RH,{30 + n % 10}\n" for n in range(count))


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with so many parts that its sheets need more room than there will be."""
    folder = tmp_path_factory.mktemp("filled")
    opened = open_shop(f"sqlite:///{folder / 'shop.sqlite'}", folder)
    (folder / "many.csv").write_text(more(800), encoding="utf-8")
    opened.done("import", folder / "many.csv")
    (folder / "more.csv").write_text(more(1000), encoding="utf-8")
    (folder / "out").mkdir()
    return folder


@pytest.fixture
def shop(filled: Path, tmp_path: Path) -> Shop:
    shutil.copytree(filled, tmp_path / "shop")
    return Shop(f"sqlite:///{tmp_path / 'shop' / 'shop.sqlite'}", tmp_path / "shop")


def words_of(command: str, shop: Shop) -> list[str]:
    uid = next(iter(shop.readings("RE-1").values())) if command == "reading withdraw" else ""
    said = [word.format(folder=shop.folder, uid=uid) for word in WRITING[command]]
    return [*said, "--db", str(shop.folder / "shop.sqlite")]


def held(shop: Shop) -> Any:
    """All that the catalogue says of itself, and whether it is whole."""
    return shop.done("catalogue", "status", "--json").told, shop("catalogue", "verify").out


def refused(said: Said, code: int, *told: str) -> None:
    """The answer is one clear line, and what to do."""
    assert said.code == code, said
    first, *rest = said.err.splitlines()
    assert first.startswith("fitment: ")
    assert [line[:2] for line in rest] in ([], ["  "]), said.err
    assert all(words in said.err for words in told), said.err
    assert said.out == ""


def no_room() -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (ROOM, ROOM))


def no_privilege() -> None:
    """Permissions hold for root too; others have no such privilege to drop."""
    ctypes.CDLL(None).prctl(PR_CAPBSET_DROP, CAP_DAC_OVERRIDE, 0, 0, 0)


@pytest.mark.parametrize("command", sorted(set(WRITING) - {"part add"}))
def test_a_full_disk(shop: Shop, command: str) -> None:
    if command == "verify --mend":
        with sqlite3.connect(shop.folder / "shop.sqlite") as wrong:
            wrong.execute("UPDATE adopted SET u = 2 * u")
        wrong.close()
    before = held(shop)
    refused(ran(words_of(command, shop), no_room), 74)
    assert held(shop) == before
    assert list((shop.folder / "out").rglob("*.*")) == []


def test_a_full_disk_leaves_no_catalogue_half_made(tmp_path: Path) -> None:
    refused(ran(["catalogue", "create", "--db", str(tmp_path / "new.sqlite")], no_room), 74, "nothing was changed")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", ["import", "reading add", "check --keep", "verify --mend"])
def test_a_folder_that_may_only_be_read(shop: Shop, command: str) -> None:
    before, words = held(shop), words_of(command, shop)
    (shop.folder / "shop.sqlite").chmod(0o444)
    shop.folder.chmod(0o555)
    try:
        said = ran(words, no_privilege)
    finally:
        shop.folder.chmod(0o755)
        (shop.folder / "shop.sqlite").chmod(0o644)
    refused(said, 74, "it may not be written", "nothing was changed")
    assert held(shop) == before


@pytest.mark.parametrize("command", OUTWARD)
def test_a_folder_for_answers_that_may_only_be_read(shop: Shop, command: str) -> None:
    (shop.folder / "out").chmod(0o555)
    said = ran(words_of(command, shop), no_privilege)
    refused(said, 74, str(shop.folder / "out"))
    assert list((shop.folder / "out").iterdir()) == []


def test_a_catalogue_that_another_program_writes_to(shop: Shop) -> None:
    before = held(shop)
    asked = [words_of(command, shop) for command in ("import", "part add", "check --keep")]
    other = sqlite3.connect(shop.folder / "shop.sqlite")
    other.execute("BEGIN IMMEDIATE")
    with ThreadPoolExecutor() as at_once:
        for said in at_once.map(ran, asked):
            refused(said, 74, "another program is writing to it", "nothing was changed")
    other.close()
    assert held(shop) == before


@pytest.mark.parametrize("command", ["import", "reading add", "check --keep", "export --into", "verify --mend"])
def test_half_a_file(shop: Shop, command: str) -> None:
    file, words = shop.folder / "shop.sqlite", words_of(command, shop)
    half = file.read_bytes()[: file.stat().st_size // 2]
    file.write_bytes(half)
    refused(ran(words), 74, "the file is damaged", "put a backup in its place")
    assert file.read_bytes() == half


@pytest.mark.parametrize("content", [b"", b"not a database, but long enough to be taken for one " * 40])
def test_a_file_that_is_no_catalogue(shop: Shop, content: bytes) -> None:
    file, words = shop.folder / "shop.sqlite", words_of("import", shop)
    file.write_bytes(content)
    refused(ran(words), 74, "so not a catalogue of parts")
    assert file.read_bytes() == content


def test_no_file(shop: Shop) -> None:
    words = words_of("import", shop)
    (shop.folder / "shop.sqlite").unlink()
    refused(ran(words), 66, "no catalogue there")
    assert not (shop.folder / "shop.sqlite").exists()


@pytest.mark.parametrize("command", ["import", "check --keep"])
def test_a_newer_catalogue_than_the_program(shop: Shop, command: str) -> None:
    words, file = words_of(command, shop), shop.folder / "shop.sqlite"
    with sqlite3.connect(file) as newer:
        newer.execute("UPDATE alembic_version SET version_num = '9999'")
    newer.close()
    before = file.read_bytes()
    refused(ran(words), 74, "schema 9999, newer than this program's", "install a newer fitment")
    assert file.read_bytes() == before


def test_a_clock_set_back(shop: Shop) -> None:
    """What was written before counts on; what is written now is dated by the clock, and the revision still grows."""
    done = ran(words_of("check --keep", shop), SOURCE_DATE_EPOCH="1790000000")
    before = held(shop)[0]
    for command in ("import", "reading withdraw", "build add"):
        assert ran(words_of(command, shop), SOURCE_DATE_EPOCH="86400").code == 0
    assert done.code == 4
    assert held(shop)[0]["revision"] == before["revision"] + 3
    assert shop.done("report", "list", "--json").told["reports"]


def test_what_is_written_may_be_written_by_its_owner_alone(shop: Shop) -> None:
    for command in OUTWARD:
        assert ran(words_of(command, shop), lambda: os.umask(0o022)).code in (0, 4)
    assert ran(["catalogue", "create", "--db", f"{shop.folder}/out/new.sqlite"], lambda: os.umask(0o022)).code == 0
    written = [path for path in (shop.folder / "out").rglob("*") if path.is_file()]
    assert len(written) > 10
    assert {path.stat().st_mode & 0o777 for path in written} == {0o644}
