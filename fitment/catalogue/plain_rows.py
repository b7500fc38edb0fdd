"""Many rows into one table at once, as tuples: the driver's own road where it takes them, else by the table."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

#: values of one statement of SQLite, which takes rows a fifth faster so than one by one, and holds up no other thread
#: between them; it allows 32766
_AT_ONCE = 30_000


def insert_rows(
    connection: Connection, table: sa.Table, columns: Sequence[str], rows: Sequence[tuple[Any, ...]]
) -> None:
    """Adds rows.

    Args:
        columns: their columns, in the order of each row; those left out are empty or numbered by the database.
        rows: values as the database holds them.
    """
    if not rows:
        return
    if connection.dialect.name == "sqlite":
        into, row = f"INSERT INTO {table.name} ({', '.join(columns)}) VALUES ", f"({', '.join('?' * len(columns))})"
        many = _AT_ONCE // len(columns)
        for start in range(0, len(rows), many):
            some = rows[start : start + many]
            connection.exec_driver_sql(into + ", ".join([row] * len(some)), tuple(chain.from_iterable(some)))
    else:
        connection.execute(sa.insert(table), [dict(zip(columns, row, strict=True)) for row in rows])
