"""Layout drawing and template: they show the car model's own points at a stated scale. Demo kits; all invented."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from fitment.finding import Gap
from fitment.joints.pattern_view import SeenPair
from fitment.kits.laid_out import LaidOut, laid_out
from fitment.sheets import layout, machining, template
from fitment.sheets.blocks import Bullets, Drawing, Heading, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.drawing.dimensions import Linear, Note
from fitment.sheets.drawing.shapes import Circle, Filled, Stroke
from fitment.sheets.drawing.shapes import Path as Line
from fitment.sheets.layout_views import _front, layout_drawing, overlay_drawing
from fitment.sheets.machine.patterns import seen_of
from fitment.sheets.paper_size import SIZES
from fitment.sheets.pattern_plan import on_page
from tests.support.demo_shop import demo_catalogue, demo_kit
from tests.support.machine_shop import read_back, told_sizes
from tests.support.sheet_context import context_of


@pytest.fixture(scope="module")
def db(tmp_path_factory: pytest.TempPathFactory) -> str:
    return demo_catalogue(tmp_path_factory.mktemp("shop"))


@pytest.fixture(scope="module")
def fits(db: str) -> SheetContext:
    return context_of(db, demo_kit("fits-outright"))


@pytest.fixture(scope="module")
def out(db: str) -> SheetContext:
    return context_of(db, demo_kit("rack-pattern-1-2-mm-out"), "letter")


@pytest.fixture(scope="module")
def aside(db: str) -> SheetContext:
    return context_of(db, demo_kit("rod-too-short-off-centre"))


def found_in(context: SheetContext) -> LaidOut:
    found = laid_out(context.kit, context.assembly, context.car)
    assert isinstance(found, LaidOut)
    return found


def test_rods_are_as_long_as_the_balls_are_apart(fits: SheetContext, aside: SheetContext) -> None:
    for context in (fits, aside):
        for side in found_in(context).sides.values():
            assert math.dist(side.inner, side.eye) == pytest.approx(side.rod, abs=1e-6)


def test_rods_and_angles_are_those_of_the_check(fits: SheetContext) -> None:
    """Kits' own rule of rod length reckons them by another road: from half the spacing along the bar."""
    found = found_in(fits)
    for name, side in found.sides.items():
        joint = next(one for one in fits.report.joints if one.id == f"{name}.rod-length")
        figures = {key: value for finding in joint.findings for key, value in finding.figures.items()}
        assert side.rod == pytest.approx(figures["needed_length"].value, abs=1e-3)
    line = next(one for one in fits.report.joints if one.id == "shaft-line")
    angles = [one.figures["angle"].value for one in line.findings if "angle" in one.figures]
    assert found.column is not None
    assert found.column.angles == pytest.approx(angles)
    for one, other, length in zip(
        found.column.points[1:-2], found.column.points[2:-1], found.column.lengths, strict=True
    ):
        assert math.dist(one, other) == pytest.approx(length)


def test_a_rack_off_the_middle_is_drawn_there_and_told(aside: SheetContext) -> None:
    found = found_in(aside)
    assert found.rack[1] - found.middle == pytest.approx(-9.0, abs=0.01)  # XM-3 holds it 9 mm farther right
    drawing = layout_drawing(found, 276.0, (186.0, 220.0))
    assert drawing is not None
    off = next(one for one in drawing.dimensions if isinstance(one, Linear) and "off the middle" in one.after)
    assert off.words.startswith("9.00")
    told = [one.words for one in drawing.dimensions if isinstance(one, Note)]
    left, right = found.sides["left"].rod, found.sides["right"].rod
    assert f"left rod {left:.2f}" in told
    assert f"right rod {right:.2f}" in told
    assert left - right == pytest.approx(18.0, abs=0.1)  # 9 mm each way, less what the rods' slope makes of it


def test_both_views_have_every_point_where_the_model_has_it(fits: SheetContext) -> None:
    found = found_in(fits)
    drawing = layout_drawing(found, None, (186.0, 220.0))
    assert drawing is not None
    circles = [shape.centre for shape in drawing.shapes if isinstance(shape, Circle)]
    front = [_front(point) for side in found.sides.values() for point in (side.inner, side.eye, side.lower, side.upper)]
    for there in front:
        assert min(math.dist(there, one) for one in circles) < 1e-9
    # in plan each lies above its own place in the front view: the same y, and x as far below as it is ahead
    inner = [found.sides[name].inner for name in ("left", "right")]
    eye = [found.sides[name].eye for name in ("left", "right")]
    plans = [
        [one for one in circles if abs(one[0] - point[1]) < 1e-9 and one[1] > max(y for _, y in front)]
        for point in (*inner, *eye)
    ]
    assert all(plans)
    down = {round(one[1] + point[0], 6) for ones, point in zip(plans, (*inner, *eye), strict=True) for one in ones[:1]}
    assert len(down) == 1


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_drawing_goes_into_either_paper_at_a_scale_that_is_named(fits: SheetContext, paper: str) -> None:
    sheet = layout.sheet(replace(fits, paper=SIZES[paper], made={}))
    assert sheet is not None
    drawings = [block for block in sheet.blocks if isinstance(block, Drawing)]
    assert [one.title for one in drawings] == [
        "Steering in plan and from the front: scale 1:10",
        "NORTH/RK-2a mount on NORTH/XM-1 mount; axis on axis: scale 1:5",
    ]
    for one in drawings:
        room = SIZES[paper].room_landscape if one.landscape else SIZES[paper].room
        root = ElementTree.fromstring(one.svg)
        wide, high = (float(root.get(name, "").removesuffix("mm")) for name in ("width", "height"))
        assert wide <= room[0]
        assert high <= room[1] - 20.0


def test_files_are_the_same_each_time_and_read_back_clean(fits: SheetContext) -> None:
    first, again = (layout.sheet(replace(fits, made={})) for _ in range(2))
    assert first is not None
    assert again is not None
    assert first.files == again.files
    assert {"layout.svg", "layout.dxf", "layout-mounting.svg", "layout-mounting.dxf"} == set(first.files)
    for name, content in first.files.items():
        if name.endswith(".dxf"):
            assert len(read_back(content).modelspace()) > 10
        else:
            ElementTree.fromstring(content)


def test_the_table_has_the_points_that_are_drawn(fits: SheetContext) -> None:
    sheet = layout.sheet(fits)
    assert sheet is not None
    table = next(one for one in sheet.blocks if isinstance(one, Table) and one.caption.startswith("Points"))
    inner = found_in(fits).sides["right"].inner
    assert table.rows[0][4:] == tuple(f"{size:.1f}" for size in inner)


def test_arrows_are_as_many_times_the_misfit_as_the_title_says(out: SheetContext) -> None:
    seen = seen_of(out, "rack-mount")
    assert isinstance(seen, SeenPair)
    assert seen.apart == pytest.approx([1.7] * 4)
    drawing = overlay_drawing(seen, (186.0, 110.0))
    assert drawing is not None
    times = int(re.findall(r"arrows (\d+) times", drawing.title)[0])
    assert times > 1
    heads = [
        shape.points[0] for shape in drawing.shapes if isinstance(shape, Filled) and shape.stroke is Stroke.OUTLINE
    ]
    for tip, hole, rack in zip(heads, seen.second.holes, seen.first.holes, strict=True):
        start, end = on_page(hole.at), on_page(rack.at)
        assert math.dist(start, tip) == pytest.approx(times * 1.7, abs=1e-6)
        assert tip[0] - start[0] == pytest.approx(times * (end[0] - start[0]), abs=1e-6)
    told_sizes(drawing)


def test_without_points_it_says_which_and_draws_nothing(fits: SheetContext, monkeypatch: pytest.MonkeyPatch) -> None:
    gaps = (Gap("NORTH/V-1 corner.left", "arm-eye", "no reading"),)
    monkeypatch.setattr(layout, "laid_out", lambda *_: gaps)
    sheet = layout.sheet(fits)
    assert sheet is not None
    assert sheet.files == {}
    (bullets,) = [one for one in sheet.blocks if isinstance(one, Bullets)]
    assert bullets.lines == ("NORTH/V-1 corner.left arm-eye: no reading",)
    assert not any(isinstance(one, Drawing) for one in sheet.blocks)


@pytest.mark.parametrize("kit", ["target-only", "ream-with-metal"])
def test_a_car_of_which_nothing_is_surveyed_has_no_layout(db: str, kit: str) -> None:
    assert layout.sheet(context_of(db, demo_kit(kit))) is None


def test_a_kit_that_lacks_a_column_is_drawn_without_and_says_so(db: str) -> None:
    context = context_of(db, demo_kit("turns-too-wide"))
    found = found_in(context)
    assert found.column is None
    assert found.crossmember == {}
    told = " ".join(found.told)
    assert "column line: " in told
    assert "mounting holes: the kit names no crossmember" in told


def holes_of(content: bytes, layer: str) -> list[tuple[float, float, float]]:
    space = read_back(content).modelspace()
    return [(one.dxf.center.x, one.dxf.center.y, one.dxf.radius) for one in space.query(f'CIRCLE[layer=="{layer}"]')]


def test_the_template_has_the_registered_holes_at_full_size(out: SheetContext) -> None:
    sheet = template.sheet(out)
    assert sheet is not None
    seen = seen_of(out, "rack-mount")
    assert isinstance(seen, SeenPair)
    content = sheet.files["template-rack-mount.dxf"]
    for pattern, layer in ((seen.second, "OUTLINE"), (seen.first, "HIDDEN")):
        for one, hole in zip(holes_of(content, layer), pattern.holes, strict=True):
            assert one == pytest.approx((*on_page(hole.at), 4.25), abs=1e-6)


def test_the_template_has_the_holes_as_the_work_would_leave_them(out: SheetContext) -> None:
    sheet = template.sheet(out)
    assert sheet is not None
    seen = seen_of(out, "rack-mount")
    assert isinstance(seen, SeenPair)
    wanted = [(*on_page(hole.at), 4.95) for pattern in (seen.second, seen.first) for hole in pattern.holes]  # 9.9 mm
    for one, other in zip(holes_of(sheet.files["template-rack-mount.dxf"], "CUT"), wanted, strict=True):
        assert one == pytest.approx(other, abs=1e-6)


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_every_sheet_of_the_template_is_in_the_document_and_none_is_shrunk(out: SheetContext, paper: str) -> None:
    size = SIZES[paper]
    sheet = template.sheet(replace(out, paper=size, made={}))
    assert sheet is not None
    tiles = [one for one in sheet.blocks if isinstance(one, Drawing)]
    assert [one.title for one in tiles] == ["Template, sheet A1", "Template, sheet A2"]
    for one in tiles:
        assert one.alone
        assert f"template-rack-mount-{one.title[-2:]}.svg" in sheet.files
        room = size.room_landscape if one.landscape else size.room
        root = ElementTree.fromstring(one.svg)
        assert float(root.get("width", "").removesuffix("mm")) <= room[0] + 0.01
        assert float(root.get("height", "").removesuffix("mm")) <= room[1] - 19.0
        circles = list(root.iter("{http://www.w3.org/2000/svg}circle"))
        assert {circle.get("r") for circle in circles} == {"4.25", "4.95"}


def test_a_kit_without_a_crossmember_has_no_template(db: str) -> None:
    assert template.sheet(context_of(db, demo_kit("ream-with-metal"))) is None


def test_sheets_of_demo_kits_with_work(db: str) -> None:
    ream = machining.sheet(context_of(db, demo_kit("ream-with-metal")))
    assert ream is not None
    stems = [f"ream-{side}-stud-eye-north-kn-{number}-eye" for number, side in ((1, "left"), (2, "right"))]
    assert sorted(ream.files) == [f"{stem}.{form}" for stem in stems for form in ("dxf", "svg")]
    told = [block.text for block in ream.blocks if isinstance(block, Words)]
    record = context_of(db, demo_kit("ream-with-metal")).assembly.found["left.knuckle"].features["eye"].get("material")
    known = f"On record of NORTH/KN-1: material {record.word}" if record else "Nothing is on record of the metal"
    assert any(text.startswith(known) for text in told)
    both = machining.sheet(context_of(db, demo_kit("rack-pattern-1-2-mm-out")))
    assert both is not None
    assert len(both.files) == 4  # either side has files of its own
    assert machining.sheet(context_of(db, demo_kit("target-only"))) is None


@pytest.mark.parametrize(
    ("kit", "operations"),
    [
        ("sleeve-to-be-made", ["taper sleeve", "taper sleeve"]),
        ("spacer-under-the-nut", ["spacer", "spacer"]),
        ("plate-and-shaft", ["adapter plate", "made shaft"]),
    ],
)
def test_a_part_to_be_made_has_its_page_and_is_told_nothing_of_another_parts_metal(
    kit: str, operations: list[str], db: str
) -> None:
    sheet = machining.sheet(context_of(db, demo_kit(kit)))
    assert sheet is not None
    pages = [block.text for block in sheet.blocks if isinstance(block, Heading) and " of 2: " in block.text]
    assert [page.partition(": ")[2].partition(",")[0] for page in pages] == operations
    assert sum(isinstance(block, Drawing) for block in sheet.blocks) == 2
    told = [block.text for block in sheet.blocks if isinstance(block, Words)]
    assert any(text.startswith("On record of NORTH/KN-15") for text in told) == (kit == "sleeve-to-be-made")
    assert any("on record of" in text.lower() for text in told) == (kit == "sleeve-to-be-made")


def test_a_kit_that_fits_as_it_is_has_no_machining_sheet(fits: SheetContext) -> None:
    assert machining.sheet(fits) is None


def test_a_layout_of_a_measured_side_is_not_its_mirror(fits: SheetContext) -> None:
    """Left is on the right in both views: the column of this car is on its right."""
    found = found_in(fits)
    assert found.column is not None
    drawing = layout_drawing(found, None, (186.0, 220.0))
    assert drawing is not None
    lines = [shape for shape in drawing.shapes if isinstance(shape, Line) and shape.stroke is Stroke.THIN]
    column = next(shape for shape in lines if len(shape.points) == len(found.column.points) + 1)
    assert all(x < found.middle for x, _ in column.points)
    assert all(point[1] < 0 for point in found.column.points)


def _kit_files() -> list[Path]:
    return [demo_kit(name) for name in ("rack-too-tall", "too-wide-too-high", "rod-near-dead-centre")]


@pytest.mark.parametrize("kit", _kit_files(), ids=lambda path: path.stem)
def test_other_cars_are_drawn_too(db: str, kit: Path) -> None:
    made: Any = layout.sheet(context_of(db, kit))
    assert made is not None
    assert any(isinstance(one, Drawing) for one in made.blocks)
