"""What a certifier reads of a part's past: withdrawals, papers and statements stand on the pages as on record."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from fitment.cli.main import answer
from tests.support.demo_shop import demo_catalogue, demo_kit


@pytest.fixture
def db(tmp_path: Path) -> str:
    return demo_catalogue(tmp_path)


def pages(db: str, into: Path, *only: str) -> dict[str, str]:
    words = [word for name in only for word in ("--only", name)]
    assert answer(["sheet", str(demo_kit("fits-outright")), "--into", str(into), "--db", db, "-q", *words]) == 0
    return {name: (into / f"{name}.html").read_text(encoding="utf-8") for name in only}


def rows_of(page: str) -> list[str]:
    return [re.sub(r"<[^>]+>", " ", row) for row in re.findall(r"<tr>.*?</tr>", page, flags=re.DOTALL)]


def test_a_withdrawn_reading_and_a_paper_are_told(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    photograph = tmp_path / "stud <front>.jpg"
    photograph.write_bytes(b"not really")
    words = ["reading", "add", "NORTH/RE-1a", "stud", "large=15.52 mm", "--sitting", "again", "--who", "QB"]
    assert answer([*words, "--paper", str(photograph), "--db", db]) == 0
    capsys.readouterr()
    assert answer(["reading", "list", "NORTH/RE-1a", "--db", db, "--json"]) == 0
    (reading,) = [one for one in json.loads(capsys.readouterr().out)["readings"] if one["entered"] == "15.52 mm"]
    before = pages(db, tmp_path / "before", "dossier", "data-sheets")
    assert "No reading of these parts was withdrawn." in before["dossier"]
    assert (
        answer(["reading", "withdraw", reading["uid"][:8], "--reason", "jaws <dirty>", "--who", "CD", "--db", db]) == 0
    )
    photograph.write_bytes(b"another picture")
    after = pages(db, tmp_path / "after", "dossier", "data-sheets")
    (changed,) = [row for row in rows_of(after["dossier"]) if "jaws &lt;dirty&gt;" in row]
    assert "NORTH/RE-1a stud large" in changed
    assert "15.52 mm" in changed
    assert reading["uid"][:8] in changed
    (status,) = [row for row in rows_of(after["data-sheets"]) if "15.52" in row and reading["uid"][:8] in row]
    assert "withdrawn: jaws &lt;dirty&gt;" in status
    state = {
        page: [row for row in rows_of(text["dossier"]) if "stud &lt;front&gt;.jpg" in row]
        for page, text in (("before", before), ("after", after))
    }
    assert "as it was" in state["before"][0]
    assert "changed" in state["after"][0]
    kept = [row for row in rows_of(after["dossier"]) if re.search(r"\d{4}-\d\d-\d\dT", row)]
    assert len(kept) == 1  # the report before, and not this one


def test_what_nobody_stated_of_a_weld_is_a_box_and_not_none(db: str, tmp_path: Path) -> None:
    page = pages(db, tmp_path / "sheets", "dossier")["dossier"]
    rows = {row[0]: row[1] for row in re.findall(r'<th scope="row"><bdi>(.*?)</bdi></th>(<td.*?</td>)', page)}
    assert "none" in rows["left inner joint NORTH/IJ-1a"]
    assert rows["upper universal joint NORTH/UJ-1"].endswith("</td>")
    assert '<td class="blank">' in rows["right boot NORTH/BO-1b"]
