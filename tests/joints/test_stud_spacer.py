"""A spacer under the nut: the worked case E5, its window, and when none is named. Invented parts."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from fitment.finding import Verdict
from fitment.joints.stud_spacer import CERTIFY
from tests.joints.test_stud_in_eye import CALLIPER, FINE, answers, eye, stud
from tests.support.features import changed, without

TABLE = Path(__file__).parents[1] / "published" / "cone_seat.csv"
PUBLISHED = {row["id"]: row for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines())}


def test_e5_is_mended_by_the_published_spacer() -> None:
    found = answers(stud(FINE), eye(FINE, thick=12.0))
    assert found["cone-05"].verdict is Verdict.DOES_NOT_FIT
    (work,) = found["cone-05"].work
    # NUT-E5b: 6.25 mm (computed); bore over the 13.65 mm that the cone has at the small face
    assert "w=6.25" in PUBLISHED["NUT-E5b-RES"]["designation"]
    assert work.after == pytest.approx(6.25, abs=0.005)
    assert work.detail == (
        "6.25 mm thick (5.83 mm to 6.67 mm within the doubt of the readings), bore over 13.65 mm, hardened, in one "
        "piece, both faces flat and parallel: it must bear on the arm and the nut on it, not on the cone; stated as "
        "the washer of this joint it is checked"
    )
    assert found["cone-05"].cautions == (CERTIFY,)
    assert found["cone-06"].work == ()


@pytest.mark.parametrize(("washer", "verdict"), [("5.84 mm", Verdict.FITS), ("6.66 mm", Verdict.FITS)])
def test_the_ends_of_the_window_pass_as_washers(washer: str, verdict: Verdict) -> None:
    found = answers(stud(FINE), eye(FINE, thick=12.0), washer=washer)
    assert {found[code].verdict for code in ("cone-05", "cone-06", "cone-08")} == {verdict}
    assert all(not one.work for one in found.values())


@pytest.mark.parametrize(("washer", "rule"), [("5.7 mm", "cone-05"), ("6.8 mm", "cone-06")])
def test_beyond_the_window_a_rule_fails_and_names_the_spacer_in_place_of_the_washer(washer: str, rule: str) -> None:
    found = answers(stud(FINE), eye(FINE, thick=12.0), washer=washer)[rule]
    assert found.verdict is Verdict.DOES_NOT_FIT
    assert f"6.25 mm thick in place of the washer of {float(washer.split()[0]):.2f} mm (" in found.work[0].detail


def test_with_a_calliper_the_window_is_too_coarse() -> None:
    found = answers(stud(CALLIPER), eye(CALLIPER, thick=12.0))["cone-05"]
    assert found.work == ()
    assert found.cautions == (
        "Which spacer would mend the nut of TEST/RE-1 stud is not known, the sizes are too coarse: the thread asks for "
        "5.80 mm or more under the nut, the slots and the thread's end for 6.70 mm or less.",
    )


def test_a_stud_too_short_behind_its_thread_is_mended_by_none() -> None:
    found = answers(stud(FINE, pin_hole=29.0), eye(FINE, thick=12.0))["cone-05"]
    assert found.work == ()
    assert found.cautions == (
        "No spacer under the nut of TEST/RE-1 stud would mend it: the thread asks for 5.80 mm or more under the nut, "
        "the slots and the thread's end for 3.90 mm or less.",
    )


def test_nothing_is_to_be_made_from_what_is_missing_or_hearsay() -> None:
    long = stud(FINE)
    for one in (without(long, "pin-hole"), without(long, "end"), changed(long, "pin-dia", hearsay=True)):
        assert all(not finding.work for finding in answers(one, eye(FINE, thick=12.0)).values())


def test_where_the_cone_ends_within_the_eye_the_bore_clears_the_thread() -> None:
    found = answers(stud(FINE, thread_start=22.0, pin_hole=36.0, end=42.2), eye(FINE))["cone-05"]
    assert found.verdict is Verdict.DOES_NOT_FIT
    assert "bore over 13.25 mm" in found.work[0].detail  # the cone's small end, 17.5 mm from its gauge plane
