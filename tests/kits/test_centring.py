"""Centring the steering wheel: published steps, the chain of a kit, what the rods would have to do; parts invented."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.finding import Verdict
from fitment.geometry.centring import bar_for, finest_step
from fitment.kits.centring_rules import RULES
from fitment.kits.rules import kit_rules
from tests.kits.front import Front, findings, gaps, only, run, text
from tests.support.corners import published

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict

ROWS = published("centring")
COLUMN = (
    '[column]\nlower_joint = "NORTH/UJ-1"\nintermediate_shaft = "NORTH/IS-1"\nupper_joint = "NORTH/UJ-1"\n'
    'column = "NORTH/CO-1"\n'
)
SHORT = '[column]\nsingle_joint = "NORTH/UJ-1"\ncolumn = "NORTH/CO-1"\n'


@pytest.mark.parametrize("row", [row for row in ROWS if row["id"].startswith("INDEX")], ids=lambda row: row["id"])
def test_published_steps(row: dict[str, str]) -> None:
    counts = [int(number) for number in re.findall(r"\d+", row["case"])]
    assert finest_step(counts) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_published_turns_of_the_rods() -> None:
    (row,) = [row for row in ROWS if row["id"] == "ALN-centre-10deg"]
    assert bar_for(10.0, 44.0) / 1.5 == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))
    assert bar_for(10.0, 44.0) == pytest.approx(1.222222, abs=1e-6)  # the row's note


@given(st.lists(st.integers(1, 60), min_size=1, max_size=4))
def test_the_finest_step_is_that_of_brute_force(counts: list[int]) -> None:
    """Every sum of whole steps of every joint, in parts of the full circle that all of them share."""
    whole = 1
    for count in counts:
        whole *= count
    reached = {0}
    for count in counts:
        step = whole // count
        new = reached
        while True:
            more = {(at + step) % whole for at in new} - reached
            if not more:
                break
            reached |= more
            new = more
        if len(reached) > 20_000:
            return
    least = min((at for at in reached if at), default=whole)
    assert finest_step(counts) == pytest.approx(360 * least / whole)


def shafted(**counts: int) -> Front:
    """Pinion 36, shaft 36 and 36, column 48 and wheel 40, unless told otherwise; 44 mm a turn."""
    book = Front()
    teeth = {"pinion": 36, "lower": 36, "upper": 36, "column": 48, "wheel": 40, **counts}
    ends = {
        "pinion": ["NORTH/RK-7 pinion"],
        "lower": ["NORTH/IS-1 lower"],
        "upper": ["NORTH/IS-1 upper"],
        "column": ["NORTH/CO-1 lower-end"],
        "wheel": ["NORTH/CO-1 wheel-end"],
    }
    for name, count in teeth.items():
        for end in ends[name]:
            book.add(end, spline=float(count))
            book.change(end, "spline", u=0.0)
    book.add("NORTH/RK-7 body", speed=44.0)
    return book


def test_the_chain_from_pinion_to_wheel_with_its_numbers() -> None:
    report = run(shafted(), text("", COLUMN))
    found = only(report, "centring", "ctr-01")
    assert found.verdict is FITS
    # pinion 36, column 48, wheel 40: lcm 720, 0.5 deg; the shaft's own ends, 36 and 36, add nothing
    assert found.because == (
        "pinion to lower universal joint in 36; lower universal joint to intermediate shaft in 36; intermediate shaft "
        "to upper universal joint in 36; upper universal joint to column in 48; column to steering wheel in 40: the "
        "wheel can be set in steps of 0.50 deg with the rack centred and the phase of the universal joints kept, so at "
        "most 0.25 deg are left over"
    )
    figures = {name: round(one.value, 6) for name, one in found.figures.items()}
    assert figures == {
        "finest_step": 0.5,
        "left_over_at_most": 0.25,
        "finest_step_with_phase_changed": 0.5,
        "rods_to_hide_it": round(44 * 0.25 / 360, 6),
        "rod_turns_to_hide_it": round(44 * 0.25 / 360 / 1.5, 6),
    }
    assert found.cautions[0] == (
        "Up to 0.25 deg would be hidden by 0.02 turns of either rod (0.03 mm of rod, one longer and the other "
        "shorter). Only what the spline cannot give belongs there: beyond half a step the rack stands off its centre, "
        "so that lock and turns differ left and right."
    )
    assert found.cautions[1] == "Centre the rack first: 3.25 turns from stop to stop, so 1.62 back from either."
    assert not any(line.startswith("wheel centring") for line in report.not_checked)


def test_a_shafts_own_ends_change_the_phase() -> None:
    found = only(run(shafted(lower=30, column=36, wheel=36), text("", COLUMN)), "centring", "ctr-01")
    assert (found.figures["finest_step"].value, found.figures["finest_step_with_phase_changed"].value) == (10.0, 2.0)
    assert found.because.endswith("; with the phase changed too, steps of 2.00 deg")


@pytest.mark.parametrize(
    ("dimension", "word", "step"),
    [
        ("index", "master spline", 10.0),
        ("index", "blind tooth", 10.0),
        ("groove", "notch", 10.0),
        ("pocket", "yes", 10.0),
        ("index", "none", 2.5),
        ("groove", "annular", 2.5),
        ("form", "DD", 10.0),
        ("form", "plain", 0.0),
    ],
)
def test_an_end_that_goes_on_in_one_place_has_no_freedom(dimension: str, word: str, step: float) -> None:
    # pinion 36, column 48: 2.5 deg together, 10 with the column's end fixed
    book = shafted(wheel=36)
    book.add("NORTH/CO-1 lower-end", **{dimension: word})
    if dimension == "form":
        book.take("NORTH/CO-1 lower-end", "spline")
    found = only(run(book, text("", COLUMN)), "centring", "ctr-01")
    assert found.verdict is FITS
    assert found.figures["finest_step"].value == step


def test_one_joint_only() -> None:
    found = only(run(shafted(column=30, wheel=36), text("", SHORT)), "centring", "ctr-01")
    assert found.figures["finest_step"].value == pytest.approx(2.0)
    assert "pinion to single universal joint in 36; single universal joint to column in 30" in found.because


def test_a_count_that_is_missing_unsure_or_does_not_go_with_the_other() -> None:
    book = shafted()
    book.take("NORTH/CO-1 wheel-end", "spline")
    found = only(run(book, text("", COLUMN)), "centring", "ctr-01")
    assert (found.verdict, gaps(found)) == (NOT_KNOWN, ["NORTH/CO-1 wheel-end spline: no reading"])
    assert found.figures["finest_step"].value == 2.5  # of what is known
    book = shafted()
    book.change("NORTH/CO-1 wheel-end", "spline", u=1 / 3**0.5)
    assert gaps(only(run(book, text("", COLUMN)), "centring", "ctr-01")) == [
        "NORTH/CO-1 wheel-end spline: 40 counted by eye may be one off: tick every fifth tooth"
    ]
    book = shafted()
    book.add("NORTH/UJ-1 lower", spline=35.0)
    book.change("NORTH/UJ-1 lower", "spline", u=0.0)
    assert gaps(only(run(book, text("", SHORT)), "centring", "ctr-01")) == [
        "NORTH/RK-7 pinion spline: 36 teeth do not go with 35"
    ]
    # a bore that nobody counted goes by the shaft in it
    assert only(run(shafted(), text("", COLUMN)), "centring", "ctr-01").verdict is FITS


def test_hearsay_never_passes() -> None:
    book = shafted()
    book.change("NORTH/CO-1 lower-end", "spline", hearsay=True)
    assert only(run(book, text("", COLUMN)), "centring", "ctr-01").verdict is NOT_KNOWN


def test_a_kit_without_column_parts_is_not_looked_at() -> None:
    report = run(Front(), text(""))
    assert findings(report, "centring") == []
    assert "wheel centring: the kit names no column parts" in report.not_checked


def test_speed_by_travel_and_turns_and_none_at_all() -> None:
    book = shafted()
    book.body_without("speed")
    found = only(run(book, text("", COLUMN)), "centring", "ctr-01")
    assert found.figures["rods_to_hide_it"].value == pytest.approx(140 / 3.25 * 0.25 / 360)
    book.body_without("turns")
    found = only(run(book, text("", COLUMN)), "centring", "ctr-01")
    assert "rods_to_hide_it" not in found.figures
    assert found.cautions == ("Centre the rack first: count its turns from stop to stop and go back by half of them.",)
    book.say(speed_kind="variable")
    assert "centre it by its own mark" in only(run(book, text("", COLUMN)), "centring", "ctr-01").cautions[0]


def test_the_clock_spring_must_turn_as_far_as_the_rack() -> None:
    book = shafted()
    book.add("NORTH/CO-1 body", clock_spring=2.5, angle_sensor="yes")
    report = run(book, text("", COLUMN))
    found = only(report, "centring", "ctr-02")
    assert (found.verdict, found.because) == (
        FITS,
        "the clock spring of NORTH/CO-1 turns 2.50 turns either way, the rack 1.62",
    )
    assert "NORTH/CO-1 has a steering-angle sensor: its zero must be where the rack is centred." in (
        only(report, "centring", "ctr-01").cautions
    )
    book.add("NORTH/CO-1 body", clock_spring=1.25)
    assert only(run(book, text("", COLUMN)), "centring", "ctr-02").verdict is DOES_NOT_FIT
    book.body_without("turns")
    assert gaps(only(run(book, text("", COLUMN)), "centring", "ctr-02")) == ["NORTH/RK-7 body turns: no reading"]
    book.take("NORTH/CO-1 body", "clock-spring")
    assert findings(run(book, text("", COLUMN)), "centring", "ctr-02") == []


def test_every_rule_has_its_page() -> None:
    assert [rule.code for rule in RULES] == ["ctr-01", "ctr-02"]
    assert set(RULES) <= set(kit_rules())
    assert all(text for rule in RULES for text in vars(rule).values())
