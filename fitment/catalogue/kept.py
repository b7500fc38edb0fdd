"""Looking at kept reports. Reads only; `keeping` writes them."""

from __future__ import annotations

import json
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.schema import Build, BuildReport, KeptReport, Reading, ReportReading, Withdrawal, table_of
from fitment.errors import NotFoundFault
from fitment.frozen import dataclass


@dataclass(frozen=True)
class KeptLine:
    """A kept report as a list shows it.

    Attributes:
        uid: its id; people see the first eight letters.
        made: when, UTC.
        revision: of the catalogue, then.
        builds: references of the builds that it belongs to.
        withdrawn: uids of the readings behind it that were withdrawn since.
    """

    uid: str
    kit: str
    kit_digest: str
    made: str
    verdict: str
    revision: int
    program: str
    builds: tuple[str, ...]
    withdrawn: tuple[str, ...]


@dataclass(frozen=True)
class KeptText:
    """A kept report whole: as JSON and as text, the kit's file, the items that took roles of it by address."""

    line: KeptLine
    body: dict[str, Any]
    shown: str
    kit_text: str
    fitted: dict[str, str]


_WITHDRAWN = (
    sa.select(ReportReading.report_id, Reading.uid)
    .join(Reading, ReportReading.reading_id == Reading.id)
    .join(Withdrawal, Withdrawal.reading_id == Reading.id)
    .order_by(Withdrawal.id)
)


def kept_lines(connection: Connection) -> list[KeptLine]:
    """Every kept report, in the order of their keeping."""
    return [line for _, line in _lines(connection)]


def _lines(connection: Connection, only: int | None = None) -> list[tuple[int, KeptLine]]:
    builds: dict[int, list[str]] = {}
    query = sa.select(BuildReport.report_id, Build.shop, Build.ref).join(Build, BuildReport.build_id == Build.id)
    for report_id, shop, ref in connection.execute(query.order_by(Build.shop, Build.ref)):
        builds.setdefault(report_id, []).append(f"{shop}/{ref}")
    withdrawn: dict[int, list[str]] = {}
    for report_id, uid in connection.execute(_WITHDRAWN):
        withdrawn.setdefault(report_id, []).append(uid)
    query = sa.select(table_of(KeptReport)).order_by(KeptReport.id)
    rows = connection.execute(query if only is None else query.where(KeptReport.id == only))
    return [
        (
            row.id,
            KeptLine(
                uid=row.uid,
                kit=row.kit,
                kit_digest=row.kit_digest,
                made=row.made,
                verdict=row.verdict,
                revision=row.revision,
                program=row.program,
                builds=tuple(builds.get(row.id, ())),
                withdrawn=tuple(withdrawn.get(row.id, ())),
            ),
        )
        for row in rows
    ]


def kept_report(connection: Connection, uid: str) -> KeptText:
    """The kept report whose id begins so.

    Raises:
        NotFoundFault: none does, or several do.
    """
    query = sa.select(KeptReport.id).where(KeptReport.uid.startswith(uid, autoescape=True)).limit(2)
    found = connection.execute(query).scalars().all()
    if len(found) != 1 or len(uid) < 4:
        raise NotFoundFault(
            f"several kept reports begin with {uid}" if found else f"no kept report {uid}",
            mending="fitment report list shows them, by four letters or more",
            code="report-01",
        )
    return kept_texts(connection, list(found))[0]


def kept_texts(connection: Connection, ids: list[int]) -> list[KeptText]:
    """The kept reports of these keys, whole."""
    columns = (KeptReport.id, KeptReport.body, KeptReport.shown, KeptReport.kit_text, KeptReport.fitted)
    query = sa.select(*columns).where(KeptReport.id.in_(ids)).order_by(KeptReport.id)
    lines = dict(_lines(connection, ids[0] if len(ids) == 1 else None))
    return [
        KeptText(lines[row.id], json.loads(row.body), row.shown, row.kit_text, json.loads(row.fitted))
        for row in connection.execute(query)
    ]
