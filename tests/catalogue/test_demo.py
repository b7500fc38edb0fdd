"""The demo scenario: its sheets go in whole, and each of its kits fails or passes for the reason it is named after.

Source of every value: invented, see data/demo/README.txt. The overlap of M12x1.25 in 1/2-20 UNF is computed from the
limits of ISO 965-2 and ASME B1.1.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy.engine import Engine

from fitment.catalogue.book import open_catalogue
from fitment.catalogue.database import create
from fitment.catalogue.importing import import_files, import_sheets
from fitment.catalogue.schema import Adopted, FittedTo, Part, Reading, Source, Vehicle
from fitment.catalogue.sheet_text import parse_sheet, read_sheet
from fitment.finding import Basis, Verdict
from fitment.kits.check import check
from fitment.kits.kit_file import load_kit
from fitment.kits.report import JointSummary, Report
from fitment.shipped import shipped

DEMO = shipped("demo")
SHEETS = sorted(DEMO.glob("*.csv"))
KITS = sorted(DEMO.glob("kits/*.toml"))

#: kit -> verdict, rule of the first reason, what that reason says
EXPECTED = {
    "seats-by-blueing": (Verdict.FITS, None, ""),
    "screws-fully-home": (
        Verdict.DOES_NOT_FIT,
        "thread-03",
        "M12x1.25 in 1/2-20 UNF screws fully home and holds on 0.08 to 0.32 mm of 0.68 mm",
    ),
    "stud-1-in-10-eye-1-in-8": (Verdict.DOES_NOT_FIT, "cone-02", "1:10 stud in 1:8 eye: tapers differ by 0.0250"),
    "ream-with-metal": (Verdict.FITS_WITH_WORK, "cone-03", "once reamed: the stud stands"),
    "ream-without-metal": (Verdict.DOES_NOT_FIT, "cone-03", "ream does not leave the wall asked (cone-07)"),
    "hand-unknown": (Verdict.NOT_KNOWN, "thread-02", "NORTH/TR-3 outer hand: no reading"),
    "target-only": (Verdict.NOT_KNOWN, "kit-01", "the kit names no rack"),
    "shops-in-conflict": (
        Verdict.NOT_KNOWN,
        "thread-03",
        "in conflict: 9/16-18 UNF (SOUTH bench) against M14x1.5 (NORTH bench, go-gauge)",
    ),
    "listing-only": (Verdict.NOT_KNOWN, "thread-01", "shank sex is only hearsay (listing, rod end for a Nurl)"),
    "right-as-left": (Verdict.NOT_KNOWN, "thread-01", "bar-end.right sex is assumed from the other side"),
}


@pytest.fixture(scope="module")
def engine(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """A catalogue with the demo's sheets in it."""
    database = tmp_path_factory.mktemp("demo") / "catalogue.sqlite"
    made = create(f"sqlite:///{database.as_posix()}", shop="NORTH")
    import_files(made, SHEETS)
    yield made
    made.dispose()


@pytest.fixture(scope="module")
def reports(engine: Engine) -> dict[str, Report]:
    """Every kit's report by the stem of its file."""
    with open_catalogue(engine.url.render_as_string()) as book:
        return {path.stem: check(load_kit(path), book) for path in KITS}


def _all(engine: Engine, statement: sa.Select[Any]) -> list[str]:
    with engine.connect() as connection:
        return list(connection.execute(statement).scalars())


def test_one_target_five_donors_of_four_makers_forty_parts_and_their_readings(engine: Engine) -> None:
    with engine.connect() as connection:
        vehicles = {
            (row.shop, row.ref): row.maker for row in connection.execute(sa.select(sa.inspect(Vehicle).local_table))
        }
        parts = connection.execute(sa.select(sa.func.count(Part.id))).scalar_one()
        readings = connection.execute(sa.select(sa.func.count(Reading.id))).scalar_one()
    target = vehicles.pop(("NORTH", "V-1"))
    assert (len(vehicles), len(set(vehicles.values())), target in vehicles.values()) == (5, 4, False)
    assert parts == 40
    assert readings >= 300


def test_every_kind_of_part_but_the_spherical_rod_end_is_there(engine: Engine) -> None:
    kinds = Counter(_all(engine, sa.select(Part.kind)))
    assert set(kinds) == {
        "rack", "inner-joint", "tie-rod", "rod-end", "knuckle", "intermediate-shaft", "universal-joint", "column",
        "boot", "mount", "crossmember", "adapter",
    }  # fmt: skip


def test_every_maker_is_named_in_the_readme_or_makes_parts_only_and_the_readme_says_all_is_invented(
    engine: Engine,
) -> None:
    readme = (DEMO / "README.txt").read_text(encoding="utf-8")
    assert readme.startswith("Everything here is invented:")
    for maker in _all(engine, sa.select(Vehicle.maker)):
        assert maker in readme
    part_makers = set(_all(engine, sa.select(Part.maker)))
    assert part_makers - set(_all(engine, sa.select(Vehicle.maker))) == {
        "", "NORTH", "Jostrel", "Tibbrow", "Gostrim", "Wexnall",
    }  # fmt: skip


def test_readings_are_of_honest_variety(engine: Engine) -> None:
    assert set(_all(engine, sa.select(Source.kind))) == {
        "own-measurement", "other-measurement", "listing", "memory", "forum", "manual", "catalogue-page", "drawing",
    }  # fmt: skip
    assert set(_all(engine, sa.select(Reading.condition))) == {"", "new", "used", "worn"}
    assert {"inch", "mm"} <= {row.cells.get("units", "") for sheet in SHEETS for row in read_sheet(sheet).rows}
    entered = _all(engine, sa.select(Reading.entered))
    for text in ("12,9 mm", "0.5625 in", "9/16", "1 11/16", "29.4 lb", "17.00 @micrometer", "M14\u00d71,5"):
        assert text in entered
    assert len(set(_all(engine, sa.select(FittedTo.position)))) >= 3


def test_two_posts_that_go_back_to_one_do_not_outweigh_a_measurement(engine: Engine) -> None:
    with engine.connect() as connection:
        travel = connection.execute(
            sa.select(Adopted.number, Adopted.basis, Adopted.gap)
            .join(Part, Part.id == Adopted.part_id)
            .where(Part.ref == "RK-2", Part.shop == "NORTH", Adopted.dimension == "travel")
        ).one()
    assert tuple(travel) == (131.0, "measured", "")
    assert len(set(_all(engine, sa.select(Source.origin).where(Source.kind == "forum")))) == 1


def test_importing_twice_adds_nothing(engine: Engine) -> None:
    assert sum(import_files(engine, SHEETS).added.values()) == 0


def test_every_kit_is_expected_here(reports: dict[str, Report]) -> None:
    assert sorted(reports) == sorted(EXPECTED)


@pytest.mark.parametrize("kit", EXPECTED)
def test_each_kit_has_its_verdict_for_its_reason(reports: dict[str, Report], kit: str) -> None:
    report = reports[kit]
    verdict, rule, because = EXPECTED[kit]
    assert report.verdict is verdict
    if rule is None:
        assert {finding.verdict for finding in report.findings} == {Verdict.FITS}
    else:
        assert report.findings[0].rule == rule
        assert because in report.findings[0].because


def test_each_of_the_four_verdicts_occurs(reports: dict[str, Report]) -> None:
    assert {report.verdict for report in reports.values()} == set(Verdict)


@pytest.mark.parametrize(
    ("kit", "joints"),
    [
        ("seats-by-blueing", set()),
        ("screws-fully-home", {"left.rod-end", "right.rod-end"}),
        ("stud-1-in-10-eye-1-in-8", {"left.stud-eye", "right.stud-eye"}),
        ("ream-with-metal", {"left.stud-eye", "right.stud-eye"}),
        ("ream-without-metal", {"left.stud-eye", "right.stud-eye"}),
        ("hand-unknown", {"left.rod-end", "right.rod-end"}),
        ("shops-in-conflict", {"left.rod-end", "right.rod-end"}),
        ("listing-only", {"left.rod-end", "right.rod-end", "left.stud-eye", "right.stud-eye"}),
        ("right-as-left", {"right.bar-joint"}),
    ],
)
def test_nothing_but_the_intended_joint_spoils_a_kit(reports: dict[str, Report], kit: str, joints: set[str]) -> None:
    assert {joint.id for joint in reports[kit].joints if joint.verdict is not Verdict.FITS} == joints


def test_the_eye_with_metal_is_reamed_and_keeps_its_wall_and_the_slim_one_does_not(reports: dict[str, Report]) -> None:
    for side in ("left", "right"):
        work = [work for joint in _side(reports["ream-with-metal"], side) for f in joint.findings for work in f.work]
        assert [one.operation for one in work] == ["ream"]
        assert work[0].after is not None
        assert work[0].remaining is not None
        # wall of half the hole (common practice, no source)
        assert work[0].remaining >= work[0].after / 2
        slim = [
            f for joint in _side(reports["ream-without-metal"], side) for f in joint.findings if f.rule == "cone-07"
        ]
        assert [f.verdict for f in slim] == [Verdict.DOES_NOT_FIT]


def _side(report: Report, side: str) -> list[JointSummary]:
    return [joint for joint in report.joints if joint.side == side]


def test_the_seat_of_the_passing_kit_rests_on_the_blueing(reports: dict[str, Report]) -> None:
    cones = [finding for finding in reports["seats-by-blueing"].findings if finding.rule == "cone-02"]
    assert [finding.basis for finding in cones] == [Basis.TRIAL, Basis.TRIAL]


def test_without_the_blueing_the_calliper_alone_leaves_the_passing_kit_not_known(tmp_path: Path) -> None:
    ends = DEMO / "rod-end.csv"
    unproved = ends.read_text(encoding="utf-8").replace("stud.seat-trial", "stud.nut-trial")
    sheets = [read_sheet(sheet) for sheet in SHEETS if sheet != ends]
    ends_sheet = parse_sheet(unproved, str(ends))
    assert any("stud.nut-trial" in row.cells for row in ends_sheet.rows)
    for row in ends_sheet.rows:
        row.cells.pop("stud.nut-trial", None)
    ends_sheet.headings.pop("stud.nut-trial")
    engine = create(f"sqlite:///{(tmp_path / 'catalogue.sqlite').as_posix()}", shop="NORTH")
    import_sheets(engine, [ends_sheet, *sheets])
    engine.dispose()
    with open_catalogue(tmp_path / "catalogue.sqlite") as book:
        report = check(load_kit(DEMO / "kits" / "seats-by-blueing.toml"), book)
    assert report.verdict is Verdict.NOT_KNOWN
    assert report.findings[0].rule == "cone-02"


@pytest.mark.parametrize("path", KITS, ids=lambda path: path.stem)
def test_a_kit_names_both_sides_whole_or_only_its_target(path: Path) -> None:
    kit = tomllib.loads(path.read_text(encoding="utf-8"))
    assert kit["target"] == "NORTH/V-1"
    if path.stem != "target-only":
        assert all({"tie_rod", "rod_end", "knuckle"} <= set(kit[side]) for side in ("left", "right"))
        assert "part" in kit["rack"]
