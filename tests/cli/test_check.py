"""``fitment check`` and ``demo`` as a user meets them: words, exit codes, JSON, faults, narrow screens."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import sqlalchemy as sa

import fitment
from fitment.catalogue.database import make_engine
from fitment.cli import check as check_command
from fitment.cli.main import answer
from fitment.kits.report_json import report_object

EXITS = {
    "seats-by-blueing": 0,
    "screws-fully-home": 1,
    "stud-1-in-10-eye-1-in-8": 1,
    "ream-without-metal": 1,
    "ream-with-metal": 3,
    "hand-unknown": 4,
    "target-only": 4,
}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "demo"
    assert answer(["demo", "--into", str(folder), "-q"]) == 0
    return folder


def check(demo: Path, kit: str, *more: str) -> int:
    return answer(["check", str(demo / "kits" / f"{kit}.toml"), "--db", str(demo / "catalogue.sqlite"), *more])


@pytest.mark.parametrize(("kit", "code"), EXITS.items())
def test_exit_codes_answer_with_the_verdict(
    demo: Path, kit: str, code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    assert check(demo, kit) == code
    first, second, third = capsys.readouterr().out.splitlines()[:3]
    words = {0: "fits (dimensions only)", 1: "does not fit", 3: "fits with work (dimensions only)", 4: "not known"}
    assert first == words[code]
    assert second.startswith("ruled out by" if code == 1 else "nothing known rules it out")
    assert third.startswith("joints: ")


@pytest.mark.parametrize("kit", EXITS)
@pytest.mark.parametrize("columns", ["40", "80"])
def test_no_line_is_wider_than_the_screen(
    demo: Path, kit: str, columns: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    check(demo, kit, "-v")
    assert max(map(len, capsys.readouterr().out.splitlines())) <= int(columns)


@pytest.mark.parametrize("kit", EXITS)
def test_json_follows_its_schema_and_says_what_the_screen_says(
    demo: Path, kit: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code = check(demo, kit, "--json")
    told = json.loads(capsys.readouterr().out)
    assert answer(["schema", "check"]) == 0
    jsonschema.validate(told, json.loads(capsys.readouterr().out))
    assert {"fits": 0, "does not fit": 1, "fits with work": 3, "not known": 4}[told["verdict"]] == code
    for finding in told["findings"]:
        if finding["verdict"] == "fits":
            assert finding["uses"]
            assert not any(use.get("hearsay") or use.get("assumed") for use in finding["uses"])
        if finding["margin"]:
            assert finding["margin"]["low"] <= finding["margin"]["high"]


def test_the_python_way_gives_the_same_report(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kit = demo / "kits" / "ream-with-metal.toml"
    check(demo, "ream-with-metal", "--json")
    told = json.loads(capsys.readouterr().out)
    with fitment.open_catalogue(demo / "catalogue.sqlite") as book:
        assert json.loads(json.dumps(report_object(fitment.check(fitment.load_kit(kit), book)))) == told


def test_the_same_kit_twice_gives_the_same_bytes(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    outputs = []
    for _ in range(2):
        check(demo, "ream-without-metal", "-v")
        outputs.append(capsys.readouterr().out)
    assert outputs[0] == outputs[1]
    assert "warranty" not in outputs[0]


def test_words_never_said(demo: Path) -> None:
    for report in (demo / "reports").glob("*.txt"):
        text = " ".join(report.read_text(encoding="utf-8").lower().split())
        for word in ("is safe", "legal ", "will pass", "strong enough", "approved"):
            assert word not in text
        assert "dimensional compatibility only. not an approval." in text


def test_keep_records_the_report_and_raises_no_revision(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    check(demo, "seats-by-blueing", "--keep", "--json")
    told = json.loads(capsys.readouterr().out)
    engine = make_engine(f"sqlite:///{demo / 'catalogue.sqlite'}")
    with engine.connect() as connection:
        row = connection.execute(sa.text("SELECT verdict, revision, body FROM report")).one()
        assert (row.verdict, row.revision) == ("fits", told["catalogue"]["revision"])
        assert json.loads(row.body) == told
        assert connection.execute(sa.text("SELECT count(*) FROM report_reading")).scalar_one() > 10
        assert connection.execute(sa.text("SELECT revision FROM catalogue")).scalar_one() == row.revision
    engine.dispose()


def test_inches_on_request(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    check(demo, "seats-by-blueing", "--units", "inch")
    assert "+0.1103 in" in capsys.readouterr().out


FAULTS: list[tuple[list[str], int, str]] = [
    (["check", "none.toml"], 66, "none.toml"),
    (["check", "none.toml", "--units", "cm"], 2, 'fitment: --units is "cm" [usage-01]\n  allowed: mm, inch\n'),
    (["explain", "cone-99"], 66, 'fitment: no rule "cone-99" [explain-01]\n  nearest: cone-08, cone-07, cone-06\n'),
    (
        ["schema", "chek"],
        66,
        'fitment: no schema "chek" [schema-01]\n  nearest: check, exchange; fitment schema lists them\n',
    ),
    (["import", "none.csv", "--db", "none.sqlite"], 66, "fitment: none.sqlite: no catalogue there [db-01]\n"),
    (["template", "gearbox"], 65, 'fitment: there is no kind of part "gearbox" [dictionary-01]\n'),
    (["check"], 2, "fitment: Missing argument 'KIT.toml'. [usage-00]\n"),
    (["chekc"], 2, "fitment: No such command 'chekc'. Did you mean 'check'? [usage-00]\n"),
]


@pytest.mark.parametrize(("arguments", "code", "told"), FAULTS)
def test_faults(
    arguments: list[str],
    code: int,
    told: str,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert answer(arguments) == code
    out, err = capsys.readouterr()
    assert out == ""
    assert told in err
    assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == []


def test_faults_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["check", "none.toml", "--json"]) == 66
    out, err = capsys.readouterr()
    assert out == ""
    told: dict[str, Any] = json.loads(err)
    assert told["schema"] == "fitment.error/1"
    assert set(told["errors"][0]) == {"code", "message", "place", "mending"}


def test_a_stray_exception_is_our_fault_and_no_answer(
    demo: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: str) -> str:
        raise ZeroDivisionError("seeded")

    monkeypatch.setattr(check_command, "units_named", broken)
    assert check(demo, "seats-by-blueing") == 70
    err = capsys.readouterr().err
    assert err.startswith("fitment: our own fault (ZeroDivisionError: seeded); the report is in ")
    assert "Traceback" not in err
    saved = Path(err.split("the report is in ")[1].split(" [")[0])
    assert "ZeroDivisionError" in saved.read_text()


FITMENT = [sys.executable, "-c", "import sys; from fitment.cli.main import run; run()"]


def ends_with(demo: Path, stdout: int | None) -> tuple[int, str]:
    """Exit code and stderr of a check in a process of its own that writes to a given file descriptor."""
    arguments = ["check", str(demo / "kits" / "seats-by-blueing.toml"), "--db", str(demo / "catalogue.sqlite"), "-v"]
    done = subprocess.run([*FITMENT, *arguments], stdout=stdout, stderr=subprocess.PIPE, text=True)
    return done.returncode, done.stderr


def test_a_reader_that_goes_away_is_141(demo: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    code, err = ends_with(demo, writing)
    os.close(writing)
    assert (code, "Traceback" in err) == (141, False)


def test_a_full_disk_is_74(demo: Path) -> None:
    with open("/dev/full", "w") as full:
        code, err = ends_with(demo, full.fileno())
    assert (code, err) == (74, "fitment: No space left on device [io-01]\n")


def test_interrupted_is_130(demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(_: str) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr(check_command, "units_named", interrupted)
    assert check(demo, "seats-by-blueing") == 130


def test_an_earlier_demo_is_replaced_only_on_request(
    demo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert answer(["demo", "--into", str(demo)]) == 2
    assert "say --yes to replace it" in capsys.readouterr().err
    (tmp_path / "mine.txt").touch()
    assert answer(["demo", "--into", str(tmp_path), "--yes"]) == 2
    assert (tmp_path / "mine.txt").exists()


@pytest.mark.parametrize("code", ["cone-02", "thread-03", "kit-01"])
def test_explain_has_every_page(code: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["explain", code]) == 0
    out = capsys.readouterr().out
    for heading in ("checks:", "formula:", "source:", "limits:", "does not cover:"):
        assert heading in out


def test_every_code_that_a_demo_report_shows_has_its_page(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["explain", "all", "--json"]) == 0
    known = {rule["code"] for rule in json.loads(capsys.readouterr().out)["rules"]}
    for kit in EXITS:
        check(demo, kit, "--json")
        told = json.loads(capsys.readouterr().out)
        assert {finding["rule"] for finding in told["findings"]} <= known


def test_the_tools_are_listed_with_what_they_leave_in_doubt(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["explain", "tools"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert any(line.startswith("ball-gauge") and line.endswith("0.02 mm") for line in lines)
    assert answer(["explain", "tools", "--json"]) == 0
    assert "calliper" in {tool["code"] for tool in json.loads(capsys.readouterr().out)["tools"]}
