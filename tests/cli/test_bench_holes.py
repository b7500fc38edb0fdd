"""``fitment bench holes``: what is understood, answered and refused, on the screen, as JSON and as a picture."""

from __future__ import annotations

import json
import math
import re
import shlex
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest

from fitment.cli.main import answer
from fitment.identify.holes import HolePosition
from fitment.sheets.holes_svg import holes_svg

# an invented bracket, 80 by 60 mm with one hole moved; holes of 10 mm
SOUND = ["1-2 outside 90", "2-3 inside 50", "1-3 100", "1-4 60", "3-4 edge 80", "2-4 100 mm"]
ROUND = ["--dia-all", "10"]


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = answer(["bench", "holes", *arguments])
    out, err = capsys.readouterr()
    return code, out, err


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict[str, Any]]:
    code, out, _ = asked(capsys, *arguments, "--json")
    return code, json.loads(out)


def test_a_sound_set_is_solved_and_ready_for_the_catalogue(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = asked(capsys, *SOUND, *ROUND)
    assert code == 0
    assert err == ""
    lines = out.splitlines()
    assert lines[0].startswith("solved: 4 holes from 6 distances, each coordinate within ±0.1")
    start = lines.index(
        "for the catalogue, feature mount, mm; these run from hole 1 with x towards hole 2: turn and shift them first"
    )
    assert lines[start + 1 : start + 7] == [
        "(x forward, y left, z up; rack: from midway between its inner balls; crossmember: from the car's datum)",
        "  fitment reading add REF mount --sitting NAME --who INITIALS --units mm \\",
        '    "hole-1=0, 0, 0 u=0.057" \\',
        '    "hole-2=80, 0, 0 u=0.057" \\',
        '    "hole-3=80, 60, 0 u=0.057" \\',
        '    "hole-4=0, 60, 0 u=0.057"',
    ]
    assert "holes 1, 2, 3 run anticlockwise as one looks at the face (or the mirror image" in out
    assert max(map(len, lines)) <= 120


def test_the_line_for_the_catalogue_does_what_it_says(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = asked(capsys, *SOUND, *ROUND)
    line = out[out.index("  fitment reading add") :].partition("\n\n")[0].replace("\\\n", "")
    words = shlex.split(line.replace("REF", "XM-7").replace("NAME", "yard-3").replace("INITIALS", "AB"))
    at = ["--db", str(tmp_path / "shop.sqlite")]
    assert answer(["catalogue", "create", *at, "--shop", "NORTH"]) == 0
    assert answer(["part", "add", "XM-7", "--kind", "crossmember", *at]) == 0
    capsys.readouterr()
    assert words[0] == "fitment"
    assert answer([*words[1:], *at]) == 0
    kept = [line[10:] for line in capsys.readouterr().out.splitlines()]
    at_corners = ["x 0.000", "x 80.000", "x 80.000", "x 0.000"]
    assert [one.partition(" mm, ")[0] for one in kept] == [
        f"NORTH/XM-7 mount hole-{hole} = {x}" for hole, x in enumerate(at_corners, 1)
    ]
    # the doubt is that of the distances, not of a calliper for each coordinate
    widest = max(max(one["u_x"], one["u_y"]) for one in told(capsys, *SOUND, *ROUND)[1]["positions"])
    assert all(
        float(one.partition("u = ")[2].split()[0].rstrip(",")) == pytest.approx(widest, abs=2e-3) for one in kept
    )


def test_the_object_has_its_keys_and_the_doubt_of_the_tools(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = told(capsys, "1-2 outside 430.5", "2-3 inside 49.5", "1-3 423.2 ±0.3", *ROUND, "--dia", "3 9 u=0.02")
    assert code == 0
    assert list(found)[:5] == ["schema", "solved", "understood", "positions", "covariance"]
    assert found["schema"] == "fitment.bench-holes/1"
    # half-widths of tools.csv over the square root of 3 (common practice, no source)
    doubts = {one["measure"]: (one["u"] * math.sqrt(3), one["tool"]) for one in found["understood"]}
    assert doubts["1-2 outside"] == (pytest.approx(1.0), "steel tape up to 2 m")
    assert doubts["2-3 inside"] == (pytest.approx(0.05), "calliper")
    assert doubts["1-3 centre"] == (pytest.approx(0.3), "as written")
    assert doubts["dia all"] == (pytest.approx(0.08), "calliper inside jaws")
    assert doubts["dia 3"] == (pytest.approx(0.02 * math.sqrt(3)), "as written")
    assert found["understood"][1]["centre_distance"] == pytest.approx(49.5 + 5 + 4.5)
    assert found["degrees_of_freedom"] == 0
    assert [position["hole"] for position in found["positions"]] == [1, 2, 3]
    assert found["positions"][2]["u_y"] == pytest.approx(math.sqrt(found["covariance"][5][5]))
    assert found["suspects"] == []
    assert found["ambiguous"] is None
    assert found["next"]["measure"] == "do 1, 2, 3 run clockwise, looking at the face?"


def test_a_tool_named_and_a_tape_over_far_edges(capsys: pytest.CaptureFixture[str]) -> None:
    _, found = told(capsys, "1-2 outside 90 @rule", "2-3 outside 60", "1-3 100", *ROUND)
    assert [one["tool"] for one in found["understood"]] == [
        "steel rule",
        "calliper inside jaws",
        "calliper",
        "calliper inside jaws",
    ]


def test_inches_are_the_same_bracket(capsys: pytest.CaptureFixture[str]) -> None:
    in_mm = ["1-2 76.2 mm ±0.05", "2-3 50.8 mm ±0.05", "1-3 88.9 mm ±0.05"]
    _, metric = told(capsys, *in_mm)
    doubt = "±0.0019685 in"
    _, inch = told(capsys, f"1-2 3 {doubt}", f"2-3 2 {doubt}", f"1-3 3-1/2 {doubt}", "--units", "inch")
    for one, other in zip(metric["positions"], inch["positions"], strict=True):
        assert one == pytest.approx(other, abs=1e-6)
    code, out, _ = asked(capsys, *in_mm, "--units", "inch", "--clockwise", "no")
    assert code == 0
    assert "x [in]" in out
    assert "3.0000" in out
    assert "(as you said)" in out


def test_clockwise_is_the_mirror_image(capsys: pytest.CaptureFixture[str]) -> None:
    _, found = told(capsys, *SOUND, *ROUND, "--clockwise", "yes")
    assert found["positions"][2]["y"] == pytest.approx(-60)
    assert found["clockwise"] == {"holes": [1, 2, 3], "told": True, "yes": True}
    assert found["next"] is None


def test_a_slip_in_the_kind_is_named_first(capsys: pytest.CaptureFixture[str]) -> None:
    wrong = ["1-2 outside 70", *SOUND[1:]]
    code, out, _ = asked(capsys, *wrong, *ROUND)
    assert code == 4
    first = out.splitlines()[0]
    assert first.startswith("not known: 1-2 outside does not agree with the rest: it reads 20 mm too short, ")
    assert first.endswith("; did you mean 1-2 inside?")
    assert "reading add" not in out
    _, found = told(capsys, *wrong, *ROUND)
    assert found["suspects"][0]["did_you_mean"] == "1-2 inside"
    assert found["suspects"][0]["left_out"] is True
    assert found["positions"][1]["x"] == pytest.approx(80)


def test_too_few_and_two_ways_say_what_to_measure(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = asked(capsys, "1-2 80", "2-3 60", "3-4 80", "1-4 60")
    assert (code, out.splitlines()[0]) == (4, "not known: 1 distance too few to fix 4 holes; measure 1-3")
    code, out, _ = asked(capsys, "1-2 80", "2-3 60", "1-3 100", "3-4 80", "1-4 60")
    assert code == 4
    assert out.splitlines()[0] == (
        "not known: two patterns agree with these distances; measure 2-4: 28 mm or 100 mm between centres"
    )
    _, found = told(capsys, "1-2 80", "2-3 60", "1-3 100", "3-4 80", "1-4 60")
    assert found["ambiguous"]["told_by"] == "2-4"
    assert sorted(found["ambiguous"]["centre_distances"]) == pytest.approx([28, 100])


def test_scatter_without_a_culprit_is_not_solved(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = asked(capsys, "1-2 80", "2-3 60", "1-3 100", "3-4 80", "1-4 60", "2-4 101")
    assert code == 4
    assert out.splitlines()[0] == (
        "not known: the 6 readings do not agree, and too few check each other to say which is wrong"
    )


@pytest.mark.parametrize(
    ("arguments", "message", "mending"),
    [
        (["1-2 80", "2-1 80"], '"2-1 80": 2-1 centre is given twice [holes-02]', "give it once, the mean of repeats"),
        (["1-2 insde 80"], '"1-2 insde 80": no kind of distance "insde" [holes-07]', "nearest: inside, outside"),
        (["1-1 80"], '"1-1 80": hole 1 has no distance from itself [holes-01]', "name two holes"),
        (
            ["1-2 80", "--dia-all", "-10"],
            "--dia-all: this is no diameter of a hole [holes-01]",
            "write the diameter alone: 10.5",
        ),
        (["1-2 80", "--dia", "-10"], '--dia "-10": this is no diameter of a hole [holes-01]', "write the hole and its"),
        (["1-2"], '"1-2": this is no distance between two holes [holes-01]', "write two holes, the kind and"),
        (["1-2 80", "--dia", "7 10"], '--dia "7 10": no distance names hole 7 [holes-03]', "holes named: 1, 2"),
        (["1-2 outside 80"], "1-2 outside is taken at the edge of hole 1, whose diameter is not given", "add --dia"),
        (["1-2 0"], '"1-2 0": "0" is not above zero [holes-01]', "write what the tool reads"),
        (["1-2 80 kg"], '"1-2 80 kg": "80 kg": "kg" measures a mass, not a length', "expected one of mm"),
        (["1-2 80", "2-3 60", "1-3 150"], "1-3 centre, 1-2 centre and 2-3 centre do not close a tri", "measure the"),
        ([], "no distance is given [holes-01]", 'write one like "1-2 outside 430.2"'),
    ],
)
def test_nonsense_is_refused(
    capsys: pytest.CaptureFixture[str], arguments: list[str], message: str, mending: str
) -> None:
    code, out, err = asked(capsys, *arguments)
    assert (code, out) == (65, "")
    assert err.startswith(f"fitment: {message}")
    assert f"\n  {mending}" in err


def test_a_file_has_one_reading_a_line_and_faults_by_line(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "holes.txt"
    file.write_text("# invented bracket\n" + "\n".join(SOUND) + "\ndia all 10  # reamed\n", encoding="utf-8")
    assert told(capsys, "--from", str(file)) == told(capsys, *SOUND, *ROUND)
    file.write_text("1-2 80\n\n2-3 ousside 60\n1-3\n", encoding="utf-8")
    code, _, err = asked(capsys, "--from", str(file))
    assert code == 65
    assert f"fitment: {file}:3: no kind of distance" in err
    assert f"fitment: {file}:4: this is no distance" in err
    code, _, err = asked(capsys, "--from", str(tmp_path / "none.txt"))
    assert code == 66


def test_a_wrong_word_for_clockwise_is_a_usage_fault(capsys: pytest.CaptureFixture[str]) -> None:
    assert asked(capsys, "1-2 80", "--clockwise", "left")[0] == 2


def test_the_picture_is_to_scale_and_written_whole(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    picture = tmp_path / "holes.svg"
    code, _, err = asked(capsys, *SOUND, *ROUND, "--svg", str(picture))
    assert code == 0
    assert f"drawn in {picture}" in err
    assert [path.name for path in tmp_path.iterdir()] == ["holes.svg"]
    drawn = ET.fromstring(picture.read_text(encoding="utf-8"))
    space = {"s": "http://www.w3.org/2000/svg"}
    circles = [
        tuple(float(one.attrib[key]) for key in ("cx", "cy", "r")) for one in drawn.iterfind(".//s:circle", space)
    ]
    (x1, y1, r1), (x2, y2, _), (x3, y3, _), _ = circles
    assert (x2 - x1, y2 - y1, r1) == pytest.approx((80, 0, 5), abs=0.02)  # scale 1:1
    assert (x3 - x2, y3 - y2) == pytest.approx((0, -60), abs=0.02)  # y up
    texts = [one.text for one in drawn.iterfind(".//s:text", space)]
    assert texts[:5] == ["1", "2", "3", "4", "100 mm"]
    assert texts[5].startswith("Scale 1:1, dimensions in mm")
    code, _, err = asked(capsys, *SOUND, *ROUND, "--svg", str(tmp_path / "no" / "holes.svg"))
    assert code == 74
    assert "cannot be written" in err


def test_a_wide_pattern_is_drawn_smaller_and_holes_of_unknown_size_are_crosses() -> None:
    drawn = holes_svg([HolePosition(1, 0, 0, 0, 0), HolePosition(2, 420, 0, 0.5, 0)], {}, "inch")
    assert "scale 1:5" in drawn
    assert ">4 in<" in drawn
    assert "<circle" not in drawn
    # 420 mm at 1:5, from cross to cross
    crosses = [float(x) for x in re.findall(r'd="M([-\d.]+) [-\d.]+L\1 ', drawn)]
    assert crosses[1] - crosses[0] == pytest.approx(420 / 5, abs=0.002)
