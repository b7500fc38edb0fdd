"""Things, readings, sheets and the database through the real command line."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from fitment.catalogue.schema_number import SCHEMA
from fitment.cli.main import answer


@pytest.fixture
def db(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    path = str(tmp_path / "shop.sqlite")
    assert answer(["catalogue", "create", "--db", path, "--shop", "NORTH"]) == 0
    assert answer(["part", "add", "RK-7", "--kind", "steering rack", "--name", "wide rack", "--db", path]) == 0
    capsys.readouterr()
    return path


def run(db: str, *arguments: str) -> int:
    return answer([*arguments, "--db", db])


def test_many_readings_at_once_echoed_as_understood(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["thread=M14x1,5 RH", "depth=25 mm", "sex=female", "seat-dia=0.9 in"]
    assert run(db, "reading", "add", "RK-7", "bar-end.left", *words, "--sitting", "yard-3", "--who", "AB") == 0
    out, err = capsys.readouterr()
    assert err == "fitment: made the sitting NORTH/yard-3\n"
    assert [re.sub(r"^[0-9a-f]{8}  ", "", line) for line in out.splitlines()] == [
        "NORTH/RK-7 bar-end.left thread = M14x1.5-RH",
        "NORTH/RK-7 bar-end.left depth = 25.000 mm, u = 0.0577 (depth-rod)",
        "NORTH/RK-7 bar-end.left sex = female",
        "NORTH/RK-7 bar-end.left seat-dia = 22.860 mm, u = 0.0289 (calliper)",
    ]
    assert run(db, "part", "show", "RK-7") == 0
    assert "bar-end.left thread" in capsys.readouterr().out


def test_a_bare_number_is_refused_without_units_and_nothing_is_kept(
    db: str, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = [
        "reading",
        "add",
        "RK-7",
        "bar-end.left",
        "sex=male",
        "depth=25",
        "dept=3",
        "--sitting",
        "s",
        "--who",
        "AB",
    ]
    assert run(db, *arguments) == 65
    err = capsys.readouterr().err
    assert 'bar-end.left.depth: "25": 25 has no unit' in err
    assert 'bar-end.left.dept: rack, bar-end.left has no dimension "dept"' in err
    assert err.endswith("fitment: 2 faults; nothing was changed\n")
    assert run(db, "reading", "list") == 0
    assert capsys.readouterr().out == "no readings\n"
    assert run(db, *arguments[:-3], "--sitting", "s", "--who", "AB", "--units", "inch") == 65


def test_dry_run_keeps_nothing(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(db, "reading", "add", "RK-7", "bar-end.left", "sex=male", "--sitting", "s", "--who", "AB", "-n") == 0
    assert "sex = male" in capsys.readouterr().out
    run(db, "reading", "list")
    assert capsys.readouterr().out == "no readings\n"


def test_withdraw_takes_out_of_force_and_keeps_on_record(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    run(db, "reading", "add", "RK-7", "bar-end.left", "depth=25mm", "--sitting", "s", "--who", "AB")
    uid = capsys.readouterr().out[:8]
    assert run(db, "reading", "withdraw", uid, "--reason", "wrong end", "--who", "AB") == 0
    assert capsys.readouterr().out == f"withdrew {uid}: bar-end.left depth 25mm\n"
    assert run(db, "reading", "withdraw", uid, "--reason", "again") == 65
    assert capsys.readouterr().err == f"fitment: reading {uid} is withdrawn already [reading-02]\n  nothing to do\n"
    assert run(db, "reading", "list", "--json") == 0
    told = json.loads(capsys.readouterr().out)["readings"]
    assert [(one["entered"], one["withdrawn"]) for one in told] == [("25mm", "wrong end")]
    run(db, "part", "show", "RK-7")
    assert "no readings yet" in capsys.readouterr().out
    assert run(db, "catalogue", "verify") == 0


def test_the_same_value_typed_twice_is_two_readings(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    for _ in range(2):
        run(db, "reading", "add", "RK-7", "bar-end.left", "depth=25mm", "--sitting", "s", "--who", "AB")
    capsys.readouterr()
    run(db, "reading", "list", "--json")
    assert len(json.loads(capsys.readouterr().out)["readings"]) == 2


def test_import_export_and_back(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["template", "rod end"]) == 0
    sheet = tmp_path / "rod-ends.csv"
    sheet.write_text(capsys.readouterr().out, encoding="utf-8")
    assert run(db, "import", str(sheet)) == 0
    assert capsys.readouterr().out == "added: nothing new\n"
    run(db, "reading", "add", "RK-7", "bar-end.left", "depth=25mm", "--sitting", "s", "--who", "AB")
    capsys.readouterr()
    assert run(db, "export", "--into", str(tmp_path / "out")) == 0
    files = capsys.readouterr().out.split()
    other = str(tmp_path / "other.sqlite")
    answer(["catalogue", "create", "--db", other])
    capsys.readouterr()
    assert answer(["import", *files, "--db", other]) == 0
    assert capsys.readouterr().out == "added: 1 part, 1 reading, 1 sitting, 1 source\n"
    assert answer(["import", *files, "--db", other, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"schema": "fitment.import/1", "dry_run": False, "added": {}}


def test_vehicles_items_and_lists(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(db, "vehicle", "add", "V-1", "--maker", "Invented", "--model", "One", "--years", "1961-66") == 0
    assert run(db, "item", "add", "RK-7a", "--part", "RK-7", "--condition", "used", "--welds", "none") == 0
    assert run(db, "item", "add", "RK-7a", "--part", "RK-7") == 0
    assert capsys.readouterr().out == "added NORTH/V-1\nadded NORTH/RK-7a\nNORTH/RK-7a is there already\n"
    for sort, told in (("vehicle", "NORTH/V-1"), ("part", "NORTH/RK-7"), ("item", "of NORTH/RK-7")):
        assert run(db, sort, "list") == 0
        assert told in capsys.readouterr().out
    assert run(db, "item", "show", "RK-7a") == 0
    assert "  condition: used\n" in capsys.readouterr().out
    assert run(db, "part", "show", "RK-8") == 66
    assert capsys.readouterr().err == "fitment: no part RK-8 [ref-02]\n  allowed: NORTH/RK-7\n"


def test_status_and_upgrade(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(db, "catalogue", "upgrade") == 0
    assert capsys.readouterr().out == f"the catalogue has schema {SCHEMA}\n"
    assert run(db, "catalogue", "status", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["shop"], told["parts"], told["readings"], told["revision"]) == ("NORTH", 1, 0, 1)


def test_a_dry_run_of_an_import_shows_what_it_would_add(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(db, "reading", "add", "RK-7", "bar-end.left", "depth=25mm", "--sitting", "s", "--who", "AB")
    sheet = tmp_path / "racks.csv"
    sheet.write_text(
        "rack,sitting,units,bar-end.right.depth,pinion.spline\nRK-7,s,mm,24.5,36\nRK-8,,,,\n", encoding="utf-8"
    )
    capsys.readouterr()
    assert run(db, "import", str(sheet), "--dry-run") == 0
    assert capsys.readouterr().out.splitlines() == [
        "+ part NORTH/RK-8",
        "+ reading NORTH/RK-7 bar-end.right depth = 24.5 mm (NORTH/s)",
        "+ reading NORTH/RK-7 pinion spline = 36 (NORTH/s)",
        "would add: 1 part, 2 readings",
    ]
    run(db, "part", "list")
    assert "RK-8" not in capsys.readouterr().out


def torn(db: str, capsys: pytest.CaptureFixture[str]) -> list[str]:
    """Ids of two readings in conflict."""
    ids = []
    for value, sitting in (("25 mm", "s"), ("27 mm", "t")):
        more = ["--sitting", sitting, "--who", "AB"]
        assert run(db, "reading", "add", "RK-7", "bar-end.left", f"depth={value}", *more) == 0
        ids.append(capsys.readouterr().out[:8])
    return ids


def test_a_conflict_is_decided_with_a_reason(
    db: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    first, second = torn(db, capsys)
    words = ["reading", "decide", "RK-7", "left bar end", "depth", "--take", first, "--reason", "the other is the bore"]
    for more in (["-n"], []):
        assert run(db, *words, "--who", "AB", *more) == 0
        assert capsys.readouterr().out == (
            "NORTH/RK-7 bar-end.left depth = 25.000 mm (own measurement, depth-rod; decided by AB on 2026-05-28:"
            f" the other is the bore)\nset aside: {second}\n"
        )
    assert run(db, "part", "history", "RK-7", "depth") == 0
    assert f"taken {first}; set aside {second}" in capsys.readouterr().out
    assert run(db, "catalogue", "verify") == 0


@pytest.mark.parametrize(("take", "reason"), [("", "why"), (",", "why"), ("{id}", " ")])
def test_a_decision_without_readings_or_reason_is_refused(
    db: str, capsys: pytest.CaptureFixture[str], take: str, reason: str
) -> None:
    first, _ = torn(db, capsys)
    words = ["reading", "decide", "RK-7", "bar-end.left", "depth", "--take", take.format(id=first)]
    assert run(db, *words, "--reason", reason) == 2
    assert capsys.readouterr().err == (
        'fitment: a decision needs readings and a reason [usage-33]\n  --take READING --reason "..."\n'
    )


def test_history_as_an_object(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    first, second = torn(db, capsys)
    assert run(db, "part", "history", "RK-7", "bar-end.left.depth", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    (story,) = told["dimensions"]
    assert [step["adopted"]["value"] for step in story["steps"]] == [25.0, None]
    assert [step["adopted"]["gap"][:11] for step in story["steps"]] == ["", "in conflict"]
    assert {step["readings"][0][:8] for step in story["steps"]} == {first, second}
    assert run(db, "part", "history", "RK-7", "dept") == 66
    assert "allowed: bar-end.left.depth" in capsys.readouterr().err


def test_audit_answers_scripts_by_its_exit_code(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(db, "catalogue", "audit") == 0
    assert capsys.readouterr().out == "clean: nothing deserves a second look\n"
    torn(db, capsys)
    run(db, "item", "add", "RK-7a", "--part", "RK-7")
    capsys.readouterr()
    assert run(db, "catalogue", "audit") == 1
    conflict, welds = capsys.readouterr().out.split("\n\n")
    heading, line = conflict.splitlines()
    assert heading == "in conflict: withdraw the wrong reading, measure again, or decide with a reason (1)"
    assert line.startswith("  NORTH/RK-7 bar-end.left depth: in conflict: 2")
    assert welds.splitlines()[1] == "  NORTH/RK-7a: welds are not known"
    assert run(db, "catalogue", "audit", "--json") == 1
    told = json.loads(capsys.readouterr().out)
    assert (told["clean"], [one["sort"] for one in told["troubles"]]) == (False, ["conflict", "welds"])


@pytest.mark.parametrize("content", [b"", b"no database at all, only some text"])
@pytest.mark.parametrize(
    "command",
    [
        ["check", "kit.toml"],
        ["part", "list"],
        ["part", "show", "RE-1"],
        ["catalogue", "status"],
        ["catalogue", "verify"],
        ["donors", "rack", "travel=130.."],
    ],
)
def test_asking_leaves_what_is_no_catalogue_as_it_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes, command: list[str]
) -> None:
    kit, path = tmp_path / "kit.toml", tmp_path / "x.sqlite"
    kit.write_text('name = "One"\ntarget = "V-1"\n', encoding="utf-8")
    path.write_bytes(content)
    words = [str(kit) if word == "kit.toml" else word for word in command]
    assert run(str(path), *words) == 74
    what = "this file is not a database" if content else "this file is empty"
    assert capsys.readouterr().err == (
        f"fitment: {path}: {what}, so not a catalogue of parts [db-02]\n"
        "  name another with --db, or make one: fitment catalogue create\n"
    )
    assert path.read_bytes() == content
    assert sorted(tmp_path.iterdir()) == [kit, path]


def test_a_kit_offers_only_parts_that_its_role_takes(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(db, "vehicle", "add", "V-1") == 0
    capsys.readouterr()
    kit = tmp_path / "kit.toml"
    kit.write_text('name = "One"\ntarget = "V-1"\n[rack]\npart = "RK-1"\n[left]\nrod_end = "RK-7a"\n', encoding="utf-8")
    assert run(db, "check", str(kit)) == 66
    err = capsys.readouterr().err
    assert f"{kit}:4:8: no part RK-1 in the catalogue [ref-02]\n  allowed: NORTH/RK-7\n" in err
    assert "no part RK-7a in the catalogue [ref-02]\n  the catalogue has no rod end\n" in err
