"""Reaming, turning over, walls: the published rows, then what a cutter really leaves."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fitment.joints import cone_seat as cs
from fitment.joints import cone_work as cw

TABLE = Path(__file__).parents[1] / "published" / "cone_work.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))


def ratios(text: str) -> list[float]:
    return [1 / float(x) for x in re.findall(r"1:(\d+)", text)]


def labelled(text: str, label: str) -> float:
    return float(re.findall(label + r"[ =]([\d.]+)", text)[0])


def retaper_row(text: str) -> float:
    old, new = ratios(text)
    return float(cw.least_large_end(labelled(text, "D"), old, labelled(text, "H"), new))


def flip_row(text: str) -> float:
    (new,) = ratios(text)
    return float(cw.least_large_end_turned_over(labelled(text, "D"), 0.1, labelled(text, "H"), new))


def depth_row(text: str) -> float:
    """A reamer of the eye's own taper, to a large end 0.5 mm wider."""
    (taper,) = ratios(text)
    return float(cw.ream_to_seat(15.0, taper, 14.0, taper, 16.0, 0.5 / taper).depth_extra)


CALCULATORS: dict[str, Callable[[str], float]] = {
    "REAM": depth_row,
    "RETAPER": retaper_row,
    "FLIP": flip_row,
    "HOOP": lambda text: float(cw.hoop_factor(labelled(text, "Do"))),
    "BUSH": lambda text: float(cw.walls(labelled(text, "OD"), labelled(text, "large end"), 0.1, 18.0).large_end),
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_published_row(row: dict[str, str]) -> None:
    calculated = CALCULATORS[row["id"].split("-")[0]](row["designation"])
    assert calculated == pytest.approx(float(row["value"]), rel=0, abs=float(row["tolerance"]))


def test_every_published_row_names_its_source_and_none_is_missing() -> None:
    kinds = [row["id"].split("-")[0] for row in ROWS]
    assert {kind: kinds.count(kind) for kind in kinds} == {"HOOP": 5, "REAM": 2, "RETAPER": 2, "FLIP": 2, "BUSH": 1}
    for row in ROWS:
        assert row["source"] not in ("", "same"), row["id"]
        assert row["source_kind"] == "computed", row["id"]
        assert float(row["tolerance"]) > 0, row["id"]


def test_plan_to_seat_a_1_8_stud_in_a_1_10_eye() -> None:
    plan = cw.ream_to_seat(14.2, 0.125, 13.5, 0.1, 16.0, 1.6)
    assert (plan.large_new, plan.small_new) == pytest.approx((14.0, 12.0))
    assert plan.margin_clean == pytest.approx(14.0 - 13.9)
    assert plan.cleans_up
    # the steeper reamer first rides on the old mouth, 13.5: (14.0 - 13.5)/0.125
    assert plan.depth_extra == pytest.approx(4.0)


def test_flatter_reamer_first_touches_the_small_end() -> None:
    plan = cw.ream_to_seat(15.1, 0.1, 15.0, 0.125, 18.0, 1.0)
    # old small end 12.75; the reamer is 12.75 there when its large face reads 14.55; to 15.0 it goes 4.5 further
    assert plan.depth_extra == pytest.approx(4.5)
    assert plan.margin_clean == pytest.approx(0.0, abs=1e-9)
    assert plan.cleans_up


def test_an_eye_that_is_already_the_wanted_one_cleans_up_whatever_the_last_digit() -> None:
    stand_offs = [step / 10 for step in range(40)]
    plans = [cw.ream_to_seat(14.7, 0.1, round(14.7 - a / 10, 2), 0.1, 17.3, a) for a in stand_offs]
    assert min(plan.margin_clean for plan in plans) < 0  # the last digit, so that the case is met
    assert all(plan.cleans_up for plan in plans)


def test_too_small_a_ream_leaves_a_band_of_the_old_cone() -> None:
    plan = cw.ream_to_seat(14.2, 0.125, 13.5, 0.1, 16.0, 3.2)
    assert plan.margin_clean == pytest.approx(-0.1)
    assert not plan.cleans_up


def test_walls_at_both_ends() -> None:
    assert cw.walls(28.0, 15.0, 0.125, 16.0) == pytest.approx((6.5, 7.5))


def test_bore_ratio_and_a_vanished_wall() -> None:
    assert cw.bore_ratio(14.0, 28.0) == 0.5
    assert cw.hoop_factor(1.0) > 1e8


def test_turned_over_twice_is_the_same_eye() -> None:
    large, taper = cw.turned_over(15.0, 0.125, 16.0)
    assert (large, taper) == (13.0, -0.125)
    assert cw.turned_over(large, taper, 16.0) == (15.0, 0.125)


# -- properties ----------------------------------------------------------------------------------------------------

diameters = st.floats(11.0, 20.0)
tapers = st.sampled_from([1 / 6, 1 / 8, 0.1, 1 / 12, 0.122325])
old_tapers = st.one_of(tapers, tapers.map(lambda taper: -taper))
thicknesses = st.floats(8.0, 26.0)
stand_offs = st.floats(-4.0, 8.0)


@given(diameters, tapers, diameters, old_tapers, thicknesses, stand_offs)
def test_clean_up_is_what_a_cutter_leaves(
    Ds: float, Cs: float, De: float, Ce: float, H: float, stand_off: float
) -> None:
    plan = cw.ream_to_seat(Ds, Cs, De, Ce, H, stand_off)
    assume(abs(float(plan.margin_clean)) > 1e-6)
    planes = np.linspace(0.0, H, 101)
    old, new = De - Ce * planes, float(plan.large_new) - Cs * planes
    assert bool(plan.cleans_up) is bool(np.all(new >= old))
    # the reamer drawn back by depth_extra just touches the old cone, on the way in or past it
    touching = new - Cs * float(plan.depth_extra)
    assert float(np.max(touching - old)) == pytest.approx(0.0, abs=1e-9)


@given(diameters, tapers, diameters, old_tapers, thicknesses, stand_offs, st.floats(10.0, 30.0))
def test_stud_seats_where_it_was_wanted(
    Ds: float, Cs: float, De: float, Ce: float, H: float, stand_off: float, Ls: float
) -> None:
    plan = cw.ream_to_seat(Ds, Cs, De, Ce, H, stand_off)
    seat = cs.seat(Ds, Cs, Ls, plan.large_new, Cs, H)
    assert seat.stand_off == pytest.approx(stand_off, abs=1e-9)
    assert plan.large_new == cw.large_end_to_seat(Ds, Cs, stand_off)


@given(diameters, tapers, thicknesses, tapers)
def test_turning_over_needs_the_old_large_end_as_small_end(De: float, Ce: float, H: float, new: float) -> None:
    least = cw.least_large_end_turned_over(De, Ce, H, new)
    assert cs.diameter_at(least, new, H) == pytest.approx(De)
    assert least > cw.least_large_end(De, Ce, H, new)
    plan = cw.ream_to_seat(De, new, *cw.turned_over(De, Ce, H), H, 0.0)
    assert plan.margin_clean == pytest.approx(De - float(least), abs=1e-9)


@given(st.lists(st.tuples(diameters, tapers, diameters, old_tapers, thicknesses, stand_offs), min_size=1, max_size=20))
def test_arrays_take_the_same_road_as_floats(many: list[tuple[float, float, float, float, float, float]]) -> None:
    columns = [np.array(column) for column in zip(*many, strict=True)]
    together = cw.ream_to_seat(*columns)
    Ds, Cs, De, _, H, _ = columns
    both, factors = cw.walls(2 * Ds, De, Cs, H), np.asarray(cw.hoop_factor(cw.bore_ratio(De, 2 * Ds)))
    for index, one in enumerate(many):
        for whole, single in zip(together, cw.ream_to_seat(*one), strict=True):
            assert np.asarray(whole)[index] == single
        ds, cs_, de, _, h, _ = one
        for whole, single in zip(both, cw.walls(2 * ds, de, cs_, h), strict=True):
            assert np.asarray(whole)[index] == single
        assert factors[index] == cw.hoop_factor(cw.bore_ratio(de, 2 * ds))
