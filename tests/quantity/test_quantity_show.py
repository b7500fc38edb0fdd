"""Numbers for people: units always, digits as many as they are worth, and back again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.quantity.parse import parse_quantity, parse_taper
from fitment.quantity.show import plain, show_quantity, show_taper
from fitment.quantity.units import KINDS, UNITLESS, system_unit

WITH_UNITS = sorted(set(KINDS) - UNITLESS - {"taper"})


@pytest.mark.parametrize(
    ("value", "kind", "system", "shown"),
    [
        (14.287, "length", "mm", "14.29 mm"),
        (14.0, "length", "mm", "14 mm"),
        (25.4, "length", "mm", "25.4 mm"),
        (100.0, "length", "mm", "100 mm"),
        (14.2875, "length", "inch", "0.5625 in"),
        (38.1, "length", "inch", "1.5 in"),
        (-3.5, "length", "mm", "-3.5 mm"),
        (-0.001, "length", "mm", "0 mm"),
        (7.15266875, "angle", "mm", "7.15 deg"),
        (7.15266875, "angle", "inch", "7.15 deg"),
        (6.35029318, "mass", "mm", "6.35 kg"),
        (6.35029318, "mass", "inch", "14 lb"),
        (29.827994863, "torque", "mm", "29.8 N·m"),
        (30.0, "torque", "inch", "22.1 lbf·ft"),
        (444.822, "force", "mm", "445 N"),
        (444.822, "force", "inch", "100 lbf"),
        (450.0, "force", "inch", "101 lbf"),
        (6.356, "mass", "inch", "14.01 lb"),
        (1.75, "turns", "mm", "1.75 turn"),
        (37.42857, "rate", "mm", "37.4 mm/turn"),
        (38.1, "rate", "inch", "1.5 in/turn"),
        (75.0, "fraction", "mm", "75 %"),
        (36.0, "count", "mm", "36"),
        (1.05, "number", "inch", "1.05"),
    ],
)
def test_without_uncertainty(value: float, kind: str, system: str, shown: str) -> None:
    assert show_quantity(value, kind, system) == shown


@pytest.mark.parametrize(
    ("value", "u", "system", "shown"),
    [
        (14.29, 0.03, "mm", "14.290 mm"),
        (14.29, 0.12, "mm", "14.29 mm"),
        (14.0, 0.29, "mm", "14.00 mm"),
        (14.29, 1.2, "mm", "14.3 mm"),
        (1234.5, 12.0, "mm", "1234 mm"),
        (1234.4, 250.0, "mm", "1234 mm"),
        (14.29, 0.0997, "mm", "14.29 mm"),
        (14.29, 0.00000001, "mm", "14.290000 mm"),
        (14.2875, 0.0289, "inch", "0.5625 in"),
        (14.2875, 0.3, "inch", "0.562 in"),
        (14.29, 0.0, "mm", "14.29 mm"),
        (14.0, float("nan"), "mm", "14 mm"),
        (-0.0001, 0.03, "mm", "0.000 mm"),
    ],
)
def test_digits_follow_the_uncertainty(value: float, u: float, system: str, shown: str) -> None:
    assert show_quantity(value, "length", system, u) == shown


def test_counts_stay_whole() -> None:
    assert show_quantity(36.0, "count", u=0.58) == "36"


@pytest.mark.parametrize(
    ("ratio", "shown"),
    [(0.1, "1:10"), (0.125, "1:8"), (2.2 / 20.6, "1:9.36"), (0.12232524, "1:8.17"), (0.0, "parallel"), (0.4, "1:2.5")],
)
def test_tapers(ratio: float, shown: str) -> None:
    assert show_taper(ratio) == shown


@given(st.floats(0.01, 1.1))
def test_a_shown_taper_is_read_back(ratio: float) -> None:
    assert 1 / parse_taper(show_taper(ratio)).ratio == pytest.approx(1 / ratio, abs=0.00501)


@pytest.mark.parametrize("system", ["mm", "inch"])
@pytest.mark.parametrize("kind", WITH_UNITS)
@given(value=st.floats(-9999, 9999), u=st.none() | st.floats(1e-4, 1))
def test_what_is_shown_is_read_back(kind: str, system: str, value: float, u: float | None) -> None:
    shown = show_quantity(value, kind, system, u)
    read = parse_quantity(shown, kind)
    assert read.entered_unit == system_unit(kind, system).symbol
    # zeros left out at the end hide at most the usual digit of the coarsest kind, half a newton or pound-force
    unit = system_unit(kind, system)
    usual = 0.5 if kind == "force" else 0.0501
    allowed = unit.to_canonical(usual) if u is None else max(u * 0.06, unit.to_canonical(1e-6))
    assert read.value == pytest.approx(value, abs=allowed, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "ascii_text"),
    [
        ("14.29 ±0.05 mm", "14.29 +/-0.05 mm"),
        ("7.15\u00b0 incl", "7.15 deg incl"),
        ("7.15 \u00b0", "7.15 deg"),
        ("M14\u00d71.5", "M14x1.5"),
        ("30 N·m", "30 N.m"),
        ("\u22123.5 \u2013 \u2264 4", "-3.5 - <= 4"),
        ("9\u2032 \u201c10\u2033\u201d", '9\' "10""'),
        ("M\u00fcller \u2603", "Muller ?"),
        ("plain", "plain"),
    ],
)
def test_plain(text: str, ascii_text: str) -> None:
    assert plain(text) == ascii_text


@given(st.text())
def test_plain_is_ascii_and_settled(text: str) -> None:
    assert plain(text).isascii()
    assert plain(plain(text)) == plain(text)
