"""A person's decision on a conflict: what it settles, what brings the conflict back, what is refused; kept for good."""

from __future__ import annotations

from pathlib import Path

import pytest
import sqlalchemy as sa
from sqlalchemy.engine import Engine

from fitment.catalogue.book import Book
from fitment.catalogue.database import create
from fitment.catalogue.deciding import Settled, decide
from fitment.catalogue.exporting import export_folder
from fitment.catalogue.importing import import_files
from fitment.catalogue.records import writing
from fitment.catalogue.verifying import derived_rows, verify
from fitment.errors import DataFault, FitmentError, NotFoundFault
from fitment.finding import Basis
from fitment.joints.registration import Feature
from tests.catalogue.conftest import HEAD, Fill

REASON = "the other was read over paint"


def stud(engine: Engine, name: str = "RE-1") -> Feature:
    with engine.connect() as connection:
        return Book(connection).find(name).features["stud"]


def uid(engine: Engine, entered: str) -> str:
    with engine.connect() as connection:
        query = sa.text("SELECT uid FROM reading WHERE entered = :entered")
        return str(connection.execute(query, {"entered": entered}).scalars().one())


def settle(engine: Engine, entered: list[str], dimension: str = "large", of: str = "RE-1") -> Settled:
    with writing(engine) as pen:
        return decide(pen, of, "stud", dimension, [uid(engine, one)[:10] for one in entered], REASON, "AB")


@pytest.fixture
def torn(fill: Fill) -> None:
    """RE-1 whose stud two readings of 15.0 say to be other than one of 15.6."""
    fill(HEAD + "stud.large\nRE-1,,,T1,mm,,15.00\nRE-1,,,T2,mm,,15.02\nRE-1,,,T3,mm,,15.60\n")


@pytest.mark.usefixtures("torn")
def test_what_is_taken_holds_and_the_value_says_who_decided_and_why(
    engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    assert stud(engine).gaps["large"].startswith("in conflict")
    settled = settle(engine, ["15.00", "15.02"])
    assert (settled.of, settled.decision.aside) == ("OWN/RE-1", {uid(engine, "15.60")})
    large = stud(engine).values["large"]
    assert 15.0 < large.number < 15.02
    assert large.basis is Basis.MEASURED
    assert large.source.endswith(f"; decided by AB on 2026-05-28: {REASON}")
    assert verify(engine) == []


@pytest.mark.usefixtures("torn")
def test_a_document_may_be_taken_and_stays_a_document(engine: Engine) -> None:
    settle(engine, ["15.60"])
    assert (stud(engine).values["large"].number, stud(engine).values["large"].basis) == (15.6, Basis.STATED)


@pytest.mark.usefixtures("torn")
def test_a_later_reading_agrees_or_brings_the_conflict_back(engine: Engine, fill: Fill) -> None:
    settle(engine, ["15.00", "15.02"])
    before = stud(engine).values["large"]
    fill(HEAD + "stud.large\nRE-1,,,T1,mm,,15.01 @micrometer\n")
    after = stud(engine).values["large"]
    assert (after.u or 0.0) < (before.u or 0.0)
    fill(HEAD + "stud.large\nRE-1,,,T3,mm,,15.61\n")
    gap = stud(engine).gaps["large"]
    assert gap.startswith("in conflict")
    assert "15.61" in gap


@pytest.mark.usefixtures("torn")
def test_the_last_decision_holds_and_one_whose_readings_are_withdrawn_does_not(engine: Engine) -> None:
    settle(engine, ["15.00", "15.02"])
    settle(engine, ["15.60"])
    assert stud(engine).values["large"].number == 15.6
    with writing(engine) as pen:
        pen.withdraw(pen.reading(uid(engine, "15.60")), "another part", "AB")
    # the first one holds again: its readings are in force
    assert 15.0 < stud(engine).values["large"].number < 15.02
    with writing(engine) as pen:
        for entered in ("15.00", "15.02"):
            pen.withdraw(pen.reading(uid(engine, entered)), "another part", "AB")
    assert "large" not in stud(engine).values


@pytest.mark.usefixtures("torn")
@pytest.mark.parametrize(
    ("taken", "dimension", "fault", "told"),
    [
        (["15.00", "15.60"], "large", DataFault, "OWN/RE-1 stud large is not settled by those readings: in conflict"),
        (["15.00"], "small", NotFoundFault, "OWN/RE-1 stud small has no readings"),
        (["13.1"], "large", DataFault, "does not bear on OWN/RE-1 stud large, or is withdrawn"),
        (["17.5"], "length", DataFault, r"OWN/RE-1 stud length is not in conflict: 17.500 mm \(bench, calliper\)"),
    ],
)
def test_what_is_refused(
    engine: Engine, fill: Fill, taken: list[str], dimension: str, fault: type[FitmentError], told: str
) -> None:
    fill(HEAD + "stud.small,stud.length\nRE-2,,,T1,mm,,13.1,\nRE-1,,,T1,mm,,,17.5\n")
    with pytest.raises(fault, match=told):
        settle(engine, taken, dimension)
    with engine.connect() as connection:
        assert connection.execute(sa.text("SELECT count(*) FROM decision")).scalar_one() == 0


@pytest.mark.usefixtures("torn")
def test_hearsay_that_is_taken_stays_hearsay(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nRE-1,,,T4,mm,,15.3\n")
    settle(engine, ["15.3"])
    assert stud(engine).values["large"].hearsay


def test_a_thread_that_its_diameter_contradicts_is_decided_either_way(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.thread,stud.od,stud.pitch\nRE-1,,,T1,mm,,M14x1.5-RH,11.90,1.25 @pitch-gauge\n")
    assert stud(engine).gaps["thread"].startswith("in conflict: named M14x1.5")
    settle(engine, ["M14x1.5-RH"], "thread")
    assert stud(engine).values["thread"].value == "M14x1.5"
    assert stud(engine).values["od"].number == 11.9
    settle(engine, ["11.90", "1.25 @pitch-gauge"], "thread")
    thread = stud(engine).values["thread"]
    assert (thread.value, thread.basis) == ("M12x1.25", Basis.IDENTIFIED)
    assert stud(engine).values["hand"].value == "RH"


def test_a_cone_is_decided_between_a_gauge_and_a_drawing(engine: Engine, fill: Fill) -> None:
    fill(
        "rod-end,sitting,stud.gauge-trial,stud.taper\nRE-1,T1,pass gauge 1:8,\nRE-1,T3,,1:10\n",
    )
    assert stud(engine).gaps["taper"].startswith("in conflict: a gauge of 1:8 passed, but also 1:10 is recorded")
    settle(engine, ["1:10"], "taper")
    assert (stud(engine).values["taper"].number, stud(engine).values["taper"].basis) == (0.1, Basis.STATED)
    settle(engine, ["pass gauge 1:8"], "taper")
    assert (stud(engine).values["taper"].number, stud(engine).values["taper"].basis) == (0.125, Basis.TRIAL)


def test_an_items_own_conflict_is_its_own(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nRE-1,,RE-1a,T1,mm,,15.00\nRE-1,,RE-1a,T3,mm,,15.60\nRE-1,,,T1,mm,,15.01\n")
    settle(engine, ["15.00"], of="RE-1a")
    assert stud(engine, "RE-1a").values["large"].number == 15.0
    assert stud(engine).values["large"].source == "bench, calliper"


@pytest.mark.usefixtures("torn")
def test_decisions_change_the_digest_and_raise_the_revision(engine: Engine) -> None:
    with engine.connect() as connection:
        before = Book(connection).stamp()
    settle(engine, ["15.00", "15.02"])
    with engine.connect() as connection:
        after = Book(connection).stamp()
    assert after.digest != before.digest
    assert after.revision == before.revision + 1
    settle(engine, ["15.00", "15.02"])
    with engine.connect() as connection:
        assert Book(connection).stamp() == after
        assert connection.execute(sa.text("SELECT count(*) FROM decision")).scalar_one() == 1


@pytest.mark.usefixtures("torn")
def test_decisions_go_out_and_in_with_the_sheets(engine: Engine, tmp_path: Path) -> None:
    settle(engine, ["15.00", "15.02"])
    settle(engine, ["15.60"])
    with engine.connect() as connection:
        files = export_folder(connection, tmp_path / "out")
        derived = derived_rows(connection)
    other = create(f"sqlite:///{tmp_path / 'other.sqlite'}")
    assert import_files(other, files).added["decision"] == 2
    assert sum(import_files(other, files).added.values()) == 0
    assert stud(other).values["large"].number == 15.6
    with other.connect() as connection:
        assert derived_rows(connection) == derived
    assert verify(other) == []
    other.dispose()
