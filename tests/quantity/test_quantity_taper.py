"""Tapers as people write them, against the published angles of cones."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.quantity.parse import TaperQuantity, parse_taper

PUBLISHED = Path(__file__).parents[1] / "published"


def published() -> list[dict[str, str]]:
    with (PUBLISHED / "quantity_tapers.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def included_deg(ratio: float) -> float:
    return math.degrees(2 * math.atan(ratio / 2))


@pytest.mark.parametrize("row", published(), ids=lambda row: row["id"])
def test_published_cones(row: dict[str, str]) -> None:
    value, tolerance = float(row["value"]), float(row["tolerance"])
    ratio = parse_taper(row["designation"].replace("in per foot", "in/ft")).ratio
    said = {
        "cone full angle": (included_deg(ratio), f"{row['value']} deg incl"),
        "cone half angle": (included_deg(ratio) / 2, f"{row['value']} deg half"),
        "taper per foot": (12 * ratio, f"{row['value']} in/ft"),
        "taper ratio C": (ratio, f"1:{1 / value:.12f}"),
    }
    figure, written = said[row["quantity"]]
    assert figure == pytest.approx(value, abs=tolerance, rel=0)
    # and the other way: the published figure, written as a taper, is this ratio (1e-6 deg is 2e-8 of a ratio)
    assert parse_taper(written).ratio == pytest.approx(ratio, abs=2e-8, rel=0)


@pytest.mark.parametrize(
    ("text", "ratio"),
    [
        ("1:8", 0.125),
        ("1 : 8", 0.125),
        ("1\u22368", 0.125),
        ("1:8.6", 1 / 8.6),
        ("1:8,6", 1 / 8.6),
        ("1:10", 0.1),
        ("1.5 in/ft", 0.125),
        ("1,5 in/ft", 0.125),
        ("1-1/2 in/ft", 0.125),
        ('1½" per foot', 0.125),
        ("1.2 in/ft", 0.1),
        ("7 deg incl", 2 * math.tan(math.radians(3.5))),
        ("7 deg incl.", 2 * math.tan(math.radians(3.5))),
        ("7 deg included", 2 * math.tan(math.radians(3.5))),
        ("7 deg included angle", 2 * math.tan(math.radians(3.5))),
        ("7 deg inclusive", 2 * math.tan(math.radians(3.5))),
        ("7\u00b0 full", 2 * math.tan(math.radians(3.5))),
        ("3.5 deg half", 2 * math.tan(math.radians(3.5))),
        ("Half angle 3.5 deg", 2 * math.tan(math.radians(3.5))),
        ("7 deg 9' incl", 2 * math.tan(math.radians(3.575))),
        ("59.9 deg incl", 2 * math.tan(math.radians(29.95))),
    ],
)
def test_forms(text: str, ratio: float) -> None:
    read = parse_taper(f" {text} ")
    assert read.ratio == pytest.approx(ratio, rel=1e-15)
    assert (read.half_width, read.u, read.entered) == (None, None, text)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("1:8.6 ±0.0002", "1:8.6002", "1:8.5998"),
        ("1.5 in/ft ±0.0002", "1.4998 in/ft", "1.5002 in/ft"),
        ("5.7 deg ±0.0002 incl", "5.6998 deg incl", "5.7002 deg incl"),
        ("5.7 deg incl ±0.0002 deg", "5.6998 deg incl", "5.7002 deg incl"),
        ("5.7 ±0.0002 deg full", "5.6998 deg incl", "5.7002 deg incl"),
        ("3.58 deg half ±0.0002", "3.5798 deg half", "3.5802 deg half"),
        ("40 deg ±0.0002 incl", "39.9998 deg incl", "40.0002 deg incl"),
    ],
)
def test_doubt_is_carried_over_by_the_derivative(text: str, low: str, high: str) -> None:
    half_span = (parse_taper(high).ratio - parse_taper(low).ratio) / 2
    assert parse_taper(text).half_width == pytest.approx(half_span, rel=1e-6)
    assert parse_taper(text).u is None
    assert parse_taper(text.replace("±", "u=")).u == pytest.approx(half_span, rel=1e-6)
    assert parse_taper(text.replace("±", "u=")).half_width is None


TWO_SIDED = "say incl (whole angle, side to side) or half (side to axis): 7 deg incl"
PLAUSIBLE = "the included angle lies above 0 and below 60 deg; 1:8 means 1 on the diameter in 8"
FORMS = "write it like 1:8, 1.5 in/ft or 7 deg incl"
RATIO = "write a ratio like 1:8 or 1:8.6"


@pytest.mark.parametrize(
    ("text", "message", "mending", "code"),
    [
        ("", "the value is empty", "leave it out, or write a value", "01"),
        ("steep", '"steep" cannot be read', FORMS, "03"),
        ("1/8", '"1/8": 1/8 may be a ratio, a taper per foot or an angle', FORMS, "04"),
        ("0.125", '"0.125": 0.125 may be a ratio, a taper per foot or an angle', FORMS, "04"),
        ("7 incl", '"7 incl": 7 has no unit', "write 7 deg", "04"),
        ("14 mm", '"14 mm": "mm" measures a length, not a taper', "expected one of in/ft", "05"),
        ("1:8 mm", '"1:8 mm": a plain number has no unit', 'leave out "mm"', "05"),
        ("7 deg", '"7 deg" does not say which angle is meant', TWO_SIDED, "20"),
        ("7\u00b0 9'", '"7\u00b0 9\'" does not say which angle is meant', TWO_SIDED, "20"),
        ("1:0.5", '"1:0.5" is no taper of a stud or an eye', PLAUSIBLE, "21"),
        ("1:0", '"1:0" is no taper of a stud or an eye', PLAUSIBLE, "21"),
        ("0 in/ft", '"0 in/ft" is no taper of a stud or an eye', PLAUSIBLE, "21"),
        ("60.1 deg incl", '"60.1 deg incl" is no taper of a stud or an eye', PLAUSIBLE, "21"),
        ("30.1 deg half", '"30.1 deg half" is no taper of a stud or an eye', PLAUSIBLE, "21"),
        ("183.5 deg half", '"183.5 deg half" is no taper of a stud or an eye', PLAUSIBLE, "21"),
        ("-7 deg incl", '"-7 deg incl" is no taper of a stud or an eye', PLAUSIBLE, "21"),
        (
            "1:8 incl",
            '"1:8 incl" says incl or half where it should not',
            "write 7 deg incl, 3.5 deg half or 1:8",
            "22",
        ),
        (
            "7 deg incl half",
            '"7 deg incl half" says incl or half where it should not',
            "write 7 deg incl, 3.5 deg half or 1:8",
            "22",
        ),
        ("2:8", '"2:8" cannot be read as a ratio', RATIO, "23"),
        ("1:", '"1:" cannot be read as a ratio', RATIO, "23"),
        ("1:-8", '"1:-8" cannot be read as a ratio', RATIO, "23"),
        ("1:8:9", '"1:8:9" cannot be read as a ratio', RATIO, "23"),
    ],
)
def test_refused(text: str, message: str, mending: str, code: str) -> None:
    with pytest.raises(DataFault) as raised:
        parse_taper(text)
    assert (raised.value.message, raised.value.mending, raised.value.code) == (message, mending, f"quantity-{code}")


PIECES = [*"0123456789 .,/-±:'\"°u=", " deg", " incl", " half", " in/ft", "1:"]
LIKELY = st.lists(st.sampled_from(PIECES), max_size=12).map("".join)


@given(st.one_of(st.text(), LIKELY))
def test_any_text_is_a_cone_or_refused_in_one_line(text: str) -> None:
    read: TaperQuantity | DataFault
    try:
        read = parse_taper(text)
    except DataFault as fault:
        read = fault
    if isinstance(read, DataFault):
        assert read.code.startswith("quantity-")
        assert read.mending
        assert (read.message + read.mending).isprintable()
        return
    assert 0 < included_deg(read.ratio) < 60
    assert read.half_width is None or read.half_width > 0
    assert read.u is None or read.u > 0


@given(st.floats(0.001, 1.15))
def test_every_form_of_one_cone_is_one_ratio(ratio: float) -> None:
    angle = included_deg(ratio)
    forms = [f"1:{1 / ratio:.15f}", f"{12 * ratio:.15f} in/ft", f"{angle:.15f} deg incl", f"{angle / 2:.15f} deg half"]
    for form in forms:
        assert parse_taper(form).ratio == pytest.approx(ratio, rel=1e-11)
