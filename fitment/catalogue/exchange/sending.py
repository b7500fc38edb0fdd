"""An exchange file written: what was chosen, whose it is, on what terms."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.dates import today
from fitment.catalogue.exchange.choosing import Choice, chosen
from fitment.catalogue.exchange.files import Header, file_text
from fitment.catalogue.exchange.form import of_all
from fitment.catalogue.exchange.union import NO_CODE
from fitment.catalogue.schema import CatalogueRow, table_of
from fitment.catalogue.whole_file import write_whole
from fitment.errors import DataFault
from fitment.frozen import dataclass


@dataclass(frozen=True)
class Sent:
    """What a file holds.

    Attributes:
        records: how many of each sort.
        others: what other shops permit with their records in it, a line for each.
    """

    records: Counter[str]
    others: tuple[str, ...]


def send(
    connection: Connection, path: Path, choice: Choice, permission: str, program: str, dry_run: bool = False
) -> Sent:
    """Writes a new exchange file, whole or not at all.

    Args:
        permission: what the shop permits with its records, in words.
        program: name and version of this program.

    Raises:
        DataFault: the catalogue has no code of its own, nothing is chosen, or there is such a file.
        NotFoundFault: there is no such part, item or vehicle.
        StorageFault: the file cannot be written.
    """
    row = connection.execute(sa.select(table_of(CatalogueRow))).one()
    lines = chosen(connection, choice)
    coded = {str(line.said["ref"]).partition("/")[0] for line in lines if "ref" in line.said} | {row.shop}
    if NO_CODE in coded:
        raise DataFault(
            f"records of {NO_CODE} go to nobody: every catalogue without a code of its own is {NO_CODE}",
            mending="make one with a code, fitment catalogue create --shop CODE, and import your sheets there",
            code="exchange-12",
        )
    if not lines:
        raise DataFault("there is nothing to give", mending="choose other parts, or an earlier day", code="exchange-15")
    if path.exists():
        raise DataFault("there is a file of that name", place=str(path), mending="name a new one", code="export-01")
    content = of_all([line.digest for line in lines])
    header = Header(row.shop, row.uid, row.revision, today(), program, permission, len(lines), content)
    if not dry_run:
        write_whole(path, file_text(header, lines))
    others = tuple(f"{line.said['shop']} permits: {line.said['text']}" for line in lines if line.sort == "permission")
    return Sent(Counter(line.sort for line in lines), others)
