"""Boots over the travel of the rack; every part is invented.

The boot of the published example: ball 20 mm ahead of the seat, 130 mm from ball to neck, rack travel 144 mm.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.doubt import Draws
from fitment.finding import Basis, Finding, Verdict
from fitment.kits.boot_rules import RULES
from fitment.kits.boot_travel import mouth_to_neck, one_sided
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report import JointSummary, Report
from tests.kits.fakes import Book, stud_kind, thread_kind
from tests.support.corners import published
from tests.support.features import feature

DOES_NOT_FIT, NOT_KNOWN, _, FITS = Verdict

ROWS = [row for row in published("joint_tilt_boots") if row["id"].startswith("BOOT-")]
LENGTHS = [row for row in ROWS if "-L-" in row["id"]]

HEAD = 'name = "Boots"\ntarget = "NORTH/V-1"\n[rack]\npart = "NORTH/RK-7"\n'
SIDE = 'tie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\nknuckle = "NORTH/KN-1"\nboot = "NORTH/BO-1"\n'

BOOT = {"seat_centre": 150.0, "solid": 60.0, "longest": 260.0, "outside": 64.0, "rod_angle": 18.0}


class Shelf(Book):
    """A catalogue with the rack, rod and boot of these tests."""

    def __init__(self, **boot: float | str) -> None:
        super().__init__()
        self.put("NORTH/RK-7", "rack-body", travel=144.0, out_left_centre=5.0, out_right_centre=5.0)
        self.put("NORTH/TR-2", "rod-body", ball_offset=15.0, rod_dia=14.0)
        self.put("NORTH/BO-1", "boot-body", **(boot or BOOT))

    def put(self, reference: str, kind: str, **values: float | str) -> None:
        found = self.parts[reference]
        made = feature(f"{reference} body", kind, 0.5, 0.0, Basis.MEASURED, (), **values)
        self.parts[reference] = replace(found, features={**found.features, "body": made})


def run(book: Book, left: str = SIDE, right: str = SIDE, limits: str = "") -> Report:
    kinds = {kind.name: kind.kind for kind in (thread_kind(), stud_kind())}
    text = f"{HEAD}[left]\n{left}[right]\n{right}{limits}"
    return check(read_kit(text.encode(), "kit.toml", None), book, Draws(800), kinds)


def boots(report: Report) -> dict[str, JointSummary]:
    return {joint.side: joint for joint in report.joints if joint.id.endswith(".boot-travel")}


def boot(report: Report, rule: str, side: str = "left") -> Finding:
    (found,) = [one for one in boots(report)[side].findings if one.rule == rule]
    return found


def without(*dimensions: str) -> dict[str, float]:
    return {name: value for name, value in BOOT.items() if name not in dimensions}


@pytest.mark.parametrize("row", LENGTHS, ids=[row["id"] for row in LENGTHS])
def test_the_published_lengths(row: dict[str, str]) -> None:
    ahead, neck, travel = (
        float(re.findall(rf"{name}=?\s*([0-9]+)", row["designation"])[0]) for name in ("q0", "n", "travel")
    )
    angle = float(re.findall(r"rod angle ([0-9]+)", row["designation"])[0])
    moved = {"IN": -travel / 2, "MID": 0.0, "OUT": travel / 2}[row["id"].rpartition("-")[2]]
    assert mouth_to_neck(ahead + moved, neck, angle) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_a_boot_that_goes_the_whole_way() -> None:
    # seat 5 + 15 = 20 mm behind the ball, neck 130 mm beyond: 78 to 222 mm straight, 82.13 and 219.35 mm at 18 deg
    report = run(Shelf())
    closed = boot(report, "boot-03")
    assert closed.verdict is FITS
    assert closed.because == (
        "squashed to 78.00 mm with the rod straight and 72.08 mm on the near side of the folds at 18.0 deg; "
        "66.00 mm is the least, 110 % of 60.00 mm solid"
    )
    opened = boot(report, "boot-04", "right")
    assert opened.verdict is FITS
    assert opened.because == (
        "stretched to 222.00 mm with the rod straight and 229.40 mm on the far side of the folds at 18.0 deg; "
        "234.00 mm is the most, 90 % of 260.00 mm drawn out"
    )
    assert closed.figures["length_straight"].value == pytest.approx(78.0)
    assert [rule.code for rule in RULES] == ["boot-03", "boot-04"]


def test_seeded_failure_of_the_closed_length() -> None:
    found = boot(run(Shelf(**{**BOOT, "solid": 75.0})), "boot-03")
    assert found.verdict is DOES_NOT_FIT
    assert boot(run(Shelf(**{**BOOT, "solid": 68.0})), "boot-03").verdict is DOES_NOT_FIT  # bent only: 74.8 of 72.1
    assert (
        boot(run(Shelf(**{**BOOT, "solid": 68.0}), limits="[limits]\nboot_closed = 1.0\n"), "boot-03").verdict is FITS
    )


def test_seeded_failure_of_the_stretched_length() -> None:
    assert boot(run(Shelf(**{**BOOT, "longest": 235.0})), "boot-04").verdict is DOES_NOT_FIT
    assert (
        boot(run(Shelf(**{**BOOT, "longest": 251.0})), "boot-04").verdict is DOES_NOT_FIT
    )  # bent only: 225.9 of 229.4


def test_lengths_taken_in_the_car_come_first() -> None:
    found = boot(run(Shelf(**BOOT, seat_short=90.0, seat_long=200.0)), "boot-03")
    assert found.figures["length_straight"].value == pytest.approx(90.0)
    opened = boot(run(Shelf(**BOOT, seat_short=90.0, seat_long=200.0)), "boot-04")
    assert opened.figures["length_straight"].value == pytest.approx(200.0)


def test_a_bar_off_its_middle_opens_one_boot_more() -> None:
    book = Shelf()
    book.put("NORTH/RK-7", "rack-body", travel_left=80.0, travel_right=64.0, out_left_centre=5.0, out_right_centre=5.0)
    report = run(book)
    lengths = {
        (side, rule): boot(report, rule, side).figures["length_straight"].value
        for side in ("left", "right")
        for rule in ("boot-03", "boot-04")
    }
    assert lengths == pytest.approx(
        {
            ("left", "boot-03"): 86.0,
            ("left", "boot-04"): 230.0,
            ("right", "boot-03"): 70.0,
            ("right", "boot-04"): 214.0,
        }
    )


def test_the_angle_comes_from_the_kit_where_nobody_took_it() -> None:
    stated = f'{SIDE}tilt_inner = "18 deg"\n'
    found = boot(run(Shelf(**without("rod_angle")), stated, stated), "boot-03")
    assert found.verdict is FITS
    assert found.figures["length_bent"].value == pytest.approx(72.08, abs=0.01)


def test_straight_alone_is_no_fit_but_may_be_a_failure() -> None:
    found = boot(run(Shelf(**without("rod_angle"))), "boot-03")
    assert found.verdict is NOT_KNOWN
    assert "rod-angle" in [gap.dimension for gap in found.gaps]
    assert "with the rod straight" in found.because
    assert [gap.dimension for gap in boot(run(Shelf(**without("outside"))), "boot-04").gaps] == ["outside"]
    assert boot(run(Shelf(**{**without("rod_angle"), "longest": 230.0})), "boot-04").verdict is DOES_NOT_FIT


@pytest.mark.parametrize(
    ("dimension", "rule"), [("solid", "boot-03"), ("longest", "boot-04"), ("seat_centre", "boot-03")]
)
def test_what_is_missing_is_named(dimension: str, rule: str) -> None:
    found = boot(run(Shelf(**without(dimension))), rule)
    assert found.verdict is NOT_KNOWN
    assert dimension.replace("_", "-") in [gap.dimension for gap in found.gaps]


def test_boots_that_are_not_named() -> None:
    bare = SIDE.replace('boot = "NORTH/BO-1"\n', "")
    report = run(Shelf(), bare, bare)
    assert "boot length at both locks: the kit names no boot" in report.not_checked
    one = run(Shelf(), SIDE, bare)
    assert list(boots(one)) == ["left"]
    assert "boot length at both locks: right boot is not named in the kit" in one.not_checked


@pytest.mark.parametrize(
    ("breather", "told"),
    [
        ("", "Look whether there is a breather on NORTH/BO-1 body: boots that cannot breathe suck one another in."),
        ("stub", "Join the boots by a pipe between their breathers: boots that cannot breathe suck one another in."),
        (
            "none",
            "There is no breather on the boots: where a pipe joined the rack's own, boots that cannot breathe suck",
        ),
    ],
)
def test_breathers_are_told(breather: str, told: str) -> None:
    word = {"breather": breather} if breather else {}
    (caution,) = boot(run(Shelf(**BOOT, **word)), "boot-04").cautions
    assert caution.startswith(told)


@given(st.floats(-60.0, 100.0), st.floats(80.0, 200.0), st.floats(0.0, 35.0))
def test_straight_is_the_extreme_at_both_locks(ahead: float, neck: float, angle: float) -> None:
    straight, bent = mouth_to_neck(ahead, neck, 0.0), mouth_to_neck(ahead, neck, angle)
    assert straight == pytest.approx(abs(ahead + neck))
    if ahead >= 0:
        assert bent <= straight + 1e-9
    elif ahead + neck > 0:
        assert bent >= straight - 1e-9
    assert one_sided(64.0, angle) == pytest.approx(32.0 * np.radians(angle))
