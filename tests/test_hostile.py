"""Whatever is put to the program, the answer is a result or a fault in plain words; nothing outside is touched."""

from __future__ import annotations

import csv
import io
import os
import random
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import fitment
from fitment.catalogue.sheet_text import Table, inert, parse_sheet, write_sheet
from tests.support.hostile import NASTY, TARGETS, mutated, put, seeds, within
from tests.support.shop import Shop, open_shop

#: targets that run a whole command or unpack a workbook: fewer examples
SLOW = {"workbook", "imported", "forged", "page", "arguments"}


@pytest.fixture(scope="module", autouse=True)
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Where targets put their files, with a small shop beside."""
    folder = tmp_path_factory.mktemp("hostile")
    open_shop(f"sqlite:///{folder / 'shop.sqlite'}", folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("FITMENT_FUZZ", str(folder))
        yield folder


@pytest.mark.parametrize("target", TARGETS)
def test_what_is_kept_is_answered(target: str) -> None:
    for content in seeds(target):
        assert put(target, content) is None, content


@pytest.mark.parametrize("target", TARGETS)
def test_what_is_changed_is_answered(target: str) -> None:
    kept = seeds(target)
    changed = st.integers(0, 2**64).map(lambda seed: mutated(random.Random(seed), target, kept))
    pieces = st.lists(st.sampled_from(NASTY) | st.characters(), max_size=12).map(
        lambda some: "".join(some).encode("utf-8", "surrogatepass")
    )

    @settings(max_examples=10 if target in SLOW else settings().max_examples)
    @given(changed | pieces | st.binary(max_size=200))
    def answered(content: bytes) -> None:
        assert put(target, content) is None

    answered()


def test_a_target_that_hangs_or_breaks_would_be_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    def hangs(_content: bytes) -> None:
        while True:
            pass

    def breaks(_content: bytes) -> None:
        raise KeyError("thread")

    monkeypatch.setattr("tests.support.hostile.LONGEST", 0.05)
    monkeypatch.setitem(TARGETS, "thread", (hangs, 1.0))
    assert put("thread", b"") == "Slow: longer than 0.05 s"
    monkeypatch.setitem(TARGETS, "thread", (breaks, 1.0))
    assert put("thread", b"") == "KeyError: 'thread'"


HEAD = b"rod-end,name,sitting,units,condition,shank.thread\n"
FILES = {
    "a million columns": (b"rod-end" + b",x" * 1_000_000 + b"\n", 'heading "x"'),
    "a million cells in a row": (HEAD + b"RE-9" + b",1" * 1_000_000 + b"\n", "row 2"),
    "NULs": (HEAD + b"RE-9\0,x\n", "NUL"),
    "UTF-16": (HEAD.decode().encode("utf-16"), "not UTF-8"),
    "Latin-1": (HEAD + "RE-9,Gr\u00f6\u00dfe\n".encode("latin-1"), "not UTF-8"),
    "a quote without end": (HEAD + b'RE-9,"x\n' * 3, "row"),
    "one cell of a megabyte": (HEAD + b"RE-9," + b"x" * 1_000_000 + b"\n", "sheet"),
    "a formula": (HEAD + b"RE-9,x,T-1,mm,new,=1+1\n", "=1+1"),
}


@pytest.mark.parametrize("name", FILES)
def test_files_that_are_no_sheets(place: Path, name: str) -> None:
    content, told = FILES[name]
    file = place / "hostile.csv"
    file.write_bytes(content)
    with within(5.0):
        said = Shop(str(place / "shop.sqlite"), place)("import", file)
    assert said.code == 65
    assert told in said.err
    assert len(said.err) < 20_000


def test_a_file_without_end_is_not_read_to_its_end(place: Path) -> None:
    file = place / "endless.csv"
    with file.open("wb") as sparse:
        sparse.truncate(50_000_000_000)
    for path in (file, Path("/dev/zero")):
        for words in (["import", path], ["reading", "add", "--from", path], ["check", path]):
            with within(5.0):
                said = Shop(str(place / "shop.sqlite"), place)(*words)
            assert said.code == 65
            assert "larger than" in said.err
    file.unlink()


NAMES = [
    "../../../out",
    "/etc/passwd",
    "..",
    "a/../../b",
    "C:\\x",
    "x\ny",
    "'; DROP TABLE reading; --",
    '" OR 1=1',
    "%s",
    "\udc80",
]


@pytest.mark.parametrize("name", NAMES)
def test_names_are_text_and_neither_statements_nor_paths(tmp_path: Path, name: str) -> None:
    inside = tmp_path / "inside" / "deep" / "er"
    inside.mkdir(parents=True)
    shop = open_shop(f"sqlite:///{inside / 'shop.sqlite'}", inside)
    before = shop.done("catalogue", "status").out
    added = shop("part", "add", name, "--kind", "rod-end", "--name", name)
    assert added.code in (0, 2, 65), added
    shop("part", "add", "RE-9", "--kind", "rod-end", "--name", name)
    shop("vehicle", "add", "V-9", "--maker", name, "--model", name)
    for words in (["part", "show", name], ["vehicle", "show", name], ["reading", "list", name], ["interchange", name]):
        assert shop(*words).code in (0, 1, 2, 4, 65, 66), words
    assert shop("propose", "--for", name, "--into", inside / "kits").code in (1, 2, 66)
    kit = shop.kit.read_text(encoding="utf-8")
    title = name.encode("utf-8", "replace").decode().replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    shop.kit.write_text(kit.replace("Two of a rod", title), encoding="utf-8")
    assert shop("sheet", shop.kit, "--into", inside / "sheets").code in (0, 4, 65)
    assert shop("export", "--into", inside / "csv").code == 0
    assert shop.done("catalogue", "verify").code == 0
    assert before.splitlines()[0] == shop.done("catalogue", "status").out.splitlines()[0]
    outside = [path for path in tmp_path.rglob("*") if path.is_file() and inside not in path.parents]
    assert outside == []


@pytest.mark.parametrize("url", ["foo://me:s3:cr@t@host/x", "postgresql+psycopg://me:s3cr@t@127.0.0.1:1/x"])
def test_a_password_is_not_shown(tmp_path: Path, url: str) -> None:
    said = Shop(url, tmp_path)("catalogue", "status")
    assert said.code in (2, 66, 74)
    assert "cr@t" not in said.err + said.out


def test_bytes_of_the_command_line_that_are_no_text(place: Path) -> None:
    words = ["part", "add", b"RE-\xff", "--kind", "rod-end", "--name", b"\xff\xfe", "--db", str(place / "shop.sqlite")]
    said = subprocess.run(
        [sys.executable, "-c", "from fitment.cli.main import run; run()", *words],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])},
    )
    assert said.returncode in (2, 65), said.stderr
    assert b"Traceback" not in said.stderr


@given(st.lists(st.lists(st.text(max_size=8) | st.sampled_from(NASTY), min_size=2, max_size=2), max_size=4))
def test_a_sheet_gives_no_formula_and_comes_back_as_it_was(rows: list[list[str]]) -> None:
    def plain(cell: str) -> str:
        return "".join(letter for letter in cell if letter.isprintable()).strip()

    kept = [[f"R{number}", *map(plain, row)] for number, row in enumerate(rows)]
    text = write_sheet(Table(["source", "title", "note"], kept))
    for row in csv.reader(io.StringIO(text, newline="")):
        for cell in row:
            assert cell[:1] not in ("=", "+", "@", "\t", "\r")
            assert cell[:1] != "-" or re.fullmatch(r"-[0-9]+([.,][0-9]+)?", cell)
    found = parse_sheet(text, "s.csv")
    assert [[row.cells.get(name, "") for name in ("source", "title", "note")] for row in found.rows] == kept


@pytest.mark.parametrize("cell", ["-2+3+cmd|' /C calc'!A0", "-1e5*2", "\t=1", "\r=1", "=1", "+1", "@x", "-"])
def test_a_formula_is_made_inert(cell: str) -> None:
    assert inert(cell) == f" {cell}"


@pytest.mark.parametrize("cell", ["-3.5", "-12,9", "-7", "3-4", "M14x1.5-LH", ""])
def test_a_number_stays_one(cell: str) -> None:
    assert inert(cell) == cell


#: what runs code that comes as data, or reads a format that can
FORBIDDEN = {
    r"\b(pickle|cPickle|marshal|shelve|dill|jsonpickle)\b": "serialised objects",
    r"(?<![\w.])(eval|exec|compile)\(": "code out of text",
    r"\byaml\b": "YAML",
    r"shell\s*=\s*True|os\.system\(|os\.popen\(": "a shell",
    r"\ballow_pickle\b": "serialised arrays",
    r"tempfile\.mktemp\(": "a temporary name that another may take",
}


@pytest.mark.parametrize("pattern", FORBIDDEN)
def test_the_source_runs_no_data(pattern: str) -> None:
    root = Path(fitment.__file__).parent
    found = [
        f"{path.relative_to(root)}:{number}"
        for path in sorted(root.rglob("*.py"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if re.search(pattern, line.partition("#")[0])
    ]
    assert found == [], FORBIDDEN[pattern]
