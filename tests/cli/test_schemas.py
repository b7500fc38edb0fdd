"""The published JSON Schemas: one for each object that a command prints, held against what the commands do print."""

from __future__ import annotations

import io
import json
import re
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from copy import deepcopy
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
import typer
from jsonschema import Draft202012Validator

import fitment
from fitment.catalogue.listing import TABLES
from fitment.cli import bench_rack
from fitment.cli.main import answer, app_for

PACKAGE = Path(fitment.__file__).parent

BALLS = ["--ball1", "12.5", "--depth1", "8.594", "--ball2", "13.5", "--depth2", "-1.919"]
SQUARE = ["1-2 80", "2-3 60", "1-3 100", "3-4 80", "1-4 60"]
ROUND = ["--dia-all", "10"]
STUD, EYE = "stud taper=1:10 large=14.0 length=20 thread=M12x1.25", "eye taper=1:8 large=14.4 thick=16 opens=down"
LEFT = ["--pitch", "1.5", "--arm", "130", "--toe-left", "0.3 deg", "--toe-right", "0.1 deg"]
STRINGS = ["--left-front", "98.5", "--left-rear", "100", "--right-front", "99.0", "--right-rear", "100"]
READING = ["NORTH/RE-3", "shank", "depth=25 mm", "sex=female", "--sitting", "yard-3", "--who", "AB"]
DECIDED = ["RE-5", "shank", "thread", "--reason", "gauged"]
AS_BUILT = ["stud", "large=15.4 mm", "--sitting", "fit-1"]

#: parts that leave little to search
KEPT = [word for part in ("RK-2", "TR-1", "SH-1", "BO-1", "MT-2") for word in ("--keep", f"NORTH/{part}")]

SWEPT = ["sweep", "--for", "V-1", "--rack", "RK-1", "--rack", "RK-2"]

#: name of a schema -> command lines whose answers it describes; {kits}, {db} and so on are places
ASKED: dict[str, list[list[str]]] = {
    "align": [
        ["align", "toe", "--front", "1405", "--rear", "1402", "--base", "364"],
        ["align", "toe", "--front", "9", "--rear", "9 1/16", "--units", "inch"],
        ["align", "toe", *STRINGS, "--base", "364"],
        ["align", "rods", "--pitch", "1.5", "--arm", "130", "--toe", "3 mm", "--want", "1 mm total", "--base", "364"],
        ["align", "rods", *LEFT, "--want", "0.1 deg each", "--rack", "ahead", "--hand", "RH"],
        ["align", "strings", "--track-front", "1360", "--track-rear", "1400", "--string", "60", "--wheelbase", "2400"],
    ],
    "bench-holes": [
        ["bench", "holes", *SQUARE, "2-4 100", *ROUND],
        ["bench", "holes", "1-2 outside 70", *SQUARE[1:], "2-4 100", *ROUND],
        ["bench", "holes", *SQUARE],
        ["bench", "holes", "1-2 80", "2-3 60", "3-4 80", "1-4 60"],
    ],
    "bench-mate": [
        ["bench", "mate", "M14x1.5-LH", "9/16-18"],
        ["bench", "mate", "M14x1.5", "M14x1.5"],
        ["bench", "mate", STUD, EYE, "--enters", "below"],
    ],
    "bench-rack": [["bench", "rack", "--travel", "131", "--turns", "3.5"]],
    "bench-spline": [
        ["bench", "spline", "--count", "36", "--od", "17.4"],
        [
            "bench",
            "spline",
            "--count",
            "36",
            "--present",
            "24",
            "--flat",
            "--od",
            "18.34",
            "--chord",
            "13.47",
            "--over",
            "9",
        ],
        ["bench", "spline", "--od", "17.0", "--form", "DD"],
    ],
    "bench-taper": [
        ["bench", "taper", "--large", "15.0", "--small", "13.25", "--length", "17.5"],
        ["bench", "taper", "--angle", "7 deg incl"],
        ["bench", "taper", *BALLS],
    ],
    "bench-thread": [
        ["bench", "thread", "--od", "14.00", "--pitch", "1.5"],
        ["bench", "thread", "--minor", "0.5 in", "--tpi", "18", "--prior", "common", "--worn"],
        ["bench", "thread", "--od", "11.3", "--pitch", "3.7"],
    ],
    "build": [["build", "show", "B-1", "--db", "{built}"], ["build", "show", "B-2", "--db", "{built}"]],
    "build-list": [["build", "list", "--db", "{built}"], ["build", "list", "--db", "{new}"]],
    "catalogue-audit": [["catalogue", "audit", "--db", "{db}"], ["catalogue", "audit", "--db", "{new}"]],
    "catalogue-backup": [["catalogue", "backup", "{out}/kept.sqlite", "--db", "{new}"]],
    "catalogue-copy": [
        ["catalogue", "copy", "{new}", "{out}/copy.sqlite"],
        ["catalogue", "copy", "{new}", "{out}/none.sqlite", "--dry-run"],
    ],
    "catalogue-create": [
        ["catalogue", "create", "--shop", "WEST", "--db", "{out}/made.sqlite"],
        ["catalogue", "create", "--shop", "WEST", "--db", "{out}/not-made.sqlite", "--dry-run"],
    ],
    "catalogue-status": [["catalogue", "status", "--db", "{db}"]],
    "catalogue-upgrade": [["catalogue", "upgrade", "--db", "{new}"]],
    "catalogue-verify": [
        ["catalogue", "verify", "--db", "{db}"],
        ["catalogue", "verify", "--db", "{tampered}"],
        ["catalogue", "verify", "--mend", "--db", "{tampered}"],
    ],
    "check": [
        ["check", "{kits}/seats-by-blueing.toml", "--db", "{db}"],
        ["check", "{kits}/ream-with-metal.toml", "--db", "{db}"],
        ["check", "{kits}/stud-1-in-10-eye-1-in-8.toml", "--db", "{db}"],
        ["check", "{kits}/target-only.toml", "--db", "{db}"],
        ["check", "{kits}/listing-only.toml", "--odds", "--samples", "2000", "--db", "{db}"],
        ["build", "check", "B-1", "--db", "{built}"],
        ["report", "show", "{report}", "--db", "{built}"],
    ],
    "demo": [["demo", "--into", "{out}/again"]],
    "donors": [
        ["donors", "rod end", "taper=1:8", "stud.thread=M12x1.25", "--db", "{db}"],
        ["donors", "rack", "--wanted", "NORTH/V-1", "--turns", "2.8..3.6", "--db", "{db}"],
    ],
    "error": [
        ["check", "{kits}/none.toml"],
        ["chekc"],
        ["bench", "mate", "stud large=abc lenght=20", "1:8"],
        ["bench", "thread", "--od", "wide"],
    ],
    "explain": [["explain", "cone-02"], ["explain", "all"]],
    "export": [
        ["export", "--into", "{out}/sheets", "--db", "{db}"],
        ["export", "--xlsx", "{out}/all.xlsx", "--db", "{db}"],
        ["export", "--exchange", "{out}/all.jsonl", "--permission", "x", "--since", "2020-01-01", "--db", "{db}"],
    ],
    "import": [
        ["import", "{sheets}/vehicle.csv", "{sheets}/source.csv", "{sheets}/sitting.csv", "--db", "{new}", "--dry-run"],
        ["import", "{sheets}/vehicle.csv", "--db", "{db}"],
    ],
    "interchange": [
        ["interchange", "NORTH/RE-8", "--db", "{db}"],
        ["interchange", "NORTH/IJ-4", "--work", "thread adapter", "--db", "{db}"],
        ["interchange", "NORTH/CO-5", "--side", "left", "--db", "{db}"],
    ],
    "item": [["item", "show", "NORTH/RK-1a", "--db", "{db}"]],
    "item-add": [["item", "add", "RK-1z", "--part", "RK-1", "--welds", "none", "--db", "{db}", "--dry-run"]],
    "item-list": [["item", "list", "--db", "{db}"]],
    "measure-next": [
        ["measure-next", "{kits}/known-in-six.toml", "--minutes", "10", "--db", "{db}"],
        ["measure-next", "{kits}/hand-unknown.toml", "--place", "yard", "--db", "{db}"],
        ["measure-next", "{kits}/target-only.toml", "--db", "{db}"],
    ],
    "operation": [["explain", "may I weld this?"], ["explain", "operations"]],
    "part": [["part", "show", part, "--db", "{db}"] for part in ("NORTH/RE-3", "NORTH/RK-1")],
    "part-add": [["part", "add", "RK-90", "--kind", "rack", "--db", "{db}", "--dry-run"]],
    "part-join": [
        ["part", "join", "--db", "{db}"],
        ["part", "join", "NORTH/IJ-1", "NORTH/IJ-8", "--reason", "x", "--db", "{db}", "--dry-run"],
    ],
    "part-history": [
        ["part", "history", "NORTH/RE-3", "--db", "{withdrawn}"],
        ["part", "history", "NORTH/RE-5", "shank.thread", "--db", "{decided}"],
    ],
    "part-list": [["part", "list", "--db", "{db}"], ["part", "list", "--kind", "rack", "--db", "{new}"]],
    "propose": [
        ["propose", "--for", "NORTH/V-1", "--top", "1", *KEPT, "--db", "{db}"],
        ["propose", "--for", "NORTH/V-1", "--unknown", "1", "--top", "1", *KEPT, "--db", "{db}"],
        ["propose", "--for", "NORTH/V-5", "--db", "{db}"],
        ["propose", "--for", "NORTH/V-6", "--db", "{db}"],
    ],
    "reading-add": [
        ["reading", "add", *READING, "--db", "{db}", "--dry-run"],
        ["reading", "add", "--from", "{page}", "--db", "{db}", "--dry-run"],
        ["build", "read", "B-1", "left.rod_end", *AS_BUILT, "--db", "{built}", "--dry-run"],
    ],
    "reading-affected": [
        ["reading", "affected", "{corrected}", "--db", "{built}"],
        ["reading", "affected", "{in_force}", "--db", "{built}"],
    ],
    "reading-decide": [["reading", "decide", *DECIDED, "--db", "{db}", "--dry-run", "--take", "{either}"]],
    "reading-list": [["reading", "list", "--db", "{withdrawn}"], ["reading", "list", "NORTH/RE-3", "--db", "{db}"]],
    "reading-withdraw": [
        ["reading", "withdraw", "{in_force}", "--reason", "wrong end", "--db", "{built}", "--dry-run"],
        [*["reading", "withdraw", "{in_force}", "--reason", "x", "--value", "M14x2"], "--db", "{built}", "--dry-run"],
    ],
    "report-list": [["report", "list", "--db", "{built}"], ["report", "list", "--db", "{new}"]],
    "sheet": [["sheet", "{kits}/target-only.toml", "--into", "{out}/handed", "--db", "{db}"]],
    "steer": [["steer", "{kits}/seats-by-blueing.toml", "--db", "{db}"]],
    "sweep": [
        [*SWEPT, "--kit", "{kits}/fits-outright.toml", "--into", "{out}/matrix.csv", "--db", "{db}"],
        [*SWEPT, "--into", "{out}/none.csv", "--db", "{db}", "--dry-run"],
    ],
    "template": [["template", "rod-end"], ["template", "source"]],
    "tools": [["explain", "tools"]],
    "vehicle": [["vehicle", "show", "NORTH/V-1", "--db", "{db}"]],
    "vehicle-add": [
        ["vehicle", "add", "V-90", "--maker", "Invented", "--db", "{db}", "--dry-run"],
        ["vehicle", "add", "V-1", "--db", "{db}", "--dry-run"],
    ],
    "vehicle-list": [["vehicle", "list", "--db", "{db}"]],
}

#: what the command line promises to have, by place in a schema; "" is the object itself
PROMISED: dict[str, dict[str, str]] = {
    **{
        f"bench-{what}": {
            "": "understood candidates none_of_these next",
            "properties/candidates/items": "designation standard odds",
            "$defs/next": "measure tool separates",
        }
        for what in ("thread", "taper", "spline")
    },
    "bench-holes": {"": "positions covariance rms suspects"},
    "bench-mate": {"": "rule joint verdict basis margin because uses work figures cautions"},
    "check": {
        "": "verdict kit catalogue findings not_checked",
        "properties/catalogue": "id revision digest",
        "$defs/finding": "rule joint verdict basis margin because uses work figures cautions",
        "$defs/margin/oneOf/1": "value u low high unit",
        "$defs/use": "feature dimension value u unit basis readings source",
        "$defs/work": "operation part from to unit remaining",
        "$defs/figure": "value u unit",
    },
    "donors": {"": "matches"},
    "interchange": {"": "matches", "$defs/match": "verdict work changes", "$defs/work": "operation part from to unit"},
    "error": {"properties/errors/items": "code message place mending"},
    "propose": {
        "": "kits proven gap why_none",
        "$defs/kit": "cost ledger parts verdict",
    },
    "measure-next": {
        "": "readings",
        "properties/readings/items": "feature dimension tool minutes worth decides",
    },
    "steer": {
        "": "original proposals",
        "$defs/steering": "results curves",
        "$defs/result": "value u unit",
        "$defs/curve": "x y low high x_unit y_unit",
    },
}

#: keys whose objects have names of their own instead of fixed keys
NAMED = {
    "added",
    "records",
    "curves",
    "figures",
    "gaps",
    "not_known",
    "results",
    "sizes",
    "unknowns",
    "values",
    "verdicts",
    "wanted",
}

#: what a finding of a kit says beside its finding
OF_A_KIT = {"joint_id", "side", "title"}


def files() -> dict[str, Path]:
    return {path.name.removesuffix(".schema.json"): path for path in PACKAGE.rglob("*.schema.json")}


@cache
def schema(name: str) -> dict[str, Any]:
    code, out, _ = said(["schema", name])
    assert code == 0
    found: dict[str, Any] = json.loads(out)
    Draft202012Validator.check_schema(found)
    return found


def places(folder: Path) -> dict[str, str]:
    """The demo, and beside it a catalogue with a reading withdrawn, one tampered with, a new one, and a page typed."""
    demo, new = folder / "demo", folder / "new.sqlite"
    assert answer(["demo", "--into", str(demo), "-q"]) == 0
    assert answer(["catalogue", "create", "--db", str(new)]) == 0
    db = demo / "catalogue.sqlite"
    for name in ("tampered", "withdrawn", "decided"):
        shutil.copy(db, folder / f"{name}.sqlite")
    with sqlite3.connect(folder / "tampered.sqlite") as tampered:
        tampered.execute("UPDATE adopted SET u = 2 * u")
        (uid,) = tampered.execute("SELECT uid FROM reading LIMIT 1").fetchone()
    tampered.close()
    wrong = ["--reason", "wrong end", "--db", str(folder / "withdrawn.sqlite")]
    assert answer(["reading", "withdraw", uid[:8], *wrong]) == 0
    with sqlite3.connect(folder / "decided.sqlite") as decided:
        told = "SELECT r.uid FROM reading r JOIN part p ON p.id = r.part_id WHERE p.ref = 'RE-5' AND r.word = 'M14x1.5'"
        (taken,) = decided.execute(told).fetchone()
    decided.close()
    choice = [*DECIDED, "--take", taken, "--db", str(folder / "decided.sqlite")]
    assert answer(["reading", "decide", *choice]) == 0
    built = built_catalogue(folder, demo)
    page = folder / "page.txt"
    page.write_text(
        "part RK-90 rack used\nsitting yard-3 AB 2026-11-24\nunits mm\ninner-spacing 612\n", encoding="utf-8"
    )
    return {
        "kits": str(demo / "kits"),
        "sheets": str(demo / "sheets"),
        "db": str(db),
        "new": str(new),
        "tampered": str(folder / "tampered.sqlite"),
        "withdrawn": str(folder / "withdrawn.sqlite"),
        "decided": str(folder / "decided.sqlite"),
        "page": str(page),
        "either": taken,
        **built,
        "out": str(folder),
    }


def built_catalogue(folder: Path, demo: Path) -> dict[str, str]:
    """A catalogue with two builds: one read as built, with a paper, a reading behind its reports corrected since."""
    db, kit = folder / "built.sqlite", demo / "kits" / "fits-outright.toml"
    shutil.copy(demo / "catalogue.sqlite", db)

    def done(*words: str) -> None:
        assert answer([*words, "--db", str(db)]) == 0

    for ref in ("B-1", "B-2"):
        done("build", "add", ref, "--kit", str(kit), "-q")
    read = ["build", "read", "B-1", "left.rod_end", "stud", "large=15.5 mm", "--sitting", "fit-1", "--who", "AB", "-q"]
    done(*read, "--paper", str(kit))
    with sqlite3.connect(db) as opened:
        query = "SELECT r.uid FROM reading r JOIN part p ON p.id = r.part_id WHERE p.shop = 'NORTH' AND p.ref = 'RE-1'"
        query += " AND r.feature = 'shank' AND r.dimension = ?"
        corrected, in_force = (opened.execute(query, (name,)).fetchone()[0] for name in ("depth", "thread"))
        (report,) = opened.execute("SELECT uid FROM report LIMIT 1").fetchone()
    opened.close()
    done("reading", "withdraw", corrected, "--reason", "wrong end", "--value", "20 mm", "-q")
    return {"built": str(db), "corrected": corrected, "in_force": in_force, "report": report}


def said(arguments: list[str]) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of a command line."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with redirect_stdout(out), redirect_stderr(err):
        code = answer(arguments)
    told = []
    for stream in (out, err):
        stream.seek(0)
        told.append(stream.read())
    return code, told[0], told[1]


#: asks the command lines of a schema's name and gives their answers
Asking = Callable[[str], list[dict[str, Any]]]


@pytest.fixture(scope="module")
def asking(tmp_path_factory: pytest.TempPathFactory) -> Asking:
    with redirect_stdout(io.StringIO()):
        where = places(tmp_path_factory.mktemp("answers"))

    @cache
    def asked(name: str) -> list[dict[str, Any]]:
        found = []
        for line in ASKED[name]:
            words = [re.sub(r"{(\w+)}", lambda place: where[place[1]], word) for word in line]
            code, out, err = said([*words, "--json"])
            assert (out == "") == (code not in (0, 1, 3, 4)) == (name == "error"), (words, err)
            found.append(json.loads(err if name == "error" else out))
        return found

    return asked


@pytest.mark.parametrize("name", ASKED)
def test_real_answers_are_what_the_schema_says(name: str, asking: Asking) -> None:
    validator = Draft202012Validator(schema(name))
    for told in asking(name):
        assert told["schema"] == f"fitment.{name}/1"
        validator.validate(told)


def spots(told: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Every value inside an answer with its path; of a list, and of what has names of its own, only the first."""
    yield path, told
    inner = told.items() if isinstance(told, dict) else enumerate(told[:1]) if isinstance(told, list) else ()
    for key, value in islice(inner, 1 if path and path[-1] in NAMED else None):
        yield from spots(value, (*path, key))


@contextmanager
def changed(told: Any, path: tuple[str | int, ...], value: Any) -> Iterator[Any]:
    """The answer with another value at a path, until it is put back."""
    whole = [told]
    at: Any = whole
    for key in (0, *path)[:-1]:
        at = at[key]
    last = (0, *path)[-1]
    kept, at[last] = at[last], value
    yield whole[0]
    at[last] = kept


@pytest.mark.parametrize("name", ASKED)
def test_no_answer_with_a_key_less_a_key_more_or_another_sort_of_value(name: str, asking: Asking) -> None:
    validator = Draft202012Validator(schema(name))
    for told in asking(name):
        for key in told:
            if name != "donors" or key not in ("target", "cautions", "card"):
                assert not validator.is_valid({kept: told[kept] for kept in told if kept != key}), key
        for path, value in list(spots(told)):
            if not isinstance(value, dict) or not path or path[-1] not in NAMED:
                other = value | {"another": "key"} if isinstance(value, dict) else {"another": "sort"}
                with changed(told, path, other) as wrong:
                    assert not validator.is_valid(wrong), path


def test_our_own_fault_is_an_object_too(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: str) -> str:
        raise ZeroDivisionError("seeded")

    monkeypatch.setattr(bench_rack, "units_named", broken)
    code, out, err = said([*ASKED["bench-rack"][0], "--json"])
    assert (code, out) == (70, "")
    told = json.loads(err)
    Draft202012Validator(schema("error")).validate(told)
    (error,) = told["errors"]
    assert error["code"] == "fault-70"
    assert error["message"].startswith("our own fault (ZeroDivisionError: seeded); the report is in ")


@pytest.mark.parametrize("name", PROMISED)
def test_what_is_promised_is_required(name: str) -> None:
    for place, keys in PROMISED[name].items():
        found: Any = schema(name)
        for step in place.split("/") if place else ():
            found = found[int(step)] if isinstance(found, list) else found[step]
        assert set(keys.split()) <= set(found["required"]) <= set(found["properties"]), place


def test_every_object_that_the_source_names_has_its_schema_and_none_is_left_over() -> None:
    named = set()
    for path in PACKAGE.rglob("*.py"):
        for name in re.findall(r"fitment\.([a-z{}-]+)/1\b", path.read_text(encoding="utf-8")):
            named |= {name.replace("{sort}", sort) for sort in TABLES}
    # the journal of a sweep is read by nobody but its own --resume
    assert named - {"exchange", "sweep-journal"} == set(files()) - {"kit", "exchange"} == set(ASKED)
    for name in files():
        assert schema(name)["$id"] == f"fitment.{name}/1"
    assert {path.parent for path in files().values()} == {PACKAGE / "cli" / "schemas"}


def test_every_command_with_json_is_asked() -> None:
    def commands(group: Any, *words: str) -> Iterator[tuple[str, ...]]:
        for name, command in getattr(group, "commands", {}).items():
            yield from commands(command, *words, name)
        if any("--json" in option.opts for option in group.params):
            yield words

    asked = {tuple(line[:many]) for lines in ASKED.values() for line in lines for many in (1, 2)}
    assert set(commands(typer.main.get_command(app_for()))) - asked == set()


def test_a_finding_is_the_same_in_every_schema() -> None:
    def parts(name: str) -> dict[str, Any]:
        found: dict[str, Any] = deepcopy(schema(name)["$defs"])
        finding = found["finding"]
        finding["properties"] = {key: one for key, one in finding["properties"].items() if key not in OF_A_KIT}
        finding["required"] = [key for key in finding["required"] if key not in OF_A_KIT]
        return found

    holding = {name for name in files() if "finding" in schema(name).get("$defs", {})}
    assert holding >= {"check", "bench-mate"}
    shared = ("finding", "verdict", "margin", "gap", "use", "work", "figure")
    for name in holding:
        assert {key: parts(name)[key] for key in shared} == {key: parts("check")[key] for key in shared}


def test_the_list_has_a_line_for_each(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["schema"]) == 0
    heading, *lines = capsys.readouterr().out.splitlines()
    assert heading.split() == ["name", "of", "what"]
    assert [line.split()[0] for line in lines] == sorted(files())
    assert lines[sorted(files()).index("bench-thread")].split(maxsplit=1)[1] == schema("bench-thread")["title"]


def test_a_wrong_name_is_told_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["schema", "bench-tread"]) == 66
    assert capsys.readouterr().err == (
        'fitment: no schema "bench-tread" [schema-01]\n'
        "  nearest: bench-thread, bench-rack, bench-taper; fitment schema lists them\n"
    )
