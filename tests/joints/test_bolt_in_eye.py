"""Spherical rod end bolted to a steering arm; every part is invented.

Rod end with a 12 mm ball (16 mm wide) on an M12 bolt, one spacer of 3 mm either side, on a parallel eye of 12.10 mm,
18 mm thick: stack 16 + 2 x 3 + 18 = 40 mm; ball centre 16/2 + 3 = 11 mm off the arm, 0.92 bolt diameters.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.finding import Basis, Finding, Verdict
from fitment.joints.bolt_in_eye import KIND
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Feature
from tests.support.features import by_rule, changed, feature, setting, without

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict

BODY = feature(
    "NORTH/SR-1 body",
    "spherical-body",
    0.02,
    bore=12.05,
    ball_width=16.0,
    spacer_length=3.0,
    bolt="M12x1.25",
    bolt_class="10.9",
    grip=38.0,
    captive_washer="yes",
)
EYE = feature(
    "NORTH/KN-9 eye",
    "eye",
    0.02,
    large=12.1,
    small=12.12,
    thick=18.0,
    profile="parallel",
    boss_large=35.0,
    boss_small=34.5,
)
#: 1:8 over 18 mm, as a car's own knuckle has it
TAPERED = feature(
    "NORTH/KN-1 eye", "eye", 0.02, large=15.3, small=13.05, thick=18.0, profile="tapered", boss_large=35, boss_small=35
)


def body(**values: float | str) -> Feature:
    new = feature(BODY.name, "spherical-body", 0.02, 0.0, Basis.MEASURED, (), **values)
    return Feature(BODY.name, "spherical-body", {**BODY.values, **new.values})


def eye(**values: float | str) -> Feature:
    new = feature(EYE.name, "eye", 0.02, 0.0, Basis.MEASURED, (), **values)
    return Feature(EYE.name, "eye", {**EYE.values, **new.values})


def check(first: Feature = BODY, second: Feature = EYE, **limits: float) -> dict[str, Finding]:
    return by_rule(KIND.check(first, second, setting(limits=limits)))


def test_it_is_registered_and_fits() -> None:
    assert joint_kinds()["bolt-in-eye"] is KIND
    found = check()
    assert list(found) == ["eye-01", "eye-02", "eye-03", "eye-04", "eye-05", "eye-06"]
    assert {one.verdict for one in found.values()} == {FITS}
    assert found["eye-02"].because == (
        "a bolt of 12.00 mm has 0.12 mm of play in an eye of 12.12 mm, 0.30 mm is allowed"
    )
    assert found["eye-05"].because == (
        "the ball's centre stands 11.00 mm off the arm, 0.92 bolt diameters; 1.5 is the limit"
    )
    assert found["eye-05"].figures["bending_ratio"].value == pytest.approx(11 / 12)
    assert found["eye-06"].because == "the plain shank is 38.00 mm and the stack 40.00 mm, 31.00 mm of shank is asked"
    assert any("restrict spherical rod ends" in told for told in found["eye-01"].cautions)


def test_the_eye_must_be_parallel() -> None:
    # 15.3 mm is more than bolt and play: bored to 12 + 2 x 2 = 16 mm and sleeved, (35 - 16)/2 = 9.5 mm of wall
    found = check(second=TAPERED)
    assert list(found) == ["eye-01", "eye-03", "eye-04", "eye-05", "eye-06", "eye-07"]
    assert found["eye-01"].verdict is WITH_WORK
    (work,) = found["eye-01"].work
    assert (work.operation, work.before, work.after, work.remaining) == ("bore and sleeve", 15.3, 16.0, 9.5)
    assert any("certified" in told for told in found["eye-01"].cautions)
    assert any("forbid sleeves" in told for told in found["eye-01"].cautions)
    assert found["eye-07"].verdict is FITS


def test_a_tapered_eye_that_cleans_up_at_the_bolt_is_bored_straight() -> None:
    slim = changed(changed(TAPERED, "large", value=12.15), "small", value=9.9)
    (work,) = check(second=slim)["eye-01"].work
    assert work.operation == "bore straight"
    assert work.after is not None
    assert 12.15 < work.after < 12.3


def test_seeded_failures_of_the_form() -> None:
    slim = changed(changed(TAPERED, "boss-large", value=24.0), "boss-small", value=24.0)
    found = check(second=slim)  # (24 - 16)/2 = 4 mm where 8 mm are asked
    assert found["eye-01"].verdict is DOES_NOT_FIT
    assert found["eye-07"].verdict is DOES_NOT_FIT
    assert "eye-07" in found["eye-01"].because
    unknown = check(second=without(TAPERED, "boss-large", "boss-small"))
    assert unknown["eye-01"].verdict is NOT_KNOWN
    assert {gap.dimension for gap in unknown["eye-01"].gaps} == {"boss-large", "boss-small"}
    assert check(first=without(BODY, "bolt"), second=TAPERED)["eye-01"].verdict is DOES_NOT_FIT
    coarse = check(second=changed(changed(TAPERED, "large", value=12.3, u=0.15), "small", value=10.0))
    assert coarse["eye-01"].verdict is NOT_KNOWN
    assert "too coarse" in coarse["eye-01"].because
    assert check(second=without(EYE, "profile"))["eye-01"].verdict is NOT_KNOWN


def test_seeded_failures_of_the_bolt_in_the_eye() -> None:
    small = check(second=eye(large=11.0, small=11.0))
    assert small["eye-02"].verdict is WITH_WORK
    assert "does not pass an eye of 11.00 mm; bore or ream straight to 12.15 mm" in small["eye-02"].because
    bare = check(second=without(eye(large=11.0, small=11.0), "boss-large"))
    assert bare["eye-02"].verdict is NOT_KNOWN
    big = check(second=eye(large=13.0, small=13.0, boss_large=20.0, boss_small=20.0))
    assert big["eye-02"].verdict is DOES_NOT_FIT
    assert "bore and sleeve does not leave the wall asked (eye-07)" in big["eye-02"].because
    one = check(second=without(EYE, "small"))
    assert one["eye-02"].verdict is FITS


def test_seeded_failures_of_the_bolt_in_the_ball() -> None:
    assert check(first=body(bore=11.5))["eye-03"].verdict is DOES_NOT_FIT
    # the trade's example: an M12 bolt in a ball of 15.87 mm
    undersize = check(first=body(bore=15.87))["eye-03"]
    assert undersize.verdict is NOT_KNOWN
    assert [gap.dimension for gap in undersize.gaps] == ["spacer-bore"]
    assert "3.87 mm smaller than the ball's bore: it needs spacers that reduce it" in undersize.because
    assert check(first=body(bore=15.87, spacer_bore=12.1))["eye-03"].verdict is FITS
    assert check(first=body(bore=15.87, spacer_bore=13.0))["eye-03"].verdict is DOES_NOT_FIT


@pytest.mark.parametrize(("word", "verdict"), [("yes", FITS), ("double shear", FITS), ("no", DOES_NOT_FIT)])
def test_what_keeps_the_rod_on(word: str, verdict: Verdict) -> None:
    assert check(first=body(captive_washer=word))["eye-04"].verdict is verdict
    nobody = check(first=without(BODY, "captive-washer"))["eye-04"]
    assert nobody.verdict is NOT_KNOWN
    assert [gap.dimension for gap in nobody.gaps] == ["captive-washer"]


def test_seeded_failure_of_the_bending_length() -> None:
    # a bump-steer stack of 12 mm: 8 + 12 = 20 mm is 1.67 diameters
    found = check(first=body(spacer_length=12.0, grip=52.0))["eye-05"]
    assert found.verdict is DOES_NOT_FIT
    assert any("not the equal of a cone" in told for told in found.cautions)
    assert check(first=body(spacer_length=12.0, grip=52.0), bolt_bending=2.0)["eye-05"].verdict is FITS
    none = check(first=without(BODY, "spacer-length"))["eye-05"]
    assert none.gaps[0].why == "no reading; write 0 mm where there are no spacers"
    assert any("strength class" in told for told in check(first=body(bolt_class="none"))["eye-05"].cautions)


def test_seeded_failures_of_the_grip() -> None:
    short = check(first=body(grip=29.0))["eye-06"]
    assert short.verdict is DOES_NOT_FIT
    assert "thread lies where the bolt is sheared" in short.because
    washers = check(first=body(grip=43.0))["eye-06"]
    assert washers.verdict is FITS
    assert "3.00 mm of washers make it up" in washers.because
    assert check(first=body(grip=48.0))["eye-06"].verdict is DOES_NOT_FIT
    double = check(first=body(grip=60.0, captive_washer="double shear"))["eye-06"]
    assert double.verdict is FITS
    assert any("outer plate" in told for told in double.cautions)


@given(st.floats(10.0, 14.0))
def test_no_bolt_fits_an_eye_that_it_does_not_pass(bore: float) -> None:
    found = by_rule(KIND.check(BODY, eye(large=bore, small=bore), setting(500)))["eye-02"]
    if found.verdict is FITS:
        assert 12.0 < bore < 12.3
    elif found.verdict is DOES_NOT_FIT:
        assert not 12.0 <= bore <= 12.3
