"""``fitment sheet``: the files it writes, that they are the same each time, what it leaves alone, and what they say."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from pathlib import Path

import pytest

from fitment.cli.main import answer
from fitment.kits.report import STANDING_CAUTIONS
from fitment.sheets.documents import documents
from fitment.sheets.fastening import fastener_rows
from fitment.sheets.task_lines import task_lines
from tests.support.demo_shop import demo_catalogue, demo_kit

EPOCH = "1790000000"
#: words that no page says of a car
NEVER = re.compile(r"\b(safe|legal|will pass|approved|strong enough)\b", re.IGNORECASE)


@pytest.fixture(scope="module")
def db(tmp_path_factory: pytest.TempPathFactory) -> str:
    return demo_catalogue(tmp_path_factory.mktemp("shop"))


@pytest.fixture(scope="module")
def folder(db: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Everything of a kit with every part."""
    into = tmp_path_factory.mktemp("whole") / "sheets"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", EPOCH)
        assert answer(["sheet", str(demo_kit("fits-outright")), "--into", str(into), "--db", db, "-q"]) == 0
    return into


def run(*words: object) -> int:
    return answer(["sheet", *map(str, words)])


def test_the_same_kit_gives_the_same_bytes(
    db: str, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", EPOCH)
    assert run(demo_kit("fits-outright"), "--into", tmp_path / "again", "--db", db, "-q") == 0
    first, again = ({path.name: path.read_bytes() for path in one.iterdir()} for one in (folder, tmp_path / "again"))
    listed, listed_again = (json.loads(files.pop("files.json")) for files in (first, again))
    assert {name for name in first if first[name] != again[name]} == set()
    assert first.keys() == again.keys()
    assert listed | {"folder": ""} == listed_again | {"folder": ""}


def test_the_list_names_every_file_with_its_digest(folder: Path) -> None:
    import hashlib

    listed = json.loads((folder / "files.json").read_text(encoding="utf-8"))
    held = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.iterdir()}
    assert {one["file"]: one["sha256"] for one in listed["files"]} == {
        k: v for k, v in held.items() if k != "files.json"
    }
    assert {one["name"] for one in listed["documents"] + listed["left_out"]} == set(documents())


def test_it_answers_done_and_tells_the_verdict_first(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for kit, verdict in (("known-in-six", "not known"), ("clamp-bottoms", "does not fit")):
        assert run(demo_kit(kit), "--into", tmp_path / kit, "--only", "road-test", "--db", db) == 0
        out, err = capsys.readouterr()
        assert out.startswith(f"{verdict}: ")
        assert "kept as report" in err
    assert verdict in (tmp_path / kit / "road-test.html").read_text(encoding="utf-8")


def test_the_report_is_recorded_and_the_revision_stays(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    # a time of its own: the same report kept twice in one second is one report
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1790000000")
    own = tmp_path / "own.sqlite"
    shutil.copy(db, own)
    before = _status(own, capsys)
    assert run(demo_kit("known-in-six"), "--into", tmp_path / "dry", "--only", "survey", "--db", own, "-n") == 0
    assert not (tmp_path / "dry").exists()
    capsys.readouterr()
    assert answer(["report", "list", "--db", str(own), "--json"]) == 0
    kept = {one["uid"] for one in json.loads(capsys.readouterr().out)["reports"]}
    assert run(demo_kit("known-in-six"), "--into", tmp_path / "x", "--only", "survey", "--db", own, "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert answer(["report", "list", "--db", str(own), "--json"]) == 0
    assert {one["uid"] for one in json.loads(capsys.readouterr().out)["reports"]} - kept == {told["report"]}
    assert _status(own, capsys)["revision"] == before["revision"]


def _status(db: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    assert answer(["catalogue", "status", "--db", str(db), "--json"]) == 0
    status: dict[str, object] = json.loads(capsys.readouterr().out)
    return status


def test_nothing_of_somebody_elses_is_written_over(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    into = tmp_path / "mine"
    into.mkdir()
    (into / "survey.html").write_text("my own survey", encoding="utf-8")
    (into / "notes.txt").write_text("keep", encoding="utf-8")
    for options in ([], ["--yes"]):
        assert run(demo_kit("known-in-six"), "--into", into, "--only", "survey", "--db", db, *options) == 65
        assert "[export-01]" in capsys.readouterr().err
    assert sorted(path.name for path in into.iterdir()) == ["notes.txt", "survey.html"]
    assert (into / "survey.html").read_text(encoding="utf-8") == "my own survey"


def test_a_file_is_no_folder_and_nothing_is_recorded(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = tmp_path / "own.sqlite"
    demo = tmp_path / "demo"
    demo.mkdir()
    shutil.copy(demo_catalogue(demo), own)
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    assert run(demo_kit("known-in-six"), "--into", tmp_path / "taken", "--only", "survey", "--db", own) == 65
    assert "this is no folder" in capsys.readouterr().err
    assert answer(["report", "list", "--db", str(own), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["reports"] == []


def test_an_earlier_hand_over_is_replaced_on_request_only_and_what_was_changed_stays(
    db: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    into, kit = tmp_path / "sheets", demo_kit("known-in-six")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", EPOCH)
    both = ["--only", "survey", "--only", "road-test"]
    assert run(kit, "--into", into, "--db", db, "-q", *both) == 0
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(EPOCH) + 86400))
    assert run(kit, "--into", into, "--db", db, "-q", *both) == 65
    assert "say --yes" in capsys.readouterr().err
    assert run(kit, "--into", into, "--db", db, "-q", "--only", "survey", "--yes") == 0
    assert sorted(path.name for path in into.iterdir()) == ["files.json", "survey.html"]
    (into / "survey.html").write_text("with my readings", encoding="utf-8")
    assert run(kit, "--into", into, "--db", db, "-q", "--only", "survey", "--yes") == 65
    assert (into / "survey.html").read_text(encoding="utf-8") == "with my readings"


def test_what_is_asked_wrongly_is_named(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for options, code in ((["--paper", "A3"], "sheet-01"), (["--only", "set-upp"], "sheet-02")):
        assert run(demo_kit("known-in-six"), "--into", tmp_path / "x", "--db", db, *options) == 2
        assert f"[{code}]" in capsys.readouterr().err
    assert not (tmp_path / "x").exists()


@pytest.mark.parametrize("kit", ["ream-with-metal", "known-in-six", "target-only"])
def test_every_page_is_valid_says_the_cautions_and_promises_nothing(kit: str, db: str, tmp_path: Path) -> None:
    import html5lib

    assert run(demo_kit(kit), "--into", tmp_path / "sheets", "--db", db, "-q") == 0
    pages = sorted((tmp_path / "sheets").glob("*.html"))
    assert {"fit-report", "strip-down", "alignment", "survey", "certifier-first", "report"} <= {
        one.stem for one in pages
    }
    for page in pages:
        text = page.read_text(encoding="utf-8")
        html5lib.HTMLParser(strict=True).parse(text)
        for caution in STANDING_CAUTIONS:
            assert caution in text, page.name
        assert NEVER.search(re.sub(r"<style>.*?</style>", "", text, flags=re.DOTALL)) is None, page.name
        assert "http" not in text.replace("http://www.w3.org/", ""), page.name
        assert "<script" not in text


def test_no_torque_stands_without_its_source(folder: Path) -> None:
    text = (folder / "set-up.html").read_text(encoding="utf-8")
    rows = re.findall(r"<tr>.*?</tr>", text)
    with_torque = [row for row in rows if re.search(r"\d N·m", row)]
    assert with_torque
    assert all("VDI 2230" in row and "saddle clamp" in row and "no sourced value" in row for row in with_torque)
    for kind in {
        row.title for row in fastener_rows() if row.kind in ("taper", "pinch", "jam", "seat", "through", "mount")
    }:
        assert all("no sourced value: get one from" in row for row in rows if f"{kind} (" in row and "<td" in row)


def test_the_parts_list_is_a_table_too(folder: Path) -> None:
    rows = list(csv.DictReader(io.StringIO((folder / "parts-list.csv").read_text(encoding="utf-8"))))
    by_role = {row["role"]: row for row in rows}
    assert by_role["left rod end"]["part"] == "NORTH/RE-1a"
    assert by_role["left rod end"]["donor"].startswith("NORTH/V-2")
    assert "M12x1.25" in by_role["left rod end"]["ends"]
    assert (by_role["rack"]["price"], by_role["rack"]["condition"]) == ("40", "used")
    page = (folder / "parts-list.html").read_text(encoding="utf-8")
    assert all(row["part"] in page for row in rows)


def test_boxes_and_values_follow_the_units(db: str, tmp_path: Path) -> None:
    words = ["--into", tmp_path / "inch", "--db", db, "-q", "--only", "set-up", "--units", "inch"]
    assert run(demo_kit("fits-outright"), *words) == 0
    text = (tmp_path / "inch" / "set-up.html").read_text(encoding="utf-8")
    assert "9.113 in" in text  # 231.46 mm, ball to ball
    body = text[text.index("<body") :]
    assert '<td class="blank">mm</td>' not in body
    said = re.sub(r"\d+ mm or \d+ mm", "", re.sub(r"<[^>]+>", " ", body))  # a spanner keeps the size it is sold by
    assert re.findall(r".{20}\d mm\b", said) == []


def test_every_line_of_work_belongs_to_a_document_and_says_its_source() -> None:
    for line in task_lines():
        assert line.document in documents()
        assert line.source
        assert not re.search(r"\b(weld|heat|bend|splice) (it|the)\b", line.line)
