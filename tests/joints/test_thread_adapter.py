"""A thread adapter to make: its numbers, its room, and that a near match never reads as a fit. Invented parts."""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.finding import Finding, Verdict
from fitment.joints.registration import Feature
from fitment.joints.thread_adapter import CERTIFY, LENGTH, net_section, outside_needed
from fitment.joints.thread_to_thread import check
from fitment.standards.thread_names import parse_thread
from tests.support.features import by_rule, changed, feature, setting, trial, without

ROD, END = "TEST/TR-1 outer", "TEST/RE-1 shank"


def end(name: str, sex: str, thread: str, depth: float = 25.0, hand: str = "RH", u: float = 0.1) -> Feature:
    return feature(name, "thread-end", u=u, thread=thread, sex=sex, hand=hand, depth=depth)


def answers(
    first: Feature, second: Feature, limits: dict[str, float] | None = None, **facts: str
) -> dict[str, Finding]:
    return by_rule(check(first, second, setting(limits=limits, **facts)))


def near() -> tuple[Feature, Feature]:
    return end(ROD, "male", "M14x1.5"), end(END, "female", "9/16-18 UNF")


def test_a_near_match_stays_a_misfit_and_says_what_to_make() -> None:
    found = answers(*near())
    assert found["thread-03"].verdict is Verdict.DOES_NOT_FIT
    (work,) = found["thread-03"].work
    assert (work.operation, work.part) == ("thread adapter", f"between {ROD} and {END}")
    # full thread: 1 d and two pitches (thread-04); run-out 3 pitches: common practice, no source
    assert work.detail == (
        "would join them, as a part more that the kit must name: female M14x1.5 6H RH, 17.00 mm of full thread and "
        "4.50 mm of run-out, for TEST/TR-1 outer; male 9/16-18 UNF 2A RH, 17.11 mm of full thread and 4.23 mm of "
        "run-out, for TEST/RE-1 shank; outside 18.83 mm or more, a wall of 2.42 mm over the larger female thread for "
        "the net section of the thinner rod; 42.84 mm overall or more; it holds the two ends 8.73 mm apart or more, "
        "and the rod grows by that and by the thread that the two would have shared"
    )
    assert found["thread-03"].cautions == (CERTIFY, LENGTH)
    assert all(not one.work for code, one in found.items() if code != "thread-03")


def test_the_wall_has_the_section_of_the_thinner_rod() -> None:
    (work,) = answers(*near())["thread-03"].work
    area = net_section(parse_thread("M14x1.5").thread)
    assert area == pytest.approx(pi / 4 * (14 - 0.9382 * 1.5) ** 2)  # ISO 898-1
    assert outside_needed(14.0, area) == pytest.approx(sqrt(14**2 + 4 * area / pi))
    assert work.remaining == pytest.approx((outside_needed(14.0, area) - 14.0) / 2)
    (thick,) = answers(*near(), limits={"net_section_ratio": 2.0})["thread-03"].work
    assert thick.remaining is not None
    assert thick.remaining > 1.5 * (work.remaining or 0)


@given(st.floats(5, 40), st.floats(10, 500))
def test_the_ring_has_the_section_asked(bore: float, section: float) -> None:
    outside = outside_needed(bore, section)
    assert pi / 4 * (outside**2 - bore**2) == pytest.approx(section)


def test_two_males_get_a_sleeve_and_two_females_a_stud() -> None:
    (sleeve,) = answers(end(ROD, "male", "M14x1.5"), end(END, "male", "M14x1.5"))["thread-01"].work
    assert sleeve.detail.count("female M14x1.5 6H RH, 17.00 mm") == 2
    (stud,) = answers(end(ROD, "female", "M14x1.5"), end(END, "female", "M12x1.25"))["thread-03"].work
    assert "male M14x1.5 6g RH" in stud.detail
    assert "male M12x1.25 6g RH" in stud.detail
    assert "outside" not in stud.detail
    assert stud.remaining is None


def test_hands_that_differ_are_joined_each_by_its_own() -> None:
    (work,) = answers(end(ROD, "male", "M14x1.5", hand="LH"), end(END, "female", "M14x1.5"))["thread-02"].work
    assert "female M14x1.5 6H LH" in work.detail
    assert "male M14x1.5 6g RH" in work.detail


def test_an_adjuster_is_made_with_an_adjusters_thread_where_there_is_room() -> None:
    (work,) = answers(*near(), adjuster="yes")["thread-03"].work
    assert "female M14x1.5 6H RH, 24.00 mm of full thread" in work.detail  # 1.5 d and two pitches
    assert "male 9/16-18 UNF 2A RH, 24.25 mm of full thread" in work.detail
    rod, shank = near()
    (short,) = answers(rod, changed(shank, "depth", value=19.0), adjuster="yes")["thread-03"].work
    assert "male 9/16-18 UNF 2A RH, 19.00 mm of full thread" in short.detail  # it must not bottom


def test_where_an_end_has_no_room_none_is_named() -> None:
    rod, shank = near()
    found = answers(rod, changed(shank, "depth", value=15.0))["thread-03"]
    assert found.work == ()
    assert found.cautions == (
        "No thread adapter would join TEST/TR-1 outer and TEST/RE-1 shank: TEST/RE-1 shank has 15.00 mm of thread and "
        "17.11 mm is asked of it.",
    )
    coarse = answers(rod, changed(shank, "depth", value=17.5, u=0.5))["thread-03"]
    assert coarse.cautions == (
        "Whether a thread adapter would join TEST/TR-1 outer and TEST/RE-1 shank is not known: TEST/RE-1 shank depth "
        "is too coarse (17.11 mm is asked of it).",
    )


@pytest.mark.parametrize("dimension", ["thread", "sex", "hand", "depth"])
def test_nothing_is_to_be_made_from_what_is_missing_or_hearsay(dimension: str) -> None:
    rod, shank = near()
    for one in (
        without(shank, dimension),
        changed(shank, dimension, hearsay=True),
        changed(shank, dimension, assumed=True),
    ):
        assert all(not finding.work for finding in answers(rod, one).values())


def test_a_failed_trial_of_like_threads_is_no_case_for_an_adapter() -> None:
    rod, shank = end(ROD, "male", "M14x1.5"), end(END, "female", "M14x1.5")
    assert all(not finding.work for finding in answers(rod, shank).values())
    tried = replace(rod, trials=(trial("thread-trial", END, passed=False),))
    assert answers(tried, shank)["thread-03"].verdict is Verdict.DOES_NOT_FIT
    assert answers(tried, shank)["thread-03"].work == ()


def test_whitworth_has_its_section_at_the_pitch_diameter() -> None:
    # 1/2-12 BSW: pitch diameter 0.5 - 0.640327/12 in (BS 84); the section there is our own choice
    area = net_section(parse_thread("1/2-12 BSW").thread)
    assert area == pytest.approx(pi / 4 * (25.4 * (0.5 - 0.640327 / 12)) ** 2, rel=1e-6)
