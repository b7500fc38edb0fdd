"""``fitment align`` in-process: exact lines, both units, senses, what is refused and how, the published schema."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from fitment.cli.align_turn import turn_of
from fitment.cli.main import answer

STRINGS = ("--left-front", "80.64", "--left-rear", "79.36", "--right-front", "80.16", "--right-rear", "79.84")
ROD = ("--pitch", "1.5", "--arm", "130")
BEFORE = (
    "caution: before reading: ride height, load and tyre pressures as driven, floor level, rack centred (half its "
    "turns from either lock) and the steering wheel held straight\n"
)
AFTER = "caution: last of all tighten the lock nuts of both rods, then read the toe again\n"


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    """The answer as an object, which must be as its schema says."""
    assert answer(["schema", "align"]) == 0
    schema = json.loads(capsys.readouterr().out)
    assert answer(["align", *arguments, "--json"]) == 0
    out, err = capsys.readouterr()
    found: dict[str, Any] = json.loads(out)
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(found)
    assert err == ""
    return found


def first_line(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert answer(["align", *arguments, "-q"]) == 0
    return capsys.readouterr().out.splitlines()[0]


def test_nine_and_nine_and_a_sixteenth(capsys: pytest.CaptureFixture[str]) -> None:
    # 9 1/16 in behind and 9 in in front is 1/16 in toe-in (common practice, no source)
    assert answer(["align", "toe", "--front", "9", "--rear", "9 1/16", "--units", "inch"]) == 0
    assert capsys.readouterr() == (
        "toe-in 0.063 in (u 0.016 in), about 1/16 in, of that wheel; in degrees with --base\n"
        "\n"
        "understood: axle front, read from a datum inside to one wheel (too short for between two rims)\n"
        '  from a datum inside to the front edge of the rim 9.000 in (typed "9"; u 0.011 in, string and rule)\n'
        '  from a datum inside to the rear edge of the rim 9.062 in (typed "9 1/16"; u 0.011 in, string and rule)\n'
        + BEFORE
        + AFTER,
        "fitment: read at the height of the hub; roll on half a turn of the wheel, read again, take the mean "
        "(rim run-out)\n",
    )
    found = asked(capsys, "toe", "--front", "9", "--rear", "9 1/16", "--units", "inch")
    assert found["results"]["wheel"]["length"]["value"] == pytest.approx(1.5875)


def test_between_the_rims_is_the_total(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["align", "toe", "--front", "1405", "--rear", "1402", "--base", "364", "-q"]) == 0
    assert capsys.readouterr() == (
        "total toe-out 3.00 mm (u 0.82 mm), 0.47 deg (u 0.13 deg)\n"
        "\n"
        "both tyres together drag 8.2 m sideways in each km\n"
        "half of it to each wheel, if both stand alike: 1.5 mm, 0.24 deg\n"
        "\n"
        "understood: axle front, read between the rims\n"
        '  between the front edges of the rims 1405.00 mm (typed "1405"; u 0.58 mm, steel tape up to 2 m)\n'
        '  between the rear edges of the rims 1402.00 mm (typed "1402"; u 0.58 mm, steel tape up to 2 m)\n'
        '  base 364.00 mm (typed "364"; u 0.29 mm, steel rule)\n' + BEFORE + AFTER,
        "",
    )
    inch = asked(capsys, "toe", "--front", "1405 mm", "--rear", "1402 mm", "--base", "364 mm", "--units", "inch")
    assert inch["results"] == asked(capsys, "toe", "--front", "1405", "--rear", "1402", "--base", "364")["results"]


def test_strings_outside_and_inside_are_opposite(capsys: pytest.CaptureFixture[str]) -> None:
    # true toe-in 0.20 and 0.05 deg, gaps worked out by construction
    assert first_line(capsys, "toe", *STRINGS, "--base", "364") == (
        "left toe-in 1.28 mm (u 0.41 mm), 0.201 deg (u 0.064 deg); "
        "right toe-in 0.32 mm (u 0.41 mm), 0.050 deg (u 0.064 deg); "
        "total toe-in 1.60 mm (u 0.58 mm), 0.252 deg (u 0.091 deg)"
    )
    outside = asked(capsys, "toe", *STRINGS, "--base", "364")["results"]
    inside = asked(capsys, "toe", *STRINGS, "--base", "364", "--inside")["results"]
    for name in ("left", "right", "total"):
        assert inside[name]["angle"]["value"] == pytest.approx(-outside[name]["angle"]["value"])
    assert outside["direction"]["value"] == pytest.approx(-0.0756, abs=1e-4)


def test_the_rear_axle_gives_the_thrust_line(capsys: pytest.CaptureFixture[str]) -> None:
    answer(["align", "toe", *STRINGS, "--base", "364", "--axle", "rear", "-q"])
    out = capsys.readouterr().out
    assert "thrust line 0.076 deg (u 0.045 deg) to the right\n" in out
    assert 'set the front toe to it: fitment align rods ... --thrust "-0.08 deg"\n' in out
    assert "caution: both strings must run along the car: check with fitment align strings\n" in out


def test_what_readings_cannot_tell_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    doubtful = "within twice its u a reading does not tell toe-in from toe-out: read again, or finer"
    assert doubtful in asked(capsys, "toe", "--front", "1400", "--rear", "1401")["cautions"]
    assert doubtful not in asked(capsys, "toe", "--front", "1400 u=0.1", "--rear", "1401 u=0.1")["cautions"]
    nominal = asked(capsys, "toe", "--front", "1400", "--rear", "1405", "--base", "13 in")["cautions"]
    assert nominal[0].startswith("the base is the nominal size of a 13 in rim; its flange stands about 34 mm")
    assert not any(
        "nominal" in one
        for one in asked(capsys, "toe", "--front", "1400", "--rear", "1405", "--base", "364")["cautions"]
    )


def test_rods_with_every_word(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["--toe-left", "0.3 deg", "--toe-right", "-0.1 deg", "--want", "0.2 deg total", *ROD]
    assert answer(["align", "rods", *arguments, "--rack", "ahead", "--hand", "RH", "--rack-speed", "44"]) == 0
    assert capsys.readouterr() == (
        "left 0.30 turn (1.8 flats, u 0.09 turn) longer, anticlockwise; "
        "right 0.30 turn (1.8 flats, u 0.09 turn) shorter, clockwise\n"
        "\n"
        "seen from the middle of the car towards each wheel; the top of the rod goes to the rear on the left, to the "
        "rear on the right\n"
        "which is towards toe-out on the left, toe-in on the right\n"
        "one turn is 1.5 mm of rod and changes its wheel by 0.6611 deg (u 0.0029 deg)\n"
        "as it is now, the steering wheel stands 3.7 deg to the left driving straight\n"
        "one degree of steering wheel is 29.3 deg of each rod, one longer and the other shorter\n"
        "\n"
        "understood: rods ahead of the steering axes, outer threads RH left, RH right\n"
        '  toe of the left wheel 0.300 deg (typed "0.3 deg"; u 0.058 deg, as by strings)\n'
        '  toe of the right wheel -0.100 deg (typed "-0.1 deg"; u 0.058 deg, as by strings)\n'
        '  wanted toe of each wheel 0.1 deg (typed "0.2 deg total"; taken as exact)\n'
        '  pitch 1.5 mm (typed "1.5"; taken as exact)\n'
        '  arm about the steering axis 130.00 mm (typed "130"; u 0.58 mm, steel tape up to 2 m)\n'
        '  rack speed 44 mm/turn (typed "44"; taken as exact)\n'
        "caution: the steering axis is taken as upright; at 5 deg of castor and 10 deg of inclination (--castor, "
        "--kpi) a turn does 2 % less\n" + BEFORE + AFTER,
        "fitment: count the threads left in each rod end before and after; fitment check says how much must stay in\n",
    )


def test_rods_in_inches_from_the_total_alone(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["rods", "--toe", "1/8 in out", "--want", "1/16 in total", "--base", "14.33", "--tpi", "20"]
    told = first_line(capsys, *arguments, "--arm", "4.75", "--units", "inch", "--rack", "ahead")
    assert told == ("left 0.62 turn (3.7 flats, u 0.07 turn) shorter; right 0.62 turn (3.7 flats, u 0.07 turn) shorter")


def turns(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[float, float]:
    """Turns towards toe-in, left and right."""
    found = asked(capsys, "rods", *ROD, *arguments)["results"]
    left, right = (
        found[side]["turns"]["value"] * (1 if found[side]["towards"] == "toe-in" else -1) for side in ("left", "right")
    )
    return left, right


def test_a_sleeve_needs_half_the_turns_and_a_leaning_axis_more(capsys: pytest.CaptureFixture[str]) -> None:
    toe = ("--toe", "0.1 deg", "--want", "0.5 deg total")
    plain = turns(capsys, *toe)
    assert plain == pytest.approx((0.2 / 0.66110, 0.2 / 0.66110), abs=1e-4)
    assert turns(capsys, *toe, "--sleeve") == pytest.approx((plain[0] / 2, plain[1] / 2))
    # upright part of case A's axis, 0.980174 (computed)
    lean = turns(capsys, *toe, "--castor", "5.256415", "--kpi", "10.203974")
    assert lean[0] == pytest.approx(plain[0] / 0.980174, rel=1e-6)


def test_front_toe_set_to_the_thrust_line_turns_nothing_where_it_points_along_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    toe = ("--toe-left", "0.3 deg", "--toe-right", "0.1 deg out", "--want", "0.2 deg total")
    assert turns(capsys, *toe, "--thrust", "-0.2 deg") == pytest.approx((0.0, 0.0), abs=1e-9)
    line = first_line(capsys, "rods", *ROD, *toe, "--thrust", "-0.2", "--rack", "ahead", "--hand", "RH")
    assert line == "left no turn (u 0.09 turn); right no turn (u 0.09 turn)"


def test_a_steering_wheel_off_centre_turns_the_rods_against_each_other(capsys: pytest.CaptureFixture[str]) -> None:
    # 10 deg at 44 mm a turn is 0.814815 turn of 1.5 mm each side, in opposite senses of length (computed)
    toe = ("--toe", "0.2 deg", "--want", "0.2 deg total", "--rack-speed", "44")
    assert turns(capsys, *toe, "--wheel-off", "10 deg left") == pytest.approx((-0.814815, 0.814815), abs=1e-6)
    assert turns(capsys, *toe, "--wheel-off", "10 deg to the right") == pytest.approx((0.814815, -0.814815), abs=1e-6)
    # the nearest tooth of 36 is 10 deg, the rods have the other 2 deg
    found = asked(capsys, "rods", *ROD, *toe, "--wheel-off", "12 deg left", "--spline", "36")
    assert found["results"]["spline_teeth"] == -1
    assert found["results"]["left"]["turns"]["value"] == pytest.approx(0.814815 / 5, abs=1e-6)
    assert found["results"]["left"]["towards"] == "toe-out"
    answer(["align", "rods", *ROD, *toe, "--wheel-off", "12 deg left", "--spline", "36", "-q"])
    assert (
        "first move the steering wheel 1 tooth of 36 to the right on its spline; the rods take the other 2.0 deg\n"
        in capsys.readouterr().out
    )
    far = asked(capsys, "rods", *ROD, *toe, "--wheel-off", "70 deg left")["cautions"]
    assert any(one.startswith("a workshop manual corrects up to 60 deg") for one in far)
    assert any(one.startswith("whole teeth are for the spline") for one in far)


def test_the_wheel_read_straight_and_the_wheel_read_off_agree(capsys: pytest.CaptureFixture[str]) -> None:
    """Toe of each wheel with the steering wheel straight, or the total and where it stands: the same turns."""
    each = ("--toe-left", "0.3 deg", "--toe-right", "-0.1 deg", "--want", "0.2 deg total", "--rack-speed", "44")
    answer(["align", "rods", *ROD, *each, "-q"])
    assert "stands 3.7 deg to the left driving straight" in capsys.readouterr().out
    # 0.2 deg of steer over 0.440737 deg/mm and 44 mm a turn
    total = ("--toe", "0.2 deg", "--want", "0.2 deg total", "--rack-speed", "44", "--wheel-off", "3.712799 deg left")
    assert turns(capsys, *total) == pytest.approx(turns(capsys, *each), abs=1e-5)


@given(st.floats(-3, 3), st.booleans(), st.sampled_from(["RH", "LH"]))
def test_a_mirrored_car_is_turned_in_the_mirror(amount: float, ahead: bool, hand: str) -> None:
    left, right = (turn_of(amount, 0.1, ahead, hand, left=side) for side in (True, False))
    assert (left.turns, left.rod, left.sense) == (right.turns, right.rod, right.sense)
    assert left.top != right.top
    other = turn_of(amount, 0.1, ahead, "LH" if hand == "RH" else "RH", left=True)
    assert (other.rod, other.sense == left.sense) == (left.rod, False)


def test_strings_for_unequal_tracks(capsys: pytest.CaptureFixture[str]) -> None:
    # hub faces 1500 and 1440, front 60: rear 90; both at 60 turn the strings by 0.716 deg (computed)
    arguments = ["--across-front", "1500", "--across-rear", "1440", "--string", "60", "--wheelbase", "2400"]
    assert answer(["align", "strings", *arguments]) == 0
    assert capsys.readouterr() == (
        "rear 90.00 mm (u 0.50 mm) from each hub's face, where the front is 60.00 mm (u 0.29 mm)\n"
        "\n"
        "the strings then stand 1620.00 mm (u 0.82 mm) apart at both ends: measure it there\n"
        "each string then runs along the car to within u 0.014 deg\n"
        "set alike front and rear they would show 0.72 deg of false toe-in on each wheel, 1.43 deg an axle\n"
        "\n"
        "understood: measured across the faces\n"
        '  across, front 1500.00 mm (typed "1500"; u 0.58 mm, steel tape up to 2 m)\n'
        '  across, rear 1440.00 mm (typed "1440"; u 0.58 mm, steel tape up to 2 m)\n'
        '  string to the front hub\'s face 60.00 mm (typed "60"; u 0.29 mm, string and rule)\n'
        '  wheelbase 2400.00 mm (typed "2400"; u 0.58 mm, steel tape up to 2 m)\n'
        "caution: the two measuring faces of an axle must stand alike to the car's middle\n" + BEFORE,
        "fitment: the strings must clear the tyres: look along them before reading\n",
    )


def test_strings_by_tracks_and_wheel_offsets(capsys: pytest.CaptureFixture[str]) -> None:
    tracks = ("strings", "--track-front", "1400", "--track-rear", "1360", "--string", "60")
    found = asked(capsys, *tracks, "--offset-front", "35", "--offset-rear", "-5")
    assert found["results"]["rear"]["value"] == 120.0  # (1470 - 1350) / 2 more
    assert found["results"]["apart"]["value"] == 1590.0
    unsaid = asked(capsys, *tracks)
    assert (unsaid["results"]["rear"]["value"], unsaid["results"]["apart"]) == (80.0, None)
    assert unsaid["cautions"][0] == "no wheel offset is given: those of front and rear wheels are taken as alike"
    wider = asked(
        capsys, "strings", "--track-front", "1360", "--track-rear", "1400", "--string", "60", "--wheelbase", "2400"
    )
    assert wider["results"]["rear"]["value"] == 40.0
    assert wider["results"]["if_set_alike"]["value"] == pytest.approx(-0.4775, abs=1e-4)


TOE = ("--toe", "0.2 deg", "--want", "0.2 deg total")


@pytest.mark.parametrize(
    ("arguments", "code", "message", "mending"),
    [
        (
            ["toe", "--front", "9"],
            2,
            "toe is read in one of two ways, and wholly [usage-23]",
            "give --front and --rear (between the rims), or --left-front, --left-rear, --right-front, --right-rear "
            "(gaps to strings)",
        ),
        (["toe", *STRINGS, "--axle", "third"], 2, '--axle is "third" [usage-21]', "allowed: front, rear"),
        (
            ["toe", "--front", "1400", "--rear", "1402", "--inside"],
            2,
            "--inside is of gaps to strings [usage-22]",
            "leave it out",
        ),
        (
            ["toe", "--front", "900", "--rear", "9", "--units", "inch"],
            65,
            "--front, --rear: 445.5 in of toe on one wheel is more than a car has [align-01]",
            "look for a slip in one reading, and whether both are in the same unit",
        ),
        (
            ["toe", "--front", "-9", "--rear", "9"],
            65,
            '--front: "-9" is not above zero [bench-01]',
            "write what the tool reads",
        ),
        (
            ["rods", *ROD, "--toe", "0.2", "--want", "0.2 deg total"],
            65,
            '--toe: "0.2" may be an angle or a length at the rim [align-02]',
            "write its unit: 0.25 deg, 15 min, 1.5 mm or 1/16 in",
        ),
        (
            ["rods", *ROD, "--toe", "0.2 deg", "--want", "0.2 deg"],
            65,
            '--want: "0.2 deg" may be of each wheel or of both together [align-07]',
            'write "1.5 mm total" or "0.1 deg each"',
        ),
        (
            ["rods", *ROD, "--toe", "3 mm", "--want", "0.2 deg total"],
            2,
            "--toe is a length, and --base does not say over what [usage-20]",
            "give --base, over the edge of the rim's flange, or the toe in deg",
        ),
        (
            ["rods", *ROD, "--toe", "-3 deg out", "--want", "0.2 deg total"],
            65,
            '--toe: "-3 deg out" is minus and out [align-03]',
            "write one of them",
        ),
        (
            ["rods", *ROD, "--toe", "toe-out", "--want", "0.2 deg total"],
            65,
            '--toe: "toe-out" has no number [align-04]',
            "write 1.5 mm out",
        ),
        (
            ["rods", *ROD, "--toe", "30 deg", "--want", "0.2 deg total"],
            65,
            "--toe: 15 deg of toe on one wheel is more than a car has [align-01]",
            "look for a slip in the reading",
        ),
        (
            ["rods", *ROD, "--toe-left", "0.2 deg", "--want", "0.2 deg total"],
            2,
            "the present toe is given in one of two ways [usage-27]",
            "give --toe-left and --toe-right, or --toe for the total alone",
        ),
        (
            ["rods", *ROD, *TOE, "--thrust", "0.2"],
            2,
            "--thrust needs the toe of each wheel [usage-26]",
            "give --toe-left and --toe-right",
        ),
        (
            ["rods", "--arm", "130", *TOE],
            2,
            "the thread's pitch is missing [usage-28]",
            "give --pitch 1.5 or --tpi 18",
        ),
        (
            ["rods", *ROD, "--tpi", "18", *TOE],
            2,
            "--pitch and --tpi say the same thing twice [usage-04]",
            "give one of them",
        ),
        (
            ["rods", "--pitch", "0", "--arm", "130", *TOE],
            65,
            '--pitch: "0" is not above zero [align-05]',
            "write what it is",
        ),
        (
            ["rods", "--pitch", "1.5", "--arm", "5", *TOE, "--units", "inch"],
            65,
            "--pitch: 1.5 in is no pitch of a tie rod [align-08]",
            'write --pitch "1.5 mm", or --tpi 18 for an inch thread',
        ),
        (
            ["rods", "--pitch", "1.5", "--arm", "5", *TOE],
            65,
            "--arm: 5 mm is no arm of a steered wheel [align-09]",
            "measure from the steering axis square to the tie rod; 100 to 180 mm is usual",
        ),
        (
            ["rods", *ROD, *TOE, "--hand", "up"],
            2,
            '--hand is "up" [usage-29]',
            "RH or LH for both rods, or left and right: RH,LH",
        ),
        (["rods", *ROD, *TOE, "--rack", "above"], 2, '--rack is "above" [usage-30]', "allowed: ahead, behind"),
        (
            [
                "rods",
                *ROD,
                "--toe-left",
                "1 min",
                "--toe-right",
                "1 min",
                "--want",
                "2 min each",
                "--wheel-off",
                "3 left",
            ],
            2,
            "--wheel-off is in the toe of each wheel already, read with the steering wheel straight [usage-31]",
            "leave it out, or give --toe for the total alone",
        ),
        (
            ["rods", *ROD, *TOE, "--wheel-off", "10 deg left"],
            2,
            "--wheel-off needs --rack-speed [usage-32]",
            "give --rack-speed",
        ),
        (["rods", *ROD, *TOE, "--spline", "36"], 2, "--spline needs --wheel-off [usage-32]", "give --wheel-off"),
        (
            ["rods", *ROD, *TOE, "--wheel-off", "10 deg", "--rack-speed", "44"],
            65,
            '--wheel-off: "10 deg" does not say to which side [align-11]',
            "write 10 deg left",
        ),
        (
            ["rods", *ROD, *TOE, "--wheel-off", "10 deg left", "--rack-speed", "44", "--spline", "3"],
            65,
            "--spline: 3 teeth are on no steering shaft [align-12]",
            "count over the full circle, as if there were no flat",
        ),
        (
            ["strings", "--across-front", "1400", "--across-rear", "1500", "--string", "40"],
            65,
            "--string: the string would run 10 mm inside the rear hubs' faces [align-06]",
            "set it at more than 50 mm at the front",
        ),
        (
            ["strings", "--across-front", "1400", "--string", "40"],
            2,
            "--across-front and --across-rear go together [usage-24]",
            "give both",
        ),
        (
            ["strings", "--string", "40"],
            2,
            "the two axles are measured in one way [usage-25]",
            "give --across-front and --across-rear, or --track-front and --track-rear with --offset-front and "
            "--offset-rear",
        ),
    ],
)
def test_nonsense_is_refused_with_the_way_out(
    capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, message: str, mending: str
) -> None:
    assert answer(["align", *arguments]) == code
    assert capsys.readouterr() == ("", f"fitment: {message}\n  {mending}\n")


def test_an_axis_that_lies_down_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["align", "rods", *ROD, *TOE, "--castor", "45"]) == 65
    assert capsys.readouterr().err == (
        "fitment: --castor, --kpi: no steering axis leans by more than 30 deg [align-10]\n"
        "  write both in deg; 2 to 8 of castor and 6 to 14 of inclination are usual\n"
    )


def test_an_answer_loads_neither_arrays_nor_a_database() -> None:
    program = (
        "import sys; from fitment.cli.main import answer; "
        "answer(['align', 'rods', '--toe', '0.2 deg', '--want', '0.3 deg total', '--pitch', '1.5', "
        "'--arm', '130', '-q']);"
        "sys.exit(bool({'numpy', 'sqlalchemy', 'rich'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", program], capture_output=True).returncode == 0
