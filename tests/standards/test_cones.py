"""Named cones and the ways of saying a taper, against the published angles."""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.standards import cones

PUBLISHED = Path(__file__).parents[1] / "published" / "cones.csv"


def published() -> list[dict[str, str]]:
    with PUBLISHED.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def computed(row: dict[str, str]) -> float:
    """Our figure for a published row."""
    quantity, designation = row["quantity"], row["designation"]
    readings = re.search(r"([\d.]+)(?:/| -> )([\d.]+) (?:mm )?over ([\d.]+)", quantity)
    if readings:
        ratio = cones.ratio_from_diameters(*(float(number) for number in readings.groups()))
        return float(cones.included_angle(ratio) if "angle" in quantity else ratio)
    if quantity.startswith("standard uncertainty of C"):
        (reading,) = re.findall(r"[\d.]+ mm", quantity)
        length = {"MEAS-COUPE-BJ-UC": 20.6, "MEAS-COUPE-TRE-UC": 17.5}[row["id"]]
        u = float(reading.removesuffix(" mm"))
        return float(cones.ratio_uncertainty(u, u, length))
    if designation.endswith("in per foot"):
        return float(cones.included_angle(float(designation.removesuffix(" in per foot")) / 12))
    if designation.endswith("deg included"):
        return float(cones.ratio_from_included(float(designation.removesuffix(" deg included"))))
    # the rest are by name, so that the table is read and not only the formula
    cone = next(cone for cone in cones.all_cones() if cone.name == designation)
    by_quantity = {
        "cone full angle": cones.included_angle,
        "cone half angle": cones.half_angle,
        "taper per foot": cones.inch_per_foot,
    }
    return float(by_quantity[quantity](cone.ratio))


@pytest.mark.parametrize("row", published(), ids=lambda row: row["id"])
def test_published(row: dict[str, str]) -> None:
    assert computed(row) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]), rel=0)


def test_every_standard_cone_has_its_published_row() -> None:
    printed = {row["designation"] for row in published() if row["source_kind"] == "standard"}
    assert {cone.name for cone in cones.all_cones() if cone.standard} == printed


def test_trade_names_are_other_names_of_the_same_cone_or_cones_of_their_own() -> None:
    by_name = {cone.name: cone for cone in cones.all_cones()}
    assert by_name["1:8"].also == ("1.5 in/ft",)
    for cone in cones.all_cones():
        for other in cone.also:
            if other.endswith("in/ft"):
                assert cones.inch_per_foot(cone.ratio) == pytest.approx(float(other.removesuffix(" in/ft")), rel=1e-12)
    # 7 degree is no 1.5 in/ft: 0.153 deg apart; 10 degree and 2 in/ft 0.473 deg (computed, 2 atan(C/2))
    seven, ten = by_name["7 deg included"].ratio, by_name["10 deg included"].ratio
    assert cones.included_angle(0.125) - cones.included_angle(seven) == pytest.approx(0.153, abs=5e-4)
    assert cones.included_angle(ten) - cones.included_angle(1 / 6) == pytest.approx(0.473, abs=5e-4)


def test_cones_are_in_order_and_what_is_met_on_steering_says_who_says_so() -> None:
    ratios = [cone.ratio for cone in cones.all_cones()]
    assert ratios == sorted(set(ratios), reverse=True)
    met = {cone.name: cone.met_source_kind for cone in cones.all_cones() if cone.met_on_steering}
    assert met == {
        "10 deg included": "memory",
        "1:6": "memory",
        "1:8": "common-practice",
        "7 deg included": "common-practice",
        "1:10": "common-practice",
    }


def test_half_and_included_angles_are_not_mixed() -> None:
    # "7 deg" included is 1:8.175, as a half angle 1:4.07
    assert 1 / cones.ratio_from_included(7) == pytest.approx(8.175, abs=5e-4)
    assert 1 / cones.ratio_from_half(7) == pytest.approx(4.07, abs=5e-3)


@given(st.floats(0.001, 1.9))
def test_every_way_of_saying_a_taper_comes_back_to_it(ratio: float) -> None:
    assert cones.ratio_from_included(cones.included_angle(ratio)) == pytest.approx(ratio, rel=1e-12)
    assert cones.ratio_from_half(cones.half_angle(ratio)) == pytest.approx(ratio, rel=1e-12)
    assert cones.inch_per_foot(ratio) / 12 == pytest.approx(ratio, rel=1e-12)
    small = cones.diameter_at(50.0, ratio, 20.0)
    assert cones.ratio_from_diameters(50.0, small, 20.0) == pytest.approx(ratio, rel=1e-9)


def test_arrays_take_the_same_road() -> None:
    ratios = np.array([0.05, 0.1, 0.125])
    for formula in (cones.included_angle, cones.half_angle, cones.inch_per_foot):
        assert list(formula(ratios)) == pytest.approx([formula(float(ratio)) for ratio in ratios], rel=1e-14)
    for formula in (cones.ratio_from_included, cones.ratio_from_half):
        assert list(formula(ratios * 100)) == pytest.approx(
            [formula(100 * float(ratio)) for ratio in ratios], rel=1e-14
        )
    assert list(cones.diameter_at(15.0, ratios, 10.0)) == pytest.approx([14.5, 14.0, 13.75])
    assert list(cones.ratio_uncertainty(ratios, ratios, 10.0)) == pytest.approx(list(ratios * math.sqrt(2) / 10))


def test_uncertainty_of_a_ratio_agrees_with_a_simulation() -> None:
    random = np.random.default_rng(20)
    drawn = cones.ratio_from_diameters(
        random.normal(15.0, 0.029, 200_000), random.normal(13.25, 0.087, 200_000), random.normal(17.5, 0.29, 200_000)
    )
    stated = cones.ratio_uncertainty(0.029, 0.087, 17.5, 0.29, 0.1)
    assert float(np.std(drawn)) == pytest.approx(stated, rel=0.01)
    assert cones.ratio_uncertainty(0.029, 0.087, 17.5) == pytest.approx(math.hypot(0.029, 0.087) / 17.5)
    assert cones.ratio_uncertainty(0.029, 0.087, 17.5, 0.29) == cones.ratio_uncertainty(0.029, 0.087, 17.5)
