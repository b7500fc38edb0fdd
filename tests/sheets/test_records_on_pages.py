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


def grouped(table: str) -> dict[str, list[list[str]]]:
    """Rows of a table, as cells without markup, by the row that heads them."""
    found: dict[str, list[list[str]]] = {}
    for kind, row in re.findall(r"<tr( class=\"group\")?>(.*?)</tr>", table[table.index("<tbody>") :]):
        cells = [re.sub(r"<[^>]+>", "", cell) for cell in re.findall(r"<t[hd].*?</t[hd]>", row)]
        if kind:
            (head,) = cells
            found[head] = []
        else:
            found[list(found)[-1]].append(cells)
    return found


def numbers(told: str) -> set[int]:
    runs = [part.split("-") for part in told.split(", ")] if told != "none" else []
    return {number for run in runs for number in range(int(run[0]), int(run[-1]) + 1)}


def test_every_value_that_a_rule_cites_stands_under_its_part(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = pages(db, tmp_path / "sheets", "fit-report")["fit-report"]
    capsys.readouterr()
    assert answer(["check", str(demo_kit("fits-outright")), "--db", db, "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    annex = page[page.index("Annex: evidence") :]
    rules, values = (grouped(table) for table in re.findall(r"<table.*?</table>", annex, flags=re.DOTALL))
    listed = {int(row[0]): (part, row[1]) for part, rows in values.items() for row in rows}
    assert list(listed) == list(range(1, len(listed) + 1))
    assert [title for title, _ in rules.items()] == list(dict.fromkeys(one["title"] for one in report["joints"]))
    asked = {code: set[tuple[str, str]]() for code in ("thread-04", "cone-03", "rod-03", "net-01")}
    for one in report["findings"]:
        if one["rule"] in asked:
            asked[one["rule"]] |= {(use["feature"], use["dimension"]) for use in one["uses"]}
    for code, uses in asked.items():
        cited = {listed[n] for rows in rules.values() for row in rows if row[0] == code for n in numbers(row[-1])}
        assert cited == uses, code


def test_a_data_sheet_has_each_dimension_under_its_end(db: str, tmp_path: Path) -> None:
    page = pages(db, tmp_path / "sheets", "data-sheets")["data-sheets"]
    table = page[page.index("<caption>Dimensions of NORTH/IJ-1a") :]
    found = grouped(table[: table.index("</table>")])
    assert list(found) == ["body", "bar-side", "rod-side"]
    assert [row[1] for row in found["bar-side"] if row[0] == "across the flats (flats)"] == ["32.000 mm, u 0.029 mm"]
    after = page[page.index("<caption>Dimensions of NORTH/IJ-1a") : page.index("NORTH/IJ-1b")]
    assert "Not recorded of rod-side: " in after
