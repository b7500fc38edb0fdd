"""Windows on dimensions: how they are written, and how a value stands to one. Every value is invented."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.catalogue.dictionary import PartKind, part_kinds
from fitment.catalogue.windows import State, Window, read_windows, standing
from fitment.errors import DataFault, FitmentError, UsageFault
from fitment.finding import Basis, Use

RACK, ROD_END, SHAFT = (part_kinds()[kind] for kind in ("rack", "rod-end", "intermediate-shaft"))
SPACING = Window("body", "inner-spacing", "length", 600.0, 625.0)


def number(value: float, u: float | None = 1.0, **changes: Any) -> Use:
    use = Use("OWN/RK-1 body", "inner-spacing", value, u, "mm", Basis.MEASURED, source="bench")
    return replace(use, **changes)


@pytest.mark.parametrize(
    ("text", "system", "feature", "low", "high"),
    [
        ("inner-spacing=600..625", "mm", "body", 600.0, 625.0),
        ("inner-spacing=600 mm..625 mm", "inch", "body", 600.0, 625.0),
        ("inner-spacing=600..625mm", "inch", "body", 600.0, 625.0),
        ("inner-spacing=600mm..625", "inch", "body", 600.0, 625.0),
        ("inner-spacing=23 1/2..24 1/2", "inch", "body", 596.9, 622.3),
        ("inner-spacing=24 in..625 mm", "mm", "body", 609.6, 625.0),
        ("stroke=130..", "mm", "body", 130.0, None),
        ("travel=..130", "mm", "body", None, 130.0),
        ("turns=3.4±0.2", "mm", "body", 3.2, 3.6),
        ("turns=3.4+/-0.2", "mm", "body", 3.2, 3.6),
        ("inner-spacing=24 in ±1/2", "mm", "body", 596.9, 622.3),
        ("left bar end.depth=20,5..25", "mm", "bar-end.left", 20.5, 25.0),
        ("spline=36", "mm", "pinion", 36.0, 36.0),
        ("pinion.spline=34..36", "mm", "pinion", 34.0, 36.0),
        ("speed=1.4..1.6", "inch", "body", 35.56, 40.64),
    ],
)
def test_a_range_is_read_as_written(
    text: str, system: str, feature: str, low: float | None, high: float | None
) -> None:
    (window,) = read_windows(RACK, [text], system)
    assert window.feature == feature
    assert window.low == (low if low is None else pytest.approx(low))
    assert window.high == (high if high is None else pytest.approx(high))


def test_words_and_threads_are_read_by_the_dictionary() -> None:
    asked = ["hand=rh", "bar-end.left.thread=M14x1.5", "bar-end.right.thread=9/16-18 UNF-LH", "assist=Hydraulic"]
    told = [(one.name, one.word) for one in read_windows(RACK, asked, "mm")]
    assert told == [
        ("hand", "RH"),
        ("bar-end.left thread", "M14x1.5"),
        ("bar-end.right thread", "9/16-18 UNF"),
        ("bar-end.right hand", "LH"),
        ("assist", "hydraulic"),
    ]


def test_a_cone_by_name_leaves_the_next_cone_outside() -> None:
    (window,) = read_windows(ROD_END, ["taper=1:8"], "mm")
    assert window.low == pytest.approx(0.1237)
    # 7 degree included, as its nearest neighbour; the made cone's own doubt is 0.0005
    use = Use("OWN/RE-1 stud", "taper", 0.125, 0.0005, "", Basis.IDENTIFIED)
    assert standing(window, use).state is State.INSIDE
    assert standing(window, replace(use, value=2 * math.tan(math.radians(3.5)))).state is not State.INSIDE


@pytest.mark.parametrize(
    ("kind", "text", "fault", "message"),
    [
        (RACK, "inner-spacing", UsageFault, '"inner-spacing" is not DIM=RANGE'),
        (RACK, "=3..4", UsageFault, '"=3..4" is not DIM=RANGE'),
        (RACK, "inner-spacing=", UsageFault, '"inner-spacing=" is not DIM=RANGE'),
        (RACK, "iner-spacing=600..", DataFault, 'rack has no dimension "iner-spacing"'),
        (RACK, "thread=M14x1.5", DataFault, '"thread" belongs to several ends of the rack'),
        (SHAFT, "spline=36", DataFault, '"spline" belongs to several ends of the intermediate shaft'),
        (RACK, "inner-spacing=625..600", DataFault, '"625..600" ends below its start'),
        (RACK, "inner-spacing=..", DataFault, '".." is not a range'),
        (RACK, "inner-spacing=600...625", DataFault, '"600...625" is not a range'),
        (
            RACK,
            "inner-spacing=612",
            DataFault,
            '"612" is one number, and no reading is that exact',
        ),
        (
            RACK,
            "inner-spacing=600±1..625",
            DataFault,
            '"600±1" is an end of a range and has no doubt of its own',
        ),
        (
            RACK,
            "inner-spacing=600 u=1",
            DataFault,
            '"600 u=1" is an end of a range and has no doubt of its own',
        ),
        (RACK, "hand=left", DataFault, 'hand cannot be "left"'),
        (RACK, "hole-1=3..4", DataFault, "hole-1 is a point and has no range to search by"),
        (RACK, "inner-spacing=600 kg..", DataFault, '"600 kg": "kg" measures a mass, not a length'),
    ],
)
def test_what_cannot_be_asked_is_refused_with_what_and_where(
    kind: PartKind, text: str, fault: type[FitmentError], message: str
) -> None:
    with pytest.raises(fault) as caught:
        read_windows(kind, [text], "mm")
    assert caught.value.message == message
    assert caught.value.mending
    assert fault is UsageFault or caught.value.place == text.partition("=")[0]


def test_an_ambiguous_name_is_answered_with_the_choices_and_a_twice_asked_one_refused() -> None:
    with pytest.raises(DataFault) as caught:
        read_windows(RACK, ["thread=M14x1.5"], "mm")
    assert caught.value.mending == "say which: bar-end.left.thread, bar-end.right.thread"
    with pytest.raises(UsageFault, match="travel is asked for twice"):
        read_windows(RACK, ["travel=130..", "stroke=..140"], "mm")


@pytest.mark.parametrize(
    ("value", "u", "shape", "state"),
    [
        (602.01, 1.0, "normal", State.INSIDE),
        (601.99, 1.0, "normal", State.CANNOT_TELL),
        (598.01, 1.0, "normal", State.CANNOT_TELL),
        (597.99, 1.0, "normal", State.OUTSIDE),
        (622.99, 1.0, "normal", State.INSIDE),
        (627.01, 1.0, "normal", State.OUTSIDE),
        # 97.7 % of a rectangle lie within sqrt(3) * 0.9545 u of its middle
        (601.66, 1.0, "rectangular", State.INSIDE),
        (601.65, 1.0, "rectangular", State.CANNOT_TELL),
        # and of Student's t with 3 degrees of freedom within 3.307 u (table: 3.182 for 97.5 %)
        (603.31, 1.0, "t3", State.INSIDE),
        (603.30, 1.0, "t3", State.CANNOT_TELL),
        (600.0, 0.0, "normal", State.INSIDE),
        (599.9, 0.0, "normal", State.OUTSIDE),
        (612.0, None, "normal", State.CANNOT_TELL),
    ],
)
def test_only_what_lies_inside_with_its_doubt_is_inside(
    value: float, u: float | None, shape: str, state: State
) -> None:
    assert standing(SPACING, number(value, u, shape=shape)).state is state


def test_how_far_off_is_told_with_its_sign() -> None:
    assert standing(SPACING, number(588.0)).off == -12.0
    assert standing(SPACING, number(640.0)).off == 15.0
    assert standing(SPACING, number(640.0)).relative == 15.0 / 625.0


def test_what_is_missing_is_never_inside() -> None:
    assert standing(SPACING, None).state is State.NO_READING
    found = standing(SPACING, None, "in conflict: 1 against 2")
    assert (found.state, found.gap) == (State.CANNOT_TELL, "in conflict: 1 against 2")


@pytest.mark.parametrize(
    ("weak", "inside", "outside"),
    [
        ("hearsay", "hearsay (bench)", "on hearsay: measure before discarding"),
        ("assumed", "only taken to be as the left", "on an assumption: measure before discarding"),
    ],
)
def test_weak_evidence_is_never_inside_and_says_so_outside(weak: str, inside: str, outside: str) -> None:
    found = standing(SPACING, number(612.0, **{weak: True}))
    assert (found.state, found.gap) == (State.CANNOT_TELL, inside)
    found = standing(SPACING, number(588.0, **{weak: True}))
    assert (found.state, found.gap, found.off) == (State.OUTSIDE, outside, -12.0)
    weakness: dict[str, Any] = {weak: True}
    word = replace(Use("OWN/RK-1 body", "hand", "RH", None, None, Basis.STATED), **weakness)
    assert standing(Window("body", "hand", "word", word="RH"), word).state is State.CANNOT_TELL


def test_threads_are_the_same_by_form_and_size_not_by_series() -> None:
    use = Use("OWN/RK-1 bar-end.left", "thread", "9/16-18 UNF", None, None, Basis.MEASURED)
    for text, state in (("9/16-18", State.INSIDE), ("M14x1.5", State.OUTSIDE), ("9/16-12", State.OUTSIDE)):
        (window,) = read_windows(RACK, [f"bar-end.left.thread={text}"], "mm")
        assert standing(window, use).state is state


ends = st.floats(500, 750)


@given(value=ends, u=st.floats(0, 10), low=ends, high=ends, inner=st.tuples(st.floats(0, 1), st.floats(0, 1)))
def test_narrowing_a_window_never_brings_anything_inside(
    value: float, u: float, low: float, high: float, inner: tuple[float, float]
) -> None:
    low, high = sorted((low, high))
    first, second = sorted(low + share * (high - low) for share in inner)
    narrow = replace(SPACING, low=max(low, first), high=min(high, second))
    wide = replace(SPACING, low=low, high=high)
    if standing(narrow, number(value, u)).state is State.INSIDE:
        assert standing(wide, number(value, u)).state is State.INSIDE
    if standing(wide, number(value, u)).state is State.OUTSIDE:
        assert standing(narrow, number(value, u)).state is State.OUTSIDE
        assert abs(standing(narrow, number(value, u)).off or 0) >= abs(standing(wide, number(value, u)).off or 0)


@given(low=st.integers(2000, 2400), width=st.integers(1, 200), value=ends, u=st.floats(0.01, 5))
def test_inches_and_millimetres_ask_the_same(low: int, width: int, value: float, u: float) -> None:
    # hundredths of an inch, so that both texts are exact
    inch = f"inner-spacing={low / 100:.2f}..{(low + width) / 100:.2f}"
    metric = f"inner-spacing={low * 254 // 1000}.{low * 254 % 1000:03d}..{(low + width) * 254 // 1000}."
    metric += f"{(low + width) * 254 % 1000:03d}"
    (one,), (other,) = read_windows(RACK, [inch], "inch"), read_windows(RACK, [metric], "mm")
    assert one.low == pytest.approx(other.low, abs=1e-9)
    assert standing(one, number(value, u)).state is standing(other, number(value, u)).state
