"""Net sections as ratios: a rod turned down, a thin wall, an adapter thinner than what it joins. Invented parts.

Stress area of M14x1.5: 124.55 mm2; of M12x1.25 92.07 mm2 (ISO 898-1). A wall of 4 mm over M14 is pi 4 (14 + 4) = 226.2.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.doubt import Draws
from fitment.finding import Basis, Finding, Verdict
from fitment.joints.kinds import joint_kinds
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.net_section import ring_area, round_area
from fitment.kits.report import Report
from tests.kits.fakes import Book
from tests.support.features import changed, feature, without
from tests.support.threads import published

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict

HEAD = 'name = "Rods"\ntarget = "NORTH/V-1"\n[rack]\npart = "NORTH/RK-7"\n[left]\n'
SIDE = 'tie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\nknuckle = "NORTH/KN-1"\n'
ADAPTER = '[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["left.tie_rod", "left.rod_end"]\nends = ["a", "b"]\n'


class Shelf(Book):
    """A rod of 13.5 mm with M14x1.5 at its ends, walls of 4 mm, and an adapter with a wall of 4 mm."""

    def __init__(self) -> None:
        super().__init__()
        self.put("NORTH/TR-2 body", "rod-body", rod_dia=13.5)
        self.put("NORTH/TR-2 inner", "thread-end", thread="M14x1.5", sex="male", hand="RH", depth=26.0)
        self.put("NORTH/TR-2 outer", "thread-end", thread="M14x1.5", sex="male", hand="RH", depth=50.0)
        self.put("NORTH/RE-3 shank", "thread-end", thread="M14x1.5", sex="female", hand="RH", depth=30.0, wall=4.0)
        self.put("NORTH/RK-7 bar-end.left", "bar-end", thread="M14x1.5", sex="female", hand="RH", depth=24.0, wall=4.0)
        self.put("NORTH/AD-1 a", "thread-end", thread="M14x1.5", sex="female", hand="RH", depth=26.0)
        self.put("NORTH/AD-1 b", "thread-end", thread="M14x1.5", sex="male", hand="RH", depth=26.0)
        self.put("NORTH/AD-1 body", "adapter-body", section=4.0)

    def put(self, name: str, kind: str, **values: float | str) -> None:
        reference, _, end = name.partition(" ")
        made = feature(name, kind, 0.05, 0.0, Basis.MEASURED, (), **values)
        self.parts[reference] = replace(self.parts[reference], features={**self.parts[reference].features, end: made})

    def edit(self, name: str, dimension: str, value: float | str | None) -> None:
        reference, _, end = name.partition(" ")
        one = self.parts[reference].features[end]
        new = without(one, dimension) if value is None else changed(one, dimension, value=value)
        self.parts[reference] = replace(self.parts[reference], features={**self.parts[reference].features, end: new})


def run(book: Book, text: str = SIDE) -> Report:
    return check(read_kit((HEAD + text).encode(), "kit.toml", None), book, Draws(500), joint_kinds())


def found(report: Report, rule: str) -> list[Finding]:
    return [one for joint in report.joints for one in joint.findings if one.rule == rule]


def net(book: Book, rule: str, text: str = SIDE) -> Finding:
    return found(run(book, text), rule)[0]


def gaps(finding: Finding) -> list[tuple[str, str]]:
    return [(gap.feature, gap.dimension) for gap in finding.gaps]


def test_a_sound_side_with_its_ratios() -> None:
    report = run(Shelf())
    joint = next(one for one in report.joints if one.id == "left.net-section")
    assert [(one.rule, one.verdict) for one in joint.findings] == [("net-01", FITS), ("net-02", FITS), ("net-02", FITS)]
    (area,) = [float(row["value"]) for row in published("threads_strength") if row["id"] == "As-M14x1.5"]
    assert joint.findings[0].figures["net_section_ratio"].value == pytest.approx(pi / 4 * 13.5**2 / area, rel=1e-3)
    assert joint.findings[1].figures["net_section_ratio"].value == pytest.approx(4 * pi * 18 / area, rel=1e-3)
    assert joint.findings[1].because == (
        "the metal over NORTH/RK-7 bar-end.left has 226.2 mm2 and the root of NORTH/TR-2 inner 124.5 mm2, a ratio of "
        "1.82 where 1 at least is asked; a ratio is no promise of strength"
    )
    assert not [line for line in report.not_checked if line.startswith("net sections")]


def test_a_rod_turned_down_below_its_thread_does_not_fit() -> None:
    book = Shelf()
    book.edit("NORTH/TR-2 body", "rod-dia", 11.8)
    assert net(book, "net-01").verdict is DOES_NOT_FIT
    # against its weakest thread: M12x1.25 at one end asks less
    book.edit("NORTH/TR-2 outer", "thread", "M12x1.25")
    assert net(book, "net-01").verdict is FITS


def test_a_wall_thinner_than_the_thread_in_it_does_not_fit() -> None:
    book = Shelf()
    book.edit("NORTH/RE-3 shank", "wall", 2.0)  # pi 2 16 = 100.5
    thin = [one for one in found(run(book), "net-02") if one.verdict is DOES_NOT_FIT]
    assert [one.joint for one in thin] == [("NORTH/TR-2 outer", "NORTH/RE-3 shank")]
    assert run(book, SIDE + "[limits]\nnet_section_ratio = 0.6\n").verdict is not DOES_NOT_FIT


def test_what_nobody_recorded_is_listed_as_not_checked() -> None:
    book = Shelf()
    book.edit("NORTH/RE-3 shank", "wall", None)
    book.edit("NORTH/TR-2 body", "rod-dia", None)
    report = run(book)
    assert not found(report, "net-01")
    assert len(found(report, "net-02")) == 1
    told = "net sections of the tie rods and adapters: nothing is recorded of NORTH/TR-2 body rod-dia, "
    assert f"{told}NORTH/RE-3 shank wall" in report.not_checked


def test_a_thread_without_a_held_stress_area_is_not_known() -> None:
    book = Shelf()
    for name in ("NORTH/TR-2 outer", "NORTH/RE-3 shank"):
        book.edit(name, "thread", "1/2-16 BSF")
    (one,) = [one for one in found(run(book), "net-02") if "RE-3" in one.joint[1]]
    assert (one.verdict, gaps(one)) == (NOT_KNOWN, [("NORTH/TR-2 outer", "thread")])


def test_an_adapter_is_held_against_the_thinner_of_what_it_joins() -> None:
    book = Shelf()
    one = net(book, "net-03", SIDE + ADAPTER)
    # a male end of M14x1.5 against the rod's M14x1.5: one to one, which is at least as much
    assert (one.verdict, one.figures["net_section_ratio"].value) == (FITS, 1.0)
    assert one.because.endswith("a ratio of 1.00 where 1 at least is asked; a ratio is no promise of strength")
    assert net(book, "net-03", f"{SIDE}{ADAPTER}[limits]\nnet_section_ratio = 1.1\n").verdict is DOES_NOT_FIT
    book.edit("NORTH/AD-1 b", "sex", "female")
    book.edit("NORTH/RE-3 shank", "sex", "male")
    sleeve = net(book, "net-03", SIDE + ADAPTER)
    assert sleeve.verdict is FITS
    assert sleeve.joint == ("NORTH/TR-2 outer", "NORTH/RE-3 shank")
    book.edit("NORTH/AD-1 body", "section", 2.0)  # turned down too thin
    thin = net(book, "net-03", SIDE + ADAPTER)
    assert thin.verdict is DOES_NOT_FIT
    book.edit("NORTH/AD-1 body", "section", None)
    unsaid = net(book, "net-03", SIDE + ADAPTER)
    assert (unsaid.verdict, gaps(unsaid)) == (NOT_KNOWN, [("NORTH/AD-1 body", "section")])


def test_a_parent_that_is_not_known_may_be_the_thinner_one() -> None:
    book = Shelf()
    book.edit("NORTH/AD-1 a", "thread", "M14x1.5")
    book.edit("NORTH/AD-1 b", "thread", "M12x1.25")
    book.edit("NORTH/RE-3 shank", "thread", "M12x1.25")
    book.edit("NORTH/RE-3 shank", "wall", None)
    one = net(book, "net-03", SIDE + ADAPTER)
    assert (one.verdict, gaps(one)) == (NOT_KNOWN, [("NORTH/RE-3 shank", "wall")])
    assert "which may be thinner" in one.because


@given(diameter=st.floats(1, 100), wall=st.floats(0.1, 50), scale=st.sampled_from([1 / 25.4, 25.4, 3.0]))
def test_a_ratio_of_sections_is_the_same_in_every_unit(diameter: float, wall: float, scale: float) -> None:
    ratio = ring_area(diameter, wall) / round_area(diameter)
    assert ring_area(scale * diameter, scale * wall) / round_area(scale * diameter) == pytest.approx(ratio)
    # a ring is what is left of the outside when the hole is taken off
    assert ring_area(diameter, wall) == pytest.approx(round_area(diameter + 2 * wall) - round_area(diameter))
