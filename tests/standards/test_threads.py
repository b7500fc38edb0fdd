"""The list of threads: what the standards say of it, and relations that no row was made from."""

from __future__ import annotations

from itertools import groupby, pairwise

import pytest

from fitment.standards.table_files import rows
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import MM_PER_INCH, Thread, all_threads, same_thread

ALL = all_threads()
KINDS = {"standard", "handbook", "library", "memory"}

# ISO 261 and ISO 262, 6 to 22 mm: coarse, and the first fine choices (checked against a CAD workbench's table)
FIRST_CHOICES = (
    "M6x1 M8x1.25 M10x1.5 M12x1.75 M14x2 M16x2 M18x2.5 M20x2.5 M22x2.5 M8x1 M10x1.25 M10x1 M12x1.25 M12x1.5 M14x1.5 "
    "M16x1.5 M18x1.5 M18x2 M20x1.5 M20x2 M22x1.5 M22x2"
)


def of_series(*series: str) -> list[Thread]:
    return [thread for thread in ALL if thread.series in series]


def test_the_first_choices_are_those_of_the_standard() -> None:
    found = {t.designation for t in ALL if t.form == "M" and t.first_choice and 6.0 <= t.nominal <= 22.0}
    assert found == set(FIRST_CHOICES.split())


def test_what_is_and_what_is_not_listed() -> None:
    names = {thread.designation: thread for thread in ALL}
    assert "M11x1.25" not in names
    assert names["M14x1.25"].note == "spark plugs only (from memory)"
    assert not names["M14x1.25"].first_choice
    assert {"11/16-18 UNS", "7/8-18 UNS", "11/16-16 UN", "7/8-16 UN", "15/16-16 UN", "15/16-12 UN"} <= set(names)
    assert names["11/16-18 UNS"].note == "usual for large tie-rod adjusters (trade knowledge, no source)"


@pytest.mark.parametrize(
    ("series", "expected"),
    # BS 84, thread charts
    [
        (
            "BSF",
            "1/4-26, 5/16-22, 3/8-20, 7/16-18, 1/2-16, 9/16-16, 5/8-14, 11/16-14, 3/4-12, 7/8-11, 1-10",
        ),
        ("BSW", "1/4-20, 5/16-18, 3/8-16, 7/16-14, 1/2-12, 9/16-12, 5/8-11, 3/4-10, 7/8-9, 1-8"),
    ],
)
def test_the_whitworth_series_are_those_of_the_charts(series: str, expected: str) -> None:
    assert [thread.designation for thread in of_series(series)] == [f"{name} {series}" for name in expected.split(", ")]


def test_no_thread_is_listed_twice() -> None:
    for index, thread in enumerate(ALL):
        assert not any(same_thread(thread, other) for other in ALL[index + 1 :])
    assert len({thread.designation for thread in ALL}) == len(ALL)


@pytest.mark.parametrize("thread", ALL, ids=lambda thread: thread.designation)
def test_a_designation_reads_back_as_its_thread(thread: Thread) -> None:
    assert parse_thread(thread.designation).thread is thread


@pytest.mark.parametrize("thread", ALL, ids=lambda thread: thread.designation)
def test_a_row_is_sound(thread: Thread) -> None:
    assert 4.0 < thread.nominal / thread.pitch < 45.0
    assert thread.half_angle_deg == (27.5 if thread.form == "W" else 30.0)
    assert thread.source
    assert thread.source_kind in KINDS
    if thread.form == "M":
        assert thread.tpi is None
    else:
        assert thread.tpi is not None
        assert thread.tpi * thread.pitch == pytest.approx(MM_PER_INCH, rel=1e-12)


@pytest.mark.parametrize(
    ("coarser", "finer"), [("coarse", "fine"), ("UNC", "UNF"), ("UNF", "UNEF"), ("UNC", "UNEF"), ("BSW", "BSF")]
)
def test_a_finer_series_is_finer_at_every_size(coarser: str, finer: str) -> None:
    compared = [
        (one.pitch, other.pitch)
        for one in of_series(coarser)
        for other in of_series(finer)
        if one.nominal == other.nominal
    ]
    assert len(compared) >= 10
    assert all(coarse > fine for coarse, fine in compared)


@pytest.mark.parametrize("series", ["coarse", "UNC", "UNF", "UNEF", "BSW", "BSF"])
def test_within_a_series_the_pitch_never_shrinks_as_the_size_grows(series: str) -> None:
    for smaller, larger in pairwise(of_series(series)):
        assert smaller.nominal < larger.nominal
        assert smaller.pitch <= larger.pitch


def test_constant_pitch_series_fill_the_gaps_of_the_others() -> None:
    """ASME B1.1: each of 12-, 16- and 20-UN has every sixteenth from its start up to 1-1/2 in, by some series."""
    for tpi, first in ((12, 9), (16, 6), (20, 4)):
        found = {round(t.nominal / MM_PER_INCH * 16, 6) for t in ALL if t.form == "UN" and t.tpi == tpi}
        assert found >= set(range(first, 25))


def test_numbered_sizes_are_thirteen_thousandths_apart() -> None:
    """ASME B1.1: #0 is 0.060 in, and each number 0.013 in more."""
    sizes = {thread.designation: thread.nominal / MM_PER_INCH for thread in ALL}
    assert sizes["#0-80 UNF"] == pytest.approx(0.060)
    assert sizes["#10-32 UNF"] == pytest.approx(0.190)
    assert sizes["#12-28 UNF"] == pytest.approx(0.216)


def test_same_thread_minds_form_nominal_and_pitch() -> None:
    def named(text: str) -> Thread:
        return parse_thread(text).thread

    assert same_thread(named("3/4-16 UN"), named("3/4-16 UNF"))
    assert not same_thread(named("5/8-11 UNC"), named("5/8-11 BSW"))
    assert not same_thread(named("M14x1.5"), named("M14x1.25"))
    assert not same_thread(named("M14x1.5"), named("M16x1.5"))


@pytest.mark.parametrize("name", ["threads_metric", "threads_inch"])
def test_every_row_of_the_tables_says_where_it_is_from(name: str) -> None:
    for row in rows(name):
        assert row["source"]
        assert row["source_kind"] in KINDS
        assert row["first_choice"] in ("yes", "no")


def test_tables_are_ordered_by_series_and_size() -> None:
    for _, group in groupby(rows("threads_metric"), key=lambda row: row["nominal_mm"]):
        pitches = [float(row["pitch_mm"]) for row in group]
        assert pitches == sorted(pitches, reverse=True)
