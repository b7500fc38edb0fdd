"""Tables as text, beside what Rich makes of the same rows."""

from __future__ import annotations

import io

from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console
from rich.table import Table
from rich.text import Text

from fitment.sheets.tables import table


def by_rich(headings: list[str], rows: list[list[str]], width: int) -> str:
    made = Table(box=None, pad_edge=False, header_style="", show_edge=False, padding=(0, 2, 0, 0))
    for heading in headings:
        made.add_column(heading, overflow="fold")
    for row in rows:
        made.add_row(*(Text(cell) for cell in row))
    out = io.StringIO()
    Console(file=out, width=width, no_color=True, color_system=None, highlight=False, emoji=False).print(made)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def tables(letters: str, longest: int) -> st.SearchStrategy[tuple[list[str], list[list[str]]]]:
    word = st.text(letters, min_size=1, max_size=longest)
    cell = st.lists(word, max_size=12).map(" ".join)
    return st.integers(2, 5).flatmap(
        lambda columns: st.tuples(
            st.lists(word, min_size=columns, max_size=columns),
            st.lists(st.lists(cell, min_size=columns, max_size=columns), min_size=1, max_size=5),
        )
    )


@given(tables("aé½§", 8), st.integers(60, 120))
def test_the_same_as_rich_where_every_word_goes_into_its_column(
    made: tuple[list[str], list[list[str]]], width: int
) -> None:
    assert table(*made, width) == by_rich(*made, width)


@given(tables("a界́-", 90), st.integers(60, 120))
def test_no_letter_is_lost_and_no_line_is_too_long(made: tuple[list[str], list[list[str]]], width: int) -> None:
    headings, rows = made
    text = table(headings, rows, width)
    assert all(Text(line).cell_len <= width for line in text.splitlines())
    asked = "".join("".join(row) for row in (headings, *rows))
    assert sorted(text.replace(" ", "").replace("\n", "")) == sorted(asked.replace(" ", ""))


def test_columns_that_have_room_stand_two_apart_and_keep_their_order() -> None:
    text = table(("name", "of what"), [("M12", "thread"), ("", "a cell of\ntwo lines")], 80)
    assert text == "name  of what\nM12   thread\n      a cell of\n      two lines\n"


def test_below_sixty_columns_one_record_after_the_other() -> None:
    assert table(("name", "of what"), [("M12", "thread"), ("", "cone")], 59) == (
        "name: M12\nof what: thread\n\nof what: cone\n"
    )
