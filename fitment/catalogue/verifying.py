"""Whether the catalogue is whole: references hold, derived data are what the readings give, kept reports as kept."""

from __future__ import annotations

import hashlib
from collections import Counter

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from fitment.catalogue import digest
from fitment.catalogue.derive import derive_all
from fitment.catalogue.edited import edited_records
from fitment.catalogue.keeping import edited_reports
from fitment.catalogue.papers import changed_papers
from fitment.catalogue.schema import Adopted, Base, EndSummary, table_of


def derived_rows(connection: Connection) -> dict[str, Counter[bytes]]:
    """How often there is a derived row, by a digest of it without its key, and the digest of the catalogue.

    It is what rebuilding must give again. Digests, as the rows of a large catalogue are more than memory holds.
    """
    told = {}
    models: tuple[type[Base], ...] = (Adopted, EndSummary)
    for table in models:
        columns = [column for column in table_of(table).columns if column.name != "id"]
        rows = connection.execute(sa.select(*columns).execution_options(yield_per=10_000))
        told[table.__tablename__] = Counter(
            hashlib.blake2b(repr(tuple(row)).encode(), digest_size=16).digest() for row in rows
        )
    told["digest"] = Counter([digest.stored(connection).encode()])
    return told


def verify(engine: Engine, mend: bool = False) -> list[str]:
    """What is wrong, one line each; nothing if the catalogue is whole. `mend` keeps the rebuilt derived data."""
    wrong: list[str] = []
    with engine.begin() as connection:
        if engine.dialect.name == "sqlite":
            for row in connection.exec_driver_sql("PRAGMA foreign_key_check"):
                wrong.append(f"a row of {row[0]} names a row of {row[2]} that is not there")
            answer = connection.exec_driver_sql("PRAGMA integrity_check").scalar()
            if answer != "ok":
                wrong.append(f"the file is damaged: {answer}")
        if wrong:  # nothing can be made of what names rows that are not there
            return [*wrong, "so that derived data, kept reports and papers were not looked at: restore a backup"]
        wrong += [*edited_records(connection), *edited_reports(connection), *changed_papers(connection)]
        before = derived_rows(connection)
        nested = connection.begin_nested()
        derive_all(connection)
        after = derived_rows(connection)
        for name, rows in before.items():
            differing = ((rows - after[name]) + (after[name] - rows)).total()
            if name == "digest" and differing:
                wrong.append("the digest is not that of the readings in force" + ("; mended" if mend else ""))
            elif differing:
                rows_are = "1 row of {} is" if differing == 1 else f"{differing} rows of {{}} are"
                wrong.append(f"{rows_are.format(name)} not what the readings give" + ("; mended" if mend else ""))
        if mend:
            nested.commit()
        else:
            nested.rollback()
    return wrong
