"""The answer to a check: the worst wins, what is missing is said, and its views hold what their schema says."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import fitment
from fitment.doubt import Draws
from fitment.errors import FitmentError
from fitment.finding import Basis, Finding, Use, Verdict
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report import STANDING_CAUTIONS, Report
from fitment.kits.report_json import report_object
from fitment.kits.roles import facts, roles
from fitment.kits.rules import kit_rules
from tests.kits.fakes import LIMITS, Book, FakeKind, finding, part, stud_kind, thread_kind, use
from tests.kits.test_kit_file import WHOLE

HEAD = 'name = "Narrow rack"\ntarget = "NORTH/V-1"\n'
SIDE = 'tie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\nknuckle = "NORTH/KN-1"\n'
RIGHT = SIDE.replace("KN-1", "KN-2")
BOTH = f'{HEAD}[rack]\npart = "NORTH/RK-7"\n[left]\n{SIDE}[right]\n{RIGHT}'

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict


def checked(text: str, **answers: list[Finding]) -> Report:
    """The report on a kit with fake kinds; `answers` by name of the first feature's last word."""
    kinds = [thread_kind(), stud_kind()]
    names = {"rod": "NORTH/TR-2 outer", "stud": "NORTH/RE-3 stud", "bar": "NORTH/RK-7 bar-end.left"}
    for kind in kinds:
        kind.answers = {names[name]: given for name, given in answers.items()}
    return run(text, *kinds)


def run(text: str, *kinds: FakeKind) -> Report:
    kit = read_kit(text.encode(), "kits/narrow.toml", LIMITS)
    return check(kit, Book(), Draws(200), {kind.name: kind.kind for kind in kinds})


def stud(
    verdict: Verdict, low: float | None = 0.5, rule: str = "cone-01", hearsay: bool = False, assumed: bool = False
) -> Finding:
    return finding(
        rule,
        verdict,
        low,
        "NORTH/RE-3 stud",
        "NORTH/KN-1 eye",
        use("NORTH/RE-3 stud", hearsay=hearsay, assumed=assumed),
    )


def rod(
    verdict: Verdict, low: float | None = 0.5, rule: str = "thread-02", hearsay: bool = False, assumed: bool = False
) -> Finding:
    return finding(
        rule,
        verdict,
        low,
        "NORTH/TR-2 outer",
        "NORTH/RE-3 shank",
        use("NORTH/TR-2 outer", hearsay=hearsay, assumed=assumed),
    )


def test_a_kit_whose_every_joint_fits() -> None:
    report = checked(BOTH)
    assert report.verdict is FITS
    assert report.first_line == "fits (dimensions only): nothing known rules it out"
    assert report.counts == {DOES_NOT_FIT: 0, NOT_KNOWN: 0, WITH_WORK: 0, FITS: 6}
    assert report.unknowns == {}


def test_a_kit_that_names_only_its_target_is_not_known() -> None:
    report = checked(HEAD)
    assert report.verdict is NOT_KNOWN
    assert report.first_line == "not known: nothing known rules it out"
    assert {found.rule for found in report.findings} == {"kit-01"}
    assert report.findings[0].because == "the kit names no rack and no left tie rod"
    assert list(report.unknowns) == [
        "rack",
        "left tie rod",
        "left rod end",
        "left knuckle",
        "right tie rod",
        "right rod end",
        "right knuckle",
    ]
    assert [gap.why for gap in report.unknowns["left rod end"]] == ["is not named in the kit"]
    assert report.parts == ()


def test_one_part_less_is_not_known_however_well_the_rest_fits() -> None:
    report = checked(BOTH.rpartition("knuckle")[0])
    assert report.verdict is NOT_KNOWN
    assert report.counts[FITS] == 5


@pytest.mark.parametrize(
    ("one", "other", "whole"),
    [
        (DOES_NOT_FIT, NOT_KNOWN, DOES_NOT_FIT),
        (NOT_KNOWN, WITH_WORK, NOT_KNOWN),
        (WITH_WORK, FITS, WITH_WORK),
        (FITS, DOES_NOT_FIT, DOES_NOT_FIT),
    ],
)
def test_the_worst_wins(one: Verdict, other: Verdict, whole: Verdict) -> None:
    assert checked(BOTH, stud=[stud(one)], rod=[rod(other)]).verdict is whole


def test_a_joint_is_as_bad_as_its_worst_finding_with_the_least_margin() -> None:
    report = checked(
        BOTH, stud=[stud(FITS, 0.1), stud(WITH_WORK, 0.4, "cone-03"), stud(WITH_WORK, 0.2, "cone-02"), stud(FITS)]
    )
    joint = next(joint for joint in report.joints if joint.id == "left.stud-eye")
    assert (joint.verdict, joint.worst_finding.rule) == (WITH_WORK, "cone-02")
    assert joint.margin is not None
    assert joint.margin.low == 0.2
    assert (joint.title, joint.features) == (
        "left rod end stud in knuckle eye",
        ("NORTH/RE-3 stud", "NORTH/KN-1 eye"),
    )


def test_findings_are_worst_first_then_by_joint_then_by_rule() -> None:
    report = checked(
        BOTH,
        stud=[stud(DOES_NOT_FIT, -2, "cone-02"), stud(DOES_NOT_FIT, -1, "cone-01")],
        rod=[rod(DOES_NOT_FIT, -1, hearsay=True), rod(WITH_WORK)],
    )
    assert [(joint.id, found.rule) for joint, found in report.answers][:6] == [
        ("left.stud-eye", "cone-01"),
        ("left.stud-eye", "cone-02"),
        ("right.stud-eye", "cone-01"),
        ("right.stud-eye", "cone-02"),
        ("left.rod-end", "thread-02"),
        ("right.rod-end", "thread-02"),
    ]
    assert [found.verdict for found in report.findings][6:] == [WITH_WORK, WITH_WORK, FITS, FITS]


def test_what_rules_a_kit_out_is_named() -> None:
    report = checked(BOTH, stud=[stud(DOES_NOT_FIT, -1)], rod=[rod(DOES_NOT_FIT, -1, hearsay=True)])
    assert report.first_line == (
        "does not fit: ruled out by left rod end stud in knuckle eye, right rod end stud in knuckle eye"
    )
    assert [joint.id for joint, _ in report.ruled_out_on_hearsay] == ["left.rod-end", "right.rod-end"]


def test_what_only_hearsay_rules_out_is_to_be_measured() -> None:
    report = checked(BOTH, stud=[stud(DOES_NOT_FIT, -1, hearsay=True)])
    assert report.ruled_out_by == ()
    assert report.ruling == (
        "ruled out on hearsay only, by left rod end stud in knuckle eye, right rod end stud in knuckle eye: "
        "measure before discarding"
    )


@pytest.mark.parametrize("weak", ["hearsay", "assumed"])
def test_weak_evidence_never_passes_even_where_a_joint_kind_let_it(weak: str) -> None:
    assert checked(BOTH, stud=[stud(FITS, **{weak: True})]).verdict is NOT_KNOWN


def test_a_joint_kind_that_says_nothing_is_not_known() -> None:
    report = checked(BOTH, stud=[])
    assert report.verdict is NOT_KNOWN
    assert report.findings[0].rule == "kit-02"
    assert report.findings[0].because == (
        "NORTH/RE-3 stud check against NORTH/KN-1 eye: no rule answers for this pair of ends yet"
    )


def test_a_sleeve_without_a_check_is_not_known() -> None:
    sleeve = '[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["left.rod_end", "left.knuckle"]\nends = ["bore", "body"]\n'
    report = checked(BOTH + sleeve)
    assert report.verdict is NOT_KNOWN
    unknown = [found.rule for found in report.findings if found.verdict is NOT_KNOWN]
    assert unknown == ["adapter-02", "adapter-03", "adapter-04", "adapter-05", "kit-02"]


def test_a_spherical_rod_end_at_the_knuckle_is_not_known() -> None:
    report = checked(BOTH.replace('rod_end = "NORTH/RE-3"', 'spherical_rod_end = "NORTH/SR-1"', 1))
    assert report.verdict is NOT_KNOWN
    assert [(joint.id, found.rule) for joint, found in report.answers if found.verdict is NOT_KNOWN] == [
        ("left.bolt-eye", "kit-02")
    ]


#: the same knuckle on both sides
ONE_KNUCKLE = BOTH.replace("KN-2", "KN-1")


def sided(text: str, use_of_side: Use | None, gap: str = "") -> Report:
    """The report where the knuckle's side is recorded so."""
    book = Book()
    knuckle = book.parts["NORTH/KN-1"]
    body = replace(
        knuckle.features["body"],
        values={} if use_of_side is None else {"side": use_of_side},
        gaps={"side": gap} if gap else {},
    )
    book.parts["NORTH/KN-1"] = replace(knuckle, features={**knuckle.features, "body": body})
    kinds = {kind.name: kind.kind for kind in (thread_kind(), stud_kind())}
    return check(read_kit(text.encode(), "kit.toml", LIMITS), book, Draws(200), kinds)


def side_of(word: str, hearsay: bool = False) -> Use:
    return Use("NORTH/KN-1 body", "side", word, None, None, Basis.STATED, source="own measurement", hearsay=hearsay)


@pytest.mark.parametrize(("recorded", "named"), [("left", "right"), ("right", "left")])
def test_a_knuckle_of_the_other_side_does_not_fit(recorded: str, named: str) -> None:
    report = sided(ONE_KNUCKLE, side_of(recorded))
    assert report.verdict is DOES_NOT_FIT
    wrong = [(joint.id, found.because) for joint, found in report.answers if found.rule == "kit-03"]
    because = f"NORTH/KN-1 is for the {recorded} side, and the kit names it as the {named} knuckle"
    assert wrong == [(f"{named}.stud-eye", because)]
    heard = sided(ONE_KNUCKLE, side_of(recorded, hearsay=True)).findings[0]
    assert heard.because == f"{because}; on hearsay: measure before discarding"


def test_a_knuckle_whose_sides_disagree_is_not_known() -> None:
    report = sided(ONE_KNUCKLE, None, "in conflict: left, right")
    assert report.verdict is NOT_KNOWN
    assert {found.rule for found in report.findings if found.verdict is NOT_KNOWN} == {"kit-03"}
    assert "NORTH/KN-1 body side: in conflict: left, right" in report.findings[0].because


def test_one_knuckle_on_both_sides_of_which_no_side_is_recorded_is_not_known() -> None:
    report = sided(ONE_KNUCKLE, None)
    assert report.verdict is NOT_KNOWN
    found = [(joint.id, one.because) for joint, one in report.answers if one.verdict is NOT_KNOWN]
    why = "knuckles are handed: no side is recorded, and the kit names its design on both"
    assert found == [(f"{side}.stud-eye", f"NORTH/KN-1 body side: {why}") for side in ("left", "right")]
    assert {(gap.feature, gap.dimension) for gap in report.findings[0].gaps} == {("NORTH/KN-1 body", "side")}
    assert report.cautions[0] == f"NORTH/KN-1: {why}."


@pytest.mark.parametrize("other", ["NORTH/KN-3b", "NORTH/KN-3"])
def test_two_items_of_one_knuckle_of_which_no_side_is_recorded_are_not_known_either(other: str) -> None:
    book = Book()
    for name in ("NORTH/KN-3a", "NORTH/KN-3b"):
        book.parts[name] = replace(part(name, "knuckle", is_item=True), design="NORTH/KN-3")
    book.parts["NORTH/KN-3"] = part("NORTH/KN-3", "knuckle")
    kinds = {kind.name: kind.kind for kind in (thread_kind(), stud_kind())}
    text = BOTH.replace("NORTH/KN-1", "NORTH/KN-3a").replace("NORTH/KN-2", other)
    report = check(read_kit(text.encode(), "kit.toml", LIMITS), book, Draws(200), kinds)
    assert report.verdict is NOT_KNOWN
    found = {(joint.id, one.rule) for joint, one in report.answers if one.verdict is NOT_KNOWN}
    assert found == {("left.stud-eye", "kit-03"), ("right.stud-eye", "kit-03")}


def test_a_knuckle_without_a_side_that_stands_on_one_side_is_a_caution() -> None:
    told = "No side is recorded of NORTH/KN-1: knuckles are handed, look that it is the left one."
    report = sided(BOTH, None)
    assert report.verdict is FITS
    assert told in report.cautions
    assert told not in sided(ONE_KNUCKLE, None).cautions
    assert told not in checked(BOTH).cautions


def test_a_side_is_told_where_the_rest_of_the_joint_is_not_named() -> None:
    text = ONE_KNUCKLE.replace('rod_end = "NORTH/RE-3"\n', "")
    found = [(joint.id, one.rule) for joint, one in sided(text, side_of("left")).answers if "knuckle" in joint.title]
    assert found == [("right.stud-eye", "kit-03"), ("left.stud-eye", "kit-01"), ("right.stud-eye", "kit-01")]


def test_what_is_recorded_of_a_part_is_a_caution() -> None:
    book = Book()
    book.parts["NORTH/RE-3a"] = replace(book.parts["NORTH/RE-3a"], cautions=("NORTH/RE-3a is recorded as worn.",))
    kit = read_kit(BOTH.replace("RE-3", "RE-3a", 1).encode(), "kit.toml", LIMITS)
    kinds = {kind.name: kind.kind for kind in (thread_kind(), stud_kind())}
    report = check(kit, book, Draws(200), kinds)
    assert report.cautions == ("Mind the pin.", "NORTH/RE-3a is recorded as worn.", *STANDING_CAUTIONS)


def test_unknowns_are_folded_by_part_each_once() -> None:
    report = checked(BOTH, stud=[stud(NOT_KNOWN, None)])
    assert {part: [gap.dimension for gap in gaps] for part, gaps in report.unknowns.items()} == {"NORTH/RE-3": ["hand"]}


def test_cautions_are_said_once_and_the_standing_ones_always() -> None:
    assert checked(BOTH).cautions == ("Mind the pin.", *STANDING_CAUTIONS)
    assert checked(HEAD).cautions == STANDING_CAUTIONS
    assert STANDING_CAUTIONS == (
        "Dimensional compatibility only. Not an approval. Have the work certified where your authority requires it.",
        "Not checked: strength, fatigue, material, hidden cracks, welds.",
        "Confirm the direction of steering and every torque on the car.",
    )


def test_joints_are_told_the_limits_in_force_and_the_facts() -> None:
    asked = stud_kind()
    report = run(f'{BOTH}nut = "DIN 935"\n[limits]\nsleeve_wall = 3\n', asked)
    (left, right) = asked.asked
    assert left[:3] == ("NORTH/RE-3 stud", "NORTH/KN-1 eye", {"side": "left"})
    assert right[2] == {"nut": "DIN 935", "side": "right"}
    assert right[3]["sleeve_wall"].value == 3.0
    assert [(limit.name, limit.value) for limit in report.options.limits] == [("sleeve_wall", 3.0)]
    assert (report.options.samples, report.options.seed) == (200, Draws().seed)


def test_the_report_says_what_it_rests_on() -> None:
    report = checked(BOTH)
    assert (report.kit, report.kit_file, len(report.kit_digest)) == ("Narrow rack", "kits/narrow.toml", 64)
    assert (report.target.title, report.catalogue.revision) == ("Kestrel 12 (invented)", 41)


def test_every_rule_has_its_page() -> None:
    codes = [rule.code for rule in kit_rules()]
    assert codes[:3] == ["kit-01", "kit-02", "kit-03"]
    assert {"rod-01", "rod-02", "rod-03", *(f"adapter-0{n}" for n in range(1, 6))} <= set(codes)
    assert len(codes) == len(set(codes))
    assert all(text for rule in kit_rules() for text in vars(rule).values())


def schema(name: str) -> dict[str, Any]:
    path = Path(fitment.__file__).parent / "cli" / "schemas" / f"{name}.schema.json"
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(found)
    return found


def closed(found: Any) -> Any:
    """The schema with every object closed, so that a key that it does not describe is a fault."""
    if isinstance(found, list):
        return [closed(inner) for inner in found]
    if not isinstance(found, dict):
        return found
    inner = {key: closed(value) for key, value in found.items()}
    return {**inner, "additionalProperties": False} if "required" in inner and "properties" in inner else inner


WORD = replace(use("NORTH/RE-3 stud"), value="M12", u=None, unit=None)

REPORTS = {
    "fits": checked(BOTH),
    "work": checked(BOTH, stud=[stud(WITH_WORK), stud(FITS, None)]),
    "does not": checked(BOTH + "[limits]\nsleeve_wall = 3\n", stud=[replace(stud(DOES_NOT_FIT, -1), uses=(WORD,))]),
    "only a target": checked(HEAD),
}


@pytest.mark.parametrize("name", REPORTS)
def test_the_object_is_what_its_schema_says(name: str) -> None:
    text = json.dumps(report_object(REPORTS[name]), allow_nan=False)
    Draft202012Validator(closed(schema("check"))).validate(json.loads(text))


def test_the_schema_refuses_another_verdict_and_a_missing_key() -> None:
    validator = Draft202012Validator(schema("check"))
    wrong = report_object(REPORTS["fits"]) | {"verdict": "ok"}
    assert not validator.is_valid(wrong)
    lacking = report_object(REPORTS["fits"])
    del lacking["findings"][0]["margin"]
    assert not validator.is_valid(lacking)


def test_the_object_is_what_the_contract_says() -> None:
    found = report_object(REPORTS["work"])
    assert found["schema"] == "fitment.check/1"
    assert list(found)[:2] == ["schema", "verdict"]
    assert found["catalogue"] == {"id": "0d6f", "revision": 41, "digest": "ab12"}
    first = found["findings"][0]
    assert list(first)[:11] == [
        "rule",
        "joint",
        "verdict",
        "basis",
        "margin",
        "because",
        "uses",
        "work",
        "figures",
        "cautions",
        "gaps",
    ]
    assert first["joint"] == ["NORTH/RE-3 stud", "NORTH/KN-1 eye"]
    assert first["margin"] == {"value": 0.6, "u": 0.05, "low": 0.5, "high": 0.7, "unit": "mm", "samples": 0}
    assert first["uses"][0]["value"] == 14.02
    assert first["uses"][0]["readings"] == ["r-1"]
    assert (first["work"][0]["from"], first["work"][0]["to"], first["work"][0]["remaining"]) == (14.0, 14.4, 6.2)
    assert first["figures"]["stand_off"] == {"value": 1.2, "u": 0.1, "unit": "mm"}
    assert first["figures"]["turns_to_bind"]["value"] is None
    assert first["joint_id"] == "left.stud-eye"
    no_number = next(entry for entry in found["findings"] if entry["margin"] is None)
    assert no_number["verdict"] == "fits"


def test_the_same_check_gives_the_same_object() -> None:
    assert json.dumps(report_object(checked(BOTH))) == json.dumps(report_object(checked(BOTH)))


def test_the_kit_schema_takes_a_whole_kit_and_a_target_alone() -> None:
    validator = Draft202012Validator(schema("kit"))
    for text in (WHOLE, HEAD, HEAD + '[rack]\nposition = {x = "0 mm", y = "0 mm", z = "0 mm"}\n'):
        validator.validate(tomllib.loads(text))


@pytest.mark.parametrize(
    "wrong",
    [
        'name = "x"\n',
        HEAD + "author = 3\n",
        HEAD + '[left]\nrodend = "x"\n',
        HEAD + '[left]\nrod_end = "x"\nspherical_rod_end = "x"\n',
        HEAD + '[rack]\nsits = "free"\n',
        HEAD + '[rack]\nsits = "by mounting"\nposition = {x = "0 mm", y = "0 mm", z = "0 mm"}\n',
        HEAD + '[[adapter]]\npart = "x"\n',
        HEAD + "[limits]\nsleeve_wall = true\n",
    ],
)
def test_the_kit_schema_refuses_what_the_reader_refuses(wrong: str) -> None:
    assert not Draft202012Validator(schema("kit")).is_valid(tomllib.loads(wrong))
    with pytest.raises(FitmentError):
        read_kit(wrong.encode(), "kit.toml", LIMITS)


def test_the_kit_schema_has_a_key_for_every_role_and_fact() -> None:
    sections = schema("kit")["properties"]
    for role in roles().values():
        for section in role.sections:
            assert role.key in sections[section]["properties"]
    for side in ("left", "right"):
        keys = {role.key for role in roles().values() if side in role.sections}
        assert set(sections[side]["properties"]) == keys | set(facts())
        for key, fact in facts().items():
            assert tuple(sections[side]["properties"][key].get("enum", ())) == fact.allowed


def test_findings_keep_what_a_joint_kind_gave() -> None:
    given = replace(stud(WITH_WORK), basis=None)
    kept = next(found for found in checked(BOTH, stud=[given]).findings if found.rule == "cone-01")
    assert kept == replace(given, basis=given.uses[0].basis)
