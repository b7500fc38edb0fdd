"""Many rows into one table at once, as tuples: the driver's own road where it takes them, else by the table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection


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
        names, marks = ", ".join(columns), ", ".join("?" * len(columns))
        connection.exec_driver_sql(f"INSERT INTO {table.name} ({names}) VALUES ({marks})", list(rows))
    else:
        connection.execute(sa.insert(table), [dict(zip(columns, row, strict=True)) for row in rows])
