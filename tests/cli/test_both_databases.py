"""The demo in a file and on a PostgreSQL server: every command that answers says the same, word for word, of both."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pytest

from fitment.cli.main import answer
from tests.support.postgres import Server

pytestmark = pytest.mark.server

#: any moment will do, the same for both
EPOCH = "1780000000"

KITS = sorted(path.stem for path in (Path(__file__).parents[2] / "data" / "demo" / "kits").glob("*.toml"))

QUESTIONS = [
    ["vehicle", "list", "--json"],
    ["vehicle", "show", "V-1"],
    ["part", "list"],
    ["part", "list", "--json"],
    ["part", "show", "RE-1"],
    ["part", "history", "RE-1"],
    ["item", "list", "--json"],
    ["item", "show", "RK-2a"],
    ["reading", "list", "KN-1", "--json"],
    ["build", "list", "--json"],
    ["report", "list", "--json"],
    ["donors", "rod-end", "shank.thread=M14x1.5", "shank.hand=RH"],
    ["donors", "rack", "--wanted", "V-1", "--json"],
    ["interchange", "RE-1"],
    ["interchange", "RK-2", "--json"],
    ["interchange", "UJ-1", "--work", "none"],
    ["catalogue", "audit"],
    ["catalogue", "audit", "--json"],
    ["catalogue", "verify"],
]


@dataclass(frozen=True)
class Shop:
    """The demo twice: its folder, the file and the server's URL."""

    folder: Path
    file: str
    server: str

    def said(self, url: str, words: list[str]) -> tuple[int, str, str]:
        out, err = io.StringIO(), io.StringIO()
        with redirect_stdout(out), redirect_stderr(err):
            code = answer([*words, "--db", url])
        return code, out.getvalue().replace(url, "URL"), err.getvalue().replace(url, "URL")

    def alike(self, words: list[str], codes: set[int]) -> None:
        of_file, of_server = (self.said(url, words) for url in (self.file, self.server))
        assert of_file[0] in codes, of_file
        assert of_file[1], of_file
        assert of_server == of_file


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, postgres_server: Server) -> Iterator[Shop]:
    folder = tmp_path_factory.mktemp("both") / "demo"
    with pytest.MonkeyPatch.context() as patch, postgres_server.fresh_database() as url:
        patch.setitem(os.environ, "SOURCE_DATE_EPOCH", EPOCH)
        file = f"sqlite:///{(folder / 'catalogue.sqlite').as_posix()}"
        assert answer(["demo", "--into", str(folder), "-q"]) == 0
        assert answer(["catalogue", "copy", file, url]) == 0
        yield Shop(folder, file, url)


@pytest.mark.parametrize("kit", KITS)
def test_a_check(shop: Shop, kit: str) -> None:
    shop.alike(["check", str(shop.folder / "kits" / f"{kit}.toml"), "--json"], {0, 1, 3, 4})


@pytest.mark.parametrize("kit", ["fits-outright", "plate-and-shaft", "rack-too-tall", "target-only"])
def test_a_steering(shop: Shop, kit: str) -> None:
    shop.alike(["steer", str(shop.folder / "kits" / f"{kit}.toml"), "--json"], {0})


@pytest.mark.parametrize("words", QUESTIONS, ids=" ".join)
def test_a_question(shop: Shop, words: list[str]) -> None:
    shop.alike(words, {0, 1, 4})


def test_what_to_measure_next(shop: Shop) -> None:
    shop.alike(["measure-next", str(shop.folder / "kits" / "known-in-six.toml")], {0, 4})


def test_what_is_proposed(shop: Shop) -> None:
    """Of what is on the shelf for a car that has little: the whole search, in the end with the reason for none."""
    shop.alike(["propose", "--for", "V-5", "--json"], {1})


@pytest.mark.parametrize(
    "words",
    [
        ["export", "--into", "out"],
        ["export", "--exchange", "out.jsonl", "--permission", "pass on freely"],
        ["sheet", "{kits}/ream-with-metal.toml", "--into", "out"],
        ["sweep", "--kit", "{kits}/ream-with-metal.toml", "--rack", "RK-2", "--rack", "RK-3", "--into", "out.csv"],
    ],
    ids=lambda words: words[0] + words[1],
)
def test_what_is_written(shop: Shop, words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sheets of the whole catalogue, records for another shop, the pages of a kit, a matrix: the same bytes."""
    written = []
    for name, url in (("file", shop.file), ("server", shop.server)):
        (tmp_path / name).mkdir()
        monkeypatch.chdir(tmp_path / name)
        code, _, err = shop.said(url, [word.replace("{kits}", str(shop.folder / "kits")) for word in words])
        assert code == 0, err
        written.append({path.as_posix(): path.read_bytes() for path in sorted(Path().rglob("*")) if path.is_file()})
    of_file, of_server = written
    assert of_file
    assert list(of_server) == list(of_file)
    assert [name for name in of_file if of_file[name] != of_server[name]] == []
