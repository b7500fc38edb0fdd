"""Paper: pages to take to the yard, and their short lines read back; through the real command line and SQLite files."""

from __future__ import annotations

import io
import re
import shutil
import sqlite3
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.dictionary.lines import SheetRow, full_rows, quick_rows
from fitment.cli.main import answer
from fitment.quantity.axes import OWN_AXES

KINDS = tuple(part_kinds())

PAGE = """\
part RK-7 rack used
sitting yard-3 AB 2026-11-24 source own-measurement
units mm
inner-spacing 612
bar-end.left thread M14x1.5 RH
pinion spline 36 @count-ticked
"""


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("empty") / "shop.sqlite"
    assert answer(["catalogue", "create", "--db", str(path), "--shop", "NORTH"]) == 0
    return path


@pytest.fixture
def db(empty: Path, tmp_path: Path) -> str:
    return str(shutil.copy(empty, tmp_path / "shop.sqlite"))


def read_back(db: str, text: str, tmp_path: Path, *options: str) -> int:
    page = tmp_path / "page.txt"
    page.write_text(text, encoding="utf-8")
    return answer(["reading", "add", "--from", str(page), "--db", db, *options])


def rows_of(db: str, query: str) -> list[tuple[object, ...]]:
    with sqlite3.connect(db) as connection:
        return connection.execute(query).fetchall()


def value_for(row: SheetRow) -> tuple[str, object]:
    """A value as it is typed, and what the catalogue must then hold: a number in the canonical unit, or a word."""
    dimension = row.dimension
    if dimension.value_kind == "word":
        word = dimension.words[-1] if dimension.words else "seen, and noted"
        return word, word
    if dimension.value_kind == "thread":
        return "M14 x 1.5 LH", "M14x1.5-LH"
    if dimension.value_kind == "taper":
        return "1:8", 0.125
    if dimension.value_kind == "trial":
        return "pass gauge 1:8", "pass gauge 1:8"
    if dimension.value_kind == "point":
        return "-118, 505.5, 231", None
    if dimension.value_kind == "distances":
        return "1-2 centre 76", None
    if dimension.low is not None and dimension.high is not None:
        number = round((dimension.low + dimension.high) / 2, 3)
        return f"{number:g}", number
    return "12", 12.0


def filled(text: str, kind: str, rows: tuple[SheetRow, ...]) -> str:
    """The page with its boxes filled in, as somebody would with a thumb."""
    text = text.replace(f"part ____________ {kind} ________", f"part X-1 {kind} used")
    text = text.replace("\nvehicle ____________", "\nvehicle X-1").replace("\nname ________", "\nname made up ")
    text = text.replace("sitting ________ who ____ date __________", "sitting yard-3 who AB date 2026-11-24")
    for row in rows:
        text, count = re.subn(rf"(?m)^({re.escape(row.name)} )_+$", rf"\g<1>{value_for(row)[0]}", text)
        assert count == 1, row.name
    return text


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("full", [False, True], ids=["quick", "full"])
def test_a_printed_page_filled_in_and_typed_back_is_in_the_catalogue(
    kind: str, full: bool, db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert answer(["template", kind, "--print", *(["--full"] if full else [])]) == 0
    page = capsys.readouterr().out
    rows = (full_rows if full else quick_rows)(part_kinds()[kind])
    assert read_back(db, filled(page, kind, rows), tmp_path) == 0, capsys.readouterr().err
    out = capsys.readouterr().out.splitlines()
    assert len(out) == len(rows) + 1
    found = rows_of(db, "SELECT feature, dimension, entered, number, word FROM reading")
    held = {(r[0], r[1]): r[2:] for r in found}
    assert len(found) == len(held) == len(rows)
    for row in rows:
        typed, wanted = value_for(row)
        entered, number, word = held[(row.feature, row.dimension.dimension)]
        assert entered == typed
        if isinstance(wanted, float):
            assert number == pytest.approx(wanted, rel=1e-12)
        elif isinstance(wanted, str):
            assert word == wanted
    points = any(row.dimension.value_kind == "point" for row in rows)
    assert rows_of(db, "SELECT ref, who, dated, axes FROM sitting") == [
        ("yard-3", "AB", "2026-11-24", OWN_AXES if points else "")
    ]
    if kind != "vehicle":
        assert rows_of(db, "SELECT ref, kind, name FROM part") == [("X-1", kind, "made up")]
        assert {r[0] for r in rows_of(db, "SELECT condition FROM reading")} == {"used"}
    assert answer(["catalogue", "verify", "--db", db]) == 0


def test_a_page_left_empty_is_refused_at_its_first_box(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answer(["template", "rack", "--print"])
    page = capsys.readouterr().out
    line = 1 + page.splitlines().index(next(one for one in page.splitlines() if one.startswith("part ")))
    assert read_back(db, page, tmp_path) == 65
    assert capsys.readouterr().err == (
        f"fitment: {tmp_path / 'page.txt'}, line {line}: the part has no reference [page-04]\n  write it: part REF\n"
    )


def test_boxes_left_empty_say_nothing(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer(["template", "rack", "--print"])
    page = filled(capsys.readouterr().out, "rack", quick_rows(part_kinds()["rack"])[2:3])
    assert read_back(db, page, tmp_path) == 0
    assert capsys.readouterr().out.splitlines()[1:] == ["added: 1 part, 1 reading, 1 sitting, 1 source"]


def test_the_lines_of_a_thumb_are_echoed_with_units(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = """\
# typed on the way home
Part RK-7 Steering Rack worn
Sitting yard-3 AB 2026-11-24 tool vernier calliper source own measurement
Units mm

Stroke: 146 u=0.5        # as far as it goes
left bar end depth=25 sex=female
pinion.od 0.687 in
inner spacing 612 @tape; 612.5 @tape
note from the back row
"""
    assert read_back(db, text, tmp_path) == 0
    assert [re.sub(r"^[0-9a-f]{8}  ", "", line) for line in capsys.readouterr().out.splitlines()] == [
        "NORTH/RK-7 body travel = 146.00 mm, u = 0.5 (calliper)",
        "NORTH/RK-7 bar-end.left depth = 25.000 mm, u = 0.0577 (depth-rod)",
        "NORTH/RK-7 bar-end.left sex = female",
        "NORTH/RK-7 pinion od = 17.450 mm, u = 0.0289 (calliper)",
        "NORTH/RK-7 body inner-spacing = 612.00 mm, u = 0.577 (tape)",
        "NORTH/RK-7 body inner-spacing = 612.50 mm, u = 0.577 (tape)",
        "added: 1 part, 6 readings, 1 sitting, 1 source, 1 statement",
    ]
    assert rows_of(db, "SELECT DISTINCT condition FROM reading") == [("worn",)]


def test_taken_in_twice_is_the_same_readings(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert read_back(db, PAGE, tmp_path) == 0
    first = capsys.readouterr().out.splitlines()
    assert read_back(db, PAGE, tmp_path) == 0
    assert capsys.readouterr().out.splitlines() == [*first[:-1], "added: nothing new"]


def test_dry_run_prints_the_same_lines_and_keeps_nothing(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert read_back(db, PAGE, tmp_path, "--dry-run") == 0
    tried = capsys.readouterr().out.splitlines()
    assert rows_of(db, "SELECT id FROM part") == rows_of(db, "SELECT id FROM sitting") == []
    assert read_back(db, PAGE, tmp_path) == 0
    done = capsys.readouterr().out.splitlines()
    assert (tried[:-1], tried[-1]) == (done[:-1], done[-1].replace("added", "would add"))


def test_from_stdin(db: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(PAGE.replace("612", "62").encode())))
    assert answer(["reading", "add", "--from", "-", "--db", db]) == 65
    assert "fitment: stdin, line 4: inner-joint spacing" in capsys.readouterr().err


def test_an_item_a_part_and_a_vehicle_on_one_page(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = f"""\
vehicle V-9
sitting survey-1 AB 2026-11-24
datum floor under the front axle
axes {OWN_AXES}
ride height 330 mm hub to arch
units mm
maker Invented
wheelbase 2150
corner.left arm-eye -118, 505, 231

item RK-7a of RK-7 rack used
sitting yard-3 AB 2026-11-25
fitted to V-9 front
travel 146
item RK-7a
turns 3.4
"""
    assert read_back(db, text, tmp_path) == 0
    assert capsys.readouterr().out.splitlines()[-1] == (
        "added: 1 fitted to, 1 item, 1 part, 4 readings, 2 sittings, 1 source, 1 vehicle"
    )
    assert rows_of(db, "SELECT ref, vehicle_id, datum, ride_height FROM sitting ORDER BY id") == [
        ("survey-1", 1, "floor under the front axle", "330 mm hub to arch"),
        ("yard-3", None, "", ""),
    ]
    assert rows_of(db, "SELECT dimension, vehicle_id, item_id, condition FROM reading ORDER BY id") == [
        ("wheelbase", 1, None, ""),
        ("arm-eye", 1, None, ""),
        ("travel", None, 1, "used"),
        ("turns", None, 1, ""),
    ]
    assert rows_of(db, "SELECT position FROM fitted_to") == [("front",)]


def test_axes_may_come_late_and_a_survey_knows_its_vehicle(db: str, tmp_path: Path) -> None:
    page = PAGE + f"vehicle V-9\ncorner.left arm-eye -118, 505, 231\naxes {OWN_AXES}\nwheelbase 2150\n"
    assert read_back(db, page, tmp_path) == 0
    assert rows_of(db, "SELECT ref, axes, vehicle_id FROM sitting") == [("yard-3", OWN_AXES, 1)]
    assert rows_of(db, "SELECT gap FROM adopted WHERE dimension = 'arm-eye'") == [("",)]


def test_every_fault_is_named_by_its_line_and_nothing_is_kept(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = """\
part RK-7 rack
siting yard-3
sitting yard-3 AB 24.11.2026
inner-spacing 612
units cm
units mm
inner-spacing 6120
thread M14x1.5
bar-end.left dept 25
bar-end.left depth=25 sex=none
part RK-8
hand LH
vehicle V-1
wheelbse 2000
item a b c
"""
    assert read_back(db, text, tmp_path) == 66  # the gravest of them: no such part
    place = f"fitment: {tmp_path / 'page.txt'}, line"
    assert capsys.readouterr().err.splitlines() == [
        f'{place} 2: "siting yard-3" names no row of a rack [page-01]',
        "  nearest: sitting",
        f'{place} 3: "24.11.2026" is not a date [sitting-02]',
        "  write year-month-day, like 2026-11-24",
        f'{place} 4: "612": 612 has no unit [quantity-04]',
        "  write 612 mm or 612 in",
        f'{place} 5: units are "cm" [sheet-16]',
        "  allowed: mm, inch",
        f"{place} 7: inner-joint spacing, ball centre to ball centre 6120 mm is outside the usual 500 to 750 mm"
        " [value-04]",
        '  check the unit and the decimal; if it is right, write "!" after it',
        f'{place} 8: "thread" is on several features of a rack [page-02]',
        "  write which: bar-end.left thread, bar-end.right thread",
        f'{place} 9: rack, bar-end.left has no dimension "dept" [dictionary-03]',
        "  nearest: depth",
        f'{place} 10: sex cannot be "none" [value-03]',
        "  allowed: female, male",
        f"{place} 11: no part RK-8 [page-05]",
        "  to add it, say its kind: part RK-8 rack",
        f'{place} 14: "wheelbse 2000" names no row of a vehicle [page-01]',
        "  nearest: wheelbase",
        f"{place} 15: an item is of a part [page-04]",
        "  write: item RK-7a of RK-7",
        "fitment: 11 faults; nothing was changed",
    ]
    assert rows_of(db, "SELECT id FROM part") == rows_of(db, "SELECT id FROM vehicle") == []


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "line 1: no line says what was measured [page-03]"),
        ("hello Bob\ntravel 146\n", "line 1: no line says what was measured [page-03]"),
        ("part RK-7 car\ntravel 146 mm\n", "line 1: a vehicle is not a part [page-06]"),
        ("part RK-7 rak\ntravel 146 mm\n", 'line 1: there is no kind of part "rak" [dictionary-01]'),
        ("part RK-7 rack\n\ntravel 146 mm\n", "line 3: no line says who measured, when and with what [sheet-15]"),
        ("part RK-7 rack\nsitting yard-3\ntravel 146 mm\n", "line 2: no sitting yard-3 [sitting-01]"),
        ("part R?7 rack\nsitting s AB\ntravel 146 mm\n", 'line 1: "R?7" is not a reference [ref-01]'),
        ("part RK-7 rack\nsitting s AB CD\n", 'line 2: "CD" says nothing known of a sitting [sitting-04]'),
        ("part RK-7 rack\nsitting s AB source gossip\ntravel 146 mm\n", 'line 2: kind of source "gossip" is not known'),
        ("part RK-7 rack\nsitting s AB tool hammer\ntravel 146 mm\n", 'line 2: there is no tool "hammer" [tool-01]'),
        ("part RK-7 rack\nfitted to V-5\n", "line 2: no vehicle V-5 [ref-02]"),
        ("vehicle V-1\naxes x forward, y left, z up\n", "line 2: axes of no sitting [page-07]"),
        ("vehicle V-1\nsitting s AB\naxes sideways\nwheelbase 2150 mm\n", 'line 2: "sideways" does not say which way'),
    ],
)
def test_one_fault(text: str, told: str, db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert read_back(db, text, tmp_path) in (65, 66)
    err = capsys.readouterr().err
    assert err.startswith(f"fitment: {tmp_path / 'page.txt'}, {told}")
    assert "faults" not in err


def test_a_sitting_that_says_something_else_is_refused(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert read_back(db, PAGE, tmp_path) == 0
    capsys.readouterr()
    assert read_back(db, PAGE.replace("source own-measurement", "source listing"), tmp_path) == 65
    assert 'NORTH/yard-3 is there already with source "own-measurement", not "listing"' in capsys.readouterr().err
    assert read_back(db, PAGE.replace("AB", "CD"), tmp_path) == 65
    assert 'NORTH/yard-3 is there already with who "AB", not "CD"' in capsys.readouterr().err
    assert read_back(db, PAGE.replace(" AB 2026-11-24 source own-measurement", ""), tmp_path) == 0


def test_units_of_the_command_line_hold_until_the_page_says(
    db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = PAGE.replace("units mm\n", "").replace("612", "24 1/8\nunits mm\ntravel 146")
    assert read_back(db, page, tmp_path) == 65
    assert "24 1/8 has no unit [quantity-04]" in capsys.readouterr().err
    assert read_back(db, page, tmp_path, "--units", "inch") == 0
    assert rows_of(db, "SELECT number FROM reading WHERE dimension IN ('inner-spacing', 'travel')") == [
        (612.775,),
        (146.0,),
    ]


def test_what_cannot_be_a_page(db: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = tmp_path / "page.txt"
    for content, code in ((b"\xff\xfe", "page-12"), (b"a\0b", "page-12"), (b"#" * 1_000_001, "page-11")):
        page.write_bytes(content)
        assert answer(["reading", "add", "--from", str(page), "--db", db]) == 65
        assert f"[{code}]" in capsys.readouterr().err
    for path in (tmp_path, tmp_path / "none.txt"):
        assert answer(["reading", "add", "--from", str(path), "--db", db]) == 66
        assert "[page-10]" in capsys.readouterr().err


def test_a_page_goes_without_the_arguments_and_they_without_it(db: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["reading", "add", "RK-7", "--from", "x", "--db", db]) == 2
    assert "[usage-23]" in capsys.readouterr().err
    assert answer(["reading", "add", "--from", "x", "--sitting", "s", "--db", db]) == 2
    assert answer(["reading", "add", "RK-7", "body", "--sitting", "s", "--db", db]) == 2
    assert answer(["reading", "add", "RK-7", "body", "travel=146mm", "--db", db]) == 2
    assert "[usage-24]" in capsys.readouterr().err


# --- pages as files ---------------------------------------------------------------------------------------------------


class Structure(HTMLParser):
    """Counts what a page is made of, and checks that what opens is closed."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.boxes = self.head = 0
        self.names: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert not {name for name, _ in attrs} & {"src", "href", "onload", "style"}
        said = dict(attrs).get("class")
        self.boxes += said == "box"
        self.head += tag == "div" and said in ("wide", "plain")
        if said == "name":
            self.names.append("")
        if tag not in ("meta", "br"):
            self.open.append(f"{tag}.{said}")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop().partition(".")[0] == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if self.open and self.open[-1] == "td.name":
            self.names[-1] += data


def html_of(kind: str, tmp_path: Path, *options: str) -> tuple[str, Structure]:
    path = tmp_path / "page.html"
    assert answer(["template", kind, "--print", "--into", str(path), *options]) == 0
    text = path.read_text(encoding="utf-8")
    found = Structure()
    found.feed(text.partition("<!DOCTYPE html>")[2])
    assert found.open == []
    return text, found


@pytest.mark.parametrize("kind", KINDS)
def test_the_html_page_has_a_box_for_every_row_and_needs_nothing_from_outside(kind: str, tmp_path: Path) -> None:
    text, found = html_of(kind, tmp_path)
    rows = quick_rows(part_kinds()[kind])
    assert found.names == [row.name for row in rows]
    assert found.boxes == len(rows)
    assert found.head >= 8
    said = " ".join(found.words)
    assert "Dimensions only. Not an approval." in said
    for row in rows:
        assert row.dimension.title in said
        assert row.dimension.how in said
    for outside in ("http", "url(", "<script", "<img", "<link", "@import"):
        assert outside not in text


def test_the_html_page_prints_black_on_white_on_either_paper(tmp_path: Path) -> None:
    text, _ = html_of("rack", tmp_path, "--full")
    assert "size:" not in text.replace("font-size:", "")  # the printer's own paper: A4 or Letter
    assert set(re.findall(r"#[0-9a-f]{3,6}\b", text)) == {"#000", "#fff"}
    assert [float(height) >= 8 for height in re.findall(r"td\.box \{[^}]*height: ([\d.]+)mm", text)] == [True]
    assert [float(width) <= 210 - 24 for width in re.findall(r"max-width: ([\d.]+)mm", text)] == [True]
    assert "break-inside: avoid" in text
    assert 'counter(page) " of " counter(pages)' in text


def test_pages_into_a_folder_and_never_over_another_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "yard"
    both = f"{folder / 'tie-rod.txt'}\n{folder / 'tie-rod.html'}\n"
    assert answer(["template", "track rod", "--print", "--into", str(folder), "--dry-run"]) == 0
    assert capsys.readouterr().out == both
    assert not folder.exists()
    for _ in range(2):  # the same page again is no fault
        assert answer(["template", "track rod", "--print", "--into", str(folder)]) == 0
        assert capsys.readouterr().out == both
    assert answer(["template", "track rod", "--print"]) == 0
    assert capsys.readouterr().out == (folder / "tie-rod.txt").read_text(encoding="utf-8")
    (folder / "tie-rod.txt").write_text("mine", encoding="utf-8")
    assert answer(["template", "track rod", "--print", "--into", str(folder)]) == 65
    assert "there is a file of that name already [export-01]" in capsys.readouterr().err
    assert (folder / "tie-rod.txt").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("kind", KINDS)
def test_the_text_page_is_80_columns_and_says_tool_and_how(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["template", kind, "--print"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    flowing = " ".join(line.removeprefix("#").strip() for line in lines)
    assert "Dimensions only. Not an approval." in flowing
    for row in quick_rows(part_kinds()[kind]):
        assert row.dimension.how in flowing


def test_quick_and_full_sheets(capsys: pytest.CaptureFixture[str]) -> None:
    def headings(*options: str) -> list[str]:
        assert answer(["template", "rack", *options]) == 0
        return [name for name in capsys.readouterr().out.splitlines()[0].split(",") if "." in name]

    quick = [f"{row.feature}.{row.dimension.dimension}" for row in quick_rows(part_kinds()["rack"])]
    assert headings("--quick") == quick
    assert headings() == headings("--full")
    assert set(quick) < set(headings())
    assert answer(["template", "rack", "--quick", "--full"]) == 2
    assert answer(["template", "rack", "--into", "x"]) == 2
    assert answer(["template", "source", "--print"]) == 65
