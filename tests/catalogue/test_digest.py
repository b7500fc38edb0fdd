"""The digest of what is known is kept step by step, whatever the order, and summed anew by verify."""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import Engine

from fitment.catalogue import digest
from fitment.catalogue.book import Book
from fitment.catalogue.database import create
from fitment.catalogue.importing import import_sheets
from fitment.catalogue.records import writing
from fitment.catalogue.sheet_text import parse_sheet
from fitment.catalogue.verifying import verify
from tests.catalogue.conftest import HEAD, SITTINGS, SOURCES, Fill

FIRST = HEAD + "stud.large\nRE-1,,,T1,mm,,15.00; 15.02\nRE-2,,,T2,mm,,15.20\n"
SECOND = HEAD + "stud.small\nRE-1,,,T1,mm,,13.25\n"


def _stamp(engine: Engine) -> str:
    with engine.connect() as connection:
        told = Book(connection).stamp().digest
        assert told == digest.recounted(connection)
    return told


def test_it_follows_what_is_added_and_withdrawn(engine: Engine, fill: Fill) -> None:
    assert _stamp(engine) == "0" * 64
    fill(FIRST)
    first = _stamp(engine)
    fill(FIRST)
    assert _stamp(engine) == first  # the same sheets again are the same readings
    fill(SECOND)
    both = _stamp(engine)
    assert len({first, both, "0" * 64}) == 3
    with engine.connect() as connection:
        uid = connection.execute(sa.text("SELECT uid FROM reading WHERE dimension = 'small'")).scalar_one()
    with writing(engine) as pen:
        pen.withdraw(pen.reading(uid), "slipped", "AB")
    assert _stamp(engine) == first


def test_what_is_tried_without_keeping_it_changes_nothing(engine: Engine, fill: Fill) -> None:
    fill(FIRST)
    before = _stamp(engine)
    fill(SECOND, dry_run=True)
    assert _stamp(engine) == before


def test_the_order_in_which_sheets_came_does_not_matter(tmp_path: Path) -> None:
    told = []
    for number, sheets in enumerate(((FIRST, SECOND), (SECOND, FIRST))):
        engine = create(f"sqlite:///{tmp_path / f'{number}.sqlite'}")
        for sheet in sheets:
            import_sheets(engine, [parse_sheet(text, "sheet.csv") for text in (SOURCES, SITTINGS, sheet)])
        told.append(_stamp(engine))
        engine.dispose()
    assert told[0] == told[1]


def test_verify_finds_a_reading_that_was_slipped_in_past_the_program(engine: Engine, fill: Fill) -> None:
    fill(FIRST)
    with engine.begin() as connection:
        connection.execute(sa.text("UPDATE reading SET uid = 'another' WHERE number = 15.2"))
    wrong = verify(engine, mend=True)
    assert "the digest is not that of the readings in force; mended" in wrong
    assert verify(engine) == []
