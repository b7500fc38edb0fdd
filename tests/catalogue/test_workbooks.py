"""Workbooks in and out: what CSV could hold comes in as from CSV, all else is refused with its place; no loss."""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.worksheet.worksheet import Worksheet
from sqlalchemy.engine import Engine

from fitment.catalogue.book import Book
from fitment.catalogue.database import create
from fitment.catalogue.exporting import export_folder, export_workbook, template_table
from fitment.catalogue.importing import import_files
from fitment.catalogue.schema import Part, Source
from fitment.catalogue.sheet_text import Table, read_sheets
from fitment.catalogue.verifying import derived_rows
from fitment.catalogue.workbook_bounds import LARGEST_AREA
from fitment.catalogue.workbook_reading import number_text
from fitment.catalogue.workbook_writing import write_workbook
from fitment.errors import DataFault, Faults, FitmentError, StorageFault
from tests.catalogue.conftest import HEAD, SITTINGS, SOURCES, Fill

RACK = ["rack", "name", "sitting", "units", "bar-end.left.thread", "bar-end.left.depth", "pinion.name"]
AGAIN = "format the column as text and type it again"
ANEW = "save it anew as .xlsx, or as CSV, UTF-8"
Draw = Callable[[Worksheet], None]


def serial(year: int, month: int, day: int) -> int:
    """The number by which a workbook keeps a date: days from 1899-12-30, since it holds 1900 for a leap year."""
    return (datetime.date(year, month, day) - datetime.date(1899, 12, 30)).days


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Engine]:
    """A catalogue with sources and sittings, on SQLite: what is tested here never reaches the database."""
    made = create(f"sqlite:///{tmp_path / 'shop.sqlite'}")
    for name, text in (("source", SOURCES), ("sitting", SITTINGS)):
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    import_files(made, [tmp_path / "source.csv", tmp_path / "sitting.csv"])
    yield made
    made.dispose()


def rack_file(folder: Path, *rows: list[Any], draw: Draw | None = None) -> Path:
    """racks.xlsx with one worksheet of racks."""
    book = Workbook()
    worksheet = book.worksheets[0]
    worksheet.title = "racks"
    for row in (RACK, *rows):
        worksheet.append(row)
    if draw:
        draw(worksheet)
    book.save(folder / "racks.xlsx")
    return folder / "racks.xlsx"


def faults_of(engine: Engine, path: Path) -> list[str]:
    with pytest.raises(FitmentError) as caught:
        import_files(engine, [path])
    fault = caught.value
    with engine.connect() as connection:
        assert connection.execute(sa.select(sa.func.count(Part.id))).scalar_one() == 0
    return [
        f"{one.place}: {one.message} | {one.mending}".replace(str(path.parent) + "/", "")
        for one in (fault.faults if isinstance(fault, Faults) else [fault])
    ]


def test_a_worksheet_comes_in_as_its_csv_would(shop: Engine, tmp_path: Path) -> None:
    path = rack_file(
        tmp_path,
        ["#units", None, None, None, None, "mm", None],
        ["#how", "=1+1", None, None, None, None, None],
        ["RK-1", 4711, "T1", "mm", "1/2-20", 24.5, "3/4-36"],
        [None] * 7,
        ["RK-2", " padded ", "T1", None, "M14x1,5", 0.1 + 0.2 + 24, None],
    )
    (sheet,), notes = read_sheets(path)
    assert notes == []
    assert (sheet.kind, sheet.headings["bar-end.left.depth"].unit, [row.number for row in sheet.rows]) == (
        "rack",
        "mm",
        [4, 6],
    )
    assert sheet.rows[0].cells["name"] == "4711"
    assert sheet.rows[1].cells == {
        "rack": "RK-2",
        "name": "padded",
        "sitting": "T1",
        "bar-end.left.thread": "M14x1,5",
        "bar-end.left.depth": "24.3",
    }
    assert import_files(shop, [path]).added["reading"] == 5


@pytest.mark.parametrize(
    ("value", "number_format", "text"),
    [
        (12.0, "General", "12"),
        (12, "General", "12"),
        (0.1 + 0.2, "General", "0.3"),
        (-0.0, "General", "0"),
        (1e5, "0.00E+00", "100000"),
        (2.5e-7, "General", "0.00000025"),
        (123456789012345678, "General", "123456789012345678"),
        (15, "0.00", "15.00"),
        (15.004, "0.00", "15.004"),
        (1500.5, "#,##0.00", "1500.50"),
        (0.75, "0%", "75 %"),
        (0.755, "0.00%", "75.50 %"),
        (0.5625, "# ?/?", "9/16"),
        (1.5, "# ??/??", "1 1/2"),
        (-0.5, "# ?/2", "-1/2"),
        (2, "# ?/?", "2"),
        (0.3, "# ?/?", "0.3"),
        (1 / 3, "# ?/?", "0.333333333333333"),
    ],
)
def test_numbers_as_text(value: float, number_format: str, text: str) -> None:
    assert number_text(value, number_format) == text


def test_every_refused_cell_is_told_at_once_with_its_place(shop: Engine, tmp_path: Path) -> None:
    def draw(racks: Worksheet) -> None:
        racks["E2"] = serial(2020, 1, 2)
        racks["E2"].number_format = "m/d/yyyy"
        racks["F2"] = serial(2026, 8, 5)
        racks["F2"].number_format = "d-mmm"
        racks["G2"] = serial(1936, 3, 4)
        racks["G2"].number_format = "m/d/yyyy"
        racks["F4"] = "#REF!"
        racks["F4"].data_type = "e"

    path = rack_file(
        tmp_path,
        ["RK-1", "one", "T1", "mm", None, None, None],
        ["RK-2", True, "T1", "mm", "=E2", "=SUM(F2:F3)", None],
        ["RK-3", None, "T1", "mm", "2-Jan-20", None, "Mar-36"],
        ["RK-4", "one", "T9", "mm", "M14x1.7", "20 kg", None],
        draw=draw,
    )
    spreadsheets = "which spreadsheets also make out of other entries"
    assert faults_of(shop, path)[:9] == [
        "racks.xlsx, sheet racks, row 3, column B (name): the cell is the logical value TRUE | write the word as text",
        "racks.xlsx, sheet racks, row 2, column E (bar-end.left.thread): the cell is the date 2 January 2020,"
        f" {spreadsheets} | probably 1/2-20; {AGAIN}",
        "racks.xlsx, sheet racks, row 2, column F (bar-end.left.depth): the cell is the date 5 August 2026,"
        f" {spreadsheets} | probably 5/8; {AGAIN}",
        "racks.xlsx, sheet racks, row 2, column G (pinion.name): the cell is the date 4 March 1936,"
        f" {spreadsheets} | probably 3/4-36; {AGAIN}",
        "racks.xlsx, sheet racks, row 3, column E (bar-end.left.thread): the cell is the formula =E2"
        " | paste it as a value, or type what it shows",
        "racks.xlsx, sheet racks, row 3, column F (bar-end.left.depth): the cell is the formula =SUM(F2:F3)"
        " | paste it as a value, or type what it shows",
        "racks.xlsx, sheet racks, row 4, column F (bar-end.left.depth): the cell is the error #REF!"
        " | mend it, or leave the cell empty if the value is unknown",
        'racks.xlsx, sheet racks, row 4, column E (bar-end.left.thread): the cell is "2-Jan-20", a date,'
        f" {spreadsheets} | probably 1/2-20; {AGAIN}",
        'racks.xlsx, sheet racks, row 4, column G (pinion.name): the cell is "Mar-36", a date,'
        f" {spreadsheets} | perhaps 3-36 or 3/36; {AGAIN}",
    ]
    assert "row 5, column A (rack): no sitting T9" in faults_of(shop, path)[9]


def test_the_other_calendar_gives_the_same_date(shop: Engine, tmp_path: Path) -> None:
    path = rack_file(tmp_path, ["RK-1", None, "T1", "mm", None, None, None])
    book = load_workbook(path)
    book.epoch = CALENDAR_MAC_1904
    cell = book.worksheets[0]["E2"]
    cell.value = serial(2020, 1, 2) - 1462
    cell.number_format = "m/d/yyyy"
    book.save(path)
    assert "the date 2 January 2020" in faults_of(shop, path)[0]


def test_a_csv_that_a_spreadsheet_wrote_is_refused_likewise(fill: Fill) -> None:
    with pytest.raises(DataFault) as caught:
        fill(HEAD + "stud.thread\nRE-1,one,,T1,mm,,02/01/2020\n")
    fault = caught.value
    assert f"{fault.place}: {fault.message} | {fault.mending}" == (
        'sheet3.csv, row 2, column stud.thread: the cell is "02/01/2020", a date, which spreadsheets also make out of'
        f" other entries | probably 1/2-20; {AGAIN}"
    )


def test_a_refused_reference_is_told_once(shop: Engine, tmp_path: Path) -> None:
    path = rack_file(tmp_path, ["=A1", None, "T1", "mm", "1/2-20", None, None])
    assert faults_of(shop, path) == [
        "racks.xlsx, sheet racks, row 2, column A (rack): the cell is the formula =A1"
        " | paste it as a value, or type what it shows"
    ]


def test_dates_in_a_column_of_dates_come_in(shop: Engine, tmp_path: Path) -> None:
    book = Workbook()
    book.worksheets[0].append(["source", "kind", "title", "date"])
    book.worksheets[0].append(["S-7", "manual", "a manual", datetime.datetime(1961, 2, 3)])
    book.save(tmp_path / "sources.xlsx")
    import_files(shop, [tmp_path / "sources.xlsx"])
    with shop.connect() as connection:
        told = connection.execute(sa.select(Source.dated).where(Source.ref == "S-7")).scalar_one()
    assert told == "1961-02-03"


def hide_row(racks: Worksheet) -> None:
    racks.row_dimensions[2].hidden = True
    racks.row_dimensions[3].hidden = True
    racks.row_dimensions[9].hidden = True  # with nothing in it


def hide_columns(racks: Worksheet) -> None:
    racks.column_dimensions.group("D", "E", hidden=True)


def merge(racks: Worksheet) -> None:
    racks.merge_cells("B2:B3")
    racks.merge_cells("A5:C5")


def hide_sheet(racks: Worksheet) -> None:
    assert racks.parent is not None
    racks.parent.create_sheet("front")
    racks.sheet_state = "hidden"


def beyond(racks: Worksheet) -> None:
    racks["I3"] = "calliper slipped"


@pytest.mark.parametrize(
    ("draw", "told"),
    [
        (
            hide_row,
            "racks.xlsx, sheet racks: hidden, with something in them: rows 2, 3"
            " | show them, or delete them; nothing hidden is taken in",
        ),
        (
            hide_columns,
            "racks.xlsx, sheet racks: hidden, with something in them: columns D, E"
            " | show them, or delete them; nothing hidden is taken in",
        ),
        (
            merge,
            "racks.xlsx, sheet racks: merged: cells B2:B3, A5:C5 | unmerge them, and fill in each cell that is meant",
        ),
        (
            hide_sheet,
            "racks.xlsx, sheet racks: the worksheet is hidden | show it, or delete it; nothing hidden is taken in",
        ),
        (
            beyond,
            "racks.xlsx, sheet racks, row 3, column I: the cell stands under no heading | give its column a heading",
        ),
    ],
)
def test_what_nobody_sees_is_named_and_not_taken(shop: Engine, tmp_path: Path, draw: Draw, told: str) -> None:
    rows = [["RK-1", "one", "T1", "mm", "1/2-20", 20, None], ["RK-2", None, "T1", "mm", "1/2-20", 20, None]]
    assert faults_of(shop, rack_file(tmp_path, *rows, draw=draw)) == [told]


def test_a_row_or_column_without_height_or_width_is_hidden(shop: Engine, tmp_path: Path) -> None:
    path = rack_file(tmp_path, ["RK-1", "one", None, None, None, None, None])
    changed(
        path,
        "xl/worksheets/sheet1.xml",
        lambda part: part.replace(b'<row r="2"', b'<row r="2" ht="0" customHeight="1"').replace(
            b"<sheetData", b'<cols><col min="2" max="2" width="0" customWidth="1"/></cols><sheetData'
        ),
    )
    assert [line.split(": ")[2].split(" |")[0] for line in faults_of(shop, path)] == ["row 2", "column B"]


def test_of_many_the_first_are_named(shop: Engine, tmp_path: Path) -> None:
    def draw(racks: Worksheet) -> None:
        for number in range(2, 22):
            racks.row_dimensions[number].hidden = True

    path = rack_file(tmp_path, *([f"RK-{number}"] for number in range(1, 21)), draw=draw)
    assert "rows 2, 3, 4, 5, 6, 7, 8, 9, 10, 11 and 10 more |" in faults_of(shop, path)[0]


@pytest.mark.parametrize(
    ("heading", "told"),
    [
        ("=B1", "row 1, column C: the cell is the formula =B1"),
        (datetime.datetime(2026, 8, 5), "row 1, column C: the cell is the date 5 August 2026"),
        ("rack", 'row 1: heading "rack" stands twice'),
        (None, 'row 1: heading 3 is ""'),
    ],
)
def test_headings_that_cannot_be_read(shop: Engine, tmp_path: Path, heading: Any, told: str) -> None:
    def draw(racks: Worksheet) -> None:
        racks["C1"] = heading

    assert told in faults_of(shop, rack_file(tmp_path, ["RK-1"], draw=draw))[0]


def test_a_formula_among_the_units_is_told(shop: Engine, tmp_path: Path) -> None:
    path = rack_file(tmp_path, ["#units", None, None, None, None, "=B1", None], ["RK-1"])
    assert faults_of(shop, path)[0].startswith(
        "racks.xlsx, sheet racks, row 2, column F (bar-end.left.depth): the cell is the formula =B1"
    )


def test_a_worksheet_of_notes_is_left_out_and_said(shop: Engine, tmp_path: Path) -> None:
    def draw(racks: Worksheet) -> None:
        assert racks.parent is not None
        racks.parent.create_sheet("how we measured").append(["# calliper 3, cold", "=1+1"])
        racks.parent.create_sheet("empty")

    path = rack_file(tmp_path, ["RK-1"], draw=draw)
    told = import_files(shop, [path])
    assert told.added == {"part": 1}
    assert told.notes == (f"{path}, sheet how we measured: left out, since its first cell starts with #",)


def test_a_worksheet_of_no_kind_is_refused(shop: Engine, tmp_path: Path) -> None:
    def draw(racks: Worksheet) -> None:
        assert racks.parent is not None
        racks.parent.create_sheet("prices").append(["rak", "price"])

    assert faults_of(shop, rack_file(tmp_path, ["RK-1"], draw=draw)) == [
        'racks.xlsx, sheet prices, row 1: the first heading is "rak", which is no kind of sheet | nearest: rack'
    ]


def test_faults_of_all_files_that_cannot_be_read_are_told_at_once(shop: Engine, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("", encoding="utf-8")
    (tmp_path / "b.xlsx").write_text("rack\nRK-1\n", encoding="utf-8")
    with pytest.raises(Faults) as caught:
        import_files(shop, [tmp_path / "a.csv", tmp_path / "b.xlsx", tmp_path / "c.xlsx"])
    assert [fault.message.split(",")[0] for fault in caught.value.faults] == [
        "the file is empty",
        "not a workbook (.xlsx)",
        "no such file",
    ]
    assert caught.value.exit_code == 66


def changed(path: Path, part: str, change: Callable[[bytes], bytes]) -> None:
    """Changes one part of a workbook."""
    out = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(old.read(name)) if name == part else old.read(name))
    path.write_bytes(out.getvalue())


END = b"</sheetData>"
FAR = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
EMPTY = b"".join(b'<row r="%d">%s</row>' % (number, b"<c/>" * 16_000) for number in range(2, 70))


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda part: part.replace(END, END + b"<mergeCells><mergeCell ref='A1:XFD1048576'/></mergeCells>"), "A1:XFD"),
        (lambda part: part.replace(END, END + b"<hyperlinks><hyperlink ref='A:XFD'/></hyperlinks>"), "A:XFD"),
        (lambda part: part.replace(END, FAR + END), "cells are in use as far as XFD1048576"),
        (lambda part: part.replace(END, EMPTY + END), "more than 1,000,000 XML elements"),
        (lambda part: part.replace(END, b" " * 200_000_000 + END), "the workbook is too large: 200 MB unpacked"),
        (lambda part: b'<!DOCTYPE x [<!ENTITY y "z">]>' + part, "declares a document type"),
        (lambda part: part[:-20], "cannot be read as a workbook (ParseError)"),
        (lambda part: part.replace(END, b"<row><c r='A9'><v>nan</v></c></row>" + END), "workbook (ValueError)"),
        (lambda part: part.replace(END, b"<row><c r='A9'><v>1e999</v></c></row>" + END), "no finite number"),
    ],
)
def test_what_would_fill_the_memory_or_is_broken(
    shop: Engine, tmp_path: Path, change: Callable[[bytes], bytes], told: str
) -> None:
    path = rack_file(tmp_path, ["RK-1"])
    changed(path, "xl/worksheets/sheet1.xml", change)
    (line,) = faults_of(shop, path)
    assert told in line


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "not a workbook (.xlsx), or only a part of one: File is not a zip file"),
        (b"PK\x03\x04 and so on", "not a workbook (.xlsx), or only a part of one: File is not a zip file"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "the workbook is encrypted with a password, or an old .xls"),
    ],
)
def test_what_is_no_workbook(tmp_path: Path, content: bytes, told: str) -> None:
    path = tmp_path / "racks.xlsx"
    path.write_bytes(content)
    with pytest.raises(DataFault) as caught:
        read_sheets(path)
    assert (caught.value.place, caught.value.message, caught.value.exit_code) == (str(path), told, 65)


def test_half_a_workbook_and_another_zip(tmp_path: Path) -> None:
    path = rack_file(tmp_path, ["RK-1"])
    path.write_bytes(path.read_bytes()[:-200])
    with pytest.raises(DataFault, match="only a part of one"):
        read_sheets(path)
    with zipfile.ZipFile(path, "w") as other:
        other.writestr("content.xml", "<a/>")
    with pytest.raises(DataFault, match=r"^not a workbook \(.xlsx\)$"):
        read_sheets(path)


def test_a_workbook_by_another_name_is_one(tmp_path: Path) -> None:
    path = rack_file(tmp_path, ["RK-1"])
    (sheet,), _ = read_sheets(path.rename(tmp_path / "racks.csv"))
    assert sheet.rows[0].cells == {"rack": "RK-1"}


def test_many_small_worksheets_that_reach_far(tmp_path: Path) -> None:
    book = Workbook()
    for _ in range(5):
        book.create_sheet().cell(LARGEST_AREA // 400, 100, "x")
    book.save(tmp_path / "far.xlsx")
    with pytest.raises(DataFault, match="cells are in use as far as CV1250"):
        read_sheets(tmp_path / "far.xlsx")


def test_export_and_import_give_the_same_readings_and_derived_rows(engine: Engine, fill: Fill, tmp_path: Path) -> None:
    fill(
        HEAD
        + "stud.large,stud.small,stud.length,shank.thread,stud.seat-trial\n"
        + 'RE-1,one,RE-1a,T1,mm,used,15.00 @micrometer; 15.01 @micrometer,"13,25","17.5 ±0.1 mm",M14x1.5-LH,\n'
        + "RE-1,,,T4,inch,,9/16,,,9/16-18,\n"
        + "RE-2,=two,,T2,mm,worn,15.4,,,,pass with OWN/KN-1 eye contact 85 % standoff 1.5 mm\n",
        "vehicle,maker,model,years,sitting,body.wheelbase [mm]\nV-1,Invented,0012,1/62,T1,2110\n",
        "item,part,condition,welds,note\nRE-1a,RE-1,used,none,#REF!\n",
        "knuckle,note\nKN-1,1/2\n",
    )
    path = tmp_path / "all.xlsx"
    with engine.connect() as connection:
        export_workbook(connection, path)
        export_folder(connection, tmp_path / "csv")
        stamp = Book(connection).stamp()
        derived = {name: len(rows) for name, rows in derived_rows(connection).items()}
    other = create(f"sqlite:///{tmp_path / 'other.sqlite'}")
    told = import_files(other, [path])
    assert told.notes == ()
    with other.connect() as connection:
        assert Book(connection).stamp().digest == stamp.digest
        assert {name: len(rows) for name, rows in derived_rows(connection).items()} == derived
        export_folder(connection, tmp_path / "again")
    assert import_files(other, [path]).added == {}
    other.dispose()
    for sheet in (tmp_path / "csv").iterdir():
        assert (tmp_path / "again" / sheet.name).read_text() == sheet.read_text()


def test_every_cell_and_column_is_text(tmp_path: Path) -> None:
    write_workbook(tmp_path / "t.xlsx", {"rack": template_table("rack"), "x": Table(["rack", "name"], [["RK", "=1"]])})
    book = load_workbook(tmp_path / "t.xlsx")
    assert book.sheetnames == ["rack", "x"]
    for worksheet in book.worksheets:
        assert {cell.number_format for row in worksheet.iter_rows() for cell in row if cell.value} == {"@"}
        assert {cell.data_type for row in worksheet.iter_rows() for cell in row if cell.value} == {"s"}
        assert {column.number_format for column in worksheet.column_dimensions.values()} == {"@"}
        assert worksheet.freeze_panes == "B2"
    assert book["x"]["B2"].value == "=1"


@pytest.mark.parametrize("kind", ["rod-end", "rack", "vehicle", "source"])
def test_a_template_is_itself_a_sheet(shop: Engine, tmp_path: Path, kind: str) -> None:
    write_workbook(tmp_path / "t.xlsx", {kind: template_table(kind)})
    assert import_files(shop, [tmp_path / "t.xlsx"]).added == {}


signs = st.characters(exclude_categories=["Cs"])


@given(st.lists(st.text(signs, max_size=20), min_size=1, max_size=5))
def test_any_text_survives(tmp_path_factory: pytest.TempPathFactory, texts: list[str]) -> None:
    path = tmp_path_factory.mktemp("any") / "t.xlsx"
    write_workbook(path, {"rack": Table(["rack", "name"], [[f"RK-{n}", text] for n, text in enumerate(texts)])})
    (sheet,), _ = read_sheets(path)
    assert [row.cells.get("name", "") for row in sheet.rows] == [text.strip() for text in texts]


NASTY = [
    "=1+1",
    "#REF!",
    "TRUE",
    "1/2",
    "2-Jan",
    "0012",
    "1E5",
    "'quoted",
    "a\r\nb\x07\x00c",
    "_x",
    "x\ufffey",
    "a\u2028-",
]


@pytest.mark.parametrize("text", [*NASTY, "-1", "@x", "75%", "é" * 32_767])
def test_text_that_programs_change_survives(tmp_path: Path, text: str) -> None:
    write_workbook(tmp_path / "t.xlsx", {"rack": Table(["rack", "name"], [["RK-1", text]])})
    (sheet,), _ = read_sheets(tmp_path / "t.xlsx")
    assert sheet.rows[0].cells["name"] == text


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("x" * 32_768, "a text of 32,768 characters does not go into a cell of a workbook"),
        ("a_x000D_b", "a text that looks like an escape of XML would not come back from a workbook as it is"),
        ("x005F_", "a text that looks like an escape of XML would not come back from a workbook as it is"),
    ],
)
def test_text_that_would_not_survive_is_refused(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(DataFault) as caught:
        write_workbook(tmp_path / "t.xlsx", {"rack": Table(["rack", "name"], [["RK-1", text]])})
    assert (caught.value.place, caught.value.message) == ("sheet rack, row 2, column name", told)
    assert list(tmp_path.iterdir()) == []


def test_the_same_tables_give_the_same_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tables = {"rack": template_table("rack")}
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    write_workbook(tmp_path / "a.xlsx", tables)
    write_workbook(tmp_path / "b.xlsx", tables)
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()
    made = load_workbook(tmp_path / "a.xlsx").properties
    assert made.created == made.modified == datetime.datetime(2023, 11, 14, 22, 13, 20)
    with zipfile.ZipFile(tmp_path / "a.xlsx") as parts:
        assert {part.date_time for part in parts.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_nothing_half_written_and_nothing_overwritten(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "t.xlsx"
    tables = {"rack": template_table("rack")}

    def full(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", full)
        with pytest.raises(StorageFault, match="cannot be written: No space left"):
            write_workbook(path, tables)
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(StorageFault, match="cannot be written: No such file or directory"):
        write_workbook(tmp_path / "none" / "t.xlsx", tables)
    write_workbook(path, tables)
    before = path.read_bytes()
    with pytest.raises(DataFault, match="the file is there already"):
        write_workbook(path, {"rack": Table(["rack"], [])})
    assert path.read_bytes() == before
