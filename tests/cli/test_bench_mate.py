"""``fitment bench mate`` and ``rack`` in-process: verdicts, exit codes, what is assumed, exact words, nonsense."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from typing import Any

import pytest

from fitment.cli.main import answer
from fitment.finding import Basis
from fitment.kits.spot import feature_of, spot

STUD = "stud taper=1:10 large=14.6mm length=20mm thread=M12x1.25 thread-start=22mm pin-hole=31mm pin-dia=3.2mm"
MATES = (
    "what can be mated: a thread with a thread, a stud with an eye (or a bare taper for either), a shaft with a bore"
)
ENDS = (
    "write one of stud, ball stud, taper stud, tapered stud, eye, tapered eye, arm eye, steering arm eye, "
    "steering arm, thread, thread end, threaded end, shank, rod, bolt, screw, nut, sleeve, adjuster, bar end, "
    "rack bar end, shaft, spline, spline end, bore, yoke; or a thread, taper or spline by its name"
)
EYE = "eye taper=1:10 large=14.4mm thick=16mm opens=down"


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict[str, Any]]:
    code = answer(["bench", "mate", *arguments, "--json"])
    return code, json.loads(capsys.readouterr().out)


def verdicts(found: dict[str, Any]) -> dict[str, str]:
    return {finding["rule"]: finding["verdict"] for finding in found["findings"]}


def test_every_word_of_two_names_that_do_not_fit(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "mate", "9/16-18", "M14x1.5-LH"]) == 1
    out, err = capsys.readouterr()
    assert err == ""
    lines = out.splitlines()
    assert lines[0].startswith("does not fit: 9/16-18 UNF in M14x1.5 ")
    assert lines[2] == "reasons"
    assert lines[3].startswith("- does not fit: 9/16-18 UNF in M14x1.5 ")
    assert lines[4] == "- not known: no hand is marked on A 9/16-18: say RH or LH [thread-02]"
    assert lines[lines.index("understood") + 1 :] == [
        "A: 9/16-18",
        "   hand RH (stated; taken for granted at the bench)",
        "   sex male (stated; taken for granted at the bench)",
        "   thread 9/16-18 UNF (stated; named at the bench)",
        "   assumed: male: taken so, no sex is said",
        "   assumed: no hand is marked: its standard means right hand by that, a part proves nothing by it",
        "B: M14x1.5-LH",
        "   hand LH (stated; named at the bench)",
        "   sex female (stated; taken for granted at the bench)",
        "   thread M14x1.5 (stated; named at the bench)",
        "   assumed: female: taken so, no sex is said",
    ]


def test_two_equal_names_are_no_fit_until_their_engagement_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "mate", "M14x1.5-RH", "M14 x 1.5 RH"]) == 4
    out = capsys.readouterr().out
    assert out.startswith("not known: both threads are M14x1.5; names alone do not tell: full thread engaged\n")
    assert out.endswith("\nnot checked\n- full thread engaged (thread-04): bare names do not tell\n")
    code, found = asked(capsys, "M14x1.5-RH", "M14x1.5-RH")
    assert (code, found["rule"], found["verdict"]) == (4, "thread-04", "not known")
    assert {gap["dimension"] for gap in found["gaps"]} == {"depth"}
    assert verdicts(found) == {"thread-01": "fits", "thread-02": "fits", "thread-03": "fits"}
    assert found["not_checked"] == ["full thread engaged (thread-04): bare names do not tell"]
    assert found["schema"] == "fitment.bench-mate/1"
    both = "M14x1.5-RH depth=25"
    assert asked(capsys, both, both)[0] == 0


def test_a_hand_that_is_only_taken_for_granted_is_not_known(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "M14x1.5", "M14x1.5")
    assert (code, found["rule"]) == (4, "thread-02")
    assert found["because"] == "no hand is marked on either: say RH or LH"
    assert [(gap["feature"], gap["dimension"]) for gap in found["gaps"]] == [
        ("A M14x1.5", "hand"),
        ("B M14x1.5", "hand"),
    ]
    assert verdicts(found)["thread-03"] == "fits"
    assert (
        "no hand is marked: its standard means right hand by that, a part proves nothing by it"
        in found["understood"][0]["assumed"]
    )
    for other in ("M14x1.5-RH", "M14x1.5-LH"):
        code, found = asked(capsys, "M14x1.5", other)
        assert (code, found["because"]) == (4, "no hand is marked on A M14x1.5: say RH or LH")
    code, found = asked(capsys, "M14x1.5-RH", "M14x1.5-LH")
    assert (code, found["rule"]) == (1, "thread-02")
    # what does not fit by its thread is told by that, whatever the hand
    code, found = asked(capsys, "M12x1.25", "1/2-20")
    assert (code, found["rule"]) == (1, "thread-03")


def test_both_said_to_be_right_hand(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "M14x1.5", "M14x1.5-RH", "--right-hand")
    assert (code, found["rule"], verdicts(found)["thread-02"]) == (4, "thread-04", "fits")
    assert found["understood"][0]["assumed"] == ["male: taken so, no sex is said"]
    assert found["understood"][0]["values"]["hand"]["source"] == "named at the bench"
    _, found = asked(capsys, "thread od=13.9 pitch=1.5", "M14x1.5", "--right-hand")
    assert verdicts(found)["thread-02"] == "fits"


def test_readings_are_identified_and_their_hand_is_not_guessed(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "thread od=13.9 pitch=1.5", "M14x1.5")
    assert code == 4
    assert found["because"] == "A thread hand: no reading; no hand is marked on B M14x1.5: say RH or LH"
    assert found["understood"][0]["values"]["thread"]["basis"] == "identified"
    assert found["understood"][0]["assumed"] == ["male, as its outside diameter was read"]
    assert found["understood"][1]["assumed"][0] == "female, as A is male"
    assert verdicts(found)["thread-04"] == "not known"
    code, found = asked(capsys, "rod od=13.9 pitch=1.5 hand=RH depth=40", "sleeve thread=M14x1.5-RH depth=25")
    assert (code, found["rule"]) == (0, "thread-04")
    # an undecided reading says so and is not known
    code, found = asked(capsys, "bolt od=14.00 hand=RH", "M14x1.5")
    assert code == 4
    assert found["understood"][0]["gaps"]["thread"].startswith("undecided: ")


def test_two_males_do_not_fit(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "bolt thread=M14x1.5-RH", "screw thread=M14x1.5-RH")
    assert (code, found["because"]) == (1, "both threads are male")


def test_stud_and_eye_by_their_dimensions_in_either_order(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(
        capsys,
        "stud taper=1:10 large=14.0 length=20 thread=M12x1.25",
        "eye taper=1:8 large=14.4 thick=16 opens=down",
        "--enters",
        "below",
    )
    assert (code, found["rule"], found["verdict"]) == (1, "cone-02", "does not fit")
    assert found["because"].startswith("1:10 stud in 1:8 eye: tapers differ by 0.0250, 0.0030 is allowed; ")
    for ends in ((STUD, EYE), (EYE, STUD)):
        code, found = asked(capsys, *ends, "--enters", "below", "--nut", "DIN 935")
        assert set(verdicts(found)) == {*(f"cone-0{n}" for n in range(1, 7)), "cone-08"}
        assert code == {"fits": 0, "does not fit": 1, "fits with work": 3, "not known": 4}[found["verdict"]]
        assert verdicts(found)["cone-02"] == "fits"
    # without the side from which it comes the direction is not known
    _, found = asked(capsys, STUD, EYE)
    assert verdicts(found)["cone-01"] == "not known"
    _, found = asked(capsys, STUD, EYE, "--enters", "above")
    assert verdicts(found)["cone-01"] in ("does not fit", "fits with work")


def test_a_washer_is_in_the_units_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    def reserve(*more: str) -> float:
        _, found = asked(capsys, STUD, EYE, "--enters", "below", *more)
        nut = next(finding for finding in found["findings"] if finding["rule"] == "cone-05")
        return float(nut["figures"]["thread_reserve"]["value"])

    assert reserve("--washer", "2.54") == pytest.approx(reserve() + 2.54)
    assert reserve("--washer", "0.1", "--units", "inch") == pytest.approx(reserve("--washer", "2.54"))


def test_bare_tapers(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "1:8", "1:10")
    assert (code, found["rule"]) == (1, "cone-02")
    assert [one["assumed"] for one in found["understood"]] == [["taken as a stud"], ["taken as an eye"]]
    code, found = asked(capsys, "1:8", "1.5 in/ft")
    assert (code, found["verdict"]) == (4, "not known")
    assert len(found["not_checked"]) == 6
    assert found["because"].endswith("names alone do not tell: the eye opens towards the stud and 5 more")
    # beside an end with dimensions nothing is left out
    code, found = asked(capsys, "1:10", EYE)
    assert code == 4
    assert found["understood"][0]["kind"] == "stud"
    code, found = asked(capsys, "1:10", STUD)
    assert found["understood"][0]["kind"] == "eye"


SHAFT = (
    "shaft spline=36 @count-ticked od=19.0 form=involute-45 engagement=26 groove=annular groove-position=13 "
    "groove-width=8.6 groove-depth=2.9"
)
YOKE = (
    "yoke spline=36 @count-ticked minor=18.2 form=involute-45 bore-depth=27 clamp=pinch bolt through groove bolt=M8 "
    "bolt-offset=11 bolt-to-end=11"
)


def test_shaft_and_yoke_by_their_dimensions_in_either_order(capsys: pytest.CaptureFixture[str]) -> None:
    for ends in ((SHAFT, YOKE), (YOKE, SHAFT)):
        code, found = asked(capsys, *ends)
        assert (code, found["rule"]) == (0, "spline-09")
        assert set(verdicts(found)) == {f"spline-0{n}" for n in (1, 2, 3, 4, 6, 7, 8, 9)}
    code, found = asked(capsys, SHAFT, YOKE.replace("spline=36", "spline=35"))
    assert (code, found["rule"]) == (1, "spline-02")
    code, found = asked(capsys, SHAFT.replace("annular", "none"), YOKE)
    assert (code, found["rule"]) == (1, "spline-07")
    # counted by eye it may be one off
    code, found = asked(capsys, SHAFT.replace(" @count-ticked", ""), YOKE)
    assert (code, found["rule"]) == (4, "spline-02")
    code, found = asked(capsys, "shaft spline=36 od=17.4", "bore spline=36 minor=16.6")
    assert (code, set(verdicts(found).values())) == (4, {"not known", "fits"})


def test_the_index_step_is_shown(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "mate", SHAFT, YOKE]) == 0
    assert "- fits: both have 36 teeth; index step 10 deg, centred to 5 deg at worst [spline-02]\n" in (
        capsys.readouterr().out
    )
    _, found = asked(capsys, SHAFT, YOKE)
    count = next(one for one in found["findings"] if one["rule"] == "spline-02")
    assert count["figures"]["index_step"] == {"value": 10.0, "u": None, "unit": "deg"}


def test_a_trade_name_of_a_spline_never_passes_for_its_diameter(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "3/4-36", "3/4-36")
    assert (code, found["rule"]) == (4, "spline-04")
    assert found["because"] == "A 3/4-36 od: no reading; B 3/4-36 minor: no reading; 3/4-36 is a label and no diameter"
    assert verdicts(found) | {"spline-04": "fits"} == dict.fromkeys((f"spline-0{n}" for n in range(1, 5)), "fits")
    assert [one["assumed"] for one in found["understood"]] == [
        ["male: taken so, no sex is said"],
        ["female: taken so, no sex is said"],
    ]
    assert [told.partition(" (")[2][:9] for told in found["not_checked"]] == ["spline-06", "spline-07"]
    for first, second, rule in (
        ("3/4-36", "3/4-48", "spline-02"),
        ("3/4-36", "9/16-36", "spline-04"),
        ("17 mm dd", "3/4-36", "spline-03"),
    ):
        code, found = asked(capsys, first, second)
        assert (code, found["rule"]) == (1, rule)
    code, found = asked(capsys, "3/4-36", YOKE)
    assert (code, found["understood"][0]["assumed"]) == (4, ["male, as B is female"])


def test_where_names_alone_decide_no_arrays_are_loaded() -> None:
    probe = "import sys; from fitment.cli.main import answer; answer(sys.argv[1:]); sys.exit('numpy' in sys.modules)"
    for other in ("3/4-36", "3/4-48"):
        done = subprocess.run([sys.executable, "-c", probe, "bench", "mate", "3/4-36", other], capture_output=True)
        assert done.returncode == 0


def test_units_of_bare_numbers(capsys: pytest.CaptureFixture[str]) -> None:
    _, mm = asked(capsys, "stud taper=1:10 large=15.24 length=20.32", EYE)
    _, inch = asked(
        capsys,
        "stud taper=1:10 large=0.6 length=0.8",
        EYE,
        "--units",
        "inch",
    )
    assert verdicts(mm) == verdicts(inch)
    assert inch["understood"][0]["values"]["large"]["value"] == pytest.approx(15.24)


def test_what_a_spot_says_and_rests_on() -> None:
    feature = feature_of(
        spot("ball stud large = 14.0 u=0.02 cone-length=20 ±0.1 taper=1:10 thread=M12x1.25", "A", "mm")
    )
    assert feature.name == "A ball stud"
    assert feature.kind == "stud"
    assert set(feature.values) == {"large", "length", "taper", "thread"}
    assert feature.values["large"].u == 0.02
    assert feature.values["length"].u == pytest.approx(0.1 / math.sqrt(3))
    assert feature.values["large"].basis is Basis.MEASURED
    assert feature.values["taper"].basis is Basis.STATED
    assert feature.values["thread"].basis is Basis.STATED
    assert not any(use.hearsay or use.assumed for use in feature.values.values())
    # two diameters and a length tell the cone
    cone = feature_of(spot("stud large=15.0 small=13.25 length=17.5", "A", "mm")).values["taper"]
    assert (cone.value, cone.basis) == (pytest.approx(0.1), Basis.IDENTIFIED)


def test_a_bare_name_takes_dimensions_after_it(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "M14x1.5-RH depth=20", "M14x1.5-RH depth=22 mm")
    assert (code, found["rule"]) == (0, "thread-04")
    first, second = found["understood"]
    assert (first["name"], first["entered"], first["kind"]) == ("A M14x1.5-RH", "M14x1.5-RH depth=20", "thread-end")
    assert {name: value["value"] for name, value in first["values"].items()} == {
        "thread": "M14x1.5", "hand": "RH", "sex": "male", "depth": 20.0
    }  # fmt: skip
    assert (first["assumed"], second["assumed"]) == (
        ["male: taken so, no sex is said"],
        ["female: taken so, no sex is said"],
    )
    # 20 mm less a thread of 1.5 mm at either end, and one diameter of 14 mm is asked: as for ends named by a word
    by_word = asked(capsys, "rod thread=M14x1.5-RH depth=20", "sleeve thread=M14x1.5-RH depth=22")[1]
    assert [one["margin"]["value"] for one in (found, by_word)] == pytest.approx([3.0, 3.0], abs=0.01)
    # what such an end leaves open is asked for, unlike with two bare names
    code, found = asked(capsys, "M14x1.5-RH depth=20", "M14x1.5-RH")
    assert (code, found["because"]) == (4, "B M14x1.5-RH depth: no reading")


def test_dimensions_beat_what_a_bare_name_takes_for_granted(capsys: pytest.CaptureFixture[str]) -> None:
    _, found = asked(capsys, "M14x1.5 hand=LH sex=female depth=22", "M14x1.5-LH od=13.9 depth=20")
    first, second = found["understood"]
    assert (first["assumed"], second["assumed"]) == ([], ["male, as its outside diameter was read"])
    assert (found["verdict"], verdicts(found)["thread-02"]) == ("fits", "fits")
    # what is said twice, and not alike, is a conflict and no matter of order
    _, found = asked(capsys, "M14x1.5-RH hand=LH", "M14x1.5-RH")
    assert verdicts(found)["thread-02"] == "not known"
    assert "LH (named at the bench) against RH" in found["understood"][0]["gaps"]["hand"]


def test_bare_tapers_and_splines_with_dimensions(capsys: pytest.CaptureFixture[str]) -> None:
    kinds = [
        ("1:10 large=14.0 length=20 thread=M12x1.25", "1:10 large=13.9 thick=16"),
        ("1:10 large=13.9 thick=16", "1:10 large=14.0"),
        ("1:10 large=14.0", "1:10 large=13.9"),
    ]
    said = [[one["kind"] for one in asked(capsys, *pair)[1]["understood"]] for pair in kinds]
    assert said == [["stud", "eye"], ["eye", "stud"], ["stud", "eye"]]
    _, found = asked(capsys, "3/4-36 od=18.9", "3/4-36")
    assert found["understood"][0]["values"]["od"]["value"] == 18.9
    assert found["understood"][0]["values"]["name"]["value"] == "3/4-36"
    assert verdicts(found)["spline-02"] == "fits"


def test_what_the_hint_shows_is_understood(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "mate", "M14x1.5", "M14x1.5"]) == 4
    hinted = re.search('as in "(.+)"', capsys.readouterr().err)
    assert hinted is not None
    assert asked(capsys, hinted[1], hinted[1])[0] == 0


@pytest.mark.parametrize(
    ("arguments", "code", "message", "mending"),
    [
        (
            ["banana", "M14x1.5"],
            65,
            'A: "banana" names no thread, taper or part [spot-03]',
            'write M14x1.5-LH, 9/16-18, 1:8 or "stud taper=1:10 large=14.0 length=20 thread=M12x1.25"',
        ),
        (
            ["3/4-36", "M14x1.5"],
            65,
            "no check is built for a spline-end with a thread-end [mate-01]",
            MATES,
        ),
        (
            ["1:8", "M14x1.5"],
            65,
            "no check is built for a stud with a thread-end [mate-01]",
            MATES,
        ),
        (
            ["stud tapr=1:10", "1:8"],
            65,
            'A tapr: rod end, stud has no dimension "tapr" [dictionary-03]',
            "nearest: taper, taper-ratio, taper-length",
        ),
        (["1:8", "lever x=1"], 65, 'B: "lever" is no end that can be named here [spot-01]', ENDS),
        (["x=1", "1:8"], 65, 'A: "" is no end that can be named here [spot-01]', ENDS),
        (
            ["M14x1.7 depth=20", "M14x1.5"],
            65,
            "A: M14x1.7 is not among the listed threads of ISO 261 [thread-name-05]",
            "measure diameter and pitch again; nearest: M14x1.5, M14x2, M14x1.25",
        ),
        (
            ["M14x1.5 dept=20", "M14x1.5"],
            65,
            'A dept: rod end, shank has no dimension "dept" [dictionary-03]',
            "nearest: depth, undercut, thread-depth",
        ),
        (["stud large=", "1:8"], 65, "A large: large has no value [spot-02]", "write large=VALUE"),
        (
            ["M14x1.5-LH", "M14x1.5", "--right-hand"],
            2,
            "A M14x1.5-LH is left hand, and --right-hand says that both are right hand [usage-14]",
            "leave --right-hand out, and mark the other with -RH or -LH",
        ),
        (["1:8", "1:8", "--right-hand"], 2, "--right-hand is about threads, and A is none [usage-14]", "leave it out"),
        ([STUD, EYE, "--enters", "left"], 2, '--enters is "left" [usage-11]', "allowed: below, above"),
    ],
)
def test_nonsense_is_refused_with_the_way_out(
    capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, message: str, mending: str
) -> None:
    assert answer(["bench", "mate", *arguments]) == code
    assert capsys.readouterr() == ("", f"fitment: {message}\n  {mending}\n")


def test_every_fault_of_a_spot_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "mate", "stud large=abc lenght=20", "1:8", "--json"]) == 65
    told = json.loads(capsys.readouterr().err)
    assert [one["place"] for one in told["errors"]] == ["A large", "A lenght"]


def test_rack_speed(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "rack", "--travel", "131", "--turns", "3.5", "-q"]) == 0
    assert capsys.readouterr() == (
        "37.4 mm/turn (u 0.20 mm/turn), centre 1.75 turns from either lock\n"
        "\n"
        "understood:\n"
        '  travel 131.00 mm (typed "131"; u 0.29 mm, steel rule)\n'
        '  turns 3.500 turn (typed "3.5"; u 0.017 turn, turns counted with tape on the rim)\n',
        "",
    )
    answer(["bench", "rack", "--travel", "131", "--turns", "3.5", "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["speed"]["value"] == pytest.approx(131 / 3.5)
    assert found["speed"]["u"] == pytest.approx(math.hypot(0.5 / 3.5, 131 * 0.03 / 3.5**2) / math.sqrt(3))
    assert found["centre"] == {"value": 1.75, "u": pytest.approx(0.015 / math.sqrt(3)), "unit": "turn"}
    assert answer(["bench", "rack", "--travel", "0", "--turns", "3.5"]) == 65
    assert (
        capsys.readouterr().err == 'fitment: --travel: "0" is not above zero [bench-01]\n  write what the tool reads\n'
    )
