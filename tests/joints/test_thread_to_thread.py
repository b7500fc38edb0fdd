"""Thread joints: near matches as published, each rule failing, weak evidence, properties. Invented parts."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.finding import Basis, Finding, Verdict, worst
from fitment.joints.registration import Feature
from fitment.joints.thread_ends import engagement_needed
from fitment.joints.thread_to_thread import check, key
from fitment.standards.thread_names import parse_thread
from tests.support.features import by_rule, changed, feature, setting, trial, without

TABLE = Path(__file__).parents[1] / "published" / "threads_near.csv"
NEAR = {row["id"]: row for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines())}

BAR, JOINT = "TEST/RK-1 bar-end.left", "TEST/IJ-1 bar-side"


def end(name: str, sex: str, thread: str = "M14x1.5", u: float = 0.1, depth: float = 25.0, hand: str = "RH") -> Feature:
    return feature(name, "thread-end", u=u, thread=thread, sex=sex, hand=hand, depth=depth)


def pair(male: str = "M14x1.5", female: str = "M14x1.5", **more: float) -> tuple[Feature, Feature]:
    return end(BAR, "female", female, **more), end(JOINT, "male", male, **more)


def answers(first: Feature, second: Feature, **facts: str) -> dict[str, Finding]:
    return by_rule(check(first, second, setting(**facts)))


def test_two_like_threads_fit_everywhere() -> None:
    found = answers(*pair())
    assert [finding.verdict for finding in found.values()] == [Verdict.FITS] * 4
    assert list(found) == ["thread-01", "thread-02", "thread-03", "thread-04"]
    # 25 mm less one pitch of each part is 22 mm; 1 d is more than the 11.0 mm computed for equal steels (computed)
    assert found["thread-04"].figures["engagement"].value == pytest.approx(22.0)
    assert found["thread-04"].figures["engagement_needed"].value == pytest.approx(14.0)
    margin = found["thread-04"].margin
    assert margin is not None
    assert margin.value == pytest.approx(8.0, abs=0.1)


@pytest.mark.parametrize(
    ("male", "female", "felt"),
    [
        ("M14x1.5", "9/16-18 UNF", "starts by hand and binds after 2.4 to 4.3 of 9.3 turns"),
        ("M12x1.25", "1/2-20 UNF", "screws fully home and holds on 0.08 to 0.32 mm of 0.68 mm of thread height"),
        ("9/16-18 UNF", "M14x1.5", "does not start, it would bind after 0.0 to 0.0 turns"),
    ],
)
def test_near_matches_do_not_fit_and_say_what_the_hand_would_feel(male: str, female: str, felt: str) -> None:
    bar, joint = (without(one, "depth") for one in pair(male, female))
    found = answers(bar, joint)["thread-03"]
    assert found.verdict is Verdict.DOES_NOT_FIT
    assert felt in found.because
    assert found.because.endswith("over one diameter, the depths not being known)")
    names = f"near-{male}-in-{female}".replace(" ", "_")
    for figure, quantity in (
        ("turns_to_bind_min", "turns-min"),
        ("turns_to_bind_max", "turns-max"),
        ("overlap_min", "ovl-min"),
        ("overlap_max", "ovl-max"),
    ):
        row = NEAR[f"{names}-{quantity}"]
        # source: threads_near.csv, computed from the limits of ISO 965-1 and ASME B1.1
        assert found.figures[figure].value == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_the_direction_matters_whichever_side_is_named_first() -> None:
    first, second = pair("M14x1.5", "9/16-18 UNF")
    assert answers(first, second)["thread-03"].because == answers(second, first)["thread-03"].because


def test_a_thin_nut_lets_a_near_match_through() -> None:
    # 3/8-24 in an M10x1 nut of 0.5 d goes right through (5.4 turns against 5): computed
    found = answers(*pair("3/8-24 UNF", "M10x1", depth=5.0))["thread-03"]
    assert found.verdict is Verdict.DOES_NOT_FIT
    assert "screws fully home" in found.because


def test_equal_pitches_never_bind_and_still_do_not_fit() -> None:
    found = answers(*pair("1/2-12 BSW", "1/2-12 BSW"))["thread-03"]
    assert found.verdict is Verdict.FITS
    found = answers(*pair("5/8-11 UNC", "5/8-11 BSW"))["thread-03"]
    assert found.verdict is Verdict.DOES_NOT_FIT
    assert "turns_to_bind_max" not in found.figures


def test_different_threads_of_unknown_sex_do_not_fit() -> None:
    first, second = pair("M14x1.5", "9/16-18 UNF")
    found = answers(without(first, "sex"), second)
    assert found["thread-03"].because == "9/16-18 UNF and M14x1.5 are different threads"
    assert found["thread-03"].verdict is Verdict.DOES_NOT_FIT


def test_two_males_do_not_fit() -> None:
    first, second = end(BAR, "male"), end(JOINT, "male")
    assert answers(first, second)["thread-01"].because == "both threads are male"
    assert answers(first, second)["thread-01"].verdict is Verdict.DOES_NOT_FIT


def test_other_hand_does_not_fit() -> None:
    first, second = end(BAR, "female", hand="LH"), end(JOINT, "male")
    found = answers(first, second)["thread-02"]
    assert found.verdict is Verdict.DOES_NOT_FIT
    assert found.because == f"{BAR} is left hand and {JOINT} is right hand; no tolerance helps"


@pytest.mark.parametrize(
    ("dimension", "rules"),
    [
        ("sex", ["thread-01"]),
        ("hand", ["thread-02"]),
        ("thread", ["thread-03", "thread-04"]),
        ("depth", ["thread-04"]),
    ],
)
def test_what_is_missing_is_named_by_the_rules_that_need_it_alone(dimension: str, rules: list[str]) -> None:
    first, second = pair()
    found = answers(first, without(second, dimension))
    unknown = [code for code, finding in found.items() if finding.verdict is Verdict.NOT_KNOWN]
    assert unknown == rules
    for rule in rules:
        assert f"{JOINT} {dimension}: no reading" in found[rule].because
        assert [(gap.feature, gap.dimension) for gap in found[rule].gaps] == [(JOINT, dimension)]


def test_too_little_thread() -> None:
    found = answers(*pair(depth=15.0))["thread-04"]
    assert found.verdict is Verdict.DOES_NOT_FIT
    assert found.because == "12.00 mm of full thread engages, first threads left out, and 14.00 mm is asked (1 d)"


def test_doubt_about_the_depth_names_the_depth() -> None:
    found = answers(*pair(depth=17.2, u=0.5))["thread-04"]
    assert found.verdict is Verdict.NOT_KNOWN
    assert {gap.dimension for gap in found.gaps} == {"depth"}


def test_a_short_adjuster_is_cautioned_but_fits() -> None:
    found = answers(*pair(depth=21.0), adjuster="yes")["thread-04"]
    assert found.verdict is Verdict.FITS
    assert found.cautions == (
        "An adjuster with less than 1.5 d of full thread (21.00 mm) is short by common practice; here it is 18.00 mm "
        "at the deepest, less at its longest set-up.",
    )
    assert not answers(*pair(depth=21.0))["thread-04"].cautions


def test_where_the_computed_length_is_the_longer_it_is_asked() -> None:
    need, reason = engagement_needed(parse_thread("M14x1.5").thread, 0.5)
    assert reason == "computed for equal steels"
    assert need == pytest.approx(11.0, abs=0.05)  # Machinery's Handbook formula 1, computed table: M14x1.5 11.0


def test_failed_trial_does_not_fit_and_a_passed_one_answers_for_sex_and_hand_alone() -> None:
    first, second = pair()
    failed = replace(second, trials=(trial("thread-trial", BAR, passed=False),))
    assert answers(first, failed)["thread-03"].verdict is Verdict.DOES_NOT_FIT
    passed = replace(without(second, "thread", "hand", "sex"), trials=(trial("thread-trial", BAR),))
    found = answers(first, passed)
    assert found["thread-01"].verdict is found["thread-02"].verdict is Verdict.FITS
    assert found["thread-02"].basis is Basis.TRIAL
    assert found["thread-03"].verdict is found["thread-04"].verdict is Verdict.NOT_KNOWN
    assert "near match" in found["thread-03"].cautions[0]
    said = replace(passed, trials=(trial("thread-trial", BAR, hearsay=True),))
    assert answers(first, said)["thread-02"].verdict is Verdict.NOT_KNOWN
    elsewhere = replace(passed, trials=(trial("thread-trial", "TEST/RK-9 bar-end.left"),))
    assert answers(first, elsewhere)["thread-03"].verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize("why", ["in conflict: M14x1.5 against 9/16-18 UNF", "undecided: M14x1.5 has odds of 60%"])
def test_a_passed_trial_decides_no_conflict_about_the_thread(why: str) -> None:
    first, second = pair()
    torn = replace(without(second, "thread"), gaps={"thread": why}, trials=(trial("thread-trial", BAR),))
    found = answers(first, torn)
    assert found["thread-03"].verdict is found["thread-04"].verdict is Verdict.NOT_KNOWN
    assert why in found["thread-03"].because


def test_a_failed_gauge_of_its_own_thread_is_a_conflict() -> None:
    first, second = pair()
    found = answers(first, replace(second, trials=(trial("thread-trial", "M14x1.5", passed=False),)))["thread-03"]
    assert found.verdict is Verdict.NOT_KNOWN
    assert found.because.endswith("in conflict: M14x1.5, but a gauge of M14x1.5 failed (shop card 4)")
    other = replace(second, trials=(trial("thread-trial", "9/16-18 UNF", passed=False),))
    assert answers(first, other)["thread-03"].verdict is Verdict.FITS


def test_only_the_words_asked_for_are_judged() -> None:
    first, second = pair()
    found = answers(first, changed(second, "sex", value="both"))["thread-01"]
    assert found.verdict is Verdict.NOT_KNOWN
    assert found.because == f"{JOINT} sex: 'both' is neither male nor female"
    both = [changed(one, "hand", value="unknown") for one in (first, second)]
    assert answers(*both)["thread-02"].verdict is Verdict.NOT_KNOWN


def test_a_short_adjuster_stays_short_though_taken_together() -> None:
    first, second = pair(depth=15.0)
    together = replace(second, trials=(trial("assembled-with", BAR),))
    assert list(answers(first, together)) == ["thread-00"]
    found = answers(first, together, adjuster="yes")
    assert [(code, one.verdict) for code, one in found.items()] == [("thread-04", Verdict.DOES_NOT_FIT)]
    found = answers(first, changed(together, "depth", hearsay=True), adjuster="yes")
    assert list(found) == ["thread-00", "thread-04"]  # a misfit that is only said does not overturn, but is told


def test_a_passed_trial_saves_no_known_difference() -> None:
    first, second = pair("M12x1.25", "1/2-20 UNF")
    tried = replace(second, trials=(trial("thread-trial", BAR),))
    assert answers(first, tried)["thread-03"].verdict is Verdict.DOES_NOT_FIT


def test_as_assembled_answers_for_everything_unless_something_known_contradicts() -> None:
    first, second = pair()
    bare = replace(without(second, "thread", "hand", "sex", "depth"), trials=(trial("assembled-with", BAR),))
    found = check(first, bare, setting())
    assert [(one.rule, one.verdict, one.basis) for one in found] == [("thread-00", Verdict.FITS, Basis.AS_ASSEMBLED)]
    left = replace(changed(second, "hand", value="LH"), trials=bare.trials)
    found = check(first, left, setting())
    assert [(one.rule, one.verdict) for one in found] == [("thread-02", Verdict.DOES_NOT_FIT)]
    assert found[0].because.endswith("although the two are recorded as taken together (shop card 4)")


def test_hearsay_about_having_been_together_proves_nothing() -> None:
    first, second = pair()
    said = replace(without(second, "hand"), trials=(trial("assembled-with", BAR, hearsay=True),))
    found = answers(first, said)
    assert "thread-00" not in found
    assert found["thread-02"].verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize("dimension", ["sex", "hand", "thread", "depth"])
@pytest.mark.parametrize("weakness", [{"hearsay": True}, {"assumed": True}])
def test_hearsay_and_assumption_never_fit(dimension: str, weakness: dict[str, bool]) -> None:
    first, second = pair()
    found = check(first, changed(second, dimension, **weakness), setting())
    assert worst(finding.verdict for finding in found) is Verdict.NOT_KNOWN


def test_the_key_is_thread_and_hand_and_never_the_series() -> None:
    assert key(end(BAR, "male", "9/16-18 UNF")) == key(end(JOINT, "female", "9/16-18 UNF"))
    assert key(end(BAR, "male")) != key(end(BAR, "male", hand="LH"))
    assert key(without(end(BAR, "male"), "hand")) is None
    assert key(without(end(BAR, "male"), "thread")) is None


@given(depth=st.floats(5, 40), u=st.floats(0.01, 3), share=st.floats(0, 1))
def test_better_readings_never_turn_a_misfit_into_a_fit(depth: float, u: float, share: float) -> None:
    coarse = by_rule(check(*pair(depth=depth, u=u), setting(500)))["thread-04"].verdict
    fine = by_rule(check(*pair(depth=depth, u=u * share), setting(500)))["thread-04"].verdict
    assert {coarse, fine} != {Verdict.DOES_NOT_FIT, Verdict.FITS}


@given(depth=st.floats(5, 40), more=st.floats(0, 10))
def test_more_thread_never_fits_worse(depth: float, more: float) -> None:
    short = by_rule(check(*pair(depth=depth), setting(500)))["thread-04"].verdict
    long = by_rule(check(*pair(depth=depth + more), setting(500)))["thread-04"].verdict
    assert not (short is Verdict.FITS and long is not Verdict.FITS)
