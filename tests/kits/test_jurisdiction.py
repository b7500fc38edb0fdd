"""A kit that names a jurisdiction gets the rules that touch it, as facts; everything of the kit is invented."""

from __future__ import annotations

import json

from jsonschema import Draft202012Validator

from fitment.finding import Verdict
from fitment.kits.jurisdiction import CAUTION
from fitment.kits.report import Report
from fitment.kits.report_json import report_object
from fitment.sheets.report_text import report_text
from tests.kits.test_report import BOTH, HEAD, checked, closed, schema, stud


def named(jurisdiction: str, more: str = "", verdict: Verdict = Verdict.FITS) -> Report:
    text = BOTH.replace(HEAD, f'{HEAD}jurisdiction = "{jurisdiction}"\n') + more
    return checked(text, stud=[stud(verdict)])


def touched(report: Report) -> dict[str, tuple[str, ...]]:
    assert report.certifier_facts is not None
    return {one.rule.id: one.touched_by for one in report.certifier_facts.rules}


def test_a_kit_without_a_jurisdiction_has_no_such_section() -> None:
    report = checked(BOTH)
    assert report.certifier_facts is None
    assert "Facts to take to the certifier" not in report_text(report, 80, "mm", False)
    assert report_object(report)["certifier_facts"] is None


def test_the_rules_that_touch_a_kit_say_what_of_it_they_touch() -> None:
    found = touched(named("NZ"))
    assert found["nz-01"] == ("used parts may carry welds", "used parts may have been heated")
    assert found["nz-03"] == ("rack NORTH/RK-7",)
    assert "nz-07" in found  # its welds: every column is bought with them
    assert touched(named("Western Australia"))["westaus-01"][:2] == (
        "left knuckle NORTH/KN-1",
        "right knuckle NORTH/KN-2",
    )


def test_column_rules_are_told_where_the_kit_names_a_column_part() -> None:
    assert "eu-01" not in touched(named("EU"))
    found = touched(named("EU", '[column]\nlower_joint = "NORTH/UJ-1"\n'))
    assert found["eu-01"] == ("lower universal joint NORTH/UJ-1",)
    assert "un-01" in found  # rules of the UN are told with those of the EU


def test_work_and_made_parts_are_what_needs_a_certificate() -> None:
    report = named("new zealand", verdict=Verdict.FITS_WITH_WORK)
    assert report.certifier_facts is not None
    assert report.certifier_facts.jurisdiction == "NZ"
    assert touched(report)["nz-04"] == (
        "a mix of steering parts",
        "work: ream NORTH/KN-1 eye",
        "rack NORTH/RK-7",
    )
    adapter = '[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["left.tie_rod", "left.rod_end"]\nends = ["a", "b"]\n'
    assert "adapter NORTH/AD-1, a made part" in touched(named("South Australia", adapter))["sa-03"]


def test_a_state_has_its_countrys_rules_behind_its_own() -> None:
    assert list(touched(named("Washington")))[:2] == ["wash-01", "us-01"]


def test_an_unknown_jurisdiction_is_told() -> None:
    report = named("Atlantis")
    assert report.certifier_facts is not None
    assert report.certifier_facts.rules == ()
    assert report.certifier_facts.note.startswith(
        'No rules are recorded for "Atlantis"; absence says nothing. Held: NZ'
    )
    assert "Facts to take to the certifier (Atlantis)" in report_text(report, 80, "mm", False)


def test_the_facts_decide_nothing() -> None:
    assert named("NZ").verdict is checked(BOTH).verdict
    assert named("NZ").first_line == checked(BOTH).first_line


def test_the_text_has_document_paragraph_date_and_the_caution() -> None:
    text = report_text(named("New South Wales"), 200, "mm", False)
    assert "Facts to take to the certifier (NSW)\n" in text
    assert "    New South Wales VSI 6 rev 2.1, page 4; Nov 2007, second hand\n" in text
    assert "    touched by: used parts may carry welds, parts that were not made for this car, a mix of" in text
    assert CAUTION in " ".join(text.split())


def test_the_object_is_what_its_schema_says() -> None:
    for jurisdiction in ("NZ", "Atlantis"):
        found = json.loads(json.dumps(report_object(named(jurisdiction))))
        Draft202012Validator(closed(schema("check"))).validate(found)
    assert list(found["certifier_facts"]) == ["jurisdiction", "note", "rules"]
