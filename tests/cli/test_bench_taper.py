"""``fitment bench taper`` in-process: every way to measure a taper, exact words, nonsense."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.cli.main import answer
from fitment.errors import DataFault
from fitment.identify.taper_readings import bore_from_balls, length_to_tell


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict[str, Any]]:
    code = answer(["bench", "taper", *arguments, "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_every_word_of_an_identified_taper(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "taper", "--large", "15.0", "--small", "13.25", "--length", "17.5"]) == 0
    assert capsys.readouterr() == (
        "1:10, odds 98 %\n"
        "\n"
        "measured: 1:10, ratio 0.1000 (u 0.0023), included angle 5.72 deg (u 0.13 deg)\n"
        "\n"
        "candidates and odds\n"
        "  1:10           ISO 1119       98 %\n"
        "  none of these                  2 %\n"
        "\n"
        "understood:\n"
        '  large end 15.000 mm (typed "15.0"; u 0.029 mm, calliper)\n'
        '  small end 13.250 mm (typed "13.25"; u 0.029 mm, calliper)\n'
        '  length between 17.500 mm (typed "17.5"; u 0.029 mm, calliper)\n',
        "",
    )


def test_an_angle_leaves_both_7_deg_and_1_8_and_says_what_would_decide(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "taper", "--angle", "7 deg incl"]) == 4
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("not known yet: 7 deg included ")
    assert '  angle "7 deg incl" (digital magnetic angle finder)' in lines
    assert lines[-2].startswith("next: ")
    assert lines[-1] == (
        "two diameters tell 7 deg included from 1:8 when at least so far apart: "
        "calliper: 91.9 mm, micrometer 0-25 mm: 18.4 mm"
    )
    # half of a half angle's doubt is that of the whole: twice on the ratio
    _, whole = asked(capsys, "--angle", "7 deg incl")
    _, half = asked(capsys, "--angle", "3.5 deg half")
    assert half["ratio"]["value"] == pytest.approx(whole["ratio"]["value"])
    assert half["ratio"]["u"] == pytest.approx(2 * whole["ratio"]["u"])
    assert whole["included_angle"]["u"] == pytest.approx(0.2 / math.sqrt(3))


def test_uncertainty_of_the_angle_from_two_diameters(capsys: pytest.CaptureFixture[str]) -> None:
    # a = 0.05 mm over 12 mm gives 0.19 deg (worked from u = sqrt(2) u(D)/L; common practice for a)
    _, found = asked(capsys, "--large", "15", "--small", "13.5", "--length", "12")
    assert found["included_angle"]["u"] == pytest.approx(0.19, abs=0.01)
    assert {one["designation"] for one in found["candidates"] if one["not_excluded"]} == {"1:8", "7 deg included"}


def test_an_eye_is_read_less_well_than_a_stud(capsys: pytest.CaptureFixture[str]) -> None:
    _, stud = asked(capsys, "--large", "15", "--small", "13.25", "--length", "17.5")
    _, eye = asked(capsys, "--large", "15", "--small", "13.25", "--length", "17.5", "--eye")
    assert eye["ratio"]["u"] > 2.5 * stud["ratio"]["u"]
    assert eye["understood"]["in"] == "eye"
    assert [one["tool"] for one in eye["decides"]] == [
        "calliper inside jaws in a tapered eye",
        "ball or pin gauges with depth micrometer",
    ]


def test_a_ratio_that_somebody_worked_out_is_trusted_no_further_than_a_calliper(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, found = asked(capsys, "--ratio", "1:8.6")
    assert code == 4
    assert found["ratio"]["value"] == pytest.approx(1 / 8.6)
    assert found["ratio"]["u"] == pytest.approx(math.sqrt(2) * 0.05 / math.sqrt(3) / 16)
    code, found = asked(capsys, "--ratio", "1:10 u=0.01")
    assert (code, found["identified"]) == (0, "1:10")
    assert found["ratio"]["u"] == pytest.approx(0.0001)


def test_two_balls_in_an_eye(capsys: pytest.CaptureFixture[str]) -> None:
    # a cone 1:10 of 14 mm at the face, by construction
    h = math.atan(0.05)

    def depth(diameter: float) -> str:
        centre = (14 - diameter / math.cos(h)) / 2 / math.tan(h)
        return f"{centre - diameter / 2:.6f}"

    balls = ["--ball1", "12.5", "--depth1", depth(12.5), "--ball2", "13.5", "--depth2", depth(13.5)]
    code, found = asked(capsys, *balls)
    assert code in (0, 4)
    assert found["candidates"][0]["designation"] == "1:10"
    assert found["ratio"]["value"] == pytest.approx(0.1, abs=1e-6)
    assert found["understood"]["told"][0].startswith("diameter at the large face 14.00")
    assert float(depth(13.5)) < 0  # the larger one stands proud


@given(
    ratio=st.floats(0.05, 0.2),
    large=st.floats(12, 20),
    first=st.floats(0.6, 0.85),
    second=st.floats(0.86, 1.05),
)
def test_balls_give_back_the_cone_that_they_lie_in(ratio: float, large: float, first: float, second: float) -> None:
    half = math.atan(ratio / 2)

    def in_cone(share: float) -> tuple[float, float]:
        ball = share * large
        centre = (large - ball / math.cos(half)) / ratio
        return ball, centre - ball / 2

    (small, deep), (big, shallow) = in_cone(first), in_cone(second)
    bore = bore_from_balls((small, 0.006), (deep, 0.06), (big, 0.006), (shallow, 0.06))
    assert bore.ratio[0] == pytest.approx(ratio, rel=1e-9)
    assert bore.large[0] == pytest.approx(large, rel=1e-9)
    assert 0 < bore.ratio[1] < 0.1


def test_the_length_that_tells_two_cones() -> None:
    # 1:8 and 1:10: 4 sqrt(2) x 0.0289/L = 0.025 gives 6.5 mm, and a little more for how cones are made
    length = length_to_tell(0.125, 0.1, 0.05 / math.sqrt(3))
    assert length == pytest.approx(6.55, abs=0.05)
    assert length_to_tell(0.125, 0.1235, 0.001) is None


def test_inches_and_trade_tools(capsys: pytest.CaptureFixture[str]) -> None:
    _, mm = asked(capsys, "--large", "15.24", "--small", "13.208", "--length", "20.32")
    _, inch = asked(capsys, "--large", "0.6", "--small", "0.52", "--length", "0.8", "--units", "inch")
    assert mm["candidates"][0]["odds"] == pytest.approx(inch["candidates"][0]["odds"])
    _, fine = asked(capsys, "--large", "15", "--small", "13.25", "--length", "17.5", "--tool", "mic")
    assert fine["ratio"]["u"] < mm["ratio"]["u"] / 3


@pytest.mark.parametrize(
    ("arguments", "code", "message", "mending"),
    [
        (
            ["--large", "13", "--small", "15", "--length", "17"],
            65,
            "the small end, 15 mm, is not smaller than the large end, 13 mm [bench-05]",
            "look whether the two are swapped; --large is the end that is thicker",
        ),
        (
            ["--large", "30", "--small", "5", "--length", "10"],
            65,
            "from 30 mm to 5 mm within 10 mm is too steep for a stud or an eye [bench-06]",
            "--length is the distance between the two planes, along the axis",
        ),
        (
            ["--ball1", "13", "--depth1", "3", "--ball2", "12", "--depth2", "14"],
            65,
            "two balls of 13 and 12 mm give no taper [bench-07]",
            "give the smaller ball first, the larger second",
        ),
        (
            ["--ball1", "12", "--depth1", "3", "--ball2", "13", "--depth2", "14"],
            65,
            "the smaller ball does not lie as deep as in a taper [bench-08]",
            "look whether the depths are swapped; both are from the large face to the top of the ball",
        ),
        (["--angle", "1:8"], 65, '--angle: "1:8" is no angle [bench-09]', "write 7 deg incl, or use --ratio"),
        (
            ["--angle", "7 deg"],
            65,
            '--angle: "7 deg" does not say which angle is meant [quantity-20]',
            "say incl (whole angle, side to side) or half (side to axis): 7 deg incl",
        ),
        (
            ["--large", "15"],
            2,
            "there is no whole reading of a taper [usage-08]",
            "give --large, --small and --length; or --angle; or --ratio; or --ball1, --depth1, --ball2, --depth2",
        ),
        (
            ["--ratio", "1:8", "--angle", "7 deg incl"],
            2,
            "a taper is measured in one way [usage-08]",
            "give --large, --small and --length; or --angle; or --ratio; or --ball1, --depth1, --ball2, --depth2",
        ),
    ],
)
def test_nonsense_is_refused_with_the_way_out(
    capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, message: str, mending: str
) -> None:
    assert answer(["bench", "taper", *arguments]) == code
    assert capsys.readouterr() == ("", f"fitment: {message}\n  {mending}\n")


def test_balls_that_no_cone_holds() -> None:
    with pytest.raises(DataFault, match="does not lie as deep"):
        bore_from_balls((12, 0.01), (1.2, 0.1), (13, 0.01), (0.3, 0.1))
