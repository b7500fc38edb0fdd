"""Quick sheets and the short names of rows: every kind has one, every name finds its own row."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.catalogue import dictionary
from fitment.catalogue.dictionary import dimensions_of, find_kind, part_kinds
from fitment.catalogue.dictionary.lines import full_rows, part_kind_in, quick_rows, split_line
from fitment.errors import DataFault

TABLE = Path(dictionary.__file__).with_name("quick.csv")
KINDS = tuple(part_kinds())


def test_the_table_has_every_kind_in_the_order_of_the_dictionary_and_no_row_twice() -> None:
    with TABLE.open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table, strict=True))
    assert list(dict.fromkeys(row["kind"] for row in rows)) == list(KINDS)
    keys = [(row["kind"], row["feature"], row["dimension"]) for row in rows]
    assert len(set(keys)) == len(keys)
    for kind, feature, dimension in keys:
        assert dimension in dimensions_of(part_kinds()[kind].features[feature])
    assert all(row["why"] for row in rows)


@pytest.mark.parametrize("kind", KINDS)
def test_a_quick_sheet_has_at_most_fifteen_rows_and_the_full_one_holds_them_all(kind: str) -> None:
    quick, full = quick_rows(part_kinds()[kind]), full_rows(part_kinds()[kind])
    assert 1 <= len(quick) <= 15
    assert set(quick) <= set(full)
    assert len(full) == sum(len(dimensions_of(of)) for of in part_kinds()[kind].features.values())


@pytest.mark.parametrize(
    ("kind", "needed"),
    [
        ("rack", ["bar-end.left", "bar-end.right"]),
        ("inner-joint", ["bar-side", "rod-side"]),
        ("tie-rod", ["inner", "outer"]),
        ("rod-end", ["shank"]),
    ],
)
def test_a_quick_sheet_asks_what_the_thread_joints_require(kind: str, needed: list[str]) -> None:
    from fitment.joints.thread_to_thread import KIND

    rows = {(row.feature, row.dimension.dimension) for row in quick_rows(part_kinds()[kind])}
    # the hand is written with the thread: M14x1.5 RH
    wanted = {(feature, name) for feature in needed for name in KIND.requires[0] if name != "hand"}
    assert wanted <= rows


def test_the_quick_rod_end_and_knuckle_ask_what_the_stud_in_its_eye_requires() -> None:
    from fitment.joints.stud_in_eye import KIND

    for kind, feature, required in (("rod-end", "stud", KIND.requires[0]), ("knuckle", "eye", KIND.requires[1])):
        asked = {row.dimension.dimension for row in quick_rows(part_kinds()[kind]) if row.feature == feature}
        assert set(required) <= asked


@pytest.mark.parametrize("kind", KINDS)
def test_every_short_name_finds_its_own_row_and_leaves_the_value(kind: str) -> None:
    of = part_kinds()[kind]
    for row in full_rows(of):
        for name in (row.name, f"{row.feature}.{row.dimension.dimension}", f"{row.name}:", row.name.upper()):
            feature, dimension, value = split_line(of, f"{name} 12.5 mm")
            assert (feature, dimension, value) == (row.feature, row.dimension, "12.5 mm"), name
        for synonym in row.dimension.synonyms:
            assert split_line(of, f"{row.feature} {synonym} x")[:2] == (row.feature, row.dimension), synonym


@given(kind=st.sampled_from(KINDS), text=st.text(max_size=60))
def test_a_line_that_is_no_row_is_a_fault_and_nothing_else(kind: str, text: str) -> None:
    of = part_kinds()[kind]
    try:
        feature, dimension, _ = split_line(of, f"x{text}")
    except DataFault as fault:
        told = fault.code, bool(fault.mending)
    else:
        told = "row", dimension in dimensions_of(of.features[feature]).values()
    assert told in {(code, True) for code in ("page-01", "page-02", "dictionary-03", "row")}


def test_a_name_without_its_feature() -> None:
    rack = find_kind("rack")
    assert split_line(rack, "hand RH")[0] == "body"
    assert split_line(rack, "spline 36")[0] == "pinion"
    assert split_line(rack, "depth 25 mm", here="bar-end.right")[0] == "bar-end.right"
    with pytest.raises(DataFault) as caught:
        split_line(rack, "depth 25 mm")
    assert caught.value.message == '"depth" is on several features of a rack'
    assert caught.value.mending == "write which: bar-end.left depth, bar-end.right depth"


def test_a_name_means_the_feature_that_is_asked_then_the_body_and_an_own_name_goes_before_a_synonym() -> None:
    rack, rod = find_kind("rack"), find_kind("tie-rod")
    assert split_line(rack, "hand LH")[0] == "body"
    assert split_line(rack, "hand LH", here="bar-end.left")[0] == "bar-end.left"
    # an end's depth is also called its length, but a tie rod has a length of its own
    feature, dimension, _ = split_line(rod, "length 240", here="inner")
    assert (feature, dimension.dimension) == ("body", "length")


def test_a_vehicle_is_no_part() -> None:
    with pytest.raises(DataFault, match="a vehicle is not a part"):
        part_kind_in("car")
