"""What is on record, as lines: every sort of record, by the keys of rows."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterator
from pathlib import PurePath
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.exchange.form import FIELDS, Line
from fitment.catalogue.schema import (
    Build,
    BuildItem,
    BuildSitting,
    DecisionRow,
    FittedTo,
    FurtherWithdrawal,
    Item,
    Paper,
    Part,
    PartJoin,
    Permission,
    Reading,
    Shop,
    Sitting,
    Source,
    Statement,
    Vehicle,
    Withdrawal,
    table_of,
)

#: keys that one statement asks for
AT_ONCE = 800
#: rows that are held at once where all are gone through
_READ_AT_ONCE = 10_000
#: sort -> the table of what it names by reference
NAMED: dict[str, Any] = {
    **{"vehicle": Vehicle, "part": Part, "item": Item, "source": Source, "sitting": Sitting, "build": Build},
}


def batches(keys: Collection[Any]) -> Iterator[list[Any]]:
    """Keys or uids in order, as many at once as one statement asks for."""
    ordered = sorted(keys)
    return (ordered[start : start + AT_ONCE] for start in range(0, len(ordered), AT_ONCE))


def file_name(path: str) -> str:
    """A path as another shop sees it: below the catalogue's folder as it is, elsewhere the file's name alone."""
    pure = PurePath(path)
    return pure.name if pure.is_absolute() else path


class Names:
    """References by the keys of rows, each asked for once."""

    def __init__(self, connection: Connection):
        self._connection = connection
        self._known: dict[str, dict[int, str]] = {sort: {} for sort in NAMED}

    def learn(self, sort: str, keys: Collection[int]) -> None:
        """Looks these keys up at once."""
        table = NAMED[sort]
        for some in batches({key for key in keys if key is not None} - self._known[sort].keys()):
            query = sa.select(table.id, table.shop, table.ref).where(table.id.in_(some))
            self._known[sort].update({row.id: f"{row.shop}/{row.ref}" for row in self._connection.execute(query)})

    def of(self, sort: str, key: int | None) -> str | None:
        """The reference of a row; None of none."""
        return None if key is None else self._known[sort][key]


def _plain(sort: str, **columns: str) -> Callable[[Any, Names], dict[str, Any]]:
    """Fields that have their column's name, and those that name a row of another table (field -> its sort)."""

    def said(row: Any, names: Names) -> dict[str, Any]:
        told: dict[str, Any] = {}
        for name, kind in FIELDS[sort].items():
            if name == "ref":
                told[name] = f"{row.shop}/{row.ref}"
            elif name in columns:
                told[name] = names.of(columns[name], getattr(row, f"{name}_id"))
            elif kind == "uids":
                told[name] = json.loads(getattr(row, name))
            elif name == "of_sort":
                told[name] = _subject(row)
            elif name == "of":
                told[name] = names.of(_subject(row), getattr(row, f"{_subject(row)}_id"))
            else:
                told[name] = getattr(row, name)
        return told

    return said


def _subject(row: Any) -> str:
    columns = ("vehicle", "part", "item") if hasattr(row, "part_id") else ("sitting", "build")
    return next(sort for sort in columns if getattr(row, f"{sort}_id") is not None)


def _withdrawal(row: Any, _names: Names) -> dict[str, Any]:
    said = {"reading": row.of, "reason": row.reason, "who": row.who, "dated": row.dated}
    return said | {"instead": row.instead_uid}


def _build(row: Any, names: Names) -> dict[str, Any]:
    said = _plain("build", vehicle="vehicle")(row, names)
    return said | {"kit_file": PurePath(row.kit_file).name}


def _paper(row: Any, names: Names) -> dict[str, Any]:
    of = _subject(row)
    said = {"of_sort": of, "of": names.of(of, getattr(row, f"{of}_id"))}
    return said | {"path": file_name(row.path), "content": row.digest}


def _shop(row: Any, _names: Names) -> dict[str, Any]:
    return {"code": row.code, "catalogue": row.catalogue_uid}


def _withdrawals(table: type[Withdrawal] | type[FurtherWithdrawal]) -> Any:
    columns = (table.id, table.reading_id, table.reason, table.who, table.dated, table.instead_uid)
    return sa.select(*columns, Reading.uid.label("of")).join(Reading, Reading.id == table.reading_id)


_FROM: dict[str, tuple[tuple[Any, ...], Callable[[Any, Names], dict[str, Any]]]] = {
    "shop": ((table_of(Shop),), _shop),
    "permission": ((table_of(Permission),), _plain("permission")),
    "vehicle": ((table_of(Vehicle),), _plain("vehicle")),
    "source": ((table_of(Source),), _plain("source")),
    "part": ((table_of(Part),), _plain("part")),
    "item": ((table_of(Item),), _plain("item", part="part")),
    "fitted-to": ((table_of(FittedTo),), _plain("fitted-to", part="part", vehicle="vehicle")),
    "sitting": ((table_of(Sitting),), _plain("sitting", source="source", vehicle="vehicle")),
    "reading": ((table_of(Reading),), _plain("reading", sitting="sitting")),
    "withdrawal": ((_withdrawals(Withdrawal), _withdrawals(FurtherWithdrawal)), _withdrawal),
    "decision": ((table_of(DecisionRow),), _plain("decision")),
    "statement": ((table_of(Statement),), _plain("statement")),
    "join": ((table_of(PartJoin),), _plain("join", part="part", other="part")),
    "build": ((table_of(Build),), _build),
    "build-item": ((table_of(BuildItem),), _plain("build-item", build="build", item="item")),
    "build-sitting": ((table_of(BuildSitting),), _plain("build-sitting", build="build", sitting="sitting")),
    "paper": ((table_of(Paper),), _paper),
}
#: column of a row -> what it names
_KEYS = {f"{sort}_id": sort for sort in NAMED} | {"other_id": "part"}


def lines(
    connection: Connection, names: Names, sort: str, column: str | None = None, keys: Collection[Any] = ()
) -> Iterator[Line]:
    """Records of a sort: all, or those of which a column has one of these values; by no order in particular."""
    tables, said = _FROM[sort]
    for table in tables:
        query = table if isinstance(table, sa.Select) else sa.select(table)
        if column is None:
            yield from _made(connection, names, sort, query, said)
            continue
        at = next(one for one in query.selected_columns if one.key == column)
        for some in batches(keys):
            yield from _made(connection, names, sort, query.where(at.in_(some)), said)


def stored(connection: Connection, sort: str) -> Iterator[tuple[str, Line]]:
    """Every record of a sort whose rows have a uid: the uid as it is stored, and what the row says."""
    names = Names(connection)
    tables, said = _FROM[sort]
    for table in tables:
        # a large catalogue's rows are more than memory holds
        for rows in connection.execute(sa.select(table).execution_options(yield_per=_READ_AT_ONCE)).partitions():
            for column, of in _KEYS.items():
                if hasattr(rows[0], column):
                    names.learn(of, {getattr(row, column) for row in rows})
            yield from ((row.uid, Line(sort, said(row, names))) for row in rows)


def _made(
    connection: Connection, names: Names, sort: str, query: Any, said: Callable[[Any, Names], dict[str, Any]]
) -> Iterator[Line]:
    rows = connection.execute(query).all()
    for column, of in _KEYS.items():
        if rows and hasattr(rows[0], column):
            names.learn(of, {getattr(row, column) for row in rows})
    return (Line(sort, said(row, names)) for row in rows)


def content_digest(connection: Connection) -> str:
    """A digest of all that shops exchange: equal for two catalogues just where they hold the same records.

    Kept reports, papers' folders, codes and permissions of shops are not in it.
    """
    names = Names(connection)
    total = sum(
        int(line.digest, 16)
        for sort in FIELDS
        if sort not in ("shop", "permission")
        for line in lines(connection, names, sort)
    )
    return f"{total % (1 << 256):064x}"
