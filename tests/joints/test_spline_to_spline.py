"""Splined shaft in a bore: each rule failing, what names may say, published values, properties. Invented parts."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.catalogue.adopt import Evidence
from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.dictionary import find_dimension, part_kinds
from fitment.catalogue.values import bare_unit, read_values
from fitment.finding import Basis, Finding, Use, Verdict, worst
from fitment.joints.pinch_bolt import bolt_at_surface, notch_depth, notch_width
from fitment.joints.registration import Feature
from fitment.joints.spline_ends import Count, count_of, diameters
from fitment.joints.spline_sizes import crest_overlaps, involute_bore
from fitment.joints.spline_to_spline import KIND, check, key
from fitment.standards.splines import trade_spline
from tests.support.features import by_rule, changed, feature, setting, trial, without
from tests.support.threads import published, within

SPLINES = {row["id"]: row for row in published("splines")}
JOINT = {row["id"]: row for row in published("spline_joint_check")}
INCH = 25.4

SHAFT, BORE = "TEST/RK-1 pinion", "TEST/UJ-1 lower"
THROUGH = "pinch bolt through groove"


def shaft(u: float = 0.02, /, **more: float | str) -> Feature:
    """36 teeth, 45 degrees, 48/96: od 19.02 goes with a bore of 18.20 over its crests (ANSI B92.1, by the ratios)."""
    values: dict[str, float | str] = {
        "sex": "male",
        "spline": 36.0,
        "form": "involute-45",
        "od": 19.0,
        "engagement": 26.0,
        "groove": "annular",
        "groove_position": 13.0,
        "groove_width": 8.6,
        "groove_depth": 2.9,
    }
    return _counted(feature(SHAFT, "spline-end", u=u, **{**values, **more}))


def bore(u: float = 0.02, /, **more: float | str) -> Feature:
    values: dict[str, float | str] = {
        "sex": "female",
        "spline": 36.0,
        "form": "involute-45",
        "minor": 18.2,
        "bore_depth": 27.0,
        "clamp": THROUGH,
        "bolt": "M8x1.25",
        "bolt_offset": 11.0,
        "bolt_to_end": 11.0,
    }
    return _counted(feature(BORE, "spline-end", u=u, **{**values, **more}))


def _counted(one: Feature) -> Feature:
    """Counts with every fifth tooth ticked: no doubt."""
    for dimension in {"spline", "present"} & set(one.values):
        one = changed(one, dimension, u=0.0, unit="")
    return one


def by_eye(one: Feature, u: float = 1 / math.sqrt(3)) -> Feature:
    return changed(one, "spline", u=u, shape="rectangular")


def answers(
    male: Feature | None = None, female: Feature | None = None, limits: dict[str, float] | None = None
) -> dict[str, Finding]:
    return by_rule(check(male or shaft(), female or bore(), setting(limits=limits)))


def verdicts(found: dict[str, Finding]) -> dict[str, str]:
    return {code: str(finding.verdict) for code, finding in found.items()}


def test_a_pair_that_fits_by_every_rule_whichever_is_named_first() -> None:
    rules = ["spline-01", "spline-02", "spline-03", "spline-04", "spline-06", "spline-07", "spline-08", "spline-09"]
    assert verdicts(answers()) == dict.fromkeys(rules, "fits")
    turned = answers(bore(), shaft())
    assert verdicts(turned) == verdicts(answers())
    assert {code: one.because for code, one in turned.items()} == {code: one.because for code, one in answers().items()}
    assert turned["spline-04"].joint == (BORE, SHAFT)


# --- published values


def test_pinch_bolt_as_published() -> None:
    # R 9.525, e 11, db 8: tapers_splines_check.csv, computed there by the closed form
    assert within(notch_depth(9.525, 11.0, 8.0), JOINT["PINCH-NOTCH"])
    assert within(notch_width(9.525, 11.0, 8.0), JOINT["PINCH-CHORD"])
    found = answers(shaft(od=19.05))["spline-08"]
    assert within(found.figures["notch_depth"].value, JOINT["PINCH-NOTCH"])
    assert within(found.figures["notch_width"].value, JOINT["PINCH-CHORD"])


@pytest.mark.parametrize("teeth", [24, 26, 30, 35, 36, 40, 48, 54])
def test_index_steps_as_published(teeth: int) -> None:
    found = answers(shaft(spline=float(teeth)), bore(spline=float(teeth)))["spline-02"]
    assert within(found.figures["index_step"].value, SPLINES[f"INDEX-{teeth}"])
    assert found.figures["positions"].value == teeth


@pytest.mark.parametrize(("teeth", "pitch"), [(26, 48), (30, 40), (35, 48), (36, 48), (40, 48), (48, 48), (54, 48)])
def test_an_involute_pair_of_the_standard_fits_by_its_published_diameters(teeth: int, pitch: int) -> None:
    rows = {name: SPLINES[f"B921-45-{teeth}-{pitch}-{name}"] for name in ("Do", "Di", "Dri")}
    outside, minor, bottom = (float(rows[name]["value"]) * INCH for name in ("Do", "Di", "Dri"))
    found = involute_bore(minor, teeth, "involute-45")
    # source: B921-45-* rows, ANSI B92.1 relations on a CAD vendor's help page
    assert found == (pytest.approx(outside, abs=1e-4 * INCH), pytest.approx(bottom, abs=1e-4 * INCH))
    ends = shaft(0.002, od=outside, spline=float(teeth)), bore(0.002, minor=minor, spline=float(teeth))
    assert answers(*ends)["spline-04"].verdict is Verdict.FITS
    too_large = answers(shaft(0.002, od=bottom + 0.01, spline=float(teeth)), ends[1])
    assert too_large["spline-04"].verdict is Verdict.DOES_NOT_FIT


@pytest.mark.parametrize("form", ["involute-30", "involute-37.5", "involute-45"])
def test_every_involute_takes_its_own_standard_shaft(form: str) -> None:
    outside, bottom = involute_bore(18.2, 36, form)
    assert 18.2 < outside < bottom
    found = answers(shaft(0.002, od=float(outside), form=form), bore(0.002, form=form))
    assert found["spline-04"].verdict is Verdict.FITS


@pytest.mark.parametrize(("name", "row"), [("13/16-36", "MEAS-13_16-36"), ("3/4-30", "MEAS-3_4-30")])
def test_a_shaft_that_reads_as_owners_measured_agrees_with_its_name(name: str, row: str) -> None:
    read, teeth = float(SPLINES[row]["value"]) * INCH, float(name[-2:])
    male = shaft(od=read, spline=teeth, name=name)
    assert "spline-05" not in answers(male, bore(minor=read - 0.8, spline=teeth))
    # the name is not the diameter: a shaft that measures what the name says is not one of these
    low, high = diameters(trade_spline(name))
    assert high < trade_spline(name).nominal_od
    assert low < read < high


# --- each rule failing


def test_two_shafts_and_two_bores_do_not_fit() -> None:
    found = answers(shaft(), feature("TEST/X", "spline-end", sex="male"))
    assert (found["spline-01"].verdict, found["spline-01"].because) == (Verdict.DOES_NOT_FIT, "both ends are shafts")
    found = answers(feature("TEST/X", "spline-end", sex="female"), bore())
    assert found["spline-01"].because == "both ends are bores"


@pytest.mark.parametrize(("one", "other", "line"), [(36, 35, "1 lines"), (36, 40, "4 line"), (36, 48, "12 line")])
def test_unequal_counts_never_mate(one: int, other: int, line: str) -> None:
    # gcd by tapers_splines 4.6: 36/35 1; 36/40 4; 36/48 12; computed
    found = answers(shaft(spline=float(one)), bore(spline=float(other)))
    assert found["spline-02"].verdict is Verdict.DOES_NOT_FIT
    assert found["spline-02"].because == (
        f"{one} teeth and {other} teeth: at most {line} up and the rest collide; that is impossible, not tight"
    )
    # what cannot go together has no fit and no engagement to look at
    assert list(found) == ["spline-01", "spline-02", "spline-03"]


def test_a_count_by_eye_may_be_one_off() -> None:
    found = answers(by_eye(shaft()), bore())["spline-02"]
    assert found.verdict is Verdict.NOT_KNOWN
    assert found.because == (
        f"36 and 36 teeth; {SHAFT} spline: counted by eye, which may be one off: tick every fifth tooth"
    )
    assert answers(by_eye(shaft(spline=35.0)), bore())["spline-02"].verdict is Verdict.NOT_KNOWN
    assert answers(by_eye(shaft(spline=34.0)), bore())["spline-02"].verdict is Verdict.DOES_NOT_FIT
    both = answers(by_eye(shaft(spline=34.0)), by_eye(bore()))["spline-02"]
    assert both.verdict is Verdict.NOT_KNOWN
    assert len(both.gaps) == 2
    # a name that says the same count settles it; one that says another is a contradiction
    named = answers(by_eye(shaft(name="3/4-36")), bore())
    assert (named["spline-02"].verdict, "spline-05" in named) == (Verdict.FITS, False)
    odd = answers(by_eye(shaft(name="3/4-30")), bore())
    assert odd["spline-02"].verdict is Verdict.NOT_KNOWN
    assert odd["spline-05"].because.startswith(f"{SHAFT} is called 3/4-30, but 36 teeth were counted; ")


def test_counts_that_make_no_sense_are_not_known() -> None:
    assert "counts that disagree (35.5 in the mean)" in answers(shaft(spline=35.5))["spline-02"].because
    assert "40 teeth present are more than the 36 counted" in answers(shaft(present=40.0))["spline-02"].because
    assert "too few" in answers(shaft(spline=3.0), bore(spline=3.0))["spline-02"].because
    beside = without(shaft(present=31.0), "spline")
    assert "31 present beside a flat do not tell the full circle" in answers(beside)["spline-02"].because
    # fewer teeth beside a flat are no fault
    assert answers(shaft(present=31.0))["spline-02"].verdict is Verdict.FITS


def test_what_is_in_conflict_is_not_answered_by_a_name() -> None:
    male = replace(without(shaft(name="3/4-36"), "spline"), gaps={"spline": "in conflict: 36 against 40"})
    assert "in conflict" in answers(male)["spline-02"].because
    assert answers(without(shaft(name="3/4-36"), "spline"))["spline-02"].verdict is Verdict.FITS


@pytest.mark.parametrize(
    ("more", "positions", "words"),
    [
        ({}, 36, "index step 10 deg, centred to 5 deg at worst"),
        ({"groove": "notch"}, 1, "the notch under the pinch bolt leaves one position"),
        ({"groove": "flat"}, 1, "the flat under the pinch bolt leaves one position"),
        ({"index": "flat"}, 1, "the flat leaves one position"),
        ({"index": "none"}, 36, "index step 10 deg, centred to 5 deg at worst"),
    ],
)
def test_what_fixes_the_clock_position(more: dict[str, str], positions: int, words: str) -> None:
    found = answers(shaft(**more))["spline-02"]
    assert found.figures["positions"].value == positions
    assert found.because == f"both have 36 teeth; {words}"


def test_a_master_spline_needs_its_counterpart() -> None:
    found = answers(shaft(index="master spline"))["spline-02"]
    assert found.verdict is Verdict.NOT_KNOWN
    assert [(gap.feature, gap.dimension) for gap in found.gaps] == [(BORE, "index")]
    assert answers(shaft(index="master spline"), bore(index="none"))["spline-02"].verdict is Verdict.NOT_KNOWN
    both = answers(shaft(index="master spline"), bore(index="master spline"))["spline-02"]
    assert (both.verdict, both.figures["positions"].value) == (Verdict.FITS, 1)


@pytest.mark.parametrize(
    ("one", "other"), [("serration", "involute-45"), ("involute-30", "involute-45"), ("DD", "involute-45")]
)
def test_other_forms_do_not_fit(one: str, other: str) -> None:
    found = answers(shaft(form=one), bore(form=other))["spline-03"]
    assert (found.verdict, found.because) == (Verdict.DOES_NOT_FIT, f"{SHAFT} is {one} and {BORE} is {other}")


def test_a_profile_against_teeth_of_unknown_form_does_not_fit() -> None:
    found = answers(shaft(form="DD"), without(bore(), "form"))
    assert found["spline-03"].because == f"one end is DD and {BORE} has teeth"
    assert "spline-02" not in found
    assert answers(without(shaft(name="3/4-36"), "form", "spline"), bore(form="DD"))["spline-03"].verdict is (
        Verdict.DOES_NOT_FIT
    )
    # without a count or a name nothing says that it has teeth
    assert answers(shaft(form="DD"), without(bore(), "form", "spline"))["spline-03"].verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize("form", ["unknown", ""])
def test_a_form_that_nobody_knows_is_not_known_but_by_one_name_on_both(form: str) -> None:
    def end(**name: str) -> Feature:
        return shaft(form=form, **name) if form else without(shaft(**name), "form")

    found = answers(end())
    assert found["spline-03"].verdict is Verdict.NOT_KNOWN
    assert [(gap.feature, gap.dimension) for gap in found["spline-03"].gaps] == [(SHAFT, "form")]
    assert found["spline-04"].verdict is Verdict.NOT_KNOWN
    assert found["spline-04"].gaps[0].dimension == "over-pins"
    both = answers(end(name="3/4-36"), bore(name="3/4-36"))
    assert both["spline-03"].verdict is Verdict.FITS
    assert both["spline-04"].verdict is Verdict.FITS
    assert "only a label" in both["spline-04"].cautions[0]
    assert answers(end(name="3/4-36"), bore(name="11/16-36"))["spline-03"].verdict is Verdict.NOT_KNOWN
    # a name that is not in the table stands for nothing
    assert answers(end(name="our spline"), bore(name="our spline"))["spline-03"].verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize(
    ("od", "verdict", "words"),
    [
        (19.0, Verdict.FITS, "teeth overlap 0.40 mm"),
        (19.4, Verdict.DOES_NOT_FIT, "the bottoms of its spaces 19.23 mm"),
        (18.6, Verdict.DOES_NOT_FIT, "teeth overlap 0.20 mm"),
        (18.1, Verdict.DOES_NOT_FIT, "it slips through without holding"),
        (19.23, Verdict.NOT_KNOWN, "the doubt is larger than the margin"),
    ],
)
def test_diameters_of_involutes(od: float, verdict: Verdict, words: str) -> None:
    found = answers(shaft(od=od))["spline-04"]
    assert found.verdict is verdict
    assert words in found.because


def test_crests_of_a_serration_tell_only_what_cannot_be() -> None:
    female = bore(form="serration")
    assert answers(shaft(form="serration", od=19.2), female)["spline-04"].verdict is Verdict.NOT_KNOWN
    for od in (18.1, 18.4, 22.0):
        assert answers(shaft(form="serration", od=od), female)["spline-04"].verdict is Verdict.DOES_NOT_FIT
    together = answers(shaft(form="serration", name="3/4-36"), bore(form="serration", name="3/4-36"))["spline-04"]
    assert together.verdict is Verdict.FITS
    assert any(use.dimension == "name" for use in together.uses)


def test_a_trial_by_hand() -> None:
    serrated, record = bore(form="serration"), trial("spline-trial", BORE)
    male = shaft(form="serration", od=19.1)
    passed = answers(replace(male, trials=(record,)), serrated)["spline-04"]
    assert passed.verdict is Verdict.FITS
    assert passed.because.endswith("; the shaft goes home in the bore by hand (shop card 4)")
    # it may be recorded on either, and names its mate
    on_bore = replace(serrated, trials=(trial("spline-trial", SHAFT),))
    assert answers(male, on_bore)["spline-04"].verdict is Verdict.FITS
    other = replace(male, trials=(trial("spline-trial", "TEST/UJ-9 lower"),))
    assert answers(other, serrated)["spline-04"].verdict is Verdict.NOT_KNOWN
    # what goes on and holds nothing does not fit all the same
    assert answers(replace(shaft(od=18.1), trials=(record,)))["spline-04"].verdict is Verdict.DOES_NOT_FIT
    failed = trial("spline-trial", BORE, passed=False)
    for ends in ((shaft(), bore()), (shaft(form="plain", od=18.1), bore(form="plain"))):
        for trials in ((failed,), (record, failed)):
            tried = answers(replace(ends[0], trials=trials), ends[1])["spline-04"]
            assert (tried.verdict, tried.basis) == (Verdict.DOES_NOT_FIT, Basis.TRIAL)


def test_a_trial_by_hand_settles_a_count_by_eye() -> None:
    record = trial("spline-trial", BORE)
    found = answers(replace(by_eye(shaft()), trials=(record,)))["spline-02"]
    assert found.verdict is Verdict.FITS
    assert found.because.endswith(
        "the shaft goes home in the bore by hand (shop card 4), which unequal counts never do"
    )
    # neither a count that nobody made nor two that were read unequal
    assert answers(replace(without(shaft(), "spline"), trials=(record,)))["spline-02"].verdict is Verdict.NOT_KNOWN
    assert answers(replace(by_eye(shaft(spline=35.0)), trials=(record,)))["spline-02"].verdict is Verdict.NOT_KNOWN
    hearsay = replace(by_eye(shaft()), trials=(trial("spline-trial", BORE, hearsay=True),))
    assert answers(hearsay)["spline-02"].verdict is Verdict.NOT_KNOWN


def test_names_alone_never_fit_and_may_not() -> None:
    def bare(name: str, sex: str) -> Feature:
        return feature(f"TEST/{sex}", "spline-end", name=name, sex=sex)

    same = answers(bare("3/4-36", "male"), bare("3/4-36", "female"))
    assert same["spline-04"].verdict is Verdict.NOT_KNOWN
    assert same["spline-04"].because.endswith("3/4-36 is a label and no diameter")
    apart = answers(bare("3/4-36", "male"), bare("9/16-36", "female"))["spline-04"]
    assert apart.verdict is Verdict.DOES_NOT_FIT
    assert answers(bare("3/4-36", "male"), bare("3/4-48", "female"))["spline-02"].verdict is Verdict.DOES_NOT_FIT
    assert answers(bare("3/4 DD", "male"), bare("3/4-48", "female"))["spline-03"].verdict is Verdict.DOES_NOT_FIT
    assert answers(bare("3/4 DD", "male"), bare("1 DD", "female"))["spline-04"].verdict is Verdict.NOT_KNOWN


def test_a_name_that_measurement_contradicts() -> None:
    found = answers(shaft(name="13/16-36"))["spline-05"]
    assert found.verdict is Verdict.NOT_KNOWN
    assert found.because == (
        f"{SHAFT} is called 13/16-36, but reads 19.00 mm over its crests where 20.27 to 20.50 mm belongs to it: "
        "the name is not the diameter, and one of the two is wrong"
    )
    assert found.gaps[0].dimension == "od"
    assert "spline-05" not in answers(shaft(name="3/4-36"))
    # a coarse reading contradicts nothing
    assert "spline-05" not in answers(changed(shaft(name="13/16-36"), "od", u=1.0))


@pytest.mark.parametrize(
    ("flat", "verdict"),
    [(14.5, Verdict.FITS), (14.7, Verdict.DOES_NOT_FIT), (14.2, Verdict.DOES_NOT_FIT), (14.6, Verdict.NOT_KNOWN)],
)
def test_double_d(flat: float, verdict: Verdict) -> None:
    male = without(shaft(form="DD", od=17.0, flat=flat), "spline")
    female = without(bore(form="DD", od=17.12, flat=14.6), "spline", "minor")
    found = answers(male, female)
    assert found["spline-04"].verdict is verdict
    assert "spline-02" not in found
    assert answers(male, without(female, "od"))["spline-04"].gaps[0].dimension == "od"


def test_triangular_and_plain_ends() -> None:
    found = answers(shaft(form="triangular", across=17.0), bore(form="triangular", across=17.1))
    assert found["spline-04"].verdict is Verdict.FITS
    plain = answers(shaft(form="plain", od=18.1), bore(form="plain"))["spline-04"]
    assert (plain.verdict, plain.cautions) == (
        Verdict.FITS,
        ("Plain ends have nothing that drives: they turn only by their clamp.",),
    )
    assert answers(shaft(form="plain", od=18.3), bore(form="plain"))["spline-04"].verdict is Verdict.DOES_NOT_FIT


def test_engagement() -> None:
    # 13 + 11 mm in: 24 mm of teeth, one diameter is 19 mm: common practice, no source
    found = answers()["spline-06"]
    assert found.figures["engagement"].value == pytest.approx(24.0)
    short = answers(shaft(engagement=15.0))["spline-06"]
    assert short.verdict is Verdict.DOES_NOT_FIT
    assert short.because == "15.00 mm of full teeth engages, and 19.00 mm is asked (1 d)"
    assert answers(female=bore(bore_depth=15.0))["spline-06"].verdict is Verdict.DOES_NOT_FIT
    assert answers(shaft(groove_position=5.0))["spline-06"].verdict is Verdict.DOES_NOT_FIT
    assert answers(limits={"spline_engagement_factor": 1.5})["spline-06"].verdict is Verdict.DOES_NOT_FIT


def test_a_shaft_that_could_poke_into_the_cross_gets_a_caution() -> None:
    slit = bore(clamp="pinch on slit")
    assert answers(shaft(engagement=30.0), slit)["spline-06"].cautions == (
        "The shaft is 3.00 mm longer than the bore is deep: stop it at the bore's end, or it pokes into the cross.",
    )
    assert answers(shaft(protrusion=40.0), slit)["spline-06"].cautions[0].startswith("The shaft is 13.00 mm longer")
    # the bolt in its groove stops it before
    assert answers(shaft(engagement=30.0))["spline-06"].cautions == ()


@pytest.mark.parametrize(
    ("male", "clamp", "verdict", "words"),
    [
        ({"groove": "none"}, THROUGH, Verdict.DOES_NOT_FIT, "the bolt would cross the shaft, which has no groove"),
        ({"groove": "none"}, "pinch on slit", Verdict.DOES_NOT_FIT, "nothing but friction holds the shaft"),
        ({"groove": "annular"}, "pinch on slit", Verdict.NOT_KNOWN, "said to squeeze only"),
        ({"pocket": "no"}, "set screw", Verdict.DOES_NOT_FIT, "the set screw has no pocket in the shaft"),
        ({"pocket": "yes"}, "set screw", Verdict.FITS, "a set screw in a pocket of the shaft holds it"),
        ({}, "set screw", Verdict.NOT_KNOWN, "pocket: no reading"),
        ({}, "weld-on", Verdict.NOT_KNOWN, "no check is built for a weld"),
        ({}, "none", Verdict.DOES_NOT_FIT, "nothing holds the shaft in the bore"),
        ({"groove": "flat"}, THROUGH, Verdict.FITS, "the pinch bolt runs through a notch of the shaft"),
    ],
)
def test_what_holds_the_shaft(male: dict[str, str], clamp: str, verdict: Verdict, words: str) -> None:
    found = answers(shaft(**male), bore(clamp=clamp))
    assert found["spline-07"].verdict is verdict
    assert words in found["spline-07"].because
    assert ("spline-08" in found) is (verdict is Verdict.FITS and clamp == THROUGH)
    assert ("spline-09" in found) is (verdict is Verdict.FITS)


def test_what_holds_is_not_known_without_a_look() -> None:
    assert answers(female=without(bore(), "clamp"))["spline-07"].gaps[0].dimension == "clamp"
    assert answers(without(shaft(), "groove"))["spline-07"].gaps[0].dimension == "groove"
    full_length = without(shaft(groove="flat"), "groove-position")
    assert "lets the shaft slide" in answers(full_length)["spline-07"].because


def test_a_bolt_that_misses_the_shaft_does_not_hold_it() -> None:
    # 19/2 - (13.6 - 4) = -0.10 mm
    found = answers(female=bore(bolt_offset=13.6))["spline-08"]
    assert found.verdict is Verdict.DOES_NOT_FIT
    assert found.because == "the bolt passes 0.10 mm clear of the shaft and does not hold it"
    # so much is known without the depth of the groove
    unread = answers(without(shaft(), "groove-depth"), bore(bolt_offset=13.6))["spline-08"]
    assert (unread.verdict, unread.because) == (found.verdict, found.because)
    assert answers(without(shaft(), "groove-depth"))["spline-08"].gaps[0].dimension == "groove-depth"
    # an undersized bolt, which avoids filing a notch, defeats the stop
    assert answers(female=bore(bolt="M5x0.8", bolt_offset=11.7))["spline-08"].verdict is Verdict.DOES_NOT_FIT


def test_a_groove_too_shallow_for_its_bolt() -> None:
    assert answers(shaft(groove_depth=2.0))["spline-08"].verdict is Verdict.DOES_NOT_FIT
    by_diameter = without(shaft(groove_dia=13.2), "groove-depth")
    assert answers(by_diameter)["spline-08"].verdict is Verdict.FITS
    assert answers(changed(by_diameter, "groove-dia", value=15.0))["spline-08"].verdict is Verdict.DOES_NOT_FIT
    notched = changed(by_diameter, "groove", value="notch")
    assert answers(notched)["spline-08"].gaps[0].dimension == "groove-depth"
    assert answers(female=changed(bore(), "bolt", value="M8x9"))["spline-08"].gaps[0].why == "'M8x9' cannot be read"
    assert answers(female=without(bore(), "bolt"))["spline-08"].gaps[0].dimension == "bolt"


def test_a_bolt_that_misses_its_groove_does_not_fit_and_says_by_how_much() -> None:
    found = answers(shaft(groove_position=18.0))["spline-09"]
    assert found.verdict is Verdict.DOES_NOT_FIT
    assert found.because == (
        "the groove stands under the bolt with the shaft 29.00 mm in, and it goes in 27.00 mm: "
        "the bolt misses its groove by 2.00 mm"
    )
    assert found.figures["insertion"].value == pytest.approx(29.0)
    # half the play may be missed
    assert answers(shaft(groove_position=16.3))["spline-09"].verdict is Verdict.FITS
    assert answers(shaft(groove_position=16.8))["spline-09"].verdict is Verdict.DOES_NOT_FIT
    narrow = answers(shaft(groove_width=7.0))["spline-09"]
    assert narrow.verdict is Verdict.DOES_NOT_FIT
    assert narrow.because.endswith("the groove is 0.42 mm too narrow for the bolt")
    # the housing stops a shaft that comes out of it no further than 20 mm
    assert answers(shaft(protrusion=20.0))["spline-09"].verdict is Verdict.DOES_NOT_FIT
    early = answers(shaft(engagement=22.0))["spline-09"]
    assert early.cautions[0].startswith("The teeth run out 22.00 mm from the shaft's end")


def test_a_set_screw_and_its_pocket() -> None:
    male, female = shaft(pocket="yes", pocket_position=13.0), bore(clamp="set screw")
    found = answers(male, female)["spline-09"]
    assert found.verdict is Verdict.FITS
    assert answers(changed(male, "pocket-position", value=18.0), female)["spline-09"].because.endswith(
        "the set screw misses its pocket by 2.00 mm"
    )
    assert answers(without(male, "pocket-position"), female)["spline-09"].gaps[0].dimension == "pocket-position"


def test_width_of_a_bolt_at_the_surface() -> None:
    assert bolt_at_surface(8.0, 4.0) == pytest.approx(8.0)
    assert bolt_at_surface(8.0, 6.0) == pytest.approx(8.0)
    assert bolt_at_surface(8.0, 0.0) == pytest.approx(0.0)
    # chord of a circle of 8 at 2.5 from its edge: 2 sqrt(4^2 - 1.5^2), computed
    assert bolt_at_surface(8.0, 2.5) == pytest.approx(2 * math.sqrt(16 - 2.25))


@pytest.mark.parametrize(
    ("dimension", "rule"),
    [
        ("od", "spline-04"),
        ("minor", "spline-04"),
        ("engagement", "spline-06"),
        ("bore-depth", "spline-06"),
        ("bolt-offset", "spline-08"),
        ("bolt-to-end", "spline-09"),
        ("groove-width", "spline-09"),
        ("groove-position", "spline-09"),
    ],
)
def test_what_is_missing_is_named(dimension: str, rule: str) -> None:
    found = answers(without(shaft(), dimension), without(bore(), dimension))[rule]
    assert found.verdict is Verdict.NOT_KNOWN
    assert dimension in [gap.dimension for gap in found.gaps]


def test_without_sexes_only_teeth_and_form_are_looked_at() -> None:
    found = answers(without(shaft(name="13/16-36"), "sex"))
    assert list(found) == ["spline-01", "spline-02", "spline-03", "spline-05"]
    assert found["spline-01"].gaps[0].dimension == "sex"


# --- together from one donor, weak evidence


def test_taken_together_answers_what_is_unknown_and_no_known_misfit() -> None:
    record = trial("assembled-with", BORE)
    bare = replace(feature(SHAFT, "spline-end"), trials=(record,))
    assert verdicts(answers(bare, feature(BORE, "spline-end"))) == {"spline-00": "fits"}
    short = replace(shaft(engagement=15.0), trials=(record,))
    assert verdicts(answers(short)) == {"spline-00": "fits"}
    missing_groove = answers(replace(shaft(groove="none"), trials=(record,)))
    assert verdicts(missing_groove) == {"spline-07": "does not fit"}
    assert missing_groove["spline-07"].because.endswith("although the two are recorded as taken together (shop card 4)")
    hearsay = replace(bare, trials=(trial("assembled-with", BORE, hearsay=True),))
    assert "spline-00" not in answers(hearsay, feature(BORE, "spline-end"))
    # a misfit by hearsay is told beside the record
    doubted = changed(replace(shaft(groove="none"), trials=(record,)), "groove", hearsay=True)
    assert verdicts(answers(doubted)) == {"spline-00": "fits", "spline-07": "does not fit"}


def test_hearsay_never_passes() -> None:
    found = answers(changed(shaft(), "spline", hearsay=True))["spline-02"]
    assert found.verdict is Verdict.NOT_KNOWN
    found = answers(changed(shaft(groove="none"), "groove", hearsay=True))["spline-07"]
    assert found.because.endswith("on hearsay: measure before discarding")


def test_the_key_is_what_both_must_agree_on() -> None:
    assert key(shaft()) == ("teeth", "36")
    assert key(by_eye(shaft())) is None
    assert key(without(shaft(), "spline")) is None
    assert key(shaft(form="DD")) == ("profile", "DD")
    assert key(feature("TEST/X", "spline-end", name="17 mm DD")) == ("profile", "DD")
    assert KIND.name == "spline"


# --- properties


@given(
    od=st.floats(17.5, 20.0),
    minor=st.floats(17.5, 20.0),
    form=st.sampled_from(["involute-30", "involute-45", "serration"]),
    u=st.floats(0.001, 0.3),
    position=st.floats(6.0, 20.0),
    offset=st.floats(9.0, 15.0),
)
def test_a_tighter_tolerance_never_turns_a_misfit_into_a_fit(
    od: float, minor: float, form: str, u: float, position: float, offset: float
) -> None:
    def found(u: float) -> dict[str, Finding]:
        male = shaft(u, od=od, form=form, groove_position=position)
        return answers(male, bore(u, minor=minor, form=form, bolt_offset=offset))

    loose, tight = found(u), found(u / 5)
    for code, finding in loose.items():
        if finding.verdict is Verdict.DOES_NOT_FIT:
            assert tight[code].verdict is not Verdict.FITS


@given(one=st.integers(6, 60), other=st.integers(6, 60), eyes=st.booleans())
def test_unequal_counts_never_fit(one: int, other: int, eyes: bool) -> None:
    male = shaft(spline=float(one))
    found = answers(by_eye(male) if eyes else male, bore(spline=float(other)))
    whole = worst(finding.verdict for finding in found.values())
    if one != other:
        assert whole in (Verdict.DOES_NOT_FIT, Verdict.NOT_KNOWN)
        assert (whole is Verdict.DOES_NOT_FIT) or eyes
    else:
        assert isinstance(count_of(male), Count)


def entered(sex: str, system: str, values: dict[str, str]) -> Feature:
    """An end whose readings were typed in mm or in inches."""
    evidence = []
    for name, text in values.items():
        dimension = find_dimension(part_kinds()["intermediate-shaft"], "upper", name)
        for value in read_values(dimension, text, bare_unit(dimension, system), "", True):
            evidence.append(
                Evidence(
                    name, "it", name, value.number, value.u, value.word, value.tool, "", "own-measurement", "", "", "T"
                )
            )
    uses = {
        value.dimension: Use(
            sex,
            value.dimension,
            value.number if value.number is not None else value.word or "",
            value.u,
            value.unit,
            Basis.MEASURED,
            shape=value.shape,
        )
        for value in adopted_values({"it": "spline-end"}, evidence)
    }
    return Feature(sex, "spline-end", uses)


@given(od=st.integers(18_600, 19_400), minor=st.integers(18_000, 18_400), position=st.integers(11_000, 17_000))
def test_inches_and_millimetres_answer_alike(od: int, minor: int, position: int) -> None:
    def both(system: str) -> list[Finding]:
        def text(thousandths: int) -> str:
            return f"{thousandths / 1000:.3f}!" if system == "mm" else f"{thousandths / 25400:.9f}!"

        words = {"spline": "36 @count-ticked", "form": "involute-45"}
        male = entered(
            "male",
            system,
            {
                **words,
                "sex": "male",
                "od": text(od),
                "groove": "annular",
                "groove-position": text(position),
                "groove-width": text(8600),
                "groove-depth": text(2900),
                "engagement": text(26000),
            },
        )
        female = entered(
            "female",
            system,
            {
                **words,
                "sex": "female",
                "minor": text(minor),
                "clamp": THROUGH,
                "bolt": "M8",
                "bore-depth": text(27000),
                "bolt-offset": text(11000),
                "bolt-to-end": text(11000),
            },
        )
        return check(male, female, setting())

    mm, inch = both("mm"), both("inch")
    assert [(one.rule, one.verdict) for one in mm] == [(one.rule, one.verdict) for one in inch]
    for one, other in zip(mm, inch, strict=True):
        if one.margin is not None and other.margin is not None:
            assert one.margin.value == pytest.approx(other.margin.value, abs=1e-6)


@given(od=st.floats(12.0, 30.0), minor=st.floats(12.0, 30.0), teeth=st.integers(6, 100))
def test_the_window_of_overlaps_is_a_window(od: float, minor: float, teeth: int) -> None:
    low, high = crest_overlaps(od, minor, teeth, 1.0)
    assert 0 < low < high
