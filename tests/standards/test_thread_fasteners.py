"""Holes, tap drills, hexagons and nut heights: every published row, then relations that no row was made from."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest

from fitment.errors import DataFault
from fitment.standards.fasteners import across_flats, hexagons, nut_height
from fitment.standards.holes import clearance_hole_inch, clearance_hole_metric, tap_drill
from fitment.standards.table_files import rows
from fitment.standards.thread_limits import internal_limits
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import MM_PER_INCH, inch_size
from tests.support.threads import published, within

ROWS = published("threads_fasteners")
Row = dict[str, str]
METRIC_SIZES = [6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0]


def metric_hole(row: Row) -> float:
    return clearance_hole_metric(float(row["designation"][1:]), row["quantity"].split()[2]).diameter


def inch_hole(row: Row) -> float:
    size = float(inch_size(row["designation"].split()[0])) * MM_PER_INCH
    fit = row["quantity"].split()[3]
    hole = clearance_hole_inch(size, fit)
    assert f"({hole.drill})" in row["quantity"]
    return hole.diameter / MM_PER_INCH


def drill(row: Row) -> float:
    found = tap_drill(parse_thread(row["designation"]).thread)
    if row["unit"] == "mm":
        return found.diameter
    assert f"({found.drill})" in row["quantity"]
    return found.diameter / MM_PER_INCH


def flats(row: Row) -> float:
    wanted = {"iso": "ISO 272", "din": "DIN 931/933/934"}[row["id"].split("-")[1]]
    size = float(row["designation"][1:])
    return next(hexagon.flats for hexagon in across_flats(size) if hexagon.standard == wanted)


CHECKS: dict[str, Callable[[Row], float]] = {
    "iso273": metric_hole,
    "b1828": inch_hole,
    "tap": drill,
    "af": flats,
    "jam": lambda row: nut_height(float(row["designation"][1:]), "ISO 4035"),
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_published_fasteners(row: Row) -> None:
    assert within(CHECKS[row["id"].split("-")[0]](row), row)


def test_no_published_fastener_is_left_out() -> None:
    assert len(ROWS) == len({row["id"] for row in ROWS}) == 93
    assert {row["id"].split("-")[0] for row in ROWS} == set(CHECKS)


@pytest.mark.parametrize("size", METRIC_SIZES)
def test_metric_holes_are_in_order_and_clear_the_bolt(size: float) -> None:
    fine, medium, coarse = (clearance_hole_metric(size, fit).diameter for fit in ("fine", "medium", "coarse"))
    assert size < fine < medium < coarse <= 1.25 * size


def test_holes_grow_with_the_bolt() -> None:
    for fit in ("fine", "medium", "coarse"):
        assert all(
            clearance_hole_metric(a, fit).diameter < clearance_hole_metric(b, fit).diameter
            for a, b in pairwise(METRIC_SIZES)
        )


@pytest.mark.parametrize("size", ["5/16", "3/8", "7/16", "1/2", "5/8", "3/4"])
def test_inch_holes_are_in_order_and_clear_the_bolt(size: str) -> None:
    nominal = float(inch_size(size)) * MM_PER_INCH
    close, normal, loose = (clearance_hole_inch(nominal, fit).diameter for fit in ("close", "normal", "loose"))
    assert nominal < close < normal < loose <= 1.25 * nominal


#: above the largest minor diameter of 2B by 0.0006 and 0.0001 in, and customary all the same
CUSTOMARY = {"9/16-18 UNF": 0.0007, "5/8-18 UNF": 0.0002}


@pytest.mark.parametrize("row", rows("fasteners_tap_drills"), ids=lambda row: row["thread"])
def test_tap_drills_lie_inside_the_minor_diameter_limits(row: Row) -> None:
    thread = parse_thread(row["thread"]).thread
    nut = internal_limits(thread)
    diameter = tap_drill(thread).diameter
    over = CUSTOMARY.get(row["thread"], 0.0) * MM_PER_INCH
    assert nut.D1_min <= diameter <= nut.D1_max + over
    assert (diameter > nut.D1_max) == (row["thread"] in CUSTOMARY)
    assert diameter == pytest.approx(thread.nominal - thread.pitch, abs=0.25)


def test_every_hexagon_is_of_a_reasonable_size() -> None:
    assert len(hexagons()) == 42
    for hexagon in hexagons():
        assert 1.3 < hexagon.flats / hexagon.nominal < 1.9
        assert hexagon.source_kind in ("library", "handbook", "memory")


def test_hexagons_of_a_standard_grow_with_the_thread() -> None:
    kinds = {(hexagon.standard, hexagon.on) for hexagon in hexagons()}
    assert len(kinds) == 6
    for kind in kinds:
        of_kind = [hexagon for hexagon in hexagons() if (hexagon.standard, hexagon.on) == kind]
        assert all(a.nominal < b.nominal and a.flats < b.flats for a, b in pairwise(of_kind))


def test_old_flats_differ_at_four_sizes() -> None:
    """DIN 931/933/934 against ISO 272: M10 17 for 16, M12 19 for 18, M14 22 for 21, M22 32 for 34."""
    by_size = {size: {h.standard: h.flats for h in across_flats(size)} for size in METRIC_SIZES}
    differing = {size for size, found in by_size.items() if found["ISO 272"] != found["DIN 931/933/934"]}
    assert differing == {10.0, 12.0, 14.0, 22.0}


def test_flats_of_an_inch_thread_name_their_spanner() -> None:
    # BS 1083 largest, and US hex cap screw
    found = {(hexagon.standard, hexagon.on): hexagon.flats_text for hexagon in across_flats(9.525)}
    assert found == {("US inch", "bolt"): "9/16", ("US inch", "nut"): "9/16", ("BS 1083", "bolt and nut"): "0.600"}
    assert across_flats(13.0) == ()


@pytest.mark.parametrize("size", METRIC_SIZES)
def test_a_thin_nut_is_half_a_diameter_and_a_full_one_more(size: float) -> None:
    assert nut_height(size, "ISO 4035") == pytest.approx(size / 2.0, abs=0.25)
    assert 0.8 * size < nut_height(size, "ISO 4032") < size


@pytest.mark.parametrize(
    ("call", "message", "mending"),
    [
        (
            lambda: clearance_hole_metric(11.0, "medium"),
            "no clearance hole is held for M11",
            "held: M6, M8, M10, M12, M14, M16, M18, M20, M22",
        ),
        (
            lambda: clearance_hole_metric(10.0, "middle"),
            "middle is not a fit of ISO 273",
            "allowed: fine, medium, coarse",
        ),
        (
            lambda: clearance_hole_inch(14.2875, "close"),
            "no clearance hole is held for 0.5625 in",
            "held: 5/16, 3/8, 7/16, 1/2, 5/8, 3/4",
        ),
        (
            lambda: clearance_hole_inch(12.7, "lose"),
            "lose is not a fit of ASME B18.2.8",
            "allowed: close, normal, loose",
        ),
        (
            lambda: tap_drill(parse_thread("3/8 BSF").thread),
            "no tap drill is held for 3/8-20 BSF",
            "choose one inside the nut's minor diameter limits",
        ),
        (
            lambda: nut_height(11.0, "ISO 4032"),
            "no ISO 4032 nut is held for M11",
            "held: M6, M8, M10, M12, M14, M16, M18, M20, M22",
        ),
        (lambda: nut_height(10.0, "DIN 934"), "no nut heights are held for DIN 934", "held: ISO 4032, ISO 4035"),
    ],
)
def test_refusals(call: Callable[[], object], message: str, mending: str) -> None:
    with pytest.raises(DataFault) as caught:
        call()
    assert (caught.value.message, caught.value.mending) == (message, mending)
