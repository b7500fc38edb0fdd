"""A shaft to be made new: its length and grooves by hand, from the published line of tests/kits/test_shaft_line.py."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from fitment.joints.kinds import joint_kinds
from fitment.kits.assembly import assemble
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.sheets.blocks import Blank
from fitment.sheets.drawing.dimensions import Linear
from fitment.sheets.machine.shafts import shaft_jobs
from tests.kits.test_shaft_line import KIT, Shelf
from tests.support.features import without


def jobs(shelf: Shelf) -> Any:
    kit = read_kit(KIT.encode(), "line.toml")
    context = SimpleNamespace(
        kit=kit, assembly=assemble(kit, shelf, joint_kinds()), report=check(kit, shelf, kinds=joint_kinds())
    )
    return shaft_jobs(context)


def short() -> Shelf:
    """The line with a shaft that is too short for it."""
    shelf = Shelf()
    shelf.add("NORTH/IS-1 body", length_short=380.0, length_long=430.0)
    return shelf


def test_a_shaft_that_fits_is_not_made_new() -> None:
    assert jobs(Shelf()) == []


def test_its_length_is_what_the_crosses_leave_between_the_shafts_ends() -> None:
    (job,) = jobs(short())
    # joints 445.14 mm apart (published), each shaft end 16 mm short of its cross: 445.14 - 32
    assert job.asked.work.after == pytest.approx(445.14 - 32.0, abs=0.01)
    said = {row.what: row.wanted for row in job.rows}
    assert said["shaft, end to end"] == "413.14 mm"
    for end in ("upper", "lower"):
        assert said[f"{end} end: stands in the yoke by"] == "22.00 mm"
        assert said[f"{end} end: to the middle of its groove"] == "11.00 mm"  # 22 less the bolt at 11
    (drawing,) = job.drawings
    told = [one.words for one in drawing.dimensions if isinstance(one, Linear)]
    assert told == ["413.14", "11.00", "11.00"]
    assert job.says == "made shaft"
    assert any("not made by cutting and joining" in step for step in job.steps)


def test_what_a_yoke_lacks_is_asked_for_and_no_length_is_guessed() -> None:
    shelf = short()
    shelf.put("NORTH/UJ-1 lower", without(shelf.feature("NORTH/UJ-1 lower"), "bolt-to-end"))
    (job,) = jobs(shelf)
    assert job.drawings == ()
    assert job.asked.work.after is None
    assert any("bolt-to-end" in told for told in job.wanting)
    said = {row.what: row.wanted for row in job.rows}
    assert isinstance(said["shaft, end to end"], Blank)
    assert isinstance(said["upper end: to the middle of its groove"], Blank)
    assert said["lower end: to the middle of its groove"] == "11.00 mm"
