"""Upgrades: from every earlier schema, with all that is held; kept as it was first; whole or not at all."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from fitment.catalogue import database
from fitment.catalogue.book import open_catalogue
from fitment.catalogue.database import open_engine
from fitment.catalogue.exchange.rows import content_digest
from fitment.catalogue.schema import Base
from fitment.catalogue.schema_number import SCHEMA
from fitment.catalogue.verifying import derived_rows, verify
from fitment.errors import StorageFault
from tests.support.schemas import SCHEMAS, back_to
from tests.support.shop import Shop, open_shop


@pytest.fixture
def shop(database_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A shop with readings, one of them withdrawn, and statements of which the last holds."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    made = open_shop(database_url, tmp_path)
    uid = made.readings("RE-2")["shank depth"]
    made.done("reading", "withdraw", uid, "--reason", "wrong end", "--who", "AB", "--value", "31 mm")
    for price in ("9", "11", "10"):
        made.done("item", "add", "RE-1a", "--part", "RE-1", "--price", price)
    return made


def kept(shop: Shop, schema: str) -> Path:
    """Where a catalogue is kept before an upgrade."""
    if shop.url.startswith("sqlite"):
        return Path(shop.url.removeprefix("sqlite:///")).with_name(f"catalogue.schema-{schema}.db")
    name = sa.make_url(shop.url).database
    return shop.folder / "data" / "fitment" / f"{name}.schema-{schema}.sqlite"


def held(shop: Shop) -> tuple[str, dict[str, list[str]]]:
    engine = open_engine(shop.url)
    with engine.connect() as connection:
        told = content_digest(connection), derived_rows(connection)
    engine.dispose()
    return told


@pytest.mark.parametrize("schema", SCHEMAS[:-1])
def test_from_every_earlier_schema_with_all_that_it_holds(
    shop: Shop, schema: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = held(shop)
    engine = open_engine(shop.url)
    back_to(engine, schema)
    engine.dispose()
    told = shop.done("catalogue", "upgrade", "--dry-run", "--json").told
    assert told["catalogue_schema"] == schema
    said = shop.done("catalogue", "upgrade")
    assert said.err.splitlines() == [
        f"fitment: kept the catalogue as it was (schema {schema}) in {kept(shop, schema)}",
        f"fitment: brought the catalogue from schema {schema} to {SCHEMA}",
    ]
    assert held(shop) == before
    engine = open_engine(shop.url)
    assert verify(engine) == []
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), Base.metadata) == []
    engine.dispose()
    with open_catalogue(shop.url) as book:
        assert book.find("RE-1a").stated["price"] == "10"
    # what was kept is a catalogue of the old schema, and comes up just so
    old = Shop(f"sqlite:///{kept(shop, schema)}", shop.folder)
    assert old.done("catalogue", "upgrade", "--dry-run", "--json").told["catalogue_schema"] == schema
    old.done("catalogue", "upgrade")
    assert held(old) == before


def test_what_cannot_be_kept_first_is_not_upgraded(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    engine = open_engine(shop.url)
    back_to(engine, "0003")
    engine.dispose()
    monkeypatch.setattr(database, "_beside", lambda engine, found: shop.folder / "no such folder" / "x.sqlite")
    assert shop("catalogue", "upgrade").code == 74
    assert database.found_schema(shop.url) == "0003"


def test_an_upgrade_that_breaks_off_changes_nothing(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    before = held(shop)
    engine = open_engine(shop.url)
    back_to(engine, "0002")
    engine.dispose()

    def full(_connection: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("fitment.catalogue.derive.derive_all", full)
        with pytest.raises(StorageFault, match="No space left on device"):
            open_engine(shop.url)
    assert database.found_schema(shop.url) == "0002"
    assert held(shop) == before


def test_two_who_upgrade_at_once_do_it_once(shop: Shop) -> None:
    before = held(shop)
    engine = open_engine(shop.url)
    back_to(engine, "0001")
    engine.dispose()
    words = [sys.executable, "-c", "from fitment.cli.main import run; run()", "catalogue", "upgrade", "--db", shop.url]
    running = [subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(3)]
    told = [one.communicate() for one in running]
    assert [one.returncode for one in running] == [0, 0, 0], told
    assert held(shop) == before
