"""A rack whose holes were not taken from midway between its inner balls is not placed. Invented parts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest

from fitment.finding import Basis, Gap, Verdict
from fitment.joints.registration import Feature
from fitment.kits.rack_datum import other_origin
from tests.kits.fakes import part
from tests.kits.test_rod_length import IN_MOUNT, Point, Shelf, gaps, mounted, point, rod, run, seated
from tests.support.features import feature

#: invented: two saddle clamps below a bar 31.5 mm above the mounting face, not even to left and right
HOLES = ((-38.0, -186.0, -31.5), (38.0, -186.0, -31.5), (-38.0, 166.0, -31.5), (38.0, 166.0, -31.5))


def moved(x: float = 0.0, y: float = 0.0, z: float = 0.0, holes: Sequence[Point] = HOLES) -> list[Point]:
    return [(at[0] + x, at[1] + y, at[2] + z) for at in holes]


def told(holes: Sequence[Point], u: float = 0.05, **body: float | str) -> str:
    """Why the holes do not look taken from the middle; "" where they do."""
    mount = Feature("TEST/RK-1 mount", "pattern")
    points = {f"hole-{number}": point(mount.name, f"hole-{number}", at, u) for number, at in enumerate(holes, 1)}
    rack = part("TEST/RK-1", "rack")
    own = {
        "body": feature("TEST/RK-1 body", "rack-body", 0.05, 0.0, Basis.MEASURED, (), **body),
        "mount": replace(mount, values=points),
    }
    gap = other_origin(replace(rack, features={**rack.features, **own}))
    if gap is None:
        return ""
    start, end = "its holes do not look taken from midway between the inner balls (", "): measure them from there"
    assert gap == Gap("TEST/RK-1 mount", "hole-1", start + gap.why[len(start) : -len(end)] + end)
    return gap.why[len(start) : -len(end)]


def test_holes_taken_from_the_middle_are_believed() -> None:
    assert told(HOLES, axis_height=31.5, inner_spacing=640.0) == ""
    assert told(HOLES, axis_height=33.9, inner_spacing=640.0) == ""
    assert told(HOLES) == ""
    # upside down, and on a face that is tilted, the bar is as far from the holes
    assert told([(x, -y, -z) for x, y, z in HOLES], axis_height=31.5) == ""
    c, s = math.cos(0.4), math.sin(0.4)
    assert told([(c * x + s * z, y, c * z - s * x) for x, y, z in HOLES], axis_height=31.5) == ""


@pytest.mark.parametrize(
    ("holes", "body", "why"),
    [
        (moved(38, 186, 31.5), {}, "they lie at y = 0.00 mm to 352.00 mm, not on both sides of it"),
        (moved(0, -176), {}, "they lie at y = -362.00 mm to -10.00 mm, not on both sides of it"),
        (
            moved(0, -140),
            {"inner_spacing": 640.0},
            "one lies at y = -326.00 mm, and half the inner spacing is 320.00 mm",
        ),
        (
            moved(z=31.5),
            {"axis_height": 31.5},
            "it is 0.00 mm from their plane, and the bar 31.50 mm above the mounting face",
        ),
        (
            moved(z=-8.5),
            {"axis_height": 31.5},
            "it is 40.00 mm from their plane, and the bar 31.50 mm above the mounting face",
        ),
        (moved(z=31.5), {}, "it is 0.00 mm from their plane, and no axis-height is recorded that agrees"),
    ],
    ids=["from hole 1", "from beside one end", "beyond the balls", "from the face", "from above", "no height"],
)
def test_holes_taken_from_elsewhere_are_told(holes: list[Point], body: dict[str, float], why: str) -> None:
    assert told(holes, **body) == why


def test_the_doubt_of_the_holes_is_allowed() -> None:
    off = moved(z=-5.0)
    assert "36.50 mm from their plane" in told(off, axis_height=31.5)
    assert told(off, u=2.0, axis_height=31.5) == ""  # three times 2 mm


def test_a_row_of_holes_may_be_farther_from_the_bar_than_the_face_but_not_nearer() -> None:
    row = [(20.0, -180.0, -30.0), (20.0, 180.0, -30.0)]
    assert told(row, axis_height=30.0) == ""
    assert told(moved(x=-20, z=30, holes=row), axis_height=30.0).startswith(
        "it is 0.00 mm from their line, and the bar"
    )
    assert "no axis-height" in told(moved(x=-20, z=30, holes=row))


def test_holes_at_one_end_only_are_left_to_the_other_checks() -> None:
    one_end = [(-30.0, 100.0, -30.0), (30.0, 100.0, -30.0), (0.0, 180.0, -30.0)]
    assert told(one_end, axis_height=30.0) == ""


def test_a_kit_does_not_place_such_a_rack_and_says_why() -> None:
    own = ((-40.0, -176.0, -18.0), (40.0, -176.0, -18.0), (-40.0, 176.0, -18.0), (40.0, 176.0, -18.0))
    from_hole_1 = moved(40, 176, 18, own)
    report = run(mounted(from_hole_1, seated((-120.0, 0.0, 230.0))), IN_MOUNT)
    assert gaps(report)[0] == (
        "NORTH/RK-7 mount hole-1: its holes do not look taken from midway between the inner balls "
        "(they lie at y = 0.00 mm to 352.00 mm, not on both sides of it): measure them from there"
    )
    assert report.verdict is Verdict.NOT_KNOWN
    book: Shelf = mounted(own, seated((-120.0, 0.0, 230.0)))
    book.add("NORTH/RK-7 body", axis_height=18.0)
    assert rod(run(book, IN_MOUNT)).verdict is Verdict.FITS
    book.add("NORTH/RK-7 body", axis_height=28.0)
    assert "(it is 18.00 mm from their plane, and the bar 28.00 mm" in gaps(run(book, IN_MOUNT))[0]
