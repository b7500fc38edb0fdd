"""Units: exact sizes against their definitions, spellings, and what is said of a unit that does not belong."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.quantity.parse import parse_quantity
from fitment.quantity.units import KINDS, UNITLESS, canonical_unit, symbols_of, system_unit, unit_named, units_of

PUBLISHED = Path(__file__).parents[1] / "published"

WITH_UNITS = sorted(set(KINDS) - UNITLESS - {"taper"})


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


@pytest.mark.parametrize("row", published("quantity_units.csv"), ids=lambda row: row["id"])
def test_published_conversions(row: dict[str, str]) -> None:
    kind = {"N.m": "torque", "lbf": "force", "mm": "length", "N": "force"}[row["unit"]]
    value = parse_quantity(row["case"], kind).value
    shown = unit_named(row["unit"], kind).from_canonical(value)
    assert shown == pytest.approx(float(row["value"]), abs=float(row["tolerance"]), rel=0)


# definitions: inch 25.4 mm, lb 0.45359237 kg, g 9.80665 m/s2, exact (standard); products worked by hand
@pytest.mark.parametrize(
    ("symbol", "kind", "exact"),
    [
        ("in", "length", "25.4"),
        ("ft", "length", "304.8"),
        ("thou", "length", "0.0254"),
        ("cm", "length", "10"),
        ("m", "length", "1000"),
        ("arcmin", "angle", "1/60"),
        ("arcsec", "angle", "1/3600"),
        ("lb", "mass", "0.45359237"),
        ("g", "mass", "0.001"),
        ("lbf", "force", "4.4482216152605"),
        ("kgf", "force", "9.80665"),
        ("daN", "force", "10"),
        ("kN", "force", "1000"),
        ("lbf·ft", "torque", "1.3558179483314004"),
        ("lbf·in", "torque", "0.1129848290276167"),
        ("kgf·m", "torque", "9.80665"),
        ("daN·m", "torque", "10"),
        ("in/turn", "rate", "25.4"),
        ("in/ft", "taper", "1/12"),
    ],
)
def test_sizes_are_exact(symbol: str, kind: str, exact: str) -> None:
    assert unit_named(symbol, kind).exact == Fraction(exact)


def test_every_unit_that_is_not_canonical_is_checked_above() -> None:
    assert {unit.symbol for kind in KINDS for unit in units_of(kind) if unit.exact != 1} == {
        *("in", "ft", "thou", "cm", "m", "arcmin", "arcsec", "lb", "g", "lbf", "kgf", "daN", "kN"),
        *("lbf·ft", "lbf·in", "kgf·m", "daN·m", "in/turn", "in/ft"),
    }


# common practice, no source: workshop figures given in both units, rounded to whole lbf·ft
@pytest.mark.parametrize(("newton_metres", "pound_feet"), [(30, 22), (45, 33), (23, 17), (50, 37)])
def test_trade_torques(newton_metres: int, pound_feet: int) -> None:
    torque = parse_quantity(f"{newton_metres} N·m", "torque").value
    assert round(system_unit("torque", "inch").from_canonical(torque)) == pound_feet


@pytest.mark.parametrize("kind", WITH_UNITS)
@given(value=st.floats(-1e6, 1e6))
def test_there_and_back(kind: str, value: float) -> None:
    for unit in units_of(kind):
        assert unit.from_canonical(unit.to_canonical(value)) == pytest.approx(value, rel=1e-15, abs=1e-300)


@pytest.mark.parametrize(
    ("kind", "symbol", "spellings"),
    [
        ("length", "mm", "mm|MM|millimetre|millimeters"),
        ("length", "in", 'in|in.|inch|Inches|"'),
        ("length", "ft", "ft|foot|feet|'"),
        ("angle", "deg", "deg|°|degrees|Degree"),
        ("angle", "arcmin", "'|min|minutes|arcmin"),
        ("angle", "arcsec", '"|sec|seconds|arcsec'),
        ("mass", "lb", "lb|lbs|lb.|pounds"),
        ("mass", "kg", "kg|KG|kilograms"),
        ("force", "N", "N|newtons"),
        ("torque", "N·m", "N·m|Nm|N.m|N m|N-m|N*m|nm|newton metres"),
        ("torque", "lbf·ft", "lbf·ft|lbf.ft|lb-ft|ft-lb|lb.ft|ft lbs|ft·lbf|lbft"),
        ("torque", "lbf·in", "lbf·in|in-lb|lb in"),
        ("torque", "kgf·m", "kgf·m|kg-m|mkg"),
        ("torque", "daN·m", "daN·m|m.daN"),
        ("turns", "turn", "turn|turns|rev|revolutions"),
        ("rate", "mm/turn", "mm/turn|mm / turn|mm per turn|mm/rev|mm per revolution"),
        ("rate", "in/turn", 'in/turn|"/turn|inches per turn'),
        ("fraction", "%", "%|percent|per cent|pct"),
        ("taper", "in/ft", 'in/ft|"/ft|in per ft|inch per foot|"/\''),
    ],
)
def test_spellings(kind: str, symbol: str, spellings: str) -> None:
    assert {unit_named(spelling, kind).symbol for spelling in spellings.split("|")} == {symbol}


def test_signs_mean_what_the_kind_says() -> None:
    assert unit_named("'", "length").symbol == "ft"
    assert unit_named("'", "angle").symbol == "arcmin"
    assert unit_named('"', "length").symbol == "in"
    assert unit_named('"', "angle").symbol == "arcsec"


@pytest.mark.parametrize(
    ("text", "kind", "message", "mending", "code"),
    [
        (
            "kg",
            "length",
            '"kg" measures a mass, not a length',
            "expected one of mm, cm, m, in, ft, thou",
            "quantity-05",
        ),
        (
            "N",
            "torque",
            '"N" measures a force, not a torque',
            "expected one of N·m, daN·m, lbf·ft, lbf·in, kgf·m",
            "quantity-05",
        ),
        (
            "lb",
            "force",
            '"lb" measures a mass, not a force',
            "expected one of N, daN, kN, lbf, kgf",
            "quantity-05",
        ),
        # a millinewton is no torque, though N and m may stand in one
        (
            "mN",
            "torque",
            'there is no unit "mN" for a torque',
            "allowed: N·m, daN·m, kgf·m, lbf·ft, lbf·in",
            "quantity-06",
        ),
        ("mm", "taper", '"mm" measures a length, not a taper', "expected one of in/ft", "quantity-05"),
        ("inhces", "length", 'there is no unit "inhces" for a length', "nearest: in", "quantity-06"),
        ("turnz", "turns", 'there is no unit "turnz" for a number of turns', "nearest: turn", "quantity-06"),
        (
            "furlongs",
            "length",
            'there is no unit "furlongs" for a length',
            "allowed: cm, ft, in, m, mm, thou",
            "quantity-06",
        ),
        ("teeth", "count", "a count has no unit", 'leave out "teeth"', "quantity-05"),
        ("mm", "number", "a plain number has no unit", 'leave out "mm"', "quantity-05"),
    ],
)
def test_units_refused(text: str, kind: str, message: str, mending: str, code: str) -> None:
    with pytest.raises(DataFault) as raised:
        unit_named(text, kind)
    assert (raised.value.message, raised.value.mending, raised.value.code) == (message, mending, code)


def test_canonical_units() -> None:
    assert {kind: canonical_unit(kind).symbol for kind in KINDS if kind != "taper"} == {
        "length": "mm",
        "angle": "deg",
        "mass": "kg",
        "force": "N",
        "torque": "N·m",
        "turns": "turn",
        "rate": "mm/turn",
        "count": "",
        "fraction": "%",
        "number": "",
    }
    for kind in WITH_UNITS:
        assert symbols_of(kind)[0] == canonical_unit(kind).symbol == system_unit(kind, "mm").symbol


def test_units_of_an_inch_shop() -> None:
    assert {kind: system_unit(kind, "inch").symbol for kind in WITH_UNITS} == {
        "length": "in",
        "angle": "deg",
        "mass": "lb",
        "force": "lbf",
        "torque": "lbf·ft",
        "turns": "turn",
        "rate": "in/turn",
        "fraction": "%",
    }
