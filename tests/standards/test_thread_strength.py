"""Areas, engagements and strengths: every published row, the printed worked examples, then relations."""

from __future__ import annotations

from collections.abc import Callable
from math import isnan, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.standards.strength import (
    bolt_bending_factor,
    engagement_equal,
    engagement_for_load,
    engagement_unequal,
    engagement_vdi,
    internal_shear_area,
    pull_out_load,
    shear_areas,
    slot_factor,
    spreading_factor,
    strength_ratio,
    stress_area,
    stress_area_asme_strong,
)
from fitment.standards.strength_classes import (
    MPA_PER_KSI,
    bolt_proof_load,
    engagement_rules,
    nut_proof_load,
    property_class,
    sae_grade,
)
from fitment.standards.table_files import rows
from fitment.standards.thread_limits import external_limits, internal_limits
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import MM_PER_INCH, Thread, all_threads
from tests.support.threads import published, within

ROWS = published("threads_strength")
Row = dict[str, str]


def thread_of(row: Row) -> Thread:
    words = row["designation"].split()
    return parse_thread(" ".join(words[:2]) if words[0][0] != "M" else words[0]).thread


def areas(thread: Thread) -> tuple[float, float]:
    return shear_areas(thread, external_limits(thread), internal_limits(thread))


def least_engagement(row: Row) -> float:
    thread = thread_of(row)
    return float(engagement_equal(stress_area(thread), areas(thread)[0]))


def property_value(row: Row) -> float:
    mark, _, size = row["designation"].partition(" ")
    found = property_class(mark, 20.0 if size == "d>16" else 10.0)
    return {"Rm": found.tensile, "Rp": found.yield_stress, "Sp": found.proof}[row["id"].rsplit("-", 1)[1]]


def sae_value(row: Row) -> float:
    size = 1.25 if "over 1 to" in row["designation"] else 0.5
    found = sae_grade(row["designation"].split()[3].strip(","), size * MM_PER_INCH)
    values = {"proof": found.proof, "yield": found.yield_stress, "tensile": found.tensile}
    return values[row["quantity"].split()[-2]] / MPA_PER_KSI


def nut_load(row: Row) -> float:
    size, _, mark = row["designation"].split()
    return nut_proof_load(float(size[1:]), mark, "2" if mark == "12" else "1").load


def bolt_load(row: Row) -> float:
    return bolt_proof_load(thread_of(row), row["designation"].split()[1]).load


#: the examples, with the diameters that each one names
M10 = parse_thread("M10x1.5").thread
EXAMPLES: dict[str, Callable[[], float]] = {
    "ex-A-load": lambda: 1200.0 * round(stress_area(M10)),
    "ex-A-Le": lambda: float(engagement_for_load(69600.0, internal_shear_area(1.5, 9.968, 9.206), 130.0)),
    "ex-A-Le-corrected": lambda: float(engagement_for_load(69600.0, areas(M10)[1], 130.0)),
    "ex-B-Le": lambda: float(engagement_for_load(830.0 * 58.0, internal_shear_area(1.5, 10.0, 9.026), 0.6 * 310.0)),
    "ex-B-Le-limits": lambda: float(engagement_for_load(830.0 * 58.0, areas(M10)[1], 0.6 * 310.0)),
}
RULES = {
    "rule-ac4313": "turnbuckle threads outside",
    "rule-witness": "witness wire",
    "rule-steel": "steel in steel",
    "rule-adjuster": "steering adjuster",
    "rule-alu": "steel in aluminium",
}


def pull_out_factor(row: Row) -> float:
    assert engagement_rules()["pull-out factor"].value == float(row["value"])
    return float(pull_out_load(9.0, 130.0, 20.0)) / (pi * 9.0 * 130.0 * 20.0)


#: what computes each group of rows, by the beginning of its id
CHECKS: dict[str, Callable[[Row], float]] = {
    "As": lambda row: stress_area(thread_of(row)),
    "At": lambda row: stress_area(thread_of(row)) / MM_PER_INCH**2,
    "shear-ext": lambda row: areas(thread_of(row))[0],
    "shear-int": lambda row: areas(thread_of(row))[1],
    "Le-MH": lambda row: least_engagement(row) / (MM_PER_INCH if row["unit"] == "in" else 1.0),
    "ex": lambda row: EXAMPLES[row["id"]](),
    "pc": property_value,
    "proof": bolt_load,
    "nut": nut_load,
    "sae": sae_value,
    "rule-nasa": pull_out_factor,
    "rule": lambda row: engagement_rules()[RULES[row["id"]]].value,
}


def check_of(row: Row) -> str:
    return next(name for name in CHECKS if row["id"].startswith(name + "-") or row["id"] == name)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_published_strengths(row: Row) -> None:
    assert within(CHECKS[check_of(row)](row), row)


def test_no_published_strength_is_left_out() -> None:
    assert len(ROWS) == len({row["id"] for row in ROWS}) == 159
    assert {check_of(row) for row in ROWS} == set(CHECKS)


def test_a_fifth_is_lost_by_taking_basic_sizes_for_limits() -> None:
    """Examples A and B of the published rows differ from the right answer by their diameters alone."""
    assert EXAMPLES["ex-A-Le"]() < 0.88 * EXAMPLES["ex-A-Le-corrected"]()
    assert EXAMPLES["ex-B-Le"]() < 0.8 * EXAMPLES["ex-B-Le-limits"]()


STRAIGHT = [thread for thread in all_threads() if thread.form != "W"]


@pytest.mark.parametrize("thread", STRAIGHT, ids=lambda thread: thread.designation)
def test_areas_of_every_thread(thread: Thread) -> None:
    """The stress area lies between the root's and the pitch diameter's; a nut's thread carries more than a bolt's."""
    bolt = external_limits(thread)
    assert pi / 4.0 * bolt.d3_min**2 < stress_area(thread) < pi / 4.0 * (thread.nominal - 0.6 * thread.pitch) ** 2
    external, internal = areas(thread)
    assert 0.0 < external < internal


@pytest.mark.parametrize(
    "thread", [t for t in STRAIGHT if t.first_choice and t.nominal >= 5], ids=lambda t: t.designation
)
def test_equal_materials_need_between_two_thirds_and_nine_tenths_of_a_diameter(thread: Thread) -> None:
    """Computed: 0.73 to 0.82 d for the metric sizes of 6 to 22 mm."""
    share = float(engagement_equal(stress_area(thread), areas(thread)[0])) / thread.nominal
    assert 0.65 < share < 0.9


def test_the_strong_formula_is_near_the_usual_one_and_below_it() -> None:
    thread = parse_thread("3/4-16").thread
    strong = float(stress_area_asme_strong(external_limits(thread).d2_min, thread.pitch))
    assert 0.95 * stress_area(thread) < strong < stress_area(thread)


def test_no_stress_area_for_whitworth() -> None:
    with pytest.raises(DataFault) as caught:
        stress_area(parse_thread("3/8 BSF").thread)
    assert caught.value.message == "no stress area is held for the Whitworth form (3/8-20 BSF)"
    assert caught.value.mending == "give the load from the part's own standard"


def test_a_weaker_nut_needs_more_and_a_stronger_one_no_less() -> None:
    external, internal = areas(M10)
    soft = strength_ratio(external, 1040.0, internal, 310.0)
    hard = strength_ratio(external, 800.0, internal, 1040.0)
    assert soft == pytest.approx(external / internal * 1040.0 / 310.0)
    assert engagement_unequal(7.44, soft) == pytest.approx(7.44 * soft)
    assert engagement_unequal(7.44, hard) == 7.44


def test_vdi_engagement_of_a_thick_equal_nut() -> None:
    """VDI 2230 after Alexander, from memory; the factors at s/d = 1.6 and R = 1, worked out by hand."""
    assert spreading_factor(16.0, 10.0) == pytest.approx(0.91)
    assert bolt_bending_factor(1.0) == 0.897
    limits = external_limits(M10), internal_limits(M10)
    needed = engagement_vdi(M10, 1040.0, 500.0, limits[0].d_min, limits[1].D2_max, 0.91 * 0.897)
    area = 0.91 * 0.897 * internal_shear_area(1.5, limits[0].d_min, limits[1].D2_max)
    assert needed == pytest.approx(1040.0 * stress_area(M10) / (500.0 * area) + 1.2)


@given(st.floats(1.4, 4.0), st.floats(0.0, 1.0))
def test_a_thicker_sleeve_never_spreads_more(ratio: float, more: float) -> None:
    assert 0.745 <= spreading_factor(ratio, 1.0) <= spreading_factor(ratio + more, 1.0) <= 1.001


def test_factors_say_nan_where_their_formula_does_not_reach() -> None:
    assert isnan(spreading_factor(13.9, 10.0))
    assert isnan(bolt_bending_factor(0.4))
    assert bolt_bending_factor(0.999) == pytest.approx(0.897, abs=0.001)
    found = bolt_bending_factor(np.array([0.3, 0.7, 2.0]))
    assert isnan(found[0])
    assert list(found[1:]) == [bolt_bending_factor(0.7), 0.897]


def test_a_slot_takes_its_share_of_the_circumference() -> None:
    assert slot_factor(3.0, 12.5) == pytest.approx(1.0 - 3.0 / 39.27, abs=1e-5)


def test_strengths_are_in_order() -> None:
    for row in rows("fasteners_property_classes"):
        assert float(row["Rm_min_MPa"]) > float(row["Rp02_min_MPa"]) > float(row["proof_MPa"])
        # ISO 898-1: the two numbers of a mark are Rm/100 and the yield share, as far as rounded names go
        first, second = row["class"].split(".")
        assert float(row["Rm_min_MPa"]) == pytest.approx(100.0 * int(first), rel=0.05)
        assert float(row["Rp02_min_MPa"]) / float(row["Rm_min_MPa"]) == pytest.approx(int(second) / 10.0, abs=0.005)
    for row in rows("fasteners_sae_grades"):
        assert float(row["tensile_min_ksi"]) > float(row["yield_min_ksi"]) > float(row["proof_ksi"])


def test_proof_loads_are_stress_area_times_proof_stress() -> None:
    """ISO 898-1; three printed loads differ from the rounded product by one in the third figure."""
    for row in rows("fasteners_bolt_proof_loads"):
        thread = parse_thread(row["size"]).thread
        product = stress_area(thread) * property_class(row["class"], thread.nominal).proof
        assert float(row["proof_load_N"]) == pytest.approx(product, rel=0.008)


def test_nut_loads_grow_with_size_and_class_and_exceed_the_bolts() -> None:
    """ISO 898-2: a nut carries at least the proof load of the bolt of its class."""
    for row in rows("fasteners_nut_proof_loads"):
        load, nominal = float(row["proof_load_N"]), float(row["size"][1:])
        bolt_mark = {"8": "8.8", "10": "10.9", "12": "12.9"}[row["class"]]
        assert load >= bolt_proof_load(parse_thread(row["size"]).thread, bolt_mark).load
        lower = [
            r for r in rows("fasteners_nut_proof_loads") if r["style"] == row["style"] and r["class"] == row["class"]
        ]
        assert all(float(other["proof_load_N"]) < load for other in lower if float(other["size"][1:]) < nominal)


def test_style_1_of_class_12_is_held_beside_style_2() -> None:
    # EN 20898-2 extract
    assert nut_proof_load(10.0, "12", "1").load == 66100.0
    assert nut_proof_load(10.0, "12", "2").load == 67300.0


def test_where_a_load_comes_from_is_said() -> None:
    assert bolt_proof_load(parse_thread("M10").thread, "8.8").source_kind == "standard"
    assert bolt_proof_load(parse_thread("M10x1.25").thread, "8.8").source_kind == "computed"


@pytest.mark.parametrize(
    ("call", "message", "mending"),
    [
        (
            lambda: property_class("8.9", 10.0),
            "no strength is held for property class 8.9 at 10 mm",
            "held: 8.8, 10.9, 12.9 up to 39 mm",
        ),
        (
            lambda: property_class("8.8", 42.0),
            "no strength is held for property class 8.8 at 42 mm",
            "held: 8.8, 10.9, 12.9 up to 39 mm",
        ),
        (
            lambda: sae_grade("2", 12.7),
            "no strength is held for SAE grade 2 at 0.5 in",
            "held: grades 5 and 8 from 1/4 to 1-1/2 in",
        ),
        (
            lambda: sae_grade("5", 6.0),
            "no strength is held for SAE grade 5 at 0.23622 in",
            "held: grades 5 and 8 from 1/4 to 1-1/2 in",
        ),
        (
            lambda: bolt_proof_load(parse_thread("9/16-18").thread, "8.8"),
            "no proof load is held for 9/16-18 UNF",
            "use a metric thread, or SAE J429 stresses with the stress area",
        ),
        (
            lambda: nut_proof_load(10.0, "9", "1"),
            "no proof load is held for a nut M10 class 9 style 1",
            "nearest: M10 class 8 style 1, M10 class 12 style 1, M10 class 10 style 1",
        ),
    ],
)
def test_refusals(call: Callable[[], object], message: str, mending: str) -> None:
    with pytest.raises(DataFault) as caught:
        call()
    assert (caught.value.message, caught.value.mending) == (message, mending)
