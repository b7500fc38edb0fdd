"""Workbooks through the real command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from fitment.cli.main import answer


@pytest.fixture
def db(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    path = str(tmp_path / "shop.sqlite")
    assert answer(["catalogue", "create", "--db", path, "--shop", "NORTH"]) == 0
    assert answer(["part", "add", "RK-7", "--kind", "steering rack", "--name", "wide rack", "--db", path]) == 0
    words = ["depth=25mm", "thread=1/2-20", "--sitting", "s", "--who", "AB"]
    assert answer(["reading", "add", "RK-7", "bar-end.left", *words, "--db", path]) == 0
    capsys.readouterr()
    return path


def racks(path: Path, *rows: list[object]) -> str:
    book = Workbook()
    book.worksheets[0].title = "racks"
    for row in (["rack", "sitting", "units", "bar-end.right.depth", "bar-end.right.thread"], *rows):
        book.worksheets[0].append(row)
    book.create_sheet("notes").append(["# measured cold"])
    book.save(path)
    return str(path)


def test_out_and_in_again(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "all.xlsx"
    assert answer(["export", "--xlsx", str(out), "--db", db]) == 0
    assert capsys.readouterr() == (f"{out}\n", "")
    other = str(tmp_path / "other.sqlite")
    answer(["catalogue", "create", "--db", other])
    capsys.readouterr()
    assert answer(["import", str(out), "--db", other]) == 0
    assert capsys.readouterr().out == "added: 1 part, 2 readings, 1 sitting, 1 source\n"
    assert answer(["import", str(out), "--db", other, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"schema": "fitment.import/1", "dry_run": False, "added": {}}
    assert answer(["export", "--xlsx", str(out), "--db", db]) == 65
    told = f"fitment: {out}: the file is there already [export-01]\n  name a new one\n"
    assert capsys.readouterr() == ("", told)


@pytest.mark.parametrize("both", [True, False])
def test_export_goes_to_one_place(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], both: bool) -> None:
    places = ["--into", str(tmp_path / "out"), "--xlsx", str(tmp_path / "out.xlsx")] if both else []
    assert answer(["export", *places, "--db", db]) == 2
    told = "fitment: one place to write to is needed [export-04]\n  give --into DIR, --xlsx FILE or --exchange FILE\n"
    assert capsys.readouterr() == ("", told)
    assert not list(tmp_path.glob("out*"))


def test_a_template_to_fill_in(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "racks.xlsx"
    assert answer(["template", "steering rack", "--units", "inch", "--xlsx", str(path)]) == 0
    assert capsys.readouterr() == (f"{path}\n", "")
    book = load_workbook(path)
    sheet = book["rack"]
    columns = {str(cell.value): cell.column_letter for cell in sheet[1]}
    assert sheet[f"{columns['bar-end.left.depth']}2"].value == "in"
    sheet["A4"], sheet[f"{columns['sitting']}4"], sheet[f"{columns['bar-end.right.depth']}4"] = "RK-7", "s", 0.95
    book.save(path)
    assert answer(["import", str(path), "--dry-run", "--db", db]) == 0
    assert capsys.readouterr().out == (
        "+ reading NORTH/RK-7 bar-end.right depth = 0.95 in (NORTH/s)\nwould add: 1 reading\n"
    )


def test_a_page_for_pencil_is_no_workbook(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for option in ("--print", "--dry-run"):
        assert answer(["template", "rack", option, "--xlsx", str(tmp_path / "racks.xlsx")]) == 2
        told = "fitment: --xlsx is a sheet to fill in [export-05]\n  leave out --print and --dry-run\n"
        assert capsys.readouterr() == ("", told)
    assert list(tmp_path.iterdir()) == []


def test_a_dry_run_and_what_is_left_out(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = racks(tmp_path / "racks.xlsx", ["RK-7", "s", "mm", 24.5, None], ["RK-8", None, None, None, None])
    for _ in range(2):
        assert answer(["import", path, "--dry-run", "--quiet", "--db", db]) == 0
        assert capsys.readouterr() == (
            "+ part NORTH/RK-8\n+ reading NORTH/RK-7 bar-end.right depth = 24.5 mm (NORTH/s)\n"
            "would add: 1 part, 1 reading\n",
            f"fitment: {path}, sheet notes: left out, since its first cell starts with #\n",
        )


def test_a_date_where_a_thread_was_typed(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "racks.xlsx"
    racks(path, ["RK-7", "s", "mm", None, 43832])  # 2020-01-02, as a spreadsheet keeps 1/2-20
    book = load_workbook(path)
    book["racks"]["E2"].number_format = "m/d/yyyy"
    book.save(path)
    assert answer(["import", str(path), "--db", db]) == 65
    assert capsys.readouterr() == (
        "",
        f"fitment: {path}, sheet racks, row 2, column E (bar-end.right.thread): the cell is the date 2 January 2020,"
        " which spreadsheets also make out of other entries [sheet-20]\n"
        "  probably 1/2-20; format the column as text and type it again\n",
    )


@pytest.mark.parametrize(("name", "code"), [("none.xlsx", 66), ("text.xlsx", 65)])
def test_no_workbook(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, code: int) -> None:
    (tmp_path / "text.xlsx").write_text("rack\n", encoding="utf-8")
    assert answer(["import", str(tmp_path / name), "--db", db]) == code
    out, err = capsys.readouterr()
    assert (out, err.count("fitment: ")) == ("", 1)
