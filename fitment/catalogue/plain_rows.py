"""Many rows into one table at once, as tuples: the driver's own road where it takes them, else by the table."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

#: rows of one statement of SQLite, which takes them a fifth faster than one by one; it allows 32766 values in one
_AT_ONCE = 400


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
        many = into + ", ".join([row] * _AT_ONCE)
        whole = len(rows) - len(rows) % _AT_ONCE
        for start in range(0, whole, _AT_ONCE):
            connection.exec_driver_sql(many, tuple(chain.from_iterable(rows[start : start + _AT_ONCE])))
        if rows[whole:]:
            connection.exec_driver_sql(into + row, rows[whole:])
    else:
        connection.execute(sa.insert(table), [dict(zip(columns, row, strict=True)) for row in rows])
