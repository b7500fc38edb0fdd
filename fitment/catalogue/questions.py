"""Questions put to a catalogue as plain SQL: to a file of SQLite by its own driver, to any other by SQLAlchemy.

To load SQLAlchemy takes a quarter of the time of a check, and a look-up in a file needs none of it. The statements are
the same, with parameters written ``:name``.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitment.catalogue.place import as_url, default_url, not_answered, sqlite_file
from fitment.catalogue.schema_number import SCHEMA

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection

#: one row by the names of its columns
Row = Mapping[str, Any]


class Questions:
    """Puts questions on one connection, which it does not close."""

    def __init__(self, connection: Connection | sqlite3.Connection):
        self._connection = connection

    def rows(self, statement: str, **values: Any) -> list[Row]:
        """The rows that a statement gives with these values of its parameters."""
        found: Any
        if isinstance(self._connection, sqlite3.Connection):
            found = self._connection.execute(statement, values)
        else:
            import sqlalchemy as sa

            found = self._connection.execute(sa.text(statement), values).mappings()
        return list(found)

    def row(self, statement: str, **values: Any) -> Row | None:
        """The one row of a statement that gives at most one; None where it gives none."""
        rows = self.rows(statement, **values)
        return rows[0] if rows else None


@contextmanager
def asked(place: str | None) -> Iterator[Connection | sqlite3.Connection]:
    """A connection to the catalogue at a path or URL, for questions alone.

    A file that is just as this program writes it is opened here; whatever is amiss or another database is for
    `database.connected`, which mends it or says what it is.

    Raises:
        NotFoundFault, StorageFault: as `database.open_engine`; or the database did not answer.
    """
    file = sqlite_file(as_url(place) if place is not None else default_url())
    opened = _opened(file) if file is not None and file.is_file() else None
    if file is None or opened is None:
        from fitment.catalogue.database import connected

        with connected(place) as connection:
            yield connection
        return
    with closing(opened):
        try:
            yield opened
        except sqlite3.Error as error:
            raise not_answered(error, str(file)) from error


def _opened(file: Path) -> sqlite3.Connection | None:
    """The file, open and in one transaction; None where it is no catalogue of this program's schema."""
    connection: sqlite3.Connection | None = None
    try:
        connection = sqlite3.connect(file, timeout=10.0, isolation_level=None)
        connection.execute("PRAGMA query_only=ON")
        connection.execute("BEGIN")
        if connection.execute("SELECT version_num FROM alembic_version").fetchall() == [(SCHEMA,)]:
            connection.row_factory = sqlite3.Row
            return connection
    except sqlite3.Error:
        pass
    if connection is not None:
        connection.close()
    return None
