"""Drawings at scale: dimensions say what they measure, SVG is in real mm, DXF is full size, the same bytes always."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitment.sheets.drawing.dimensions import Angle, Diameter, Linear, Note, drawn
from fitment.sheets.drawing.dxf import dxf
from fitment.sheets.drawing.model import FULL, SCALES, Scale, ScaleDrawing, Shape, largest_scale
from fitment.sheets.drawing.shapes import (
    Arc,
    Circle,
    Filled,
    Path,
    Slot,
    Stroke,
    Text,
    cross,
    extent,
    hatched,
    line,
    outline_of,
)
from fitment.sheets.drawing.svg import MARGIN, svg
from fitment.sheets.drawing.tiles import OVERLAP, tile_svg, tiles, window
from fitment.sheets.paper_size import SIZES
from tests.support.machine_shop import read_back

SVG = "{http://www.w3.org/2000/svg}"
#: no more of a plate than shows every kind of shape
SHAPES: tuple[Shape, ...] = (
    Path(((0.0, 0.0), (40.0, 0.0), (30.0, 18.0), (10.0, 18.0)), closed=True),
    *hatched(((0.0, 0.0), (40.0, 0.0), (30.0, 18.0), (10.0, 18.0)), 3.0),
    *cross((60.0, 10.0), 6.0),
    Circle((60.0, 10.0), 4.25),
    Arc((60.0, 10.0), 9.0, 20.0, 200.0, Stroke.HIDDEN),
    Slot((50.0, -10.0), (62.0, -6.0), 4.0, Stroke.CUT),
    Linear((0.0, 0.0), (40.0, 0.0), -8.0, "x", after=" ±0.10"),
    Linear((10.0, 18.0), (12.0, 18.0), 6.0, "x"),
    Linear((30.0, 18.0), (40.0, 0.0), 5.0),
    Diameter((60.0, 10.0), 4.25),
    Angle((0.0, 0.0), 0.0, math.degrees(math.atan2(18.0, 10.0)), 12.0),
    Note((20.0, 9.0), (26.0, 24.0), '<b>&amp; "both"</b>'),
)

numbers = st.floats(-500.0, 500.0, allow_nan=False)


def plate(scale: Scale = FULL) -> ScaleDrawing:
    return ScaleDrawing("plate", "A plate, invented", scale, SHAPES)


def test_a_dimension_says_what_stands_at_it() -> None:
    assert [one.words for one in plate().dimensions if not isinstance(one, Note)] == [
        "40.00 ±0.10",
        "2.00",
        "20.59",  # hypot(10, 18)
        "Ø8.50",
        "60.9°",  # atan2(18, 10)
    ]


@given(numbers, numbers, st.floats(0.5, 300.0), st.sampled_from(SCALES), st.sampled_from(["x", "y"]))
def test_the_line_of_a_dimension_is_as_long_on_paper_as_its_words_at_the_scale(
    x: float, y: float, length: float, scale: Scale, along: str
) -> None:
    end = (x + length, y + 7.0) if along == "x" else (x + 7.0, y + length)
    one = Linear((x, y), end, 10.0, along)
    heads = [shape for shape in drawn(one, scale.factor) if isinstance(shape, Filled)]
    tips = [shape.points[0] for shape in heads]
    on_paper = math.dist(*tips) * scale.factor
    assert on_paper / scale.factor == pytest.approx(length, abs=1e-6)
    assert float(one.words) == pytest.approx(on_paper / scale.factor, abs=0.005001)


@given(st.floats(0.3, 400.0), st.sampled_from(SCALES), st.floats(-180.0, 180.0))
def test_words_of_a_dimension_are_never_upside_down(length: float, scale: Scale, way: float) -> None:
    turn = math.radians(way)
    one = Linear((0.0, 0.0), (length * math.cos(turn), length * math.sin(turn)), 8.0)
    (text,) = [shape for shape in drawn(one, scale.factor) if isinstance(shape, Text)]
    assert -90.0 < text.turn <= 90.0 + 1e-6


def test_the_svg_is_as_large_as_the_shapes_at_the_scale() -> None:
    for scale in (Scale(2, 1), FULL, Scale(1, 2)):
        bare = ScaleDrawing("bare", "Bare", scale, (Path(((0.0, 0.0), (300.0, 0.0), (300.0, 80.0)), closed=True),))
        root = ElementTree.fromstring(svg(bare))
        wide, high = (float(root.get(name, "").removesuffix("mm")) for name in ("width", "height"))
        assert root.get("viewBox") == f"0 0 {root.get('width')} {root.get('height')}".replace("mm", "")
        assert wide == pytest.approx(max(300.0 * scale.factor, 150.0) + 2 * MARGIN, abs=60.0)
        path = next(one for one in root.iter(f"{SVG}path") if (one.get("d") or "").endswith("Z"))
        points = [tuple(map(float, pair.split())) for pair in re.findall(r"[-\d.]+ [-\d.]+", path.get("d") or "")]
        assert math.dist(points[0], points[1]) == pytest.approx(300.0 * scale.factor, abs=0.002)
        assert high > 80.0 * scale.factor


def bar(root: ElementTree.Element, words: str) -> float:
    """Length of the bar over which these words stand, mm of paper."""
    text = next(one for one in root.iter(f"{SVG}text") if one.text == words and not one.get("transform"))
    y = float(text.get("y", "0"))
    lengths = []
    for path in root.iter(f"{SVG}path"):
        points = [tuple(map(float, pair.split())) for pair in re.findall(r"[-\d.]+ [-\d.]+", path.get("d") or "")]
        if len(points) == 2 and points[0][1] == points[1][1] and 0 < points[0][1] - y < 1.5:
            lengths.append(math.dist(*points))
    return max(lengths)


@pytest.mark.parametrize("scale", [Scale(2, 1), FULL, Scale(1, 5)])
def test_the_bar_is_100_mm_of_paper_at_every_scale(scale: Scale) -> None:
    assert bar(ElementTree.fromstring(svg(plate(scale))), "100 mm") == pytest.approx(100.0, abs=0.001)


def test_words_are_escaped_in_the_svg_and_whole_in_the_dxf() -> None:
    root = ElementTree.fromstring(svg(plate(), "<desc>", "foot & <foot>"))
    assert '<b>&amp; "both"</b>' in [one.text for one in root.iter(f"{SVG}text")]
    assert root.find(f"{SVG}desc").text == "<desc>"
    told = [one.dxf.text for one in read_back(dxf(plate())).modelspace().query("TEXT")]
    assert '<b>&amp; "both"</b>' in told
    assert "Ø8.50" in told


def test_nothing_lies_outside_the_frame() -> None:
    for scale in SCALES[:6]:
        drawing = plate(scale)
        low, high = drawing.extent
        for shape in drawing.plain:
            for x, y in outline_of(shape, scale.factor):
                assert low[0] - 1e-9 <= x <= high[0] + 1e-9
                assert low[1] - 1e-9 <= y <= high[1] + 1e-9
        root = ElementTree.fromstring(svg(drawing, foot="catalogue 00000000 revision 1, " * 3))
        wide = float(root.get("width", "").removesuffix("mm"))
        for text in root.iter(f"{SVG}text"):
            assert 0 <= float(text.get("x", "0")) <= wide


@pytest.mark.parametrize("scale", [Scale(5, 1), FULL, Scale(1, 10)])
def test_the_dxf_is_full_size_in_mm_on_layers_of_their_own_whatever_the_scale(scale: Scale) -> None:
    document = read_back(dxf(plate(scale)))
    assert document.units == 4  # mm
    assert document.dxfversion == "AC1024"  # R2010
    space = document.modelspace()
    (hole,) = space.query("CIRCLE")
    assert (hole.dxf.center.x, hole.dxf.center.y, hole.dxf.radius) == (60.0, 10.0, 4.25)
    assert hole.dxf.layer == "OUTLINE"
    (slot,) = space.query('LWPOLYLINE[layer=="CUT"]')
    corners = list(slot.get_points("xyb"))
    assert [bulge for _, _, bulge in corners] == [0.0, 1.0, 0.0, 1.0]
    assert math.dist(corners[1][:2], corners[2][:2]) == pytest.approx(8.0, abs=1e-9)
    assert math.dist(corners[0][:2], corners[1][:2]) == pytest.approx(math.hypot(12.0, 4.0), abs=1e-9)
    heights = {one.dxf.height for one in space.query("TEXT")}
    assert heights == {2.5 / scale.factor}
    assert {"OUTLINE", "CENTRE", "HIDDEN", "DIMENSIONS", "HATCH", "TEXT"} <= {one.dxf.name for one in document.layers}


@settings(max_examples=30)  # each writes and reads a file
@given(st.floats(-180.0, 180.0), st.floats(0.5, 40.0), st.floats(1.0, 12.0))
def test_a_slot_is_round_beyond_its_ends_in_both_forms(degrees: float, length: float, radius: float) -> None:
    from ezdxf import bbox

    turn = math.radians(degrees)
    end = (length * math.cos(turn), length * math.sin(turn))
    slot = Slot((0.0, 0.0), end, radius)
    low, high = (
        (min(0.0, end[0]) - radius, min(0.0, end[1]) - radius),
        (max(0.0, end[0]) + radius, max(0.0, end[1]) + radius),
    )
    assert extent([slot])[0] == pytest.approx(low, abs=0.01 * radius)  # a polygon of steps
    assert extent([slot])[1] == pytest.approx(high, abs=0.01 * radius)
    box = bbox.extents(read_back(dxf(ScaleDrawing("slot", "Slot", FULL, (slot,)))).modelspace())
    assert (box.extmin.x, box.extmin.y) == pytest.approx(low, abs=0.02 * radius)
    assert (box.extmax.x, box.extmax.y) == pytest.approx(high, abs=0.02 * radius)


def test_the_same_drawing_is_the_same_bytes() -> None:
    assert dxf(plate()) == dxf(plate())
    assert svg(plate()) == svg(plate())
    assert dxf(plate()) != dxf(plate(Scale(1, 2)))


def test_what_the_files_say_of_the_hour_is_nothing() -> None:
    told = dxf(plate()).decode()
    assert not re.search(r"20[2-9]\d-\d\d-\d\d", told)


def square(side: float) -> list[tuple[float, float]]:
    return [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]


@given(st.floats(2.0, 200.0), st.floats(0.7, 5.0), st.floats(0.0, 179.0))
def test_hatching_fills_what_it_is_given_and_nothing_else(side: float, apart: float, degrees: float) -> None:
    lines = hatched(square(side), apart, degrees)
    for one in lines:
        for x, y in one.points:
            assert -1e-6 <= x <= side + 1e-6
            assert -1e-6 <= y <= side + 1e-6
    # together they stand for the area: each line for a strip as wide as they lie apart
    covered = sum(math.dist(*one.points) for one in lines) * apart
    assert covered == pytest.approx(side * side, abs=3 * apart * side)


def test_hatching_leaves_a_notch_free() -> None:
    notched = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (6.0, 10.0), (6.0, 4.0), (4.0, 4.0), (4.0, 10.0), (0.0, 10.0)]
    for one in hatched(notched, 0.9, 0.0):
        (left, y), (right, _) = sorted(one.points)
        assert not (y > 4.0 and left < 5.0 < right)


@pytest.mark.parametrize(
    ("size", "room", "scale"),
    [((40.0, 20.0), (95.0, 48.0), "2:1"), ((352.0, 76.0), (100.0, 38.0), "1:5"), ((9.0, 4.0), (95.0, 48.0), "10:1")],
)
def test_the_largest_scale_that_goes_into_the_room_is_taken(
    size: tuple[float, float], room: tuple[float, float], scale: str
) -> None:
    assert str(largest_scale(*size, room)) == scale


def test_what_no_scale_takes_has_none() -> None:
    assert largest_scale(30_000.0, 10.0, (180.0, 100.0)) is None


def wide(across: float, up: float) -> ScaleDrawing:
    return ScaleDrawing("wide", "Wide", Scale(1, 5), (line((0.0, 0.0), (across, up)),))


@given(st.floats(1.0, 1500.0), st.floats(1.0, 900.0), st.sampled_from(["A4", "letter"]), st.booleans())
def test_tiles_show_everything_at_full_size_and_overlap(across: float, up: float, paper: str, lying: bool) -> None:
    size = SIZES[paper]
    room = size.room_landscape if lying else size.room
    found = {one.name: one for one in tiles(wide(across, up), room)}
    for one in found.values():
        assert one.high[0] - one.low[0] == pytest.approx(window(room)[0], abs=1e-9)  # never shrunk
        assert one.high[1] - one.low[1] == pytest.approx(window(room)[1], abs=1e-9)
        if one.right:
            assert one.high[0] - found[one.right].low[0] == pytest.approx(OVERLAP, abs=1e-6)
            assert found[one.right].low[1] == one.low[1]
        if one.below:
            assert found[one.below].high[1] - one.low[1] == pytest.approx(OVERLAP, abs=1e-6)
    (left, bottom), (right, top) = extent(wide(across, up).plain)
    assert min(one.low[0] for one in found.values()) <= left
    assert max(one.high[0] for one in found.values()) >= right
    assert min(one.low[1] for one in found.values()) <= bottom
    assert max(one.high[1] for one in found.values()) >= top


def test_one_sheet_less_would_not_do() -> None:
    room = SIZES["A4"].room
    wide_one = window(room)[0]
    assert len(tiles(wide(wide_one, 10.0), room)) == 1
    assert len(tiles(wide(wide_one + 0.1, 10.0), room)) == 2
    assert len(tiles(wide(2 * wide_one - OVERLAP, 10.0), room)) == 2
    assert len(tiles(wide(2 * wide_one - OVERLAP + 0.1, 10.0), room)) == 3


def test_a_tile_has_both_bars_and_the_name_of_the_next() -> None:
    drawing = wide(400.0, 40.0)
    found = tiles(drawing, SIZES["A4"].room)
    first = tile_svg(drawing, found[0], "kit 0")
    root = ElementTree.fromstring(first)
    assert bar(root, "100 mm") == pytest.approx(100.0, abs=0.001)
    assert bar(root, "4 in") == pytest.approx(101.6, abs=0.001)
    words = [one.text for one in root.iter(f"{SVG}text")]
    assert "left edge of A2 here" in words
    assert {"100 mm bar measured", "100 mm up the page"} <= set(words)
    assert tile_svg(drawing, found[0], "kit 0") == first
    size = [float(root.get(name, "").removesuffix("mm")) for name in ("width", "height")]
    assert size == pytest.approx(SIZES["A4"].room, abs=0.01)


@pytest.mark.parametrize("turn", [0.0, 90.0])
@pytest.mark.parametrize("align", ["start", "middle", "end"])
def test_words_at_the_edge_of_a_sheet_are_whole_on_it_or_not_there(align: str, turn: float) -> None:
    plate = wide(400.0, 40.0)
    sheets = tiles(plate, SIZES["A4"].room)
    edges = {edge for tile in sheets for edge in (tile.low[0], tile.high[0])}
    assert len(edges) > 2
    for x in (edge + off for edge in edges for off in (-20.0, -5.0, -0.5, 0.5, 5.0, 20.0)):
        words = Text((x, 20.0), "410.00", align=align, turn=turn)
        drawing = ScaleDrawing("plate", "plate", FULL, (*plate.shapes, words))
        shown = 0
        for tile in sheets:
            root = ElementTree.fromstring(tile_svg(drawing, tile, "kit 0"))
            for one in (one for one in root.iter(f"{SVG}text") if one.text == "410.00"):
                at = (tile.low[0] + float(one.get("x", "")), tile.high[1] - float(one.get("y", "")))
                box = outline_of(Text(at, "410.00", align=align, turn=turn), 1.0)
                assert all(tile.low[0] - 0.01 <= corner[0] <= tile.high[0] + 0.01 for corner in box)
                assert abs(at[0] - x) <= words.length
                shown += 1
        assert shown == sum(tile.low[0] <= x <= tile.high[0] for tile in sheets)


def test_paper_without_room_for_the_bars_is_refused() -> None:
    with pytest.raises(ValueError, match="no room for a template"):
        tiles(wide(10.0, 10.0), (120.0, 160.0))


def test_text_takes_no_more_room_than_is_kept_for_it() -> None:
    """The widest of the usual founts: DejaVu Sans, whose widths matplotlib knows."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    fount = FontProperties(family="DejaVu Sans")
    for words in (
        "352.00 ±0.10",
        "gauge plane of the stud",
        "Scale 1:5, dimensions in mm.",
        "639.83 between inner balls",
    ):
        for bold in (False, True):
            fount.set_weight("bold" if bold else "normal")
            size = 2.5 / 0.72  # as svg has it
            box = TextPath((0, 0), words, size=size, prop=fount).get_extents()
            assert box.width <= Text((0.0, 0.0), words, bold=bold).length
