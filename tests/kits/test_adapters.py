"""A made part in a kit: what must be recorded of it as made, and that a gap never passes. Everything is invented."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from fitment.doubt import Draws
from fitment.finding import Finding, Verdict
from fitment.joints.kinds import joint_kinds
from fitment.joints.limits import default_limits
from fitment.joints.registration import Feature
from fitment.joints.thread_adapter import CERTIFY
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report import Report
from tests.kits.fakes import Book, stud_kind, thread_kind
from tests.kits.test_report import BOTH
from tests.support.features import feature

ADAPTER = '[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["left.tie_rod", "left.rod_end"]\nends = ["a", "b"]\n'
SLEEVE = '[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["left.rod_end", "left.knuckle"]\nends = ["bore", "body"]\n'
RECORDED: dict[str, Any] = {
    "drawing": "031",
    "revision": "B",
    "lot": "7",
    "material": "42CrMo4, EN 10083-3",
    "condition": "quenched and tempered",
    "certificate": "C-118",
    "coating": "none",
    "length": 58.0,
    "concentricity": 0.04,
}


def body(**more: Any) -> Feature:
    return feature("NORTH/AD-1 body", "adapter-body", u=0.01, **{**RECORDED, **more})


def run(text: str, made: Feature, depths: tuple[float, float] = (24.0, 26.0)) -> Report:
    book = Book()
    ends = {
        name: feature(f"NORTH/AD-1 {name}", "thread-end", u=0.1, depth=deep)
        for name, deep in zip("ab", depths, strict=True)
    }
    adapter = book.parts["NORTH/AD-1"]
    book.parts["NORTH/AD-1"] = replace(adapter, features={**adapter.features, "body": made, **ends})
    kit = read_kit(text.encode(), "kit.toml", default_limits())
    return check(kit, book, Draws(500), {kind.name: kind.kind for kind in (thread_kind(), stud_kind())})


def of_adapter(report: Report) -> dict[str, tuple[str, Finding]]:
    return {one.rule: (joint.id, one) for joint, one in report.answers if one.rule.startswith("adapter-")}


def test_an_adapter_with_everything_recorded_passes() -> None:
    report = run(BOTH + ADAPTER, body())
    found = of_adapter(report)
    assert sorted(found) == [f"adapter-0{n}" for n in range(1, 6)]
    assert {(at, one.verdict.value) for at, one in found.values()} == {("left.rod-end.2", "fits")}
    assert (
        found["adapter-01"][1].because == "threads of 24.00 mm and 26.00 mm in an adapter of 58.00 mm: 8.00 mm is left"
    )
    assert found["adapter-03"][1].because == "recorded: drawing 031, revision B, lot 7"
    assert CERTIFY in report.cautions


@pytest.mark.parametrize(
    ("changes", "rule", "because"),
    [
        (
            {"length": 48.0},
            "adapter-01",
            "threads of 24.00 mm and 26.00 mm in an adapter of 48.00 mm: 2.00 mm is missing",
        ),
        ({"concentricity": 0.25}, "adapter-02", "one end runs out 0.25 mm to the other, up to 0.10 mm is asked"),
    ],
)
def test_what_is_out_of_its_limit_does_not_fit(changes: dict[str, float], rule: str, because: str) -> None:
    report = run(BOTH + ADAPTER, body(**changes))
    found = of_adapter(report)[rule][1]
    assert (report.verdict, found.verdict, found.because) == (Verdict.DOES_NOT_FIT, Verdict.DOES_NOT_FIT, because)


@pytest.mark.parametrize(
    ("changes", "rule", "because"),
    [
        ({"drawing": "none"}, "adapter-03", "NORTH/AD-1 body drawing: recorded as none"),
        ({"lot": "none"}, "adapter-03", "NORTH/AD-1 body lot or serial: neither is recorded"),
        ({"certificate": "none"}, "adapter-04", "NORTH/AD-1 body certificate: recorded as none"),
        ({"coating": "zinc plated"}, "adapter-05", "NORTH/AD-1 body baking: no reading"),
        ({"coating": "hard chrome", "baking": "none"}, "adapter-05", "NORTH/AD-1 body baking: recorded as none"),
    ],
)
def test_what_is_recorded_as_none_is_not_known(changes: dict[str, str], rule: str, because: str) -> None:
    found = of_adapter(run(BOTH + ADAPTER, body(**changes)))[rule][1]
    assert (found.verdict, found.because) == (Verdict.NOT_KNOWN, because)


@pytest.mark.parametrize(
    ("missing", "rule"),
    [
        ("length", "adapter-01"),
        ("concentricity", "adapter-02"),
        ("revision", "adapter-03"),
        ("material", "adapter-04"),
        ("condition", "adapter-04"),
        ("coating", "adapter-05"),
    ],
)
def test_what_is_missing_is_named(missing: str, rule: str) -> None:
    made = body()
    report = run(BOTH + ADAPTER, replace(made, values={k: v for k, v in made.values.items() if k != missing}))
    unknown = [one for _, one in of_adapter(report).values() if one.verdict is Verdict.NOT_KNOWN]
    assert [(one.rule, one.because) for one in unknown] == [(rule, f"NORTH/AD-1 body {missing}: no reading")]


def test_a_serial_number_and_a_baked_plating_do() -> None:
    made = body(serial="0007", coating="zinc plated", baking="4 h at 190 deg")
    made = replace(made, values={key: use for key, use in made.values.items() if key != "lot"})
    assert {one.verdict for _, one in of_adapter(run(BOTH + ADAPTER, made)).values()} == {Verdict.FITS}


def test_hearsay_of_a_made_part_never_passes() -> None:
    made = body()
    told = replace(made.values["certificate"], hearsay=True, source="listing")
    found = of_adapter(run(BOTH + ADAPTER, replace(made, values={**made.values, "certificate": told})))
    assert found["adapter-04"][1].verdict is Verdict.NOT_KNOWN


def test_a_sleeve_has_no_threads_to_look_at() -> None:
    found = of_adapter(run(BOTH + SLEEVE, body()))
    assert sorted(found) == [f"adapter-0{n}" for n in range(2, 6)]
    assert {at for at, _ in found.values()} == {"left.stud-eye.2"}


def test_an_adapter_on_either_side_is_told_on_its_side() -> None:
    report = run(BOTH + ADAPTER + ADAPTER.replace("left", "right"), body(concentricity=0.25))
    assert [joint.id for joint, one in report.answers if one.rule == "adapter-02"] == [
        "left.rod-end.2",
        "right.rod-end.2",
    ]


def test_an_adapter_whose_joints_have_no_check_stands_in_a_line_of_its_own() -> None:
    kit = (
        BOTH
        + '[column]\nlower_joint = "NORTH/UJ-1"\n'
        + ADAPTER.replace('"left.tie_rod", "left.rod_end"', '"rack", "column.lower_joint"')
    )
    report = run(kit, body(concentricity=0.25))
    (joint,) = (joint for joint in report.joints if joint.id == "adapter.1")
    assert (joint.title, joint.features) == ("adapter NORTH/AD-1", ("NORTH/AD-1 a", "NORTH/AD-1 b"))
    assert joint.verdict is Verdict.DOES_NOT_FIT


def test_a_sleeve_is_judged_at_its_outside_by_the_kinds_that_are_registered() -> None:
    kit = read_kit((BOTH + SLEEVE).encode(), "kit.toml", default_limits())
    report = check(kit, Book(), Draws(200), joint_kinds())
    rules = {one.rule for joint, one in report.answers if joint.id == "left.stud-eye.2"}
    assert {"sleeve-01", "sleeve-02", "sleeve-03"} <= rules
    assert "kit-02" not in rules
