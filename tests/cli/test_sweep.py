"""The matrix of vehicles and racks: the same to the byte however it is run, and after a kill; its journal."""

from __future__ import annotations

import csv
import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from fitment.cli.sweep_run import Journal, Made, swept
from fitment.errors import StorageFault
from fitment.kits.sweep import Sweep
from tests.support.dask_cluster import running_cluster
from tests.support.demo_shop import demo_catalogue, demo_kit
from tests.support.shop import Said, Shop

FOUR = ["--for", "V-1", "--for", "V-2", "--rack", "RK-1", "--rack", "RK-2"]
CHECKED = [*FOUR, "--kit", str(demo_kit("fits-outright"))]
#: parts that leave little to search
KEPT = [word for part in ("TR-1", "SH-1", "BO-1", "MT-2") for word in ("--keep", f"NORTH/{part}")]
PROPOSED = ["--for", "V-1", "--for", "V-3", "--rack", "RK-2", *KEPT]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> str:
    return demo_catalogue(tmp_path_factory.mktemp("demo"))


@pytest.fixture
def shop(demo: str, tmp_path: Path) -> Shop:
    return Shop(demo, tmp_path)


def matrix(shop: Shop, *words: str | Path, name: str = "matrix.csv") -> bytes:
    """The file of a sweep that is done."""
    shop.done("sweep", "--into", shop.folder / name, *words)
    return (shop.folder / name).read_bytes()


def rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(content.decode().splitlines()))


def test_a_row_is_what_check_says_of_the_pair(shop: Shop) -> None:
    told = rows(matrix(shop, *CHECKED, "--workers", "2"))
    assert [(row["vehicle"], row["rack"]) for row in told] == [
        (f"NORTH/V-{v}", f"NORTH/RK-{r}") for v in (1, 2) for r in (1, 2)
    ]
    for row in told:
        text = demo_kit("fits-outright").read_text(encoding="utf-8")
        text = text.replace('target = "NORTH/V-1"', f'target = "{row["vehicle"]}"')
        kit = shop.folder / "kit.toml"
        kit.write_text(text.replace("NORTH/RK-2a", row["rack"]), encoding="utf-8")
        report = shop("check", kit, "--json").told
        assert row["verdict"] == report["verdict"]
        assert row["because"].removeprefix("dimensions only: ") in shop("check", kit).out.replace("\n", " ")
        assert row["because"].startswith("dimensions only: ") == report["verdict"].startswith("fits")
    assert {"fits", "not known"} <= {row["verdict"] for row in told}


def test_a_row_is_what_propose_says_of_the_pair(shop: Shop) -> None:
    told = rows(matrix(shop, *PROPOSED, "--workers", "1"))
    for row in told:
        found = shop("propose", "--for", row["vehicle"], "--top", "1", "--keep", row["rack"], *KEPT, "--json").told
        assert row["proven"] == ("yes" if found["proven"] else "no")
        if found["kits"]:
            (kit,) = found["kits"]
            assert (row["verdict"], row["points"]) == (kit["verdict"], f"{kit['cost']:.2f}")
        else:
            assert (row["verdict"], row["points"]) == ("no kit", "")
            assert row["because"]
    assert {row["verdict"] for row in told} == {"fits", "no kit"}


def test_one_process_many_or_a_cluster_write_the_same_bytes(shop: Shop) -> None:
    one = matrix(shop, *CHECKED, "--workers", "1", name="one.csv")
    two = matrix(shop, *CHECKED, "--workers", "2", name="two.csv")
    with running_cluster() as address:
        cluster = matrix(shop, *CHECKED, "--scheduler", address, name="cluster.csv")
    assert one == two == cluster
    assert sorted(path.name for path in shop.folder.iterdir()) == ["cluster.csv", "one.csv", "two.csv"]


def children(process: int) -> list[int]:
    """The workers that a sweep has started; what keeps their semaphores is none."""
    started = Path(f"/proc/{process}/task/{process}/children").read_text().split()
    return [int(word) for word in started if b"spawn_main" in Path(f"/proc/{word}/cmdline").read_bytes()]


def test_a_killed_sweep_goes_on_and_makes_no_row_again(shop: Shop) -> None:
    undisturbed = matrix(shop, *CHECKED, name="undisturbed.csv")
    into = shop.folder / "killed.csv"
    journal = shop.folder / "killed.csv.journal"
    words = ["sweep", "--into", str(into), *CHECKED, "--workers", "1", "--db", shop.url]
    program = [sys.executable, "-c", "from fitment.cli.main import run; run()"]
    root = str(Path(__file__).parents[2])
    killed = subprocess.Popen([*program, *words], env={**os.environ, "PYTHONPATH": root}, stderr=subprocess.DEVNULL)
    until = time.monotonic() + 60
    while not journal.exists() or journal.read_bytes().count(b"\n") < 2:
        assert time.monotonic() < until
        time.sleep(0.002)
    workers = children(killed.pid)
    killed.send_signal(signal.SIGKILL)
    killed.wait()
    assert workers
    while any(Path(f"/proc/{worker}").exists() for worker in workers):  # none of them waits for work for ever
        assert time.monotonic() < until
        time.sleep(0.05)
    assert not into.exists()
    lines = journal.read_text(encoding="utf-8").splitlines(keepends=True)
    whole = [line for line in lines if line.endswith("\n")]
    # a row that nobody would make: it is taken from the journal; and half a line, as a kill may leave one
    marked = json.loads(whole[1])
    marked["row"][-1] = "from the journal"
    journal.write_text("".join([whole[0], json.dumps(marked) + "\n", *whole[2:], '{"pair": 3, "r']), encoding="utf-8")
    again = shop("sweep", "--into", into, *CHECKED)
    assert (again.code, "--resume" in again.err) == (2, True)
    resumed = matrix(shop, *CHECKED, "--resume", name="killed.csv").decode().splitlines()
    was = undisturbed.decode().splitlines()
    at = 1 + marked["pair"]
    assert resumed[at].endswith(",from the journal")
    assert [*resumed[:at], *resumed[at + 1 :]] == [*was[:at], *was[at + 1 :]]
    assert not journal.exists()


def test_a_worker_that_is_ended_from_outside_is_told_and_what_is_done_is_kept(shop: Shop) -> None:
    words = ["sweep", "--into", str(shop.folder / "m.csv"), *CHECKED, "--workers", "1", "--db", shop.url]
    program = [sys.executable, "-c", "from fitment.cli.main import run; run()"]
    root = str(Path(__file__).parents[2])
    sweep = subprocess.Popen(
        [*program, *words], env={**os.environ, "PYTHONPATH": root}, stderr=subprocess.PIPE, text=True
    )
    until = time.monotonic() + 60
    journal = shop.folder / "m.csv.journal"
    while not journal.exists() or journal.read_bytes().count(b"\n") < 2:
        assert time.monotonic() < until
        time.sleep(0.002)
    for worker in children(sweep.pid):
        os.kill(worker, signal.SIGKILL)
    told = sweep.communicate()[1]
    assert (sweep.returncode, "Traceback" in told) == (74, False), told
    assert "a process of the sweep was ended from outside" in told
    assert journal.read_bytes().count(b"\n") >= 2
    assert not (shop.folder / "m.csv").exists()


def test_a_catalogue_that_changes_meanwhile_ends_the_sweep(tmp_path: Path) -> None:
    def engine(_place: str | None, _asked: Sweep, numbers: Sequence[int]) -> Iterator[Made]:
        for number in numbers:
            yield number, ("id", 1 + number // 2, "d"), ("V", "R", "fits", "", "", "0", "")

    journal = Journal(tmp_path / "m.csv", {"schema": "x"})
    asked = Sweep(("V-1",), ("R-1", "R-2", "R-3"))
    with pytest.raises(StorageFault, match="the catalogue was changed during the sweep"):
        swept(None, asked, ("id", 1, "d"), engine, journal, lambda *_: None)
    assert sorted(journal.rows) == [0, 1]


HEADING = '{"schema": "fitment.sweep-journal/1"}\n'


@pytest.mark.parametrize("content", [HEADING, "[]\n", "no journal\n", "\x00\n", "{}\n{}\n"])
def test_a_journal_of_something_else_is_refused_and_kept(shop: Shop, content: str) -> None:
    journal = shop.folder / "m.csv.journal"
    journal.write_text(content, encoding="utf-8")
    said = shop("sweep", "--into", shop.folder / "m.csv", *CHECKED, "--resume")
    assert (said.code, said.out) == (65, "")
    assert f"{journal}:1: " in said.err
    assert journal.read_text(encoding="utf-8") == content


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["--for", "V-99"], 66, "V-99"),
        (["--rack", "TR-1"], 2, "NORTH/TR-1 is a tie-rod"),
        (["--kit", "none.toml"], 66, "none.toml"),
        (["--kit", str(demo_kit("fits-outright")), "--want", "no work"], 2, "--kit is checked as it is"),
        (["--kit", str(demo_kit("target-only"))], 2, "the kit names no rack"),
        (["--want", "wings"], 2, "wings"),
        (["--workers", "2", "--scheduler", "tcp://127.0.0.1:1"], 2, "--workers is of this machine"),
        ([*CHECKED, "--scheduler", "nonsense://"], 74, "no scheduler answers at nonsense://"),
    ],
)
def test_what_cannot_be_asked(shop: Shop, words: list[str], code: int, told: str) -> None:
    said = shop("sweep", "--into", shop.folder / "m.csv", *words)
    assert (said.code, said.out) == (code, "")
    assert told in said.err
    assert not (shop.folder / "m.csv").exists()


def test_nothing_is_overwritten_and_a_dry_run_writes_nothing(shop: Shop) -> None:
    said = shop.done("sweep", "--into", shop.folder / "m.csv", *CHECKED, "--dry-run")
    assert said.out.startswith("would sweep 4 pairs (2 vehicles, 2 racks) into ")
    assert list(shop.folder.iterdir()) == []
    (shop.folder / "m.csv").write_text("mine", encoding="utf-8")
    assert shop("sweep", "--into", shop.folder / "m.csv", *CHECKED).code == 65
    assert (shop.folder / "m.csv").read_text(encoding="utf-8") == "mine"


def test_the_screen_counts_verdicts_and_keeps_the_cautions(shop: Shop) -> None:
    said: Said = shop.done("sweep", "--into", shop.folder / "m.csv", *CHECKED)
    assert re.match(r"4 pairs \(2 vehicles, 2 racks\): 1 fits \(dimensions only\), 3 not known\n", said.out)
    assert "Not an approval." in said.out
    assert max(map(len, said.out.splitlines())) <= 80
