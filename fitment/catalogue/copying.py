"""A whole catalogue copied, row by row, between SQLite and PostgreSQL, or kept as a backup; each copy is read back.

Tables are looked up in the database itself, so that a catalogue of an earlier schema is copied as it is. A copy is the
same catalogue, with the same uid: only one of the two may go on.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from fitment.catalogue.database import log_ahead, make_engine, migrate, schema_of, storage_faults
from fitment.catalogue.place import as_url, not_answered, sqlite_file
from fitment.errors import StorageFault, UsageFault
from fitment.frozen import dataclass

#: rows at once
_BATCH = 1000
#: Alembic's own; migrating writes it
_VERSION = "alembic_version"


@dataclass(frozen=True)
class Copied:
    """What was copied: how many rows of all tables, and the digest that both sides gave."""

    rows: int
    digest: str


def copy(source: Engine, to: str, dry_run: bool = False) -> Copied:
    """Copies a catalogue into a new SQLite file or an empty PostgreSQL database.

    Args:
        to: path or URL.
        dry_run: count and look at the other place, but write nothing.

    Raises:
        StorageFault: something is there already, or cannot be written or read; nothing is left there.
        UsageFault: no such kind of database.
    """
    url = as_url(to)
    file = sqlite_file(url)
    if file is not None:
        if file.exists():
            raise StorageFault("there is something already", place=str(file), mending="name a new file", code="copy-01")
        if dry_run:
            with _snapshot(source) as connection:
                return _told(connection)
        return _into_file(source, file)
    engine = make_engine(url)
    try:
        with storage_faults(url), engine.begin() as target:
            if sa.inspect(target).get_table_names():
                raise StorageFault(
                    "the database is not empty",
                    place=engine.url.render_as_string(hide_password=True),
                    mending="name an empty one: createdb NAME",
                    code="copy-01",
                )
            with _snapshot(source) as connection:
                return _told(connection) if dry_run else _copied(connection, target)
    finally:
        engine.dispose()


def backup(source: Engine, file: Path) -> Copied:
    """Keeps the catalogue as it is now in a new SQLite file; others may go on writing meanwhile.

    Raises:
        StorageFault: there is such a file, or it cannot be written.
    """
    return copy(source, str(file))


def _into_file(source: Engine, file: Path) -> Copied:
    """Writes beside the file and moves it into place, so that nothing half written is ever left under its name."""
    aside = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        with storage_faults(f"sqlite:///{file}"):
            if source.dialect.name == "sqlite":
                return _moved(_same_file(source, aside, file), aside, file)
            engine = make_engine(f"sqlite:///{aside}")
            sa.event.listen(engine, "connect", log_ahead)
            try:
                with engine.begin() as target, _snapshot(source) as connection:
                    told = _copied(connection, target)
            finally:
                engine.dispose()
            return _moved(told, aside, file)
    finally:
        for left in file.parent.glob(f"{aside.name}*"):
            left.unlink(missing_ok=True)


def _moved(told: Copied, aside: Path, file: Path) -> Copied:
    with aside.open("rb+") as content:
        os.fsync(content.fileno())
    if file.exists():  # made by somebody else meanwhile
        raise StorageFault("there is something already", place=str(file), mending="name a new file", code="copy-01")
    aside.replace(file)
    return told


def _same_file(source: Engine, aside: Path, file: Path) -> Copied:
    """SQLite's own backup of one file into another."""
    path = sqlite_file(str(source.url))
    try:
        with closing(sqlite3.connect(f"{path}", timeout=10.0)) as old, closing(sqlite3.connect(aside)) as new:
            old.backup(new)  # all pages at once: one state, whoever else writes
            answer = new.execute("PRAGMA integrity_check").fetchone()[0]
    except sqlite3.Error as error:
        raise not_answered(error, str(file)) from error
    if answer != "ok":
        raise StorageFault(
            f"the file is damaged: {answer}", place=str(path), mending="fitment catalogue verify", code="copy-02"
        )
    engine = make_engine(f"sqlite:///{aside}")
    try:
        with engine.connect() as connection:
            return _told(connection)
    finally:
        engine.dispose()


@contextmanager
def _snapshot(source: Engine) -> Iterator[Connection]:
    """A connection that sees one state of the catalogue until it is done."""
    with storage_faults(source.url.render_as_string(hide_password=False)):
        level = {} if source.dialect.name == "sqlite" else {"isolation_level": "REPEATABLE READ"}
        with source.connect().execution_options(**level) as connection, connection.begin():
            yield connection


def _copied(source: Connection, target: Connection) -> Copied:
    """Makes the tables by the source's own schema, copies every row and compares both sides."""
    found = schema_of(source)
    if found is None:
        raise UsageFault("that is no catalogue", mending="name one", code="db-02")
    migrate(target, found)
    for table in _tables(source):
        rows = source.execution_options(yield_per=_BATCH).execute(sa.select(table))
        for some in rows.mappings().partitions(_BATCH):
            target.execute(sa.insert(table), [dict(row) for row in some])
    if target.dialect.name == "postgresql":
        _go_on_counting(target)
    there, here = _told(source), _told(target)
    if there != here:
        raise StorageFault(
            "what was written does not read back as it was; nothing was kept",
            mending="look at the disk, then do it again",
            code="copy-03",
        )
    return here


def _tables(connection: Connection) -> list[sa.Table]:
    """Every table with rows of ours, those that others name first."""
    metadata = sa.MetaData()
    metadata.reflect(connection)
    return [table for table in metadata.sorted_tables if table.name != _VERSION]


def _go_on_counting(connection: Connection) -> None:
    """The next row gets the next key: copied keys do not move PostgreSQL's counters."""
    for table in _tables(connection):
        if "id" in table.c:
            counter = f"pg_get_serial_sequence('{table.name}', 'id')"
            query = f"SELECT setval({counter}, (SELECT max(id) FROM {table.name})) WHERE {counter} IS NOT NULL"
            connection.execute(sa.text(f"{query} AND EXISTS (SELECT 1 FROM {table.name})"))


def _told(connection: Connection) -> Copied:
    """How many rows there are, and a digest of them all, whatever their order."""
    rows = total = 0
    for table in _tables(connection):
        for row in connection.execution_options(yield_per=_BATCH).execute(sa.select(table)).mappings():
            text = json.dumps([table.name, *sorted((name, _plain(value)) for name, value in row.items())])
            total += int.from_bytes(hashlib.sha256(text.encode()).digest(), "big")
            rows += 1
    return Copied(rows, f"{total % (1 << 256):064x}")


def _plain(value: Any) -> Any:
    """A value as both databases give it: they tell true and false, and whole numbers, apart differently."""
    return float(value) if isinstance(value, bool | int | float) else value
