"""A catalogue copied between SQLite and PostgreSQL and back, and kept as a backup: the same rows, or nothing."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
import sqlalchemy as sa

from fitment.catalogue import copying
from fitment.catalogue.copying import Copied, copy
from fitment.catalogue.database import open_engine
from fitment.catalogue.exchange.rows import content_digest
from fitment.catalogue.verifying import derived_rows, verify
from fitment.errors import StorageFault
from tests.support.postgres import Server
from tests.support.shop import Shop, open_shop


@pytest.fixture
def shop(database_url: str, tmp_path: Path) -> Shop:
    """A shop with a kept report and a build."""
    made = open_shop(database_url, tmp_path)
    made.done("build", "add", "B-1", "--kit", made.kit, "--item", "left.rod_end=RE-1a")
    made.keep()
    return made


def held(url: str) -> object:
    engine = open_engine(url)
    assert verify(engine) == []
    with engine.connect() as connection:
        found = content_digest(connection), derived_rows(connection)
        reports = connection.execute(sa.text("SELECT uid, shown FROM report ORDER BY uid")).all()
        row = connection.execute(sa.text("SELECT uid, shop, revision FROM catalogue")).one()
    engine.dispose()
    return found, [tuple(one) for one in reports], tuple(row)


@pytest.mark.server
def test_there_and_back_it_is_the_same_and_goes_on(shop: Shop, postgres_server: Server, tmp_path: Path) -> None:
    before = held(shop.url)
    with postgres_server.fresh_database() as url:
        engine = open_engine(shop.url)
        told = [copy(engine, url)]
        engine.dispose()
        assert held(url) == before
        there = Shop(url, tmp_path)
        engine = open_engine(url)
        told.append(copy(engine, str(tmp_path / "back.sqlite")))
        engine.dispose()
        assert told[0] == told[1]
        back = Shop(f"sqlite:///{tmp_path / 'back.sqlite'}", tmp_path)
        assert held(back.url) == before
        for one in (there, back):  # the next rows get keys of their own
            one.done("reading", "add", "RE-1", "shank", "depth=39 mm", "--sitting", "T-9", "--who", "AB")
            one.done("part", "add", "RE-77", "--kind", "rod-end")
        assert held(url) == held(back.url) != before


def test_a_backup_opens_as_it_was(shop: Shop, tmp_path: Path) -> None:
    before = held(shop.url)
    said = shop.done("catalogue", "backup", tmp_path / "kept.sqlite", "--json").told
    assert said["rows"] > 50
    shop.done("part", "add", "RE-77", "--kind", "rod-end")
    assert held(f"sqlite:///{tmp_path / 'kept.sqlite'}") == before != held(shop.url)
    again = shop("catalogue", "backup", tmp_path / "kept.sqlite")
    assert (again.code, "there is something already" in again.err) == (74, True)
    assert held(f"sqlite:///{tmp_path / 'kept.sqlite'}") == before


def test_a_backup_while_others_write_is_one_state(shop: Shop, tmp_path: Path) -> None:
    stop = threading.Event()

    def write() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            shop("part", "add", f"RE-{100 + number}", "--kind", "rod-end", "--json")

    writer = threading.Thread(target=write)
    writer.start()
    try:
        engine = open_engine(shop.url)
        for number in range(3):
            copy(engine, str(tmp_path / f"{number}.sqlite"))
        engine.dispose()
    finally:
        stop.set()
        writer.join()
    for number in range(3):
        kept = open_engine(str(tmp_path / f"{number}.sqlite"))
        assert verify(kept) == []
        with kept.connect() as connection:
            parts = connection.execute(sa.text("SELECT count(*) FROM part WHERE ref LIKE 'RE-1__'")).scalar_one()
            revision = connection.execute(sa.text("SELECT revision FROM catalogue")).scalar_one()
        kept.dispose()
        assert revision == parts + 2  # the sheets, the build, and one for each part


@pytest.mark.server
def test_a_place_where_something_is_is_refused_and_stays(shop: Shop, postgres_server: Server, tmp_path: Path) -> None:
    engine = open_engine(shop.url)
    with postgres_server.fresh_database() as url:
        other = sa.create_engine(url)
        with other.begin() as connection:
            connection.execute(sa.text("CREATE TABLE mine (x INTEGER)"))
        with pytest.raises(StorageFault, match="the database is not empty"):
            copy(engine, url)
        assert sa.inspect(other).get_table_names() == ["mine"]
        other.dispose()
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(StorageFault, match="there is something already"):
        copy(engine, str(tmp_path / "mine.txt"))
    assert (tmp_path / "mine.txt").read_text() == "mine"
    engine.dispose()


@pytest.mark.server
def test_a_copy_that_does_not_read_back_the_same_is_not_kept(
    shop: Shop, postgres_server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = iter([Copied(10, "a"), Copied(10, "b")])
    monkeypatch.setattr(copying, "_told", lambda connection: next(told))
    engine = open_engine(shop.url)
    with postgres_server.fresh_database() as url:
        with pytest.raises(StorageFault, match="does not read back"):
            copy(engine, url)
        other = sa.create_engine(url)
        assert sa.inspect(other).get_table_names() == []
        other.dispose()
    engine.dispose()


def test_dry_runs_and_faults_leave_nothing(shop: Shop, tmp_path: Path) -> None:
    there = set(tmp_path.iterdir())
    assert "would keep" in shop.done("catalogue", "backup", tmp_path / "x.sqlite", "--dry-run").out
    assert shop("catalogue", "backup", tmp_path / "no folder" / "x.sqlite").code == 74
    assert {path for path in tmp_path.iterdir() if "catalogue" not in path.name} <= there
