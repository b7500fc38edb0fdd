"""One thread in another: against the computed table of near-matches, then what must hold for every pair."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import inf, radians, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.joints.near_match import NearMatch, lead_error, near_match, radial_overlap, turns_to_bind
from fitment.standards.thread_limits import external_limits, internal_limits
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import Thread, all_threads
from tests.support.threads import published, thread_and_class, within

ROWS = published("threads_near")


def pair_of(row: dict[str, str]) -> tuple[Thread, Thread]:
    male, _, female = row["designation"].removeprefix("ext ").partition(" in int ")
    return thread_and_class(male)[0], thread_and_class(female)[0]


def over_one_diameter(male: Thread, female: Thread) -> NearMatch:
    return near_match(male, female, min(male.nominal, female.nominal))


#: what each quantity of the table is here
QUANTITIES: dict[str, Callable[[Thread, Thread], float]] = {
    "nominal major diameter difference ext-int": lambda male, female: male.nominal - female.nominal,
    "pitch difference ext-int": lambda male, female: male.pitch - female.pitch,
    "accumulated lead error over 1 x d (d = smaller nominal)": lambda m, f: over_one_diameter(m, f).lead_error,
    "turns before flank clearance is used up, worst case": lambda m, f: over_one_diameter(m, f).turns_min,
    "turns before flank clearance is used up, loosest case": lambda m, f: over_one_diameter(m, f).turns_max,
    "radial thread overlap, minimum": lambda male, female: over_one_diameter(male, female).overlap_min,
    "radial thread overlap, maximum": lambda male, female: over_one_diameter(male, female).overlap_max,
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_the_table_of_near_matches(row: dict[str, str]) -> None:
    assert within(QUANTITIES[row["quantity"]](*pair_of(row)), row)


def test_every_pair_of_the_table_has_every_quantity() -> None:
    pairs = {row["designation"] for row in ROWS}
    assert len(ROWS) == len(pairs) * len(QUANTITIES) == 315
    assert {row["quantity"] for row in ROWS} == set(QUANTITIES)


def match(male: str, female: str, diameters: float = 1.0) -> NearMatch:
    bolt, nut = thread_and_class(male)[0], thread_and_class(female)[0]
    return near_match(bolt, nut, diameters * min(bolt.nominal, nut.nominal))


#: which pairs go fully home over one diameter, computed from the same formula as the table
GO_HOME = {
    ("M12x1.25", "1/2-20 UNF"),
    ("3/8-20 BSF", "M10x1.25"),
    ("7/16-20 UNF", "M12x1.25"),
    ("M10x1.25", "7/16-20 UNF"),
    ("M18x2.5", "3/4-10 UNC"),
    ("3/4-10 UNC", "M20x2.5"),
    ("7/16-14 UNC", "M12x1.75"),
    ("M11x1.25", "7/16-20 UNF"),
}


def test_the_dangerous_ones_are_those_of_the_list_and_no_others() -> None:
    pairs = {tuple(row["designation"].removeprefix("ext ").split(" in int ")) for row in ROWS}
    found = {pair for pair in pairs if match(*pair).outcome == "home but weak"}
    assert found == GO_HOME


@pytest.mark.parametrize(
    ("male", "female", "diameters", "outcome"),
    [
        # computed from the table: 2.4 to 4.3 turns of 9.3, and none at all the other way round
        ("M14x1.5", "9/16-18 UNF", 1.0, "binds"),
        ("9/16-18 UNF", "M14x1.5", 1.0, "does not start"),
        ("1/2-20 UNF", "M12x1.25", 1.0, "does not start"),
        ("M12x1.25", "M12x1.5", 1.0, "does not start"),
        ("M8x1", "5/16-24 UNF", 1.0, "binds"),
        # a thin nut asks for half the turns
        ("3/8-24 UNF", "M10x1", 0.5, "home but weak"),
        ("3/8-24 UNF", "M10x1", 1.0, "binds"),
        ("3/4-16 UNF", "M20x1.5", 0.5, "home but weak"),
        # the same pitch: no lead error, so nothing ever stops it
        ("5/8-11 UNC", "5/8-11 BSW", 1.0, "home but weak"),
        ("M14x1.5", "M14x1.5", 1.0, "same"),
        ("7/8-18 UNS", "7/8-18 UNS", 1.0, "same"),
        # nothing to engage, though its pitch is the same
        ("M12x1.5", "M16x1.5", 1.0, "does not start"),
        ("M16x1.5", "M12x1.5", 1.0, "does not start"),
    ],
)
def test_outcomes(male: str, female: str, diameters: float, outcome: str) -> None:
    assert match(male, female, diameters).outcome == outcome


@pytest.mark.parametrize(
    ("male", "female", "turns"),
    # computed, in the table of near-matches to one decimal
    [("M14x1.5", "9/16-18 UNF", 9.3), ("M12x1.25", "1/2-20 UNF", 9.4), ("M14x2", "9/16-12 UNC", 6.6)],
)
def test_turns_in_one_diameter(male: str, female: str, turns: float) -> None:
    assert match(male, female).turns_engaged == pytest.approx(turns, abs=0.05)


def test_an_engagement_shorter_than_a_turn_is_not_a_thread_that_does_not_start() -> None:
    assert match("M12x1.25", "M12x1.5").turns_max == pytest.approx(0.4, abs=0.05)
    assert match("M12x1.25", "M12x1.5", 0.03).outcome == "home but weak"


def test_measured_limits_take_the_place_of_the_classes() -> None:
    male, female = parse_thread("M14x1.5").thread, parse_thread("9/16-18").thread
    tight = near_match(male, female, 14.0, external_limits(male, "6h"), internal_limits(female, "3B"))
    usual = near_match(male, female, 14.0)
    assert tight.turns_max < usual.turns_max
    assert tight.overlap_max > usual.overlap_max


def test_a_thread_beyond_the_tables_is_said_to_be_so() -> None:
    beyond = replace(parse_thread("M36x3").thread, nominal=100.0)
    with pytest.raises(DataFault, match="no pitch-diameter tolerance of grade 6 for M100x3"):
        near_match(beyond, beyond, 20.0)


def test_play_of_a_real_profile() -> None:
    """The axial play of two flanks, drawn: a groove of 60 degrees that is wider than its ridge at one diameter."""
    clearance, half_angle = 0.2, 30.0
    ridge = np.array([0.0, 1.0])  # height above the pitch line
    flank_of_ridge = ridge * tan(radians(half_angle))
    flank_of_groove = (ridge - clearance / 2.0) * tan(radians(half_angle))
    play = 2.0 * float(np.min(flank_of_ridge - flank_of_groove))
    assert turns_to_bind(clearance, 0.01, half_angle) * 0.01 == pytest.approx(play)


ANY = st.sampled_from(all_threads())
LENGTH = st.floats(0.5, 60.0)


@given(ANY, ANY, LENGTH)
def test_every_pair_has_an_outcome_that_its_numbers_bear_out(male: Thread, female: Thread, length: float) -> None:
    found = near_match(male, female, length)
    assert 0.0 <= found.turns_min <= found.turns_max
    assert found.overlap_min <= found.overlap_max
    assert found.turns_engaged > 0.0
    assert found.lead_error >= 0.0
    if found.outcome == "home but weak":
        assert found.turns_max >= found.turns_engaged
        assert found.overlap_max > 0.0
    elif found.outcome == "binds":
        assert min(1.0, found.turns_engaged) <= found.turns_max < found.turns_engaged
    elif found.outcome == "same":
        assert found.turns_max == inf
        assert found.lead_error == pytest.approx(0.0, abs=1e-4)
    else:
        assert found.turns_max < 1.0 or found.overlap_max <= 0.0


@given(ANY, LENGTH)
def test_a_thread_in_itself_never_binds(thread: Thread, length: float) -> None:
    found = near_match(thread, thread, length)
    assert found.outcome == "same"
    assert found.turns_min == inf
    assert found.overlap_min > 0.0


@given(ANY, ANY, LENGTH, st.floats(1.0, 3.0))
def test_a_longer_engagement_never_makes_a_bad_pair_better(m: Thread, f: Thread, length: float, factor: float) -> None:
    order = ["home but weak", "binds"]
    short, long = near_match(m, f, length), near_match(m, f, length * factor)
    if short.outcome in order and long.outcome in order:
        assert order.index(short.outcome) <= order.index(long.outcome)
    assert short.lead_error <= long.lead_error


@given(st.floats(-0.5, 1.0), st.floats(0.001, 0.5), st.floats(0.0, 0.5), st.sampled_from([27.5, 30.0]))
def test_turns_grow_with_clearance_and_shrink_with_pitch_difference(
    clearance: float, difference: float, more: float, angle: float
) -> None:
    turns = turns_to_bind(clearance, difference, angle)
    assert turns_to_bind(clearance + more, difference, angle) >= turns
    assert turns_to_bind(clearance, difference + more, angle) <= turns
    assert turns_to_bind(clearance, -difference, angle) == turns


def test_arrays_give_what_floats_give() -> None:
    clearance = np.array([-0.1, 0.0, 0.2, 0.3, 0.3])
    difference = np.array([0.1, 0.1, 0.1, 0.0, -0.05])
    turns = turns_to_bind(clearance, difference, 30.0)
    singly = [turns_to_bind(float(c), float(d), 30.0) for c, d in zip(clearance, difference, strict=True)]
    assert list(turns) == singly
    assert singly[0] == 0.0
    assert singly[3] == inf
    assert list(radial_overlap(np.array([12.0, 13.0]), 11.0)) == [0.5, 1.0]
    assert list(lead_error(14.0, np.array([-0.1, 0.1]), 1.4)) == pytest.approx([1.0, 1.0])
