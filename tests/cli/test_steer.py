"""``fitment steer`` as a user meets it: a small catalogue out of sheets, its car surveyed; all invented."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from fitment.cli.main import answer
from tests.kits.test_steer import POINTS
from tests.support.corners import STATIC, hardpoints, published

AXES = '"x forward, y left, z up"'


def survey(case: str) -> tuple[list[str], list[str]]:
    """Headings and cells of a car of a published case, taken with a tape to 1 mm."""
    headings, cells = [], []
    for side, points in hardpoints(case).items():
        for point, at in points.items():
            headings.append(f"corner.{side}.{POINTS[point]}")
            cells.append(f"{at.x} mm, {at.y} mm, {at.z} mm @tape")
        for name, angle in zip(("toe", "camber"), STATIC[case], strict=True):
            headings.append(f"corner.{side}.{name}")
            cells.append(f"{angle} deg")
        for name in ("bump", "rebound"):
            headings.append(f"corner.{side}.{name}")
            cells.append("60 mm")
    return headings, cells


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    headings, cells = survey("A")
    body = {"wheelbase": "2400 mm", "rolling-radius": "290 mm", "tyre": "155 R 13", "wheel-dia": "380 mm"}
    with (folder / "vehicle.csv").open("w", encoding="utf-8", newline="") as table:
        rows = csv.writer(table)
        rows.writerow(["vehicle", "maker", "model", "years", "sitting", *(f"body.{name}" for name in body), *headings])
        rows.writerow(["V-1", "Invented", "One", "1961-66", "T-1", *body.values(), *cells])
        rows.writerow(["V-2", "Invented", "Two", "1971-76", "T-2", "2500 mm"] + [""] * (len(body) - 1) + cells)
        rows.writerow(["V-3", "Invented", "Three", "1981-86", ""] + [""] * (len(body) + len(cells)))
    sheets = {
        "source": "source,kind,title\nS-1,own-measurement,bench\n",
        "sitting": f"sitting,who,date,source,datum,axes\nT-1,AB,2026-01-02,S-1,the ground,{AXES}\n"
        "T-2,AB,2026-01-02,S-1,the ground,\n",
        "rack": "rack,name,fitted to,sitting,units,body.inner-spacing,body.travel,body.turns,body.backlash,body.mass\n"
        "RK-1,the car's own,V-1,T-1,mm,680,140,3.2,0.2,7.5 kg\nRK-2,a donor's,,T-1,mm,640,140,3.6,0.4,8 kg\n",
        "item": "item,part,condition,welds,price\nRK-1a,RK-1,used,none,\nRK-2a,RK-2,used,none,45\n",
    }
    for name, text in sheets.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    kits = {
        "rebuilt": 'name = "Rebuilt"\ntarget = "V-1"\n[rack]\npart = "RK-1a"\n',
        "donor": 'name = "Donor rack"\ntarget = "V-1"\n[rack]\npart = "RK-2a"\n'
        'position = {x = "125 mm", y = "0 mm", z = "213 mm"}\n',
        "target": 'name = "Target alone"\ntarget = "V-1"\n',
        "no-axes": 'name = "No axes"\ntarget = "V-2"\n',
        "bare": 'name = "Bare"\ntarget = "V-3"\n',
        "gone": 'name = "Gone"\ntarget = "V-9"\n',
    }
    for name, text in kits.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    assert answer(["catalogue", "create", "--db", str(folder / "shop.sqlite")]) == 0
    names = ("vehicle", *sheets)
    assert (
        answer(["import", *(str(folder / f"{name}.csv") for name in names), "--db", str(folder / "shop.sqlite")]) == 0
    )
    return folder


def asked(shop: Path, *words: str) -> int:
    kits = [str(shop / word) if word.endswith(".toml") else word for word in words]
    return answer(["steer", *kits, "--db", str(shop / "shop.sqlite")])


def test_original_rebuilt_and_donor_side_by_side(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert asked(shop, "rebuilt.toml", "donor.toml") == 0
    out, err = capsys.readouterr()
    lines = out.splitlines()
    assert max(map(len, lines)) <= 80
    assert lines[0] == "Steering of OWN/V-1 Invented One 1961-66"
    rows = {line[:32].strip(): line[32:].split() for line in lines}
    assert rows["turns lock to lock, turn"][::2] == ["3.20", "3.20", "3.60"]
    assert rows["price of the items priced"] == ["not", "known", "not", "known", "45"]
    assert rows["mass of rack to rod ends, kg"][::2] == ["7.5", "7.5", "8.0"]
    assert "OWN/RK-1a is the car's own rack: it is taken to sit where it sat" in " ".join(out.split())
    assert err.startswith("fitment: --all shows every figure, --csv gives the curves, ")
    assert "castor" not in out
    assert asked(shop, "rebuilt.toml", "donor.toml", "--all") == 0
    out, err = capsys.readouterr()
    # the tape's millimetre decides what can be said of bump steer
    assert "OWN/V-1 corner.left" in out.split("Where the doubt of original comes from most:")[1]
    assert "  castor, left, deg" in out
    assert err.startswith("fitment: --csv gives the curves, ")


def test_json_is_what_its_schema_says_and_the_published_figures(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["schema", "steer"]) == 0
    schema = json.loads(capsys.readouterr().out)
    assert asked(shop, "rebuilt.toml", "target.toml", "--json") == 0
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    jsonschema.validate(told, schema)
    facts = {row["id"]: float(row["value"]) for row in published("kinematics_poses")}
    for one in (told["original"], told["proposals"][0]):
        assert one["results"]["lock-left-inner"]["value"] == pytest.approx(facts["A-rack+70-steer-L"], abs=1e-6)
        assert one["results"]["bump-steer-left"]["value"] == pytest.approx(facts["A-slope-L"], abs=1e-7)
        # a millimetre of tape over a rod of 292 mm and an arm of 119 mm: about 1/(292 * 119) rad per mm of travel
        assert one["results"]["bump-steer-left"]["u"] == pytest.approx(0.0015, rel=0.7)
    assert told["original"]["curves"]["toe-left"]["low"][0] < told["original"]["curves"]["toe-left"]["y"][0]
    assert told["proposals"][1]["asked"]["inner_spacing"]["value"] == pytest.approx(680, abs=40)
    assert told["options"] == {"samples": 500, "seed": 20260}


def test_the_curves(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert asked(shop, "donor.toml", "--csv") == 0
    rows = list(csv.DictReader(capsys.readouterr().out.splitlines()))
    assert {row["steering"] for row in rows} == {"original", "Donor rack"}
    assert {row["curve"] for row in rows} >= {"toe-left", "camber-right", "steer-left", "ratio", "ackermann-error"}
    assert {len([r for r in rows if (r["steering"], r["curve"]) == ("original", "toe-left")])} == {15}


@pytest.mark.parametrize("kit", ["no-axes.toml", "bare.toml"])
def test_nothing_to_work_with_is_4_and_names_what_to_measure(
    shop: Path, kit: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert asked(shop, kit) == 4
    out = " ".join(capsys.readouterr().out.split())
    assert "corner.left arm-eye" in out
    assert ("states no axes, so that its points are not used" in out) is (kit == "no-axes.toml")


def test_what_is_refused(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words, code, first in (
        (["gone.toml"], 66, f"fitment: {shop / 'gone.toml'}:2:10: no vehicle V-9 in the catalogue [ref-02]"),
        (["none.toml"], 66, f"fitment: there is no file {shop / 'none.toml'} [kit-file-01]"),
        (["donor.toml", "--csv", "--json"], 2, None),
        (["donor.toml", "bare.toml"], 2, None),
        (["target.toml", "--toe-limit", "9"], 2, None),
    ):
        assert asked(shop, *words) == code
        err = capsys.readouterr().err
        assert first is None or err.splitlines()[0] == first


def test_a_toe_limit_widens_the_window(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    widths = []
    for limit in ("0.2", "0.4"):
        assert asked(shop, "target.toml", "--toe-limit", limit, "--json") == 0
        reach = json.loads(capsys.readouterr().out)["proposals"][0]["asked"]["inner_height"]
        widths.append(reach["high"] - reach["low"])
    assert widths[0] < widths[1]
