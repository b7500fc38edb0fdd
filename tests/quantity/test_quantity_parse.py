"""Quantities as people write them: the forms that are read, what they say of doubt, and the ones that are refused."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.quantity.parse import Quantity, parse_quantity, standard_uncertainty
from fitment.quantity.units import KINDS, canonical_unit, unit_named

KINDS_READ = sorted(set(KINDS) - {"taper"})


# 1 in is 25.4 mm exactly (standard); the rest is arithmetic
@pytest.mark.parametrize(
    ("text", "value", "entered_value", "entered_unit"),
    [
        ("14.29 mm", 14.29, 14.29, "mm"),
        ("14.29mm", 14.29, 14.29, "mm"),
        ("  14.29 mm ", 14.29, 14.29, "mm"),
        ("12,9 mm", 12.9, 12.9, "mm"),
        ("0,125 mm", 0.125, 0.125, "mm"),
        ("1234,567 mm", 1234.567, 1234.567, "mm"),
        ("-3.5 mm", -3.5, -3.5, "mm"),
        ("\u22123.5 mm", -3.5, -3.5, "mm"),
        ("+3.5 mm", 3.5, 3.5, "mm"),
        ("0 mm", 0.0, 0.0, "mm"),
        (".75 in", 19.05, 0.75, "in"),
        ("0.5625 in", 14.2875, 0.5625, "in"),
        ("9/16 in", 14.2875, 0.5625, "in"),
        ('9/16"', 14.2875, 0.5625, "in"),
        ("9 / 16 in", 14.2875, 0.5625, "in"),
        ("9\u204416\u2033", 14.2875, 0.5625, "in"),
        ('1-1/2"', 38.1, 1.5, "in"),
        ("1-1/2\u201d", 38.1, 1.5, "in"),
        ("1-1/2''", 38.1, 1.5, "in"),
        ("1 1/8in", 28.575, 1.125, "in"),
        ("-1 1/2 in", -38.1, -1.5, "in"),
        ("-1-1/2 in", -38.1, -1.5, "in"),
        ("1½ in", 38.1, 1.5, "in"),
        ("1 ½ in", 38.1, 1.5, "in"),
        ("½\u2033", 12.7, 0.5, "in"),
        ("-⅝ in", -15.875, -0.625, "in"),
        ("1/2 mm", 0.5, 0.5, "mm"),
        ("4' 6\"", 1371.6, 4.5, "ft"),
        ("4 ft 6-1/2 in", 1384.3, 54.5 / 12, "ft"),
        ("5 thou", 0.127, 5.0, "thou"),
    ],
)
def test_lengths(text: str, value: float, entered_value: float, entered_unit: str) -> None:
    read = parse_quantity(text, "length")
    assert (read.value, read.unit, read.entered) == (value, "mm", text.strip())
    assert (read.entered_value, read.entered_unit) == (entered_value, entered_unit)
    assert (read.half_width, read.u) == (None, None)


@pytest.mark.parametrize(
    ("text", "kind", "value", "unit"),
    [
        ("7 deg 9'", "angle", 7.15, "deg"),
        ("7°9'", "angle", 7.15, "deg"),
        ("7\u00ba 9\u2032", "angle", 7.15, "deg"),
        ("-7°9'", "angle", -7.15, "deg"),
        ("7 deg 9' 18\"", "angle", 7.155, "deg"),
        ("7 deg 30 min", "angle", 7.5, "deg"),
        ("9' 36\"", "angle", 0.16, "deg"),
        ("30'", "angle", 0.5, "deg"),
        ("7 deg 9.6'", "angle", 7.16, "deg"),
        ("30 N·m", "torque", 30.0, "N·m"),
        ("30 Nm", "torque", 30.0, "N·m"),
        ("30 N.m", "torque", 30.0, "N·m"),
        ("22 lbf.ft", "torque", 29.827994863290808, "N·m"),
        ("22 lbf·ft", "torque", 29.827994863290808, "N·m"),
        ("22 lb-ft", "torque", 29.827994863290808, "N·m"),
        ("22 ft-lb", "torque", 29.827994863290808, "N·m"),
        ("22 lb.ft", "torque", 29.827994863290808, "N·m"),
        ("100 lb", "mass", 45.359237, "kg"),
        ("250 g", "mass", 0.25, "kg"),
        ("100 lbf", "force", 444.82216152605, "N"),
        ("3.5 turns", "turns", 3.5, "turn"),
        ("3-1/2 turns", "turns", 3.5, "turn"),
        ("37.4 mm/turn", "rate", 37.4, "mm/turn"),
        ("1.5 in/turn", "rate", 38.1, "mm/turn"),
        ("75 %", "fraction", 75.0, "%"),
        ("36", "count", 36.0, ""),
        ("1.05", "number", 1.05, ""),
        ("3/4", "number", 0.75, ""),
    ],
)
def test_other_kinds(text: str, kind: str, value: float, unit: str) -> None:
    read = parse_quantity(text, kind)
    assert (read.value, read.unit) == (value, unit)


@pytest.mark.parametrize(
    ("text", "half_width", "u"),
    [
        ("14.29 ±0.05 mm", 0.05, None),
        ("14.29 mm ±0.05", 0.05, None),
        ("14.29±0.05 mm", 0.05, None),
        ("14.29 mm ±0.05 mm", 0.05, None),
        ("14.29 +/- 0.05mm", 0.05, None),
        ("14.29 mm +-0,05", 0.05, None),
        ("14.29 mm ±0.002 in", 0.0508, None),
        ("14.29 mm ±1/64 in", 0.396875, None),
        ("14.29 mm u=0.03", None, 0.03),
        ("14.29 mm U = 0.03 mm", None, 0.03),
        ("14.29 u=0.03 mm", None, 0.03),
        ("14.29 mm ±0.05 u=0.03", 0.05, 0.03),
        ("14.29 mm u=0.03 ±0.05", 0.05, 0.03),
    ],
)
def test_written_doubt(text: str, half_width: float | None, u: float | None) -> None:
    read = parse_quantity(text, "length")
    assert (read.value, read.half_width, read.u) == (14.29, half_width, u)


def test_doubt_takes_the_unit_of_its_value() -> None:
    assert parse_quantity("9/16 in ±1/64", "length").half_width == 0.396875
    assert parse_quantity("9/16 ±1/64 in", "length") == Quantity(
        14.2875, "mm", 0.396875, None, 0.79375, "9/16 ±1/64 in", 0.5625, "in"
    )
    assert parse_quantity("7 deg 9' ±6'", "angle").half_width == 0.1
    assert parse_quantity("36 ±1", "count").half_width == 1.0


def test_minutes_after_a_bare_number_are_not_its_unit() -> None:
    read = parse_quantity("7 ±6'", "angle", "deg")
    assert (read.value, read.half_width) == (7.0, 0.1)


def test_bare_numbers_take_the_unit_given() -> None:
    assert parse_quantity("14.29", "length", "mm").value == 14.29
    assert parse_quantity("9/16", "length", "in").value == 14.2875
    assert parse_quantity("9/16", "length", unit_named("in", "length")).entered_unit == "in"
    assert parse_quantity("14.29 ±0.05", "length", "mm").half_width == 0.05
    assert parse_quantity("12,9", "length", "mm").value == 12.9
    assert parse_quantity("3 1/2", "turns", "turn").value == 3.5
    # a unit that is written outranks the one that a bare number would have
    assert parse_quantity("0.5 in", "length", "mm").value == 12.7
    assert parse_quantity("0.5 ±0.01 in", "length", "mm").value == 12.7


# common practice, no source: half the last step of a fraction; 1/16 is 0.8, 1/32 is 0.4, 1/64 is 0.2 mm
@pytest.mark.parametrize(("text", "rounded"), [("9/16 in", 0.8), ("1-3/32 in", 0.4), ("41/64 in", 0.2)])
def test_resolution_of_inch_fractions(text: str, rounded: float) -> None:
    assert round(parse_quantity(text, "length").resolution, 1) == rounded


@pytest.mark.parametrize(
    ("text", "kind", "resolution"),
    [
        ("14.29 mm", "length", 0.005),
        ("14.290 mm", "length", 0.0005),
        ("14 mm", "length", 0.5),
        ("12,9 mm", "length", 0.05),
        ("0.5625 in", "length", 0.00127),
        ("9/16 in", "length", 0.79375),
        ("4 ft 6 in", "length", 12.7),
        ("7 deg 9'", "angle", 1 / 120),
        ("3.5 turns", "turns", 0.05),
        ("1.05", "number", 0.005),
        ("36", "count", 0.0),
    ],
)
def test_resolution(text: str, kind: str, resolution: float) -> None:
    assert parse_quantity(text, kind).resolution == resolution


# u = a / sqrt(3) for a rectangular assumption: JCGM 100, 4.3.7, from memory
@pytest.mark.parametrize(
    ("text", "tool", "expected"),
    [
        ("14.29 mm ±0.09 u=0.03", 0.05, 0.03),
        ("14.29 mm ±0.09", 0.05, 0.09 / math.sqrt(3)),
        ("14.29 mm", 0.05, 0.05 / math.sqrt(3)),
        ("14.29 mm", 0.0, 0.0),
        ("14.29 mm", None, 0.005 / math.sqrt(3)),
        ("9/16 in", None, 0.79375 / math.sqrt(3)),
    ],
)
def test_precedence_of_evidence(text: str, tool: float | None, expected: float) -> None:
    assert standard_uncertainty(parse_quantity(text, "length"), tool) == pytest.approx(expected, rel=1e-15)


# common practice, no source
def test_trade_sums() -> None:
    whole, part = parse_quantity("29.4 lb", "mass"), parse_quantity("15.4 lb", "mass")
    assert unit_named("lb", "mass").from_canonical(whole.value - part.value) == pytest.approx(14.0, abs=1e-12)
    assert parse_quantity("3.5 turns", "turns").value / 2 == 1.75
    travel, turns = parse_quantity("131 mm", "length"), parse_quantity("3.5 turns", "turns")
    rate = travel.value / turns.value
    assert round(rate, 1) == parse_quantity("37.4 mm per turn", "rate").value


DECIMALS = st.decimals(Decimal("-9999"), Decimal("9999"), places=3)
SIXTY_FOURTHS = st.integers(1, 64 * 100)


@given(DECIMALS, st.sampled_from(["mm", "cm", "m", "in", "ft", "thou"]))
def test_point_and_comma_are_equal(number: Decimal, unit: str) -> None:
    pointed = f"{number:.4f}"
    read = parse_quantity(f"{pointed} {unit}", "length")
    assert read.entered_value == float(number)
    assert parse_quantity(f"{pointed.replace('.', ',')}{unit}", "length").value == read.value


@given(SIXTY_FOURTHS)
def test_fractions_equal_their_decimals(count: int) -> None:
    whole, top = divmod(count, 64)
    decimal = parse_quantity(f"{count / 64:.6f} in", "length").value
    assert parse_quantity(f"{count}/64 in", "length").value == decimal
    if whole:
        assert parse_quantity(f"{whole}-{top}/64 in", "length").value == decimal
        assert parse_quantity(f'{whole} {top}/64"', "length").value == decimal
        assert parse_quantity(f"-{whole} {top}/64 in", "length").value == -decimal


@given(DECIMALS, st.decimals(Decimal("0.001"), Decimal("9"), places=3))
def test_forms_of_a_tolerance_are_equal(number: Decimal, half_width: Decimal) -> None:
    forms = ("{} ±{} mm", "{} mm ±{}", "{}±{}mm", "{} mm +/- {} mm", "{} mm +-{}")
    read = [parse_quantity(form.format(f"{number:.4f}", half_width), "length") for form in forms]
    assert {(one.value, one.half_width) for one in read} == {(float(number), float(half_width))}


LIKELY = st.text(st.sampled_from("0123456789 .,/-+±:'\"°u=mindegftlbNkeE%½\u2212\u2032"), max_size=24)


@given(st.one_of(st.text(), LIKELY), st.sampled_from(KINDS_READ), st.booleans())
def test_any_text_is_read_or_refused_in_one_line(text: str, kind: str, bare: bool) -> None:
    read: Quantity | DataFault
    try:
        read = parse_quantity(text, kind, "mm" if bare and kind == "length" else None)
    except DataFault as fault:
        read = fault
    if isinstance(read, DataFault):
        assert read.code.startswith("quantity-")
        assert read.mending
        assert (read.message + read.mending).isprintable()
        return
    numbers = [read.value, read.entered_value, read.resolution, read.half_width or 1.0, read.u or 1.0]
    assert all(math.isfinite(number) for number in numbers)
    assert read.resolution >= 0
    assert standard_uncertainty(read) >= 0


@given(
    st.integers(0, 999_999), st.none() | st.text("0123456789", min_size=1, max_size=6), st.sampled_from(sorted(KINDS))
)
def test_a_bare_number_is_read_as_one_with_its_unit(whole: int, decimals: str | None, kind: str) -> None:
    if kind == "taper" or (kind == "count" and decimals):
        return
    text = str(whole) if decimals is None else f"{whole}.{decimals}"
    symbol = canonical_unit(kind).symbol
    short = parse_quantity(text, kind, symbol)
    # a blank before the unit, and a sign where there is no unit, send it the long way
    long = parse_quantity(f"{text} {symbol}" if symbol else f"+{text}", kind)
    assert replace(short, entered=long.entered) == long
