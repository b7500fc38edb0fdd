"""The clamps in a kit: which side each grips, their bolts in the crossmember, and the stop sideways of both."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitment.doubt import Draws
from fitment.finding import Basis, Finding, Verdict
from fitment.joints.kinds import joint_kinds
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report import JointSummary, Report
from fitment.kits.roles import joins
from tests.kits.fakes import Book, part
from tests.support.features import feature

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict

HEAD = 'name = "Held"\ntarget = "NORTH/V-1"\n[rack]\npart = "NORTH/RK-7"\n[mounting]\n'
BOTH = 'mount_left = "NORTH/MT-1"\nmount_right = "NORTH/MT-2"\n'
SHOULDER = {"lateral_stop": "yes", "stop_kind": "shoulder", "stop_ways": "both"}
PLAIN = {"lateral_stop": "no"}


class Shelf(Book):
    """A rack of two diameters, 42 mm left and 44 mm right, and a clamp for each."""

    def __init__(self, left: dict[str, str], right: dict[str, str]) -> None:
        super().__init__()
        self.set("NORTH/RK-7", "body", "rack-body", tube_left=42.0, tube_right=44.0)
        self.set("NORTH/CM-1", "mount", "pattern", hole_dia=8.7, thick=3.0, material="steel")
        for name, stop, tube in (("NORTH/MT-1", left, 42.0), ("NORTH/MT-2", right, 44.0)):
            self.parts[name] = part(name, "mount")
            self.set(name, "body", "mount-body", bush_inside=tube, bush_outside=tube + 10.4, clamp_bore=tube + 9.4,
                     gap=1.0, tube_dia=tube, hole_dia=8.6, bolt="M8", foot=4.0, bolt_grip=7.0, **stop)  # fmt: skip

    def set(self, name: str, end: str, kind: str, **values: float | str) -> None:
        made = feature(f"{name} {end}", kind, 0.02, 0.0, Basis.MEASURED, (), **values)
        self.parts[name] = replace(self.parts[name], features={**self.parts[name].features, end: made})


def run(left: dict[str, str] | None = None, right: dict[str, str] | None = None, text: str = BOTH) -> Report:
    book = Shelf(SHOULDER if left is None else left, PLAIN if right is None else right)
    return check(read_kit((HEAD + text).encode(), "kit.toml", None), book, Draws(500), joint_kinds())


def joint(report: Report, name: str) -> JointSummary:
    return next(one for one in report.joints if one.id == name)


def held(report: Report) -> Finding:
    (found,) = joint(report, "rack-hold").findings
    return found


def gaps(finding: Finding) -> list[tuple[str, str]]:
    return [(gap.feature, gap.dimension) for gap in finding.gaps]


def test_each_clamp_grips_the_housing_of_its_own_side() -> None:
    report = run()
    for side, tube in (("left", "42.00"), ("right", "44.00")):
        one = joint(report, f"mount-clamp-{side}")
        assert one.verdict is FITS
        assert [use.shown or use.number for use in one.findings[0].uses if use.dimension.startswith("tube-")] == [
            float(tube)
        ]
    swapped = run(text='mount_left = "NORTH/MT-2"\nmount_right = "NORTH/MT-1"\n')
    assert joint(swapped, "mount-clamp-left").verdict is DOES_NOT_FIT


def test_a_rack_turned_back_to_front_has_its_ends_on_the_other_sides() -> None:
    turned = HEAD.replace("[mounting]", 'turned = "back to front"\n[mounting]')
    book = Shelf(SHOULDER, PLAIN)
    report = check(read_kit((turned + BOTH).encode(), "kit.toml", None), book, Draws(500), joint_kinds())
    assert joint(report, "mount-clamp-left").verdict is DOES_NOT_FIT


def test_the_sides_are_told_by_the_table() -> None:
    assert {join.name: dict(join.tells) for join in joins() if join.kind == "clamp"} == {
        "mount-clamp-left": {"side": "left"},
        "mount-clamp-right": {"side": "right"},
    }


def test_the_bolts_are_looked_at_with_a_crossmember() -> None:
    named = run(text=BOTH + 'crossmember = "NORTH/CM-1"\n')
    assert [finding.rule for finding in joint(named, "clamp-bolts-left").findings] == ["bolts-01", "bolts-03"]
    assert joint(named, "clamp-bolts-right").verdict is FITS
    assert "left clamp to crossmember: crossmember is not named in the kit" in run().not_checked


def test_one_clamp_may_stop_the_rack_for_both() -> None:
    found = held(run())
    assert found.verdict is FITS
    assert found.because == "something solid stops the rack both ways: a shoulder at NORTH/MT-1 body, both"
    assert {use.feature for use in found.uses} == {"NORTH/MT-1 body"}
    # either way at either clamp
    left, right = ({"lateral_stop": "yes", "stop_ways": f"{side} only"} for side in ("left", "right"))
    assert held(run(left, right)).verdict is FITS


def test_friction_alone_or_one_way_only_does_not_fit() -> None:
    friction = held(run(PLAIN))
    assert friction.verdict is DOES_NOT_FIT
    assert friction.because == "nothing solid stops the rack sideways: friction alone would hold it"
    one_way = held(run({"lateral_stop": "yes", "stop_ways": "left only"}))
    assert one_way.verdict is DOES_NOT_FIT
    assert one_way.because == "the rack is stopped to the left only: friction alone holds it the other way"


@pytest.mark.parametrize(
    ("stop", "dimension"),
    [
        ({}, "lateral-stop"),
        ({"lateral_stop": "yes"}, "stop-ways"),
        ({"lateral_stop": "yes", "stop_ways": "both", "stop_kind": "none"}, "lateral-stop"),
        ({"lateral_stop": "no", "stop_ways": "both"}, "lateral-stop"),
        ({"lateral_stop": "no", "stop_kind": "pin"}, "lateral-stop"),
    ],
)
def test_a_stop_that_nobody_noted_or_that_contradicts_itself_is_not_known(stop: dict[str, str], dimension: str) -> None:
    found = held(run(stop))
    assert (found.verdict, gaps(found)) == (NOT_KNOWN, [("NORTH/MT-1 body", dimension)])
    # whatever it is, a solid stop at the other clamp holds the rack
    assert held(run(stop, SHOULDER)).verdict is FITS


def test_one_clamp_alone_tells_what_it_can() -> None:
    found = held(run(PLAIN, text='mount_left = "NORTH/MT-1"\n'))
    assert (found.verdict, gaps(found)) == (NOT_KNOWN, [("right mounting bush and clamp", "part")])
    assert held(run(text='mount_left = "NORTH/MT-1"\n')).verdict is FITS


def test_a_kit_without_clamps_says_so() -> None:
    told = "rack held sideways by its clamps: the kit names no mounting bush and clamp"
    assert told in run(text="").not_checked
