"""The command on the demo: kits nobody listed, each as check says; none, why, and what acting on it opens."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest

from fitment.cli.main import answer
from fitment.kits.propose.ledger import weights, work_minutes

#: parts that leave little to search on NORTH/V-1
KEPT = [word for part in ("RK-2", "TR-1", "SH-1", "BO-1") for word in ("--keep", f"NORTH/{part}")]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    assert answer(["demo", "--into", str(folder / "demo"), "-q"]) == 0
    return folder / "demo"


@pytest.fixture
def db(demo: Path) -> str:
    return str(demo / "catalogue.sqlite")


def told(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    """Exit code and stdout of `fitment propose`."""
    capsys.readouterr()
    code = answer(["propose", *words])
    return code, capsys.readouterr().out


def named(kit: str) -> dict[str, object]:
    """The parts of a kit file: its tables without facts."""
    file = tomllib.loads(kit)
    keys = ("stud_enters", "rod_length", "eye_leans", "sits", "turned")
    return {
        section: {key: part for key, part in table.items() if key not in keys}
        for section, table in file.items()
        if isinstance(table, dict) and section != "limits"
    }


def test_kits_that_nobody_listed_pass_check_with_the_verdict_told(
    demo: Path, db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["--for", "NORTH/V-1", "--top", "4", *KEPT, "--into", str(tmp_path / "out"), "--db", db, "-q"]
    code, out = told(capsys, *words, "--json")
    assert code == 0
    proposal = json.loads(out)
    assert (proposal["proven"], proposal["gap"], proposal["why_none"]) == (True, None, [])
    listed = [named(path.read_text("utf-8")) for path in (demo / "kits").glob("*.toml")]
    files = sorted((tmp_path / "out").glob("*.toml"))
    assert len(files) == len(proposal["kits"]) == 4
    new = 0
    for path, kit in zip(files, proposal["kits"], strict=True):
        assert path.read_text("utf-8") == kit["kit_file"]
        assert kit["cost"] == pytest.approx(sum(line["cost"] for line in kit["ledger"]))
        assert answer(["check", str(path), "--db", db, "-q"]) == {"fits": 0, "fits with work": 3}[kit["verdict"]]
        new += named(kit["kit_file"]) not in listed
    assert new >= 3
    ordered = [({"fits": 0, "fits with work": 1}[kit["verdict"]], kit["cost"]) for kit in proposal["kits"]]
    assert ordered == sorted(ordered)


def test_where_there_is_none_the_reason_acted_on_opens_one(
    demo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    db = str(tmp_path / "own.sqlite")
    Path(db).write_bytes((demo / "catalogue.sqlite").read_bytes())
    code, out = told(capsys, "--for", "NORTH/V-5", "--db", db, "--json")
    assert code == 1
    none = json.loads(out)
    assert (none["kits"], none["proven"]) == ([], True)
    (opens,) = [reason for reason in none["why_none"] if reason["sort"] == "opens"]
    assert (opens["change"], opens["checked"]) == ("reading", True)
    (what,) = opens["what"]
    reference, feature, dimension = what.split(" ")
    read = [
        "reading",
        "add",
        reference,
        feature,
        f"{dimension}=14 deg",
        "--sitting",
        "E-1",
        "--who",
        "AB",
        "--db",
        db,
        "-q",
    ]
    assert answer(read) == 0
    code, out = told(capsys, "--for", "NORTH/V-5", "--top", "1", "--into", str(tmp_path / "out"), "--db", db, "-q")
    assert code == 0
    assert "1. fits (dimensions only)" in out
    (kit,) = (tmp_path / "out").glob("*.toml")
    assert answer(["check", str(kit), "--db", db, "-q"]) == 0


def test_a_car_without_its_own_knuckles_on_record_is_told_so(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out = told(capsys, "--for", "NORTH/V-6", "--db", db)
    assert code == 1
    assert "1. no knuckle is recorded as fitted to NORTH/V-6" in out


def test_the_text_keeps_to_80_columns_and_shows_the_ledger(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out = told(capsys, "--for", "NORTH/V-1", "--top", "1", *KEPT, "--db", db)
    assert code == 0
    assert max(map(len, out.splitlines())) <= 80
    assert "proven the best that the\ncatalogue has" in out
    points = float(re.search(r"^1\. fits .*; ([\d.]+) points$", out, re.MULTILINE)[1])
    lines = re.findall(r"^ +(\d+\.\d\d)  [a-z]", out, re.MULTILINE)
    assert sum(map(float, lines)) == pytest.approx(points)
    assert "Dimensional compatibility only" in out


def test_wants_and_donors_are_heeded(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--for", "NORTH/V-1", "--top", "1", "--db", db, "--json"]
    code, out = told(capsys, *words, *KEPT, "--want", "turns 3.0..3.2, no machining")
    (kit,) = json.loads(out)["kits"]
    off = [line for line in kit["ledger"] if line["line"] == "wanted"]
    assert code == 0
    assert [line["amount"] for line in off] == [pytest.approx(0.2)]
    code, out = told(capsys, *words, *KEPT, "--without", "NORTH/V-2", "--keep", "NORTH/IJ-1")
    told_again = json.loads(out)
    donors = {donor for kit in told_again["kits"] for part in kit["parts"] for donor in part["donors"]}
    kept = {"NORTH/RK-2", "NORTH/TR-1", "NORTH/SH-1", "NORTH/BO-1", "NORTH/IJ-1"}
    for kit in told_again["kits"]:
        assert all(part["design"] in kept for part in kit["parts"] if part["donors"] == ["NORTH/V-2"]), donors


@pytest.mark.parametrize(
    ("words", "code", "fault"),
    [
        (["--for", "NORTH/V-99"], 66, "ref-02"),
        (["--for", "NORTH/V-1", "--keep", "NORTH/RE-99"], 66, "ref-02"),
        (["--for", "NORTH/V-1", "--without", "NORTH/V-99"], 66, "ref-02"),
        (["--for", "NORTH/V-1", "--want", "cheap"], 2, "propose-01"),
        (["--for", "NORTH/V-1", "--want", "turns wide"], 65, ""),
        (["--for", "NORTH/V-1", "--top", "0"], 2, "usage-00"),
        ([], 2, "usage-00"),
    ],
)
def test_faults_are_told(db: str, capsys: pytest.CaptureFixture[str], words: list[str], code: int, fault: str) -> None:
    assert answer(["propose", *words, "--db", db]) == code
    said = capsys.readouterr()
    assert said.out == ""
    assert f"[{fault}" in said.err


def test_every_weight_says_that_it_is_our_choice_and_every_operation_has_its_minutes() -> None:
    from fitment.joints.kinds import joint_kinds

    assert {weight.source for weight in weights().values()} == {"our choice, no source"}
    assert all(weight.weight > 0 for weight in weights().values())
    operations = {work for kind in joint_kinds().values() for work in kind.works} | {"lock spacer"}
    assert operations <= work_minutes().keys()
