"""A boot's two necks on housing and rod; every part is invented."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.finding import Basis, Finding, Gap, Use, Verdict
from fitment.joints.boot import HOUSING, ROD, material_of
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Feature, JointKind
from tests.support.features import changed, feature, setting, without

DOES_NOT_FIT, NOT_KNOWN, _, FITS = Verdict

RACK = feature("NORTH/RK-7 body", "rack-body", 0.05, boot_seat_left=44.5, boot_seat_right=48.0)
TIE = feature("NORTH/TR-2 body", "rod-body", 0.05, rod_dia=14.0)
BOOT = feature("NORTH/BO-1 body", "boot-body", 0.1, large=42.5, small=12.9, material="rubber, black")


def on_housing(rack: Feature = RACK, boot: Feature = BOOT, side: str = "left", **limits: float) -> Finding:
    (found,) = HOUSING.check(rack, boot, setting(limits=limits, side=side))
    return found


def on_rod(rod: Feature = TIE, boot: Feature = BOOT, **limits: float) -> Finding:
    (found,) = ROD.check(rod, boot, setting(limits=limits, side="left"))
    return found


def boot(**values: float | str) -> Feature:
    new = feature(BOOT.name, "boot-body", 0.1, 0.0, Basis.MEASURED, (), **values)
    return Feature(BOOT.name, "boot-body", {**BOOT.values, **new.values})


def test_the_kinds_are_registered() -> None:
    assert joint_kinds()["boot-housing"] is HOUSING
    assert joint_kinds()["boot-rod"] is ROD


def test_both_necks_fit_with_their_numbers() -> None:
    found = on_housing()
    assert (found.rule, found.verdict) == ("boot-01", FITS)
    assert found.because == (
        "the large neck of 42.50 mm is 2.00 mm under its seat of 44.50 mm, 4.7 % of stretch; "
        "1.00 mm to 3.00 mm under is usual for rubber"
    )
    assert found.margin is not None
    assert found.margin.value == pytest.approx(1.0, abs=0.1)
    assert {use.dimension for use in found.uses} == {"boot-seat-left", "large", "material"}
    found = on_rod()
    assert (found.rule, found.verdict) == ("boot-02", FITS)
    assert found.because == (
        "the small neck of 12.90 mm is 1.10 mm under its seat of 14.00 mm, 8.5 % of stretch; "
        "0.50 mm to 2.00 mm under is usual for rubber"
    )
    assert found.figures["neck_under"].value == pytest.approx(1.1)


@pytest.mark.parametrize("large", [43.9, 45.5, 41.0])
def test_seeded_failure_of_the_large_neck(large: float) -> None:
    assert on_housing(boot=boot(large=large)).verdict is DOES_NOT_FIT


@pytest.mark.parametrize("small", [13.9, 14.5, 11.5])
def test_seeded_failure_of_the_small_neck(small: float) -> None:
    assert on_rod(boot=boot(small=small)).verdict is DOES_NOT_FIT


def test_rubber_is_not_stretched_beyond_its_share() -> None:
    # 2.5 mm under a seat of 24.5 mm is within 1 to 3 mm, and 11 % of stretch
    rack = feature("NORTH/RK-7 body", "rack-body", 0.02, boot_seat_left=24.5)
    small = boot(large=22.0)
    assert on_housing(rack, changed(small, "large", u=0.02)).verdict is DOES_NOT_FIT
    assert on_housing(rack, changed(small, "large", u=0.02), boot_stretch=0.2).verdict is FITS


def test_each_side_has_its_own_seat() -> None:
    found = on_housing(side="right")
    assert found.verdict is DOES_NOT_FIT
    assert "5.50 mm under its seat of 48.00 mm" in found.because
    (found,) = HOUSING.check(RACK, BOOT, setting())
    assert found.verdict is NOT_KNOWN
    assert [gap.dimension for gap in found.gaps] == ["boot-seat"]


def test_thermoplastic_must_match() -> None:
    hard = boot(material="thermoplastic elastomer", large=44.4)
    assert on_housing(boot=hard).verdict is FITS
    found = on_housing(boot=boot(material="thermoplastic elastomer"))
    assert found.verdict is DOES_NOT_FIT
    assert "hardly stretches and must match within 0.50 mm" in found.because


def test_without_a_material_what_suits_one_is_not_known_and_what_suits_none_fails() -> None:
    unknown = without(BOOT, "material")
    found = on_housing(boot=unknown)
    assert found.verdict is NOT_KNOWN
    assert [(gap.feature, gap.dimension) for gap in found.gaps] == [(BOOT.name, "material")]
    assert on_housing(boot=without(boot(large=39.0), "material")).verdict is DOES_NOT_FIT
    odd = on_rod(boot=boot(material="leather"))
    assert odd.verdict is NOT_KNOWN
    assert odd.gaps == (Gap(BOOT.name, "material", '"leather" names neither rubber nor thermoplastic'),)


@pytest.mark.parametrize(
    ("word", "kind"),
    [("Neoprene", "rubber"), ("rubber", "rubber"), ("thermoplastic rubber", "thermoplastic"), ("TPE", "thermoplastic")],
)
def test_materials_are_told_by_their_words(word: str, kind: str) -> None:
    found = material_of(boot(material=word))
    assert not isinstance(found, Gap)
    assert found[0] == kind


@pytest.mark.parametrize(("kind", "first", "missing"), [(HOUSING, RACK, "large"), (ROD, TIE, "small")])
def test_a_size_that_nobody_measured_is_named(kind: JointKind, first: Feature, missing: str) -> None:
    (found,) = kind.check(first, without(BOOT, missing), setting(side="left"))
    assert found.verdict is NOT_KNOWN
    assert [gap.dimension for gap in found.gaps] == [missing]
    (found,) = kind.check(without(first, *first.values), BOOT, setting(side="left"))
    assert found.verdict is NOT_KNOWN


def test_hearsay_is_no_fit() -> None:
    assert on_rod(boot=changed(BOOT, "small", hearsay=True)).verdict is NOT_KNOWN


@given(st.floats(36.0, 46.0))
def test_a_neck_never_fits_outside_what_rubber_takes(large: float) -> None:
    found = on_housing(boot=boot(large=large))
    if found.verdict is FITS:
        assert 1.0 < 44.5 - large < 3.0
    if found.verdict is DOES_NOT_FIT:
        assert not 1.0 <= 44.5 - large <= 3.0


def test_what_a_fit_rests_on_includes_its_material() -> None:
    use = next(one for one in on_rod().uses if one.dimension == "material")
    assert isinstance(use, Use)
    assert use.word == "rubber, black"
