"""Machining sheets: what stands on them is what the check proposes, what is not known is asked for, never guessed.

Every part is invented. The ream, sleeve and spacer cases are those of the joints' own tests, whose published rows are
in tests/published/cone_seat.csv and cone_work.csv.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from fitment.finding import Figure, Finding, Verdict, Work
from fitment.joints.pattern_view import SeenPair, seen_together
from fitment.joints.registration import Feature
from fitment.kits.report import JointSummary
from fitment.sheets import machining
from fitment.sheets.blocks import Blank, Table
from fitment.sheets.drawing.dxf import dxf
from fitment.sheets.drawing.shapes import outline_of
from fitment.sheets.machine.eyes import bored, reamed, sleeved
from fitment.sheets.machine.job import Asked, Job
from fitment.sheets.machine.patterns import opened, plate, seen_of, slotted, worked_holes
from fitment.sheets.machine.turned import adapter, lock_spacer, nut_spacer
from fitment.sheets.pattern_plan import from_first, least_outline, on_page
from fitment.standards.operations import operations
from tests.joints import test_bolt_in_eye, test_pattern_to_pattern, test_sleeve_in_eye, test_stud_in_eye
from tests.joints import test_thread_adapter as threads
from tests.kits.fakes import part
from tests.support.features import feature, setting, without
from tests.support.machine_shop import asked_of, context, read_back, told_sizes

patterns, studs = test_pattern_to_pattern, test_stud_in_eye
#: beyond the coarse clearance hole: slots
FAR = patterns.moved(patterns.HOLES, h3=(0.0, 6.0, 0.0), h4=(0.0, 6.0, 0.0))
NEAR = patterns.moved(patterns.HOLES, h4=(0.0, 2.6, 0.0))
WIDE = {number: (x, y * 1.2, z) for number, (x, y, z) in patterns.HOLES.items()}


def ream() -> tuple[Asked, Any]:
    return asked_of(studs.answers(*studs.reamable())), context()


def sleeve() -> tuple[Asked, Any]:
    eye = studs.eye(large=15.3, taper=0.125, boss_large=42.0, boss_small=42.0)
    return asked_of(studs.answers(studs.stud(thread_start=17.2), eye)), context()


def straight() -> tuple[Asked, Any]:
    return asked_of(test_bolt_in_eye.check(second=test_bolt_in_eye.TAPERED)), context()


def for_sleeve() -> tuple[Asked, Any]:
    found = test_sleeve_in_eye.answers(
        test_sleeve_in_eye.sleeve(), test_sleeve_in_eye.eye(large=15.0, taper=0.1, profile="tapered")
    )
    return asked_of(found), context()


def thread() -> tuple[Asked, Any]:
    return asked_of(threads.answers(*threads.near())), context()


def nut() -> tuple[Asked, Any]:
    return asked_of(studs.answers(studs.stud(studs.FINE), studs.eye(studs.FINE, thick=12.0))), context()


def pair(second: dict[int, Any], **values: float | str) -> tuple[Feature, Feature]:
    own = {key: value for key, value in values.items() if key == "locating"}
    return patterns.mounted(patterns.RACK, **own), patterns.mounted(patterns.CROSS, second, **values)


def holes(second: dict[int, Any], **values: float | str) -> tuple[Asked, Any]:
    ends = pair(second, **values)
    return asked_of(patterns.answers(*ends)), context(*ends)


def bar() -> tuple[Asked, Any]:
    sizes = {"thick": 4.5, "travel_before": 63.0, "travel_after": 58.5}
    figures = {name: Figure(value, None, "mm") for name, value in sizes.items()}
    work = Work("lock spacer", "TEST/RK-1 bar, right end", 63.0, 58.5, "mm", None, "a spacer 4.50 mm thick", figures)
    finding = Finding("stop-01", ("a", "b"), Verdict.FITS_WITH_WORK, "because", work=(work,))
    return Asked((JointSummary("left.stroke", "left", "left lock", ("a", "b"), (finding,)),), finding, work), context()


Case = Callable[[], tuple[Asked, Any]]
CASES: dict[str, tuple[Case, Callable[[Asked, Any], Job]]] = {
    "ream": (ream, reamed),
    "taper sleeve": (sleeve, sleeved),
    "bore and sleeve": (straight, bored),
    "bore for a sleeve": (for_sleeve, bored),
    "thread adapter": (thread, adapter),
    "spacer": (nut, nut_spacer),
    "lock spacer": (bar, lock_spacer),
    "open holes": (lambda: holes(NEAR), opened),
    "slot holes": (lambda: holes(FAR), slotted),
    "adapter plate": (lambda: holes(WIDE, locating="1"), plate),
}


def job(name: str) -> Job:
    case, page = CASES[name]
    asked, around = case()
    assert asked.work.operation == name
    return page(asked, around)


@pytest.mark.parametrize("name", CASES)
def test_every_operation_has_its_page(name: str) -> None:
    made = job(name)
    assert machining._PAGES[name] is CASES[name][1]
    assert made.says in operations()
    assert operations()[made.says].answer in ("certifier", "described")  # somebody passes it, never nobody
    assert made.rows
    assert made.steps
    for drawing in made.drawings:
        read_back(dxf(drawing))
        told_sizes(drawing)


@pytest.mark.parametrize("name", CASES)
def test_no_page_promises_anything_or_tells_how_to_weld(name: str) -> None:
    made = job(name)
    told = " ".join([*made.steps, *made.wanting, *(f"{row.what} {row.now} {row.wanted}" for row in made.rows)]).lower()
    for word in ("safe", "legal", "will pass", "approved", "strong enough", "weld", "torque", "heat it"):
        assert word not in told.replace("heat number", "")


@pytest.mark.parametrize("name", CASES)
def test_a_drawing_goes_into_the_room_of_either_paper(name: str) -> None:
    for drawing in job(name).drawings:
        if not drawing.name.endswith("-cut"):
            assert drawing.size[0] <= 186.0
            assert drawing.size[1] <= 100.0


def rows(made: Job) -> dict[str, Any]:
    return {row.what: row.wanted for row in made.rows}


def test_the_page_of_a_ream_says_what_the_check_says() -> None:
    asked, around = ream()
    made = reamed(asked, around)
    detail, said = asked.work.detail, rows(made)
    large = f"{asked.work.after:.2f} mm"
    assert large in detail
    assert said["diameter at the upper face, the old large one"] == f"{large} ± 0.05"
    stop = f"{asked.size('stand_off'):.2f} mm proud of the face"
    assert stop in detail
    assert any(stop in step for step in made.steps)
    # at equal tapers the stud stands off by (Ds - D)/C, the small end is C H less
    taper, stand_off = asked.size("taper"), asked.size("stand_off")
    assert taper is not None
    assert asked.size("large_new") == pytest.approx(asked.size("stud_large") - taper * stand_off)
    assert asked.size("small_new") == pytest.approx(asked.size("large_new") - taper * asked.size("thick"))
    assert said["wall left, at the upper and at the lower face"].startswith(
        f"{(asked.size('boss_entry') - asked.size('large_new')) / 2:.2f} mm and "
    )
    (drawing,) = made.drawings
    sizes = told_sizes(drawing)
    for name in ("large_new", "small_new"):
        assert f"Ø{asked.size(name):.2f} ±0.05" in sizes
    for name in ("boss_entry", "boss_exit"):
        assert f"Ø{asked.size(name):.2f}" in sizes
    assert f"{asked.size('stand_off'):.2f}" in sizes
    assert f"{asked.size('thick'):.2f}" in sizes


def test_the_cone_that_is_drawn_has_the_taper_that_is_told() -> None:
    asked, around = ream()
    (drawing,) = reamed(asked, around).drawings
    stud = next(shape for shape in drawing.plain if getattr(shape, "closed", False) and shape.stroke.layer == "HIDDEN")
    (left_low, low), (left_up, up), *_ = stud.points
    assert 2 * (left_low - left_up) / (up - low) == pytest.approx(asked.size("taper"))


def test_without_the_outside_of_the_eye_the_page_asks_for_it() -> None:
    one, other = studs.reamable()
    asked = asked_of(studs.answers(one, without(other, "boss-large", "boss-small")))
    made = reamed(asked, context())
    assert "not known and not known; asked" in rows(made)["wall left, at the upper and at the lower face"]
    assert [told for told in made.wanting if "outside of the eye" in told] == list(made.wanting)
    assert len(made.wanting) == 2
    assert not any(told.startswith("Ø35") for drawing in made.drawings for told in told_sizes(drawing))


def test_the_sleeve_is_drawn_in_its_bore() -> None:
    asked, around = sleeve()
    made = sleeved(asked, around)
    (drawing,) = made.drawings
    sizes = told_sizes(drawing)
    assert f"Ø{asked.size('hole'):.2f}" in sizes
    assert f"Ø{asked.size('large_new'):.2f}" in sizes
    assert asked.size("sleeve_wall") == pytest.approx((asked.size("hole") - asked.size("large_new")) / 2)
    designer = "interference of the sleeve in it, limits of the bore, flange: its designer states them"
    assert isinstance(rows(made)[designer], Blank)


def test_a_sleeve_that_the_kit_names_gets_its_bore() -> None:
    asked, around = for_sleeve()
    said = rows(bored(asked, around))
    assert said["bore in the arm, straight through"] == "19.05 mm"
    assert isinstance(said["interference of TEST/AD-1 body in it"], Blank)


def test_the_thread_adapter_is_drawn_to_the_published_lengths() -> None:
    made = job("thread adapter")
    # those of test_a_near_match_stays_a_misfit_and_says_what_to_make
    assert rows(made)["length over all"] == "42.84 mm or more"
    assert rows(made)["outside diameter"] == "18.83 mm or more, a wall of 2.42 mm"
    (drawing,) = made.drawings
    sizes = told_sizes(drawing)
    assert {"42.84", "17.00", "17.11", "Ø14.00", "Ø14.29", "Ø18.83"} <= set(sizes)


def test_the_spacer_has_its_window_and_asks_for_what_no_reading_says() -> None:
    made = job("spacer")
    said = rows(made)
    assert said["thickness"] == "6.25 mm, from 5.83 mm to 6.67 mm"  # NUT-E5b
    assert said["bore, over the cone or the thread"] == "over 13.65 mm"
    assert [what for what, wanted in said.items() if isinstance(wanted, Blank)] == [
        "outside, over the nut's bearing face",
        "faces parallel within",
        "hardness",
    ]


def test_a_stop_on_the_bar_is_not_drawn_from_one_size() -> None:
    made = job("lock spacer")
    assert made.drawings == ()
    assert rows(made)["thickness"] == "4.50 mm"
    assert len(made.wanting) == 3


def test_the_bore_of_a_stop_goes_over_the_bar_where_that_was_measured() -> None:
    asked, around = bar()
    rack = part("TEST/RK-1", "rack")
    for hearsay, told in ((False, "over 24.50 mm"), (True, None)):
        use = replace(feature("TEST/RK-1 body", "rack-body", bar_dia=24.5).values["bar-dia"], hearsay=hearsay)
        body = replace(rack.features["body"], values={"bar-dia": use})
        around.assembly.found = {"rack": replace(rack, features={**rack.features, "body": body})}
        made = lock_spacer(asked, around)
        wanted = rows(made)["bore, over the rack bar"]
        assert wanted == told or (told is None and isinstance(wanted, Blank))
        assert ("bar diameter" in made.wanting) is hearsay


def circles(content: bytes, layer: str) -> list[tuple[float, float, float]]:
    found = read_back(content).modelspace().query(f'CIRCLE[layer=="{layer}"]')
    return [(one.dxf.center.x, one.dxf.center.y, one.dxf.radius) for one in found]


def seen(second: dict[int, Any], **values: float | str) -> SeenPair:
    found = seen_together(*pair(second, **values), setting())
    assert isinstance(found, SeenPair)
    return found


def test_the_laser_cutter_gets_both_patterns_as_registered_and_nothing_else() -> None:
    made = job("adapter plate")
    plan, cut = made.drawings
    content = dxf(cut)
    document = read_back(content)
    assert {one.dxf.layer for one in document.modelspace()} == {"CUT"}
    assert document.units == 4
    registered = seen(WIDE, locating="1")
    wanted = [(*on_page(hole.at), 4.5) for hole in (*registered.second.holes, *registered.first.holes)]
    assert len(wanted) == 8
    for one, other in zip(circles(content, "CUT"), wanted, strict=True):
        assert one == pytest.approx(other, abs=1e-6)
    assert str(plan.scale) != "1:1"
    assert len(circles(dxf(plan), "OUTLINE")) == len(circles(dxf(plan), "HIDDEN")) == 4


def test_registered_patterns_keep_the_distances_of_both_parts() -> None:
    """A turn and a shift change no distance within a part: whatever the registration did, the plate fits either."""
    registered = seen(NEAR)
    for pattern, points in ((registered.first, patterns.HOLES), (registered.second, NEAR)):
        for one in pattern.holes:
            for other in pattern.holes:
                assert math.dist(one.at, other.at) == pytest.approx(
                    math.dist(points[one.number], points[other.number]), abs=1e-6
                )
    for own, there, apart, misfit in zip(
        registered.first.holes, registered.second.holes, registered.apart, registered.misfit, strict=True
    ):
        assert apart == pytest.approx(math.dist(own.at, there.at))
        assert misfit == pytest.approx(apart - 1.0)  # two holes of 9 mm round a bolt of 8 mm


def test_the_side_of_the_car_is_not_mirrored_on_paper() -> None:
    assert on_page((1.0, 0.0)) == (0.0, 1.0)  # forward is up
    assert on_page((0.0, 1.0))[0] == -1.0  # left is on the left


def test_distances_alone_are_not_drawn_for_they_have_a_mirror_image() -> None:
    ends = patterns.mounted(patterns.RACK), patterns.by_distances(patterns.CROSS, NEAR)
    found = seen_together(*ends, setting())
    assert not isinstance(found, SeenPair)
    assert [(gap.feature, gap.dimension) for gap in found] == [(patterns.CROSS, "holes")]
    assert "mirror image" in found[0].why
    asked, _ = holes(NEAR)
    made = opened(asked, context(*ends))
    assert made.drawings == ()
    assert any("mirror image" in told for told in made.wanting)


def test_a_face_that_stands_upright_says_which_way_is_up_the_page() -> None:
    upright = {number: (z, y, -x) for number, (x, y, z) in patterns.HOLES.items()}  # seen from ahead of the car
    ends = patterns.mounted(patterns.RACK, upright), patterns.mounted(patterns.CROSS, patterns.moved(upright))
    found = seen_together(*ends, setting())
    assert isinstance(found, SeenPair)
    assert found.ways == ("down", "left")
    assert seen(NEAR).ways == ("forward", "left")
    # hole 2 lies 76 mm from hole 1 the way that it is told to
    way = found.second.holes[1].at[0] - found.second.holes[0].at[0]
    assert way == pytest.approx(76.0)
    assert from_first(found.second, found.second.holes[1], found.ways) == "76.00 down, 0.00 left"


def test_holes_are_opened_about_their_own_centres() -> None:
    asked, around = holes(NEAR)
    made = opened(asked, around)
    growth = asked.size("growth")
    assert growth is not None
    own = seen(NEAR).second if asked.work.part == patterns.CROSS else seen(NEAR).first_alone
    (drawing,) = made.drawings
    for one, hole in zip(circles(dxf(drawing), "OUTLINE"), own.holes, strict=True):
        assert one == pytest.approx((*on_page(hole.at), 4.5 + growth / 2), abs=1e-6)


def test_a_slot_runs_from_the_hole_to_where_the_bolt_comes_to_lie() -> None:
    asked, around = holes(FAR)
    (drawing,) = slotted(asked, around).drawings
    slots = read_back(dxf(drawing)).modelspace().query('LWPOLYLINE[layer=="OUTLINE"]')
    lengths = []
    for slot in slots:
        (x0, y0, _), (x1, y1, _), (x2, y2, _), _ = slot.get_points("xyb")
        assert math.dist((x1, y1), (x2, y2)) == pytest.approx(9.0)  # as wide as the hole was
        lengths.append(math.dist((x0, y0), (x1, y1)))
    assert max(lengths) == pytest.approx((asked.work.after or 0.0) - (asked.work.before or 0.0), abs=1e-6)


def test_a_slot_in_the_rack_lies_registered_where_the_rack_does() -> None:
    """The crossmember locates, so the rack is slotted; the registration turns and shifts both ends of a slot."""
    far = patterns.moved(patterns.HOLES, h3=(0.0, 4.0, 0.0), h4=(1.0, 4.0, 0.0))
    ends = patterns.mounted(patterns.RACK), patterns.mounted(patterns.CROSS, far, locating="1, 4")
    asked, around = asked_of(patterns.answers(*ends)), context(*ends)
    assert (asked.work.operation, asked.work.part) == ("slot holes", patterns.RACK)
    found = seen_of(around, "left.joint")
    assert isinstance(found, SeenPair)
    for hole, alone, laid in zip(worked_holes(found, asked), found.first_alone.holes, found.first.holes, strict=True):
        start = (hole.at[0] - hole.half_slot[0], hole.at[1] - hole.half_slot[1])
        assert start == pytest.approx(laid.at, abs=1e-6)
        assert found.placed(alone).at == pytest.approx(laid.at, abs=1e-6)
        # with its bolt in the slot, each hole reaches the other part's thread better than it did
        there = found.second.holes[laid.number - 1].at
        end = (hole.at[0] + hole.half_slot[0], hole.at[1] + hole.half_slot[1])
        assert _to_segment(there, start, end) <= math.dist(there, laid.at) + 1e-9
        assert _to_segment(there, start, end) <= 1.0  # the bolt's room in the two holes


def _to_segment(point: tuple[float, float], start: tuple[float, float], end: tuple[float, float]) -> float:
    (x, y), (ax, ay), (bx, by) = point, start, end
    long = (bx - ax) ** 2 + (by - ay) ** 2
    share = 0.0 if long == 0 else min(max(((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / long, 0.0), 1.0)
    return math.hypot(ax + share * (bx - ax) - x, ay + share * (by - ay) - y)


def test_metal_is_left_round_every_hole_of_the_least_outline() -> None:
    registered = seen(WIDE, locating="1")
    every = (*registered.first.holes, *registered.second.holes)
    outline = least_outline(every, 13.5)
    edges = list(zip(outline, [*outline[1:], outline[0]], strict=True))
    for hole in every:
        x, y = on_page(hole.at)
        for (ax, ay), (bx, by) in edges:
            away = ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / math.hypot(bx - ax, by - ay)
            assert away >= (4.5 + 13.5) * math.cos(math.radians(5)) - 1e-6


def test_two_alike_are_one_page_and_two_off() -> None:
    asked, _ = thread()
    left = asked.joint
    right = replace(left, id="right.joint", side="right", title="right joint")
    around = context()
    around.report = type("Report", (), {"joints": (left, right)})()
    around.assembly.found = {}
    found = machining.works(around)
    assert [[joint.id for joint in one.joints] for one in found] == [["left.joint", "right.joint"]]
    page = machining._page(1, 1, adapter(found[0], around), around)
    assert "left joint and right joint, 2 off" in page[1].text
    # it is a part more: alone it makes nothing fit
    assert "does not fit (thread-03)" in page[2].text


def test_what_is_measured_afterwards_has_a_box_with_its_unit() -> None:
    asked, around = ream()
    blocks = machining._page(1, 1, reamed(asked, around), around)
    (table,) = [block for block in blocks if isinstance(block, Table)]
    boxes = [row[3].unit for row in table.rows if isinstance(row[3], Blank)]
    assert boxes == ["mm", "mm", "mm", "mm", "%"]


def test_every_operation_that_a_check_may_propose_has_a_page_or_is_no_machining() -> None:
    from fitment.joints.kinds import joint_kinds

    proposed = {work for kind in joint_kinds().values() for work in kind.works}
    assert proposed - set(machining._PAGES) == {"bolts of another length"}


def test_nothing_is_drawn_outside_its_own_frame() -> None:
    for name in CASES:
        for drawing in job(name).drawings:
            low, high = drawing.extent
            for shape in drawing.plain:
                for x, y in outline_of(shape, drawing.scale.factor):
                    assert low[0] - 1e-9 <= x <= high[0] + 1e-9
                    assert low[1] - 1e-9 <= y <= high[1] + 1e-9
