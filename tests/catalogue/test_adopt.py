"""The value in force follows from the readings by the stated rule; conflicts show, hearsay never leads."""

from __future__ import annotations

import math

import pytest
import sqlalchemy as sa
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.engine import Engine

from fitment.catalogue.adopt import Evidence, adopt
from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.book import Book
from fitment.catalogue.derive import derive_all
from fitment.catalogue.dictionary import dimensions_of
from fitment.catalogue.records import writing
from fitment.catalogue.verifying import derived_rows, verify
from fitment.finding import Basis
from fitment.joints.registration import Feature
from tests.catalogue.conftest import HEAD, Fill

LARGE = dimensions_of("stud")["large"]
KNUCKLE = "knuckle\nKN-1\n"


def reading(number: float, u: float, source: str = "own-measurement", **more: str) -> Evidence:
    named = {"uid": f"{source}{number}", "sitting": source, "tool": "calliper", "condition": "", "origin": ""} | more
    return Evidence(
        feature="stud", dimension="large", number=number, u=u, word=None, source_kind=source, source=source, **named
    )


def stud(engine: Engine, name: str = "RE-1") -> Feature:
    with engine.connect() as connection:
        return Book(connection).find(name).features["stud"]


def test_the_weighted_mean_of_two_that_agree() -> None:
    value = adopt(LARGE, [reading(15.00, 0.03), reading(15.05, 0.04, "drawing"), reading(15.04, 0.03, sitting="other")])
    assert value.number == pytest.approx(15.02)
    assert value.u == pytest.approx(0.03 / math.sqrt(2))
    assert (value.basis, value.gap, value.hearsay) == (Basis.MEASURED, "", False)


def test_another_shops_doubt_counts_half_as_much_again() -> None:
    assert adopt(LARGE, [reading(15.0, 0.04, "other-measurement")]).u == pytest.approx(0.06)


def test_a_conflict_is_never_averaged() -> None:
    value = adopt(LARGE, [reading(15.00, 0.03), reading(15.30, 0.03, sitting="other")])
    assert value.gap.startswith("in conflict: 15.000 mm (own-measurement, calliper) against 15.300 mm")
    assert (value.number, value.u, value.shown) == (None, None, "")
    assert len(value.readings) == 2


def test_a_drawing_that_a_measurement_contradicts_is_a_conflict() -> None:
    assert adopt(LARGE, [reading(15.00, 0.03), reading(15.30, 0.03, "drawing")]).gap.startswith("in conflict")


def test_hearsay_neither_leads_nor_contradicts() -> None:
    value = adopt(LARGE, [reading(15.00, 0.03), reading(19.0, 0.01, "listing")])
    assert (value.number, value.gap, value.hearsay) == (15.0, "", False)
    assert adopt(LARGE, [reading(19.0, 0.2, "forum")]).hearsay


def test_copies_of_one_origin_count_once() -> None:
    once = adopt(LARGE, [reading(15.0, 0.2, "forum", origin="post 7")])
    twice = adopt(
        LARGE, [reading(15.0, 0.2, "forum", origin="post 7"), reading(15.0, 0.2, "memory", origin="post 7", uid="b")]
    )
    assert twice.u == once.u


def test_repeats_in_one_sitting_do_not_shrink_the_tools_own_error() -> None:
    value = adopt(LARGE, [reading(15.0, 0.03, uid=f"r{n}") for n in range(20)])
    assert value.u == pytest.approx(0.03)


def test_one_uncalibrated_tool_of_a_shop_is_one_origin_in_whatever_sitting() -> None:
    monday, friday = reading(15.00, 0.03, sitting="NORTH/T-1"), reading(15.00, 0.03, sitting="NORTH/T-2")
    assert adopt(LARGE, [monday, friday]).u == pytest.approx(0.03)
    other_tool = reading(15.00, 0.03, sitting="NORTH/T-2", tool="micrometer")
    assert adopt(LARGE, [monday, other_tool]).u == pytest.approx(0.03 / math.sqrt(2))
    other_shop = reading(15.00, 0.03, sitting="SOUTH/T-2")
    assert adopt(LARGE, [monday, other_shop]).u == pytest.approx(0.03 / math.sqrt(2))


def test_another_shops_readings_that_go_back_to_one_origin_count_once() -> None:
    told = [reading(15.0, 0.02, "other-measurement", sitting=f"NORTH/T-{n}", origin="bench book 3") for n in range(4)]
    assert adopt(LARGE, told).u == pytest.approx(0.03)


def test_a_document_that_says_two_things_is_in_conflict_with_itself() -> None:
    assert adopt(LARGE, [reading(15.0, 0.03, "manual"), reading(15.5, 0.03, "manual")]).gap.startswith("in conflict")
    rounded = adopt(LARGE, [reading(15.00, 0.03, "manual"), reading(15.05, 0.03, "manual")])
    assert (rounded.number, rounded.gap) == (pytest.approx(15.025), "")


def test_origins_that_scatter_beyond_their_doubts_say_so() -> None:
    value = adopt(LARGE, [reading(15.00, 0.03), reading(15.07, 0.03, sitting="other")])
    assert (value.number, value.u) == (pytest.approx(15.035), pytest.approx(0.035))
    scatter = "(beyond their doubts they scatter by 0.04 mm; 3 degrees of freedom)"
    assert value.source == f"own-measurement, calliper {scatter}"
    assert value.shape == "t3"
    near = adopt(LARGE, [reading(15.00, 0.03), reading(15.045, 0.03, sitting="other")])
    # half the distance, of which 0.0075 mm is scatter: (0.0225 / 0.0055...)^4
    assert near.source.endswith("scatter by 0.01 mm; 81 degrees of freedom)")
    assert near.shape == "t81"
    agreeing = adopt(LARGE, [reading(15.00, 0.03), reading(15.04, 0.03, sitting="other")])
    assert (agreeing.shape, "scatter" in agreeing.source) == ("normal", False)


def test_only_the_tools_own_error_is_shared_with_other_values() -> None:
    value = adopt(LARGE, [reading(x, 0.03, uid=f"r{x}") for x in (15.00, 15.02, 15.04)])
    assert value.u == pytest.approx(math.hypot(0.03, 0.02 / math.sqrt(3)))
    assert value.shared == (("own-measurement calliper", pytest.approx(0.03)),)
    assert adopt(LARGE, [reading(15.0, 0.03), reading(15.0, 0.03, uid="b")]).shared == ()


def test_repeats_over_two_sittings_are_not_claimed_as_a_shared_error() -> None:
    told = [reading(15.0, 0.03, sitting=f"NORTH/T-{n}", uid=f"{n}") for n in range(4)]
    assert adopt(LARGE, told).shared == ()


def test_a_worn_part_never_leads() -> None:
    assert adopt(LARGE, [reading(15.0, 0.03), reading(14.2, 0.03, condition="worn")]).number == 15.0
    only = adopt(LARGE, [reading(14.2, 0.03, condition="worn")])
    assert only.gap == "only read on a worn part (14.200 mm, own-measurement, calliper): measure a sound one"


@given(
    st.permutations(
        [reading(15.00, 0.03), reading(15.02, 0.05, sitting="b"), reading(15.3, 0.4, "manual"), reading(9, 1, "memory")]
    )
)
def test_the_order_of_readings_changes_nothing(order: list[Evidence]) -> None:
    assert adopt(LARGE, order) == adopt(LARGE, sorted(order, key=lambda one: one.uid))


def test_a_designation_tells_the_hand_and_no_mark_tells_nothing(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.thread\nRE-1,,,T1,mm,,M12x1.25-LH\nRE-2,,,T1,mm,,M12x1.25\n")
    assert stud(engine).values["hand"].value == "LH"
    assert "hand" not in stud(engine, "RE-2").values


@pytest.mark.parametrize(
    ("sex", "reads", "told"),
    [
        ("female", "od", "its od reads 14.000 mm, which no female"),
        ("male", "minor", "its minor reads 14.000 mm, which"),
    ],
)
def test_a_diameter_that_the_sex_does_not_have_is_a_conflict_and_stops_no_sheet(
    engine: Engine, fill: Fill, sex: str, reads: str, told: str
) -> None:
    head = f"rod-end,name,sitting,units,shank.sex,shank.{reads},shank.pitch,shank.thread\n"
    fill(head + f"RE-1,one,T1,mm,{sex},14.00,1.5,\nRE-2,two,T1,mm,{sex},14.00,1.5,M14x1.5-RH\n")
    with engine.connect() as connection:
        for name in ("RE-1", "RE-2"):
            shank = Book(connection).find(name).features["shank"]
            assert shank.get("thread") is None
            assert told in shank.gaps["thread"]


def test_diameter_and_pitch_identify_the_thread_and_one_alone_does_not(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.od,stud.pitch\nRE-1,,,T1,mm,,11.90,1.25 @pitch-gauge\nRE-2,,,T1,mm,,13.90,\n")
    found = stud(engine).values["thread"]
    assert (found.value, found.basis) == ("M12x1.25", Basis.IDENTIFIED)
    assert "thread" not in stud(engine, "RE-2").values
    assert stud(engine, "RE-2").gaps["thread"].startswith("undecided: M14")


def test_a_name_that_its_diameter_contradicts_is_a_conflict(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.thread,stud.od\nRE-1,,,T1,mm,,M14x1.5-RH,14.26\n")
    assert stud(engine).gaps["thread"].startswith("in conflict: named M14x1.5 (bench), but its od reads 14.26")
    assert "thread" not in stud(engine).values


def test_a_callipered_cone_is_identified_only_where_the_odds_allow(engine: Engine, fill: Fill) -> None:
    fill(
        HEAD + "stud.large,stud.small,stud.length\nRE-1,,,T1,mm,,15.00,13.25,17.5\nRE-2,,,T1,mm,,15.00,14.35,5\n",
    )
    found = stud(engine).values["taper"]
    assert (found.number, found.basis) == (pytest.approx(0.1), Basis.IDENTIFIED)
    assert "taper" not in stud(engine, "RE-2").values
    assert stud(engine, "RE-2").gaps["taper"].startswith("undecided")


def test_a_ratio_written_down_without_its_doubt_proves_nothing(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.taper\nRE-1,,,T1,mm,,1:10\nRE-2,,,T3,mm,,1:10\nRE-3,,,T4,mm,,1:10\n")
    assert stud(engine).gaps["taper"].startswith("1:10 is written down without its doubt")
    assert stud(engine, "RE-2").values["taper"].basis is Basis.STATED
    assert stud(engine, "RE-3").values["taper"].hearsay


def test_a_gauge_trial_makes_the_cone_the_standards(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.gauge-trial\nRE-1,,,T1,mm,,pass gauge 1:8\nRE-2,,,T1,mm,,fail gauge 1:8\n")
    assert (stud(engine).values["taper"].number, stud(engine).values["taper"].basis) == (0.125, Basis.TRIAL)
    assert "taper" not in stud(engine, "RE-2").values


def test_a_failed_trial_stands_against_one_that_passed(engine: Engine, fill: Fill) -> None:
    fill(
        HEAD + "stud.seat-trial\nRE-1,,,T1,mm,,pass with OWN/KN-1 eye contact 76 %\n"
        "RE-1,,,T2,mm,,fail with OWN/KN-1 eye contact 90 %\n"
        "RE-2,,,T1,mm,,pass with OWN/KN-1 eye\nRE-2,,,T4,mm,,fail with OWN/KN-1 eye\n",
        KNUCKLE,
    )
    assert [trial.passed for trial in stud(engine).trials] == [False]
    assert [trial.passed for trial in stud(engine, "RE-2").trials] == [True]


def test_a_trial_holds_for_the_one_that_was_tried(engine: Engine, fill: Fill) -> None:
    fill(
        HEAD + "stud.seat-trial,stud.gauge-trial\nRE-1,,RE-1a,T1,mm,,pass with OWN/KN-1 eye,pass gauge 1:8\n"
        "RE-2,,,T1,mm,,pass with OWN/KN-1 eye,pass gauge 1:8\n",
        "item,part\nRE-2a,RE-2\n",
        KNUCKLE,
    )
    with engine.connect() as connection:
        found = {name: Book(connection).find(name).features["stud"] for name in ("RE-1", "RE-1a", "RE-2", "RE-2a")}
    kinds = {name: sorted(trial.dimension for trial in feature.trials) for name, feature in found.items()}
    both, gauge = ["gauge-trial", "seat-trial"], ["gauge-trial"]
    assert kinds == {"RE-1": [], "RE-1a": both, "RE-2": both, "RE-2a": gauge}
    assert "taper" not in found["RE-1"].values
    assert {found[name].values["taper"].number for name in ("RE-1a", "RE-2", "RE-2a")} == {0.125}


def test_right_as_left_is_copied_and_flagged(engine: Engine, fill: Fill) -> None:
    fill(
        "rack,sitting,units,bar-end.left.thread,bar-end.left.depth,bar-end.right.as-left\nRK-1,T1,mm,M14x1.5-RH,25,yes\n"
    )
    with engine.connect() as connection:
        right = Book(connection).find("RK-1").features["bar-end.right"]
    assert right.values["depth"].number == 25
    assert right.values["depth"].assumed
    assert right.values["thread"].source == "assumed as left (bench)"


def test_the_item_in_hand_speaks_before_its_design(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large,stud.small\nRE-1,,,T3,mm,,15.00,13\nRE-1,,RE-1a,T1,mm,used,14.80,\n")
    with engine.connect() as connection:
        own = Book(connection).find("RE-1a").features["stud"].values
    assert (own["large"].number, own["small"].number) == (14.80, 13.0)
    assert stud(engine).values["large"].number == 15.00


def test_a_withdrawn_reading_is_out_of_force_and_stays_on_record(engine: Engine, fill: Fill) -> None:
    sheet = HEAD + "stud.large\nRE-1,,,T1,mm,,15.00\nRE-1,,,T2,mm,,15.90\n"
    fill(sheet)
    assert "large" in stud(engine).gaps
    with engine.connect() as connection:
        wrong = connection.execute(sa.text("SELECT uid FROM reading WHERE entered = '15.90'")).scalar_one()
    with writing(engine) as pen:
        pen.withdraw(pen.reading(wrong[:8]), "read the wrong scale", "CD")
    assert stud(engine).values["large"].number == 15.0
    assert fill(sheet) == {}
    assert stud(engine).values["large"].number == 15.0


def test_derived_data_dropped_and_rebuilt_are_identical(engine: Engine, fill: Fill) -> None:
    fill(
        HEAD + "stud.large,stud.small,stud.length,stud.thread,shank.thread,shank.sex\n"
        "RE-1,,,T1,mm,,15.00,13.25,17.5,M12x1.25-RH,M14x1.5-LH,female\nRE-1,,RE-1a,T2,mm,,15.01,,,,,\n",
        "vehicle,sitting,body.wheelbase [mm]\nV-1,T1,2110\n",
    )
    with engine.begin() as connection:
        before = derived_rows(connection)
        assert len(before["adopted"]) >= 9
        assert len(before["end_summary"]) == 2
        connection.execute(sa.text("DELETE FROM adopted"))
        connection.execute(sa.text("DELETE FROM end_summary"))
        derive_all(connection)
        assert derived_rows(connection) == before
    assert verify(engine) == []


def test_verify_finds_and_mends_a_derived_value_that_was_tampered_with(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nRE-1,,,T1,mm,,15.00\n")
    with engine.begin() as connection:
        connection.execute(sa.text("UPDATE adopted SET number = 99"))
    assert verify(engine) == ["2 rows of adopted are not what the readings give"]
    assert verify(engine, mend=True) == ["2 rows of adopted are not what the readings give; mended"]
    assert verify(engine) == []


def test_verify_finds_and_mends_a_derived_value_that_is_there_twice(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nRE-1,,,T1,mm,,15.00\n")
    with engine.begin() as connection:
        table = sa.Table("adopted", sa.MetaData(), autoload_with=connection)
        names = [column.name for column in table.columns if column.name != "id"]
        connection.execute(sa.insert(table).from_select(names, sa.select(*[table.c[name] for name in names])))
    assert verify(engine, mend=True) == ["1 row of adopted is not what the readings give; mended"]
    assert verify(engine) == []


def test_people_read_the_views(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large,stud.thread\nRE-1,long one,,T1,mm,,15.00,M12x1.25-RH\n")
    with engine.connect() as connection:
        rows = connection.execute(
            sa.text("SELECT reference, dimension, shown, unit, basis, source FROM taper_sizes")
        ).all()
        assert [tuple(row) for row in rows] == [("OWN/RE-1", "large", "15.000 mm", "mm", "measured", "bench, calliper")]
        for view in ("racks", "tie_rods", "rod_ends", "thread_pitches", "mounting_patterns"):
            connection.execute(sa.text(f"SELECT * FROM {view}")).all()


def test_values_of_a_feature_are_told_by_its_own_readings_only() -> None:
    assert adopted_values({"stud": "stud"}, []) == []


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ("pass gauge 1:8; pass gauge 1:10,,T1", "in conflict: a gauge of 1:8 passed, but also one of 1:10"),
        ("pass gauge 1:8,1:10,T3", "in conflict: a gauge of 1:8 passed, but also 1:10 is recorded"),
        (
            "pass gauge 1:8,1:8; 1:10,T3",
            "in conflict: a gauge of 1:8 passed, but also what is written is in conflict: ",
        ),
        ("fail gauge 1:10,1:10,T3", "in conflict: 1:10 (workshop manual), but a gauge of 1:10 failed"),
        (",1:10 @calliper,T1", "1:10 is written down without its doubt"),
    ],
)
def test_cones_that_contradict_are_not_in_force(engine: Engine, fill: Fill, cells: str, told: str) -> None:
    trial, taper, sitting = cells.split(",")
    fill(f"rod-end,sitting,stud.gauge-trial,stud.taper\nRE-1,{sitting},{trial},{taper}\n")
    assert stud(engine).gaps["taper"].startswith(told)


def test_a_pitch_that_contradicts_the_name_is_a_conflict(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.thread,stud.pitch\nRE-1,,,T1,mm,,M14x1.5-RH,1.411 @pitch-gauge\n")
    assert stud(engine).gaps["thread"].startswith("in conflict: named M14x1.5 (bench), but its pitch reads 1.411 mm")


def test_of_two_blueings_the_poorer_holds(engine: Engine, fill: Fill) -> None:
    fill(
        HEAD + "stud.seat-trial\n"
        "RE-1,,,T1,mm,,pass with KN-1 eye contact 85 %; pass with KN-1 eye contact 20 %; pass with KN-1 eye\n",
        KNUCKLE,
    )
    assert [(trial.against, trial.contact) for trial in stud(engine).trials] == [("OWN/KN-1 eye", 0.2)]


def test_a_document_cannot_have_tried_two_parts(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.seat-trial\nRE-1,,,T3,mm,,pass with KN-1 eye contact 85 %\n", KNUCKLE)
    assert [trial.use.hearsay for trial in stud(engine).trials] == [True]


def test_a_worn_or_welded_item_comes_with_a_caution(engine: Engine, fill: Fill) -> None:
    fill("rod-end\nRE-1\n", "item,part,condition,welds\nRE-1a,RE-1,worn,repair\nRE-1b,RE-1,used,none\n")
    with engine.connect() as connection:
        book = Book(connection)
        assert book.find("RE-1b").cautions == ()
        assert book.find("RE-1a").cautions == (
            "OWN/RE-1a is recorded as worn: have it looked at before it is used.",
            "OWN/RE-1a: welds are recorded as repair. Ask the certifier before anything else.",
        )
