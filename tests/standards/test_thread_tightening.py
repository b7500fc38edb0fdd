"""Torque and preload of bolts that clamp: every published row, then relations."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.standards.fasteners import across_flats
from fitment.standards.holes import clearance_hole_metric
from fitment.standards.strength_classes import property_class
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import MM_PER_INCH
from fitment.standards.tightening import (
    ELASTIC_TORSION,
    nut_factors,
    preload_vdi,
    tightening,
    torque_screw,
    torque_screw_linear,
    torque_short,
    torque_vdi,
    washer_face,
)
from tests.support.threads import published, within

ROWS = published("threads_tightening")
Row = dict[str, str]

NEWTON_PER_POUND = 4.4482216152605
POUND_INCH = NEWTON_PER_POUND * MM_PER_INCH / 1e3

#: Shigley, 9th ed., example 8-3: 3/4-16, 25 000 lbf, friction 0.15, mean collar diameter 1.25 d
FORCE = 25000.0 * NEWTON_PER_POUND
SCREW = (FORCE, 0.7094 * MM_PER_INCH, MM_PER_INCH / 16.0, 0.15, 0.15, 0.625 * 0.75 * MM_PER_INCH)


def of_table(row: Row) -> float:
    size, mark, friction = row["designation"].split()
    found = tightening(parse_thread(size).thread, mark, float(friction.removeprefix("mu=")))
    return found.preload / 1e3 if row["unit"] == "kN" else found.torque


def of_older_edition(row: Row) -> float:
    """Elastic torsion, and DIN heads that bear as far out as their flats; mu = 0.14."""
    size, mark = row["designation"].split()
    thread = parse_thread(size).thread
    d2, d3 = thread.nominal - 0.649519 * thread.pitch, thread.nominal - 1.226869 * thread.pitch
    proof = property_class(mark, thread.nominal).yield_stress
    preload = preload_vdi(d2, d3, thread.pitch, proof, 0.14, ELASTIC_TORSION)
    flats = next(h.flats for h in across_flats(thread.nominal) if h.standard.startswith("DIN"))
    bearing = (flats + clearance_hole_metric(thread.nominal, "medium").diameter) / 2.0
    return float(torque_vdi(preload, thread.pitch, d2, 0.14, 0.14, bearing))


EXAMPLE_8_3: dict[str, Callable[[], float]] = {
    "shigley-83-K": lambda: float(torque_short(0.2, FORCE, 0.75 * MM_PER_INCH)) / POUND_INCH,
    "shigley-83-long": lambda: float(torque_screw(*SCREW)) / POUND_INCH,
    "shigley-83-linear": lambda: float(torque_screw_linear(*SCREW)) / POUND_INCH,
    "shigley-83-sigma": lambda: 25000.0 / 0.373 / 1e3,
}

CHECKS: dict[str, Callable[[Row], float]] = {
    "vdi": of_table,
    "vdic": of_table,
    "old14": of_older_edition,
    "shigley": lambda row: EXAMPLE_8_3[row["id"]](),
    "K": lambda row: nut_factors()[row["designation"]],
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_published_tightening(row: Row) -> None:
    assert within(CHECKS[row["id"].split("-")[0]](row), row)


def test_no_published_tightening_is_left_out() -> None:
    assert len(ROWS) == len({row["id"] for row in ROWS}) == 269
    assert {row["id"].split("-")[0] for row in ROWS} == set(CHECKS)
    assert set(nut_factors()) == {row["designation"] for row in ROWS if row["id"].startswith("K-")}


M14 = parse_thread("M14x1.5").thread


def test_older_editions_lie_seven_to_ten_per_cent_lower() -> None:
    args = (13.0257, 12.1597, 1.5, 640.0, 0.14)
    ratio = preload_vdi(*args, ELASTIC_TORSION) / preload_vdi(*args)
    assert 0.90 < ratio < 0.93


@given(st.floats(0.05, 0.3), st.floats(0.0, 0.2))
def test_friction_costs_preload(friction: float, more: float) -> None:
    less, greater = tightening(M14, "8.8", friction), tightening(M14, "8.8", friction + more)
    assert greater.preload <= less.preload


@given(st.floats(0.05, 0.3))
def test_a_stronger_bolt_takes_more_in_proportion_to_its_yield(friction: float) -> None:
    weak, strong = tightening(M14, "8.8", friction), tightening(M14, "10.9", friction)
    assert strong.preload / weak.preload == pytest.approx(940.0 / 640.0)
    assert strong.torque / weak.torque == pytest.approx(940.0 / 640.0)


@given(st.floats(0.05, 0.3))
def test_the_short_form_of_vdi_agrees_with_the_screw(friction: float) -> None:
    """0.16 P is P/(2 pi), and 0.58 is half of sec 30: two printed roundings."""
    linear = torque_screw_linear(10000.0, 13.0257, 1.5, friction, friction, 9.0)
    assert torque_vdi(10000.0, 1.5, 13.0257, friction, friction, 18.0) == pytest.approx(linear, rel=0.006)
    assert linear < torque_screw(10000.0, 13.0257, 1.5, friction, friction, 9.0) < 1.01 * linear


@pytest.mark.parametrize("nominal", [6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0])
def test_a_washer_face_lies_between_hole_and_flats(nominal: float) -> None:
    flats = next(h.flats for h in across_flats(nominal) if h.standard == "ISO 272")
    assert clearance_hole_metric(nominal, "coarse").diameter < washer_face(nominal) < flats


@pytest.mark.parametrize(
    ("designation", "message", "mending"),
    [
        (
            "9/16-18",
            "no tightening torque is held for 9/16-18 UNF",
            "use the torque of the vehicle's own manual",
        ),
        ("M24x2", "no clearance hole is held for M24", "held: M6, M8, M10, M12, M14, M16, M18, M20, M22"),
    ],
)
def test_refusals(designation: str, message: str, mending: str) -> None:
    with pytest.raises(DataFault) as caught:
        tightening(parse_thread(designation).thread, "8.8", 0.12)
    assert (caught.value.message, caught.value.mending) == (message, mending)


def test_no_washer_face_beyond_the_table() -> None:
    with pytest.raises(DataFault, match="no washer face is held for M24"):
        washer_face(24.0)
