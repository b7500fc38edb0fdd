"""``fitment bench thread`` in-process: borderline readings, exact words, JSON, nonsense."""

from __future__ import annotations

import contextlib
import io
import json
import math
import subprocess
import sys
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitment.cli.bench_reading import percent
from fitment.cli.main import answer
from fitment.standards.thread_names import parse_thread


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict[str, Any]]:
    code = answer(["bench", "thread", *arguments, "--json"])
    return code, json.loads(capsys.readouterr().out)


def family(found: dict[str, Any], nominal: float) -> float:
    """Odds of all threads of a nominal diameter, mm."""
    return math.fsum(
        one["odds"]
        for one in found["candidates"]
        if math.isclose(parse_thread(one["designation"]).thread.nominal, nominal, abs_tol=1e-6)
    )


# Largest new M14 13.974 mm, smallest new 9/16-18 14.031 mm (limits of ISO 965-1 and ASME B1.1, from memory).


def test_14_00_lies_between_m14_and_9_16(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "--od", "14.00")
    assert code == 4
    assert found["identified"] is None
    assert family(found, 14.0) > 0.2
    assert family(found, 14.2875) > 0.2
    assert found["next"]["measure"] == "pitch over six threads"
    assert found["next"]["tool"] == "thread pitch gauge"


def test_14_26_excludes_m14(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "--od", "14.26")
    assert code == 4
    assert family(found, 14.0) < 1e-6
    assert family(found, 14.2875) > 0.8


def test_13_90_is_m14_or_a_worn_9_16(capsys: pytest.CaptureFixture[str]) -> None:
    _, new = asked(capsys, "--od", "13.90")
    _, worn = asked(capsys, "--od", "13.90", "--worn")
    assert family(new, 14.0) > 0.8
    assert family(new, 14.2875) < 0.01
    assert family(worn, 14.0) > 0.3
    assert family(worn, 14.2875) > 0.3
    assert worn["understood"]["worn"] is True


def test_every_word_of_an_identified_thread(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "thread", "--od", "13.90", "--pitch", "1.5"]) == 0
    assert capsys.readouterr() == (
        "M14x1.5, odds 99 %\n"
        "\n"
        "candidates and odds\n"
        "  M14x1.5        ISO 261       99 %\n"
        "  none of these                 1 %\n"
        "\n"
        "understood: male thread\n"
        '  outside diameter 13.900 mm (typed "13.90"; u 0.029 mm, calliper)\n'
        '  pitch 1.500 mm (typed "1.5"; u 0.012 mm, thread pitch gauge)\n',
        "",
    )


def test_what_remains_possible_is_said_in_the_first_line_and_the_next_reading_last(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert answer(["bench", "thread", "--od", "14.00", "--worn"]) == 4
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("not known yet: ")
    assert "understood: male thread, worn" in lines
    assert lines[-1].startswith("next: pitch over six threads (thread pitch gauge), to tell ")
    listed = [line for line in lines if line.endswith(" %")]
    assert len(listed) > 5
    assert listed[-1].startswith("  none of these")


@pytest.mark.parametrize(
    "pitch",
    [
        ("--pitch", "1.5"),
        ("--over", "6 turns 9.0mm"),
        ("--over", "6", "turns", "9.0mm"),
        ("--over", "12 threads = 18 mm"),
        ("--over", "6 pitches over 9"),
    ],
)
def test_a_pitch_may_be_given_over_several_threads(capsys: pytest.CaptureFixture[str], pitch: tuple[str, ...]) -> None:
    code, found = asked(capsys, "--od", "13.9", *pitch)
    assert (code, found["identified"]) == (0, "M14x1.5")
    assert found["understood"]["readings"][1]["value"] == pytest.approx(1.5)


def test_twice_as_many_threads_halve_the_doubt_of_the_pitch(capsys: pytest.CaptureFixture[str]) -> None:
    doubts = []
    for over in ("6 turns 9", "12 turns 18", "6 turns 9 u=0.06"):
        _, found = asked(capsys, "--over", over)
        doubts.append(found["understood"]["readings"][0]["u"])
    # the pitch gauge is good to 0.02 mm over six threads (common practice, no source)
    assert doubts == pytest.approx([0.02 / math.sqrt(3), 0.01 / math.sqrt(3), 0.01])


def test_threads_per_inch(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "--od", "14.15", "--tpi", "18")
    assert (code, found["identified"]) == (0, "9/16-18 UNF")
    assert found["understood"]["readings"][1] == {
        "measure": "pitch",
        "value": pytest.approx(25.4 / 18),
        "u": pytest.approx(0.02 / math.sqrt(3)),
        "unit": "mm",
        "tool": "thread pitch gauge",
        "entered": "18 tpi",
    }


def test_female_threads_worn_threads_angles_and_priors(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "--minor", "12.5", "--pitch", "1.5")
    assert (code, found["identified"], found["understood"]["sex"]) == (0, "M14x1.5", "female")
    assert found["understood"]["readings"][0]["tool"] == "calliper inside jaws"
    angles = {"55 deg": "3/8-16 BSW", "60 deg": "3/8-16 UNC"}
    for angle, name in angles.items():
        code, found = asked(capsys, "--od", "9.45", "--tpi", "16", "--angle", angle)
        assert (code, found["identified"]) == (0, name)
    _, flat = asked(capsys, "--od", "13.9")
    _, common = asked(capsys, "--od", "13.9", "--prior", "common")
    assert common["candidates"][0]["odds"] > flat["candidates"][0]["odds"]


def test_a_finer_tool_or_a_written_doubt_takes_the_place_of_the_calliper(capsys: pytest.CaptureFixture[str]) -> None:
    for more, u, tool in (
        (["13.9", "--tool", "mic"], 0.01 / math.sqrt(3), "micrometer 0-25 mm"),
        (["13.9 ±0.03"], 0.03 / math.sqrt(3), "as written"),
        (["13.9 u=0.02"], 0.02, "as written"),
    ):
        _, found = asked(capsys, "--od", *more)
        assert found["understood"]["readings"][0]["u"] == pytest.approx(u)
        assert found["understood"]["readings"][0]["tool"] == tool


def test_none_of_the_standards_is_an_answer_of_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "thread", "--od", "13", "--pitch", "1.5"]) == 1
    out = capsys.readouterr().out
    assert out.startswith("no standard thread fits these readings (none of these: over 99 %)\n")
    assert "next:" not in out


@settings(max_examples=30)
@given(od=st.floats(3, 35), pitch=st.floats(0.3, 1.4))
def test_inches_are_the_same_reading(od: float, pitch: float) -> None:
    def found(units: str, factor: float) -> tuple[int, list[tuple[str, float]], float]:
        said = io.StringIO()
        with contextlib.redirect_stdout(said):
            code = answer(
                [
                    *("bench", "thread", "--od", f"{od / factor:.9f}", "--pitch", f"{pitch / factor:.9f}"),
                    *("--units", units, "--json"),
                ]
            )
        told = json.loads(said.getvalue())
        listed = [(one["designation"], one["odds"]) for one in told["candidates"] if one["odds"] > 1e-6]
        return code, listed, told["none_of_these"]

    mm, inch = found("mm", 1.0), found("inch", 25.4)
    assert mm[2] == pytest.approx(inch[2], abs=1e-4)
    assert dict(mm[1]) == pytest.approx(dict(inch[1]), abs=1e-4)


def test_a_bare_number_is_echoed_with_its_unit(capsys: pytest.CaptureFixture[str]) -> None:
    answer(["bench", "thread", "--od", "9/16", "--units", "inch"])
    assert '  outside diameter 0.5625 in (typed "9/16"; u 0.0011 in, calliper)' in capsys.readouterr().out


def test_a_diameter_that_settles_alone_is_not_praised_too_loud(capsys: pytest.CaptureFixture[str]) -> None:
    answer(["bench", "thread", "--od", "14.00"])
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize(
    ("arguments", "code", "message", "mending"),
    [
        ([], 2, "there is no reading to go by [usage-07]", "give --od and --pitch, or --minor and --pitch"),
        (["14.00"], 2, '"14.00" belongs to no option [usage-05]', "write --od 14.00 --pitch 1.5"),
        (
            ["--pitch", "1.5", "--tpi", "18"],
            2,
            "--pitch and --tpi say the same thing twice [usage-04]",
            "give one of them",
        ),
        (
            ["--pitch", "1.5", "--tool", "mic"],
            2,
            "--tool is of the diameter, and there is none [usage-06]",
            "give --od or --minor",
        ),
        (["--od", "14", "--prior", "x"], 2, '--prior is "x" [usage-12]', "allowed: flat, common"),
        (["--od", "14", "--units", "cm"], 2, '--units is "cm" [usage-01]', "allowed: mm, inch"),
        (["--od", "-3"], 65, '--od: "-3" is not above zero [bench-01]', "write what the tool reads"),
        (
            ["--od", "14", "--tool", "blueing"],
            65,
            "--od: taper gauge or known-good stud with blueing gives pass or fail, not a number [bench-02]",
            "name the tool that gave the number",
        ),
        (
            ["--over", "7 crests 9.0mm"],
            65,
            '--over: "7 crests 9.0mm" is no length over a number of turns [bench-03]',
            'write it like "6 turns 9.0 mm"; six turns are from one crest to the seventh',
        ),
        (
            ["--od", "1.5", "--pitch", "14"],
            65,
            "a pitch of 14 mm on 1.5 mm is no thread [bench-04]",
            "look whether the two are swapped, and at the units",
        ),
        (
            ["--minor", "5", "--pitch", "6"],
            65,
            "a pitch of 6 mm on 5 mm is no thread [bench-04]",
            "look whether the two are swapped, and at the units",
        ),
        (
            ["--od", "14", "--internal"],
            65,
            "the major diameter of a female thread tells nothing here [identify-04]",
            "give its minor diameter in the bore",
        ),
    ],
)
def test_nonsense_is_refused_with_the_way_out(
    capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, message: str, mending: str
) -> None:
    assert answer(["bench", "thread", *arguments]) == code
    assert capsys.readouterr() == ("", f"fitment: {message}\n  {mending}\n")


def test_odds_in_words_claim_neither_never_nor_always() -> None:
    assert [percent(odds) for odds in (0.0, 0.004, 0.005, 0.015, 0.5, 0.994, 0.996, 1.0)] == [
        "under 1 %",
        "under 1 %",
        "1 %",
        "2 %",
        "50 %",
        "99 %",
        "over 99 %",
        "over 99 %",
    ]


def test_quick_answers_load_neither_arrays_nor_the_database_layer() -> None:
    probe = (
        "import sys; from fitment.cli.main import answer\n"
        "codes = [answer(line.split()) for line in ("
        "'bench thread --od 13.90 --pitch 1.5', 'bench taper --large 15 --small 13.25 --length 17.5',"
        "'bench spline --count 36 --od 17.4', 'bench rack --travel 131 --turns 3.5',"
        "'bench mate M14x1.5-LH 9/16-18')]\n"
        "print(codes, [name for name in ('numpy', 'sqlalchemy', 'rich', 'alembic') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[0, 0, 4, 0, 1] []"
