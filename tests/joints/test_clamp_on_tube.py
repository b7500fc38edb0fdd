"""Rack housing in a clamp, and the clamp's bolts in the crossmember: each rule. Invented parts.

The good clamp: a housing of 42 mm, a bush 42.6 inside and 53 outside (wall 5.2 mm), a bore of 51.4 that leaves 4.7 mm:
squeezed by 0.5/5.2 = 9.6 %. The gap of 1.4 mm was measured on a housing of 42.1 mm, so that 1.3 mm is left here.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fitment.finding import Finding, Verdict
from fitment.joints import clamp_bolts, clamp_on_tube
from fitment.joints.clamp_on_tube import squeeze
from fitment.joints.fasteners import is_strong, metal_of, spanners, spanners_told
from fitment.joints.kinds import joint_kinds
from fitment.joints.limits import default_limits
from fitment.joints.registration import Feature
from tests.support.features import by_rule, changed, feature, setting, without
from tests.support.threads import published

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict

RACK = feature("TEST/RK-1 body", "rack-body", 0.02, tube_left=42.0, tube_right=44.0)
BUSHED = feature(
    "TEST/MT-1 body", "mount-body", 0.02,
    bush_inside=42.6, bush_outside=53.0, clamp_bore=51.4, gap=1.4, tube_dia=42.1, hole_dia=8.6, bolt="M8",
    bolt_class="8.8", foot=4.0, bolt_grip=7.0,
)  # fmt: skip
RIGID = feature(
    "TEST/MT-2 body", "mount-body", 0.005,
    clamp_bore=42.05, gap=0.8, tube_dia=42.0, hole_dia=8.6, bolt="M8", material="aluminium",
)  # fmt: skip
FINE_RACK = feature("TEST/RK-1 body", "rack-body", 0.005, tube_left=42.0)
PLATE = feature("TEST/XM-1 mount", "pattern", 0.02, hole_dia=8.7, thick=3.0, material="steel plate")
BOSS = feature("TEST/XM-2 mount", "pattern", 0.02, captive="M8", thick=18.0, material="cast aluminium")


def clamped(mount: Feature = BUSHED, rack: Feature = RACK, side: str = "left", **limits: float) -> dict[str, Finding]:
    return by_rule(clamp_on_tube.check(rack, mount, setting(4000, limits, side=side)))


def bolted(pattern: Feature = PLATE, mount: Feature = BUSHED, **limits: float) -> dict[str, Finding]:
    return by_rule(clamp_bolts.check(mount, pattern, setting(limits=limits)))


def gaps(finding: Finding) -> list[tuple[str, str]]:
    return [(gap.feature, gap.dimension) for gap in finding.gaps]


def margin(finding: Finding) -> float:
    assert finding.margin is not None
    return finding.margin.value


def test_both_kinds_are_registered() -> None:
    assert joint_kinds()["clamp"] is clamp_on_tube.KIND
    assert joint_kinds()["clamp-bolts"] is clamp_bolts.KIND


def test_a_bush_that_is_squeezed_as_it_should_fits_with_its_numbers() -> None:
    found = clamped()
    assert {code: one.verdict for code, one in found.items()} == dict.fromkeys(
        ("clamp-01", "clamp-02", "clamp-04"), FITS
    )
    one = found["clamp-01"]
    assert one.because == (
        "a bush of 5.20 mm wall has 4.70 mm left between clamp and housing, squeezed by 9.6 %; 5 to 15 % is asked"
    )
    assert one.figures["squeeze"].value == pytest.approx(100 * 0.5 / 5.2)
    assert one.figures["room"].value == pytest.approx(0.6)
    assert margin(one) == pytest.approx(100 * 0.5 / 5.2 - 5, abs=0.1)
    assert one.margin is not None
    assert one.margin.unit == "%"
    assert one.cautions == ("TEST/MT-1 body is recorded on a housing of 42.10 mm; this one is 42.00 mm.",)
    assert found["clamp-02"].figures["gap"].value == pytest.approx(1.3)


@pytest.mark.parametrize(
    ("bore", "words"),
    [(52.4, "squeezed by 0.0 %"), (52.9, "is loose by 0.25 mm"), (50.0, "squeezed by 23.1 %")],
)
def test_a_bush_squeezed_too_little_or_too_much_does_not_fit(bore: float, words: str) -> None:
    one = clamped(changed(BUSHED, "clamp-bore", value=bore))["clamp-01"]
    assert one.verdict is DOES_NOT_FIT
    assert words in one.because


def test_each_side_of_the_rack_has_its_own_housing() -> None:
    right = clamped(side="right")["clamp-01"]
    assert right.verdict is DOES_NOT_FIT  # 44 mm leaves 3.7 mm: 28.8 %
    assert [use.dimension for use in right.uses if use.feature == RACK.name] == ["tube-right"]
    unsaid = clamped(side="")["clamp-01"]
    assert (unsaid.verdict, gaps(unsaid)) == (NOT_KNOWN, [("TEST/RK-1 body", "tube")])


@pytest.mark.parametrize("dimension", ["bush-inside", "bush-outside", "clamp-bore"])
def test_a_bush_of_which_a_size_is_missing_is_not_known(dimension: str) -> None:
    one = clamped(without(BUSHED, dimension))["clamp-01"]
    assert (one.verdict, gaps(one)) == (NOT_KNOWN, [("TEST/MT-1 body", dimension)])


def test_a_d_shaped_bush_and_one_without_a_wall_are_not_known() -> None:
    d_shaped = clamped(feature("TEST/MT-1 body", "mount-body", bush_inside=42.6, bush_height=50.0))["clamp-01"]
    assert (d_shaped.verdict, gaps(d_shaped)) == (NOT_KNOWN, [("TEST/MT-1 body", "bush-height")])
    wrong = clamped(changed(BUSHED, "bush-outside", value=42.0))["clamp-01"]
    assert (wrong.verdict, gaps(wrong)) == (NOT_KNOWN, [("TEST/MT-1 body", "bush-outside")])


def test_a_whole_bush_must_go_over_the_housing_from_its_end() -> None:
    whole = replace(BUSHED, values={**BUSHED.values, **feature("", "mount-body", bush_split="whole").values})
    assert any("goes over the housing from its end" in caution for caution in clamped(whole)["clamp-01"].cautions)


def test_a_rigid_saddle_has_up_to_a_tenth_of_room() -> None:
    good = clamped(RIGID, FINE_RACK)["clamp-01"]
    assert good.verdict is FITS
    assert good.because == (
        "the saddle's bore is 42.05 mm and the housing 42.00 mm, 0.05 mm of room; "
        "0 to 0.10 mm is asked of a rigid saddle before clamping"
    )
    wide = clamped(changed(RIGID, "clamp-bore", value=42.4), FINE_RACK)["clamp-01"]
    tight = clamped(changed(RIGID, "clamp-bore", value=41.7), FINE_RACK)["clamp-01"]
    assert (wide.verdict, tight.verdict) == (DOES_NOT_FIT, DOES_NOT_FIT)
    assert "0.30 mm too large for it" in tight.because
    # measured no better than with a calliper's inside jaws, a tenth cannot be told
    coarse = feature("TEST/MT-2 body", "mount-body", 0.08, clamp_bore=42.05, material="aluminium")
    assert clamped(coarse, FINE_RACK)["clamp-01"].verdict is NOT_KNOWN


def test_a_wide_bore_without_a_bush_is_not_known_unless_its_metal_is_named() -> None:
    wide = changed(without(RIGID, "material"), "clamp-bore", value=51.4)
    one = clamped(wide, FINE_RACK)["clamp-01"]
    assert (one.verdict, gaps(one)) == (NOT_KNOWN, [("TEST/MT-2 body", "bush-outside")])
    # too small is too small with a bush or without
    assert clamped(changed(wide, "clamp-bore", value=40.0), FINE_RACK)["clamp-01"].verdict is DOES_NOT_FIT
    bare = clamped(without(RIGID, "clamp-bore"), FINE_RACK)["clamp-01"]
    assert gaps(bare) == [("TEST/MT-2 body", "clamp-bore"), ("TEST/MT-2 body", "bush-outside")]


def test_the_gap_closes_on_a_smaller_housing() -> None:
    small = clamped(changed(BUSHED, "tube-dia", value=43.6))["clamp-02"]
    assert small.verdict is DOES_NOT_FIT
    assert "close on one another before the clamp grips it by 0.20 mm" in small.because
    unsaid = clamped(without(BUSHED, "tube-dia"))["clamp-02"]
    assert (unsaid.verdict, gaps(unsaid)) == (NOT_KNOWN, [("TEST/MT-1 body", "tube-dia")])


def test_feet_that_touched_gripped_nothing() -> None:
    shut = changed(BUSHED, "gap", value=0.0)
    assert clamped(shut)["clamp-02"].verdict is DOES_NOT_FIT
    # on a larger housing it may grip; how much too wide it was nobody knows
    larger = clamped(changed(shut, "tube-dia", value=41.0))["clamp-02"]
    assert (larger.verdict, gaps(larger)) == (NOT_KNOWN, [("TEST/MT-1 body", "gap")])


def test_a_bolt_too_large_for_its_hole_does_not_fit() -> None:
    good = clamped()["clamp-04"]
    assert good.because == (
        "the clamp's hole is 8.60 mm and the bolt 8.00 mm, marked 8.8; 13 mm spanner (ISO 272 and DIN 931/933/934), "
        "12 mm spanner (Japanese practice of the period)"
    )
    thick = clamped(changed(BUSHED, "bolt", value="M10"))["clamp-04"]
    assert thick.verdict is DOES_NOT_FIT
    unread = clamped(changed(BUSHED, "bolt", value="eight"))["clamp-04"]
    assert (unread.verdict, gaps(unread)) == (NOT_KNOWN, [("TEST/MT-1 body", "bolt")])


def test_spanners_as_published() -> None:
    rows = [row for row in published("threads_fasteners") if row["id"].startswith("af-iso")]
    flats = {row["designation"]: float(row["value"]) for row in rows}
    for size, value in flats.items():
        assert spanners(float(size[1:]))["spanner_iso_272"] == value
    assert spanners_told(9.525) == "9/16 in spanner (US inch), 0.600 in spanner (BS 1083)"
    assert spanners_told(5.0) == "no spanner size is held for it"


def test_movement_is_looked_at_where_it_was_measured() -> None:
    assert "clamp-05" not in clamped()
    moved = {value: feature("TEST/MT-1 body", "mount-body", 0.02, lateral_movement=value) for value in (0.2, 0.9)}
    assert [clamped(one)["clamp-05"].verdict for one in moved.values()] == [FITS, DOES_NOT_FIT]
    assert clamped(moved[0.9], lateral_movement=1.5)["clamp-05"].verdict is FITS


def test_hearsay_of_a_clamp_yields_no_pass() -> None:
    said = changed(BUSHED, "clamp-bore", hearsay=True)
    assert clamped(said)["clamp-01"].verdict is NOT_KNOWN


@given(
    sizes=st.tuples(st.floats(20, 60), st.floats(0.2, 10), st.floats(0.5, 10), st.floats(0, 1)),
    scale=st.sampled_from([1 / 25.4, 25.4, 3.0]),
)
def test_the_squeeze_is_a_ratio_that_no_unit_changes(sizes: tuple[float, float, float, float], scale: float) -> None:
    inside, wall, left, off = sizes
    values = (inside, inside + 2 * wall, inside + off + 2 * left, inside + off)
    assert squeeze(*(scale * value for value in values)) == pytest.approx(squeeze(*values), abs=1e-6)
    # a bush as thick as what is left is not squeezed, whatever it is on
    assert squeeze(inside, inside + 2 * wall, inside + off + 2 * wall, inside + off) == pytest.approx(0, abs=1e-6)


@given(
    bore=st.floats(48, 54),
    low=st.floats(0, 14),
    high=st.floats(15, 40),
    tighter=st.floats(0, 1),
    room=st.floats(0, 1),
)
def test_a_tighter_limit_never_makes_fit_what_did_not(
    bore: float, low: float, high: float, tighter: float, room: float
) -> None:
    mount = changed(BUSHED, "clamp-bore", value=bore)
    middle = (low + high) / 2
    wide = clamped(mount, bush_squeeze_min=low, bush_squeeze_max=high)["clamp-01"].verdict
    narrow = clamped(
        mount, bush_squeeze_min=low + tighter * (middle - low), bush_squeeze_max=high - tighter * (high - middle)
    )["clamp-01"].verdict
    assume(wide is not FITS)
    assert narrow is not FITS
    saddle = changed(RIGID, "clamp-bore", value=42.0 + room)
    if clamped(saddle, FINE_RACK, saddle_play=0.5)["clamp-01"].verdict is DOES_NOT_FIT:
        assert clamped(saddle, FINE_RACK, saddle_play=0.5 * tighter)["clamp-01"].verdict is not FITS


def test_bolts_through_clear_holes_want_nuts_of_their_own() -> None:
    found = bolted()
    assert {code: one.verdict for code, one in found.items()} == {"bolts-01": FITS, "bolts-03": FITS}
    assert found["bolts-01"].because == (
        "the crossmember's hole is 8.70 mm and the bolt 8.00 mm, marked 8.8; it wants a nut of its thread and class"
    )
    one_small = replace(PLATE, values={**PLATE.values, **feature(PLATE.name, "pattern", hole_3_dia=7.5).values})
    assert bolted(one_small)["bolts-01"].verdict is DOES_NOT_FIT
    bare = bolted(without(PLATE, "hole-dia"))["bolts-01"]
    assert (bare.verdict, gaps(bare)) == (NOT_KNOWN, [("TEST/XM-1 mount", "hole-dia")])


def test_a_crossmember_that_holds_another_thread_does_not_fit() -> None:
    good = bolted(BOSS)
    assert good["bolts-01"].verdict is FITS
    assert "chase it first, start every bolt by hand" in good["bolts-01"].cautions[0]
    other = bolted(changed(BOSS, "captive", value="5/16-18 UNC"))
    assert other["bolts-01"].verdict is DOES_NOT_FIT
    assert "bolts-02" not in other
    assert "M8" in other["bolts-01"].because
    unread = bolted(changed(BOSS, "captive", value="eight"))["bolts-01"]
    assert (unread.verdict, gaps(unread)) == (NOT_KNOWN, [("TEST/XM-2 mount", "captive")])
    in_conflict = replace(without(BOSS, "captive"), gaps={"captive": "in conflict: M8, M10"})
    assert {code: one.verdict for code, one in bolted(in_conflict).items()} == {"bolts-01": NOT_KNOWN}


def test_more_thread_is_asked_in_aluminium_as_published() -> None:
    (rule,) = [row for row in published("threads_strength") if row["id"] == "rule-alu"]
    assert default_limits()["aluminium_factor"].value == float(rule["value"])
    good = bolted(BOSS)["bolts-02"]
    assert good.verdict is FITS
    assert good.because == "the aluminium is 18.00 mm thick, and 16.00 mm is asked (2 d)"
    assert bolted(changed(BOSS, "thick", value=12.0))["bolts-02"].verdict is DOES_NOT_FIT
    # class 10.9 asks 2.5 d, 20 mm (common practice, no source)
    strong = changed(BUSHED, "bolt-class", value="10.9")
    assert bolted(BOSS, strong)["bolts-02"].verdict is DOES_NOT_FIT
    unmarked = bolted(BOSS, without(BUSHED, "bolt-class"))["bolts-02"]
    assert (unmarked.verdict, gaps(unmarked)) == (NOT_KNOWN, [("TEST/MT-1 body", "bolt-class")])


def test_a_thin_steel_plate_may_have_a_weld_nut() -> None:
    steel = changed(BOSS, "material", value="steel")
    assert bolted(steel)["bolts-02"].verdict is FITS
    thin = bolted(changed(steel, "thick", value=3.0))["bolts-02"]
    assert (thin.verdict, gaps(thin)) == (NOT_KNOWN, [("TEST/XM-2 mount", "thick")])
    unsaid = bolted(without(BOSS, "material"))["bolts-02"]
    assert (unsaid.verdict, gaps(unsaid)) == (NOT_KNOWN, [("TEST/XM-2 mount", "material")])


def test_another_stack_asks_for_other_bolts() -> None:
    thick = bolted(changed(PLATE, "thick", value=6.0))["bolts-03"]
    assert thick.verdict is WITH_WORK
    (work,) = thick.work
    assert (work.operation, work.before, work.after) == ("bolts of another length", 7.0, 10.0)
    assert "bolts 3.00 mm longer under the head" in thick.because
    thin = bolted(PLATE, changed(BUSHED, "foot", value=2.0))["bolts-03"]
    assert "bolts 2.00 mm shorter under the head" in thin.because
    # in a held thread the plate is not clamped
    assert bolted(BOSS)["bolts-03"].figures["stack"].value == 4.0
    assert "bolts-03" not in bolted(PLATE, without(BUSHED, "bolt-grip"))


@pytest.mark.parametrize(
    ("words", "metal"),
    [("cast aluminium", "aluminium"), ("light alloy", "aluminium"), ("Steel, 3 mm", "steel"), ("cast iron", "steel"),
     ("alloy steel", "steel"), ("rubber", None), ("steel, aluminium bush", None)],
)  # fmt: skip
def test_the_metal_is_what_its_words_say(words: str, metal: str | None) -> None:
    assert metal_of(feature("TEST/XM-1 mount", "pattern", material=words)) == metal


def test_marks_of_strong_bolts() -> None:
    assert [is_strong(mark) for mark in ("8.8", "10.9", "12.9", "none", "grade 8", "grade 5")] == [
        False, True, True, False, True, False,
    ]  # fmt: skip
