"""``fitment interchange`` as a user meets it: on the demo and on a small shop, all invented."""

from __future__ import annotations

import io
import json
import re
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from fitment.cli.main import answer


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("demo") / "demo"
    with redirect_stdout(io.StringIO()):
        assert answer(["demo", "--into", str(folder), "-q"]) == 0
    return str(folder / "catalogue.sqlite")


def ask(db: str, *words: str) -> tuple[int, str]:
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = answer(["interchange", *words, "--db", db])
    assert not err.getvalue(), err.getvalue()
    return code, out.getvalue()


def told(db: str, *words: str) -> tuple[int, Any]:
    code, out = ask(db, *words, "--json")
    return code, json.loads(out)


def verdicts(found: Any) -> dict[str, str]:
    return {one["reference"]: one["verdict"] for one in found["matches"]}


# --- a small shop: one car whose rod ends are wanted, and rod ends of other cars

HEAD = "rod-end,name,fitted to,sitting,units,condition,body.centre,shank.thread,shank.sex,shank.hand,shank.depth,"
HEAD += "shank.wall,stud.thread,stud.hand,stud.gauge-trial,stud.large,stud.small,stud.length,stud.thread-start,"
HEAD += "stud.end,stud.pin-hole,stud.pin-dia,stud.height,stud.tilt,stud.nut,stud.nut-height,stud.slot-base\n"
STUD = "M12x1.25,RH,pass gauge 1:10,{large} @micrometer,{small} @micrometer,17.5,{start},38.0,31.8,3.2,"
STUD += "{height},{tilt},castle nut,15.0,10.0"


def rod_end(
    ref: str,
    vehicle: str,
    thread: str = "M14x1.5",
    large: float = 15.0,
    height: float = 17.5,
    tilt: str = "28",
    centre: float = 54.0,
    start: float = 17.8,
) -> str:
    stud = STUD.format(large=large, small=round(large - 1.75, 3), height=height, tilt=tilt, start=start)
    return f"{ref},{ref} rod end,{vehicle},T-1,mm,new,{centre},{thread},female,RH,38,4.4,{stud}\n"


EYE = "pass gauge 1:10,14.84 @ball-gauge,13.04 @ball-gauge,18,down,tapered,35.0,35.0\n"
SHEETS = {
    "vehicle": "vehicle,maker,model\n" + "".join(f"V-{n},Invented,Car {n}\n" for n in range(1, 9)),
    "source": "source,kind,title\nS-1,own-measurement,bench\n",
    "sitting": "sitting,who,date,source\nT-1,AB,2026-01-02,S-1\n",
    "tie-rod": "tie-rod,fitted to,sitting,units,condition,outer.thread,outer.sex,outer.hand,outer.depth\n"
    "TR-1,V-1,T-1,mm,new,M14x1.5,male,RH,52\n",
    "knuckle": "knuckle,fitted to,sitting,units,condition,body.side,eye.gauge-trial,eye.large,eye.small,eye.thick,"
    "eye.opens,eye.profile,eye.boss-large,eye.boss-small\n"
    f"KN-1,V-1 front left,T-1,mm,new,left,{EYE}"
    f"KN-2,V-1 front right,T-1,mm,new,right,{EYE}",
    "rod-end": HEAD
    + rod_end("RE-1", "V-1")
    + rod_end("RE-2", "V-2", height=17.0)
    + rod_end("RE-3", "V-3 left; V-4", thread="9/16-18 UNF")
    + rod_end("RE-4", "V-5", height=20.5)
    + rod_end("RE-5", "V-6", large=15.9, tilt="29", start=16.8)
    + rod_end("RE-6", "V-7", large=13.0)
    + rod_end("RE-7", "", tilt=""),
}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("shop")
    db = str(folder / "shop.sqlite")
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        assert answer(["catalogue", "create", "--db", db]) == 0
        for name, text in SHEETS.items():
            (folder / f"{name}.csv").write_text(text, encoding="utf-8")
        assert answer(["import", *(str(folder / f"{name}.csv") for name in SHEETS), "--db", db]) == 0
    return db


def test_what_goes_as_it_is_with_work_or_nobody_knows(shop: str) -> None:
    code, found = told(shop, "RE-1")
    assert code == 0
    assert {mate["with"] for mate in found["mates"]} == {"OWN/TR-1 outer", "OWN/KN-1 eye", "OWN/KN-2 eye"}
    assert verdicts(found) == {
        "OWN/RE-2": "fits",
        "OWN/RE-5": "fits with work",
        "OWN/RE-3": "fits with work",
        "OWN/RE-7": "not known",
        "OWN/RE-4": "not known",
    }
    assert (found["others"], found["looked_at"], found["of_kind"]) == (1, 6, 6)  # RE-6 falls through the eye
    by_name = {one["reference"]: one for one in found["matches"]}
    assert {work["operation"] for work in by_name["OWN/RE-5"]["work"]} == {"ream"}
    assert {work["operation"] for work in by_name["OWN/RE-3"]["work"]} == {"thread adapter"}
    assert [one["vehicle"] for one in by_name["OWN/RE-3"]["fitted_to"]] == ["OWN/V-3", "OWN/V-4"]
    (height,) = by_name["OWN/RE-2"]["changes"]
    assert (height["dimension"], height["before"], height["after"], height["sure"]) == ("height", 17.5, 17.0, True)


def test_every_gap_is_named_and_never_a_fit(shop: str) -> None:
    _, found = told(shop, "RE-1")
    by_name = {one["reference"]: one for one in found["matches"]}
    open_ = [one for one in by_name["OWN/RE-7"]["findings"] if one["verdict"] == "not known"]
    assert [(gap["feature"], gap["dimension"]) for one in open_ for gap in one["gaps"]] == [("OWN/RE-7 stud", "tilt")]
    (high,) = [one for one in by_name["OWN/RE-4"]["findings"] if one["verdict"] == "not known"]
    assert "height is 20.50 mm, and was 17.50 mm" in high["because"]
    assert "fitment steer" in high["because"]


@pytest.mark.parametrize(
    ("works", "expected"),
    [
        (["none"], {"fits": 1, "not known": 2}),
        (["ream"], {"fits": 1, "fits with work": 1, "not known": 2}),
        (["sleeve"], {"fits": 1, "not known": 2}),
        (["thread adapter"], {"fits": 1, "fits with work": 1, "not known": 2}),
        (["ream", "thread adapter"], {"fits": 1, "fits with work": 2, "not known": 2}),
    ],
)
def test_only_the_work_that_is_allowed(shop: str, works: list[str], expected: dict[str, int]) -> None:
    code, found = told(shop, "RE-1", *(word for one in works for word in ("--work", one)))
    counted = {one: list(verdicts(found).values()).count(one) for one in set(verdicts(found).values())}
    assert (code, counted) == (0, expected)


def test_exit_codes_in_the_place_of_each(shop: str) -> None:
    assert ask(shop, "RE-1")[0] == 0
    assert ask(shop, "RE-3", "--work", "thread adapter")[0] == 4  # no mate of its stud is on record
    assert ask(shop, "KN-1")[0] == 1  # the only other one is of the other side
    assert ask(shop, "RE-6", "--work", "none")[0] == 4


def test_the_other_side_is_no_mate(shop: str) -> None:
    _, found = told(shop, "RE-1", "--side", "left")
    assert {mate["with"] for mate in found["mates"]} == {"OWN/TR-1 outer", "OWN/KN-1 eye"}


def test_which_one_have_i(shop: str) -> None:
    _, found = told(shop, "RE-1")
    (which,) = found["which_one"]
    assert (which["feature"], which["dimension"]) == ("stud", "height")
    assert {one["reference"]: one["value"] for one in which["values"]} == {
        "OWN/RE-1": 17.5,
        "OWN/RE-2": 17.0,
    }
    assert "Which one have I?" in ask(shop, "RE-1")[1]


def test_faults(shop: str, capsys: pytest.CaptureFixture[str]) -> None:
    for words, code, said in (
        (["RE-99"], 66, "no part RE-99 in the catalogue"),
        (["RE-1", "--side", "front"], 2, '--side is "front"'),
        (["RE-1", "--work", "weld"], 2, '--work is "weld"'),
    ):
        assert answer(["interchange", *words, "--db", shop]) == code
        assert said in capsys.readouterr().err


# --- the demo


@pytest.mark.parametrize("part", ["NORTH/RE-1", "NORTH/RE-8", "NORTH/IJ-4", "NORTH/KN-1", "NORTH/RK-1", "NORTH/CO-5"])
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_80_columns_with_its_cautions(demo: str, part: str, units: str) -> None:
    code, out = ask(demo, part, "--units", units)
    assert code in (0, 1, 3, 4)
    assert max(map(len, out.splitlines())) <= 80
    assert "Dimensional compatibility only; not an approval." in out
    if units == "inch":
        assert not re.search(r"\d mm\b", out)


def test_of_the_demo(demo: str) -> None:
    code, found = told(demo, "NORTH/RE-1")
    assert (code, [one for one, verdict in verdicts(found).items() if verdict == "fits"]) == (0, ["NORTH/RE-7"])
    # a listing never fits, and the high stud is for check and steer
    assert verdicts(found)["NORTH/RE-4"] == verdicts(found)["NORTH/RE-6"] == "not known"
    # its shank is of the other hand: nothing but an adapter would join it
    assert "NORTH/RE-11" not in verdicts(told(demo, "NORTH/RE-1", "--work", "none")[1])
    code, found = told(demo, "NORTH/IJ-1")
    # turned down round the thread: its wall is for check
    assert (code, verdicts(found)["NORTH/IJ-6"]) == (4, "not known")


def test_a_part_that_goes_as_it_is_passes_check_in_the_kit(demo: str, tmp_path: Path) -> None:
    """What check says of the stud and the shank in a demo kit, with the part that interchange found in its place."""
    kit = (Path(demo).parent / "kits" / "fits-outright.toml").read_text(encoding="utf-8")
    assert "NORTH/RE-1a" in kit or "NORTH/RE-1" in kit
    swapped = tmp_path / "swapped.toml"
    swapped.write_text(re.sub(r"NORTH/RE-1[ab]?\b", "NORTH/RE-7", kit), encoding="utf-8")
    out = io.StringIO()
    with redirect_stdout(out):
        answer(["check", str(swapped), "--json", "--db", demo])
    findings = json.loads(out.getvalue())["findings"]
    ends = [one for one in findings if one["rule"].startswith(("cone", "thread")) and "RE-7" in str(one["joint"])]
    assert len(ends) >= 10
    assert {one["verdict"] for one in ends} == {"fits"}
