"""Temporary tables of what a sheet says, from which `reading` and `adopted` are filled, each by one statement.

Most readings of a large sheet say what others of it say. What a cell says, and what the rule makes of it alone, goes to
the database once; a reading is then its part, its uid and the number of what it says.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.once_read import ADOPTED_COLUMNS, SUMMARY_COLUMNS
from fitment.catalogue.plain_rows import insert_rows
from fitment.catalogue.schema import Adopted, EndSummary, Reading, table_of

_READING = table_of(Reading)
_ADOPTED = table_of(Adopted)
_SUMMARY = table_of(EndSummary)
#: what a reading says beside whose it is; the note is empty, and it is no repeat
SAID_COLUMNS: tuple[str, ...] = (
    "sitting_id",
    "feature",
    "dimension",
    "entered",
    "bare_unit",
    "number",
    "u",
    "word",
    "tool",
)
SAID_COLUMNS += ("condition",)
#: what an adopted value says beside whose it is and by which reading
PIECE_COLUMNS = ADOPTED_COLUMNS[:-1]
_TABLES = sa.MetaData()


def _same(table: sa.Table, names: Iterable[str]) -> list[sa.Column[Any]]:
    return [sa.Column(name, table.c[name].type) for name in names]


def _temporary(name: str, *columns: sa.Column[Any], **kept: Any) -> sa.Table:
    return sa.Table(name, _TABLES, *columns, prefixes=["TEMPORARY"], **kept)


_SAID = _temporary("staged_said", sa.Column("id", sa.Integer, primary_key=True), *_same(_READING, SAID_COLUMNS))
_PIECE = _temporary(
    "staged_piece",
    sa.Column("said", sa.Integer, primary_key=True),
    sa.Column("place", sa.Integer, primary_key=True),
    *_same(_ADOPTED, PIECE_COLUMNS),
    sqlite_with_rowid=False,
)
_ROW = _temporary(
    "staged_row",
    sa.Column("id", sa.Integer, primary_key=True),
    *_same(_READING, ("part_id", "uid")),
    sa.Column("said", sa.Integer),
    sa.Column("alone", sa.Boolean),
)
_TO_READING = sa.insert(_READING).from_select(
    ["part_id", "uid", *SAID_COLUMNS, "note", "occurrence"],
    sa.select(_ROW.c.part_id, _ROW.c.uid, *(_SAID.c[name] for name in SAID_COLUMNS), sa.literal(""), sa.literal(0))
    .join_from(_ROW, _SAID, _SAID.c.id == _ROW.c.said)
    .order_by(_ROW.c.id),
)
_TO_ADOPTED = sa.insert(_ADOPTED).from_select(
    ["part_id", *ADOPTED_COLUMNS],
    sa.select(
        _ROW.c.part_id,
        *(_PIECE.c[name] for name in PIECE_COLUMNS),
        sa.literal('["', sa.Text).concat(_ROW.c.uid).concat('"]'),
    )
    .join_from(_ROW, _PIECE, _PIECE.c.said == _ROW.c.said)
    .where(_ROW.c.alone)
    .order_by(_ROW.c.id, _PIECE.c.place),
)


@dataclass(slots=True)
class Batch:
    """First rows that wait to be written.

    Attributes:
        said: a number, then `SAID_COLUMNS`, of what was not said in a batch before.
        pieces: the number of what is said, a place among what the rule makes of it alone, then `PIECE_COLUMNS`.
        rows: key of a part, uid, the number of what is said, and whether its pieces are the part's values.
        adopted: other values of parts: key of the part, then `ADOPTED_COLUMNS`.
        ends: rows of `end_summary`: `SUMMARY_COLUMNS`.
        afresh: whether what the batches before have said is not meant any more.
    """

    said: list[tuple[Any, ...]] = field(default_factory=list)
    pieces: list[tuple[Any, ...]] = field(default_factory=list)
    rows: list[tuple[int, str, int, bool]] = field(default_factory=list)
    adopted: list[tuple[Any, ...]] = field(default_factory=list)
    ends: list[tuple[Any, ...]] = field(default_factory=list)
    afresh: bool = False


class Stage:
    """The temporary tables of one transaction: made with the first batch, dropped at the end."""

    def __init__(self) -> None:
        self._made = False

    def write(self, connection: Connection, batch: Batch) -> None:
        """Writes the readings of a batch and what is derived of them."""
        if batch.afresh and self._made:
            connection.execute(sa.delete(_SAID))
            connection.execute(sa.delete(_PIECE))
        if not batch.rows:
            return
        if not self._made:
            _TABLES.create_all(connection, checkfirst=False)
            self._made = True
        insert_rows(connection, _SAID, ("id", *SAID_COLUMNS), batch.said)
        insert_rows(connection, _PIECE, ("said", "place", *PIECE_COLUMNS), batch.pieces)
        insert_rows(connection, _ROW, ("part_id", "uid", "said", "alone"), batch.rows)
        for statement in (_TO_READING, _TO_ADOPTED, sa.delete(_ROW)):
            connection.execute(statement)
        insert_rows(connection, _ADOPTED, ("part_id", *ADOPTED_COLUMNS), batch.adopted)
        insert_rows(connection, _SUMMARY, SUMMARY_COLUMNS, batch.ends)

    def drop(self, connection: Connection) -> None:
        """Drops the tables; nothing may wait."""
        if self._made:
            _TABLES.drop_all(connection, checkfirst=False)
            self._made = False
