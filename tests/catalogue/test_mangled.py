"""Dates and times that were threads, splines, fractions and tapers: what was probably typed.

What a spreadsheet makes of an entry (the order of day and month, the century) is common practice, no source.
"""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.catalogue.dictionary import find_dimension, find_kind
from fitment.catalogue.mangled import Moment, date_fault, date_in_text, moment_of_cell, moment_of_text
from fitment.errors import DataFault
from fitment.quantity.parse import parse_quantity
from fitment.standards.threads import all_threads

RACK, END = find_kind("rack"), find_kind("rod-end")
COLUMNS = {
    "thread": find_dimension(RACK, "bar-end.left", "thread"),
    "length": find_dimension(RACK, "bar-end.left", "depth"),
    "spline name": find_dimension(RACK, "pinion", "name"),
    "teeth": find_dimension(RACK, "pinion", "spline"),
    "taper": find_dimension(END, "stud", "taper"),
}
AGAIN = "format the column as text and type it again"


def day(year: int, month: int, date: int) -> datetime.datetime:
    return datetime.datetime(year, month, date)


@pytest.mark.parametrize(
    ("column", "value", "number_format", "told"),
    [
        ("thread", day(2020, 1, 2), "m/d/yyyy", "probably 1/2-20"),  # month first
        ("thread", day(2020, 2, 1), "dd/mm/yyyy", "probably 1/2-20"),  # day first
        ("thread", day(2014, 7, 16), "m/d/yyyy", "probably 7/16-14"),
        ("thread", day(2018, 9, 16), "yyyy-mm-dd", "probably 9/16-18"),
        ("thread", day(2008, 1, 3), "m/d/yyyy", "perhaps 1/3-8 or 3/1-8 or 1-3/8 or 3-1/8"),
        ("thread", day(1932, 10, 1), "mmm-yy", "probably 10-32"),
        ("thread", day(2026, 1, 8), "d-mmm", "probably 1-8"),
        ("spline name", day(1936, 3, 4), "m/d/yyyy", "probably 3/4-36"),
        ("spline name", day(2036, 4, 3), "d/m/yyyy", "probably 3/4-36"),
        ("spline name", day(2020, 1, 2), "d/m/yyyy", "probably 1/2-20"),
        ("teeth", day(1936, 3, 4), "m/d/yyyy", "probably 3/4-36"),
        ("length", day(2026, 8, 5), "d-mmm", "probably 5/8"),
        ("length", day(2026, 5, 8), "d-mmm", "probably 5/8"),
        ("length", day(2026, 8, 5), "d/m/yyyy", "probably 5/8"),
        ("length", day(1950, 1, 1), "mmm-yy", "perhaps 1-50 or 1/50"),
        ("length", day(2002, 1, 1), "m/d/yyyy", "probably 1-1/2"),
        ("taper", day(2026, 1, 10), "d-mmm", "probably 1:10"),
        ("taper", datetime.time(1, 8), "h:mm", "probably 1:8"),
        ("taper", datetime.time(2, 15), "h:mm", "probably 1:75"),
        ("taper", datetime.time(0, 1, 8, 600000), "mm:ss.0", "probably 1:8.6"),
        ("taper", datetime.timedelta(hours=1, minutes=10), "[h]:mm", "probably 1:10"),
    ],
)
def test_what_was_probably_typed(column: str, value: datetime.datetime, number_format: str, told: str) -> None:
    fault = date_fault(moment_of_cell(value, number_format), COLUMNS[column])
    assert fault.mending == f"{told}; {AGAIN}"


def test_the_message_says_what_the_cell_is() -> None:
    fault = date_fault(moment_of_cell(day(2020, 1, 2), "m/d/yyyy"), None)
    assert fault.message == "the cell is the date 2 January 2020, which spreadsheets also make out of other entries"
    assert fault.mending == f"perhaps 1/2-20 or 2/1-20 or 1-2/20 or 2-1/20; {AGAIN}"
    fault = date_fault(moment_of_cell(datetime.datetime(2020, 1, 2, 7, 30), "m/d/yyyy h:mm"), COLUMNS["thread"])
    assert (fault.message.split(",")[0], fault.mending) == ("the cell is the date and time 2020-01-02 07:30", AGAIN)


@pytest.mark.parametrize(
    ("column", "text", "told"),
    [
        ("thread", "02/01/2020", "probably 1/2-20"),
        ("thread", "1/2/20", "probably 1/2-20"),
        ("thread", "2020-01-02", "probably 1/2-20"),
        ("thread", "2020-01-02 00:00:00", "probably 1/2-20"),
        ("thread", "02.01.2020", "probably 1/2-20"),
        ("thread", "2-Jan-20", "probably 1/2-20"),
        ("thread", "Oct-32", "probably 10-32"),
        ("thread", "Okt 32", "probably 10-32"),
        ("thread", "2-Jan", "perhaps 1/2 or 2/1 or 1-2 or 2-1"),
        ("length", "2-Jan", "probably 1/2"),
        ("length", "5-Aug", "probably 5/8"),
        ("length", "Aug-05", "probably 5/8"),
        ("length", "05. Aug", "probably 5/8"),
        ("length", "Jan-50", "perhaps 1-50 or 1/50"),
        ("length", "9-16; 5-Aug @calliper", "probably 5/8"),
        ("taper", "01:10", "probably 1:10"),
        ("taper", "1:10:00 AM", "probably 1:10"),
        ("teeth", "3/4/1936", "probably 3/4-36"),
        ("spline name", "Mar-36", "perhaps 3-36 or 3/36"),
    ],
)
def test_dates_in_text(column: str, text: str, told: str) -> None:
    moment = date_in_text(COLUMNS[column], text)
    assert moment is not None
    assert date_fault(moment, COLUMNS[column]).mending == f"{told}; {AGAIN}"


def test_a_text_is_quoted() -> None:
    moment = moment_of_text("5-Aug")
    assert moment is not None
    assert date_fault(moment, COLUMNS["length"]).message == (
        'the cell is "5-Aug", a date, which spreadsheets also make out of other entries'
    )


WRITTEN = ["1/2-20", "3/4-36", "5/8", "1-8", "1-1/2", "1 1/2-12 UNF", "M14x1.5-LH", "12,9", "15.02", "1:10", "1:8.6"]
WRITTEN += ["1:08", "10-32", "#10-32", "7 deg 9'", "14.29 ±0.05 mm", "0.5-20", "36", "100000", "13/16-36", "3.5 turns"]
WRITTEN += ["mar", "17 mm DD", "31/12", "32/13/20", "0/1/20", "Jan", "1-2-3-4", "5-Aub", "May be"]


@pytest.mark.parametrize("text", WRITTEN)
def test_what_people_write_is_no_date(text: str) -> None:
    assert moment_of_text(text) is None


def test_no_listed_thread_is_a_date() -> None:
    assert [thread.designation for thread in all_threads() if moment_of_text(thread.designation)] == []


@given(
    st.decimals(0, 10_000, places=3).map(str) | st.from_regex(r"[1-9][0-9]?(-[1-9][0-9]?)?/[1-9][0-9]?", fullmatch=True)
)
def test_no_length_that_can_be_read_is_a_date(text: str) -> None:
    try:
        parse_quantity(text, "length", "in")
    except DataFault:
        return
    assert moment_of_text(text) is None


@given(st.text(max_size=12))
def test_any_text_is_a_moment_or_none(text: str) -> None:
    moment = moment_of_text(text)
    assert moment is None or isinstance(moment, Moment)


@given(
    st.dates(datetime.date(1930, 1, 1), datetime.date(2029, 12, 31)), st.sampled_from(["d-mmm", "mmm-yy", "d/m/yyyy"])
)
def test_every_date_gets_a_message_in_every_column(date: datetime.date, number_format: str) -> None:
    for dimension in (*COLUMNS.values(), None):
        assert (date_fault(moment_of_cell(date, number_format), dimension).mending or "").endswith(AGAIN)


def test_words_that_may_be_dates_stay_words() -> None:
    adapter = find_kind("adapter")
    assert date_in_text(find_dimension(adapter, "body", "date"), "2026-01-02") is None
    assert date_in_text(find_dimension(adapter, "body", "lot"), "2-Jan") is None
