"""Quick entry: the dialogue of ``part add --ask`` and ``vehicle add --ask``, fed line by line; a real SQLite file."""

from __future__ import annotations

import io
import json
import shutil
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from fitment.catalogue.dictionary import find_kind
from fitment.catalogue.dictionary.lines import full_rows
from fitment.cli.main import answer

RACK = [
    "RH",
    "rear-steer",
    "612",
    "146",
    "3.4",
    "M14x1.5 RH",
    "female",
    "25",
    "M14x1.5 RH",
    "female",
    "25",
    "36 @count-ticked",
    "17.45",
    "serration",
    "355",
]
VEHICLE = [
    "2150",
    "1260",
    "rear-steer",
    "RH",
    "-118, 505, 231",
    "-119, -505, 230",
    "-124, 262, 244",
    "148, 241, 196",
    "-142, 238, 198",
    "0, 531, 187",
    "82, 268, 403",
    "-96, 266, 399",
    "-14, 497, 412",
    "-2, 588, 272",
    "yes",
]


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("empty") / "shop.sqlite"
    assert answer(["catalogue", "create", "--db", str(path), "--shop", "NORTH"]) == 0
    return path


@pytest.fixture
def db(empty: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795500000")  # 2026-11-24
    return str(shutil.copy(empty, tmp_path / "shop.sqlite"))


@pytest.fixture
def ask(db: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    def run(lines: list[str], *arguments: str) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        code = answer([*arguments, "--ask", "--db", db])
        out, err = capsys.readouterr()
        return code, out, err

    return run


ADD = ("part", "add", "RK-7", "--kind", "rack", "--sitting", "yard-3")
SITTING = ["AB", "", "", ""]


def kept(db: str) -> dict[str, list[str]]:
    """Name of a row -> the entered texts in force."""
    with sqlite3.connect(db) as connection:
        rows = connection.execute(
            "SELECT feature, dimension, entered FROM reading WHERE id NOT IN (SELECT reading_id FROM withdrawal)"
            " ORDER BY id"
        ).fetchall()
    found: dict[str, list[str]] = {}
    for feature, dimension, entered in rows:
        found.setdefault(f"{feature} {dimension}", []).append(entered)
    return found


def count(db: str, table: str) -> int:
    with sqlite3.connect(db) as connection:
        return int(connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0])


def test_a_new_donor_rack_takes_under_25_answers(ask: Any, db: str, capsys: pytest.CaptureFixture[str]) -> None:
    answers = ["", *SITTING, *RACK]  # sitting's name, who, when, source, tool; then the rows
    code, out, err = ask(answers, "part", "add", "RK-7", "--kind", "steering rack")
    assert code == 0
    assert len(answers) == 20 < 25
    assert out.splitlines()[2] == "  inner-spacing = 612.00 mm, u = 0.577 (tape)"
    assert len(out.splitlines()) == 15 == sum(len(texts) for texts in kept(db).values())
    assert err.endswith("> 15 of 15 rows answered; 15 kept now, each as it was taken\n")
    assert "sitting NORTH/2026-11-24, AB, 2026-11-24, own-measurement\n" in err
    assert answer(["part", "show", "RK-7", "--db", db, "--json"]) == 0
    values = {(v["feature"], v["dimension"]): v["shown"] for v in json.loads(capsys.readouterr().out)["values"]}
    assert values[("bar-end.right", "hand")] == "RH"
    assert values[("pinion", "spline")] == "36"
    assert answer(["catalogue", "verify", "--db", db]) == 0


def test_a_first_survey_takes_under_25_answers_and_its_points_are_in_force(
    ask: Any, db: str, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = ["survey-1", *SITTING, "front axle line, floor", "", "hub to arch 330 mm", *VEHICLE]
    code, out, _ = ask(answers, "vehicle", "add", "V-9", "--maker", "Invented")
    assert code == 0
    assert len(answers) == 23 < 25
    assert len(out.splitlines()) == 15
    assert out.splitlines()[4].startswith("  corner.left arm-eye = ")
    with sqlite3.connect(db) as connection:
        assert connection.execute("SELECT datum, axes, ride_height, vehicle_id FROM sitting").fetchall() == [
            ("front axle line, floor", "x forward, y left, z up", "hub to arch 330 mm", 1)
        ]
    assert answer(["vehicle", "show", "V-9", "--db", db, "--json"]) == 0
    values = json.loads(capsys.readouterr().out)["values"]
    eye = next(v for v in values if (v["feature"], v["dimension"]) == ("corner.left", "arm-eye"))
    assert eye["gap"] == ""


def test_every_kind_stays_under_25_answers() -> None:
    from fitment.catalogue.dictionary import part_kinds
    from fitment.catalogue.dictionary.lines import quick_rows

    for kind in part_kinds().values():
        rows = quick_rows(kind)
        points = any(row.dimension.value_kind == "point" for row in rows)
        assert 5 + (3 if points else 0) + len(rows) < 25, kind.kind


def test_answers_in_any_order_skipped_rows_and_faults_asked_again(ask: Any, db: str) -> None:
    lines = [
        "turns 3.4",  # another row while hand is asked
        "up",  # no hand
        "RH",
        "",  # steer-type is not known
        "6120",  # outside the usual
        "612",
        "bar-end.left thread=M14x1.5 RH depth=25",  # as reading add takes it: two rows
        "depht 25",
        "146",
        "stop",
    ]
    code, out, err = ask([*SITTING, *lines], *ADD)
    assert code == 0
    assert out.splitlines() == [
        "  turns = 3.400 turn, u = 0.0173 (turns)",
        "  hand = RH",
        "  inner-spacing = 612.00 mm, u = 0.577 (tape)",
        "  bar-end.left thread = M14x1.5-RH",
        "  bar-end.left depth = 25.000 mm, u = 0.0577 (depth-rod)",
        "  travel = 146.00 mm, u = 0.289 (rule)",
    ]
    assert 'fitment: hand cannot be "up" [value-03]\n  allowed: LH, RH\n' in err
    assert "6120 mm is outside the usual 500 to 750 mm [value-04]" in err
    assert '"depht 25" names no row of a rack [page-01]' in err
    assert "6 of 15 rows answered; 6 kept now" in err
    assert f"to take it up again: fitment part add RK-7 --kind rack --ask --db {db} --sitting yard-3\n" in err
    assert "body steer-type" not in kept(db)


def test_a_name_that_several_features_have_means_the_one_that_is_asked(ask: Any, db: str) -> None:
    lines = ["bar-end.left sex female", *[""] * 6, "thread M14x1.5 LH", "25", "stop"]
    ask([*SITTING, *lines], *ADD)
    assert kept(db) == {
        "bar-end.left sex": ["female"],
        "bar-end.left thread": ["M14x1.5 LH"],
        "bar-end.left depth": ["25"],
    }
    code, _, err = ask(["depth 30", "stop"], "part", "add", "RK-8", "--kind", "rack", "--sitting", "yard-3")
    assert code == 0
    assert '"depth" is on several features of a rack [page-02]\n' in err


@pytest.mark.parametrize("end", [["stop"], []], ids=["stop", "end of input"])
def test_taking_it_up_again_asks_only_what_that_sitting_does_not_have(ask: Any, db: str, end: list[str]) -> None:
    code, _, err = ask([*SITTING, *RACK[:6], *end], *ADD)
    assert code == 0
    assert "6 of 15 rows answered; 6 kept now" in err
    code, out, err = ask(RACK[6:], *ADD)
    assert code == 0
    assert "who measures" not in err
    assert out.splitlines()[0] == "  bar-end.left sex = female"
    assert "15 of 15 rows answered; 9 kept now" in err
    assert {name: texts for name, texts in kept(db).items() if len(texts) != 1} == {}
    assert count(db, "withdrawal") == 0
    # another sitting has none of them yet
    _, _, err = ask(["CD", "", "", "", "stop"], *ADD[:-1], "yard-4")
    assert "0 of 15 rows answered" in err


def test_ctrl_c_keeps_what_was_answered_and_says_how_to_go_on(
    db: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Keyboard:
        lines = iter([*SITTING, *RACK[:2]])

        def readline(self) -> str:
            for line in self.lines:
                return f"{line}\n"
            raise KeyboardInterrupt

    monkeypatch.setattr("sys.stdin", Keyboard())
    assert answer([*ADD, "--ask", "--db", db]) == 130
    err = capsys.readouterr().err
    assert "2 of 15 rows answered; 2 kept now, each as it was taken\n" in err
    assert "to take it up again: fitment part add RK-7" in err
    assert kept(db) == {"body hand": ["RH"], "body steer-type": ["rear-steer"]}


def test_each_answer_is_in_the_catalogue_before_the_next_is_asked(
    db: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    seen: list[int] = []
    script = iter([*SITTING, *RACK[:3], "stop"])

    class Watched:
        def readline(self) -> str:
            seen.append(count(db, "reading"))
            return next(script) + "\n"

    monkeypatch.setattr("sys.stdin", Watched())
    assert answer([*ADD, "--ask", "--db", db]) == 0
    assert seen == [0, 0, 0, 0, 0, 1, 2, 3]


def test_back_and_retyping_correct_and_the_earlier_answer_stays_on_record(ask: Any, db: str) -> None:
    lines = ["LH", "back", "RH", "rear-steer", "back", "", "612", "travel 140", "travel 146; 146.5", "stop"]
    code, out, err = ask([*SITTING, *lines], *ADD)
    assert code == 0
    assert "now LH; Enter leaves it so" in err
    assert "now rear-steer; Enter leaves it so" in err
    assert kept(db)["body hand"] == ["RH"]
    assert kept(db)["body travel"] == ["146", "146.5"]
    assert out.splitlines()[-1] == "  travel = 146.00 mm, u = 0.289 (rule); 146.50 mm, u = 0.289 (rule)"
    with sqlite3.connect(db) as connection:
        reasons = connection.execute(
            "SELECT w.reason, w.who, old.entered, new.entered FROM withdrawal w"
            " JOIN reading old ON old.id = w.reading_id JOIN reading new ON new.uid = w.instead_uid ORDER BY w.id"
        ).fetchall()
    why = "answered again in the same sitting"
    assert reasons == [(why, "AB", "LH", "RH"), (why, "AB", "140", "146")]
    # and in a later dialogue of the same sitting
    ask(["hand LH", "stop"], *ADD)
    assert kept(db)["body hand"] == ["LH"]


def test_back_goes_to_what_was_asked_before_not_to_the_row_above(ask: Any, db: str) -> None:
    lines = ["travel 146", "turns 3.4", *RACK[:3], "back", "613", "stop"]  # after inner-spacing the thread is asked
    _, out, _ = ask([*SITTING, *lines], *ADD)
    assert out.splitlines()[-1].startswith("  inner-spacing = 613.00 mm")
    assert kept(db)["body turns"] == ["3.4"]


def test_list_shows_what_is_open(ask: Any) -> None:
    _, _, err = ask([*SITTING, *RACK[:13], "list", "help", "stop"], *ADD)
    assert err.count("  open: pinion form, mount centres\n") == 2  # asked for, and at the end
    assert err.count("Enter skips; NAME VALUE answers another row") == 2


def test_what_a_sitting_lacks_is_asked_until_it_is_right(ask: Any, db: str) -> None:
    lines = ["", "AB", "24.11.2026", "2026-11-23", "hearsay", "listing", "calipers", "stop"]
    _, _, err = ask([*lines], *ADD)
    assert "needed, so that the readings can be weighed" in err
    assert '"24.11.2026" is not a date [sitting-02]' in err
    assert 'kind of source "hearsay" is not known [source-01]' in err
    with sqlite3.connect(db) as connection:
        assert connection.execute("SELECT ref, who, dated, tool FROM sitting").fetchall() == [
            ("yard-3", "AB", "2026-11-23", "calliper")
        ]
        assert connection.execute("SELECT kind FROM source").fetchall() == [("listing",)]


def test_axes_that_say_nothing_are_asked_again_and_only_where_points_are_asked(ask: Any) -> None:
    lines = [*SITTING, "floor", "the usual ones", "x rearward, y right, z up", "as it stands", "stop"]
    _, _, err = ask(lines, "vehicle", "add", "V-9", "--sitting", "survey-1")
    assert '"the usual ones" does not say which way x, y and z point [axes-01]' in err
    assert "sitting NORTH/survey-1, AB, 2026-11-24, own-measurement, x rearward, y right, z up\n" in err
    _, _, err = ask([*SITTING, "stop"], *ADD)
    assert "axes [" not in err
    # a sitting begun for a rack is asked for its axes when a car is surveyed in it
    _, _, err = ask(["floor", "", "as it stands", "stop"], "vehicle", "add", "V-8", "--sitting", "yard-3")
    assert "axes [x forward, y left, z up]> " in err


def test_stopping_before_the_first_row_keeps_nothing(ask: Any, db: str) -> None:
    code, out, err = ask(["AB", "stop"], *ADD)
    assert (code, out) == (0, "")
    assert "0 of 15 rows answered; 0 kept now" in err
    assert [count(db, table) for table in ("part", "sitting", "reading")] == [0, 0, 0]


def test_dry_run_takes_the_same_road_and_keeps_nothing(ask: Any, db: str) -> None:
    code, out, err = ask([*SITTING, "LH", "back", "RH", "stop"], *ADD, "-n")
    assert (code, out) == (0, "  hand = LH\n  hand = RH\n")
    assert "1 of 15 rows answered; 2 would be kept now" in err
    assert [count(db, table) for table in ("part", "sitting", "source", "reading")] == [0, 0, 0, 0]


def test_inch_and_full(ask: Any, db: str) -> None:
    survey, lines = ["", "", ""], ["inner-spacing 24 1/8", "body mass 9", "stop"]  # the full sheet has points
    code, out, err = ask([*SITTING, *survey, *lines], *ADD, "--units", "inch", "--full")
    assert code == 0
    assert out.splitlines()[0].startswith("  inner-spacing = 24.125 in")
    assert out.splitlines()[1].startswith("  mass = 9.00 lb")
    assert f"2 of {len(full_rows(find_kind('rack')))} rows answered" in err
    assert f"--ask --full --units inch --db {db} --sitting yard-3" in err


def test_what_is_there_already_under_another_kind_is_refused(ask: Any, db: str) -> None:
    assert answer(["part", "add", "RK-7", "--kind", "boot", "--db", db]) == 0
    code, _, err = ask(SITTING, *ADD)
    assert code == 65
    assert 'NORTH/RK-7 is there already with kind "boot", not "rack" [ref-03]' in err


@pytest.mark.parametrize("option", [("--sitting", "s"), ("--full",), ("--units", "mm")])
def test_options_of_the_dialogue_need_it(db: str, option: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["part", "add", "RK-7", "--kind", "rack", "--db", db, *option]) == 2
    assert f"fitment: {option[0]} goes with --ask [usage-22]" in capsys.readouterr().err
    assert answer(["vehicle", "add", "V-1", "--db", db, *option]) == 2
