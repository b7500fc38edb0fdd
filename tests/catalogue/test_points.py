"""Points and distances from a cell to what a kit is told, in the project's own axes; and out again without loss.

Expected values are geometry, the inch of 25.4 mm (standard, exact) and the half-widths of tools.csv (laser 1 mm,
tape 1 mm, plumb 2 mm, calliper 0.05 mm, inside jaws 0.08 mm), as standard uncertainties divided by the root of 3.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
import sqlalchemy as sa
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.engine import Engine

from fitment.catalogue.adopt import AdoptedValue, Evidence
from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.book import Book
from fitment.catalogue.database import create
from fitment.catalogue.dictionary import find_dimension, part_kinds
from fitment.catalogue.exporting import export_folder, template
from fitment.catalogue.found import FoundPart, FoundVehicle
from fitment.catalogue.importing import import_files
from fitment.catalogue.listing import one, readings, values_of
from fitment.catalogue.schema import Reading
from fitment.catalogue.values import read_values
from fitment.catalogue.verifying import derived_rows, verify
from fitment.errors import DataFault, FitmentError
from fitment.finding import Basis
from fitment.quantity.points import distances_of, point_of, point_text
from tests.catalogue.conftest import Fill

ROOT3 = math.sqrt(3)
OWN = "x forward, y left, z up"
SURVEYS = (
    "sitting,who,date,source,tool,datum,axes\n"
    f'A1,AB,2026-03-01,S-own,,middle of the axle,"{OWN}"\n'
    f'A2,AB,2026-03-02,S-own,,Middle of  the axle,"{OWN}"\n'
    'A3,CD,2026-03-03,S-own,,middle of the axle,"x rearward, y right, z up"\n'
    f'A4,CD,2026-03-04,S-own,,front of the sill,"{OWN}"\n'
    f'A5,CD,2026-03-05,S-man,,middle of the axle,"{OWN}"\n'
    f'A6,CD,2026-03-06,S-list,,middle of the axle,"{OWN}"\n'
    "A7,CD,2026-03-07,S-own,,middle of the axle,\n"
)
HEAD = "vehicle,sitting,units,"


def vehicle(engine: Engine) -> FoundVehicle:
    with engine.connect() as connection:
        return Book(connection).find_vehicle("V-1")


def part(engine: Engine, name: str = "XM-1") -> FoundPart:
    with engine.connect() as connection:
        return Book(connection).find(name)


def eyes(fill: Fill, *rows: str) -> None:
    """Takes in readings of the left arm eye: sitting and cell of each."""
    lines = "".join(f'V-1,{sitting},mm,"{cell}"\n' for sitting, _, cell in (row.partition(":") for row in rows))
    fill(SURVEYS, f"{HEAD}corner.left.arm-eye\n{lines}")


def test_a_vehicle_comes_with_its_features_and_its_points(engine: Engine, fill: Fill) -> None:
    eyes(fill, "A1:-118, 505, 231")
    found = vehicle(engine)
    assert sorted(found.features) == ["body", "corner.left", "corner.right"]
    use = found.features["corner.left"].values["arm-eye"]
    assert (use.feature, use.value, use.unit, use.basis) == (
        "OWN/V-1 corner.left", "-118, 505, 231", "mm", Basis.MEASURED,
    )  # fmt: skip
    assert use.u == pytest.approx(1 / ROOT3)
    assert use.shown == "x -118.00 mm, y 505.00 mm, z 231.00 mm"
    assert use.source == "bench, laser (sitting OWN/A1)"
    assert (found.datums, found.cautions) == (("middle of the axle",), ())


@pytest.mark.parametrize(
    ("cell", "u", "tool"),
    [
        ("-118, 505, 231 @plumb", 2 / ROOT3, "plumb"),
        ("-118, 505, 231 ±3", 3 / ROOT3, "laser"),
        ("-118 ±1, 505 ±4, 231 ±1", 4 / ROOT3, "laser"),
        ("-118, 505, 231 u=0.2 @tape", 0.2, "tape"),
    ],
)
def test_tool_and_own_doubt_as_for_numbers(engine: Engine, fill: Fill, cell: str, u: float, tool: str) -> None:
    eyes(fill, f"A1:{cell}")
    use = vehicle(engine).features["corner.left"].values["arm-eye"]
    assert use.u == pytest.approx(u)
    assert use.source == f"bench, {tool} (sitting OWN/A1)"


def test_a_tool_that_gives_no_number_and_a_cell_that_is_no_point_are_refused_with_their_place(fill: Fill) -> None:
    with pytest.raises(FitmentError) as caught:
        eyes(fill, "A1:1, 2, 3 @blueing", "A1:1, 2")
    faults = getattr(caught.value, "faults", ())
    assert [(fault.place, fault.message) for fault in faults] == [
        (
            "sheet4.csv, row 2, column corner.left.arm-eye",
            "taper gauge or known-good stud with blueing gives pass or fail, not a number",
        ),
        ("sheet4.csv, row 3, column corner.left.arm-eye", '"1, 2" is not three coordinates'),
    ]


def test_repeats_in_one_sitting_are_averaged_and_do_not_shrink_the_tools_error(engine: Engine, fill: Fill) -> None:
    eyes(fill, "A1:-118, 505, 231; -119, 505, 231; -117, 505, 231")
    use = vehicle(engine).features["corner.left"].values["arm-eye"]
    assert point_of(use) == (-118, 505, 231)
    assert use.u == pytest.approx(math.hypot(1 / ROOT3, 1 / ROOT3))
    assert len(use.readings) == 3


def test_sittings_that_agree_are_averaged_and_those_that_do_not_are_in_conflict(engine: Engine, fill: Fill) -> None:
    eyes(fill, "A1:-118, 505, 231", "A2:-119, 505, 231")
    use = vehicle(engine).features["corner.left"].values["arm-eye"]
    assert point_of(use) == (-118.5, 505, 231)
    # one shop's laser in two sittings: its own error stays whole, half the spread of the two is added
    assert use.u == pytest.approx(math.hypot(1 / ROOT3, 0.5))
    eyes(fill, "A5:-118, 512, 231")
    corner = vehicle(engine).features["corner.left"]
    assert "arm-eye" not in corner.values
    assert corner.gaps["arm-eye"].startswith("in conflict: x -11")
    assert "y 512.00 mm" in corner.gaps["arm-eye"]


def test_hearsay_neither_leads_nor_contradicts_and_alone_it_is_marked(engine: Engine, fill: Fill) -> None:
    eyes(fill, "A6:-218, 605, 331")
    assert vehicle(engine).features["corner.left"].values["arm-eye"].hearsay
    eyes(fill, "A1:-118, 505, 231")
    use = vehicle(engine).features["corner.left"].values["arm-eye"]
    assert (point_of(use), use.hearsay) == ((-118, 505, 231), False)


def test_axes_are_turned_on_adoption_and_the_reading_stays_as_entered(engine: Engine, fill: Fill) -> None:
    eyes(fill, "A3:118, -505, 231")
    assert vehicle(engine).features["corner.left"].values["arm-eye"].value == "-118, 505, 231"
    with engine.connect() as connection:
        assert [line.entered for line in readings(connection)] == ["118, -505, 231"]


def test_a_sitting_without_axes_lends_no_points_until_it_states_them(engine: Engine, fill: Fill) -> None:
    eyes(fill, "A7:-118, 505, 231")
    found = vehicle(engine)
    gap = "the sitting states no axes (OWN/A7): say there which way x, y and z point"
    assert found.features["corner.left"].gaps["arm-eye"] == gap
    assert found.cautions == ("OWN/V-1: sitting OWN/A7 states no axes, so that its points are not used.",)
    with engine.connect() as connection:
        before = Book(connection).stamp().revision
    fill(f'sitting,axes\nA7,"{OWN}"\n'.replace("sitting,axes", "sitting,source,axes").replace("A7,", "A7,S-own,"))
    found = vehicle(engine)
    assert found.features["corner.left"].values["arm-eye"].value == "-118, 505, 231"
    assert found.cautions == ()
    assert verify(engine) == []
    with engine.connect() as connection:
        assert Book(connection).stamp().revision == before + 1


def test_axes_that_leave_something_open_are_refused_at_the_door(fill: Fill) -> None:
    with pytest.raises(FitmentError) as caught:
        fill('sitting,who,source,axes\nB1,AB,S-own,"x forward, y left"\n')
    assert caught.value.message == '"x forward, y left" does not say which way x, y and z point'
    assert caught.value.place == "sheet3.csv, row 2, column sitting"


def test_points_from_different_datums_are_not_mixed(engine: Engine, fill: Fill) -> None:
    eyes(fill, "A1:-118, 505, 231", "A4:-118, 505, 231")
    gap = vehicle(engine).features["corner.left"].gaps["arm-eye"]
    assert gap == "read from different datums: front of the sill (OWN/A4) against middle of the axle (OWN/A1)"


def test_a_vehicle_surveyed_from_two_datums_comes_with_a_caution(engine: Engine, fill: Fill) -> None:
    fill(SURVEYS, f'{HEAD}corner.left.arm-eye,corner.left.lower-ball\nV-1,A1,mm,"1, 2, 3",\nV-1,A4,mm,,"1, 2, 3"\n')
    found = vehicle(engine)
    assert found.datums == ("middle of the axle", "front of the sill")
    assert found.cautions == (
        "OWN/V-1: its points are taken from different datums and do not go together: "
        "middle of the axle (OWN/A1); front of the sill (OWN/A4).",
    )


def test_a_parts_points_say_their_datum_too(engine: Engine, fill: Fill) -> None:
    fill(
        SURVEYS,
        "crossmember,item,sitting,units,mount.hole-1,mount.hole-2,body.box-min\n"
        'XM-1,,A3,mm,"162, 176, 212","86, 176, 212",\nXM-1,XM-1a,A4,mm,"1, 2, 3",,\n',
    )
    whole, item = part(engine), part(engine, "XM-1a")
    assert whole.features["mount"].values["hole-1"].value == "-162, -176, 212"
    assert (whole.datums, whole.cautions) == (("middle of the axle",), ())
    # default tool calliper, which opens to 150 mm: beyond it a tape
    assert [whole.features["mount"].values[name].u for name in ("hole-1", "hole-2")] == pytest.approx([1 / ROOT3] * 2)
    assert item.features["mount"].values["hole-1"].value == "1, 2, 3"
    assert item.features["mount"].values["hole-1"].u == pytest.approx(0.05 / ROOT3)
    assert len(item.datums) == 2
    assert len(item.cautions) == 1


def test_right_as_left_mirrors_a_point_and_says_that_it_is_assumed(engine: Engine, fill: Fill) -> None:
    fill(
        SURVEYS,
        f"{HEAD}corner.left.arm-eye,corner.left.toe [deg],corner.right.as-left,corner.right.lower-ball\n"
        'V-1,A3,mm,"118, -505, 231",0.1,yes,"0, 530, 187"\n',
    )
    right = vehicle(engine).features["corner.right"].values
    assert right["arm-eye"].value == "-118, -505, 231"
    assert right["arm-eye"].shown == "x -118.00 mm, y -505.00 mm, z 231.00 mm"
    assert right["arm-eye"].u == pytest.approx(1 / ROOT3)
    assert (right["arm-eye"].assumed, right["lower-ball"].assumed) == (True, False)
    assert right["lower-ball"].value == "0, -530, 187"
    assert right["toe"].number == 0.1
    assert right["arm-eye"].source == "assumed as left (bench, laser (sitting OWN/A3))"


def test_a_gap_on_the_left_is_a_gap_on_the_right(engine: Engine, fill: Fill) -> None:
    fill(SURVEYS, f'{HEAD}corner.left.arm-eye,corner.right.as-left\nV-1,A7,mm,"1, 2, 3",yes\n')
    assert vehicle(engine).features["corner.right"].gaps["arm-eye"].startswith("the sitting states no axes (OWN/A7)")


PATTERN = "crossmember,sitting,units,mount.holes\n"


def holes(engine: Engine) -> list[tuple[int, int, str, float, float]]:
    return distances_of(part(engine).features["mount"].values["holes"])


def test_distances_of_one_cell_are_gathered_with_the_doubt_of_each(engine: Engine, fill: Fill) -> None:
    fill(PATTERN + "XM-1,T1,mm,2-1 centre 76; 1-2 centre 76.1; 1-3 outside 80.5; 1-4 edge 352; 1-5 inside 1 in ±0.3\n")
    found = holes(engine)
    assert [one[:4] for one in found] == [
        (1, 2, "centre", 76.0), (1, 2, "centre", 76.1), (1, 3, "outside", 80.5), (1, 4, "edge", 352.0),
        (1, 5, "inside", 25.4),
    ]  # fmt: skip
    # calliper; over the far edges its inside jaws; beyond 150 mm a tape; its own ±
    assert [one[4] for one in found] == pytest.approx(
        [0.05 / ROOT3, 0.05 / ROOT3, 0.08 / ROOT3, 1 / ROOT3, 0.3 * 25.4 / ROOT3], rel=1e-5
    )
    use = part(engine).features["mount"].values["holes"]
    assert use.shown.startswith("1-2 centre 76.000 mm; 1-2 centre 76.100 mm; 1-3 outside 80.500 mm; 1-4 edge 352.00 mm")
    assert len(use.readings) == 5


def test_of_each_distance_the_best_trusted_source_speaks(engine: Engine, fill: Fill) -> None:
    fill(PATTERN + "XM-1,T1,mm,1-2 centre 76\nXM-1,T3,mm,1-2 centre 76; 1-3 centre 90\nXM-1,T4,mm,2-3 centre 9\n")
    assert [one[:4] for one in holes(engine)] == [(1, 2, "centre", 76.0), (1, 3, "centre", 90.0)]
    use = part(engine).features["mount"].values["holes"]
    assert (use.basis, use.hearsay) == (Basis.STATED, False)


def test_copies_of_one_post_say_a_distance_once_and_are_hearsay(engine: Engine, fill: Fill) -> None:
    fill(PATTERN + "XM-1,T5,mm,1-2 centre 76\nXM-1,T6,mm,1-2 centre 76\n")
    assert len(holes(engine)) == 1
    assert part(engine).features["mount"].values["holes"].hearsay


def test_distances_that_disagree_are_in_conflict(engine: Engine, fill: Fill) -> None:
    fill(PATTERN + "XM-1,T1,mm,1-2 centre 76; 1-3 centre 90\nXM-1,T2,mm,2-1 centre 79\n")
    assert part(engine).features["mount"].gaps["holes"] == (
        "in conflict: 1-2 centre 76.000 mm (bench, calliper) against 1-2 centre 79.000 mm (another shop, calliper)"
    )


def test_another_shops_distances_are_half_as_doubtful_again(engine: Engine, fill: Fill) -> None:
    fill(PATTERN + "XM-1,T2,mm,1-2 centre 76\n")
    assert holes(engine)[0][4] == pytest.approx(1.5 * 0.05 / ROOT3, rel=1e-5)


SHEET = (
    "crossmember,name,sitting,units,mount.holes,mount.hole-1,mount.hole-2\n"
    'XM-1,one,A1,mm,"1-2 centre 76; 1-3 outside 3 1/8 in","162, 176, 212; 162.5, 176, 212 @tape",\n'
    'XM-1,,A2,inch,"1-2 edge 3 1/8","6 3/8, 7, 8.35","1 mm, 2 mm, 3,5 mm ±1"\n'
)


def test_export_gives_back_every_point_as_entered_and_import_the_same_catalogue(
    engine: Engine, fill: Fill, tmp_path: Path
) -> None:
    fill(SURVEYS, SHEET, f'{HEAD}corner.left.arm-eye\nV-1,A3,inch,"x=4.5 y=-20 z=9"\n')
    with engine.connect() as connection:
        before = derived_rows(connection)
        entered = list(connection.execute(sa.select(Reading.entered, Reading.bare_unit).order_by(Reading.uid)))
        paths = export_folder(connection, tmp_path / "out")
    assert ("6 3/8, 7, 8.35", "in") in entered
    assert ("1-3 outside 3 1/8 in", "") in entered
    assert ("1 mm, 2 mm, 3,5 mm ±1", "") in entered
    again = create(f"sqlite:///{(tmp_path / 'again.sqlite').as_posix()}")
    import_files(again, paths)
    with again.connect() as connection:
        assert derived_rows(connection) == before
        taken = list(connection.execute(sa.select(Reading.entered, Reading.bare_unit).order_by(Reading.uid)))
    assert taken == entered
    assert sum(import_files(again, paths).added.values()) == 0
    assert verify(again) == []
    again.dispose()


def test_people_see_points_with_axes_and_units(engine: Engine, fill: Fill) -> None:
    eyes(fill, "A1:-118, 505, 231 @plumb")
    with engine.connect() as connection:
        lines = values_of(connection, "vehicle", one(connection, "vehicle", "V-1"))
    assert [(line.feature, line.dimension, line.shown) for line in lines] == [
        ("corner.left", "arm-eye", "x -118.0 mm, y 505.0 mm, z 231.0 mm")
    ]


@pytest.mark.parametrize(("system", "unit"), [("mm", "mm"), ("inch", "in")])
def test_the_template_heads_points_and_distances_with_their_unit(system: str, unit: str) -> None:
    headings, units, _ = list(csv.reader(template("crossmember", system).splitlines()))[:3]
    told = dict(zip(headings, units, strict=True))
    assert (told["mount.hole-1"], told["mount.holes"], told["body.box-min"]) == (unit, unit, unit)


def test_a_heading_may_name_the_unit_of_its_points(engine: Engine, fill: Fill) -> None:
    fill(SURVEYS, 'vehicle,sitting,corner.left.arm-eye [in]\nV-1,A1,"1, 2, 3"\n')
    assert vehicle(engine).features["corner.left"].values["arm-eye"].value == "25.4, 50.8, 76.2"


def test_a_point_without_a_unit_is_refused_where_the_row_says_none(fill: Fill) -> None:
    with pytest.raises(FitmentError) as caught:
        fill(SURVEYS, 'vehicle,sitting,corner.left.arm-eye\nV-1,A1,"1, 2, 3"\n')
    assert caught.value.message == '"1": 1 has no unit'


def test_derived_points_dropped_and_rebuilt_are_identical(engine: Engine, fill: Fill) -> None:
    fill(SURVEYS, SHEET, f'{HEAD}corner.left.arm-eye,corner.right.as-left\nV-1,A3,mm,"118, -505, 231",yes\n')
    assert verify(engine) == []


EYE = find_dimension(part_kinds()["vehicle"], "corner.left", "arm-eye")
whole = st.integers(-2000, 2000)


def evidence(at: tuple[int, int, int], uid: str, sitting: str, source: str = "own-measurement") -> Evidence:
    return Evidence(
        uid, "corner.left", "arm-eye", None, 0.6, point_text(at), "laser", "", source, source, "", sitting, "sill", OWN
    )


def adopted(ones: list[Evidence]) -> AdoptedValue:
    return adopted_values({"corner.left": "corner"}, ones)[0]


@given(
    st.permutations(
        [
            evidence((0, 500, 200), "a", "S1"), evidence((1, 500, 200), "b", "S1"), evidence((0, 501, 200), "c", "S2"),
            evidence((0, 500, 201), "d", "S3", "manual"), evidence((50, 0, 0), "e", "S4", "memory"),
        ]
    )
)  # fmt: skip
def test_the_order_of_points_changes_nothing(order: list[Evidence]) -> None:
    assert adopted(order) == adopted(sorted(order, key=lambda one: one.uid))


@given(whole, whole, whole)
def test_the_same_point_in_inches_is_the_same_reading(x: int, y: int, z: int) -> None:
    inches, millimetres = (
        read_values(EYE, text, unit, "", measured=True)[0]
        for text, unit in ((f"{x}, {y}, {z}", "in"), (", ".join(f"{v * 254 / 10:.1f}" for v in (x, y, z)), "mm"))
    )
    assert (inches.word, inches.u) == (millimetres.word, millimetres.u)


def test_what_was_once_taken_in_as_plain_text_is_not_in_force() -> None:
    """Readings of before points were read have no doubt, and nothing says that they are in mm."""
    old = Evidence("a", "corner.left", "arm-eye", None, None, "1, 2, 3", "", "", "manual", "book", "", "S1", "", OWN)
    assert adopted([old]).gap == "1, 2, 3 was taken in as plain text: withdraw it and import its sheet again"


def test_only_a_worn_point_is_not_in_force(engine: Engine, fill: Fill) -> None:
    fill(SURVEYS, 'crossmember,sitting,units,condition,mount.hole-1\nXM-1,A1,mm,worn,"1, 2, 3"\n')
    gap = part(engine).features["mount"].gaps["hole-1"]
    assert gap.startswith("only read on a worn part (x 1.000 mm, y 2.000 mm, z 3.000 mm, bench, calliper")


def test_a_stray_axis_of_an_older_catalogue_is_a_gap() -> None:
    odd = Evidence(
        "a", "corner.left", "arm-eye", None, 0.6, "1, 2, 3", "", "", "manual", "book", "", "S1", "", "as usual"
    )
    assert adopted([odd]).gap == (
        'the sitting\'s axes cannot be read (S1): "as usual" does not say which way x, y and z point'
    )
    with pytest.raises(DataFault):
        read_values(EYE, "1, 2", "mm", "", measured=True)
