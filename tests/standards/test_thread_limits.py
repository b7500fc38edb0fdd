"""Limits of size: every published row, the whole tables that the short lists stand for, then what must hold of all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.standards.metric import (
    R40,
    crest_tolerance,
    fundamental_deviation,
    normal_engagement,
    pitch_tolerance,
    r40_step,
)
from fitment.standards.table_files import rows
from fitment.standards.thread_classes import thread_class
from fitment.standards.thread_limits import external_limits, internal_limits
from fitment.standards.thread_names import parse_thread
from fitment.standards.thread_sizes import basic_minor_diameter, basic_pitch_diameter
from fitment.standards.threads import MM_PER_INCH, Thread, all_threads
from fitment.standards.unified import allowance
from tests.support.threads import published, thread_and_class, within

ROWS = published("threads_limits")
TABLES = published("threads_iso965_tables")

LIMITS = {
    "ext major max": "d_max",
    "ext major min": "d_min",
    "ext pitch max": "d2_max",
    "ext pitch min": "d2_min",
    "ext minor max (flat form)": "d1_max",
    "ext minor min (rounded root, reference)": "d3_min",
    "int major min": "D_min",
    "int pitch min": "D2_min",
    "int pitch max": "D2_max",
    "int minor min": "D1_min",
    "int minor max": "D1_max",
}


def _limit(row: dict[str, str]) -> float:
    thread, tolerance_class = thread_and_class(row["designation"])
    limits = external_limits if row["quantity"].startswith("ext") else internal_limits
    found: float = getattr(limits(thread, tolerance_class), LIMITS[row["quantity"]])
    return found


def _largest_major_of_a_nut(row: dict[str, str]) -> float:
    """D + TD2 + 0.14434 P, which ASME B1.13M quotes for reference."""
    thread, tolerance_class = thread_and_class(row["designation"])
    nut = internal_limits(thread, tolerance_class)
    return nut.D_min + nut.D2_max - nut.D2_min + 0.14434 * thread.pitch


def _allowance(row: dict[str, str]) -> float:
    thread, tolerance_class = thread_and_class(row["designation"])
    return allowance(thread, thread_class("UN", tolerance_class or "")) * MM_PER_INCH


def _deviation(position: str) -> Callable[[dict[str, str]], float]:
    return lambda row: fundamental_deviation(float(row["designation"].removeprefix("P=")), position)


#: what each quantity is here; lengths in mm, deviations in micrometres
QUANTITIES: dict[str, Callable[[dict[str, str]], float]] = {
    **dict.fromkeys(LIMITS, _limit),
    "int major max (reference only)": _largest_major_of_a_nut,
    "allowance": _allowance,
    "fundamental deviation es(g) = -EI(G)": _deviation("g"),
    "fundamental deviation es(e)": _deviation("e"),
    "effective diameter (basic)": lambda row: basic_pitch_diameter(thread_and_class(row["designation"])[0]),
    "minor (core) diameter (basic)": lambda row: basic_minor_diameter(thread_and_class(row["designation"])[0]),
}
IN_UNIT = {"mm": 1.0, "in": MM_PER_INCH, "um": 1.0}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_published_limits(row: dict[str, str]) -> None:
    assert within(QUANTITIES[row["quantity"]](row) / IN_UNIT[row["unit"]], row)


def test_no_published_limit_is_left_out() -> None:
    assert len(ROWS) == len({row["id"] for row in ROWS}) == 540
    assert {row["quantity"] for row in ROWS} == set(QUANTITIES)


def _tabulated(row: dict[str, str]) -> int:
    pitch, grade = float(row["pitch"]), int(row["grade"] or 6)
    if row["quantity"] in "gef":
        return -fundamental_deviation(pitch, row["quantity"])
    side = "nut" if "D" in row["quantity"] else "bolt"
    if row["quantity"].endswith("2"):
        return pitch_tolerance(float(row["d_to"]), pitch, grade, side)
    return crest_tolerance(pitch, grade, side)


@pytest.mark.parametrize("row", TABLES, ids=lambda r: "-".join([r["quantity"], r["d_to"], r["pitch"], r["grade"]]))
def test_the_whole_tables_follow_from_the_short_lists(row: dict[str, str]) -> None:
    if row["value"] == "-":
        with pytest.raises(DataFault, match="in the tables of ISO 965-1 held here"):
            _tabulated(row)
    else:
        assert _tabulated(row) == int(row["value"])


# Formulas of ISO 965-1, micrometres from mm; from memory, found again in an open CAD library.
FORMULAS = {
    "Td6_um": lambda pitch: 180.0 * pitch ** (2 / 3) - 3.15 / pitch**0.5,
    "TD1_6_um": lambda pitch: 230.0 * pitch**0.7 if pitch >= 1.0 else 433.0 * pitch - 190.0 * pitch**1.22,
}


@pytest.mark.parametrize("row", rows("threads_iso965_by_pitch"), ids=lambda row: row["pitch_mm"])
def test_crest_tolerances_lie_within_a_step_of_their_formula(row: dict[str, str]) -> None:
    for column, formula in FORMULAS.items():
        if row[column]:
            value = int(row[column])
            assert r40_step(value, -1) < formula(float(row["pitch_mm"])) < r40_step(value, 1)


@pytest.mark.parametrize("row", rows("threads_iso965_by_pitch"), ids=lambda row: row["pitch_mm"])
def test_deviations_lie_near_their_formulas(row: dict[str, str]) -> None:
    """-(15 + 11 P) for g, -(50 + 11 P) for e, -(30 + 11 P) for f, to a rounded number; e and f are from memory."""
    for column, constant, share in (("g_um", 15.0, 0.06), ("e_um", 50.0, 0.1), ("f_um", 30.0, 0.06)):
        if row[column]:
            assert int(row[column]) == pytest.approx(constant + 11.0 * float(row["pitch_mm"]), rel=share)


@pytest.mark.parametrize("row", rows("threads_iso965_pitch_diameter"), ids=lambda r: f"{r['d_to_mm']}x{r['pitch_mm']}")
def test_pitch_diameter_tolerances_lie_within_a_step_of_their_formula(row: dict[str, str]) -> None:
    """90 P^0.4 d^0.1 with d the geometric mean of the range."""
    mean = (float(row["d_over_mm"]) * float(row["d_to_mm"])) ** 0.5
    value = int(row["Td2_6_um"])
    assert r40_step(value, -1) < 90.0 * float(row["pitch_mm"]) ** 0.4 * mean**0.1 < r40_step(value, 1)


def test_tolerances_grow_with_pitch_and_with_diameter() -> None:
    by_pitch = [row for row in rows("threads_iso965_by_pitch") if row["TD1_6_um"]]
    for column in ("g_um", "Td6_um", "TD1_6_um"):
        values = [int(row[column]) for row in by_pitch]
        assert values == sorted(values)
    by_range = rows("threads_iso965_pitch_diameter")
    for one in by_range:
        for other in by_range:
            if float(one["d_to_mm"]) <= float(other["d_to_mm"]) and float(one["pitch_mm"]) <= float(other["pitch_mm"]):
                assert int(one["Td2_6_um"]) <= int(other["Td2_6_um"])


def test_preferred_numbers_are_forty_to_a_decade() -> None:
    assert len(R40) == 40
    for index, number in enumerate(R40):  # ISO 3: the rounding of 10^(n/40) is never as much as 1.3 %
        assert number == pytest.approx(10 ** (index / 40), rel=0.0127)


#: numbers of the list that are whole micrometres, as all tolerances are
WHOLE = [100 * number for number in R40]


@given(st.sampled_from(WHOLE), st.integers(-30, 30), st.integers(-30, 30))
def test_steps_add_up(start: float, first: int, second: int) -> None:
    middle = r40_step(start, first)
    if middle in WHOLE:
        assert r40_step(middle, second) == r40_step(start, first + second)
    assert (middle > start) == (first > 0)


ALL = all_threads()
MOST_LIKELY = [thread for thread in ALL if thread.first_choice]


@pytest.mark.parametrize("thread", ALL, ids=lambda thread: thread.designation)
def test_every_listed_thread_has_limits_in_their_order(thread: Thread) -> None:
    bolt, nut = external_limits(thread), internal_limits(thread)
    assert bolt.d3_min < bolt.d1_max < bolt.d2_min < bolt.d2_max < bolt.d_min < bolt.d_max <= thread.nominal
    assert nut.D1_min < nut.D1_max < nut.D2_min < nut.D2_max < nut.D_min
    assert bolt.d2_max <= nut.D2_min
    assert bolt.d_min > nut.D1_max
    assert bolt.d1_max <= nut.D1_min
    for side in (bolt.d2_max, nut.D2_min):
        assert side == pytest.approx(basic_pitch_diameter(thread), abs=0.07)
    assert nut.D1_min == pytest.approx(basic_minor_diameter(thread), abs=0.02)


CLASSES = {
    "M": (["4h", "6h", "6g", "8g"], ["4H", "5H", "6H", "7H", "8H"]),
    "UN": (["3A", "2A", "1A"], ["3B", "2B", "1B"]),
    "W": (["close", "medium", "free"], ["close", "medium", "free"]),
}


@pytest.mark.parametrize("thread", MOST_LIKELY, ids=lambda thread: thread.designation)
def test_a_coarser_class_is_never_tighter(thread: Thread) -> None:
    bolts, nuts = CLASSES[thread.form]
    if thread.form == "M" and thread.pitch < 0.8:  # grade 8 begins at 0.8 mm
        bolts, nuts = bolts[:-1], nuts[:-1]
    if thread.pitch == 0.35:
        nuts = nuts[:-1]
    for finer, coarser in pairwise(external_limits(thread, bolt) for bolt in bolts):
        assert coarser.d2_min < finer.d2_min
        assert coarser.d_min <= finer.d_min
        assert coarser.d_max <= finer.d_max
    for finer_nut, coarser_nut in pairwise(internal_limits(thread, nut) for nut in nuts):
        assert coarser_nut.D2_max > finer_nut.D2_max
        assert coarser_nut.D2_min == finer_nut.D2_min
        assert coarser_nut.D1_max >= finer_nut.D1_max - 0.013  # 3B keeps a fourth place that 2B rounds away


def test_two_classes_in_one() -> None:
    thread = parse_thread("M14x1.5").thread
    both, pitch, crest = (external_limits(thread, name) for name in ("8g6h", "8g", "6h"))
    assert (both.d2_max, both.d2_min) == (pitch.d2_max, pitch.d2_min)
    assert (both.d_max, both.d_min) == (crest.d_max, crest.d_min)
    nut, nut_pitch, nut_crest = (internal_limits(thread, name) for name in ("5G6H", "5G", "6H"))
    assert (nut.D2_min, nut.D2_max) == (nut_pitch.D2_min, nut_pitch.D2_max)
    assert (nut.D1_min, nut.D1_max) == (nut_crest.D1_min, nut_crest.D1_max)


#: limits in inches as ASME B1.1 prints them, from memory; they reach classes and series that no looked-up row reaches
FROM_MEMORY = [
    ("1/4-20 UNC-1A", "d_max", 0.2489),
    ("1/4-20 UNC-1A", "d_min", 0.2367),
    ("1/4-20 UNC-1A", "d2_max", 0.2164),
    ("1/4-20 UNC-1A", "d2_min", 0.2108),
    ("1/4-20 UNC-1B", "D2_max", 0.2248),
    ("1/4-20 UNC-1B", "D1_max", 0.207),
    ("1/4-20 UNC-2A", "d_min", 0.2408),
    ("1/4-20 UNC-3B", "D1_max", 0.2067),
    ("1-1/8-8 UN-2A", "d2_max", 1.0417),
    ("1-1/8-8 UN-2A", "d2_min", 1.0348),
    ("1-1/2-8 UN-2A", "d2_max", 1.4166),
    ("1-1/2-8 UN-2A", "d2_min", 1.4093),
]


@pytest.mark.parametrize(("designation", "limit", "inches"), FROM_MEMORY)
def test_unified_limits_from_memory(designation: str, limit: str, inches: float) -> None:
    read = parse_thread(designation)
    limits = external_limits if designation.endswith("A") else internal_limits
    found = getattr(limits(read.thread, read.tolerance_class), limit) / MM_PER_INCH
    assert found == pytest.approx(inches, abs=1e-6)


def test_whitworth_limits_worked_by_hand() -> None:
    """BSF by the rule of BS 84 (from memory): T is 0.0043974 in for 3/8-20 in the medium class."""
    thread = parse_thread("3/8 BSF").thread
    medium, close = external_limits(thread, "medium"), external_limits(thread, "close")
    assert (medium.d2_max - medium.d2_min) / MM_PER_INCH == pytest.approx(0.0043974, abs=1e-7)
    assert (close.d2_max - close.d2_min) / MM_PER_INCH == pytest.approx(0.0029316, abs=1e-7)
    assert (medium.d_max - medium.d_min) / MM_PER_INCH == pytest.approx(0.0043974 + 0.0022361, abs=1e-7)
    assert medium.d3_min / MM_PER_INCH == pytest.approx(0.3109673 - 0.0088695, abs=1e-7)
    assert internal_limits(thread).D1_max / MM_PER_INCH == pytest.approx(0.3109673 + 0.010 + 0.007, abs=1e-7)
    finer = internal_limits(parse_thread("5/16 BSF").thread)
    assert (finer.D1_max - finer.D1_min) / MM_PER_INCH == pytest.approx(0.2 / 22 + 0.005, abs=1e-9)
    finest = internal_limits(parse_thread("1/4 BSF").thread, "free")
    assert (finest.D1_max - finest.D1_min) / MM_PER_INCH == pytest.approx(0.2 / 26 + 0.004, abs=1e-9)


def test_position_g_lifts_every_limit_of_a_nut() -> None:
    """ISO 965-1: EI of G is 32 micrometres at 1.5 mm."""
    thread = parse_thread("M14x1.5").thread
    lifted, plain = internal_limits(thread, "6G"), internal_limits(thread, "6H")
    for name in ("D_min", "D1_min", "D1_max", "D2_min", "D2_max"):
        assert getattr(lifted, name) - getattr(plain, name) == pytest.approx(0.032, abs=1e-9)


@pytest.mark.parametrize(
    ("designation", "side", "tolerance_class", "message", "mending"),
    [
        (
            "M14x1.5",
            "bolt",
            "6H",
            '"6H" is a class of an internal thread, and this is an external thread',
            "a bolt has 4h, 6e, 6f, 6g, 6h, 8g or two like 7g6g; a nut has 4H to 8H, 6G or two like 5H6H",
        ),
        (
            "M14x1.5",
            "nut",
            "9H",
            '"9H" is not a tolerance class of an ISO metric thread',
            "a bolt has 4h, 6e, 6f, 6g, 6h, 8g or two like 7g6g; a nut has 4H to 8H, 6G or two like 5H6H",
        ),
        (
            "9/16-18",
            "nut",
            "2A",
            '"2A" is a class of an external thread, and this is an internal thread',
            "allowed: 1A, 2A, 3A (bolt), 1B, 2B, 3B (nut)",
        ),
        (
            "9/16-18",
            "bolt",
            "6g",
            '"6g" is not a tolerance class of a Unified thread',
            "allowed: 1A, 2A, 3A (bolt), 1B, 2B, 3B (nut)",
        ),
        (
            "3/8 BSF",
            "bolt",
            "tight",
            '"tight" is not a tolerance class of a Whitworth thread',
            "allowed: close, medium, free",
        ),
        (
            "M4x0.5",
            "bolt",
            "8g",
            "no pitch-diameter tolerance of grade 8 for M4x0.5 in the tables of ISO 965-1 held here",
            "use 6g and 6H, or measure the part's diameters and give them",
        ),
    ],
)
def test_refusals(designation: str, side: str, tolerance_class: str, message: str, mending: str) -> None:
    limits = external_limits if side == "bolt" else internal_limits
    with pytest.raises(DataFault) as caught:
        limits(parse_thread(designation).thread, tolerance_class)
    assert (caught.value.message, caught.value.mending) == (message, mending)


@pytest.mark.parametrize(
    ("designation", "over", "to", "kind"),
    [
        # ISO 965-1: M3 to M6 looked up, the rest from memory; the last by the rule of the standard
        ("M3x0.5", 1.5, 4.5, "standard"),
        ("M6x1", 3.0, 9.0, "standard"),
        ("M14x1.5", 5.6, 16.0, "memory"),
        ("M24x3", 12.0, 36.0, "memory"),
        ("M8x0.75", 2.40, 7.19, "computed"),
    ],
)
def test_lengths_of_engagement(designation: str, over: float, to: float, kind: str) -> None:
    found = normal_engagement(parse_thread(designation).thread)
    assert (found.over, found.to) == (pytest.approx(over, abs=0.01), pytest.approx(to, abs=0.01))
    assert found.source_kind == kind


@pytest.mark.parametrize("row", rows("threads_iso965_lengths"), ids=lambda r: f"{r['d_to_mm']}x{r['pitch_mm']}")
def test_tabulated_lengths_lie_near_the_rule(row: dict[str, str]) -> None:
    """2.24 P d^0.2 to 6.7 P d^0.2, rounded; d is the smallest diameter of the range that has the pitch."""
    over, to, pitch = (float(row[name]) for name in ("d_over_mm", "d_to_mm", "pitch_mm"))
    smallest = min(t.nominal for t in ALL if t.form == "M" and t.pitch == pitch and over < t.nominal <= to)
    assert float(row["N_over_mm"]) == pytest.approx(2.24 * pitch * smallest**0.2, rel=0.08)
    assert float(row["N_to_mm"]) == pytest.approx(6.7 * pitch * smallest**0.2, rel=0.08)


def test_a_long_adjuster_is_outside_the_normal_lengths() -> None:
    found = normal_engagement(parse_thread("M14x1.5").thread)
    assert [found.group(length) for length in (5.6, 5.61, 16.0, 20.0)] == ["S", "N", "N", "L"]


def test_no_length_of_engagement_beyond_the_ranges() -> None:
    thread = parse_thread("M36x4").thread
    for other in (parse_thread("9/16-18").thread, replace(thread, nominal=200.0)):
        with pytest.raises(DataFault, match="no length of engagement for"):
            normal_engagement(other)
