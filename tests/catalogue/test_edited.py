"""Verify finds what was changed past the program, mends what is derived, and never mends a reading."""

from __future__ import annotations

from pathlib import Path

import pytest
import sqlalchemy as sa

from fitment.catalogue.database import open_engine
from fitment.catalogue.exchange.rows import stored
from fitment.catalogue.verifying import verify
from tests.support.shop import Shop, open_shop


@pytest.fixture
def shop(database_url: str, tmp_path: Path) -> Shop:
    return open_shop(database_url, tmp_path)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ("UPDATE reading SET number = 51 WHERE number = 38", 'has the value 51, which its text "38" does not say'),
        ("UPDATE reading SET word = 'LH' WHERE word = 'RH'", 'has the value LH, which its text "RH" does not say'),
        ("UPDATE reading SET entered = '51', number = 51 WHERE number = 38", "its id was made of other words"),
        ("UPDATE reading SET condition = 'used'", "its id was made of other words"),
        ("UPDATE statement SET text = 'new' WHERE text = 'used'", "its id was made of other words"),
        ("UPDATE part SET ref = 'RE-9' WHERE ref = 'RE-1'", "part NORTH/RE-9 was changed after it was kept"),
    ],
)
def test_what_was_changed_by_hand_is_told_and_not_mended(shop: Shop, change: str, told: str) -> None:
    engine = open_engine(shop.url)
    assert verify(engine) == []
    with engine.begin() as connection:
        connection.execute(sa.text(change))
    verify(engine, mend=True)
    assert any(told in line for line in verify(engine))
    engine.dispose()
    assert shop("catalogue", "verify", "--mend").code == 1


def test_every_record_is_looked_at_however_few_are_held_at_once(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    engine = open_engine(shop.url)
    with engine.connect() as connection:
        every = list(stored(connection, "reading"))
        monkeypatch.setattr("fitment.catalogue.exchange.rows._READ_AT_ONCE", 1)
        assert sorted(uid for uid, _ in stored(connection, "reading")) == sorted(uid for uid, _ in every)
    assert len(every) > 1
    assert verify(engine) == []
    with engine.begin() as connection:
        connection.execute(sa.text("UPDATE reading SET condition = 'used'"))
    assert sum("its id was made of other words" in line for line in verify(engine)) == len(every)
    engine.dispose()


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE adopted SET number = 51 WHERE number = 38",
        "DELETE FROM adopted",
        "DELETE FROM end_summary",
        "UPDATE end_summary SET near_key = 'M99'",
        "UPDATE catalogue SET digest = 'abc'",
    ],
)
def test_what_is_derived_is_mended_on_request_alone(shop: Shop, change: str) -> None:
    engine = open_engine(shop.url)
    with engine.begin() as connection:
        connection.execute(sa.text(change))
    engine.dispose()
    for _ in range(2):
        assert shop("catalogue", "verify").code == 1
    assert "; mended" in shop.done("catalogue", "verify", "--mend").out
    shop.done("catalogue", "verify")


def test_a_row_that_names_none_is_told(tmp_path: Path) -> None:
    shop = open_shop(f"sqlite:///{tmp_path / 'x.sqlite'}", tmp_path)
    engine = open_engine(shop.url)
    with engine.connect() as connection:
        connection.exec_driver_sql("COMMIT")
        connection.exec_driver_sql("PRAGMA foreign_keys=OFF")
        connection.exec_driver_sql("BEGIN")
        connection.execute(sa.text("DELETE FROM fitted_to"))
        connection.execute(sa.text("DELETE FROM sitting"))
        connection.commit()
    engine.dispose()
    said = shop("catalogue", "verify")
    assert said.code == 1
    assert "a row of reading names a row of sitting that is not there" in said.out
