"""Every failure of a mixed steering is met: by a rule with a number, by a fact asked for, or by a line to look at.

``failures.csv`` maps all 57 to what catches them. Each rule is seen to fail on a kit that passes everything but for the
failure seeded into it; what fails beside it is listed with its reason.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from fitment.catalogue.dictionary import find_dimension, find_kind
from fitment.catalogue.mangled import date_fault, date_in_text
from fitment.catalogue.values import read_values
from fitment.doubt import Draws
from fitment.errors import DataFault
from fitment.finding import Verdict
from fitment.joints.kinds import all_rules
from fitment.kits.look_at import look_at
from fitment.kits.report import Report
from fitment.kits.report_json import report_object
from fitment.kits.roles import whole_kit_checks
from fitment.kits.rules import kit_rules
from fitment.sheets.report_text import report_text
from tests.kits.test_report import schema
from tests.support.good_kit import BASES, good, in_a_box, spherical, with_adapter
from tests.support.mix import Mix, failing
from tests.support.seeds import MORE, SEEDS, Seed

with (Path(__file__).parent / "failures.csv").open(encoding="utf-8", newline="") as table:
    ROWS = list(csv.DictReader(table))

#: place-01 and place-02 answer for fitment interchange alone, where its own tests reach them
CODES = frozenset({*all_rules(), *(rule.code for rule in kit_rules())} - {"place-01", "place-02"})

#: codes of the rules by which an entry is refused
AT_ENTRY = {"value-04", "sheet-20"}

#: rules that no failure can reach, and why
NEVER_FAIL = {
    "cone-00": "a record that the two came off one donor together is told only where it answers for them",
    "pattern-00": "as cone-00",
    "spline-00": "as cone-00",
    "thread-00": "as cone-00",
    "pattern-04": "told only with work that keeps the edge; work that would not is not proposed, and pattern-03 fails",
}

DRAWS = 500


def report_on(mix: Mix) -> Report:
    return mix.report(Draws(DRAWS))


@cache
def base_failing(name: str) -> dict[str, Verdict]:
    return failing(report_on(BASES[name]()))


def seeded_failing(seed: Seed) -> set[str]:
    (name,) = (name for name, base in BASES.items() if base is seed.base)
    return set(failing(report_on(seed.seeded()))) - set(base_failing(name))


def printed(report: Report) -> str:
    return " ".join(report_text(report, 100, "mm", False).split())


@pytest.mark.parametrize("name", BASES)
def test_the_good_kits_fit(name: str) -> None:
    assert base_failing(name) == {}


def test_the_good_kit_asks_everything_that_is_built() -> None:
    report = report_on(good())
    assert report.verdict is Verdict.FITS
    # the kit "box" has what this one lacks, a clearance box
    assert [line.partition(":")[0] for line in report.not_checked] == [whole_kit_checks()["clearance"].title]
    assert report_on(in_a_box()).not_checked == ()


def test_the_map_holds_all_57() -> None:
    assert [int(row["number"]) for row in ROWS] == list(range(1, 58))
    for row in ROWS:
        assert row["met"] in ("rule", "fact", "look")
        assert set(row["rules"].split()) <= CODES | AT_ENTRY
        assert bool(row["rules"]) == (row["met"] != "look")
        assert bool(row["look_at"]) or row["met"] != "look"
        assert bool(row["asked"]) or row["met"] != "fact"


@pytest.mark.parametrize("row", [row for row in ROWS if row["rules"]], ids=lambda row: row["number"])
def test_every_rule_of_the_map_has_a_seed(row: dict[str, str]) -> None:
    seeded = {code for seed in SEEDS if seed.row == int(row["number"]) for code in seed.caught}
    assert seeded | AT_ENTRY >= set(row["rules"].split())
    assert seeded <= set(row["rules"].split())


@pytest.mark.parametrize("seed", [*SEEDS, *MORE], ids=lambda seed: seed.name)
def test_a_seeded_failure_is_caught(seed: Seed) -> None:
    assert seeded_failing(seed) == seed.caught | {code for code, _ in seed.also}
    assert all(why for _, why in seed.also)


def test_the_seeds_reach_every_rule() -> None:
    reached = {code for seed in (*SEEDS, *MORE) for code in seed.caught}
    assert CODES - reached == set(NEVER_FAIL)
    assert not reached & set(NEVER_FAIL)


@pytest.mark.parametrize(
    ("row", "asked"),
    [(row, one) for row in ROWS for one in row["asked"].split("; ") if one],
    ids=lambda given: given if isinstance(given, str) else given["number"],
)
def test_a_fact_that_is_missing_is_asked_for(row: dict[str, str], asked: str) -> None:
    mix = with_adapter() if "AD-1" in asked else good()
    feature, _, dimension = asked.rpartition(" ")
    if row["number"] == "34":  # the travel is recorded, and asked for again with this kit's own joint on the bar
        mix.set(feature, stop="inner-joint shoulder")
    else:
        mix.take(feature, dimension)
    found = [one for one in report_on(mix).findings if one.rule in row["rules"].split()]
    assert Verdict.NOT_KNOWN in {one.verdict for one in found}
    assert (feature, dimension) in {(gap.feature, gap.dimension) for one in found for gap in one.gaps}


def _second_nut(mix: Mix) -> None:
    mix.set("NORTH/RE-1 stud", locking="second nut")


def _third_party(mix: Mix) -> None:
    mix.set("NORTH/CO-1 body", origin="third party")


def _assisted(mix: Mix) -> None:
    mix.set("NORTH/RK-1 body", assist="hydraulic")


def _worn(mix: Mix) -> None:
    mix.set("NORTH/RE-1 body", condition="worn")


#: lines that are told only where something recorded, or not recorded, asks for them
_ASKED_FOR = {"second-nut": _second_nut, "tilt": _third_party, "assistance": _assisted, "worn": _worn}


@pytest.mark.parametrize(
    "key", [key for row in ROWS for key in row["look_at"].split() if key != "welds-unknown"], ids=str
)
def test_what_cannot_be_measured_is_printed(key: str) -> None:
    mix = good()
    asked = _ASKED_FOR.get(key)
    if asked is not None:
        assert key not in {one.key for one in report_on(mix).look_at}
        asked(mix)
    report = report_on(mix)
    (told,) = (one for one in report.look_at if one.key == key)
    assert f"- {told.line}" in printed(report)
    assert told.source


def test_every_line_to_look_at_belongs_to_a_failure() -> None:
    mapped = {key for row in ROWS for key in row["look_at"].split()} - {"welds-unknown"}
    mix = good()
    for change in _ASKED_FOR.values():
        change(mix)
    assert {one.key for one in report_on(mix).look_at} == mapped


def test_nothing_recorded_asks_as_much_as_something_bad() -> None:
    mix = good().take("NORTH/RK-1 body", "assist").take("NORTH/CO-1 body", "origin")
    mix.take("NORTH/TR-1 body", "condition")
    assert {"assistance", "tilt", "worn"} <= {one.key for one in report_on(mix).look_at}


def test_lines_are_told_of_parts_that_the_kit_names() -> None:
    assert look_at({}) == ()
    spoken = {one.key for one in report_on(spherical()).look_at}
    assert "castle-nut" not in spoken  # a bolt has none
    bare = good()
    del bare.sections["column"]
    assert not {"pinch-torque", "pinch-pair", "clock-spring"} & {one.key for one in report_on(bare).look_at}


def test_a_weld_of_which_nobody_knows_is_printed() -> None:
    told = "Welds of NORTH/IS-1 are not known: clean it, look, file or dye test."
    assert told not in printed(report_on(good()))
    for mix in (good().take("NORTH/IS-1 body", "welds"), good().set("NORTH/IS-1 body", welds="unknown")):
        assert told in printed(report_on(mix))


def test_the_lines_are_in_the_json_as_its_schema_says() -> None:
    report = report_on(good())
    made = report_object(report)
    Draft202012Validator(schema("check")).validate(made)
    assert made["look_at"] == [{"key": one.key, "line": one.line, "source": one.source} for one in report.look_at]


def test_holes_that_cannot_be_opened_say_so_beside_those_that_hold_the_thread() -> None:
    (seed,) = (one for one in MORE if one.name == "no edge left beside the opened hole")
    (found,) = (one for one in report_on(seed.seeded()).findings if one.rule == "pattern-03")
    assert "NORTH/XM-1 mount holds the thread; the other holes cannot be opened or slotted" in found.because


def test_while_it_is_not_known_whether_work_would_mend_the_seat_nothing_reckoned_from_it_is_a_misfit() -> None:
    def of_the_stud(u: float) -> dict[str, Verdict]:
        report = report_on(good().set("NORTH/RE-2 stud", u, large=12.2))
        return {
            one.rule: one.verdict for joint in report.joints if joint.id == "right.stud-eye" for one in joint.findings
        }

    assert of_the_stud(16.0)["cone-06"] is of_the_stud(16.0)["cone-03"] is Verdict.NOT_KNOWN
    assert of_the_stud(0.01)["cone-06"] is not Verdict.NOT_KNOWN


@pytest.mark.parametrize(
    ("kind", "feature", "dimension", "text", "meant"),
    [
        ("rod-end", "stud", "taper", "1:20", "taper"),
        ("rod-end", "body", "centre", "450", "length"),
        ("rod-end", "body", "centre", "4,5", "length"),
        ("tie-rod", "body", "length", "10.6", "length"),
        ("column", "body", "axis-side", "75", "angle"),
    ],
)
def test_a_slip_in_the_data_is_refused_at_entry(kind: str, feature: str, dimension: str, text: str, meant: str) -> None:
    column = find_dimension(find_kind(kind), feature, dimension)
    assert column.value_kind == meant
    unit = {"length": "mm", "angle": "deg"}.get(meant, "")
    with pytest.raises(DataFault) as caught:
        read_values(column, text, unit, "", True)
    assert caught.value.code == "value-04"


def test_a_fraction_that_a_spreadsheet_made_a_date_is_refused_at_entry() -> None:
    column = find_dimension(find_kind("rod-end"), "shank", "thread")
    moment = date_in_text(column, "2-Jan-20")
    assert moment is not None
    fault = date_fault(moment, column)
    assert fault.code == "sheet-20"
    assert "probably 1/2-20" in (fault.mending or "")
