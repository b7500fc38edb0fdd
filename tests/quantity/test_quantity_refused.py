"""Text that is no quantity: each gets one fault that says what is wrong and how to mend it."""

from __future__ import annotations

import pytest

from fitment.errors import DataFault
from fitment.quantity.parse import parse_quantity

EXAMPLE = "write it like 14.29 mm, 14.29 ±0.05 mm, 9/16 in or 1-1/2 in"
NO_THOUSANDS = "write one decimal point, and nothing between thousands"
CARRY_ON = "write one number with one unit, or like 7 deg 9' or 4 ft 6 in"
PROPER = "write a fraction like 9/16, or 1-1/2"
EXPONENT = "is in exponent notation, which spreadsheets also make out of other entries"


@pytest.mark.parametrize(
    ("text", "message", "mending", "code"),
    [
        ("", "the value is empty", "leave it out, or write a value", "01"),
        (" \n ", "the value is empty", "leave it out, or write a value", "01"),
        (
            "9" * 10_000,
            '"' + "9" * 37 + '..." is too long for one value (10000 characters)',
            "write one value of at most 100 characters",
            "02",
        ),
        ("nan", '"nan" is not a number', "leave it out if unknown", "03"),
        ("-inf mm", '"-inf mm" is not a number', "leave it out if unknown", "03"),
        ("Infinity", '"Infinity" is not a number', "leave it out if unknown", "03"),
        ("about 14 mm", '"about 14 mm" cannot be read', EXAMPLE, "03"),
        ("9/16-18", '"9/16-18" cannot be read', EXAMPLE, "03"),
        ("M14x1.5", '"M14x1.5" cannot be read', EXAMPLE, "03"),
        ("7 9 mm", '"7 9 mm" cannot be read', EXAMPLE, "03"),
        ("12,9;3 mm", '"12,9;3 mm" cannot be read', EXAMPLE, "03"),
        ("2024-01-05", '"2024-01-05" cannot be read', EXAMPLE, "03"),
        ("5/1/2024", '"5/1/2024" cannot be read', EXAMPLE, "03"),
        ("14.29 mm +0.05", '"14.29 mm +0.05" cannot be read', EXAMPLE, "03"),
        ("14.29 mm +0.05 mm", '"14.29 mm +0.05 mm" cannot be read', EXAMPLE, "03"),
        ("14.29 mm ±", '"14.29 mm ±" cannot be read', EXAMPLE, "03"),
        ("±0.05 mm", '"±0.05 mm" cannot be read', EXAMPLE, "03"),
        ("--3 mm", '"--3 mm" cannot be read', EXAMPLE, "03"),
        ("14. mm", '"14. mm" cannot be read', EXAMPLE, "03"),
        ("½1 in", '"½1 in" cannot be read', EXAMPLE, "03"),
        ("14\n mm\x00", '"14? mm?": there is no unit "mm?" for a length', "nearest: mm, m", "06"),
        ("14.29", '"14.29": 14.29 has no unit', "write 14.29 mm or 14.29 in", "04"),
        ("14.29 ±0.05", '"14.29 ±0.05": 14.29 has no unit', "write 14.29 mm or 14.29 in", "04"),
        ("4' 6\" ±1", '"4\' 6" ±1": 1 has no unit', "write 1 mm or 1 in", "04"),
        (
            "14 kg",
            '"14 kg": "kg" measures a mass, not a length',
            "expected one of mm, cm, m, in, ft, thou",
            "05",
        ),
        (
            "14 mm ±1 kg",
            '"14 mm ±1 kg": "kg" measures a mass, not a length',
            "expected one of mm, cm, m, in, ft, thou",
            "05",
        ),
        ("14 mmm", '"14 mmm": there is no unit "mmm" for a length', "nearest: mm, m", "06"),
        ("1.234,5 mm", '"1.234,5 mm" has more than one comma or point in 1.234,5', NO_THOUSANDS, "07"),
        ("1,234.5 mm", '"1,234.5 mm" has more than one comma or point in 1,234.5', NO_THOUSANDS, "07"),
        ("14.29.3 mm", '"14.29.3 mm" has more than one comma or point in 14.29.3', NO_THOUSANDS, "07"),
        (
            "2,540 mm",
            '"2,540 mm" may mean two things: is the comma in 2,540 for decimals or for thousands?',
            "write 2.540 or 2540",
            "07",
        ),
        ("1.2e1 mm", f'"1.2e1 mm" {EXPONENT}', "write the number out in full", "08"),
        ("1E300", f'"1E300" {EXPONENT}', "write the number out in full", "08"),
        (
            "9" * 80 + " mm",
            '"' + "9" * 37 + '..." is larger than anything measured here',
            "check its digits and its unit",
            "10",
        ),
        ("1/0 in", '"1/0 in" has no proper fraction in 1/0', PROPER, "11"),
        ("1 9/8 in", '"1 9/8 in" has no proper fraction in 1 9/8', PROPER, "11"),
        ("14 mm ±0", '"14 mm ±0": what follows ± is zero', "leave out ± if it is not known", "12"),
        ("14 mm u=0.0", '"14 mm u=0.0": what follows u= is zero', "leave out u= if it is not known", "12"),
        ("14 mm ±-1", '"14 mm ±-1": what follows ± is negative', "write ± once, with a number above zero", "12"),
        ("14 mm ±1 ±2", '"14 mm ±1 ±2": ± is written twice', "write ± once, with a number above zero", "12"),
        (
            "9/16 ±0.4 mm",
            '"9/16 ±0.4 mm": the fraction 9/16 has no unit of its own, and fractions are inches in the trade',
            "write 9/16 in, or a decimal",
            "14",
        ),
        (
            "14.29 mm ±1/64",
            '"14.29 mm ±1/64": the fraction 1/64 has no unit of its own, and fractions are inches in the trade',
            "write 1/64 in, or a decimal",
            "14",
        ),
        ("4 ft 13 in", '"4 ft 13 in": the second number does not carry on the first', CARRY_ON, "15"),
        ("4.5 ft 3 in", '"4.5 ft 3 in": the second number does not carry on the first', CARRY_ON, "15"),
        ("4.0 ft 3 in", '"4.0 ft 3 in": the second number does not carry on the first', CARRY_ON, "15"),
        ("4/1 ft 3 in", '"4/1 ft 3 in": the second number does not carry on the first', CARRY_ON, "15"),
        ("1/2 ft 3 in", '"1/2 ft 3 in": the second number does not carry on the first', CARRY_ON, "15"),
        ("1 m 3 cm", '"1 m 3 cm": the second number does not carry on the first', CARRY_ON, "15"),
    ],
)
def test_lengths_refused(text: str, message: str, mending: str, code: str) -> None:
    with pytest.raises(DataFault) as raised:
        parse_quantity(text, "length")
    assert (raised.value.message, raised.value.mending, raised.value.code) == (message, mending, f"quantity-{code}")


@pytest.mark.parametrize(
    ("text", "kind", "message", "mending"),
    [
        ("30", "torque", '"30": 30 has no unit', "write 30 N·m or 30 lbf·ft"),
        ("7", "angle", '"7": 7 has no unit', "write 7 deg"),
        ("5", "fraction", '"5": 5 has no unit', "write 5 %"),
        ("24.5", "count", '"24.5" is not a count', "write a whole number: 0, 1, 2"),
        ("-3", "count", '"-3" is not a count', "write a whole number: 0, 1, 2"),
        ("36 teeth", "count", '"36 teeth": a count has no unit', 'leave out "teeth"'),
        ("x", "angle", '"x" cannot be read', "write it like 7.5 deg or 7 deg 9'"),
        ("x", "mass", '"x" cannot be read', "write it like 13.3 kg or 29.4 lb"),
        ("x", "force", '"x" cannot be read', "write it like 300 N or 67 lbf"),
        ("x", "torque", '"x" cannot be read', "write it like 30 N·m or 22 lbf·ft"),
        ("x", "turns", '"x" cannot be read', "write it like 3.5 turns"),
        ("x", "rate", '"x" cannot be read', "write it like 37.4 mm/turn"),
        ("x", "count", '"x" cannot be read', "write it like 36"),
        ("x", "fraction", '"x" cannot be read', "write it like 75 %"),
        ("x", "number", '"x" cannot be read', "write it like 1.05"),
        ("7 deg 60'", "angle", '"7 deg 60\'": the second number does not carry on the first', CARRY_ON),
        ("7 deg 9", "angle", '"7 deg 9" cannot be read', "write it like 7.5 deg or 7 deg 9'"),
        (
            "22 lb",
            "torque",
            '"22 lb": "lb" measures a mass, not a torque',
            "expected one of N·m, daN·m, lbf·ft, lbf·in, kgf·m",
        ),
    ],
)
def test_other_kinds_refused(text: str, kind: str, message: str, mending: str) -> None:
    with pytest.raises(DataFault) as raised:
        parse_quantity(text, kind)
    assert (raised.value.message, raised.value.mending) == (message, mending)


def test_a_bare_fraction_is_no_millimetre() -> None:
    for kind, unit in (("length", "mm"), ("length", "cm"), ("length", "m"), ("rate", "mm/turn")):
        with pytest.raises(DataFault, match=r'^"9/16": the fraction 9/16 has no unit of its own') as raised:
            parse_quantity("9/16", kind, unit)
        assert raised.value.code == "quantity-14"
