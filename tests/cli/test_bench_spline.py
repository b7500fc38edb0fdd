"""``fitment bench spline`` in-process: trade names, miscounts, flats, chords, exact words, nonsense."""

from __future__ import annotations

import json
from typing import Any

import pytest

from fitment.cli.main import answer
from fitment.identify.splines import spline_ends
from fitment.standards.splines import chord


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict[str, Any]]:
    code = answer(["bench", "spline", *arguments, "--json"])
    return code, json.loads(capsys.readouterr().out)


def names(found: dict[str, Any]) -> list[str]:
    return [one["designation"] for one in found["candidates"] if one["odds"] >= 0.005]


def test_every_word(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["bench", "spline", "--count", "36", "--od", "17.4", "-q"]) == 4
    assert capsys.readouterr() == (
        "not known yet: 11/16-36 93 %, no named spline at all 7 %\n"
        "\n"
        "candidates and odds\n"
        "  11/16-36       trade name       93 %\n"
        "  none of these                    7 %\n"
        "\n"
        "understood:\n"
        '  teeth 36 (typed "36"; count by eye)\n'
        '  outside diameter 17.400 mm (typed "17.4"; u 0.029 mm, calliper)\n'
        "index step of 36 teeth: 10 deg, centred to half of that at worst\n"
        "\n"
        "next: flanks under a magnifier, straight or curved, and a known mating part over the full length "
        "(go and no-go gauge or a known mating part), to tell 11/16-36 from none of these\n",
        "",
    )


def test_18_34_mm_with_24_teeth_beside_a_flat(capsys: pytest.CaptureFixture[str]) -> None:
    # 0.722 in with about 24 teeth beside the flat is called 3/4-30 (gear rebuilder's page, common practice)
    code, found = asked(capsys, "--od", "0.722 in", "--present", "24", "--flat")
    assert code == 4
    assert names(found)[0] == "3/4-30"
    assert found["next"]["measure"].startswith("chord from crest to crest over 7 pitches: ")
    code, found = asked(capsys, "--od", "0.722 in", "--present", "24", "--flat", "--prior", "common")
    assert found["candidates"][0]["odds"] > 0.85
    assert found["index_steps"][0] == {"teeth": 30, "value": 12.0, "unit": "deg"}


def test_a_miscount_by_one_is_considered_and_a_chord_settles_it(capsys: pytest.CaptureFixture[str]) -> None:
    # 3/4-36 and 35 teeth of 48/96 have outside diameters within 0.2 mm (computed)
    _, found = asked(capsys, "--count", "36", "--od", "18.98")
    assert {"3/4-36", "35 teeth 48/96"} <= set(names(found))
    assert found["next"]["measure"] == (
        "chord from crest to crest over 9 pitches: 13.72 mm for 35 teeth and 13.42 mm for 36 teeth"
    ) or found["next"]["measure"] == (
        "chord from crest to crest over 9 pitches: 13.42 mm for 36 teeth and 13.72 mm for 35 teeth"
    )
    for teeth, other in ((36, "35 teeth 48/96"), (35, "3/4-36")):
        _, told = asked(
            capsys, "--count", "36", "--od", "18.98", "--chord", f"{chord(18.98, teeth, 9):.2f}", "--over", "9"
        )
        assert other not in names(told)
    # ticked, a miscount is hardly left
    _, ticked = asked(capsys, "--count", "36", "--od", "18.98", "--ticked")
    odds = {one["designation"]: one["odds"] for one in ticked["candidates"]}
    assert odds["35 teeth 48/96"] < 0.05 < odds["3/4-36"]


def test_half_counted_and_doubled(capsys: pytest.CaptureFixture[str]) -> None:
    _, found = asked(capsys, "--half", "15", "--od", "18.34", "--prior", "common")
    assert names(found)[0] == "3/4-30"
    assert found["understood"]["readings"][0]["measure"] == "half"
    _, found = asked(capsys, "--half", "14", "--od", "18.34")
    assert "3/4-30" in names(found)  # off by one in the half is off by two in all


def test_measured_diameters_come_before_names(capsys: pytest.CaptureFixture[str]) -> None:
    # owners read 0.742, 0.744 and 0.747 in on a 3/4-48, counted 49 and 48 (registry page, common practice)
    for od in ("0.742 in", "0.744 in", "0.747 in"):
        _, found = asked(capsys, "--count", "49", "--od", od)
        assert "3/4-48" in names(found)
    also = {end.name: end.also for end in spline_ends()}
    assert also["3/4-48"] == "SAE J500 0.75 in, 48 teeth"
    assert also["9/16-26"] == "ANSI B92.1 26 teeth 48/96"


def test_the_form_of_the_teeth_rules_out_and_a_double_d_has_none(capsys: pytest.CaptureFixture[str]) -> None:
    _, found = asked(capsys, "--count", "28", "--od", "18.34")
    assert "28 teeth 40/80" in names(found)
    _, found = asked(capsys, "--count", "28", "--od", "18.34", "--form", "serrated")
    assert "28 teeth 40/80" not in names(found)
    code, found = asked(capsys, "--od", "17.0", "--form", "DD")
    assert (code, found["identified"]) == (0, "17 mm DD")


def test_a_diameter_alone_and_a_count_alone(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = asked(capsys, "--count", "36")
    assert code == 4
    assert found["next"]["measure"] == "outside diameter over the crests, turned for the largest"
    code, found = asked(capsys, "--od", "18.34")
    assert code == 4
    assert "3/4-30" in names(found)


def test_a_flat_that_hides_a_third_is_doubted_aloud(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["bench", "spline", "--count", "36", "--od", "17.4", "--present", "24", "--flat"]
    answer([*arguments, "-q"])
    assert "caution: a flat usually hides 4 to 6 teeth, not 12: count again\n" in capsys.readouterr().out
    answer([*arguments, "--json"])
    assert json.loads(capsys.readouterr().out)["cautions"] == ["a flat usually hides 4 to 6 teeth, not 12: count again"]


def test_inches_are_the_same_reading(capsys: pytest.CaptureFixture[str]) -> None:
    _, mm = asked(capsys, "--count", "36", "--od", "19.05")
    _, inch = asked(capsys, "--count", "36", "--od", "0.75", "--units", "inch")
    assert [one["odds"] for one in mm["candidates"]] == pytest.approx([one["odds"] for one in inch["candidates"]])


@pytest.mark.parametrize(
    ("arguments", "code", "message", "mending"),
    [
        ([], 65, "there is no reading to go by [identify-05]", "give a count and a diameter"),
        (
            ["--count", "3.5"],
            65,
            '--count: "3.5" is not a count [quantity-13]',
            "write a whole number: 0, 1, 2",
        ),
        (
            ["--count", "3"],
            65,
            "3 teeth are too few for a steering shaft [spline-12]",
            "count again, marking every fifth tooth with a pen",
        ),
        (
            ["--count", "24", "--present", "30", "--flat"],
            65,
            "30 teeth present are more than the 24 of the full circle [spline-13]",
            "the count is of the full circle, as if there were no flat",
        ),
        (
            ["--chord", "13", "--over", "9"],
            65,
            "a chord tells nothing without its pitches and the outside diameter [spline-14]",
            "give the chord, over how many pitches, and the outside diameter",
        ),
        (
            ["--chord", "19.5", "--over", "9", "--od", "19.05"],
            65,
            "a chord of 19.5 mm is longer than the diameter of 19.05 mm [spline-15]",
            "measure the chord from crest to crest, over a quarter of the circle",
        ),
        (["--chord", "13"], 2, "--chord and --over go together [usage-09]", "--chord 13.47 --over 9"),
        (["--present", "24"], 2, "--present and --flat go together [usage-10]", "--present 24 --flat"),
        (["--form", "wavy"], 2, '--form is "wavy" [usage-13]', "allowed: involute, serration, spline, DD"),
    ],
)
def test_nonsense_is_refused_with_the_way_out(
    capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, message: str, mending: str
) -> None:
    assert answer(["bench", "spline", *arguments]) == code
    assert capsys.readouterr() == ("", f"fitment: {message}\n  {mending}\n")


def test_the_chord_to_take_next_is_told_in_the_units_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    answer(["bench", "spline", "--count", "36", "--od", "0.7472", "--units", "inch", "-q"])
    (told,) = [line for line in capsys.readouterr().out.splitlines() if line.startswith("next: ")]
    assert told.startswith("next: chord from crest to crest over 9 pitches: 0.5283 in for 36 teeth and 0.5402 in for ")
    assert " mm" not in told
