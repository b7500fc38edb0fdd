"""What is recorded of the state of the parts: welds, heat, wear, play and bends. The kit is the invented good one.

The limit of play is the tool's own suggestion, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitment.catalogue.found import FoundPart
from fitment.doubt import Draws
from fitment.finding import Finding, Verdict
from fitment.joints.limits import default_limits
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.measure_next import measure_next
from fitment.kits.report import JointSummary, Report
from fitment.kits.worlds import worlds_of
from fitment.sheets.report_text import report_text
from tests.kits.fakes import Book
from tests.kits.test_report import BOTH, run
from tests.support.good_kit import good, spherical, with_adapter
from tests.support.mix import Mix

NOT_KNOWN, FITS = Verdict.NOT_KNOWN, Verdict.FITS
WELD = "a repair weld is recorded: whether it may be used is for the certifier; fitment explain weld"
HEAT = "marks of heat are recorded: whether it may be used is for the certifier; fitment explain weld"
WORN = "it is recorded as worn: new joints are recommended"


def report_on(mix: Mix) -> Report:
    return mix.report(Draws(300))


def states(report: Report) -> dict[str, JointSummary]:
    return {joint.id: joint for joint in report.joints if joint.id.endswith(".state")}


def only(report: Report) -> tuple[str, Finding]:
    ((name, joint),) = states(report).items()
    (finding,) = joint.findings
    return name, finding


def test_parts_that_are_as_they_should_be_say_nothing() -> None:
    mix = good()
    mix.set("NORTH/TR-1 body", welds="maker's", bend=0.0, play_axial=0.0)
    report = report_on(mix)
    assert states(report) == {}
    assert report.verdict is FITS
    assert not [line for line in report.not_checked if line.startswith("recorded state")]


def test_a_kit_of_which_nothing_is_recorded_says_so() -> None:
    told = "recorded state of the parts: nothing is recorded of welds, heat, wear, play and bends"
    assert told in run(BOTH).not_checked


@pytest.mark.parametrize(
    ("feature", "dimension", "word", "at", "rule", "why"),
    [
        ("NORTH/TR-1 body", "welds", "repair", "left.tie_rod", "state-01", WELD),
        ("NORTH/KN-2 eye", "welds", "repair", "right.knuckle", "state-01", WELD),
        ("NORTH/RK-1 body", "welds", "repair", "rack", "state-01", WELD),
        ("NORTH/KN-1 eye", "heat-marks", "seen", "left.knuckle", "state-01", HEAT),
        ("NORTH/IS-1 body", "heat-marks", "seen", "column.intermediate_shaft", "state-01", HEAT),
        ("NORTH/RE-1 body", "condition", "worn", "left.rod_end", "state-02", WORN),
    ],
)
def test_a_recorded_fault_never_fits(feature: str, dimension: str, word: str, at: str, rule: str, why: str) -> None:
    report = report_on(good().set(feature, **{dimension.replace("-", "_"): word}))
    name, found = only(report)
    assert report.verdict is NOT_KNOWN
    assert (name, found.rule, found.verdict) == (f"{at}.state", rule, NOT_KNOWN)
    assert found.because == f"{feature} {dimension}: {why}"
    assert [(gap.feature, gap.dimension, gap.why) for gap in found.gaps] == [(feature, dimension, why)]
    assert f"- {feature}: {why}." in " ".join(report_text(report, 100, "mm", False).split())


def test_an_adapter_with_a_repair_weld_is_not_known_and_its_material_is_no_wear() -> None:
    mix = with_adapter()
    assert states(report_on(mix)) == {}
    name, found = only(report_on(mix.set("NORTH/AD-1 body", welds="repair", condition="worn")))
    assert (name, found.verdict) == ("adapter.1.state", NOT_KNOWN)


@pytest.mark.parametrize(
    ("feature", "values", "told"),
    [
        ("NORTH/TR-1 body", {"welds": "unknown"}, "Welds of NORTH/TR-1 are not known: clean it, look"),
        ("NORTH/KN-1 eye", {"heat_marks": "unknown"}, "Whether NORTH/KN-1 was ever heated is not known"),
        (
            "NORTH/TR-1 body",
            {"bend": 1.2, "made_offset": 1.0},
            "NORTH/TR-1 body: a bend or offset of 1.20 mm is recorded",
        ),
        ("NORTH/TR-1 body", {"play_axial": 0.2}, "NORTH/TR-1 body: axial play of 0.20 mm is recorded"),
        ("NORTH/RE-1 body", {"play_radial": 0.2}, "NORTH/RE-1 body: radial play of 0.20 mm is recorded"),
        ("NORTH/UJ-1 body", {"play": 0.2}, "NORTH/UJ-1 body: play at a 100 mm lever of 0.20 mm is recorded"),
    ],
)
def test_what_decides_nothing_is_a_caution(feature: str, values: dict[str, float | str], told: str) -> None:
    report = report_on(good().set(feature, **values))
    assert only(report)[1].verdict is FITS
    assert report.verdict is FITS
    assert [line for line in report.cautions if line.startswith(told)]


def test_a_bend_of_which_nobody_knows_whether_it_was_made_so_is_not_known() -> None:
    found = only(report_on(good().set("NORTH/TR-1 body", bend=1.2)))[1]
    assert found.verdict is NOT_KNOWN
    assert [(gap.feature, gap.dimension) for gap in found.gaps] == [("NORTH/TR-1 body", "made-offset")]
    assert [line for line in found.cautions if line.endswith("A part that was bent since is not for use.")]


def test_a_rod_bent_since_it_was_made_is_not_known_and_a_kit_may_state_the_limit() -> None:
    mix = good().set("NORTH/TR-1 body", bend=3.0, made_offset=1.0)
    found = only(report_on(mix))[1]
    assert found.verdict is NOT_KNOWN
    assert found.because.endswith("bent since it was made, and not for use")
    assert [(gap.feature, gap.dimension) for gap in found.gaps] == [("NORTH/TR-1 body", "bend")]
    assert only(report_on(mix.say("limits", bend_unlike="2.5 mm")))[1].verdict is FITS


def test_play_beyond_the_limit_is_not_known_and_a_kit_may_state_the_limit() -> None:
    mix = spherical().set("NORTH/SR-1 body", play=0.9)
    found = only(report_on(mix))[1]
    because = "NORTH/SR-1 body: radial play of 0.90 mm is recorded where 0.50 mm at most is allowed"
    assert (found.verdict, found.because) == (NOT_KNOWN, f"{because}: new joints are recommended")
    assert [(gap.feature, gap.dimension) for gap in found.gaps] == [("NORTH/SR-1 body", "play")]
    assert only(report_on(mix.say("limits", joint_play="1 mm")))[1].verdict is FITS
    assert default_limits()["joint_play"].source == "own suggestion, no source"


def test_play_whose_doubt_reaches_over_the_limit_is_not_known() -> None:
    found = only(report_on(good().set("NORTH/RE-1 body", 0.1, play_radial=0.45)))[1]
    assert found.verdict is NOT_KNOWN
    assert found.because.endswith("most of it is NORTH/RE-1 body play-radial")


def test_records_in_conflict_are_not_known() -> None:
    book = Book()
    rod = book.parts["NORTH/TR-2"]
    body = replace(rod.features["body"], gaps={"welds": "in conflict: none against repair"})
    book.parts["NORTH/TR-2"] = replace(rod, features={**rod.features, "body": body})
    report = check(read_kit(BOTH.encode(), "kit.toml", None), book, Draws(300))
    found = states(report)
    assert sorted(found) == ["left.tie_rod.state", "right.tie_rod.state"]
    assert {joint.verdict for joint in found.values()} == {NOT_KNOWN}


def test_no_reading_is_proposed_for_a_fault_that_is_recorded() -> None:
    mix = good().set("NORTH/TR-1 body", welds="repair")
    told = measure_next(worlds_of(read_kit(mix.text().encode(), "good.toml"), mix))
    assert told.readings == ()
    assert [(gap.feature, gap.dimension, gap.why) for gap in told.left_out] == [("NORTH/TR-1 body", "welds", WELD)]


def test_a_recorded_weld_or_heat_touches_the_rules_of_the_jurisdiction() -> None:
    mix = good().set("NORTH/TR-1 body", welds="repair").set("NORTH/KN-2 eye", heat_marks="seen")
    text = mix.text().replace("name =", 'jurisdiction = "NZ"\nname =', 1)
    facts = check(read_kit(text.encode(), "good.toml"), mix, Draws(300)).certifier_facts
    assert facts is not None
    touched = {why for one in facts.rules if one.rule.id == "nz-01" for why in one.touched_by}
    assert {"NORTH/TR-1 body: a repair weld recorded", "NORTH/KN-2 eye: marks of heat recorded"} <= touched


@pytest.mark.parametrize(
    ("field", "said", "told"),
    [
        ("welds", "repair", {"state-01": "NORTH/TR-2 welds: stated as repair: whether it may be used"}),
        ("welds", "patched at the eye", {"state-01": "NORTH/TR-2 welds: stated as patched at the eye: whether"}),
        ("condition", "worn", {"state-02": "NORTH/TR-2 condition: stated as worn: new joints"}),
        ("welds", "maker's", {}),
        ("condition", "used", {}),
    ],
)
def test_what_is_stated_of_an_item_counts_too(field: str, said: str, told: dict[str, str]) -> None:
    class Stated(Book):
        def find(self, reference: str) -> FoundPart:
            found = super().find(reference)
            return replace(found, stated={field: said}) if found.name == "NORTH/TR-2" else found

    report = check(read_kit(BOTH.encode(), "kits/narrow.toml", default_limits()), Stated(), Draws(200), {})
    findings = {one.rule: one for joint in states(report).values() for one in joint.findings}
    assert findings.keys() == told.keys()
    for rule, because in told.items():
        assert findings[rule].verdict is NOT_KNOWN
        assert findings[rule].because.startswith(because)
