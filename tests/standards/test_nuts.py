"""Castle nuts and split pins, against the published tables and against each other."""

from __future__ import annotations

import csv
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from fitment.errors import DataFault
from fitment.standards import nuts
from fitment.standards.nuts import CastleNut, castle_nut, castle_nuts, pin_window, split_pin, sure_pin_window

PUBLISHED = Path(__file__).parents[1] / "published" / "nuts.csv"


def published() -> list[dict[str, str]]:
    with PUBLISHED.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def computed(row: dict[str, str]) -> float | None:
    """Our figure for a published row, in its unit."""
    family = row["id"].split("-")[0]
    if family == "b1881":
        nominal = float(Fraction(row["designation"].removesuffix(" in"))) * 25.4
        return split_pin(nominal, "ASME B18.8.1").nominal / 25.4
    nominal = float(row["designation"].removeprefix("M"))
    nut = castle_nut("DIN 937" if family == "DIN937" else "DIN 935-1", nominal)
    quantity = row["quantity"]
    if "window" in quantity:
        return pin_window(nut, split_pin(nominal).nominal)
    if "length" in quantity:
        return nut.pin_length
    if "split pin" in quantity:
        assert split_pin(nominal).nominal == nut.pin
        return nut.pin
    by_quantity = {
        "castle nut height": nut.m_max,
        "height to slot": nut.w_max,
        "slot width": nut.n,
        "across flats": nut.s,
    }
    return next(figure for words, figure in by_quantity.items() if words in quantity)


@pytest.mark.parametrize("row", published(), ids=lambda row: row["id"])
def test_published(row: dict[str, str]) -> None:
    assert computed(row) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]) or 1e-12, rel=0)


def test_every_nut_of_the_table_has_published_rows() -> None:
    printed = {(row["id"].split("-")[0].upper(), row["designation"]) for row in published()}
    ours = {(nut.standard.removesuffix("-1").replace(" ", ""), f"M{nut.nominal:g}") for nut in castle_nuts()}
    assert ours <= printed


#: basic tolerances IT14 and IT15 of ISO 286-1 in mm, by the size range's upper end (from memory)
IT14 = {3: 0.25, 6: 0.30, 10: 0.36, 18: 0.43, 30: 0.52}
IT15 = {3: 0.40, 6: 0.48, 10: 0.58, 18: 0.70, 30: 0.84}


def grades(size: float) -> tuple[float, float]:
    top = min(limit for limit in IT14 if size <= limit)
    return IT14[top], IT15[top]


@pytest.mark.parametrize("nut", castle_nuts(), ids=lambda nut: f"{nut.standard} M{nut.nominal:g}")
def test_limits_of_the_table_follow_the_tolerance_grades_it_did_not_use(nut: CastleNut) -> None:
    # a slip of the pen in a height shows as a tolerance that is no grade of ISO 286-1
    assert any(nut.m_max - nut.m_min == pytest.approx(grade, abs=1e-9) for grade in grades(nut.m_max))
    assert nut.w_max - nut.w_min == pytest.approx(grades(nut.w_max)[0], abs=1e-9)


@pytest.mark.parametrize("nut", castle_nuts(), ids=lambda nut: f"{nut.standard} M{nut.nominal:g}")
def test_table_agrees_with_the_pins_and_with_itself(nut: CastleNut) -> None:
    # the pin of the nut's table is the pin that ISO 1234 gives for the bolt, and goes through slot and window
    pin = split_pin(nut.nominal)
    assert pin.nominal == nut.pin
    assert pin.wire_max is not None
    assert pin.wire_max < pin.nominal < nut.n
    assert 0 < sure_pin_window(nut, nut.pin) < pin_window(nut, nut.pin)
    assert 1.4 * nut.nominal < nut.s < 1.8 * nut.nominal
    assert nut.s_old is None or abs(nut.s_old - nut.s) in (1, 2)


def test_thin_nuts_are_thinner_and_take_the_pin_of_their_thread() -> None:
    for thin in (nut for nut in castle_nuts() if nut.standard == "DIN 937"):
        full = castle_nut("DIN 935-1", thin.nominal)
        assert (thin.pin, thin.n) == (full.pin, full.n)
        assert thin.m_max < full.m_max
        assert thin.s in (full.s, full.s_old)


def test_guaranteed_windows_of_m12() -> None:
    # traders' tables: DIN 935 M12 m 14.57-15, w 9.64-10; DIN 937 M12 m 9.64-10, w 5.7-6
    assert sure_pin_window(castle_nut("DIN 935-1", 12), 3.2) == pytest.approx(1.37, abs=1e-9)
    assert sure_pin_window(castle_nut("DIN 937", 12), 3.2) == pytest.approx(0.44, abs=1e-9)


@pytest.mark.parametrize(
    ("bolt", "pin"),
    [(5.51, 1.6), (7, 1.6), (7.02, 2), (9, 2), (11, 2.5), (11.1125, 3.2), (14, 3.2), (14.2875, 4), (20, 4), (27, 5)],
)
def test_ranges_of_bolts_are_over_one_size_up_to_and_including_the_next(bolt: float, pin: float) -> None:
    assert split_pin(bolt).nominal == pin


def test_wires_are_looked_up_and_the_one_from_memory_says_so() -> None:
    wires = {split_pin(bolt).nominal: split_pin(bolt) for bolt in (6, 8, 10, 12, 16, 22)}
    # ISO 1234 as a copy of IS 549 has it: at most 1.8 for 2, 2.3 for 2.5, 2.9 for 3.2, 3.7 for 4, 4.6 for 5 (looked up)
    looked_up = {nominal: pin.wire_max for nominal, pin in wires.items() if pin.wire_source_kind == "standard"}
    assert looked_up == {2: 1.8, 2.5: 2.3, 3.2: 2.9, 4: 3.7, 5: 4.6}
    assert wires[1.6].wire_source_kind == "memory"
    assert split_pin(12.7, "ASME B18.8.1").wire_max is None


def test_holes_of_bs_1083_bolts() -> None:
    # a web copy of BS 1083: hole .070-.075 in for 1/4 to 3/8, .104-.110 for 7/16 and 1/2, .136-.143 for 9/16 and 5/8
    expected = {1 / 4: (70, 75), 3 / 8: (70, 75), 7 / 16: (104, 110), 1 / 2: (104, 110), 5 / 8: (136, 143)}
    for inch, thousandths in expected.items():
        assert nuts.bs1083_pin_hole(inch * 25.4) == pytest.approx([0.0254 * size for size in thousandths], rel=1e-9)
    # at 3/8 and 1/2 in the pin of the clevis-pin list does not go in
    for inch in (3 / 8, 1 / 2):
        assert nuts.bs1083_pin_hole(inch * 25.4)[1] < split_pin(inch * 25.4, "ASME B18.8.1").nominal


@pytest.mark.parametrize(
    ("ask", "message", "mending", "code"),
    [
        (
            lambda: castle_nut("DIN 953", 12),
            "'DIN 953' is no standard for castle nuts that is known here",
            "nearest: DIN 937, DIN 935-1",
            "nut-01",
        ),
        (
            lambda: castle_nut("DIN 937", 12.7),
            "DIN 937 has no castle nut of 12.7 mm in the table",
            "sizes in the table: M10, M12, M14, M16, M18; for any other, measure the nut",
            "nut-02",
        ),
        (
            lambda: split_pin(12, "ISO 1324"),
            "'ISO 1324' is no standard for split pins that is known here",
            "nearest: ISO 1234",
            "pin-01",
        ),
        (
            lambda: split_pin(5.5),
            "ISO 1234 has no split pin for a bolt of 5.5 mm in the table",
            "the table goes from 5.5 to 27 mm; for any other, measure the hole",
            "pin-02",
        ),
        (
            lambda: split_pin(14.2875, "ASME B18.8.1"),
            "ASME B18.8.1 has no split pin for a bolt of 14.2875 mm in the table",
            "the table goes from 9.525 to 19.05 mm; for any other, measure the hole",
            "pin-02",
        ),
    ],
)
def test_refusals(ask: Callable[[], object], message: str, mending: str, code: str) -> None:
    with pytest.raises(DataFault) as caught:
        ask()
    assert (caught.value.message, caught.value.mending, caught.value.code) == (message, mending, code)
