"""A taper sleeve in an eye: wall, outside, metal left; each rule failing. Invented parts."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from fitment.finding import Finding, Verdict
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Feature
from fitment.joints.sleeve_in_eye import check
from fitment.joints.stud_work import SLEEVES
from tests.support.features import by_rule, changed, feature, setting, without

SLEEVE, EYE = "TEST/AD-1 body", "TEST/KN-1 eye"
FINE = 0.001  # mm


def sleeve(**more: Any) -> Feature:
    # B 19.05 round D 15 leaves 2.025 (computed, published with the bushes)
    return feature(SLEEVE, "adapter-body", u=FINE, **{"od": 19.05, "wall_small": 2.025, **more})


def eye(**more: Any) -> Feature:
    bored = {"large": 19.03, "profile": "parallel", "thick": 18.0, "boss_large": 40.0, "boss_small": 39.0}
    return feature(EYE, "eye", u=FINE, **{**bored, **more})


def answers(one: Feature, other: Feature, limits: dict[str, float] | None = None) -> dict[str, Finding]:
    return by_rule(check(one, other, setting(limits=limits)))


def verdicts(found: dict[str, Finding]) -> list[str]:
    return [finding.verdict.value for finding in found.values()]


def test_a_pressed_sleeve_fits() -> None:
    found = answers(sleeve(), eye())
    assert list(found) == ["sleeve-01", "sleeve-02", "sleeve-03"]
    assert verdicts(found) == ["fits"] * 3
    assert found["sleeve-02"].because == "the sleeve is 0.020 mm larger than its bore, up to 0.05 mm is asked"
    assert found["sleeve-02"].cautions[1:] == (
        SLEEVES,
        "A sleeve wants a flange or step on the loaded side, so that it cannot be pulled through: none is recorded.",
    )
    assert found["sleeve-03"].because == (
        "9.97 mm of the eye is left round the sleeve at its thinnest, 9.53 mm is asked round 19.05 mm"
    )


def test_a_thin_wall_does_not_fit() -> None:
    found = answers(sleeve(wall_small=1.4), eye())["sleeve-01"]
    assert found.verdict is Verdict.DOES_NOT_FIT
    assert found.because == "the sleeve's wall is 1.40 mm at its thinnest, 2.00 mm is asked"


@pytest.mark.parametrize(
    ("od", "because"),
    [
        (18.99, "the sleeve is 0.04 mm smaller than its bore: nothing holds it"),
        (19.12, "the sleeve is 0.090 mm larger than its bore, up to 0.05 mm is asked"),
    ],
)
def test_a_loose_or_a_forced_sleeve_does_not_fit(od: float, because: str) -> None:
    found = answers(sleeve(od=od), eye())["sleeve-02"]
    assert (found.verdict, found.because) == (Verdict.DOES_NOT_FIT, because)


def test_an_eye_with_its_cone_is_to_be_bored() -> None:
    found = answers(sleeve(), eye(large=15.0, taper=0.1, profile="tapered"))
    assert verdicts(found) == ["fits", "fits with work", "fits"]
    (work,) = found["sleeve-02"].work
    assert (work.operation, work.before, work.after) == ("bore for a sleeve", 15.0, 19.05)
    assert work.remaining == pytest.approx((39.0 - 19.05) / 2)
    assert work.detail == (
        "bore straight through to 19.05 mm, less the interference that the sleeve's drawing asks, measure the bore and "
        "record it before the sleeve is pressed"
    )
    small = answers(sleeve(od=14.0), eye(large=15.0, taper=0.1, profile="tapered"))["sleeve-02"]
    assert small.verdict is Verdict.DOES_NOT_FIT
    assert small.because == "the eye still has its cone, 15.00 mm at its widest, and the sleeve is 14.00 mm outside"


def test_too_little_of_the_eye_left_does_not_fit() -> None:
    assert answers(sleeve(), eye(boss_small=28.0))["sleeve-03"].verdict is Verdict.DOES_NOT_FIT
    assert answers(sleeve(), eye(boss_small=28.0), {"wall_ratio": 0.2})["sleeve-03"].verdict is Verdict.FITS


def test_a_tapered_sleeve_wants_the_eyes_own_cone() -> None:
    cone: dict[str, Any] = {"outside_taper": 0.1, "outside_large": 19.2}
    tapered = eye(large=19.05, taper=0.1, profile="tapered")
    found = answers(sleeve(**cone), tapered)["sleeve-02"]
    assert found.verdict is Verdict.FITS
    assert found.because == "1:10 sleeve in 1:10 eye; its large end stands 1.50 mm proud of the face, 0.00 mm is asked"
    other = answers(sleeve(**cone), eye(large=19.05, taper=0.125, profile="tapered"))["sleeve-02"]
    assert (other.verdict, other.because) == (Verdict.DOES_NOT_FIT, "1:10 sleeve in 1:8 eye")
    sunk = answers(sleeve(**{**cone, "outside_large": 18.9}), tapered)["sleeve-02"]
    assert sunk.verdict is Verdict.DOES_NOT_FIT
    parallel = answers(sleeve(**cone), eye())["sleeve-02"]
    assert parallel.because == "the sleeve is tapered outside, and the eye is a parallel bore"


@pytest.mark.parametrize(
    ("missing", "of", "rules"),
    [
        ("od", SLEEVE, ["sleeve-02", "sleeve-03"]),
        ("wall-small", SLEEVE, ["sleeve-01"]),
        ("profile", EYE, ["sleeve-02"]),
        ("large", EYE, ["sleeve-02"]),
        ("boss-large", EYE, ["sleeve-03"]),
    ],
)
def test_what_is_missing_is_named(missing: str, of: str, rules: list[str]) -> None:
    one, other = (without(end, missing) if end.name == of else end for end in (sleeve(), eye()))
    found = answers(one, other)
    assert [code for code, finding in found.items() if finding.verdict is Verdict.NOT_KNOWN] == rules
    assert all((gap.feature, gap.dimension) == (of, missing) for code in rules for gap in found[code].gaps)


def test_hearsay_and_a_word_in_conflict_never_pass() -> None:
    assert answers(changed(sleeve(), "od", hearsay=True), eye())["sleeve-02"].verdict is Verdict.NOT_KNOWN
    undecided = replace(without(sleeve(), "wall-small"), gaps={"wall-small": "in conflict: 2.0, 3.0"})
    assert "in conflict: 2.0, 3.0" in answers(undecided, eye())["sleeve-01"].because


def test_it_is_a_kind_of_joint_between_a_made_part_and_an_eye() -> None:
    kind = joint_kinds()["sleeve"]
    assert kind.between == (frozenset({"adapter-body"}), frozenset({"eye"}))
    assert kind.key(sleeve()) is None
