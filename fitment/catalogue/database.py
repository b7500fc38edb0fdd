"""Opening the database: where it is, its pragmas, its schema, and faults in one clear line.

Alembic is imported only when the schema differs from the program's.
"""

from __future__ import annotations

import os
import sqlite3
import sys
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from fitment.catalogue.place import as_url, default_url, not_answered, sqlite_file, without_password
from fitment.catalogue.schema_number import SCHEMA
from fitment.errors import NotFoundFault, StorageFault, UsageFault
from fitment.shipped import shipped

#: option of a connection that means to write
WRITES = "fitment_writes"
#: of every file of SQLite (its file format, 1.3)
_FIRST_BYTES = b"SQLite format 3\0"


def _tune(connection: Any, _record: Any) -> None:
    if isinstance(connection, sqlite3.Connection):
        connection.isolation_level = None  # we begin transactions ourselves, so that DDL is inside them too
        # 64 MiB of pages: what a large import writes to is not read back from the file again and again
        for pragma in ("foreign_keys=ON", "busy_timeout=10000", "synchronous=FULL", "cache_size=-65536"):
            connection.execute(f"PRAGMA {pragma}")


def log_ahead(connection: Any, _record: Any) -> None:
    """A new file keeps its journal ahead; the file remembers it, so that opening another never changes it."""
    connection.execute("PRAGMA journal_mode=WAL")


def _told(error: Exception, url: str) -> str:
    """The first line of an error, which may hold the URL as it was given."""
    return str(error).splitlines()[0].replace(url, without_password(url))


def make_engine(url: str) -> Engine:
    """An engine whose SQLite connections hold foreign keys, wait when busy and begin explicitly."""
    try:
        # a statement of thousands of rows takes megabytes as long as it is kept
        kept = {"cached_statements": 16} if sa.make_url(url).get_backend_name() == "sqlite" else {}
        engine = sa.create_engine(url, connect_args=kept)
    except (sa.exc.ArgumentError, ModuleNotFoundError) as error:
        raise UsageFault(
            f'"{without_password(url)}" names no database that can be opened: {_told(error, url)}',
            mending="name an SQLite file, or postgresql+psycopg://HOST/NAME (with the extra postgres installed)",
            code="db-06",
        ) from None
    if engine.dialect.name not in ("sqlite", "postgresql"):
        raise UsageFault(f"{engine.dialect.name} is not supported", mending="SQLite or PostgreSQL", code="db-06")
    sa.event.listen(engine, "connect", _tune)
    if engine.dialect.name == "sqlite":
        sa.event.listen(engine, "begin", _begin)
    return engine


def _begin(connection: Connection) -> None:
    """Begins; who means to write takes the lock at once, since what was read before could be out of date by then."""
    writes = connection.get_execution_options().get(WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def schema_of(connection: Connection) -> str | None:
    """The schema of a catalogue; None where the database holds none."""
    if not sa.inspect(connection).has_table("alembic_version"):
        return None
    return connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar()


def migrate(connection: Connection, to: str = "head") -> None:
    """Brings a database to a schema, in the connection's transaction."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(shipped("migrations")))
    config.attributes["connection"] = connection
    command.upgrade(config, to)


def _first_row(connection: Connection, shop: str, uid: str) -> None:
    connection.execute(
        sa.text("INSERT INTO catalogue (id, uid, shop, revision) VALUES (1, :uid, :shop, 0)"),
        {"uid": uid, "shop": shop},
    )


def create(url: str, shop: str = "OWN", uid: str | None = None) -> Engine:
    """A new, empty catalogue at `url`, of the shop whose references need no prefix; its id is new unless given.

    Raises:
        StorageFault: if there is one already, or the place cannot be written.
    """
    file = sqlite_file(url)
    if file is not None:
        if file.exists():
            raise _there_already(file)
        with storage_faults(url):
            file.parent.mkdir(parents=True, exist_ok=True)
            return _created_file(file, shop, uid)
    free_place(url)
    engine = make_engine(url)
    with storage_faults(url), engine.begin() as connection:
        migrate(connection)
        _first_row(connection, shop, uid or str(uuid.uuid4()))
    return engine


def _there_already(file: Path) -> StorageFault:
    return StorageFault("a catalogue is there already", place=str(file), mending="name another file")


def _created_file(file: Path, shop: str, uid: str | None) -> Engine:
    """A new catalogue, made beside its place: whoever is stopped in between leaves nothing half made under its name."""
    aside = file.with_name(f".{file.name}.{os.getpid()}.part")
    engine = make_engine(f"sqlite:///{aside}")
    sa.event.listen(engine, "connect", log_ahead)
    try:
        with engine.begin() as connection:
            migrate(connection)
            _first_row(connection, shop, uid or str(uuid.uuid4()))
        engine.dispose()
        try:
            os.link(aside, file)  # unlike a renaming, never over a catalogue that another process made meanwhile
        except FileExistsError:
            raise _there_already(file) from None
        except OSError:  # a file system without hard links
            aside.rename(file)
    finally:
        engine.dispose()
        for left in (aside, *(aside.with_name(f"{aside.name}{end}") for end in ("-wal", "-shm", "-journal"))):
            left.unlink(missing_ok=True)
    return make_engine(f"sqlite:///{file}")


def free_place(url: str) -> None:
    """Refuses a place where a catalogue cannot be made because something is there.

    Raises:
        StorageFault: there is.
    """
    file = sqlite_file(url)
    if file is not None:
        if file.exists():
            raise _there_already(file)
        return
    engine = make_engine(url)
    try:
        with storage_faults(url), engine.connect() as connection:
            if schema_of(connection) is not None:
                raise StorageFault(
                    "a catalogue is there already",
                    place=engine.url.render_as_string(hide_password=True),
                    mending="name another database",
                )
    finally:
        engine.dispose()


def open_engine(url: str | None) -> Engine:
    """The engine of an existing catalogue; the default one is made on first use, which stderr is told.

    Raises:
        NotFoundFault: a named file is not there (never created by opening it).
        StorageFault: not a catalogue, newer than this program, or out of reach.
    """
    if url is None and "FITMENT_DB" not in os.environ:
        file = sqlite_file(default_url())
        if file is not None and not file.exists():
            print(f"fitment: made an empty catalogue at {file}", file=sys.stderr)
            return create(default_url())
    engine, found = _opened(url)
    if found != SCHEMA:
        try:
            _upgrade(engine)
        except BaseException:
            engine.dispose()
            raise
    return engine


def found_schema(url: str | None) -> str:
    """The schema of an existing catalogue, which stays as it is.

    Raises:
        NotFoundFault, StorageFault: as `open_engine`.
    """
    engine, found = _opened(url)
    engine.dispose()
    return found


def _opened(url: str | None) -> tuple[Engine, str]:
    """The engine of an existing catalogue and its schema, at most this program's."""
    url = as_url(url) if url is not None else default_url()
    file = sqlite_file(url)
    if file is not None and not file.is_file():
        raise NotFoundFault(
            "no catalogue there",
            place=str(file),
            mending="name an existing file with --db, or make one: fitment catalogue create",
            code="db-01",
        )
    if file is not None:
        _is_database(file)
    engine = make_engine(url)
    with storage_faults(url), engine.connect() as connection:
        found = schema_of(connection)
    if found is None or found > SCHEMA:
        engine.dispose()
    if found is None:
        raise StorageFault(
            "this is a database, but not a catalogue of parts",
            place=without_password(url),
            mending="name another with --db",
            code="db-02",
        )
    if found > SCHEMA:
        raise StorageFault(
            f"the catalogue has schema {found}, newer than this program's {SCHEMA}",
            place=without_password(url),
            mending="install a newer fitment",
            code="db-03",
        )
    return engine, found


def _upgrade(engine: Engine) -> None:
    """Brings a catalogue to this program's schema, after keeping it as it was; all of it or nothing.

    Raises:
        StorageFault: the backup cannot be written, or the database did not answer; the catalogue is as it was.
    """
    from fitment.catalogue.copying import backup
    from fitment.catalogue.derive import derive_all

    with storage_faults(engine.url.render_as_string(hide_password=False)), engine.begin() as connection:
        # whoever comes second waits here, and finds it done
        connection.execute(sa.text("UPDATE alembic_version SET version_num = version_num"))
        found = str(schema_of(connection))
        if found == SCHEMA:
            return
        kept = _beside(engine, found)
        backup(engine, kept)
        print(f"fitment: kept the catalogue as it was (schema {found}) in {kept}", file=sys.stderr)
        migrate(connection)
        derive_all(connection)  # by the rule of this program, which an older one may not have had
    print(f"fitment: brought the catalogue from schema {found} to {SCHEMA}", file=sys.stderr)


def _beside(engine: Engine, found: str) -> Path:
    """A new name for what is kept before an upgrade: beside the file, or in the user's data folder for a server."""
    file = sqlite_file(str(engine.url))
    if file is None:
        from platformdirs import user_data_path

        file = user_data_path("fitment", ensure_exists=True) / f"{engine.url.database}.sqlite"
    names = (f"{file.stem}.schema-{found}{number}{file.suffix}" for number in ("", *(f"-{n}" for n in range(2, 1000))))
    return next(path for path in map(file.with_name, names) if not path.exists())


def _is_database(file: Path) -> None:
    """Refuses a file that SQLite did not write; SQLite itself would make a database of an empty one.

    Raises:
        StorageFault: it is empty, or something else.
    """
    with storage_faults(f"sqlite:///{file}"), file.open("rb") as content:
        first = content.read(len(_FIRST_BYTES))
    if first != _FIRST_BYTES:
        raise StorageFault(
            f"{'this file is not a database' if first else 'this file is empty'}, so not a catalogue of parts",
            place=str(file),
            mending="name another with --db, or make one: fitment catalogue create",
            code="db-02",
        )


@contextmanager
def storage_faults(url: str) -> Iterator[None]:
    """Turns the driver's exceptions into one clear line."""
    shown = str(sqlite_file(url) or sa.make_url(url).render_as_string(hide_password=True))
    try:
        yield
    except sa.exc.DBAPIError as error:
        raise not_answered(error.orig, shown) from error
    except OSError as error:
        raise StorageFault(f"{error.strerror or error}", place=str(error.filename or shown), code="db-05") from error


@contextmanager
def connected(place: str | None) -> Iterator[Connection]:
    """A connection to the catalogue at a path or URL, for questions; nothing stays open after them.

    Raises:
        NotFoundFault, StorageFault: as `open_engine`; or the database did not answer.
    """
    engine = open_engine(place)
    try:
        with storage_faults(engine.url.render_as_string(hide_password=False)), engine.connect() as connection:
            yield connection
    finally:
        engine.dispose()
