"""The inner joint on the bar end: where the shoulder lands, that it lands, what locks it. Invented parts.

The good joint: a female bar end M14x1.5 with 24 mm of thread, a counterbore of 15 mm, 2 mm deep, and a seat face of
22 mm; a male joint with 22.3 mm of thread and a shoulder of 20 mm, with a tab washer of 1 mm between.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.finding import Basis, Finding, Verdict
from fitment.joints.registration import Feature
from fitment.joints.thread_to_thread import check
from tests.support.features import by_rule, changed, feature, setting, trial, without

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict

BAR = feature(
    "TEST/RK-1 bar-end.left", "bar-end", 0.05,
    thread="M14x1.5", sex="female", hand="RH", depth=24.0, counterbore_dia=15.0, counterbore_depth=2.0, seat_dia=22.0,
    washer=1.0, locking="tab washer",
)  # fmt: skip
JOINT = feature(
    "TEST/IJ-1 bar-side", "thread-end", 0.05,
    thread="M14x1.5", sex="male", hand="RH", depth=22.3, shoulder_dia=20.0, locking="tab washer",
)  # fmt: skip


def answers(bar: Feature = BAR, joint: Feature = JOINT) -> dict[str, Finding]:
    return by_rule(check(bar, joint, setting()))


def gaps(finding: Finding) -> list[tuple[str, str]]:
    return [(gap.feature, gap.dimension) for gap in finding.gaps]


def more(one: Feature, **values: float | str) -> Feature:
    return replace(
        one, values={**one.values, **feature(one.name, one.kind, 0.05, 0.0, Basis.MEASURED, (), **values).values}
    )


def test_a_joint_that_comes_home_on_its_seat() -> None:
    found = answers()
    assert {code: one.verdict for code, one in found.items()} == {f"thread-{n:02}": FITS for n in range(1, 8)}
    assert found["thread-05"].because == (
        "the shoulder is 20.00 mm, the seat face 22.00 mm round a hole of 15.00 mm: they meet on a ring 2.50 mm wide"
    )
    assert found["thread-06"].because == (
        "the male thread is 22.30 mm long; hole, counterbore and washer take 27.00 mm: "
        "the shoulder lands with 4.70 mm to spare"
    )
    assert found["thread-07"].because == (
        "the joint is locked by tab washer, for which there is washer on TEST/RK-1 bar-end.left"
    )
    assert "see that its tab stands in its groove" in found["thread-07"].cautions[0]
    # the order of the ends changes nothing
    turned = by_rule(check(JOINT, BAR, setting()))
    assert [turned[code].verdict for code in ("thread-05", "thread-06", "thread-07")] == [FITS] * 3


def test_only_the_joint_at_the_bar_is_looked_at_so() -> None:
    other = replace(BAR, kind="thread-end")
    assert set(by_rule(check(other, JOINT, setting()))) == {f"thread-{n:02}" for n in range(1, 5)}


def test_a_shoulder_that_goes_into_the_counterbore_does_not_fit() -> None:
    sunk = answers(joint=changed(JOINT, "shoulder-dia", value=14.6))["thread-05"]
    assert sunk.verdict is DOES_NOT_FIT
    assert "goes past the seat and lands on nothing" in sunk.because
    # nor does it where nobody measured the seat
    bare = answers(without(BAR, "seat-dia"), changed(JOINT, "shoulder-dia", value=14.6))["thread-05"]
    assert bare.verdict is DOES_NOT_FIT
    unsaid = answers(without(BAR, "seat-dia"))["thread-05"]
    assert (unsaid.verdict, gaps(unsaid)) == (NOT_KNOWN, [("TEST/RK-1 bar-end.left", "seat-dia")])


def test_without_a_counterbore_the_hole_is_the_thread() -> None:
    plain = answers(without(BAR, "counterbore-dia", "counterbore-depth"))
    assert "round a hole of 14.00 mm" in plain["thread-05"].because
    assert "take 25.00 mm" in plain["thread-06"].because


def test_a_thread_that_bottoms_before_the_shoulder_lands_does_not_fit() -> None:
    long = answers(joint=changed(JOINT, "depth", value=28.0))["thread-06"]
    assert long.verdict is DOES_NOT_FIT
    assert "it bottoms 1.00 mm before the shoulder lands" in long.because
    unsaid = answers(joint=without(JOINT, "depth"))["thread-06"]
    assert (unsaid.verdict, gaps(unsaid)) == (NOT_KNOWN, [("TEST/IJ-1 bar-side", "depth")])
    sexless = answers(joint=without(JOINT, "sex"))["thread-06"]
    assert (sexless.verdict, gaps(sexless)) == (NOT_KNOWN, [("TEST/IJ-1 bar-side", "sex")])


def test_a_male_bar_in_a_female_joint_is_seen_the_other_way_round() -> None:
    bar = changed(changed(BAR, "sex", value="male"), "depth", value=30.0)
    joint = changed(JOINT, "sex", value="female")
    # 22.3 of thread and 1 of washer for 30 of male thread; the counterbore is on the bar, which has no hole
    assert "it bottoms 6.70 mm" in answers(bar, joint)["thread-06"].because


def test_nothing_recorded_of_a_seat_or_a_lock_is_no_finding_but_a_caution() -> None:
    bar = without(BAR, "counterbore-dia", "counterbore-depth", "seat-dia", "locking")
    found = answers(bar, without(JOINT, "shoulder-dia", "locking"))
    assert set(found) == {f"thread-{n:02}" for n in range(1, 5)}
    assert found["thread-04"].cautions == (
        "How TEST/IJ-1 bar-side is locked to TEST/RK-1 bar-end.left is not recorded: look before it is undone.",
    )
    assert answers()["thread-04"].cautions == ()


def test_no_lock_on_either_end_does_not_fit() -> None:
    bar, joint = (changed(one, "locking", value="none") for one in (BAR, JOINT))
    assert answers(bar, joint)["thread-07"].verdict is DOES_NOT_FIT
    one_only = answers(bar, without(JOINT, "locking"))["thread-07"]
    assert (one_only.verdict, gaps(one_only)) == (NOT_KNOWN, [("TEST/IJ-1 bar-side", "locking")])
    other_has = answers(bar, JOINT)["thread-07"]
    assert other_has.verdict is FITS
    assert other_has.because.endswith("; the other end had no lock")


def test_two_ways_of_locking_are_not_known() -> None:
    one = answers(changed(BAR, "locking", value="stake"))["thread-07"]
    assert one.verdict is NOT_KNOWN
    assert one.because == (
        "the two were not locked alike: TEST/RK-1 bar-end.left stake and TEST/IJ-1 bar-side tab washer"
    )


@pytest.mark.parametrize(
    ("way", "dimension", "on_joint"),
    [("stake", "groove-width", False), ("tab washer", "flats", False), ("pin", "cross-hole", True),
     ("lock wire", "cross-hole", True)],
)  # fmt: skip
def test_a_lock_needs_what_it_goes_to(way: str, dimension: str, on_joint: bool) -> None:
    bar = changed(without(BAR, "washer"), "locking", value=way)
    joint = without(JOINT, "locking")
    lacks = answers(bar, joint)["thread-07"]
    assert lacks.verdict is NOT_KNOWN
    assert dimension in [name for _, name in gaps(lacks)]
    key = dimension.replace("-", "_")
    assert answers(more(bar, **{key: 3.0}), joint)["thread-07"].verdict is FITS
    there = answers(bar, more(joint, **{key: 3.0}))["thread-07"].verdict
    assert there is (FITS if on_joint else NOT_KNOWN)


@pytest.mark.parametrize("way", ["jam nut", "prevailing-torque nut", "thread locker"])
def test_a_lock_that_needs_nothing_comes_with_a_word(way: str) -> None:
    bar = changed(without(BAR, "washer"), "locking", value=way)
    found = answers(bar, without(JOINT, "locking"))["thread-07"]
    assert found.verdict is FITS
    assert found.cautions


def test_what_was_taken_together_stays_together_unless_it_cannot_land() -> None:
    together = replace(JOINT, trials=(trial("assembled-with", BAR.name),))
    assert set(answers(joint=without(together, "locking"))) == {"thread-00"}
    assert set(answers(joint=changed(together, "depth", value=28.0))) == {"thread-06"}


@given(extra=st.floats(0, 20), depth=st.floats(10, 40))
def test_a_longer_male_thread_never_lands_where_a_shorter_one_did_not(extra: float, depth: float) -> None:
    short, long = (answers(joint=changed(JOINT, "depth", value=value))["thread-06"] for value in (depth, depth + extra))
    if short.verdict is not FITS:
        assert long.verdict is not FITS
